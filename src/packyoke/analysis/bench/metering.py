"""What a meter shows: whether packs may be plugged together now, and whether a pack or joiner is what it is said to be.

Which pack can feed which, and how large a rush is, comes from `joining`, as for the check.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal, NamedTuple

from packyoke.analysis.bench.as_built import VOLTAGE_BAND
from packyoke.analysis.bench.beyond_limits import NOTHING_SHARE
from packyoke.analysis.case import Case, once
from packyoke.analysis.charging.meant import guarded_at_outlet
from packyoke.analysis.circuit.conducting import standing
from packyoke.analysis.circuit.curves import Demand, NotATree, OperatingPoint, operating_point
from packyoke.analysis.circuit.load import full_charge_v
from packyoke.analysis.circuit.network import lower, tree
from packyoke.analysis.harness.joiners import joiner_type
from packyoke.analysis.harness.joining import (
    AT_MOST_V,
    SLOW_PER_HOUR,
    apart_for_v,
    feeds,
    meetings,
    on_at_once,
    rushes,
    together,
)
from packyoke.analysis.limits.contacts import contact
from packyoke.analysis.limits.margins import above, contact_limit, end_places, lead_limit
from packyoke.analysis.packs.unequal import unequal
from packyoke.analysis.packs.voltages import lowest_cut_off_v, series_count
from packyoke.analysis.unknowns.spans import OHMIC_SHARE, ends
from packyoke.core.constants import AH_C
from packyoke.core.paths import name_of, path_to
from packyoke.model import Build, Joiner, Key, Lead, Pack, Part, Unknown, known
from packyoke.model.order import natural
from packyoke.shelf.chemistry import chemistry, pack_resistance_span_ohm, series_rows

JoinAnswer = Literal["yes", "not yet", "no"]

EMPTY_SHARE = 1.05
"""At rest no more than this above the lowest cut-off: empty or nearly so. Judgement."""
A_LITTLE_OVER = 0.02
"""So little above full a meter or a charger that is off is likelier than another count of cells. Judgement."""
NEAR_FULL_SHARE, GROUP_BAND = 0.97, 0.10
"""A pack this near to full beside one that is one cell's voltage lower, to within a tenth: judgement."""


class Oddity(NamedTuple):
    """A reading that does not go with its pack: `kind`, how much it weighs, what it is held against [V], and words."""

    kind: str
    pack: str
    verdict: Literal["no", "not yet", "caution"]
    limit_v: float = 0.0
    other: str = ""
    counts: tuple[tuple[int, float], ...] = ()
    asks: Key | None = None


class Crossing(NamedTuple):
    """Two packs, the higher first, and what happens when they are plugged in together.

    `rush_a` flows in the first moment, `later_a` 10 s later [A]. `charge_to_v`, `ride_to_v`: to where the lower may be
    charged, or the higher ridden, so that they may be joined. `turned`: they touch only while a selector changes over.
    kind: `blocks`, `apart` (they never meet), `turns` (a selector), `rush`, `unequal`, `two ways`, `not known`.
    """

    higher: str
    lower: str
    kind: str
    verdict: JoinAnswer
    difference_v: float
    joiner: str = ""
    allowed_v: float = 0.0
    rush_a: float = 0.0
    limit_a: float = 0.0
    limited_by: str = ""
    slow_a: float | None = None
    asks: Key | None = None
    charge_to_v: tuple[float, float] | None = None
    ride_to_v: tuple[float, float] | None = None
    later_a: float = 0.0
    turned: bool = False


@dataclass(frozen=True, slots=True)
class RestingReading:
    """What the resting voltages say: oddities of packs, and each two of them that are plugged in together."""

    volts_v: Mapping[str, float]
    oddities: tuple[Oddity, ...]
    crossings: tuple[Crossing, ...]

    @property
    def verdict(self) -> JoinAnswer:
        said = {each.verdict for each in self.oddities} | {each.verdict for each in self.crossings}
        return "no" if "no" in said else "not yet" if "not yet" in said else "yes"


def read_voltages(case: Case, volts_v: Mapping[str, float]) -> RestingReading:
    """Whether packs with these voltages at rest may be plugged in together.

    Parameters
        case: the build with the measured packs only
        volts_v: voltages at rest by pack [V]
    Returns
        oddities, crossings, verdict
    Valid
        the rush is that of the first moment, at the lowest resistances that the file allows; leads of which the limit
        is not known are not judged.
    """
    odd = [oddity for name, volts in volts_v.items() for oddity in _oddities(case.build.packs[name], volts)]
    odd += _one_group_less(case.build, volts_v)
    order = _highest_first(volts_v)
    brisk = Case(brisk_build(case.build))
    crossings = [_crossing(case, brisk, high, low, volts_v) for high, low in combinations(order, 2)]
    return RestingReading(volts_v, tuple(odd), tuple(crossings))


