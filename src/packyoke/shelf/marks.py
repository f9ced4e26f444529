"""Voltages printed on fuses, breakers and switches that are usually a.c. marks."""

from __future__ import annotations

AC_MARKS_V = frozenset(
    (
        110.0,
        115.0,
        120.0,
        125.0,
        127.0,
        220.0,
        230.0,
        240.0,
        250.0,
        277.0,
        300.0,
        347.0,
        380.0,
        400.0,
        415.0,
        440.0,
        480.0,
        500.0,
        600.0,
        690.0,
    )
)
"""Mains voltages of IEC 60038 and the marks of parts for them (IEC 60269, IEC 60127, UL 248): from memory."""
DC_FAMILIES = frozenset(("battery link",))
"""Families that are made and marked for d.c. only: IEC 60269-7."""

AC_TWINS_V = {"class t": 300.0, "10x38": 500.0, "miniature": 250.0, "breaker": 400.0}
"""What is printed on parts of the same body that are made for a.c.: UL 248-15, IEC 60269-2, IEC 60127-2, IEC 60898-1,
from memory."""


def ac_twin_v(family: str) -> float | None:
    """The usual mark on a fuse or breaker of the same body that is made for a.c.; None where there are none.

    >>> ac_twin_v("10x38"), ac_twin_v("blade")
    (500.0, None)
    """
    return AC_TWINS_V.get(" ".join(family.casefold().split()))


def looks_ac(volts_v: float, family: str | None = None) -> bool:
    """Whether a printed voltage is a usual a.c. mark, so that nobody can tell that it is the d.c. one.

    A battery link is marked for d.c. whatever the figure.

    >>> looks_ac(250.0, "miniature"), looks_ac(58.0, "blade"), looks_ac(500.0, "battery link"), looks_ac(160.0)
    (True, False, False, False)
    """
    return volts_v in AC_MARKS_V and (family or "").casefold() not in DC_FAMILIES
