"""The bill of a build: what of it is bought or taken from the shelf, whoever chose it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import NamedTuple

from packyoke.core.findings import shown
from packyoke.making.cutting import fuse_words, is_whole_joint, made_leads
from packyoke.making.lists import BillLine, Terms, Totals
from packyoke.making.methods import CONDUCTORS
from packyoke.making.money import sold_at, to_coins, totals, whole_steps
from packyoke.making.stock import Cable, cables, connector_item, fuse_item, item_named, metres, sundry
from packyoke.model import CUSTOMER, FITTED, NONE, SHOP, Accessory, Build, Fuse, Lead, Pack
from packyoke.model.shop import NO_RATES, ShelfItem, Stock

WHOLE_PARTS = ("packs", "joiners", "controllers", "chargers")
SMALL = {"sleeve": "shrink sleeve", "cap": "cap for an open plug", "labels": "sheet of labels"}


class Bill(NamedTuple):
    """Lines, what they come to, and on what terms."""

    lines: tuple[BillLine, ...]
    totals: Totals
    terms: Terms

    @property
    def bill(self) -> tuple[BillLine, ...]:
        """The lines, as all lists with a bill call them."""
        return self.lines


class Need(NamedTuple):
    """So much of one thing that the build takes. `item`: of the shelf, where it has that."""

    section: str
    name: str
    about: str
    quantity: Decimal
    unit: str
    item: ShelfItem | None


def bill(build: Build, stock: Stock | None) -> Bill:
    """What a build takes to buy, with the shop's prices where it has them.

    Whole parts count where they are an item of the shelf or said to be the shop's; leads with all that is in them count
    unless they are the customer's.
    """
    items = list(stock.items) if stock is not None else []
    leads = made_leads(build)
    rates = stock.rates if stock is not None else NO_RATES
    currency = rates.currency or next((item.currency for item in items if item.currency), "")
    lines = tuple(_from_stock(_line(need, stock, currency) for need in _needs(build, items, leads)))
    terms = Terms(
        labour=rates.labour,
        tax=rates.tax,
        mark_up=rates.mark_up,
        valid_days=rates.valid_days,
        owned=tuple(_owned(build)),
        unmeasured=tuple(lead.name for lead in leads if lead.length_m is None or lead.gauge is None),
    )
    return Bill(lines, totals(lines, rates, currency), terms)


def _needs(build: Build, items: Sequence[ShelfItem], leads: Sequence[Lead]) -> Iterator[Need]:
    """Everything once: what is needed in several places is added up, in the order in which it first comes."""
    leads = [lead for lead in leads if lead.owner != CUSTOMER]
    found: dict[tuple[str, str, str], Need] = {}
    for need in (*_whole_parts(build, items), *_of_leads(build, items, leads), *_small(build, items, leads)):
        key = need[:3]
        before = found.get(key)
        found[key] = need if before is None else need._replace(quantity=before.quantity + need.quantity)
    yield from found.values()


def _one(section: str, name: str, about: str, item: ShelfItem | None, count: int = 1) -> Need:
    return Need(section, item.part.name if item is not None else name, about, Decimal(count), "piece", item)


def _whole_parts(build: Build, items: Sequence[ShelfItem]) -> Iterator[Need]:
    for section in WHOLE_PARTS:
        for part in getattr(build, section).values():
            named = build.items.get(part.path)
            if part.owner == CUSTOMER or (named is None and part.owner != SHOP):
                continue
            item = item_named(items, section, named) if named is not None else None
            about = (part.type or "") if section == "joiners" else ""
            yield _one(section, named or part.name, about, item)


def _of_leads(build: Build, items: Sequence[ShelfItem], leads: Sequence[Lead]) -> Iterator[Need]:
    """Wire by the conductor, both halves at its ends, fuses with their holders, a switch."""
    shelf = cables(items)
    for lead in leads:
        yield from _wire(shelf, lead)
    for _, fuse in _fuses(build):
        item = fuse_item(items, fuse)
        yield _one("fuses", fuse_words(fuse), fuse_words(fuse), item)
        held = item_named(items, "sundries", item.holder) if item is not None and item.holder else None
        yield _one("holders", f"holder for a {fuse.family or ''} fuse".replace("  ", " "), "", held)
    for lead in leads:
        for end in lead.ends:
            if end is not None and not is_whole_joint(end):
                yield _one("connectors", str(end), str(end), connector_item(items, end))
    for lead in leads:
        if lead.switch is not None:
            amps = f" {shown(lead.switch.rating_a)} A" if lead.switch.rating_a is not None else ""
            yield _one("switches", f"switch{amps}", "", None)


def _wire(shelf: Sequence[Cable], lead: Lead) -> Iterator[Need]:
    if lead.length_m is None or lead.gauge is None:
        return
    cable = next((each for each in shelf if (each.gauge, each.insulation) == (lead.gauge, lead.insulation)), None)
    about = f"{lead.gauge} {lead.insulation or ''}".rstrip()
    length = metres(lead.length_m)
    for pole, item in (("plus", cable.plus if cable else None), ("minus", cable.minus if cable else None)):
        words = (item.part.name, about) if item is not None else (about, pole)
        yield Need("wires", *words, length, "m", item)


def _fuses(build: Build) -> Iterator[tuple[Pack | Lead | Accessory, Fuse]]:
    """Fuses to buy: those in leads, unless they are the customer's; at packs and accessories those of the shop."""
    parts: tuple[Pack | Lead | Accessory, ...]
    parts = (*build.packs.values(), *build.leads.values(), *build.accessories.values())
    for part in parts:
        fuse = part.fuse
        if fuse.presence != FITTED or fuse.sealed:
            continue
        whose = fuse.owner or part.owner or (SHOP if isinstance(part, Lead) else CUSTOMER)
        # What the shelf has in a pack already comes with the pack.
        if whose == SHOP and not (fuse.owner is None and part.path in build.items):
            yield part, fuse


