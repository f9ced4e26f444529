"""Which charger is meant for which pack, which packs it reaches, and what stands in the way."""

from __future__ import annotations

from typing import NamedTuple

from packyoke.analysis.case import Case, once
from packyoke.analysis.charging.plugs import same_plug
from packyoke.analysis.circuit.load import cut_off_v, full_charge_v
from packyoke.analysis.circuit.network import lets_back
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import is_plain, joiner_type
from packyoke.analysis.harness.mating import is_mains
from packyoke.analysis.tolerance import above
from packyoke.core.constants import ZERO_C_K
from packyoke.core.paths import PartPath, path_to
from packyoke.model import ChargePort, Charger, Joiner, Key, Lead, Pack, known
from packyoke.shelf.chemistry import chemistry

HIGHEST_SHARE = 1.005
"""Charger output over full-charge voltage: what chargers of the right kind scatter by. Common practice."""
LOWEST_SHARE = 0.95
"""Below this share of full charge a charger was not made for the pack. Common practice."""
HARDLY_SHARE = 0.82
"""Below this share of full charge a pack is at most half charged: the least nominal over full voltage of the cells that
the shelf has. Such a charger was made for fewer cells."""
RIGHT_SHARE = 0.99
"""From here on up to full charge a charger is the right one. Common practice."""

COLDEST_CHARGE_K = ZERO_C_K
"""No cell is charged colder than this, iron phosphate neither: data sheets, common practice."""

TOO_HIGH = "too high"
TOO_LOW = "too low"
FAR_TOO_LOW = "far too low"
SLIGHTLY_LOW = "slightly low"
RIGHT = "right"

BLOCKED = "blocked"
NOT_BEHIND = "not behind"
NOT_REACHED = "not reached"


MOST_STEPS = 120
"""Leads and joiners on one way."""


class ChargeObstacle(NamedTuple):
    """Why a charger plugged into a joiner does not charge a pack, and the joiner where it ends.

    `blocked`: current cannot flow that way; `not behind`: no lead leads there; `not reached`: the port was not made so.
    """

    kind: str
    joiner: Joiner


def output_v(charger: Charger) -> float:
    """What a charger puts out without a pack [V]."""
    return known(charger.output_v, charger, "output_v")


def voltage_fit(charger_v: float, full_v: float) -> str:
    """How a charger's output stands to the full charge of a pack that it is for.

    >>> voltage_fit(54.6, 54.6), voltage_fit(58.8, 54.6), voltage_fit(54.6, 58.8), voltage_fit(53.9, 54.6)
    ('right', 'too high', 'too low', 'slightly low')
    >>> voltage_fit(42.0, 54.6)
    'far too low'
    """
    if above(charger_v, HIGHEST_SHARE * full_v):
        return TOO_HIGH
    if above(LOWEST_SHARE * full_v, charger_v):
        return FAR_TOO_LOW if above(HARDLY_SHARE * full_v, charger_v) else TOO_LOW
    return SLIGHTLY_LOW if above(RIGHT_SHARE * full_v, charger_v) else RIGHT


def gives_nothing(charger: Charger, pack: Pack) -> bool:
    """Whether no current of a charger gets into a pack, however empty it is; one of unknown output may give some."""
    volts_v = charger.output_v
    if volts_v is None or voltage_fit(volts_v, full_charge_v(pack)) != FAR_TOO_LOW:
        return False
    return not above(volts_v, cut_off_v(pack))


def charge_limit_a(pack: Pack) -> float | None:
    """What a pack may be charged with [A].

    None for one that charges through a socket of its own, `charge: none`: it states no limit to compare with.
    """
    if not pack.charges_at_outlet and pack.charge_a is None:
        return None
    return known(pack.charge_a, pack, "charge_a")


def port_of(case: Case, charger: Charger) -> ChargePort | None:
    """The charge port that a charger is plugged into; None when it is not plugged into a joiner that has one."""
    return case.build.joiners[charger.through].charge_port if charger.through is not None else None


def guarded_at_outlet(pack: Pack) -> bool:
    """Whether the protection of a pack can stop current that comes in at its outlet."""
    return pack.charges_at_outlet and known(pack.charge_path, pack, "charge_path") == "common"


@once
def meant(case: Case, charger_name: str, pack_name: str) -> bool:
    """Whether a charger counts as meant for a pack: listed, on its split lead, or, where the file lists none, by plug.

    Without a list a charger is for whatever it can be plugged into, unless the pack has another charger that is right:
    then the wrong one is a matter of mixing them up. One that works through a joiner is for the packs behind it,
    through a port for those that the port was made for.
    """
    charger = case.build.chargers[charger_name]
    if pack_name in charger.y_lead:
        return True
    if charger.fits is not None:
        return pack_name in charger.fits
    if charger.through is not None:
        port = port_of(case, charger)
        reached = port is None or port.reaches is None or pack_name in port.reaches
        return reached and joiners_between(case, charger.through, pack_name) is not None
    pack = case.build.packs[pack_name]
    if not plugs_into(case, charger, pack):
        return False
    return _suits(charger, pack) or not _has_a_right_one(case, pack_name)


