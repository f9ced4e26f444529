"""A joiner gets hotter than its limit, or too hot to touch.

What
    Estimates the temperature of each joiner's body with the whole load on one path, in the
    warmest air, as a band: how well a mount takes heat away is not known to better than that.
Why
    A diode turns half a volt of every ampere into heat, a closed box keeps it. Past its limit
    the blocking part fails short without a sign, and packs of different charge are then joined
    directly. Before that it burns fingers and softens the plugs beside it.
Limit
    diode: P = Vf I; ideal diode and plain: P = I^2 R, R growing with temperature

    dT = P0 r/(1 - P0 r a), r the thermal resistance of the mount, a = 0.6 % for each kelvin in a
    MOSFET, 0.39 % in copper, 0 in a diode; no answer means it never settles

    r: metal on the frame 2 to 3, open air 7 to 14, boxed 12 to 17 (assumption), wrapped 17 to
    23 K/W, for a body of about 60 x 40 x 20 mm

    stop: air + dT at the low end of r above the limit of the body (85 degC unless given)

    caution: air + dT in the middle of r above 60 degC, or measured above it: too hot to touch

    Peaks count with the body's time constant of 480 s: a climb of ten minutes is continuous.

    The sun can add 17 K more.
Do
    Metal body tight on the frame, air around it, never wrapped; an ideal diode in place of a
    diode; a lower setting of the controller.
Rider notices
    burning smell; joiner too hot to touch; hot box between the packs; smell of plastic on long hills
Fails
    in skerry-long-tail
    joiners.yoke.type: diode
    - joiners.yoke.resistance
    joiners.yoke.forward_voltage: 0.55 V
    joiners.yoke.mount: wrapped
Passes
    in skerry-long-tail
    joiners.yoke.mount: frame metal
Sources
    thermal resistances: derived for a small aluminium body in still air, 25 % either way; boxed
    assumption; 85 degC assumption; 60 degC: common practice; growth of a MOSFET's resistance:
    memory of data sheets; of copper: IEC 60028
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isinf

from packyoke.analysis.case import Case
from packyoke.analysis.harness.joiners import joiner_type
from packyoke.analysis.limits.heat import BODY_S, TOUCH_K, Warmth, heat_law, joiner_current_a, joiner_warmth
from packyoke.analysis.limits.margins import Limit, above
from packyoke.core.constants import ZERO_C_K
from packyoke.core.findings import Amount, Severity, shown
from packyoke.model import Joiner, known
from packyoke.rules.mends import lower_settings
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.readings import heeding_readings
from packyoke.rules.rule import Rule, joiners_on_ways

BETTER_MOUNTS = ("open air", "frame metal")
USUAL_IDEAL_OHM = 0.002
MIDDLE = 0.5


def check(case: Case, joiner: Joiner) -> Outcome:
    if joiner.built_in is not None:
        return None
    warmth = joiner_warmth(case, joiner.name)
    if above(warmth.low_k, joiner.body_limit_k):
        return _hot(case, joiner, warmth, stops=True)
    if above(warmth.middle_k, TOUCH_K):
        return _hot(case, joiner, warmth, stops=False)
    return PASSED


def _hot(case: Case, joiner: Joiner, warmth: Warmth, *, stops: bool) -> Failed:
    mount = known(joiner.mount, joiner, "mount")
    found_k = warmth.low_k if stops else warmth.middle_k
    loss = f"{shown(warmth.loss_w)} W at {shown(warmth.current_a)} A, {mount}"
    found = Amount(found_k - ZERO_C_K, "degC", f"{'or more' if stops else 'or so'} ({loss})")
    if isinf(found_k):
        found = Amount(warmth.loss_w, "W", f"before it warms up, and more with every degree ({loss})")
    limit_k = joiner.body_limit_k if stops else TOUCH_K
    bears_a = joiner_current_a(case, joiner, limit_k, 0.0 if stops else MIDDLE)
    cool_a = joiner_current_a(case, joiner, TOUCH_K, MIDDLE)
    limits = [Limit(each, by="heat", warms_s=BODY_S, law=heat_law(joiner)) for each in (bears_a, cool_a)]
    return Failed(
        severity=Severity.STOP if stops else Severity.CAUTION,
        message="gets hotter than its limit" if stops else "gets too hot to touch",
        found=found,
        limit=Amount(limit_k - ZERO_C_K, "degC", f"reached at {shown(bears_a)} A"),
        why=(
            "Overheated blocking parts fail short without a sign, and the packs are then joined directly."
            if stops
            else "It burns fingers and softens what lies against it; sun on it adds to this."
        ),
        do="Mount it with its metal on the frame, or take a joiner that makes less heat.",
        field="mount",
        mends=(_mounts(joiner, mount), _ideal(joiner), lower_settings(case, joiner.path, limits)),
    )


def _mounts(joiner: Joiner, mount: str) -> Sequence[Mend]:
    better = BETTER_MOUNTS[BETTER_MOUNTS.index(mount) + 1 :] if mount in BETTER_MOUNTS else BETTER_MOUNTS
    texts = {"open air": "Mount it in open air", "frame metal": "Mount it with its metal tight on the frame"}
    return [Mend(texts[each], (Change(joiner.path, "mount", each),)) for each in better]


def _ideal(joiner: Joiner) -> Sequence[Mend]:
    if joiner_type(joiner) != "diode":
        return ()
    changes = (
        Change(joiner.path, "type", "ideal-diode"),
        Change(joiner.path, "resistance_ohm", USUAL_IDEAL_OHM),
        Change(joiner.path, "forward_v", None),
    )
    return (Mend("An ideal-diode joiner of 2 mohm in its place", changes),)


RULE = heeding_readings(
    Rule(
        name="joiner-overheats",
        kind="danger",
        doubt="how hot the joiner gets",
        page=__doc__ or "",
        basis=("estimate, 25 % of the rise either way",),
        parts=joiners_on_ways,
        check=check,
    )
)
