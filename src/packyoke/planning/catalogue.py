"""What a plan may be made of: wires, fuses and joiners of the shop's shelf, else those of the trade."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import inf
from typing import NamedTuple

from packyoke.analysis.limits.contacts import area_m2
from packyoke.analysis.limits.fusing import TOGETHER_FACTOR, family_for
from packyoke.analysis.limits.margins import above
from packyoke.core.paths import path_to
from packyoke.making.money import sold_at
from packyoke.making.stock import Cable, connector_item, item_named
from packyoke.making.stock import cables as stocked
from packyoke.making.stock import price_of as _price
from packyoke.model import Build, End, Fuse, Gauge, Joiner
from packyoke.model.shop import Rates, ShelfItem, Stock
from packyoke.shelf import fuses, wires

BEST_INSULATION = "silicone"
"""What is bought where nobody says otherwise: fine-stranded, bends well, stands heat."""
BLOCKING = ("diode", "ideal-diode")


class FuseKind(NamedTuple):
    """A fuse that can be fitted; `breaking_a` None: what its family breaks."""

    family: str
    rating_a: float
    voltage_v: float
    breaking_a: float | None = None
    item: ShelfItem | None = None


class Model(NamedTuple):
    """A joiner to be had: one more like one of the file, or an item of the shelf."""

    joiner: Joiner
    like: str = ""
    item: ShelfItem | None = None


@dataclass(frozen=True, slots=True)
class Catalogue:
    """What there is to choose from. `priced`: every wire, fuse and joiner of it has a price."""

    cables: tuple[Cable, ...]
    fuses: tuple[FuseKind, ...]
    models: tuple[Model, ...]
    items: tuple[ShelfItem, ...]
    currency: str
    priced: bool

    def bought(self, cable: Cable) -> bool:
        """Whether a wire has to be bought while there is other wire on the shelf."""
        return cable.plus is None and any(each.plus is not None for each in self.cables)

    @property
    def copper_price(self) -> float:
        """What a kilogram of copper costs as wire of the shelf, the middle one of all [currency/kg]."""
        prices = sorted(float(each.price_per_m) / each.copper_kg_per_m for each in self.cables if each.price_per_m)
        return prices[len(prices) // 2] if prices else 1.0

    def connector(self, end: End) -> ShelfItem | None:
        """The item of one half of a connector, by its whole name or by its family."""
        return connector_item(self.items, end)

    def holder(self, kind: FuseKind) -> ShelfItem | None:
        """The item that holds a fuse of the shelf, where the shop file names it."""
        named = kind.item.holder if kind.item is not None else ""
        return item_named(self.items, "sundries", named) if named else None


def catalogue(build: Build, shop: Stock | None) -> Catalogue:
    """The shop's shelf as far as it goes, and the trade's sizes where the shop has none of a kind."""
    items = _as_sold(tuple(shop.items), shop.rates) if shop is not None else ()
    cables = stocked(items)
    own_wires = bool(cables)
    if not cables:
        family = _family(build)
        cables = tuple(Cable(Gauge(family, size), BEST_INSULATION) for size in wires.standard_sizes(family))
    kinds = tuple(kind for item in items if item.section == "fuses" and (kind := _fuse_kind(item)) is not None)
    models = tuple(
        Model(_as_on_a_bike(item.part), item=item)
        for item in items
        if item.section == "joiners" and isinstance(item.part, Joiner) and item.part.type in BLOCKING
    )
    chosen = [*(item for cable in cables for item in (cable.plus, cable.minus)), *(kind.item for kind in kinds)]
    chosen += [model.item for model in models]
    priced = own_wires and all(item is not None and item.price is not None for item in chosen)
    return Catalogue(
        cables,
        kinds,
        models or _more_of_the_same(build),
        items,
        next((item.currency for item in items if item.currency), ""),
        priced,
    )


def with_its_wire(build: Build, shelf: Catalogue) -> Build:
    """The build with what all leads have as far as the shelf has such wire: a default. Of a shelf without it other
    wire is taken, and written at each lead; what has to be bought has no price."""
    own = {cable.insulation for cable in shelf.cables if cable.plus is not None}
    return build.but(lead_insulation=None) if own and build.lead_insulation not in {None, *own} else build


def beyond(build: Build, shelf: Catalogue) -> Catalogue | None:
    """The same shelf with the trade's wire beside it; None where it has no wire of its own, or all of them."""
    own = {(cable.gauge, cable.insulation) for cable in shelf.cables}
    family = _family(build)
    more = [Cable(Gauge(family, size), BEST_INSULATION) for size in wires.standard_sizes(family)]
    more = [cable for cable in more if (cable.gauge, cable.insulation) not in own]
    stocked_here = any(cable.plus is not None for cable in shelf.cables)
    return replace(shelf, cables=(*shelf.cables, *more), priced=False) if stocked_here and more else None


