"""What the connectors between a charger and a pack, or a charge port, bear."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import plug_of, port_of
from packyoke.analysis.charging.plugs import called_family
from packyoke.analysis.limits.contacts import contact
from packyoke.model import Charger, End, Pack, Part
from packyoke.shelf import connectors

TWICE_THE_HEAT = 1.4
"""Between the rating and this many times it lies the caution band."""


class Bears(NamedTuple):
    """What a connector bears [A], the part that it is on, its family and where the figure is from."""

    limit_a: float
    part: Part
    family: str
    source: str


def families(case: Case) -> tuple[str, ...]:
    """All that a plug may be called by."""
    return (*case.build.connectors, *connectors.connector_names())


def weakest_contact(case: Case, charger: Charger, packs: Iterable[Pack]) -> Bears | None:
    """The connector on a charger's way to some packs that bears least, as far as it is known."""
    ends: list[tuple[Part, str]] = []
    plug = plug_of(case, charger)
    if plug is not None:
        ends.append((charger, called_family(plug, families(case))))
    port = port_of(case, charger)
    if port is not None:
        ends += [(port, port.inlet.family)] if port.inlet is not None else []
    elif charger.through is None:
        ends += [(pack, pack.charge_inlet.family) for pack in packs if pack.charge_inlet is not None]
    found = []
    for part, family in ends:
        for word in (" plug", " pin", " socket"):
            family = family.removesuffix(word)
        each = contact(case, End(family, "pin", "pin"))
        if each is not None and each.limit_a is not None:
            found.append(Bears(each.limit_a, part, each.family, each.source))
    return min(found, key=lambda each: each.limit_a, default=None)
