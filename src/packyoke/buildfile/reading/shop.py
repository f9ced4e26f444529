"""The shop file: defaults that builds inherit, and the shelf that plans draw from."""

from __future__ import annotations

from collections.abc import Mapping as Items
from typing import Any, NamedTuple

from packyoke.buildfile.reading import names
from packyoke.buildfile.reading.alike import nearest
from packyoke.buildfile.reading.copies import COPYING
from packyoke.buildfile.reading.document import Document, Mapping, Node, Scalar
from packyoke.buildfile.reading.ends import mates_named
from packyoke.buildfile.reading.sections import MAKERS
from packyoke.buildfile.reading.table import TABLES
from packyoke.buildfile.reading.walk import DraftPart, Reader, Slots, shown_text, start_of
from packyoke.core.field_paths import line_in
from packyoke.core.findings import Finding, Span, clean
from packyoke.core.paths import PartPath, path_inside, path_to
from packyoke.model import FITTED, Fuse
from packyoke.model.shop import NO_RATES, Rates, ShelfItem, Sundry, Wire

FORMAT = 1
MOST_ITEMS = 100
"""Entries of a section of the shelf that are read (judgement)."""
_START = Span(1, 1, 1, 1)
_TOP = TABLES["shop"]
_SHELF = tuple(TABLES["shop"]["shelf"].children)
NOT_ON_A_SHELF = ("like", "part", "place", "rack", "owner")
_DEFAULTS = tuple(TABLES["shop"]["defaults"].children)


class Shop(NamedTuple):
    """A shop file. `defaults` and `shelf` keep its lines, to be read again where a build takes them over."""

    file: str
    defaults: tuple[tuple[Scalar, Node], ...]
    shelf: Items[str, Items[str, Mapping]]
    items: tuple[ShelfItem, ...]
    rates: Rates = NO_RATES
    name: str = ""
    contact: str = ""
    ratings: str = "cautious"


def read_shop(document: Document) -> Shop | list[Finding]:
    """The shop file, or everything that is wrong with it, in the order of the file."""
    reader = Reader(document)
    names.collect(reader, Mapping(document.root._start, document.root._end))
    draft = DraftPart("", PartPath("shop"), _START)
    defaults: list[tuple[Scalar, Node]] = []
    shelf: dict[str, dict[str, Mapping]] = {}
    items: list[ShelfItem] = []
    rates = NO_RATES
    currencies: dict[str, str] = {}
    seen = set()
    for key, node in document.root.entries:
        seen.add(key.text)
        if key.text == "packyoke-shop":
            if not isinstance(node, Scalar) or node.text != str(FORMAT):
                reader.tell(
                    start_of(node),
                    key.text,
                    f"{shown_text(node)} is no format this version reads",
                    f"Write  packyoke-shop: {FORMAT}",
                )
        elif key.text == "defaults":
            defaults = _defaults(reader, node)
        elif key.text == "shelf":
            shelf, items = _shelf(reader, node, currencies)
        elif key.text == "rates":
            rates = _rates(reader, node, currencies)
        elif key.text in _TOP:
            _fact(reader, draft, key, node, _TOP, "")
        else:
            reader.unknown_key(key, ("packyoke-shop", *_TOP), "shop")
    if "packyoke-shop" not in seen:
        reader.tell(
            _START, "packyoke-shop", "first line packyoke-shop: 1 is missing", "It says what kind of file this is."
        )
    if mistakes := reader.mistakes():
        return mistakes
    return Shop(
        file=document.file, defaults=tuple(defaults), shelf=shelf, items=tuple(items), rates=rates, **draft.values
    )


def _rates(reader: Reader, node: Node, currencies: dict[str, str]) -> Rates:
    lines = reader.mapping(node, "rates", "rates: {labour: 60 EUR/h, tax: 20 %}")
    draft = DraftPart("", PartPath("rates"), _START)
    if lines is not None:
        for key, line in sorted(lines.entries, key=lambda entry: entry[0].text == "rounding"):  # after the labour
            _fact(reader, draft, key, line, TABLES["shop"]["rates"].children, "rates")
        _one_currency(reader, draft, "labour" if "labour" in draft.spans else "rounding", currencies)
    return Rates(**draft.values)


def _fact(reader: Reader, draft: DraftPart, key: Scalar, node: Node, slots: Slots, where: str) -> None:
    """Read a line that no build takes over: a guess would be missing there, and nobody would ask for it."""
    before = len(reader.guesses)
    reader.fill(draft, [(key, node)], slots, where)
    if len(reader.guesses) > before:
        do = "None is read here. Find it out, or leave the line out."
        reader.tell(start_of(node), line_in(where, key.text), f"{shown_text(node)} is a guess", do)


def _one_currency(reader: Reader, draft: DraftPart, attr: str, currencies: dict[str, str]) -> None:
    """Tell of a currency that another line of the file has not."""
    currency = draft.values.get("currency", "")
    if currency and currencies.setdefault("first", currency) != currency:
        reader.tell(
            draft.spans[attr].span,
            line_in(draft.path, attr),
            f"{currency}, where {currencies['first']} came before",
            "One currency in the file.",
        )


