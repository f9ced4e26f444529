"""Which charger may go on which pack, and why the others may not.

Every decision about a pair is made by the same functions of `charging` that the rules about chargers ask. What is not
known is tried at the ends of its span, as the check does: a pair on which that decides is not decided.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf
from typing import Literal, NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.charging import meant as charging
from packyoke.analysis.charging.at_once import plugged_in_with
from packyoke.analysis.charging.bands import ChargeBand
from packyoke.analysis.charging.contacts import TWICE_THE_HEAT, weakest_contact
from packyoke.analysis.charging.order import Times, times
from packyoke.analysis.charging.port import ChargedAsOne
from packyoke.analysis.circuit.bonded import group_of
from packyoke.analysis.circuit.currents import charged_together
from packyoke.analysis.circuit.load import full_charge_v
from packyoke.analysis.harness.changed import with_value
from packyoke.analysis.harness.joining import tied
from packyoke.analysis.limits.margins import above
from packyoke.analysis.unknowns.spans import ends, first_asked
from packyoke.core.words import listed
from packyoke.model import Charger, Key, Pack, Part, Unknown, known

EFFICIENCY = 0.85
"""Of chargers, from the mains socket to the pack, where the file does not give their mains power: judgement."""
NEARLY_FULL = 0.97
"""A pack that ends below this is not what people call full: judgement."""
MOST_TRIED = 32
LAYERED = ("NMC", "NCA", "LMO blend")
BESIDE = "not beside"
"""Of a reason: with other chargers it is too much for the pack."""
HARDLY = "hardly charged"
"""Of a reason: the charger was made for fewer cells in series."""


class Reason(NamedTuple):
    """Why a charger may not go on a pack, or what is to be known about it; `found` and `limit` in SI units.

    `weight`: `no`; `caution`; `note`. Kinds: see `WORDS` of the report.
    """

    kind: str
    weight: Literal["no", "caution", "note"]
    found: float = 0.0
    limit: float = 0.0
    other: str = ""


@dataclass(frozen=True, slots=True)
class Pairing:
    """One charger and one pack. `asks` are the fields on which an undecided one hangs; `times` where it may be used and
    enough is known, else `missing` names the field."""

    charger: str
    pack: str
    verdict: Literal["yes", "no", "not known"]
    reasons: tuple[Reason, ...]
    asks: tuple[Key, ...]
    times: Times | None = None
    wall_j: float | None = None
    missing: Key | None = None

    @property
    def fills(self) -> bool:
        """Whether the pack is full when it is done; so it is taken where no time is known."""
        return self.times is None or self.times.end_fraction >= NEARLY_FULL

    @property
    def is_done(self) -> bool:
        """Whether there is nothing that it puts into the pack."""
        return self.times is not None and self.times.full_s <= 0.0


def mains_w(charger: Charger) -> float | None:
    """What a charger takes from the mains [W]: as marked, else its output over `EFFICIENCY`."""
    if charger.mains_power_w is not None:
        return charger.mains_power_w
    if charger.output_v is None or charger.current_a is None:
        return None
    return charger.output_v * charger.current_a / EFFICIENCY


def efficiency(charger: Charger) -> float:
    output_w = (charger.output_v or 0.0) * (charger.current_a or 0.0)
    return min(1.0, output_w / charger.mains_power_w) if charger.mains_power_w and output_w else EFFICIENCY


Check = Callable[[Case, Charger, Pack], Reason | None]


def with_every_charger(case: Case, together: ChargedAsOne, pack: Pack, band: ChargeBand) -> list[Pairing]:
    """A pack with every charger: what is tried for the pack is tried in the same cases for all of them.

    Chargers of one kind are one question, for as long as it hangs on no other charger: those in joiners may meet.
    """
    after: Following = {}
    first: dict[tuple[object, ...], Pairing] = {}
    found = []
    for charger in case.build.chargers.values():
        kind = tuple([getattr(charger, attr) for attr in KIND])
        pairing = first.get(kind)
        if pairing is None:
            pairing = _pairing(case, together, charger, pack, band, after)
            beside = any(each.kind.startswith(BESIDE) for each in pairing.reasons)
            if (
                charger.through is None
                and not beside
                and {key.path for key in pairing.asks} <= {charger.path, pack.path}
            ):
                first[kind] = pairing
        else:
            pairing = _of_another(pairing, case.build.chargers[pairing.charger], charger)
        found.append(pairing)
    return found


KIND = tuple(attr for attr in Charger.__dataclass_fields__ if attr not in Part.__dataclass_fields__)
"""All that a file says of a charger but its name."""


def _of_another(pairing: Pairing, before: Charger, charger: Charger) -> Pairing:
    """The same said of another charger of the kind."""

    def own(key: Key) -> Key:
        return key._replace(path=charger.path) if key.path == before.path else key

    missing = pairing.missing and own(pairing.missing)
    return replace(pairing, charger=charger.name, asks=tuple(map(own, pairing.asks)), missing=missing)


def _pairing(
    case: Case, together: ChargedAsOne, charger: Charger, pack: Pack, band: ChargeBand, after: Following
) -> Pairing:
    checks: tuple[Check, ...] = (
        _meant,
        _sound,
        _obstacle,
        _socket,
        _voltage,
        _current,
        _port_current,
        _contact,
        _together,
        _at_once,
        _outlet,
        _split_lead,
        _mixup,
        lambda case, charger, pack: _temperature(case, charger, pack, band),
    )
    reasons: list[Reason] = []
    asks: dict[Key, None] = {}
    for check in checks:
        if check is _meant and _may_be_its_own(case, charger, pack):
            asks[Key(charger.path, "output_v")] = None
            continue
        found, open_keys = _tried(case, check, charger.name, pack.name, after)
        reasons += found
        asks.update(dict.fromkeys(open_keys))
        if check is _meant and found:
            # What it is not for is not looked at further, but for a plug that fits all the same. One that could burn
            # the pack is no danger for as long as it is kept off it.
            if found[0].kind == "dangerous":
                reasons.append(Reason("not listed", "no"))
            reasons += _tried(case, _mixup, charger.name, pack.name, after)[0]
            break
    if any(each.weight == "no" for each in reasons):
        return Pairing(charger.name, pack.name, "no", tuple(reasons), ())
    if asks:
        return Pairing(charger.name, pack.name, "not known", tuple(reasons), tuple(asks))
    try:
        refill = together.refill()
        current_a = known(charger.current_a, charger, "current_a")
        found_times = times(refill, current_a, charging.output_v(charger))
    except Unknown as unknown:
        missing = Key(unknown.part.path, unknown.attr)
        return Pairing(charger.name, pack.name, "yes", tuple(reasons), (), missing=missing)
    # A charger takes nothing out of a pack that is fuller than what it fills one to.
    found_times = found_times._replace(end_fraction=max(refill.start_fraction, found_times.end_fraction))
    wall_j = found_times.energy_j / efficiency(charger)
    return Pairing(charger.name, pack.name, "yes", tuple(reasons), (), found_times, wall_j)


Following = dict[tuple[Case, Key], tuple[Case, ...]]
"""The cases that follow one, a value of a missing field in each: all checks try their values in the same."""


def _tried(case: Case, check: Check, charger: str, pack: str, after: Following) -> tuple[list[Reason], tuple[Key, ...]]:
    """What a check says whatever the missing values are; else the fields on which it hangs.

    A caution that only some of the values bring about is no caution: nothing in the file calls for it.
    """
    open_cases: list[tuple[Case, tuple[Key, ...]]] = [(case, ())]
    found: list[Reason | None] = []
    asked: dict[Key, None] = {}
    while open_cases:
        here, keys = open_cases.pop()
        try:
            found.append(check(here, here.build.chargers[charger], here.build.packs[pack]))
            continue
        except Unknown as unknown:
            part, attr = first_asked(unknown.part, unknown.attr)
        key = Key(part.path, attr)
        asked[key] = None
        following = after.get((here, key))
        if following is None:
            following = tuple([with_value(here, key, value) for value in ends(here.build, part, attr)])
            after[here, key] = following
        if not following or key in keys or len(found) + len(open_cases) > MOST_TRIED:
            return [], tuple(asked)
        open_cases += [(each, (*keys, key)) for each in following]
    said = [each for each in found if each is not None]
    worst = [each for each in said if each.weight == "no"]
    if worst and len(worst) < len(found):
        return [], tuple(asked)
    if len(said) < len(found):
        return [], ()
    lightest = min(said, key=lambda each: (each.weight == "caution", each.kind == HARDLY))
    if len({*said}) > 1:
        # A figure that rests on a tried value is not to be printed.
        kind = "whatever" if worst else f"{lightest.kind}, whatever"
        return [Reason(kind, lightest.weight, other=lightest.other)], ()
    return [lightest], ()


def _meant(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    if charging.concerns(case, charger.name, pack.name):
        return None
    if charger.output_v is None and charger.fits is not None:
        return Reason("not listed", "no")
    charger_v, full_v = charging.output_v(charger), full_charge_v(pack)
    fit = charging.voltage_fit(charger_v, full_v)
    if fit == charging.TOO_HIGH:
        return _too_high(charger, pack)
    if fit in (charging.TOO_LOW, charging.FAR_TOO_LOW):
        return Reason("too low", "no", charger_v, full_v)
    if charger.fits is not None:
        return Reason("not listed", "no")
    kind = charging.NOT_BEHIND if charger.through else "another plug"
    return Reason(kind, "no", other=charger.through or "")


def _may_be_its_own(case: Case, charger: Charger, pack: Pack) -> bool:
    """Whether a charger of which neither output nor packs are in the file may be made for a pack: it suits none at
    either end of what its output may be, and between them it may."""
    said = charger.output_v is not None or charger.fits is not None or charger.y_lead or charger.through is not None
    return not said and charging.plugs_into(case, charger, pack)


def _sound(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    condition = known(pack.condition, pack, "condition")
    return None if condition == "sound" else Reason("unsound", "no", other=condition)


def _too_high(charger: Charger, pack: Pack) -> Reason:
    cell_v, ceiling_v = charging.cell_v(charger, pack), charging.ceiling_v(pack)
    if above(cell_v, ceiling_v):
        return Reason("dangerous", "no", cell_v, ceiling_v)
    return Reason("too high", "no", charging.output_v(charger), full_charge_v(pack))


def _obstacle(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    found = charging.obstacle(case, charger.name, pack.name)
    return Reason(found.kind, "no", other=found.joiner.name) if found is not None else None


def _socket(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    """A pack that is never charged, or a plug that goes into none of its sockets, or into a wrong one."""
    if charger.through is not None:
        return None
    if charging.never_charged(pack):
        return Reason("never", "no")
    if charging.other_plug(case, charger, pack):
        return Reason("another plug", "no")
    return Reason("discharge outlet", "no") if charging.unguarded_outlet(charger, pack) else None


def _voltage(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    charger_v, full_v = charging.output_v(charger), full_charge_v(pack)
    fit = charging.voltage_fit(charger_v, full_v)
    if fit == charging.TOO_HIGH:
        return _too_high(charger, pack)
    if fit == charging.RIGHT:
        return None
    if fit == charging.FAR_TOO_LOW:
        return Reason(HARDLY, "caution", charger_v, full_v)
    return Reason("never full", "caution" if fit == charging.TOO_LOW else "note", charger_v, full_v)


def _current(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    limit_a = charging.charge_limit_a(pack)
    current_a = known(charger.current_a, charger, "current_a") if limit_a is not None else charger.current_a
    if limit_a is None and charging.never_charged(pack):
        return None
    if limit_a is None:
        usual_a = max(ends(case.build, pack, "charge_a"), default=0.0)
        fast = current_a is not None and above(current_a, usual_a)
        return Reason("own socket fast", "caution", current_a or 0.0, usual_a) if fast else Reason("own socket", "note")
    assert current_a is not None
    bonded = group_of(case, pack.name)  # the lower one of packs that are joined for good takes everything
    limits = (charging.charge_limit_a(case.build.packs[name]) for name in (bonded.packs if bonded else ()))
    limit_a = min((limit_a, *(each for each in limits if each is not None)))
    return Reason("too much current", "no", current_a, limit_a) if above(current_a, limit_a) else None


def _port_current(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    port = charging.port_of(case, charger)
    if port is None:
        return None
    limit_a, current_a = known(port.current_a, port, "current_a"), known(charger.current_a, charger, "current_a")
    if not above(current_a, limit_a):
        return None
    return Reason("port too small", "no", current_a, limit_a, charger.through or "")


def _contact(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    worst = weakest_contact(case, charger, (pack,))
    if worst is None:
        return None
    current_a = known(charger.current_a, charger, "current_a")
    if not above(current_a, worst.limit_a):
        return None
    stops = above(current_a, TWICE_THE_HEAT * worst.limit_a)
    return Reason("contact", "no" if stops else "caution", current_a, worst.limit_a, worst.family)


def _together(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    """Chargers in several joiners, each within the limit of a pack, that work into it at one time."""
    amps, names = charged_together(case, pack.path)
    others = [name for name in names if name != charger.name]
    if len(others) in (0, len(names)) or not pack.charges_at_outlet:
        return None
    limit_a = known(pack.charge_a, pack, "charge_a")
    return Reason("not together", "caution", amps, limit_a, " and ".join(others)) if above(amps, limit_a) else None


def _at_once(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    """Chargers at packs' own sockets, with each other or with those in joiners."""
    found = plugged_in_with(case, charger, pack.name)
    if found is None:
        return None
    others = listed(each.name for each in found.chargers if each is not charger)
    return Reason(BESIDE, "caution", found.current_a, found.limit_a, others)


