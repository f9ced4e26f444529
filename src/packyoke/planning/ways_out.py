"""The nearest ways out when nothing passes: each was planned to the end before it is named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import floor
from typing import Protocol

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.mating import exposure, is_bare, mate_of, mates
from packyoke.analysis.limits.leads import inlet_index
from packyoke.analysis.limits.margins import mated
from packyoke.analysis.limits.settings import at_least_a
from packyoke.core.findings import one, shown
from packyoke.core.paths import PartPath, path_to
from packyoke.model import Build, Controller, End, Joiner
from packyoke.model.build import NOWHERE
from packyoke.model.shop import NO_RATES, OtherShelf, ShelfItem, Stock
from packyoke.planning.catalogue import BLOCKING
from packyoke.planning.effort import Effort
from packyoke.planning.result import NoPlan, Stuck, WayOut

LEAST_A = 1.0
BEST_MOUNT = "frame metal"
WAYS_OUT = 150_000
"""Steps of the search for all ways out together: less than a second."""
FOR_ONE, FOR_EACH = 50_000, 10_000
"""Of them for one at the most, and for each at the least."""
MOST_BEYOND = 300_000
"""Where all of them have taken so much more none is begun: of a bike of which little is known one takes long."""
MOST_ROOMS = 4
"""Places where room for one more joiner is tried."""


def ways_out(
    build: Build, shop: Stock | None, prefer: Sequence[str], answer: NoPlan
) -> tuple[tuple[WayOut, ...], bool]:
    """Changes, one at a time, with which there is a plan; whether some were not tried to their end."""
    from packyoke.planning.plan import make_plan

    def passes(changed: Build, stock: Stock | None = shop) -> bool:
        mine = effort.part(FOR_EACH, FOR_ONE, again=0, reserve=FOR_ONE)
        if effort.left < -MOST_BEYOND:
            untried.append(True)
            return False
        try:
            make_plan(changed, stock, prefer, brief=True, effort=mine)
        except Stuck:
            untried.append(mine.gone)
            return False
        return True

    effort = Effort(WAYS_OUT)
    untried: list[bool] = []
    found = []
    joiners = (_first_joiner, _blocking_joiner, _larger_joiner, _better_mount, _more_room)
    for way in (_other_ends, _capped_inlets, _lower_current, *joiners):
        found += list(way(build, shop, passes))
    found = found or [*_two_together(build, shop, passes)]
    return tuple(found), any(untried)


class Passes(Protocol):
    """Whether there is a plan for a build that was changed, from the shop's shelf or from another one."""

    def __call__(self, changed: Build, stock: Stock | None = ..., /) -> bool: ...


def _other(shop: Stock | None, items: Sequence[ShelfItem]) -> OtherShelf:
    """The shop's shelf with other items."""
    return OtherShelf(shop.file, items, shop.rates) if shop is not None else OtherShelf("", items, NO_RATES)


def _first_joiner(build: Build, shop: Stock | None, passes: Passes) -> Iterator[WayOut]:
    """A joiner for the whole load and the highest full charge, where there is none at all."""
    items = list(shop.items) if shop is not None else []
    outlet = next((pack.outlet for pack in build.packs.values() if pack.outlet is not None), None)
    if build.joiners or any(item.section == "joiners" for item in items) or outlet is None:
        return
    needed_a, volts_v = _asked(build)
    inlet = mate_of(outlet)
    joiner = Joiner(
        name="joiner",
        path=path_to("joiners", "joiner"),
        span=NOWHERE,
        spans={},
        type="ideal-diode",
        ceiling_v=volts_v,
        current_continuous_a=needed_a,
        blocks_in="positive",
        inlets=(inlet, inlet),
        outlets=(outlet,),
    )
    if passes(build, _other(shop, [*items, ShelfItem(section="joiners", part=joiner)])):
        yield WayOut(
            f"a joiner that blocks (ideal-diode), {shown(needed_a)} A a path, for {shown(volts_v)} V or more, "
            f"with inlets {inlet} and outlet {outlet}"
        )


