"""What a connector bears and costs: the shelf's figures, or those that the build file gives for it."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.model import End, Gauge, known
from packyoke.model.parts import ConnectorPart
from packyoke.shelf import connectors, wires

SEVERAL_CONTACTS_SHARE = 0.8
"""Contacts side by side never share evenly: assumption."""
SAME_GAUGE = 92 ** (1 / 39)
"""Copper area of half a gauge number (ASTM B258): a wire within it counts as that size."""


class Contact(NamedTuple):
    """One end of a lead as a conductor. `limit_a` is None for joints, which the wire decides."""

    family: str
    limit_a: float | None
    peak_a: float | None
    peak_s: float | None
    resistance_ohm: tuple[float, float]
    """Both poles together, as new: from, to."""
    ceiling_v: float | None
    wire_m2: tuple[float, float] | None
    contacts: str
    mains: bool
    practice: bool
    """Whether the limit is trade practice, memory or an estimate: then a caution band counts above it."""
    source: str


def contact(case: Case, end: End) -> Contact | None:
    """The connector of an end; None when neither the file nor the shelf knows its family."""
    return _contact(case, end.family)


def goes_onto(case: Case, end: End) -> tuple[str, ...]:
    """The families that the connector of an end goes onto, whatever it bears: its own, and what the file lists."""
    own, shelf = _described(case, end.family), connectors.connector(end.family)
    if own is not None:
        return (end.family, *own.mates)
    return (shelf.family if shelf is not None else end.family,)


def _described(case: Case, family: str) -> ConnectorPart | None:
    return next((part for name, part in case.build.connectors.items() if name.lower() == family.lower()), None)


@once
def _contact(case: Case, family: str) -> Contact | None:
    own = _described(case, family)
    shelf = connectors.connector(family)
    if own is not None:
        each_a = known(own.per_contact_a, own, "per_contact_a")
        count = own.contacts_each_pole
        limit_a = each_a if count == 1 else SEVERAL_CONTACTS_SHARE * each_a * count
        low_ohm, high_ohm = (own.contact_resistance_ohm,) * 2 if own.contact_resistance_ohm else (0.0002, 0.001)
        wire_m2 = (area_m2(own.wire[0]), area_m2(own.wire[1])) if own.wire else None
        return Contact(
            family,
            limit_a,
            None,
            None,
            (2 * low_ohm / count, 2 * high_ohm / count),
            own.ceiling_v,
            (min(wire_m2), max(wire_m2)) if wire_m2 else None,
            own.contacts or "pin and socket",
            False,
            True,
            "the build file",
        )
    if shelf is None:
        return None
    low_ohm, high_ohm = shelf.contact_resistance_ohm
    return Contact(
        shelf.family,
        shelf.per_contact_a,
        shelf.short_a,
        shelf.short_s,
        (2 * low_ohm, 2 * high_ohm),
        None,
        shelf.wire_m2,
        shelf.contacts,
        shelf.mains,
        True,
        shelf.source.title,
    )


def area_m2(gauge: Gauge) -> float:
    """Copper area of a wire size [m2]."""
    return wires.copper_area_m2(gauge.family, gauge.size)


def misfit(found: Contact, gauge: Gauge) -> int:
    """Whether a wire is too thin (-1) or too thick (1) for a connector, by more than half a gauge; 0 when it fits."""
    if found.wire_m2 is None:
        return 0
    thin_m2, thick_m2 = found.wire_m2
    wire_m2 = area_m2(gauge)
    if wire_m2 > thick_m2 * SAME_GAUGE:
        return 1
    return -1 if wire_m2 * SAME_GAUGE < thin_m2 else 0


def fits_ends(case: Case, ends: tuple[End | None, ...], gauge: Gauge) -> bool:
    """Whether a wire fits the connectors of these ends, as far as they are known."""
    found = (contact(case, end) for end in ends if end is not None)
    return all(each is None or misfit(each, gauge) == 0 for each in found)