def _suits(charger: Charger, pack: Pack) -> bool:
    """Whether a charger's output is that of a charger made for the pack: at most 0.5 % above full and 5 % below."""
    return voltage_fit(output_v(charger), full_charge_v(pack)) in (RIGHT, SLIGHTLY_LOW)


@once
def _has_a_right_one(case: Case, pack_name: str) -> bool:
    pack = case.build.packs[pack_name]
    return any(each.output_v is not None and _right(case, each, pack) for each in case.build.chargers.values())


def _right(case: Case, charger: Charger, pack: Pack) -> bool:
    """Whether a charger is the right one for a pack: for it by list or by plug, not blocked, and of its voltage."""
    listed = pack.name in charger.y_lead or (charger.fits is not None and pack.name in charger.fits)
    if not listed and (charger.fits is not None or (charger.through is None and not plugs_into(case, charger, pack))):
        return False
    return obstacle(case, charger.name, pack.name) is None and _suits(charger, pack)


def plug_of(case: Case, charger: Charger) -> str | None:
    """The plug of a charger; None where nobody says anything of it: then any will do. Raises Unknown for a guess."""
    guess = Key(charger.path, "plug") in case.build.guesses
    return known(charger.plug, charger, "plug") if guess else charger.plug


def plugs_into(case: Case, charger: Charger, pack: Pack) -> bool:
    """Whether a charger can be plugged into a pack, as far as is known: plug and sockets are not known to differ."""
    if pack.charge_inlet is None:
        return True
    plug = plug_of(case, charger)
    return plug is None or same_plug(plug, pack.charge_inlet.family) or goes_into_outlet(plug, pack)


def goes_into_outlet(plug: str, pack: Pack) -> bool:
    """Whether a charger's plug goes into the discharge outlet of a pack, by family; not where that is a joint."""
    return pack.outlet is not None and pack.outlet.plus != "joint" and same_plug(plug, pack.outlet.family)


def never_charged(pack: Pack) -> bool:
    """Whether a pack is not charged at its outlet, and has no socket for it in the file."""
    return not pack.charges_at_outlet and pack.charge_inlet is None


def unguarded_outlet(charger: Charger, pack: Pack) -> bool:
    """Whether a charger goes into an outlet that must not be charged."""
    if pack.charges_at_outlet and pack.charge_path == "common":
        return False
    if pack.outlet is None or pack.outlet.plus == "joint":
        return False
    if not goes_into_outlet(known(charger.plug, charger, "plug"), pack):
        return False
    return not pack.charges_at_outlet or known(pack.charge_path, pack, "charge_path") == "separate"


def other_plug(case: Case, charger: Charger, pack: Pack) -> bool:
    """Whether a charger whose lines list a pack does not go into it; a split lead has ends of its own."""
    listed = charger.through is None and not charger.y_lead and pack.name in (charger.fits or ())
    inlet = pack.charge_inlet
    return listed and inlet is not None and not is_mains(inlet.family) and not plugs_into(case, charger, pack)


@once
def obstacle(case: Case, charger_name: str, pack_name: str) -> ChargeObstacle | None:
    """What keeps a charger that works through a joiner from a pack; None when nothing does, or without a joiner.

    A charge port lies on the pack side of its own joiner; joiners further in block as they always do. What the joiner
    feeds through plain joiners alone is reached too.
    """
    charger = case.build.chargers[charger_name]
    if charger.through is None:
        return None
    joiner = case.build.joiners[charger.through]
    between = joiners_between(case, joiner.name, pack_name)
    if between is None:
        beyond = path_to("packs", pack_name) in charge_ways(case, charger_name)
        return None if beyond else ChargeObstacle(NOT_BEHIND, joiner)
    port = joiner.charge_port
    if port is not None and port.reaches is not None and pack_name not in port.reaches:
        return ChargeObstacle(NOT_REACHED, joiner)
    for each in between[1:] if port is not None else between:
        if joiner_type(each) in ("diode", "ideal-diode"):
            return ChargeObstacle(BLOCKED, each)
    return None


def joiners_between(case: Case, joiner_name: str, pack_name: str) -> tuple[Joiner, ...] | None:
    """The joiners from one joiner back to a pack, itself included; None when it is not behind it."""
    joiners = case.build.joiners
    names = harness(case).back_to(pack_name, joiner_name, joiners)
    return None if names is None else tuple([joiners[name] for name in names])


def charge_ways(case: Case, charger_name: str) -> frozenset[str]:
    """The leads and joiners through which current of a charger in a joiner gets into a pack, by path.

    Through a charge port it enters on the pack side of the joiner, past its paths; else, or where the joiner is plain
    and keeps nothing apart, at the outlet, from where plain joiners further on let it into their other packs too.
    """
    name = case.build.chargers[charger_name].through
    if name is None:
        return frozenset()
    found = harness(case).charge_ways
    if name not in found:
        found[name] = _ways_from(case, case.build.joiners[name])
    return found[name]