def _asked(build: Build) -> tuple[float, float]:
    """The rating that bears the whole load, accessories included [A], and the highest full charge [V]."""
    asked = [each.adjustable_a or each.limit_a or 0.0 for each in build.controllers.values()]
    taps = [each.current_a or 0.0 for each in build.accessories.values()]
    volts_v = max((pack.full_charge_v or 0.0 for pack in build.packs.values()), default=0.0)
    return at_least_a(sum(asked) + sum(taps)), volts_v


def _blocking_joiner(build: Build, shop: Stock | None, passes: Passes) -> Iterator[WayOut]:
    """Joiners that block in place of plain ones, through which packs feed each other."""
    plain = [each for each in build.joiners.values() if each.type == "plain" and each.built_in is None]
    blocking = {each.name: replace(each, type="ideal-diode", blocks_in="positive", bonded=None) for each in plain}
    if plain and passes(replace(build, joiners={**build.joiners, **blocking})):
        changes = tuple((each.path, "type", "ideal-diode") for each in plain)
        yield WayOut(f"an ideal-diode joiner in place of {' and '.join(blocking)}", changes)


def _other_ends(build: Build, shop: Stock | None, passes: Passes) -> Iterator[WayOut]:
    """Ends that go onto what they are plugged into, or adapters, where given leads have others."""
    case = Case(build)
    leads = dict(build.leads)
    said = []
    for name, lead in build.leads.items():
        ends = list(lead.ends)
        for index, (own, other) in enumerate(mated(case, lead)):
            if not lead.direct and own is not None and other is not None and not mates(case, own, other):
                ends[index] = mate_of(other)
                at = (lead.source, lead.target)[index]
                said.append(f"{mate_of(other)} on {name} at {at}, or an adapter with it to {mate_of(own)}")
        leads[name] = replace(lead, ends=(ends[0], ends[1]))
    if said and passes(replace(build, leads=leads)):
        other_ends = (lead for name, lead in leads.items() if lead.ends != build.leads[name].ends)
        changes = tuple((lead.path, "ends", lead.ends) for lead in other_ends)
        yield WayOut("; ".join(said), changes)


def _capped_inlets(build: Build, shop: Stock | None, passes: Passes) -> Iterator[WayOut]:
    """Sockets under a cap in inlets of plain joiners that no lead goes to, where pins would be live."""
    case = Case(build)
    joiners, said, changes = dict(build.joiners), [], []
    for joiner in build.joiners.values():
        used = {inlet_index(case, lead) for lead in harness(case).feeding(joiner.name)}
        inlets = list(joiner.inlets)
        for index, end in enumerate(joiner.inlets):
            if index not in used and end is not None and exposure(end) is not None and not is_bare(end.family):
                inlets[index] = End(end.family, "socket", "socket")
        if joiner.type == "plain" and inlets != list(joiner.inlets):
            joiners[joiner.name] = replace(joiner, inlets=tuple(inlets))
            said.append(f"sockets with a cap in the inlets of {joiner.name} that no lead goes to")
            changes.append((joiner.path, "inlets", tuple(inlets)))
    if said and passes(replace(build, joiners=joiners)):
        yield WayOut("; ".join(said), tuple(changes))


def _lower_current(build: Build, shop: Stock | None, passes: Passes) -> Iterator[WayOut]:
    """The highest whole figure that the one controller may be set to."""
    if len(build.controllers) != 1:
        return
    (controller,) = build.controllers.values()
    limit_a = controller.adjustable_a or controller.limit_a
    if limit_a is None or limit_a <= LEAST_A or not passes(_set_to(build, controller, LEAST_A)):
        return
    low, high = int(LEAST_A), floor(limit_a) if limit_a == floor(limit_a) else floor(limit_a) + 1
    while high - low > 1:
        between = (low + high) // 2
        if passes(_set_to(build, controller, float(between))):
            low = between
        else:
            high = between
    name = "the controller" if controller.name == "controller" else controller.name
    yield WayOut(f"{name} limited to {low} A", tuple(_limits(controller, float(low))))


