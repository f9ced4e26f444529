"""Leads: copper area, resistance, table amps, bundling, sizes and the fuses that guard them."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import cache

from packyoke.core.lines import on_line
from packyoke.core.units import show_gauge
from packyoke.physics.conductor import (
    ZERO_CELSIUS_K,
    awg_area_m2,
    copper_resistivity_ohm_m,
    resistance_per_length_ohm_per_m,
)
from packyoke.shelf.tables import items, rows

FAMILIES = ("AWG", "SAE", "mm2")
_CELSIUS_20_K = 20.0 + ZERO_CELSIUS_K
_SAME = 1e-9


class OutsideTable(ValueError):
    """A size thinner or thicker than those of the table."""


_DEGREES = re.compile(r"(\d{1,3}(?:\.\d+)?)\s*(?:degc|°c|c)?", re.ASCII)


@cache
def insulation_column_c(insulation: str) -> int:
    """Column of the ampacity table for an insulation: a word of the trade, or a temperature (next lower column).

    Parameters
        insulation: `PVC`, `XLPE`, `silicone`, or `105 degC` [-]
    Returns
        temperature of the column [degC]
    Raises
        ValueError: unknown word, or a temperature below the lowest column.
    Reference
        33 CFR 183.425 table 5; words in wires.csv.

    >>> insulation_column_c("silicone"), insulation_column_c("100 degC")
    (90, 90)
    """
    word = insulation.strip()
    for name in insulation_names():
        if word.casefold() == name.casefold():
            return round(items("wires")[name]["insulation"].value - ZERO_CELSIUS_K)
    match = _DEGREES.fullmatch(word.casefold())
    if match is None:
        raise ValueError(f"unknown insulation {insulation!r}; known: {', '.join(insulation_names())}, or a temperature")
    columns = [column for column in _columns() if column <= float(match[1])]
    if not columns:
        raise ValueError(f"the table has no column for insulation below {_columns()[0]} degC")
    return columns[-1]


def insulation_names() -> tuple[str, ...]:
    """Words for insulation that stand for a column."""
    return tuple(item for item, figures in items("wires").items() if "insulation" in figures)


def insulation_limit_k(insulation: str) -> float:
    """Temperature that the ambient correction of an insulation starts from: that of its column [K]."""
    return insulation_column_c(insulation) + ZERO_CELSIUS_K


@cache
def copper_area_m2(family: str, size: float) -> float:
    """Copper area of a lead: what conducts, not what the label says.

        AWG: its formula; SAE: its own smallest areas; mm2: rho/R of its largest permitted resistance

    Parameters
        family: `AWG`, `SAE` or `mm2` [-]
        size: gauge number (1/0 is 0, 2/0 is -1), or nominal section in mm2 [- or mm2]
    Returns
        copper area [m2]
    Valid
        a section that is no nominal one and is the area of an AWG wire, as rounded on its label (3.31, 3.3), is that
        wire; other odd sizes in between; outside their tables SAE holds the least share of AWG that it has anywhere,
        mm2 that of the nearest section.
    Raises
        ValueError: unknown family, size not above zero, gauge outside 4/0 to 40.
    Reference
        ASTM B258; SAE J1128; IEC 60228 table 3 class 5 with IEC 60028.

    >>> f"{copper_area_m2('mm2', 4) * 1e6:.2f} mm2"
    '3.48 mm2'
    """
    family, size = _labelled(family, size)
    if family == "AWG":
        return awg_area_m2(size)
    if family == "SAE":
        full_m2 = awg_area_m2(size)
        shares = _sae_shares()
        if not shares[0][0] <= size <= shares[-1][0]:
            return full_m2 * min(share for _, share in shares)
        return full_m2 * _between(shares, size)
    if family == "mm2":
        if not size > 0.0:
            raise ValueError("a section must be above 0")
        shares = _class5_shares()
        logs = [(math.log(nominal), share) for nominal, share in shares]
        return size * 1e-6 * _between(logs, min(max(math.log(size), logs[0][0]), logs[-1][0]))
    raise ValueError(f"unknown wire family {family!r}; known: {', '.join(FAMILIES)}")


@cache
def _labelled(family: str, size: float) -> tuple[str, float]:
    """The wire that a size stands for: `3.31 mm2` is printed on 12 AWG, `4 mm2` is a nominal section of its own."""
    if family != "mm2" or size in standard_sizes("mm2") or any(size == nominal for nominal, _ in _class5_shares()):
        return family, size
    for gauge in range(-3, 41):
        area_mm2 = awg_area_m2(gauge) * 1e6
        if any(float(f"{area_mm2:.{digits}g}") == size for digits in (2, 3, 4)):
            return "AWG", float(gauge)
    return family, size


def copper_words(family: str, size: float) -> str:
    """What a nominal size holds of copper, where that is less than its name says; for `4 mm2` and for `12 AWG`:

    >>> copper_words("mm2", 4), copper_words("AWG", 12)
    ('3.48 mm2 of copper', '')
    """
    area_mm2 = copper_area_m2(family, size) * 1e6
    kind, _ = _labelled(family, size)
    named_mm2 = size if kind == "mm2" else awg_area_m2(size) * 1e6 if kind == "SAE" else area_mm2
    return f"{area_mm2:.3g} mm2 of copper" if area_mm2 < 0.99 * named_mm2 else ""


@cache
def resistance20_ohm_per_m(family: str, size: float) -> float:
    """Resistance of one conductor for each metre at 20 degC, at the upper end of what its standard permits.

    Parameters
        family: `AWG`, `SAE` or `mm2` [-]
        size: gauge number, or nominal section in mm2 [- or mm2]
    Returns
        resistance [ohm/m]
    Raises
        ValueError: as `copper_area_m2`.
    Reference
        AWG and SAE: rho/A with the longest strands of NEC chapter 9 table 8; mm2: IEC 60228 table 3 class 5.

    >>> f"{resistance20_ohm_per_m('mm2', 2.5) * 1e3:.2f} mohm/m"
    '7.98 mohm/m'
    """
    area_m2 = copper_area_m2(family, size)
    family, _ = _labelled(family, size)
    lay_factor = 1.0 if family == "mm2" else items("wires")["AWG"]["strand factor"].value
    return resistance_per_length_ohm_per_m(area_m2, _CELSIUS_20_K, lay_factor)


@cache
def table_amps_a(family: str, size: float, column_c: int) -> float:
    """Amps of the table at 30 degC, for one or two loaded conductors.

        between printed sizes: straight in log area and log amps

    Parameters
        family: `AWG`, `SAE` or `mm2` [-]
        size: gauge number, or nominal section in mm2 [- or mm2]
        column_c: column by insulation temperature, from `insulation_column_c` [-]
    Returns
        amps [A]
    Raises
        OutsideTable: thinner or thicker than the column's sizes.
        ValueError: no such column.
    Reference
        33 CFR 183.425 table 5.

    >>> table_amps_a("AWG", 10, 105)
    60.0
    """
    if column_c not in _columns():
        raise ValueError(f"the table has no column {column_c}; it has {', '.join(map(str, _columns()))}")
    points = _ampacity(column_c)
    family, size = _labelled(family, size)
    if family == "AWG":
        for gauge, _, amps in points:
            if gauge == size:
                return amps
    area_m2 = copper_area_m2(family, size)
    thinnest, thickest = points[0], points[-1]
    if area_m2 < thinnest[1] * (1.0 - _SAME):
        raise OutsideTable(f"thinner than {thinnest[0]:g} AWG, where the table begins")
    if area_m2 > thickest[1] * (1.0 + _SAME):
        raise OutsideTable(f"thicker than the largest size of the {column_c} degC column")
    logs = [(math.log(area), math.log(amps)) for _, area, amps in points]
    return math.exp(_between(logs, min(max(math.log(area_m2), logs[0][0]), logs[-1][0])))


@cache
def bundling_factor(loaded_count: int) -> float:
    """What table amps are multiplied with when conductors that carry current at the same time run together.

    Parameters
        loaded_count: loaded conductors of the bundle, two for each lead [-]
    Returns
        factor, 1 for up to two [-]
    Raises
        ValueError: count below 1.
    Reference
        ABYC E-11 and 33 CFR 183.435(b).

    >>> [bundling_factor(count) for count in (2, 3, 6, 7, 25)]
    [1.0, 0.7, 0.6, 0.5, 0.4]
    """
    if loaded_count < 1:
        raise ValueError("a bundle has one loaded conductor at least")
    return next(row.number("factor") for row in reversed(rows("bundling")) if loaded_count >= row.number("from_count"))


@cache
def standard_sizes(family: str) -> tuple[float, ...]:
    """Sizes that a workshop buys, from thin to thick; ValueError for an unknown family."""
    if family not in FAMILIES:
        raise ValueError(f"unknown wire family {family!r}; known: {', '.join(FAMILIES)}")
    return tuple(row.number("size") for row in rows("sizes") if row.cells["family"] == family)


@cache
def time_constant_s(family: str, size: float) -> float:
    """Time after which a lead has warmed by 63 % of its final rise.

    Parameters
        family: `AWG`, `SAE` or `mm2` [-]
        size: gauge number, or nominal section in mm2 [- or mm2]
    Returns
        time constant [s]
    Valid
        still air; from 18 to 6 AWG, beyond that the end pieces go on straight in log area and log time.
    Raises
        ValueError: as `copper_area_m2`.
    Reference
        worked out for a lump of copper and insulation at 45 K rise: capacity over final heat, which is up to 10 %
        less than the time to 63 %, for cool copper makes less heat; walls as thin as usual wire has them (judgement).

    >>> time_constant_s("AWG", 12)
    94.0
    """
    points = _time_constants()
    family, size = _labelled(family, size)
    if family == "AWG":
        for gauge, _, seconds in points:
            if gauge == size:
                return seconds
    logs = [(math.log(area), math.log(seconds)) for _, area, seconds in points]
    return math.exp(_between(logs, math.log(copper_area_m2(family, size))))


@cache
def standard_fuses_a() -> tuple[float, ...]:
    """Standard fuse ratings, rising [A]. Source: NEC 240.6(A), below 15 A from memory."""
    return tuple(row.number("rating_a") for row in rows("fuse_ratings"))


LOW_CIRCUIT_V = 50.0
"""Nominal volts below which 33 CFR 183.455(c) lets a fuse be larger than the conductor's amps."""