def _oddities(pack: Pack, volts_v: float) -> Iterator[Oddity]:
    if pack.condition not in (None, "sound"):
        yield Oddity("unsound", pack.name, "no", other=pack.condition or "")
    try:
        full_v, count = full_charge_v(pack), series_count(pack)
    except Unknown as unknown:
        yield Oddity("not known", pack.name, "not yet", asks=Key(unknown.part.path, unknown.attr))
        return
    lowest_v = lowest_cut_off_v(pack, count)
    if volts_v < NOTHING_SHARE * lowest_v:
        yield Oddity("nothing there", pack.name, "not yet", lowest_v)
    elif above(volts_v, (1 + VOLTAGE_BAND) * full_v):
        slight = volts_v <= (1 + A_LITTLE_OVER) * full_v
        counts = () if slight else _other_counts(pack, count, volts_v)
        yield Oddity("above full", pack.name, "no", full_v, counts=counts)
    elif above(lowest_v, volts_v):
        yield Oddity("below cut-off", pack.name, "no", lowest_v, counts=_other_counts(pack, count, volts_v))
    elif volts_v < EMPTY_SHARE * lowest_v:
        yield Oddity("nearly empty", pack.name, "caution", lowest_v)


def _other_counts(pack: Pack, count: int, volts_v: float) -> tuple[tuple[int, float], ...]:
    """Cells in series, with their full charge, of packs sold under this label (else any) that can show this voltage."""
    found = chemistry(pack.chemistry) if pack.chemistry else None
    if found is None:
        return ()
    rows = [
        row
        for row in series_rows()
        if found.name in row.chemistries
        and row.series_count != count
        and row.series_count * found.minimum_v <= volts_v <= row.full_v * (1 + VOLTAGE_BAND)
    ]
    labelled = [row for row in rows if pack.label_v in row.labels_v]
    return tuple((row.series_count, row.full_v) for row in labelled or rows if labelled or not row.rare)


def _one_group_less(build: Build, volts_v: Mapping[str, float]) -> Iterator[Oddity]:
    """A pack that stands one cell's voltage below one like it that is about full: perhaps a dead group of cells."""
    for high, low in combinations(_highest_first(volts_v), 2):
        full, other = build.packs[high], build.packs[low]
        if full.series is None or (full.series, full.chemistry) != (other.series, other.chemistry):
            continue
        cell_v = volts_v[high] / full.series
        near_full = full.full_charge_v is not None and volts_v[high] >= NEAR_FULL_SHARE * full.full_charge_v
        if near_full and abs(volts_v[high] - volts_v[low] - cell_v) <= GROUP_BAND * cell_v:
            yield Oddity("one group less", low, "caution", cell_v, high)


def _highest_first(volts_v: Mapping[str, float]) -> list[str]:
    """The packs by their voltages, of equal ones by their names: in whatever order they were read."""
    return sorted(volts_v, key=lambda name: (-volts_v[name], natural(name)))


def brisk_build(build: Build) -> Build:
    """The build at the resistances that make a rush largest, and at the least that packs may be charged with.

    What is not known stands at the lower end of its span; where there is none it stays unknown.
    """
    for pack in build.packs.values():
        ohm = pack.resistance_ohm
        if ohm is None and pack.series is not None and pack.capacity_coulomb is not None:
            ohm = pack_resistance_span_ohm(pack.series, pack.capacity_coulomb, pack.cells)[0]
        if ohm is not None:
            build = build.with_value(pack.path, "resistance_ohm", OHMIC_SHARE * ohm)
        if pack.charge_a is None and pack.charges_at_outlet and pack.capacity_coulomb is not None:
            build = build.with_value(pack.path, "charge_a", min(ends(build, pack, "charge_a")))
    lows: list[tuple[Part, str]] = [(joiner, "resistance_ohm") for joiner in build.joiners.values()]
    lows += [(joiner, "forward_v") for joiner in build.joiners.values()]
    lows += [(lead, "length_m") for lead in build.leads.values()]
    for part, attr in lows:
        if getattr(part, attr) is None:
            build = build.with_value(part.path, attr, min(ends(build, part, attr)))
    for lead in build.leads.values():
        if lead.gauge is None:
            build = build.with_value(lead.path, "gauge", ends(build, lead, "gauge")[-1])
    return replace(build, accessories={})