def _two_together(build: Build, shop: Stock | None, passes: Passes) -> Iterator[WayOut]:
    """A lower current together with joiners on the frame, where neither is enough."""
    mounted = _on_frame(build)
    for way in _lower_current(mounted, shop, passes):
        changes = tuple((each.path, "mount", BEST_MOUNT) for each in _remounted(build, mounted))
        yield WayOut(f"the joiners with their metal tight on the frame, and {way.text}", (*changes, *way.changes))


def _limits(controller: Controller, amps: float) -> Iterator[tuple[PartPath, str, float]]:
    yield controller.path, "limit_a", amps
    if controller.adjustable_a is not None:
        yield controller.path, "adjustable_a", amps
    if controller.falls_to_a is not None:
        yield controller.path, "falls_to_a", min(controller.falls_to_a, amps)


def _set_to(build: Build, controller: Controller, amps: float) -> Build:
    for path, attr, value in _limits(controller, amps):
        build = build.with_value(path, attr, value)
    return build


def _larger_joiner(build: Build, shop: Stock | None, passes: Passes) -> Iterator[WayOut]:
    """Joiners of the same kind that bear the whole load and the highest full charge."""
    needed_a, volts_v = _asked(build)
    items = list(shop.items) if shop is not None else []
    joiners = [each for each in build.joiners.values() if each.type in BLOCKING]
    on_shelf = [item for item in items if item.section == "joiners" and isinstance(item.part, Joiner)]
    if not joiners and not on_shelf:
        return
    larger = {each.name: _larger(each, needed_a, volts_v) for each in joiners}
    changed = replace(build, joiners={**build.joiners, **larger})
    stock = _other(shop, [_larger_item(item, needed_a, volts_v) for item in items]) if shop is not None else None
    if passes(changed, stock):
        words = one(f"{shown(needed_a)} A joiner, for {shown(volts_v)} V or more")
        changes = tuple(
            (each.path, attr, getattr(each, attr))
            for each in larger.values()
            for attr in ("current_continuous_a", "ceiling_v")
            if getattr(each, attr) != getattr(build.joiners[each.name], attr)
        )
        yield WayOut(words, changes)


def _larger_item(item: ShelfItem, needed_a: float, volts_v: float) -> ShelfItem:
    return replace(item, part=_larger(item.part, needed_a, volts_v)) if isinstance(item.part, Joiner) else item


def _larger(joiner: Joiner, needed_a: float, volts_v: float) -> Joiner:
    return replace(
        joiner,
        current_continuous_a=max(joiner.current_continuous_a or 0.0, needed_a),
        ceiling_v=max(joiner.ceiling_v or 0.0, volts_v),
    )


def _better_mount(build: Build, shop: Stock | None, passes: Passes) -> Iterator[WayOut]:
    """Joiners with their metal on the frame."""
    mounted = _on_frame(build)
    changed = _remounted(build, mounted)
    places = any(place.mount != BEST_MOUNT for place in build.places.values())
    if (changed or places) and passes(mounted):
        yield WayOut(
            "the joiners with their metal tight on the frame",
            tuple((each.path, "mount", BEST_MOUNT) for each in changed),
        )


def _on_frame(build: Build) -> Build:
    joiners = {
        name: replace(each, mount=BEST_MOUNT) if each.built_in is None else each for name, each in build.joiners.items()
    }
    places = {name: replace(each, mount=BEST_MOUNT) for name, each in build.places.items()}
    return replace(build, joiners=joiners, places=places)


def _remounted(build: Build, mounted: Build) -> list[Joiner]:
    return [each for name, each in mounted.joiners.items() if each.mount != build.joiners[name].mount]


def _more_room(build: Build, shop: Stock | None, passes: Passes) -> Iterator[WayOut]:
    """Room for one more joiner at a place."""
    for name, place in list(build.places.items())[:MOST_ROOMS]:
        roomier = replace(place, holds=place.holds + 1)
        if passes(replace(build, places={**build.places, name: roomier})):
            yield WayOut(f"room for one more joiner at {name}", ((place.path, "holds", roomier.holds),))
            return