def fuse_factor(circuit_v: float) -> float:
    """Largest fuse over the amps of the conductor: 1.5 below 50 V, 1 from there on. Source: 33 CFR 183.455(c)."""
    item = "fuse below 50 V" if circuit_v < LOW_CIRCUIT_V else "fuse at 50 V and above"
    return items("wires")[item]["factor"].value


def largest_fuse_a(conductor_a: float, circuit_v: float) -> float:
    """Largest fuse that guards a conductor.

        below 50 V: 1.5 I; from 50 V on: I, or the next standard size if that is at most 1.5 I

    Parameters
        conductor_a: table amps after ambient and bundling [A]
        circuit_v: nominal voltage of the highest pack that feeds it [V]
    Returns
        fuse rating, below 50 V and between standard sizes not itself one of them [A]
    Raises
        ValueError: amps not above zero.
    Reference
        33 CFR 183.455(c).

    >>> largest_fuse_a(60.0, 42.0), largest_fuse_a(60.0, 54.6), largest_fuse_a(33.0, 54.6)
    (90.0, 60.0, 35.0)
    """
    if not conductor_a > 0.0:
        raise ValueError("amps of a conductor must be above 0")
    limit_a = fuse_factor(circuit_v) * conductor_a
    most_a = items("wires")["next fuse size"]["factor"].value * conductor_a
    if limit_a >= most_a:
        return limit_a
    next_a = next((rating_a for rating_a in standard_fuses_a() if rating_a >= limit_a * (1.0 - _SAME)), None)
    return next_a if next_a is not None and next_a <= most_a * (1.0 + _SAME) else limit_a