def _outlet(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    if charger.through is None or charging.guarded_at_outlet(pack):
        return None
    return Reason("not at the outlet", "no", other=charger.through)


def _split_lead(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    if pack.name not in charger.y_lead or len(charger.y_lead) < 2:
        return None
    pair = tied(case, charger.y_lead)
    return Reason("split lead", "no", other=" and ".join(pair)) if pair is not None else None


def _mixup(case: Case, charger: Charger, pack: Pack) -> Reason | None:
    if charging.concerns(case, charger.name, pack.name):
        return None
    goes_in = charging.mixed_up(case, charger, pack) or charging.too_fast(case, charger, pack)
    return Reason("same plug", "caution") if goes_in else None


def _temperature(case: Case, charger: Charger, pack: Pack, band: ChargeBand) -> Reason | None:
    if band.share == 0.0:
        return Reason("too cold" if band.from_k == -inf else "too hot", "no")
    if band.cell_v is None:
        return None
    chemistry = known(pack.chemistry, pack, "chemistry")
    layered = chemistry in LAYERED
    if layered and not above(charging.cell_v(charger, pack), band.cell_v):
        return None
    if band.share < 1.0:
        limit_a = charging.charge_limit_a(pack)
        if limit_a is None:
            return Reason("cold: own socket", "no")
        current_a = known(charger.current_a, charger, "current_a")
        if not above(current_a, band.share * limit_a):
            return None
        return Reason("cold: half current", "no", current_a, band.share * limit_a)
    if not layered:
        return Reason("warm: other cells", "no", other=chemistry)
    return Reason("warm: less voltage", "no", charging.cell_v(charger, pack), band.cell_v)
