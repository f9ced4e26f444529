"""A page as a bad copier hands it on: 100 dots to the inch, each of them black or white."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path
from typing import NamedTuple

DPI = 100
INCH_MM, INCH_PX = 25.4, 96.0
FAIR, DARK = 0.5, 0.75
"""What is darker than this share of white comes out black: of a fair copier, and of one that is set too dark."""


class Copy(NamedTuple):
    """One page: a bit for each dot that is black, the first of a row highest."""

    rows: tuple[int, ...]
    wide: int

    def black(self, x: float, y: float) -> bool:
        """Whether the dot at this place [CSS px from the corner of the paper] is black."""
        at, row = int(x * DPI / INCH_PX), int(y * DPI / INCH_PX)
        return bool(self.rows[row] >> (self.wide - 1 - at) & 1)

    def share(self, left: float, top: float, right: float, bottom: float) -> float:
        """How much of a place is black, its edges left out."""
        step = INCH_PX / DPI
        across = [left + step * at for at in range(1, int((right - left) / step) - 1)]
        down = [top + step * at for at in range(1, int((bottom - top) / step) - 1)]
        dots = [self.black(x, y) for x in across for y in down]
        return sum(dots) / len(dots)


def copies(pdf: Path, tone: float) -> list[Copy]:
    """Every page of a PDF."""
    made = subprocess.run(["pdftoppm", "-gray", "-r", str(DPI), pdf], capture_output=True, check=True).stdout
    table = bytes(ord("1") if each < tone * 255 else ord("0") for each in range(256))
    found = []
    while made:
        head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", made)
        assert head
        wide, high = int(head[1]), int(head[2])
        dots = made[head.end() : head.end() + wide * high].translate(table)
        found.append(Copy(tuple(int(dots[at * wide : (at + 1) * wide], 2) for at in range(high)), wide))
        made = made[head.end() + wide * high :]
    return found


def lost(fair: Copy, dark: Copy, near: int = 2) -> list[tuple[int, int]]:
    """Dots (column, row) that a dark copy shows and that have no black in a fair one beside them: they vanish."""
    found = []
    for row, dots in enumerate(dark.rows):
        beside = 0
        for each in fair.rows[max(0, row - near) : row + near + 1]:
            for by in range(near + 1):
                beside |= each << by | each >> by
        missing = dots & ~beside
        while missing:
            found.append((dark.wide - missing.bit_length(), row))
            missing &= ~(1 << missing.bit_length() - 1)
    return found


def lost_lines(fair: Copy, dark: Copy, least: int = 9) -> list[tuple[int, int]]:
    """Where so many dots that vanish stand beside each other: a line of 2 mm. A few are the dot of an i."""
    dots = {*lost(fair, dark)}
    return sorted(
        (column, row)
        for column, row in dots
        if any(all((column + at * by[0], row + at * by[1]) in dots for at in range(least)) for by in ((1, 0), (0, 1)))
    )