@cache
def _columns() -> tuple[int, ...]:
    return tuple(int(column) for column in rows("ampacity")[0].cells if column.isdecimal())


@cache
def _ampacity(column_c: int) -> tuple[tuple[float, float, float], ...]:
    """(gauge, area, amps) of a column, thin to thick."""
    found = []
    for row in rows("ampacity"):
        amps = row.number_or_none(str(column_c))
        if amps is not None:
            gauge = row.number("gauge_awg")
            found.append((gauge, awg_area_m2(gauge), amps))
    return tuple(found)


@cache
def _time_constants() -> tuple[tuple[float, float, float], ...]:
    return tuple((size, awg_area_m2(size), value) for size, value in _sized("AWG", "time constant"))


@cache
def _sae_shares() -> tuple[tuple[float, float], ...]:
    """Copper of SAE wire over that of the same AWG number, by rising number."""
    return tuple(sorted((size, area_m2 / awg_area_m2(size)) for size, area_m2 in _sized("SAE", "copper area")))


@cache
def _class5_shares() -> tuple[tuple[float, float], ...]:
    """Copper by resistance over the nominal section, by rising section."""
    rho_ohm_m = copper_resistivity_ohm_m(_CELSIUS_20_K)
    return tuple((size, rho_ohm_m / ohm_per_m / (size * 1e-6)) for size, ohm_per_m in _sized("mm2", "resistance"))


def _sized(family: str, name: str) -> list[tuple[float, float]]:
    """(size, value) of every item such as `12 AWG` that has the figure."""
    return [
        (float(item.split()[0]), figures[name].value)
        for item, figures in items("wires").items()
        if item.endswith(f" {family}") and name in figures
    ]


def _between(points: Sequence[tuple[float, float]], x: float) -> float:
    """Straight between points of rising x; the end pieces go on beyond the ends."""
    rising, values = zip(*points, strict=True)
    return on_line(rising, values, x, beyond=True)


def awg_words(mm2: float) -> str:
    """A size in mm2 on the other scale: `12 AWG` where its copper is within 2 % of one, `between 12 and 11 AWG` else.

    Empty beyond 4/0 and below 40 AWG, where nobody wires a bike.

    >>> awg_words(3.31), awg_words(4.0), awg_words(500.0)
    ('12 AWG', 'between 12 and 11 AWG', '')
    """
    area_m2 = copper_area_m2("mm2", mm2)
    sizes = [size for size in range(-3, 41) if awg_area_m2(size) <= area_m2 * 1.02]
    if not sizes or area_m2 > awg_area_m2(-3) * 1.02:
        return ""
    thinner = sizes[0]
    if area_m2 <= awg_area_m2(thinner) * 1.02:
        return show_gauge("AWG", thinner)
    return f"between {show_gauge('AWG', thinner).removesuffix(' AWG')} and {show_gauge('AWG', thinner - 1)}"