def _small(build: Build, items: Sequence[ShelfItem], leads: Sequence[Lead]) -> Iterator[Need]:
    """A sleeve for each conductor at each joint, a cap for each plug that a pack leaves open, the labels."""
    ends = sum(end is not None for lead in leads for end in lead.ends)
    counts = {
        "sleeve": CONDUCTORS * ends + sum(CONDUCTORS for part, _ in _fuses(build) if not isinstance(part, Pack)),
        "cap": sum(1 if lead.direct else 2 for lead in build.leads.values() if lead.source in build.packs and leads),
        "labels": 1 if leads else 0,
    }
    for use, count in counts.items():
        if count:
            yield _one("sundries", SMALL[use], "", sundry(items, use), count)
    for controller in build.controllers.values():
        if controller.precharge != NONE and controller.owner != CUSTOMER:
            yield _one("sundries", f"precharge {controller.precharge}", "", sundry(items, "precharge"))


def _owned(build: Build) -> Iterator[str]:
    for section in (*WHOLE_PARTS, "leads"):
        yield from (part.name for part in getattr(build, section).values() if part.owner == CUSTOMER)


def _line(need: Need, stock: Stock | None, currency: str) -> BillLine:
    item = need.item
    price = None
    if item is not None and item.price is not None and stock is not None:
        price = sold_at(item.price, stock.rates, currency)
    step = _exact(item.step) if item is not None else None
    quantity = whole_steps(need.quantity, step)
    return BillLine(
        need.section,
        need.name,
        need.about,
        quantity,
        need.unit,
        price,
        None if price is None else to_coins(price * quantity, currency),
        item.minutes_s if item is not None else None,
        _exact(item.stock) if item is not None else None,
        Decimal(0),
        item.lead_days if item is not None else None,
        item is not None,
    )


def _exact(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(str(value)).normalize() + 0


def _from_stock(lines: Iterable[BillLine]) -> Iterator[BillLine]:
    """The lines with what the stock lacks; one that two lines draw on is there once."""
    left: dict[tuple[str, str], Decimal] = {}
    for line in lines:
        if line.stock is None:
            yield line
            continue
        has = left.get((line.section, line.item), line.stock)
        left[line.section, line.item] = max(Decimal(0), has - line.quantity)
        yield line._replace(short=max(Decimal(0), line.quantity - has))
