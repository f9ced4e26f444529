"""Braking current cannot go where it should: no way back into the packs, or more than they take.

What
    A controller that brakes with the motor pushes current back. And a direct-drive hub makes
    voltage whenever it is rolled fast enough, whether braking is set or not.
Why
    Behind a joiner that blocks, the current finds only the controller's capacitors, and the voltage
    jumps within a millisecond: controller, joiner, lamps and converters die, and the brake lets go
    in the moment it is needed. A pack that takes less than the brake gives is overcharged or trips.
Limit
    Any braking current with a blocking joiner between the controller and a pack; or more braking
    current than a pack may be charged with, all controllers together, as if it were plugged in
    alone; a pack that is not charged at its outlet takes none. Caution: braking into cells below
    0 degC, with `coldest` or, if that is higher, the temperature below which the controller does
    not brake; and braking that goes on above the full charge of a pack + 0.5 % (`stops_at`).
    Direct-drive hub behind a joiner that blocks: v = v0 V/V0 with the lowest ceiling of what the
    voltage reaches; stop below 45 km/h, caution below 65 km/h, else a note (judgement). With
    nothing that blocks the packs hold the voltage, and from v0 V/V0 with V their full charge on
    they are charged, whatever is set: caution below 45 km/h, else a note.
Do
    Switch braking off in the controller's settings. With a direct-drive hub use parts with a higher
    ceiling, and keep the speed down on descents.
Rider notices
    bike cuts out when braking; brake by motor stops working; lights burst downhill; controller dies
    on a descent
Fails
    in skerry-long-tail
    controller.regen: {current: 8 A}
Passes
    in skerry-long-tail
    controller.regen: none
Sources
    Proportionality of speed and motor voltage, charge of a capacitor (physics); 45 and 65 km/h
    (judgement).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, isfinite

from packyoke.analysis.case import Case
from packyoke.analysis.charging.meant import HIGHEST_SHARE
from packyoke.analysis.circuit.bus import Ceiling, braking_rise_s, ceilings, hub_speed_m_s, hub_voltage_v
from packyoke.analysis.circuit.currents import blocked_ahead, brakes_into, braking_a, surely_brakes
from packyoke.analysis.circuit.load import full_charge_v
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.limits.margins import above
from packyoke.analysis.limits.settings import at_most_a
from packyoke.analysis.packs.voltages import highest_full_charge
from packyoke.core.constants import KM_H, ZERO_C_K
from packyoke.core.findings import Amount, Severity, shown
from packyoke.core.words import listed
from packyoke.model import Controller, Joiner, Pack, known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule, controllers

STOP_BELOW_M_S = 45 * KM_H
CAUTION_BELOW_M_S = 65 * KM_H
AT_ONCE_S = 0.5
"""No hand lets go of a brake sooner: judgement."""
COLD_K = ZERO_C_K
"""Lithium cells, LFP too, are not charged below this: common practice."""


def check(case: Case, controller: Controller) -> Outcome:
    names = harness(case).packs_behind.get(controller.path)
    if not names:
        return None
    bike = case.build.bike
    if controller.regen_a is None:
        known(bike.drive_type, bike, "drive_type")
    regen_a = known(controller.regen_a, controller, "regen_a")
    if regen_a > 0.0:
        packs = [case.build.packs[name] for name in names]
        for pack in packs:
            joiner = blocked_ahead(case, pack.path, controller)
            if joiner is not None:
                return _blocked(case, controller, joiner)
        least = _takes_least(case, packs)
        if least is not None:
            return _overcharged(case, controller, *least)
        cold = _cold(case, controller, regen_a)
        if cold is not None:
            return cold
    if known(bike.drive_type, bike, "drive_type") != "direct-drive hub":
        return PASSED
    if not any(blocked_ahead(case, case.build.packs[name].path, controller) for name in names):
        return _driven(case, controller)
    return _rolled(case, controller)


def _blocked(case: Case, controller: Controller, joiner: Joiner) -> Failed:
    rise_s = braking_rise_s(case, controller)
    at_once = rise_s is not None and rise_s < AT_ONCE_S
    soon = "at once it is past what the controller bears" if at_once else "nothing holds it back"
    return Failed(
        severity=Severity.STOP,
        message="brakes into a joiner that lets nothing back",
        why=f"Through {joiner.name} nothing flows back. "
        f"The current finds only the capacitors, and the voltage jumps: {soon}. What hangs on it dies, and the "
        "brake lets go.",
        do="Switch braking off in the controller's settings.",
        field="regen_a",
        cause="braking",
        also=(joiner,),
        mends=((_off(controller),),),
    )


def _off(controller: Controller) -> Mend:
    return Mend("Switch braking off in the controller's settings", (Change(controller.path, "regen_a", 0.0),))


def _takes_least(case: Case, packs: list[Pack]) -> tuple[float, Pack] | None:
    """Of the packs that get too much when plugged in alone the one that takes least; those whose limit is known come
    first."""
    worst: tuple[float, Pack] | None = None
    for pack in sorted(packs, key=lambda pack: pack.charges_at_outlet and pack.charge_a is None):
        if worst is not None and pack.charges_at_outlet and pack.charge_a is None:
            break
        limit_a = known(pack.charge_a, pack, "charge_a") if pack.charges_at_outlet else 0.0
        if above(braking_a(case, pack.path), limit_a) and (worst is None or limit_a < worst[0]):
            worst = limit_a, pack
    return worst


def _overcharged(case: Case, controller: Controller, limit_a: float, pack: Pack) -> Outcome:
    """Said once, at the first of the controllers that brake into a pack. One of which the file does not say that it
    does is named where those are not too much alone; where it says so of none, each is asked about."""
    into = brakes_into(case, pack.path)
    sure = [each for each in into if surely_brakes(case, each)]
    if controller is not (sure[0] if sure else controller):
        return PASSED
    braking = (
        sure if above(_braked_a(sure), limit_a) else [controller, *(each for each in into if each is not controller)]
    )
    total_a = _braked_a(braking)
    mends = []
    for each in braking:
        setting_a = at_most_a(limit_a - total_a + (each.regen_a or 0.0))
        if setting_a > 0.0:
            of = f" of {each.name}" if each is not controller else ""
            change = Change(each.path, "regen_a", setting_a)
            mends.append(Mend(f"Set braking{of} to at most {shown(setting_a)} A", (change,)))
    mends.append(_off(controller))
    if len(braking) > 1:
        changes = tuple(change for each in braking for change in _off(each).changes)
        mends.append(Mend(f"Switch braking off in {listed(each.name for each in braking)}", changes))
    unguarded = [] if pack.charges_at_outlet else _unguarded(case, controller)
    why = "its cells age and plate, or its protection opens and the brake lets go."
    if unguarded:
        why = "nothing stops the charge when a cell is full, too cold or too hot; an overcharged lithium cell burns."
    return Failed(
        severity=Severity.STOP,
        kind="danger" if unguarded else "",
        message="brakes with more current than a pack takes",
        found=Amount(total_a, "A", f"({_from(braking)}into {pack.name} alone)"),
        limit=Amount(limit_a, "A", f"(charging of {pack.name})"),
        why=f"Plugged in alone, {pack.name} gets all of it: {why}",
        do="Switch braking off in the controller's settings.",
        field="regen_a",
        cause="braking",
        also=(*braking[1:], *(unguarded or (pack,))),
        mends=(mends,),
    )


def _braked_a(controllers: Sequence[Controller]) -> float:
    return sum(each.regen_a or 0.0 for each in controllers)


def _unguarded(case: Case, controller: Controller) -> list[Pack]:
    """The packs behind a controller that are not charged at their outlets, so that braking there is never right."""
    behind = harness(case).packs_behind[controller.path]
    return [pack for name, pack in case.build.packs.items() if name in behind and not pack.charges_at_outlet]


def _from(braking: Sequence[Controller]) -> str:
    return f"from {listed(each.name for each in braking)} " if len(braking) > 1 else ""


def _cold(case: Case, controller: Controller, regen_a: float) -> Failed | None:
    """Braking into cells that are too cold to be charged."""
    stops_k = controller.regen_not_below_k
    coldest_k = case.build.coldest_k
    lowest_k = coldest_k if stops_k is None else max(coldest_k, stops_k)
    if not above(COLD_K, lowest_k):
        return None
    return Failed(
        severity=Severity.CAUTION,
        message="brakes into cells that are too cold to be charged",
        found=Amount(lowest_k - ZERO_C_K, "degC", f"with {shown(regen_a)} A of braking"),
        limit=Amount(COLD_K - ZERO_C_K, "degC"),
        relation="at least",
        why="Charged below 0 degC, lithium cells grow lithium metal inside: they lose charge and may short later.",
        do="Switch braking off in the cold, or use a controller that does so by itself.",
        field="regen_not_below_k",
        cause="cold",
        mends=(
            (
                Mend(
                    "A controller set not to brake below 0 degC",
                    (Change(controller.path, "regen_not_below_k", COLD_K),),
                ),
                _off(controller),
            ),
        ),
    )


def _beyond_full(case: Case, controller: Controller) -> Outcome:
    """A controller that is set to brake on above the full charge of a pack, where what it brakes with can go there."""
    packs = [case.build.packs[name] for name in harness(case).packs_behind.get(controller.path, ())]
    if not packs or (controller.regen_a is None and controller.regen_stops_at_v is None):
        return None  # whether it brakes at all is asked first
    if known(controller.regen_a, controller, "regen_a") == 0.0:
        return None
    if any(blocked_ahead(case, pack.path, controller) for pack in packs) or _takes_least(case, packs) is not None:
        return None
    pack = min(packs, key=full_charge_v)
    full_v = full_charge_v(pack)
    stops_v = known(controller.regen_stops_at_v, controller, "regen_stops_at_v")
    if not above(stops_v, HIGHEST_SHARE * full_v):
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message="brakes on when a pack is full",
        found=Amount(stops_v, "V", "where it stops braking") if isfinite(stops_v) else None,
        limit=Amount(full_v, "V", f"full charge of {pack.name}"),
        why="At the top of a hill a full pack is charged on: its protection opens, the voltage jumps, and the brake "
        "lets go.",
        do=f"Set the controller to stop braking at {shown(full_v)} V, or start long descents with room in the packs.",
        field="regen_stops_at_v",
        cause="full",
        also=(pack,),
        mends=(
            (
                Mend(
                    f"Set the controller to stop braking at {shown(full_v)} V",
                    (Change(controller.path, "regen_stops_at_v", full_v),),
                ),
                _off(controller),
            ),
        ),
    )


def _driven(case: Case, controller: Controller) -> Outcome:
    """Nothing blocks: the packs hold the voltage, and rolled faster than unloaded the hub charges them."""
    full_v = highest_full_charge(case, controller.path).volts_v
    speed_m_s = hub_speed_m_s(case, controller, full_v)
    return Failed(
        severity=Severity.CAUTION if above(STOP_BELOW_M_S, speed_m_s) else Severity.NOTE,
        message="rolled fast, the hub charges the packs, and nothing limits that",
        found=Amount(speed_m_s / KM_H, "km/h", f"(with the packs at {shown(full_v)} V, earlier when they are empty)"),
        limit=Amount(STOP_BELOW_M_S / KM_H, "km/h"),
        relation="at least",
        why="A direct-drive hub makes voltage as it turns, braking or not. Above its unloaded speed current flows into "
        "the packs, full or cold as they are; when their protection opens, the voltage jumps.",
        do=f"Stay below {shown(speed_m_s / KM_H)} km/h downhill, and start long descents with room in the packs.",
        cause="rolling",
        also=(case.build.bike,),
    )


def _rolled(case: Case, controller: Controller) -> Failed:
    reached = ceilings(case, controller)
    stated = [(each.limit_v, each.part) for each in reached if each.limit_v is not None]
    lowest_v, part = min(stated, key=lambda each: each[0], default=(None, controller))
    if lowest_v is None or not above(STOP_BELOW_M_S, hub_speed_m_s(case, controller, lowest_v)):
        for each in reached:
            known(each.limit_v, each.part, each.attr)
    assert lowest_v is not None
    speed_m_s = hub_speed_m_s(case, controller, lowest_v)
    if above(STOP_BELOW_M_S, speed_m_s):
        severity, limit_m_s = Severity.STOP, STOP_BELOW_M_S
    else:
        severity = Severity.CAUTION if above(CAUTION_BELOW_M_S, speed_m_s) else Severity.NOTE
        limit_m_s = CAUTION_BELOW_M_S
    needed_v = ceil(hub_voltage_v(case, controller, CAUTION_BELOW_M_S))
    weak = [each for each in reached if each.limit_v is None or each.limit_v < needed_v]
    names = ", ".join(each.part.name for each in weak)
    slow = f"Stay below {shown(speed_m_s / KM_H)} km/h, downhill as well."
    return Failed(
        severity=severity,
        message="rolled fast, the hub lifts the voltage past what is connected",
        found=Amount(
            speed_m_s / KM_H, "km/h", f"(there it makes {shown(lowest_v)} V, the most that {part.name} takes)"
        ),
        limit=Amount(limit_m_s / KM_H, "km/h"),
        relation="at least",
        why="A direct-drive hub makes voltage as it turns, braking or not, and downhill nothing switches it off. "
        f"{part.name} dies first.",
        do=f"Change {names} for parts that bear {needed_v} V. {slow}" if weak else slow,
        field="voltage_max_v" if part is controller else "",
        cause="rolling",
        also=(case.build.bike,) if part is controller else (part, case.build.bike),
        mends=((_stronger(weak, needed_v),),) if weak else (),
    )


def _stronger(weak: list[Ceiling], needed_v: int) -> Mend:
    names = ", ".join(each.part.name for each in weak)
    return Mend(
        f"Change {names} for parts that bear {needed_v} V (reached at {shown(CAUTION_BELOW_M_S / KM_H)} km/h)",
        tuple(Change(each.part.path, each.attr, float(needed_v)) for each in weak),
    )


RULE = Rule(
    name="regen-trapped",
    kind="damage",
    doubt="whether what the motor pushes back can go into the packs",
    page=__doc__ or "",
    basis=("motor voltage and charge of a capacitor; 45 and 65 km/h are judgement",),
    parts=controllers,
    check=check,
    besides=(_beyond_full,),
)
