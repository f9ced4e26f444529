"""One figure from outside and the function of ours that has to give the same, and how such figures are read."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

HERE = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Case:
    """One published figure. `tolerance` is how far ours may be off, in `unit`."""

    id: str
    quantity: str
    source: str
    locator: str
    theirs: float
    unit: str
    tolerance: float
    tolerance_reason: str
    status: str
    compute: Callable[[], float]

    @property
    def agrees(self) -> bool:
        return abs(self.compute() - self.theirs) <= self.tolerance


Quantities = Mapping[str, Callable[..., float]]


def read(file: str, quantities: Quantities) -> list[Case]:
    """Cases of one CSV file beside this one; `tolerance` is `rel x` or `abs x`."""
    found = []
    for row in rows(file):
        theirs = float(row["theirs"])
        kind, size = row["tolerance"].split()
        tolerance = float(size) * {"rel": abs(theirs), "abs": 1.0}[kind]
        found.append(
            Case(
                row["id"],
                row["quantity"],
                row["source"],
                row["locator"],
                theirs,
                row["unit"],
                tolerance,
                row["reason"],
                row["status"],
                computed(row, quantities),
            )
        )
    return found


def rows(file: str) -> list[dict[str, str]]:
    """The lines of a CSV file beside this one."""
    with (HERE / file).open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def computed(row: Mapping[str, str], quantities: Quantities) -> Callable[[], float]:
    """Ours, from the `inputs` of a line: `name=value` with spaces between."""
    inputs = {name: _value(text) for name, text in (pair.split("=") for pair in row["inputs"].split())}
    return partial(quantities[row["quantity"]], **inputs)


def _value(text: str) -> float | str:
    try:
        return float(text)
    except ValueError:
        return text