@lru_cache(maxsize=4)
def _as_sold(items: tuple[ShelfItem, ...], rates: Rates) -> tuple[ShelfItem, ...]:
    """The items at the prices of a bill: the same ones for every plan off one shelf."""
    currency = rates.currency
    return tuple(
        item if item.price is None else replace(item, price=sold_at(item.price, rates, currency or item.currency))
        for item in items
    )


def _as_on_a_bike(joiner: Joiner) -> Joiner:
    """A joiner of the shelf as a part of a build: there a full stop is no part of a name."""
    name = joiner.name.replace(".", " ")
    return replace(joiner, name=name, path=path_to("joiners", name))


def _family(build: Build) -> str:
    """Square millimetres where the file's own leads are all sized so, else AWG."""
    families = {lead.gauge.family for lead in build.leads.values() if lead.gauge is not None}
    return "mm2" if families == {"mm2"} else "AWG"


def _fuse_kind(item: ShelfItem) -> FuseKind | None:
    fuse = item.part
    if not isinstance(fuse, Fuse) or fuse.family is None or fuse.rating_a is None:
        return None
    volts_v = fuse.voltage_v
    if volts_v is None:
        family = fuses.fuse_family(fuse.family)
        volts_v = family.voltage_v[0] if family is not None else 0.0
    return FuseKind(fuse.family, fuse.rating_a, volts_v, fuse.breaking_a, item)


def _more_of_the_same(build: Build) -> tuple[Model, ...]:
    """One more of any blocking joiner that the file describes, where the shop has none on its shelf."""
    found: dict[str, Model] = {}
    for joiner in build.joiners.values():
        base = copied_from(build, joiner)
        if joiner.type in BLOCKING and joiner.built_in is None:
            found.setdefault(base.name, Model(replace(base, place_name=None), like=base.name))
    return tuple(found.values())


def copied_from(build: Build, joiner: Joiner) -> Joiner:
    """The joiner that another one is `like`: the lines of both stand below the same name in the file."""
    line = joiner.spans.get("type")
    if line is None:
        return joiner
    before = [each for each in build.joiners.values() if each.span <= line and "type" in each.spans]
    return max(before, key=lambda each: each.span, default=joiner)


def suitable_fuses(shelf: Catalogue, volts_v: float, short_a: float, least_a: float) -> tuple[FuseKind, ...]:
    """Fuses that bear a load, for this d.c. voltage and short-circuit current, the least rating first.

    Of the shop's shelf where one of it fits; else the least standard rating, in the cheapest family made for it.
    """
    fitting = [
        kind
        for kind in shelf.fuses
        if not above(least_a, kind.rating_a) and not above(volts_v, kind.voltage_v) and _breaks(kind, short_a)
    ]
    if fitting:
        return tuple(sorted(fitting, key=lambda kind: (kind.rating_a, _price(kind.item), kind.voltage_v)))
    rating_a = next((each for each in wires.standard_fuses_a() if not above(least_a, each)), None)
    if rating_a is None:
        return ()
    family, mark_v = family_for(rating_a, volts_v, short_a)
    return (FuseKind(family, rating_a, mark_v),)


def _breaks(kind: FuseKind, short_a: float) -> bool:
    """Whether it breaks what flows into a short circuit; a family without a figure is not held against it."""
    if kind.breaking_a is not None:
        return not above(short_a, kind.breaking_a)
    family = fuses.fuse_family(kind.family)
    if family is None or family.breaking_a is None:
        return True
    return not above(short_a, family.breaking_a[0]) and not above(kind.voltage_v, family.voltage_v[1])


def thickest(shelf: Catalogue) -> Cable:
    return max(shelf.cables, key=lambda cable: area_m2(cable.gauge))


def fits_together(total_a: float, amps_a: float) -> bool:
    """Whether a conductor bears all the fuses that feed it, together."""
    return total_a == inf or not above(total_a, TOGETHER_FACTOR * amps_a)
