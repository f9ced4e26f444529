"""How large the letters of a customer's sheet may be, so that it stays on one page of A4 and of US Letter.

The page is laid out here with the widths of its letters, as a browser will do it. Letters are never smaller than
9 points. Where it gets too long even then, the drawing goes: `How it is joined` is said by the shop. Then the page is
set tight: less between the lines, the largest figures smaller, the name over the address. A caution never goes, and
what was told is signed on the page on which it stands.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from packyoke.answers.sheet.customer_page import (
    CHARGING,
    HOW_FAR,
    JOINED,
    NEVER,
    PLUGGING,
    RESTS,
    STOP,
    TOLD,
    CustomerSheet,
)
from packyoke.page.drawing import natural_size
from packyoke.page.letters import broken, wide

PAGE_HIGH, PAGE_WIDE = 261.4 / 25.4 * 72 - 6.0, 186.0 / 25.4 * 72
"""What is inside the margins on the lower paper (US Letter) and on the narrower one (A4) [points]."""
TIGHT_HIGH = PAGE_HIGH + 4.0 / 25.4 * 72
"""The same with 2 mm less at the head and at the foot."""
COLUMN = (PAGE_WIDE - 7.0 / 25.4 * 72) / 2
SIZES = {10.2: "s102", 9.8: "s98", 9.4: "s94", 9.0: "s90"}
BODY, PIXEL = 9.4, 0.75
"""The smallest letters that a page is set in while dropping its drawing helps [points]; a unit of the drawing."""
MOST_SIGNS, LONG_TITLE = 6, 44
"""Pack signs in a row; letters of a title beyond which they are smaller."""
FIRST_COLUMN = 0.27
"""The share of the column of names in the table of ranges."""
LINE, SIGNED, FOOT = 1.2, 19.8, 10.8


@dataclass(frozen=True, slots=True)
class Fit:
    """How a sheet is set: size of its letters [points], and where its drawing stands: `column`, `page` or `none`.

    `stacked`: the address under the name; `due_left`: when to come back, under the column on the left.
    """

    size: float
    drawing: str
    tight: bool = False
    stacked: bool = False
    due_left: bool = False


def fitted(sheet: CustomerSheet) -> Fit:
    """The largest letters with which the sheet stays on one page, with its drawing if there is room."""
    drawn = natural_size(sheet.drawing)[0] * PIXEL
    where = "column" if drawn <= COLUMN else "page" if drawn <= PAGE_WIDE else "none"
    for sizes in ([size for size in SIZES if size >= BODY], [size for size in SIZES if size < BODY]):
        for fit in (Fit(size, drawing) for drawing in (where, "none") for size in sizes):
            if sum(heights(sheet, fit).values()) <= PAGE_HIGH:
                return fit
    for size in (BODY, min(SIZES)):
        fit = _tight(sheet, size)
        if sum(heights(sheet, fit).values()) <= TIGHT_HIGH:
            return fit
    return Fit(BODY, where)  # two pages: what was told stands whole on the second


def _tight(sheet: CustomerSheet, size: float) -> Fit:
    set_ = _Set(size, tight=True)
    due_left = _left(set_, sheet) + _due(set_, sheet) <= _right(set_, sheet)
    stacked = _head(set_, sheet, stacked=True) < _head(set_, sheet)
    return Fit(size, "none", tight=True, stacked=stacked, due_left=due_left)


def heights(sheet: CustomerSheet, fit: Fit) -> Mapping[str, float]:
    """How high each part of the sheet gets [points]."""
    set_ = _Set(fit.size, fit.tight)
    drawn = natural_size(sheet.drawing)[1] * PIXEL + set_.heading(JOINED, COLUMN)
    due = _due(set_, sheet)
    left = _left(set_, sheet) + (drawn if fit.drawing == "column" else 0.0) + (due if fit.due_left else 0.0)
    return {
        "head": _head(set_, sheet, fit.stacked),
        "far": _far(set_, sheet),
        "columns": max(left, _right(set_, sheet) - (due if fit.due_left else 0.0)),
        "drawing": drawn if fit.drawing == "page" else 0.0,
        "told": _told(set_, sheet),
    }


@dataclass(frozen=True, slots=True)
class _Set:
    """Text set in one size."""

    size: float
    tight: bool = False

    @property
    def line(self) -> float:
        return LINE * self.size

    @property
    def gap(self) -> float:
        """Between the points of a list."""
        return 0.5 if self.tight else 1.5

    def rows(self, text: str, width: float, scale: float = 1.0, *, bold: bool = False) -> int:
        return max(1, len(broken(text, width, self.size * scale, bold)))

    def heading(self, text: str, width: float) -> float:
        return (3.0 if self.tight else 5.0) + 1.44 * self.size * self.rows(text, width, 1.2, bold=True)

    def listed(self, texts: Sequence[str], width: float) -> float:
        return sum(self.line * self.rows(text, width - 1.7 * self.size) + self.gap for text in texts)


def _head(set_: _Set, sheet: CustomerSheet, stacked: bool = False) -> float:
    lines = (f"{sheet.shop} {sheet.contact}".strip(), " · ".join(sheet.head))
    beside = min(0.45 * PAGE_WIDE, max(wide(each, 1.15 * set_.size, bold=True) for each in lines))
    large = 1.5 if len(sheet.title) > LONG_TITLE else 1.9
    if stacked:
        title = set_.rows(sheet.title, PAGE_WIDE, large, bold=True)
        beside = wide(sheet.shop, set_.size) + wide(sheet.contact, 1.15 * set_.size, bold=True) < PAGE_WIDE - set_.size
        told = 1 if beside else set_.rows(sheet.shop, PAGE_WIDE) + set_.rows(sheet.contact, PAGE_WIDE, 1.15, bold=True)
        return 4.5 + large * 1.1 * set_.size * title + 1.15 * set_.line * (told + bool(sheet.head))
    title = set_.rows(sheet.title, PAGE_WIDE - beside - 1.5 * set_.size, large, bold=True)
    told = sum(set_.rows(each, 0.45 * PAGE_WIDE, 1.15, bold=True) for each in lines if each)
    return 4.5 + max(large * 1.1 * set_.size * title, 1.15 * set_.line * told)


def _far(set_: _Set, sheet: CustomerSheet) -> float:
    first, *notes = sheet.range_notes or ("",)
    found = set_.heading(HOW_FAR, PAGE_WIDE)
    if not sheet.ranges:
        return found + sum(set_.line * set_.rows(each, PAGE_WIDE) for each in sheet.range_notes)
    found += set_.line * set_.rows(f"{sheet.intro} {first}", PAGE_WIDE)
    column = PAGE_WIDE * (1.0 - FIRST_COLUMN) / len(sheet.rides) - 6.0
    heads = [1.1 * set_.rows(each.name, column, 1.1, bold=True) + set_.rows(each.about, column) for each in sheet.rides]
    found += 6.0 + set_.line * (1 + max(heads))
    signed = len(sheet.ranges[0].taken) if 1 < len(sheet.ranges[0].taken) <= MOST_SIGNS else 0
    name = PAGE_WIDE * FIRST_COLUMN - 6.0 - (9.5 * signed + 5.0 if signed else 0.0)
    for each in sheet.ranges:
        figure = (1.37 if set_.tight else 1.68) * set_.size + 7.0
        found += (2.0 if set_.tight else 3.5) + max(set_.line * set_.rows(each.packs, name, bold=True), figure, 13.0)
    return found + 3.0 + set_.line * set_.rows(" ".join(notes), PAGE_WIDE - 130.0)


def _left(set_: _Set, sheet: CustomerSheet) -> float:
    found = set_.heading(PLUGGING, COLUMN) + set_.listed(sheet.plugging, COLUMN) + set_.heading(CHARGING, COLUMN)
    for each in sheet.chargers:
        bolder = wide(each.charger, set_.size, bold=True) - wide(each.charger, set_.size) + set_.size
        found += 4.5 + set_.line * set_.rows(f"{each.charger} {each.packs}", COLUMN - bolder)
    return found + 2.0 + sum(set_.line * set_.rows(text, COLUMN) for text in sheet.charging)


def _right(set_: _Set, sheet: CustomerSheet) -> float:
    called = set_.rows(f"{STOP}   {sheet.contact}", COLUMN - 16.0, 1.2, bold=True)
    found = 17.5 + 1.44 * set_.size * (called if called == 1 else called + 1)
    found += 8.0 + set_.listed(sheet.stop[:-1], COLUMN - 12.0)
    found += set_.line * set_.rows(sheet.stop[-1], COLUMN - 16.0, bold=True)
    found += 5.0 + set_.line * set_.rows(f"{NEVER} {sheet.never}", COLUMN)
    found += set_.heading(RESTS, COLUMN) + set_.listed(sheet.rests, COLUMN)
    return found + _due(set_, sheet)


def _due(set_: _Set, sheet: CustomerSheet) -> float:
    return 4.0 + 1.15 * set_.line * set_.rows(sheet.due, COLUMN, 1.15)


def _told(set_: _Set, sheet: CustomerSheet) -> float:
    found = 8.3 + set_.heading(TOLD, PAGE_WIDE)
    told = sum(set_.gap + set_.line * set_.rows(text, PAGE_WIDE - 16.0) for text in sheet.told)
    found += (told or set_.line) + SIGNED + set_.line + 6.0
    return found + 2.75 + FOOT * len(broken(f"{sheet.cautions} {sheet.fingerprint}", PAGE_WIDE, 9.0))
