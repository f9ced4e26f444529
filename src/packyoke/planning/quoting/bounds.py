"""What a choice costs at least, and how far it goes at most, before it is planned."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal
from math import inf
from typing import NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import cut_off_v, full_charge_v
from packyoke.analysis.discharge.energy import curve_of, cut_of
from packyoke.analysis.harness.taps import counted_capacity_coulomb
from packyoke.analysis.packs.voltages import series_count
from packyoke.analysis.ride.known import Rider
from packyoke.analysis.ride.named import nominal_v, packs_kg
from packyoke.analysis.ride.needs import needed_j_per_m
from packyoke.analysis.ride.shares import untested_parts
from packyoke.analysis.unknowns.filled import filled
from packyoke.making.lists import BillLine
from packyoke.making.methods import CONDUCTORS
from packyoke.making.money import sold_at, to_coins, totals
from packyoke.making.stock import connector_item, sundry
from packyoke.model import Build, End, Joiner, Unknown
from packyoke.model.shop import ShelfItem, Stock
from packyoke.planning.catalogue import BLOCKING
from packyoke.planning.quoting.candidates import Choice
from packyoke.planning.quoting.offers import Offer
from packyoke.shelf.cold import cold_capacity_factor

SLACK = 1.005
"""What is taken for each metre is worked out with spreads, and their sums are no smoother than this."""
NEAR = 1e-6
STEPS_KG = (8.0, 1.0)
"""By how much packs count as lighter where only a bound is asked for, coarse before fine."""


class Most(NamedTuple):
    """What a choice gives at most, and what its consumption hangs on: mass, voltage, the part that nobody tested."""

    energy_j: float
    mass_kg: float
    nominal_v: float
    untested_fraction: float


def most_of(build: Build, air_k: float) -> Most | None:
    """What the packs of a bike give at most: without any resistance, down to where they or the controller cut.

    Parameters
        build: the bike with its packs [-]
        air_k: of the ride, and so of the cells [K]
    Returns
        the most, or None where something is not known
    """
    counted, _ = filled(build)
    names, whole_j = tuple(counted.packs), 0.0
    try:
        cut_v = max(cut_of(each) for each in counted.controllers.values())
        for pack in counted.packs.values():
            curve = curve_of(pack)
            if curve is None:
                return None
            count = series_count(pack)
            top = curve.charge_at(full_charge_v(pack) / count)
            bottom = curve.charge_at(max(cut_v, cut_off_v(pack)) / count)
            per_charge_v = count * (curve.energy_at(top) - curve.energy_at(bottom))
            whole_j += counted_capacity_coulomb(pack) * cold_capacity_factor(air_k) * max(0.0, per_charge_v)
        untested = sum(untested_parts(Case(counted), names, None).values())
        return Most(whole_j, packs_kg(counted, names).likely, nominal_v(counted, names), untested)
    except Unknown:
        return None


def most_reach_m(most: Most | None, made: Sequence[tuple[Offer, Most]]) -> float:
    """How far it goes at most: an offer that is no heavier, of the same voltage and no less tested, takes no more for
    each metre. Infinite where there is none [m]."""
    if most is None:
        return inf
    needed = max((each.needed_j_per_m for each, its in made if _no_harder(its, most)), default=0.0)
    return SLACK * most.energy_j / needed if needed > 0.0 else inf


class Farthest:
    """How far choices go at most on a ride: what that takes with the packs of each is worked out once."""

    def __init__(self, ride: str, rider: Rider | None) -> None:
        self.ride, self.rider = ride, rider
        self._needed: dict[tuple[Choice, float], float | None] = {}

    def ever_closer(
        self, choice: Choice, bare: Callable[[Choice], Build], most: Most | None, made: Sequence[tuple[Offer, Most]]
    ) -> Iterator[float]:
        """Bounds of a choice, none above the one before: as offers so far say, then what its packs give at most over
        what the ride takes with them, first with lighter ones of which many weigh the same [m]."""
        far = most_reach_m(most, made)
        yield far
        if most is None:
            return
        for step_kg in STEPS_KG:
            needed = self._needed_j_per_m(choice, bare, step_kg)
            far = min(far, most.energy_j / needed) if needed else far
            yield far

    def _needed_j_per_m(self, choice: Choice, bare: Callable[[Choice], Build], step_kg: float) -> float | None:
        key = choice, step_kg
        if key not in self._needed:
            build = bare(choice)
            self._needed[key] = needed_j_per_m(Case(build), tuple(build.packs), self.ride, self.rider, step_kg)
        return self._needed[key]


def _no_harder(one: Most, other: Most) -> bool:
    return (
        one.mass_kg <= other.mass_kg + NEAR
        and one.untested_fraction <= other.untested_fraction + NEAR
        and abs(one.nominal_v - other.nominal_v) < NEAR * other.nominal_v
    )


def least_price(build: Build, added: Sequence[ShelfItem], joined: bool, stock: Stock, currency: str) -> Decimal:
    """What a bike costs at least whose leads are still to be planned: the packs that come on, the cheapest joiner where
    one has to come, plugs and small parts of every lead that is missing. No wire, no fuse, no charger."""
    needs = _Needs(stock, currency)
    for item in added:
        needs.take(item)
    loose = [
        pack for pack in build.packs.values() if not any(lead.source == pack.name for lead in build.leads.values())
    ]
    if not loose:
        return needs.amount()
    joiners = [each.part for each in stock.items if each.section == "joiners" and _blocks(each)]
    models = [each for each in (*joiners, *build.joiners.values()) if isinstance(each, Joiner)]
    ahead = [end for each in models for end in each.inlets] if joined or build.joiners else []
    behind = [end for each in models for end in each.outlets] if joined else []
    controllers = [each.inlet for each in build.controllers.values()]
    if joined:
        needs.take_cheapest([each for each in stock.items if each.section == "joiners" and _blocks(each)])
    for pack in loose:
        needs.take_plug([pack.outlet], bool(build.connectors))
        needs.take_plug(ahead or controllers, bool(build.connectors))
    if joined:
        needs.take_plug(behind, bool(build.connectors))
        needs.take_plug(controllers, bool(build.connectors))
    leads = len(loose) + joined
    for use, count in (("sleeve", CONDUCTORS * 2 * leads), ("cap", 2 * len(loose)), ("labels", 1)):
        small = sundry(stock.items, use)
        if small is not None:
            needs.take(small, count)
    return needs.amount()


class _Needs:
    """Items with how many of each: what is the same on a bill is one line, and is rounded once."""

    def __init__(self, stock: Stock, currency: str) -> None:
        self.stock, self.currency = stock, currency
        self.counts: dict[str, tuple[ShelfItem, int]] = {}

    def take(self, item: ShelfItem, count: int = 1) -> None:
        before = self.counts.get(item.part.path, (item, 0))[1]
        self.counts[item.part.path] = item, before + count

    def take_cheapest(self, items: Sequence[ShelfItem]) -> None:
        """The one that costs least with its work; none where one of them has no price."""
        if items and all(each.price is not None for each in items):
            self.take(
                min(items, key=lambda each: totals([self._line(each, 1)], self.stock.rates, self.currency).amount)
            )

    def take_plug(self, ends: Sequence[End | None], others: bool) -> None:
        """The cheapest half of a connector that goes onto one of these; none where wire may go onto wire."""
        if not ends or others or any(end is None or end.plus == "joint" for end in ends):
            return
        found = [connector_item(self.stock.items, end) for end in ends if end is not None]
        items = {each.part.path: each for each in found if each is not None}
        if all(found):
            self.take_cheapest(list(items.values()))

    def amount(self) -> Decimal:
        lines = [self._line(item, count) for item, count in self.counts.values()]
        return totals(lines, self.stock.rates, self.currency).amount

    def _line(self, item: ShelfItem, count: int) -> BillLine:
        price = None if item.price is None else sold_at(item.price, self.stock.rates, self.currency)
        quantity = Decimal(count)
        return BillLine(
            section=item.section,
            item=item.part.name,
            about="",
            quantity=quantity,
            unit="piece",
            price_each=price,
            amount=None if price is None else to_coins(price * quantity, self.currency),
            minutes_s=item.minutes_s,
            stock=None,
            short=Decimal(0),
            lead_days=None,
            on_shelf=True,
        )


def _blocks(item: ShelfItem) -> bool:
    return getattr(item.part, "type", None) in BLOCKING
