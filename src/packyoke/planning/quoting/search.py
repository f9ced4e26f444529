"""Every choice of packs of the shelf that nobody would leave for another one: price, reach, mass.

Choices come by what they cost at least. One is planned only where no offer so far beats what it could come to at best;
so the front is that of all choices, whichever were planned.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from copy import copy
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import partial
from heapq import heapify, heappop, heapreplace
from itertools import combinations_with_replacement
from math import inf

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.rundown import WARM_K, NoRundown
from packyoke.analysis.packs.voltages import series_count
from packyoke.analysis.ride.known import Odd, Rider, known_of, rider_of
from packyoke.core.paths import owner_of, path_to
from packyoke.model import Build, KnownRide, Pack, Unknown
from packyoke.model.shop import ShelfItem, Stock
from packyoke.planning.quoting.bounds import Farthest, Most, least_price, most_of
from packyoke.planning.quoting.candidates import (
    Choice,
    CustomersBike,
    bike_of,
    cut_for,
    left_hanging,
    takes_all_off,
    too_high,
    unlike_bonded,
    with_choice,
)
from packyoke.planning.quoting.offers import Counter, Offer, Refused

ENOUGH = 1.25
"""More than this share of the wished reach is worth no more to the customer: nobody pays for it (judgement)."""
MOST_ADDED = 3
"""Packs that are added at most: beyond that a bike is planned, not quoted (judgement)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What the customer wants. `reach_m` and `most` None: nothing said. `add`: least and most packs that come on;
    `instead`: whether larger packs in place of one or all of his own count, where none has to come on. `known`: what he
    has really ridden, besides what the file says."""

    ride: str
    reach_m: float | None = None
    most: Decimal | None = None
    add: tuple[int, int] = (0, 2)
    on: str = ""
    instead: bool = True
    known: tuple[KnownRide, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """The answer. `front` by price: nothing in it is beaten by another choice. `now` is the bike as it is.

    `front` has only what reaches and may cost that much, where something does; else `short` is set and it is what comes
    nearest. `out`: packs of the shelf that cannot be joined with his and are in no offer in place of them, and why.
    `refused`: choices that were made and are none. `counted`: choices there were, and how many were planned.
    """

    wish: Wish
    bike: CustomersBike
    now: Offer | Refused
    front: tuple[Offer, ...]
    short: bool
    out: tuple[tuple[str, str], ...]
    refused: tuple[Refused, ...]
    counted: tuple[int, int]
    rider: Rider | None
    currency: str

    @property
    def waiting(self) -> tuple[Refused, ...]:
        """Choices of which nobody can say anything before something is found out."""
        return tuple(each for each in self.refused if each.waits)

    @property
    def untried(self) -> bool:
        """Whether there are choices that nobody looked at to the end: what is shown is the best of the others."""
        return any(each.untried for each in self.refused)

    @property
    def enough(self) -> bool:
        """Whether the bike does it as it is."""
        return isinstance(self.now, Offer) and self.wish.reach_m is not None and self.now.reach_m >= self.wish.reach_m


def quote(build: Build, stock: Stock, wish: Wish, today: str = "") -> Quote | Odd:
    """What it takes to fulfil a wish, and what it costs.

    Parameters
        build: the customer's bike as it is [-]
        stock: the shop's shelf with prices [-]
        wish: how far on which ride, for how much [m]
        today: day of the check, ISO 8601 [-]
    Returns
        the front of price, reach and mass; or that no rider rides what is known of him
    Raises
        Stuck: the drawing leaves no way to add a pack. NoRide: no such ride.
    """
    bike = bike_of(build, wish.on)
    rider = _rider(build, wish)
    if isinstance(rider, Odd):
        return rider
    packs = {each.part.name: each for each in stock.items if each.section == "packs"}
    chargers = tuple(each for each in stock.items if each.section == "chargers" and each.price is not None)
    enough_m = ENOUGH * wish.reach_m if wish.reach_m is not None else inf
    counter = Counter(bike, packs, chargers, stock, wish.ride, rider, enough_m, today)
    now = counter.offer(Choice())
    currency = next((each.currency for each in stock.items if each.currency), stock.rates.currency)
    search = _Search(counter, stock, wish, currency)
    out = dict(search.not_sold())
    wanted = [name for name in packs if name not in out]
    beside = dict(search.not_beside(wanted))
    choices = [*search.choices([name for name in wanted if name not in beside], wanted)]
    if isinstance(now, Refused) and now.stopped:
        # What stops the bike stops it with more packs too, but where it is of packs that come off.
        choices = [each for each in choices if _takes_off(each, now.stops)]
        out, beside = (out, {}) if choices or not wanted else ({}, {})
    never = {each: left_hanging(bike, each) or unlike_bonded(bike, each, packs) for each in choices}
    hopeless = [Refused(each, said) for each, said in never.items() if said]
    choices = [each for each, said in never.items() if not said]
    front, refused = search.front(choices, now)
    short = not front
    if short:
        front, refused = search.nearest(choices, now, refused)
    offered = {name for each in front for name in each.choice.added}
    return Quote(
        wish=wish,
        bike=bike,
        now=now,
        front=tuple(sorted(front, key=lambda each: each.figures)),
        short=short,
        out=(*out.items(), *((name, why) for name, why in beside.items() if name not in offered)),
        refused=(*refused, *hopeless),
        counted=(len(choices), len(search.planned) - sum(each.untried or each.waits for each in refused)),
        rider=rider,
        currency=currency,
    )


def _rider(build: Build, wish: Wish) -> Rider | Odd | None:
    known = known_of(build, wish.ride) + wish.known
    if not known:
        return None
    try:
        found = rider_of(Case(build), wish.ride, known, None)
    except Unknown:
        return None
    return None if isinstance(found, NoRundown) else found


class _Search:
    def __init__(self, counter: Counter, stock: Stock, wish: Wish, currency: str) -> None:
        self.counter, self.stock, self.wish, self.currency = counter, stock, wish, currency
        self.done: dict[Choice, Offer | Refused] = {}
        self.planned: set[Choice] = set()
        self.air_k = WARM_K
        self.most: dict[Choice, Most | None] = {}
        self.farthest = Farthest(wish.ride, counter.rider)

    def not_sold(self) -> Iterator[tuple[str, str]]:
        """Packs that cannot be offered, whatever else the bike has."""
        for name, item in self.counter.items.items():
            part = item.part
            assert isinstance(part, Pack)
            missing = [
                word
                for word, value in (
                    ("chemistry", part.chemistry),
                    ("series", _series(part)),
                    ("capacity", part.capacity_coulomb),
                    ("outlet", part.outlet),
                )
                if value is None
            ]
            if item.price is None:
                yield name, "no price in the shop file"
            elif item.stock is not None and item.stock < 1 and item.lead_days is None:
                yield name, "none in stock"
            elif missing:
                yield name, f"{' and '.join(missing)} not in the shop file"
            elif said := too_high(self.counter.bike, part):
                yield name, said

    def not_beside(self, names: Sequence[str], gone: str = "") -> Iterator[tuple[str, str]]:
        """Packs that are not joined with those of the bike, one of them off: of another chemistry or series count."""
        staying = [each for name, each in self.counter.bike.build.packs.items() if name != gone]
        for name in names:
            part = self.counter.items[name].part
            for own in staying:
                said = _unlike(part, own) if isinstance(part, Pack) else ""
                if said:
                    yield name, said
                    break

    def choices(self, beside: Sequence[str], alone: Sequence[str]) -> Iterator[Choice]:
        """Every choice there is, with as many of each pack as there are."""
        least, most = self.wish.add
        for count in range(max(1, least), min(most, MOST_ADDED) + 1):
            for names in combinations_with_replacement(beside, count):
                if all(self._in_stock(name, names.count(name)) for name in {*names}):
                    yield Choice(names)
        own = tuple(self.counter.bike.build.packs)
        for gone in own if self._instead else ():
            unlike = dict(self.not_beside(alone, gone))
            yield from (Choice((name,), (gone,)) for name in alone if name not in unlike)
        # All of them for larger ones: one, or as many as may come on, if these go together.
        of_all = self._instead and takes_all_off(self.counter.bike)
        for count in range(1, min(len(own), max(1, most), MOST_ADDED) + 1) if of_all else ():
            for names in combinations_with_replacement(alone, count):
                if self._alike(names) and all(self._in_stock(name, names.count(name)) for name in {*names}):
                    yield Choice(names, own)

    @property
    def _instead(self) -> bool:
        """Whether packs in place of his own count."""
        return self.wish.instead and self.wish.add[0] == 0

    def _alike(self, names: Sequence[str]) -> bool:
        first, *others = (self.counter.items[name].part for name in names)
        assert isinstance(first, Pack)
        return not any(_unlike(each, first) for each in others if isinstance(each, Pack))

    def _in_stock(self, name: str, count: int) -> bool:
        item = self.counter.items[name]
        return item.stock is None or item.stock >= count or item.lead_days is not None

    def front(self, choices: Sequence[Choice], now: Offer | Refused) -> tuple[list[Offer], list[Refused]]:
        """The front of these choices and the bike as it is, and what was refused on the way."""
        made = self._made(now)
        front = [now] if isinstance(now, Offer) and self._wanted(now) else []
        refused: list[Refused] = []
        least = {choice: self._least(choice) for choice in choices}
        for choice in sorted(choices, key=lambda each: (least[each], each)):
            if self.wish.most is not None and least[choice] > self.wish.most:
                break
            most = self._most(choice)
            most_m = inf
            bounds = self._ever_closer(choice, made)
            if not all(self._worth_it(front, least[choice], most_m := each, most) for each in bounds):
                continue
            found = self._tried(choice, partial(self._worth_it, tuple(front), most_m=most_m, most=most))
            if found is None:
                continue
            if isinstance(found, Refused):
                refused.append(found)
                continue
            if most is not None:
                made.append((found, most))
            if self._wanted(found) and not any(each.beats(found) for each in front):
                front = [each for each in front if not found.beats(each)] + [found]
        return front, refused

    def _tried(self, choice: Choice, worth_it: Callable[[Decimal], bool] | None = None) -> Offer | Refused | None:
        """A choice made into an offer, each once; None where it is not worth its price."""
        self.planned.add(choice)
        if choice not in self.done:
            found = self.counter.offer(choice, worth_it)
            if found is None:
                return None
            self.done[choice] = found
        return self.done[choice]

    def _worth_it(self, front: Sequence[Offer], price: Decimal, most_m: float, most: Most | None) -> bool:
        """Whether what costs so much and goes so far at the most can be wanted beside these offers."""
        wish = self.wish
        if (wish.most is not None and price > wish.most) or (wish.reach_m is not None and most_m < wish.reach_m):
            return False
        mass_kg = most.mass_kg if most is not None else 0.0
        return not any(
            each.price <= price and -each.figures[1] >= min(most_m, each.enough_m) and each.mass_kg <= mass_kg
            for each in front
        )

    def nearest(
        self, choices: Sequence[Choice], now: Offer | Refused, refused: Sequence[Refused]
    ) -> tuple[list[Offer], list[Refused]]:
        """What comes nearest where nothing does it: the cheapest that reaches, else the farthest for that money, and
        what would have got farther but is none."""
        wish = self.wish
        if wish.most is not None and wish.reach_m is not None:
            free = copy(self)
            free.wish = replace(wish, most=None)
            reaching, more = free.front(choices, now)
            if reaching:
                return [min(reaching, key=lambda each: each.figures)], more
        paid = [each for each in self._offers(now) if wish.most is None or each.price <= wish.most]
        best = max(paid, key=_far_and_cheap, default=None)
        none = list(refused)
        for choice, rank in self._farthest_first(choices, self._made(now)):
            if best is not None and rank <= _far_and_cheap(best):
                break
            found = self._tried(choice)
            assert found is not None
            if isinstance(found, Refused):
                none.append(found)
            elif wish.most is None or found.price <= wish.most:
                best = found if best is None else max(best, found, key=_far_and_cheap)
        return ([best] if best is not None else []), list(dict.fromkeys(none))

    def _bare(self, choice: Choice) -> Build:
        return with_choice(self.counter.bike, choice, self.counter.items)[0]

    def _most(self, choice: Choice) -> Most | None:
        if choice not in self.most:
            self.most[choice] = most_of(self._bare(choice), self.air_k)
        return self.most[choice]

    def _farthest_first(
        self, choices: Sequence[Choice], made: Sequence[tuple[Offer, Most]]
    ) -> Iterator[tuple[Choice, tuple[float, Decimal]]]:
        """Choices that are not too dear by how far they go at most, of those that go as far the cheapest first. A bound
        is only made closer where its choice is the next."""
        waiting = []
        for number, choice in enumerate(choices):
            least = self._least(choice)
            if self.wish.most is None or least <= self.wish.most:
                waiting.append((-inf, least, number, self._ever_closer(choice, made)))
        heapify(waiting)
        while waiting:
            far, least, number, bounds = waiting[0]
            closer = next(bounds, None)
            if closer is not None:
                heapreplace(waiting, (-closer, least, number, bounds))
            else:
                heappop(waiting)
                yield choices[number], (-far, -least)

    def _ever_closer(self, choice: Choice, made: Sequence[tuple[Offer, Most]]) -> Iterator[float]:
        """How far it goes at most, ever closer [m]."""
        return self.farthest.ever_closer(choice, self._bare, self._most(choice), made)

    def _offers(self, now: Offer | Refused) -> list[Offer]:
        return [each for each in (now, *self.done.values()) if isinstance(each, Offer)]

    def _made(self, now: Offer | Refused) -> list[tuple[Offer, Most]]:
        """What is an offer so far, with what its consumption hangs on."""
        offers = self._offers(now)
        if offers:
            self.air_k = offers[0].estimate.ride.air_k
        found = [(each, self._most(each.choice)) for each in offers]
        return [(each, most) for each, most in found if most is not None]

    def _wanted(self, offer: Offer) -> bool:
        wish = self.wish
        enough = wish.reach_m is None or offer.reach_m >= wish.reach_m
        return enough and (wish.most is None or offer.price <= wish.most)

    def _least(self, choice: Choice) -> Decimal:
        added: list[ShelfItem] = [self.counter.items[name] for name in choice.added]
        packs = len(self.counter.bike.build.packs) - len(choice.off) + len(added)
        joined = packs > 1 and (bool(cut_for(self.counter.bike, choice)) or not self.counter.bike.build.joiners)
        return least_price(self._bare(choice), added, joined, self.stock, self.currency)


def _takes_off(choice: Choice, stops: Collection[str]) -> bool:
    """Whether all parts at stop are packs that come off, or inside them."""
    return {owner_of(part) for part in stops} <= {path_to("packs", name) for name in choice.off}


def _far_and_cheap(offer: Offer) -> tuple[float, Decimal]:
    """What more of is better where nothing reaches: of those that go as far the one that costs less."""
    return offer.reach_m, -offer.price


def _series(pack: Pack) -> int | None:
    """Cells in series, as the file says or as its chemistry and full charge do; None where neither does."""
    try:
        return series_count(pack)
    except Unknown:
        return None


def _unlike(part: Pack, own: Pack) -> str:
    """Why two packs are not joined; empty where nothing speaks against it."""
    if part.chemistry != own.chemistry and None not in (part.chemistry, own.chemistry):
        return f"{part.chemistry}, {own.name} is {own.chemistry}: two chemistries are not joined"
    mine, its = _series(part), _series(own)
    if mine != its and None not in (mine, its):
        return f"{mine} cells in series, {own.name} has {its}: not the same voltage"
    return ""
