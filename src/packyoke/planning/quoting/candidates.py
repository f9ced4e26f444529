"""A customer's bike with other packs: what is taken off, what comes on, where it sits, which charger it takes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace
from itertools import repeat
from math import inf
from typing import NamedTuple, TypeVar

from packyoke.analysis.case import Case, if_known
from packyoke.analysis.charging.meant import charges
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.routes import part_of
from packyoke.analysis.limits.margins import above
from packyoke.core.findings import shown
from packyoke.core.paths import owner_of, path_inside, path_to
from packyoke.model import (
    CUSTOMER,
    Acceptance,
    Build,
    Charger,
    Controller,
    Joiner,
    Measured,
    Pack,
    Part,
    Place,
    RunBetween,
)
from packyoke.model.build import NOWHERE
from packyoke.model.shop import ShelfItem
from packyoke.planning.parts import free_name
from packyoke.planning.result import Refusal, Stuck

NEW = "sound"
"""What a pack of the shelf is taken for until somebody looks at it: the quote says that it is looked at first."""
LEAD_M = 0.5
"""Way of a lead where nobody has measured any: judgement, and the quote asks for the tape."""
MIDDLE = "between the packs"
MOST_NEW = 3
"""Joiners that come to one place at most."""
Told = TypeVar("Told", Measured, Acceptance)
Whole = TypeVar("Whole", Pack, Joiner, Controller, Charger)


OF_A_MODEL = ("chemistry", "series", "capacity_coulomb")
"""What packs of one model have in common, of what a file says."""


class Choice(NamedTuple):
    """Packs of the shelf that come on, by their names there; packs of the bike that come off."""

    added: tuple[str, ...] = ()
    off: tuple[str, ...] = ()


class CustomersBike(NamedTuple):
    """A customer's bike, ready for other packs.

    `build`: all of it his own, with places and ways; `cut`: leads into the controller that a new joiner replaces.
    `assumed`: whether ways were assumed. `place`, `rack`: where new packs sit.
    """

    build: Build
    cut: tuple[str, ...]
    assumed: bool
    place: str
    rack: str | None


class NewPack(NamedTuple):
    """A pack that comes on: its name on the bike, the item, and what the file says of it besides."""

    name: str
    item: ShelfItem
    place: str
    rack: str | None


def bike_of(build: Build, on: str = "") -> CustomersBike:
    """A bike that packs can be added to. Raises Stuck where its drawing leaves no way."""
    if len(build.controllers) != 1:
        said = "no controller" if not build.controllers else "two controllers"
        raise Stuck(Refusal(kind="drawing", text=f"a quote joins packs before one controller; the file has {said}"))
    if not build.packs:
        raise Stuck(Refusal(kind="drawing", text="the file describes no pack"))
    owned = _owned(build)
    place, rack = _where(build, on)
    cut = () if _has_room(build) else tuple(_last_leads(build))
    if build.places and build.runs:
        return CustomersBike(owned, cut, False, place, rack)
    return CustomersBike(_star(owned, place), cut, True, place, rack)


def with_choice(
    bike: CustomersBike, choice: Choice, items: Mapping[str, ShelfItem]
) -> tuple[Build, tuple[NewPack, ...]]:
    """The bike with a choice of packs, their leads still to be planned."""
    build = bike.build
    seats = dict(zip(_heaviest(choice.added, items), _seats(bike, choice), strict=False))
    gone = {*choice.off}
    if gone:
        build = _without(build, gone)
    build = _without_leads(build, {*cut_for(bike, choice)} | _leads_of(bike.build, gone))
    new = []
    for number, name in enumerate(choice.added):
        # Nor is it called as what it comes on for: both stand in one file while that is written.
        taken = replace(build, packs={**bike.build.packs, **build.packs})
        pack = NewPack(free_name(taken, name), items[name], *seats[number])
        build = _with_pack(build, pack)
        new.append(pack)
    # The sets of the file were told of the bike as it was: none has a new pack in it.
    return (replace(build, sets=None) if new else build), tuple(new)


def _heaviest(names: Sequence[str], items: Mapping[str, ShelfItem]) -> list[int]:
    """The numbers of packs of the shelf, the heaviest first."""
    return sorted(range(len(names)), key=lambda number: _weight(items[names[number]].part), reverse=True)


def _weight(part: Part) -> tuple[float, float]:
    assert isinstance(part, Pack)
    return part.mass_kg or 0.0, part.capacity_coulomb or 0.0


def _seats(bike: CustomersBike, choice: Choice) -> Iterator[tuple[str, str | None]]:
    """Place and rack of new packs: where the heaviest that come off sat, then where new ones go.

    Of one that sat at no place of the file the rack counts, unless the place that stands in is on one itself."""
    gone = [bike.build.packs[name] for name in choice.off]
    for old in sorted(gone, key=_weight, reverse=True):
        if old.place_name or bike.place not in bike.build.places:
            yield old.place_name or bike.place, old.rack
        else:
            yield bike.place, bike.build.places[bike.place].rack or old.rack
    yield from repeat((bike.place, bike.rack), len(choice.added))


def takes_all_off(bike: CustomersBike) -> bool:
    """Whether all of several packs may come off: with several joiners nobody can tell into which a new one goes."""
    return len(bike.build.packs) > 1 and len(bike.build.joiners) <= 1


def cut_for(bike: CustomersBike, choice: Choice) -> tuple[str, ...]:
    """The leads that come off for a choice: none where what goes leaves a joiner as many inlets as come on take."""
    return () if len(choice.added) <= len(choice.off) else bike.cut


def _with_pack(build: Build, new: NewPack) -> Build:
    path, part = path_to("packs", new.name), new.item.part
    assert isinstance(part, Pack)
    fuse = replace(part.fuse, path=path_inside(path, "fuse"))
    pack = replace(
        part,
        name=new.name,
        path=path,
        fuse=fuse,
        place_name=new.place,
        rack=new.rack if new.rack is not None else part.rack,
        condition=part.condition or NEW,
    )
    return replace(
        build,
        packs={**build.packs, new.name: pack},
        items={**build.items, path: new.item.part.name},
    )


def pack_lines(new: NewPack) -> list[str]:
    """What the file says of a pack that comes on."""
    part = new.item.part
    assert isinstance(part, Pack)
    lines = [f"part: {part.name}", *([f"condition: {NEW}"] if part.condition is None else []), f"place: {new.place}"]
    return [*lines, *([f"rack: {new.rack}"] if new.rack is not None else [])]


def with_charger(build: Build, packs: Sequence[str], item: ShelfItem) -> Build:
    """The bike with one more charger of the shelf, for these packs."""
    name = item.part.name.replace(".", " ")
    while name in build.chargers:
        name += " 2"
    path = path_to("chargers", name)
    assert isinstance(item.part, Charger)
    charger = replace(item.part, name=name, path=path, fits=tuple(packs))
    return replace(build, chargers={**build.chargers, name: charger}, items={**build.items, path: item.part.name})


def uncharged(build: Build, packs: Sequence[str]) -> tuple[str, ...]:
    """Those of the packs that no charger of the bike is for, as far as can be said."""
    case = Case(build)
    return tuple(name for name in packs if not any(if_known(charges, case, each, name) for each in build.chargers))


def _owned(build: Build) -> Build:
    """What the customer brings is his own, checked and not billed: his leads, and parts that the shop has too."""
    return replace(
        build,
        packs={name: _his(build, each) for name, each in build.packs.items()},
        joiners={name: _his(build, each) for name, each in build.joiners.items()},
        controllers={name: _his(build, each) for name, each in build.controllers.items()},
        chargers={name: _his(build, each) for name, each in build.chargers.items()},
        leads={name: replace(each, owner=CUSTOMER) for name, each in build.leads.items()},
    )


def _his(build: Build, part: Whole) -> Whole:
    return replace(part, owner=CUSTOMER) if part.path in build.items else part


def _without(build: Build, gone: set[str]) -> Build:
    """The bike without some of its packs and what hangs on them."""
    chargers = {}
    for name, each in build.chargers.items():
        fits = None if each.fits is None else tuple(one for one in each.fits if one not in gone)
        chargers[name] = replace(each, fits=fits, y_lead=tuple(one for one in each.y_lead if one not in gone))
    paths = {path_to("packs", name) for name in gone}
    return replace(
        build,
        packs={name: each for name, each in build.packs.items() if name not in gone},
        chargers=chargers,
        measured=_left(build.measured, paths),
        accept=_left(build.accept, paths),
        rides={
            name: replace(ride, known=tuple(each for each in ride.known if not gone & {*each.packs}))
            for name, ride in build.rides.items()
        },
    )


def _leads_of(build: Build, packs: Set[str]) -> set[str]:
    return {name for name, each in build.leads.items() if each.source in packs}


def _without_leads(build: Build, gone: Set[str]) -> Build:
    """The bike without some of its leads, and without what was read and accepted of them: what is made anew is not
    what was measured."""
    paths = {path_to("leads", name) for name in gone}
    leads = {name: each for name, each in build.leads.items() if name not in gone}
    return replace(build, leads=leads, measured=_left(build.measured, paths), accept=_left(build.accept, paths))


def _left(told: tuple[Told, ...], gone: Set[str]) -> tuple[Told, ...]:
    """Readings or acceptances that are of none of these parts, nor of anything inside one."""
    return tuple(each for each in told if owner_of(each.part) not in gone)


def left_hanging(bike: CustomersBike, choice: Choice) -> str:
    """Which accessories hang on what comes off, in words: where they go then is not in the file."""
    off = {*choice.off}
    gone = {*off, *cut_for(bike, choice), *_leads_of(bike.build, off)}
    found = [
        f"{each.name} hangs on {source}, which comes off"
        for each in bike.build.accessories.values()
        for source in each.sources
        if source in gone
    ]
    return " and ".join(found)


def unlike_bonded(bike: CustomersBike, choice: Choice, items: Mapping[str, ShelfItem]) -> str:
    """Why packs that come on cannot go into the one joiner of the bike, which joins packs for good; else nothing.

    Whatever goes into it, through another joiner too, pushes current into the others behind it.
    """
    if len(bike.build.joiners) != 1 or cut_for(bike, choice) or not choice.added:
        return ""
    (joiner,) = bike.build.joiners.values()
    together = [pack for name, pack in bike.build.packs.items() if name not in choice.off]
    together += [part for name in choice.added if isinstance(part := items[name].part, Pack)]
    unlike = any(len({getattr(pack, attr) for pack in together} - {None}) > 1 for attr in OF_A_MODEL)
    if joiner.bonded is None or not (unlike or len({*choice.added}) > 1):
        return ""
    return f"{joiner.name} joins its packs for good: they have to be of one model"


def too_high(bike: CustomersBike, part: Pack) -> str:
    """Why no controller of the bike bears a pack; else nothing."""
    limits = [each.voltage_max_v for each in bike.build.controllers.values()]
    if part.full_charge_v is None or not limits or None in limits:
        return ""
    most_v = max(each for each in limits if each is not None)
    if not above(part.full_charge_v, most_v):
        return ""
    return f"{shown(part.full_charge_v)} V when full, the controller takes {shown(most_v)} V"


def _has_room(build: Build) -> bool:
    """Whether a joiner before the controller has an inlet free."""
    drawing = harness(Case(build))
    return any(
        len(drawing.leads_into.get(name, ())) < joiner.inputs
        for name, joiner in build.joiners.items()
        if drawing.leads_from.get(name)
    )


def _last_leads(build: Build) -> Iterator[str]:
    """The leads into the controller."""
    for name, lead in build.leads.items():
        if lead.target in build.controllers:
            yield name


def _where(build: Build, on: str) -> tuple[str, str | None]:
    """Place and rack of new packs: as named, else the first place that nothing sits on, those on a rack first."""
    taken = {each.place_name for section in (build.packs, build.controllers) for each in section.values()}
    free = [name for name in build.places if name not in taken]
    if on:
        known = {name.casefold(): name for name in (*build.places, *build.racks)}
        found = known.get(on.casefold())
        if found is None:
            names = ", ".join(known.values()) or "the file has none"
            raise Stuck(Refusal(kind="drawing", text=f'no place or rack called "{on}"', do=f"There are: {names}."))
        if found in build.places:
            return found, build.places[found].rack or _no_rack(build)
        near = next((name for name in build.places if build.places[name].rack == found), None)
        return near or f"on {found}", found
    best = next((name for name in free if build.places[name].rack), free[0] if free else None)
    if best is not None and build.runs:
        return best, build.places[best].rack or _no_rack(build)
    if build.places and build.runs:
        raise Stuck(
            Refusal(kind="drawing", text="every place of the file is taken", do="Say where new packs go:  --on PLACE")
        )
    rack = next(iter(build.racks), None)
    return (f"on {rack}", rack) if rack else ("new packs", _no_rack(build))


def _no_rack(build: Build) -> str | None:
    return "none" if build.racks else None


def _star(build: Build, place: str) -> Build:
    """Places and ways where nobody has measured any: everything as far from the middle as its lead is long, or the same
    way where that is not known either."""
    packs = {name: replace(each, place_name=each.place_name or f"at {name}") for name, each in build.packs.items()}
    controllers = {
        name: replace(each, place_name=each.place_name or f"at {name}") for name, each in build.controllers.items()
    }
    joiners = {name: replace(each, place_name=each.place_name or MIDDLE) for name, each in build.joiners.items()}
    names = [place, *(each.place_name or "" for section in (packs, controllers) for each in section.values())]
    places = dict(build.places)
    for name in (MIDDLE, *names):
        if name not in places:
            holds = len(build.joiners) + MOST_NEW if name == MIDDLE else 0
            places[name] = Place(name=name, path=path_to("places", name), span=NOWHERE, spans={}, holds=holds)
    placed = replace(build, packs=packs, joiners=joiners, controllers=controllers)
    ways_m = _as_far_as_leads_go(placed)
    runs = tuple(
        RunBetween(
            name=f"{MIDDLE} - {name}",
            path=path_to("runs", number),
            span=NOWHERE,
            spans={},
            between=(MIDDLE, name),
            length_m=ways_m.get(name, LEAD_M),
        )
        for number, name in enumerate(dict.fromkeys(names), 1)
    )
    return replace(placed, places=places, runs=runs)


def _as_far_as_leads_go(build: Build) -> dict[str, float]:
    """Ways from the middle [m]: no lead is shorter than its way, so the shortest of those that are there counts."""
    found: dict[str, float] = {}
    for lead in build.leads.values():
        first, last = (part_of(build, name).place_name or MIDDLE for name in (lead.source, lead.target))
        if first == last or lead.length_m is None or lead.direct:
            continue
        ends = {first, last} - {MIDDLE}
        for name in ends:
            found[name] = min(lead.length_m / len(ends), found.get(name, inf))
    return found