def _ways_from(case: Case, joiner: Joiner) -> frozenset[str]:
    port = joiner.charge_port if joiner.charge_port is not None and not is_plain(joiner) else None
    allowed = port.reaches if port is not None else None
    found: set[str] = set()
    _into(case, joiner, port is not None, allowed, (), found, None)
    if port is None:
        _on(case, joiner, (), found, {joiner.name})
    return frozenset(found)


def _on(case: Case, joiner: Joiner, way: tuple[PartPath, ...], found: set[str], passed: set[str]) -> None:
    """On through the plain joiners that one feeds, into their other packs."""
    for lead in harness(case).onward(joiner.name):
        target = case.build.joiners.get(lead.target)
        if target is None or target.name in passed or not is_plain(target):
            continue
        passed.add(target.name)
        _into(case, target, False, None, (*way, lead.path), found, lead)
        _on(case, target, (*way, lead.path, target.path), found, passed)


def _into(
    case: Case,
    joiner: Joiner,
    past: bool,
    allowed: tuple[str, ...] | None,
    way: tuple[PartPath, ...],
    found: set[str],
    but: Lead | None,
) -> None:
    """Back through a joiner to its packs: `past` its paths, to `allowed` packs only, not `but` where it came from."""
    if not past:
        if not lets_back(joiner):
            return
        way = (*way, joiner.path)
    for lead in harness(case).feeding(joiner.name):
        if lead is but or lead.path in way or len(way) > MOST_STEPS:
            continue
        if lead.source in case.build.packs:
            if allowed is None or lead.source in allowed:
                found.update((*way, lead.path, path_to("packs", lead.source)))
        elif (inner := case.build.joiners[lead.source]).path not in way:
            _into(case, inner, False, allowed, (*way, lead.path), found, None)


def charges(case: Case, charger_name: str, pack_name: str) -> bool:
    """Whether a charger is one for a pack: nothing in the way, and listed, joined to it, or of its voltage and plug."""
    charger, pack = case.build.chargers[charger_name], case.build.packs[pack_name]
    if obstacle(case, charger_name, pack_name) is not None:
        return False
    if charger.through is not None or pack_name in charger.y_lead or charger.fits is not None:
        return charger.through is not None or meant(case, charger_name, pack_name)
    return _suits(charger, pack) and plugs_into(case, charger, pack)


def concerns(case: Case, charger_name: str, pack_name: str) -> bool:
    """Whether a charger must suit a pack: it is meant for it, or reaches it through a joiner, one further on too."""
    charger = case.build.chargers[charger_name]
    if charger.through is None or charger.fits is not None or charger.y_lead:
        return _concerns(case, charger, pack_name)
    # In a joiner, and for no packs by name: any other charger in that joiner is no different.
    found, key = harness(case).charged_through, (charger.through, pack_name)
    if key not in found:
        found[key] = _concerns(case, charger, pack_name)
    return found[key]


def _concerns(case: Case, charger: Charger, pack_name: str) -> bool:
    if charger.fits is not None and pack_name in charger.fits:
        return True
    return meant(case, charger.name, pack_name) or (
        charger.through is not None
        and (
            obstacle(case, charger.name, pack_name) is None
            or path_to("packs", pack_name) in charge_ways(case, charger.name)
        )
    )


@once
def plugs_for(case: Case, pack_name: str, but: str) -> frozenset[str]:
    """What the plugs into a pack look like: those of the chargers for it (one left out), and its own sockets."""
    build = case.build
    pack = build.packs[pack_name]
    found = {end.family for end in (pack.charge_inlet, pack.outlet) if end is not None}
    for charger in build.chargers.values():
        if charger.name != but and concerns(case, charger.name, pack_name):
            found.add(known(charger.plug, charger, "plug"))
    return frozenset(found)


def mixed_up(case: Case, charger: Charger, pack: Pack) -> bool:
    """Whether a charger that a pack has nothing to do with plugs into it with too high a voltage."""
    too_high = above(output_v(charger), HIGHEST_SHARE * full_charge_v(pack))
    return too_high and _goes_in(case, charger, pack)


def too_fast(case: Case, charger: Charger, pack: Pack) -> bool:
    """Whether a charger of the voltage of a pack that it is not for plugs into it with too much current."""
    limit_a = charge_limit_a(pack) if _suits(charger, pack) else None
    if limit_a is None or not above(known(charger.current_a, charger, "current_a"), limit_a):
        return False
    return _goes_in(case, charger, pack)


def _goes_in(case: Case, charger: Charger, pack: Pack) -> bool:
    plugs = plugs_for(case, pack.name, charger.name)
    return bool(plugs) and any(same_plug(known(charger.plug, charger, "plug"), each) for each in plugs)


def cell_v(charger: Charger, pack: Pack) -> float:
    """What each cell of a pack would be charged to by a charger, by voltage alone [V]."""
    return output_v(charger) / known(pack.series, pack, "series")


def ceiling_v(pack: Pack) -> float:
    """What a cell of this pack's chemistry must never pass [V]."""
    name = known(pack.chemistry, pack, "chemistry")
    found = chemistry(name)
    assert found is not None, f"the shelf has no {name}"
    return found.ceiling_v