def _crossing(case: Case, brisk: Case, high: str, low: str, volts_v: Mapping[str, float]) -> Crossing:
    apart_v = volts_v[high] - volts_v[low]
    packs = case.build.packs

    def found(kind: str, verdict: JoinAnswer, joiner: str = "") -> Crossing:
        return Crossing(high, low, kind, verdict, apart_v, joiner)

    try:
        if not meetings(case, high, low):
            return found("apart", "yes")
        met = meetings(case, high, low)[0].joiner.name
        if not together(case, high, low):
            return found("turns", "yes", met)
        if unequal(packs[high], packs[low]):
            return found("unequal", "no", met)
        meeting = feeds(case, high, low)
        if meeting is None:
            return found("blocks", "yes", met)
        return _rush(brisk, meeting.joiner, high, low, volts_v)
    except NotATree:
        # Two ways between the packs: no tree, and no rush that could be worked out.
        return found("two ways", "not yet", met)
    except Unknown as unknown:
        part, attr = unknown.part, unknown.attr
        if isinstance(part, Pack) and attr in ("resistance_ohm", "charge_a") and part.capacity_coulomb is None:
            attr = "capacity_coulomb"
        return Crossing(high, low, "not known", "not yet", apart_v, asks=Key(part.path, attr))


def _rush(brisk: Case, joiner: Joiner, high: str, low: str, volts_v: Mapping[str, float]) -> Crossing:
    """What flows into the lower pack, and how far apart the two may stand."""
    pack = brisk.build.packs[low]
    apart_v = volts_v[high] - volts_v[low]
    turned = joiner_type(joiner) == "selector"
    if apart_v > AT_MOST_V and pack.resistance_ohm is None:
        return Crossing(high, low, "rush", "no", apart_v, joiner.name, AT_MOST_V, limited_by="practice", turned=turned)
    each = rushes(brisk, joiner.name, 1.0)
    limit_a = known(pack.charge_a, pack, "charge_a") if guarded_at_outlet(pack) else 0.0
    allowed = [(AT_MOST_V, "practice", 0.0), (apart_for_v(limit_a, each.into[low].amps_a), low, limit_a)]
    if joiner.bonded is not None:
        allowed.append((joiner.bonded.by_v, "bond", 0.0))
    for path, flows_a in each.leads_a.items():
        bears_a = _lead_bears_a(brisk, brisk.build.leads[name_of(path)])
        if bears_a is not None:
            allowed.append((apart_for_v(bears_a, flows_a), name_of(path), bears_a))
    allowed_v, by, limit_a = min(allowed)
    at_once = next(names for names in on_at_once(brisk, joiner.name) if high in names and low in names)
    met_v = {name: volts_v[name] for name in at_once if name in volts_v}
    rush_a = rush_into_a(brisk, joiner.name, met_v)[low]
    slow_a = SLOW_PER_HOUR * pack.capacity_coulomb / AH_C if pack.capacity_coulomb is not None else None
    verdict: JoinAnswer = "no" if above(apart_v, allowed_v) else "yes"
    return Crossing(
        high,
        low,
        "rush",
        verdict,
        apart_v,
        joiner.name,
        allowed_v,
        rush_a,
        limit_a,
        by,
        slow_a,
        charge_to_v=_window(brisk.build.packs[low], volts_v[high], allowed_v),
        ride_to_v=_window(brisk.build.packs[high], volts_v[low], allowed_v),
        later_a=rush_into_a(_later(brisk), joiner.name, met_v)[low],
        turned=turned,
    )


@once
def _later(brisk: Case) -> Case:
    """The same 10 s after the first moment."""
    build = brisk.build
    for pack in build.packs.values():
        if pack.resistance_ohm is not None:
            build = build.with_value(pack.path, "resistance_ohm", pack.resistance_ohm / OHMIC_SHARE)
    return Case(build)


def _window(pack: Pack, other_v: float, allowed_v: float) -> tuple[float, float] | None:
    """The voltages of a pack that are near enough to another's, between its cut-off and full charge; None: none."""
    low_v = max(other_v - allowed_v, lowest_cut_off_v(pack, series_count(pack)))
    high_v = min(other_v + allowed_v, full_charge_v(pack))
    return (low_v, high_v) if low_v <= high_v else None


def rush_into_a(case: Case, joiner: str, volts_v: Mapping[str, float]) -> dict[str, float]:
    """Current into each pack at the moment when packs with these voltages are joined plainly, nothing drawn [A]."""
    root = standing(tree(case, joiner, volts_v, lower, plain=frozenset((joiner,))), set())
    point = operating_point(root, Demand(0.0))
    assert isinstance(point, OperatingPoint), "nothing drawn can always be delivered"
    return {name: max(0.0, -point.currents.get(path_to("packs", name), 0.0)) for name in volts_v}


def _lead_bears_a(case: Case, lead: Lead) -> float | None:
    """The lowest known limit of a lead: its wire or a contact at its ends."""
    found: list[float] = []
    with suppress(Unknown):
        wire = lead_limit(case, lead)
        found += [wire.continuous_a] if wire is not None else []
    for _, end in end_places(case, lead):
        with suppress(Unknown):
            each = contact(case, end) if end is not None else None
            limit = contact_limit(each) if each is not None else None
            found += [limit.continuous_a] if limit is not None else []
    return min(found, default=None)
