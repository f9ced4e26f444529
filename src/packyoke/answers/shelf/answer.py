"""What the shelf knows: its tables with where each figure comes from, and the parts of the shop's own."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from packyoke.core.findings import shown
from packyoke.model.shop import ShelfItem
from packyoke.shelf.tables import Row, rows

TOPICS = ("connectors", "wires", "fuses", "mounts", "rides", "chemistry")
"""The tables in the order of a bench."""
_HEADS = {
    "connectors": ("family", "contacts", "per_contact_a", "short_a", "wire_thin", "wire_thick"),
    "rides": ("ride", "quantity", "low", "likely", "high", "unit"),
}
_TITLES = {"per_contact_a": "A", "short_a": "A, 30 s", "wire_thin": "thinnest wire", "wire_thick": "thickest wire"}


class Shelf(NamedTuple):
    """One table: its heads and its rows, each with source and status."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()
    """Where in each source the figures stand."""
    sources: tuple[tuple[str, str], ...] = ()
    """Key and title of each source."""


def tables(word: str, items: Iterable[ShelfItem] = ()) -> list[Shelf]:
    """Every table, or the rows that name a word; the topic itself gives its whole table."""
    sought = " ".join(word.casefold().split())
    found = []
    for topic in TOPICS:
        whole = not sought or _one(sought) == _one(topic)
        heads = _HEADS.get(topic, ("item", "property", "value", "unit"))
        kept = [row for row in rows(topic) if whole or _names(row, heads[0], sought)]
        if kept:
            notes = dict.fromkeys(f"{row.source.key}: {row.locator}" for row in kept)
            sources = dict.fromkeys((row.source.key, row.source.title) for row in kept)
            cells = tuple(_cells(row, heads) for row in kept)
            found.append(Shelf(topic, _titled(heads), cells, tuple(notes), tuple(sources)))
    own = [
        item for item in items if not sought or sought in (item.section, "shop") or sought in item.part.name.casefold()
    ]
    if own:
        heads = ("section", "part", "price", "stock", "source", "status")
        found.append(Shelf("shop", heads, tuple(_item(item) for item in own)))
    return found


def _one(word: str) -> str:
    """A word for many as the word for one: `chemistries` is `chemistry`."""
    return f"{word.removesuffix('ies')}y" if word.endswith("ies") else word.removesuffix("s")


def _names(row: Row, head: str, sought: str) -> bool:
    tight = row.cells[head].casefold().replace("-", "").replace(" ", "")
    return sought.replace("-", "").replace(" ", "") in tight


def _titled(heads: tuple[str, ...]) -> tuple[str, ...]:
    return (*(_TITLES.get(head, head.replace("_", " ")) for head in heads), "source", "status")


def _cells(row: Row, heads: tuple[str, ...]) -> tuple[str, ...]:
    return (*(row.cells[head] or "-" for head in heads), row.source.key, row.status)


def _item(item: ShelfItem) -> tuple[str, ...]:
    price = f"{item.price:.2f} {item.currency}" if item.price is not None else "-"
    stock = "-" if item.stock is None else f"{shown(item.stock)} m" if item.section == "wires" else shown(item.stock)
    return item.section, item.part.name, price, stock, item.source or "the shop file", item.status or "practice"


TEMPLATE = """# What your shop stocks and charges, once for all builds.
# Keep this file as packyoke-shop.yaml beside or above them.
# Take the # away where you fill in; every line is optional but the first.
packyoke-shop: 1
# name: Our workshop                          # on the sheets
# contact: workshop@harbour.example           # on the sheets
# defaults:                                   # for builds that do not say otherwise
#   region: EU
#   warmest: 35 degC
#   all_leads: {insulation: silicone}
# shelf:
#   wires:
#     red 12: {gauge: 12 AWG, insulation: silicone, price: 1.40 EUR, stock: 25 m}
#   fuses:
#     link 30: {family: 10x38, rating: 30 A, voltage: 1000 V, price: 3.20 EUR, stock: 20}
#   connectors:
#     XT60: {per_contact: 30 A, contacts: pin and socket, price: 1.20 EUR, stock: 40}
#   joiners:
#     small yoke: {type: ideal-diode, ceiling: 65 V, current: 30 A, inlets: XT60 pin, outlet: XT60 socket, stock: 3}
#   packs:
#     long pack: {label: 48 V, chemistry: NMC, series: 13, capacity: 14 Ah, discharge: 30 A, stock: 4}
#   chargers:
#     slow: {output: 54.6 V, current: 2 A, stock: 2}
#   controllers:
#     plain: {battery_current: 20 A, voltage: {max: 60 V}}
"""