def _defaults(reader: Reader, node: Node) -> list[tuple[Scalar, Node]]:
    """Checked here as in a build, so that a build which inherits them finds nothing wrong."""
    whole = reader.mapping(node, "defaults", "defaults: {warmest: 35 degC}")
    found: list[tuple[Scalar, Node]] = []
    for key, value in whole.entries if whole else ():
        path = path_to("defaults", key.text)
        if key.text not in _DEFAULTS:
            reader.unknown_key(key, _DEFAULTS, "defaults")
        elif key.text == "ride":
            rides = reader.mapping(value, path, "ride: {everyday: {rider: 75 kg}}")
            if rides is not None:
                names.good_rides(reader, rides)
            for name, ride in rides.entries if rides else ():
                lines = reader.mapping(ride, line_in(path, name.text), "everyday: {rider: 75 kg}")
                if lines is not None:
                    reader.fill(
                        DraftPart(name.text, path, name.span), lines.entries, TABLES["ride"], line_in(path, name.text)
                    )
        elif key.text == "all_leads":
            lines = reader.mapping(value, path, "all_leads: {insulation: silicone}")
            known = {name: slot for name, slot in TABLES["all_leads"].items() if name != "kind"}
            entries = [entry for entry in lines.entries if entry[0].text != "kind"] if lines else []
            reader.fill(DraftPart("", path, key.span), entries, known, path)
        else:
            reader.fill(DraftPart("", path, key.span), [(key, value)], TABLES["file"], "defaults")
        found.append((key, value))
    return found


def _shelf(
    reader: Reader, node: Node, currencies: dict[str, str]
) -> tuple[dict[str, dict[str, Mapping]], list[ShelfItem]]:
    whole = reader.mapping(node, "shelf", "shelf: {wires: {red: {gauge: 12 AWG}}}")
    shelf: dict[str, dict[str, Mapping]] = {}
    items: list[ShelfItem] = []
    for key, section in whole.entries if whole else ():
        if key.text not in _SHELF:
            reader.unknown_key(key, _SHELF, "shelf")
            continue
        parts = reader.mapping(section, line_in("shelf", key.text), f"{key.text}: {{NAME: {{ }}}}")
        seen: dict[str, tuple[str, str]] = {}
        shelf[key.text] = {}
        entries = parts.entries if parts else []
        if len(entries) > MOST_ITEMS:
            reader.tell(
                entries[MOST_ITEMS][0].span,
                line_in("shelf", key.text),
                f"{len(entries)} entries",
                f"At most {MOST_ITEMS} are read.",
            )
        for name, part in entries[:MOST_ITEMS]:
            path = path_inside(path_to("shelf", key.text), name.text)
            if names.good_name(reader, name, line_in("shelf", key.text), points=True):
                names.told_apart(reader, line_in("shelf", key.text), name, seen)
            lines = reader.mapping(part, path, f"{clean(name.text)}: {{ }}")
            if lines is not None:
                shelf[key.text][name.text.casefold()] = lines
                items.append(_item(reader, key.text, name, lines, path, currencies))
        if key.text == "connectors":
            reader.contacts = {name.text.casefold(): (name.text, None) for name, _ in entries}
            mates_named(reader, parts, line_in("shelf", key.text), {})
    _held(reader, shelf)
    return shelf, items


def _held(reader: Reader, shelf: Items[str, Items[str, Mapping]]) -> None:
    """Tell of holders that no fuse can be put into: they are not on the shelf."""
    known = list(shelf.get("sundries", {}))
    for name, fuse in shelf.get("fuses", {}).items():
        for key, node in fuse.entries:
            if key.text == "holder" and isinstance(node, Scalar) and node.text.casefold() not in known:
                near = nearest(node.text, known)
                do = f"Did you mean  {near} ?" if near else "Describe it under  shelf: sundries:"
                path = line_in("shelf", "fuses", name, "holder")
                reader.tell(node.span, path, f'no sundry called "{clean(node.text)}"', do)


def _item(
    reader: Reader, section: str, name: Scalar, lines: Mapping, path: PartPath, currencies: dict[str, str]
) -> ShelfItem:
    stock = DraftPart(name.text, path, name.span)
    draft = DraftPart(name.text, path, name.span)
    slots = TABLES["FUSE" if section == "fuses" else section]
    known: Slots = {key: slot for key, slot in slots.items() if key not in NOT_ON_A_SHELF}
    own: Slots = {**TABLES["stock"], **(TABLES["fuses"] if section == "fuses" else {})}
    for key, node in lines.entries:
        if key.text in own:
            _fact(reader, stock, key, node, own, path)
        elif key.text in known and section in COPYING:
            reader.fill(draft, [(key, node)], known, path)
        elif key.text in known:
            _fact(reader, draft, key, node, known, path)
        else:
            reader.unknown_key(key, (*known, *own), path)
    _one_currency(reader, stock, "price", currencies)
    return ShelfItem(section=section, part=_part_of(reader, section, draft, lines), **stock.values)


def _part_of(reader: Reader, section: str, draft: DraftPart, lines: Mapping) -> Any:
    if section == "wires":
        return Wire(**draft.head(), **draft.values)
    if section == "sundries":
        return Sundry(**draft.head(), **draft.values)
    if section == "fuses":
        return Fuse(**draft.head(), presence=FITTED, **draft.values)
    return MAKERS[section](reader, draft, {key.text: key for key, _ in lines.entries})
