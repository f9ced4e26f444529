"""A mains plug or inlet is used for battery current.

What
    An outlet, an inlet, a lead or a charger's plug on this bike is a connector that belongs to the
    mains.
Why
    Sooner or later somebody plugs it into a wall socket, or the battery into something that expects
    mains: the pack explodes or the rider is electrocuted. Mains switches and contacts also do not
    break direct current.
Limit
    None: no mains connector on the battery side, whatever its rating.
Do
    Change both halves for a family made for direct current, on the charger as well.
Rider notices
    charger plug looks like that of a kettle or computer
Fails
    in skerry-long-tail
    chargers.counter.plug: C13
Passes
    in skerry-long-tail
    chargers.counter.plug: 5.5 mm barrel
Sources
    IEC 60320 families are appliance couplers for the mains (memory); common practice.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import plug_of
from packyoke.analysis.harness.mating import is_mains
from packyoke.core.findings import Severity
from packyoke.model import Charger, Controller, End, Joiner, Lead, Pack, Part
from packyoke.rules.outcome import PASSED, Failed, Outcome
from packyoke.rules.rule import Rule


def parts(case: Case) -> Iterable[Part]:
    build = case.build
    return chain(
        build.packs.values(),
        build.joiners.values(),
        build.leads.values(),
        build.controllers.values(),
        build.chargers.values(),
    )


def check(case: Case, part: Part) -> Outcome:
    if isinstance(part, Charger):
        plug = plug_of(case, part)
        return _failed(plug, "plug") if plug is not None and is_mains(plug) else PASSED
    for field, end in _ends(part):
        if end is not None and is_mains(end.family):
            return _failed(str(end), field)
    return PASSED


def _ends(part: Part) -> Iterable[tuple[str, End | None]]:
    if isinstance(part, Lead):
        return (("ends", part.ends[0]), ("ends", part.ends[1]))
    if isinstance(part, Pack):
        return (("outlet", part.outlet), ("charge_inlet", part.charge_inlet))
    if isinstance(part, Controller):
        return (("inlet", part.inlet),)
    assert isinstance(part, Joiner)
    found: list[tuple[str, End | None]] = [("inlets", inlet) for inlet in part.inlets]
    found += [("outlets", outlet) for outlet in part.outlets]
    if part.charge_port is not None:
        found.append(("", part.charge_port.inlet))
    return found


def _failed(name: str, field: str) -> Failed:
    return Failed(
        severity=Severity.STOP,
        message=f"{name} is a mains connector",
        why="Somebody will plug it into a wall socket, or the pack into something that expects mains: the pack "
        "explodes, or somebody is electrocuted.",
        do="Change both halves for a family made for direct current, on the charger as well.",
        field=field,
    )


RULE = Rule(
    name="mains-connector",
    kind="danger",
    doubt="whether its connector belongs to the mains",
    page=__doc__ or "",
    basis=("IEC 60320, from memory", "common practice"),
    parts=parts,
    check=check,
)
