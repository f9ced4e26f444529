"""Cell chemistries: voltages, open-circuit curves, series counts that packs are sold with, pack resistance."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from packyoke.core.sources import Source
from packyoke.shelf.tables import items, rows

Curve = tuple[tuple[float, float], ...]
CELLS = ("energy", "power")
AGREE_V = 0.05
"""How far a full charge may lie from that of a chemistry's cells, and two statements of it from each other, a cell [V]:
judgement."""
# The chemistries that share a curve, and those that share the labels of packs: a blend is sold under the same
# voltages as the pure oxides but has no curve of its own on file.
_CURVE_GROUP = {"NMC": "layered", "NCA": "layered", "LFP": "LFP"}
_LABEL_GROUPS = {"layered": ("NMC", "NCA", "LMO blend"), "LFP": ("LFP",)}


class Chemistry(NamedTuple):
    """Voltages of one cell."""

    name: str
    full_v: float
    nominal_v: float
    minimum_v: float
    cut_off_v: tuple[float, float]
    ceiling_v: float


class SeriesRow(NamedTuple):
    """A pack as it is sold: what may be printed on it, the chemistries, cells in series, and what it charges to."""

    labels_v: tuple[float, ...]
    chemistries: tuple[str, ...]
    series_count: int
    full_v: float
    rare: bool
    source: Source
    status: str


class OcvCurve(NamedTuple):
    """Rested voltage of one cell against state of charge, with the band of the published cells around it."""

    points: Curve
    lowest: Curve
    highest: Curve
    source: Source
    locator: str
    status: str


def chemistry(name: str) -> Chemistry | None:
    """The chemistry of this name, compared without case; None when the shelf does not know it.

    >>> chemistry("lfp").full_v, chemistry("NMC").ceiling_v
    (3.65, 4.25)
    """
    return _chemistries().get(" ".join(name.casefold().split()))


def chemistry_names() -> tuple[str, ...]:
    """Names of all chemistries."""
    return tuple(found.name for found in _chemistries().values())


@cache
def ocv_curve(name: str) -> OcvCurve | None:
    """Open-circuit curve of one cell of a chemistry; None where none is on file (LMO blend, LTO).

    >>> ocv_curve("NMC").points[10]
    (0.5, 3.746)
    """
    found = chemistry(name)
    group = _CURVE_GROUP.get(found.name) if found else None
    if group is None:
        return None
    points = [row for row in rows("ocv") if row.cells["group"] == group]

    def column(name: str) -> Curve:
        return tuple((row.number("charge_percent") / 100.0, row.number(name)) for row in points)

    first = points[0]
    return OcvCurve(column("volts"), column("lowest_v"), column("highest_v"), first.source, first.locator, first.status)


@cache
def series_rows() -> tuple[SeriesRow, ...]:
    """Every pack that is sold: labels, chemistries, series count, full charge."""
    found = []
    for row in rows("series"):
        names = _LABEL_GROUPS[row.cells["group"]]
        series_count = int(row.number("series"))
        full_v = series_count * _chemistries()[names[0].casefold()].full_v
        labels_v = tuple(float(label) for label in row.cells["labels_v"].split())
        found.append(SeriesRow(labels_v, names, series_count, full_v, row.conditions == "rare", row.source, row.status))
    return tuple(found)


def row_for(chemistry: str, series_count: int) -> SeriesRow | None:
    """The row of a chemistry and a series count; None when no such pack is sold."""
    return next(
        (row for row in series_rows() if chemistry in row.chemistries and row.series_count == series_count), None
    )


def cell_resistance_ohm_coulomb(cells: str | None) -> tuple[float, float]:
    """Resistance of a new cell times its capacity, at 25 degC and about 10 s: lowest and highest.

    Parameters
        cells: `energy`, `power`, or None when it is not known (then from the best power to the worst energy cell) [-]
    Returns
        lowest and highest [ohm C]
    Raises
        ValueError: another word.
    Reference
        memory: 18650 energy 35-60 mohm at 3.0-3.5 Ah, power 15-25 mohm at 2.5 Ah; 21700 energy 20-35 mohm at 5 Ah.

    >>> [f"{value / 3600:.2f} ohm Ah" for value in cell_resistance_ohm_coulomb("energy")]
    ['0.10 ohm Ah', '0.20 ohm Ah']
    """
    if cells is None:
        return cell_resistance_ohm_coulomb("power")[0], cell_resistance_ohm_coulomb("energy")[1]
    if cells not in CELLS:
        raise ValueError(f"unknown kind of cells {cells!r}; known: {', '.join(CELLS)}")
    figures = items("chemistry")[f"{cells} cell"]
    return figures["lowest resistance x capacity"].value, figures["highest resistance x capacity"].value


def pack_resistance_span_ohm(series_count: int, capacity_coulomb: float, cells: str | None) -> tuple[float, float]:
    """Resistance of a new pack at its outlet when nobody has measured it: lowest and highest.

        R = n_s r/Q + R_extra, with r in ohm C

    Parameters
        series_count: cells in series [-]
        capacity_coulomb: capacity of the pack [C]
        cells: `energy`, `power`, or None when it is not known [-]
    Returns
        lowest and highest [ohm]
    Raises
        ValueError: count below 1, capacity not above zero, unknown kind of cells.
    Reference
        memory; 13s4p of 45 mohm energy cells is about 160 mohm, of 20 mohm power cells about 80.

    >>> [f"{ohm * 1e3:.0f} mohm" for ohm in pack_resistance_span_ohm(13, 10 * 3600, "power")]
    ['62 mohm', '116 mohm']
    """
    if series_count < 1 or not capacity_coulomb > 0.0:
        raise ValueError("a pack has one cell at least and a capacity above 0")
    low, high = cell_resistance_ohm_coulomb(cells)
    pack = items("chemistry")["pack"]
    return (
        series_count * low / capacity_coulomb + pack["lowest resistance besides cells"].value,
        series_count * high / capacity_coulomb + pack["highest resistance besides cells"].value,
    )


@cache
def _chemistries() -> dict[str, Chemistry]:
    return {
        name.casefold(): Chemistry(
            name,
            figures["full"].value,
            figures["nominal"].value,
            figures["minimum"].value,
            (figures["lowest cut-off"].value, figures["highest cut-off"].value),
            figures["ceiling"].value,
        )
        for name, figures in items("chemistry").items()
        if "full" in figures
    }
