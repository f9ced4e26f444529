"""From the tree of a build file to the model: every section in turn, all mistakes of the file in one run."""

from __future__ import annotations

from collections.abc import Iterable
from collections.abc import Mapping as Items
from typing import Any, TypeVar

from packyoke.buildfile.reading import names
from packyoke.buildfile.reading.alike import fold, nearest
from packyoke.buildfile.reading.copies import COPYING, NO_SHOP, entries_of, moved, moved_node
from packyoke.buildfile.reading.document import Document, Mapping, Node, Scalar, Sequence
from packyoke.buildfile.reading.ends import looks_alike, mates_named, shelf_by_looks
from packyoke.buildfile.reading.sections import MAKERS, Written, assumed
from packyoke.buildfile.reading.shop import Shop
from packyoke.buildfile.reading.table import TABLES
from packyoke.buildfile.reading.walk import DraftPart, Reader, Spans, shown_text, start_of
from packyoke.core.field_paths import line_in
from packyoke.core.findings import Finding, Span, clean
from packyoke.core.paths import BIKE, BUILD, CONTROLLER, PartPath, connector_path, is_joiner, name_of, path_to
from packyoke.core.units import Kind, show
from packyoke.model import FROM_SHOP, Bike, Build, Joiner, Lead, Measured, Pack, Place, Stated, as_found

FORMAT = 1
_START = Span(1, 1, 1, 1)
_FILE = {key: slot for key, slot in TABLES["file"].items() if slot.attr and key != "sets"}
_SETS = {"sets": TABLES["file"]["sets"]}
_NAMED = ("racks", "places", "packs", "joiners", "leads", "controllers", "accessories", "chargers", "ride")
_LISTS = ("runs", "measured", "accept")
KNOWN = ("packyoke", *_FILE, "bike", *_NAMED, "controller", "all_leads", "parts", "sets", *_LISTS)
_KNOWN_KEYS = frozenset(KNOWN)
MOST = {
    "packs": 24,
    "joiners": 64,
    "leads": 200,
    "controllers": 12,
    "accessories": 100,
    "chargers": 60,
    "racks": 24,
    "places": 60,
    "ride": 60,
    "runs": 400,
    "measured": 1000,
    "accept": 1000,
    "connectors": 60,
}
"""Entries of a section that are read: more than any bike has (judgement), and few enough for an answer in time."""

Top = dict[str, tuple[Scalar, Node]]
AnyNode = TypeVar("AnyNode", tuple[Scalar, Node], Scalar | Mapping | Sequence)


def read_build(document: Document, *, shop: Shop | None = None, today: str | None = None) -> Build | list[Finding]:
    """The build that a file describes, or everything that is wrong with it, in the order of the file.

    :param document: the tree of the file
    :param shop: defaults and shelf of the workshop
    :param today: ISO 8601 day against which the dates of acceptances are checked; None checks none
    """
    reader = Reader(document, today)
    top: Top = {key.text: (key, node) for key, node in document.root.entries}
    if shop is not None:
        reader.shop_file = shop.file
        _take_defaults(reader, top, document.root, shop)
    _version(reader, top)
    for key, _ in top.values():
        if key.text not in _KNOWN_KEYS:
            _unknown(reader, key, top)
    names.collect(reader, document.root)
    sections = _Sections(reader, top, shop)
    connectors = sections.connectors()
    parts: dict[str, Any] = {section: sections.named(section) for section in _NAMED}
    parts |= {section: sections.listed(section) for section in _LISTS}
    draft = DraftPart("", BUILD, _START)
    reader.fill(draft, [top[key] for key in _FILE if key in top], _FILE, "")
    reader.fill(draft, [top["sets"]] if "sets" in top else (), _SETS, "")
    _check_file(reader, draft, top)
    _check_inlets(reader, parts["leads"], parts["joiners"])
    _check_readings(reader, parts["measured"], parts["leads"], parts["joiners"])
    _check_fuses(reader, parts["leads"])
    _check_racks(reader, parts["packs"], parts["places"])
    bike = sections.bike()
    if mistakes := reader.mistakes():
        return mistakes
    return as_found(
        Build(
            name=draft.name,
            path=BUILD,
            span=_START,
            spans=Spans(draft.spans | sections.of_leads.spans),
            file=document.file,
            bike=bike,
            connectors=connectors,
            rides=parts.pop("ride"),
            guesses=reader.guesses,
            stated=tuple(reader.stated),
            items=reader.items,
            shop=shop.name if shop else "",
            shelf=shop.items if shop else (),
            today=today or "",
            **parts,
            **draft.values,
            **sections.of_leads.values,
        )
    )


def _check_inlets(reader: Reader, leads: Items[str, Lead], joiners: Items[str, Joiner]) -> None:
    for lead in leads.values():
        joiner = joiners.get(lead.target)
        if lead.inlet is None or joiner is None or joiner.built_in is not None or lead.inlet <= joiner.inputs:
            continue
        do = f"It has 1 to {joiner.inputs}. If it has more:  inputs: {lead.inlet}  at {joiner.name}."
        said = f"{joiner.name} has no inlet {lead.inlet}"
        reader.tell(lead.place("inlet"), line_in(lead.path, "inlet"), said, do)


def _check_readings(
    reader: Reader, measured: Iterable[Measured], leads: Items[str, Lead], joiners: Items[str, Joiner]
) -> None:
    """A reading of one inlet names a lead that plugs into that joiner, or the number of an inlet that it has."""
    for reading in measured:
        joiner = joiners.get(name_of(reading.part)) if is_joiner(reading.part) else None
        path, text = line_in(reading.path, "inlet"), reading.inlet
        if text is None:
            continue
        if joiner is None:
            do = "Only a joiner has inlets; take the line out."
            reader.tell(reading.place("inlet"), path, f"{reading.part} has no inlets", do)
            continue
        into = [lead.name for lead in leads.values() if lead.target == joiner.name]
        if text not in into and text not in map(str, range(1, joiner.inputs + 1)):
            do = f"Write one of: {', '.join((*into, f'1 to {joiner.inputs}'))}."
            reader.tell(reading.place("inlet"), path, f'{joiner.name} has no inlet "{clean(text)}"', do)


def _check_fuses(reader: Reader, leads: Items[str, Lead]) -> None:
    """A fuse sits within its lead."""
    for lead in leads.values():
        at_m, length_m = lead.fuse.at_m, lead.length_m
        if at_m is not None and length_m is not None and at_m > length_m:
            said = f"{show(at_m, Kind.LENGTH)} along a lead of {show(length_m, Kind.LENGTH)}"
            do = "Measure from the end where the current comes from, or write how long the lead is."
            reader.tell(lead.fuse.place("at_m"), line_in(lead.path, "fuse", "at"), said, do)


def _check_racks(reader: Reader, packs: Items[str, Pack], places: Items[str, Place]) -> None:
    """A pack at a place that is on a rack is carried by that rack."""
    for pack in packs.values():
        place = places.get(pack.place_name or "")
        if place is None or None in (place.rack, pack.rack) or pack.rack == place.rack:
            continue
        said = f"rack {pack.rack}, where its place {place.name} is on rack {place.rack}"
        do = f"Write  rack: {place.rack} , or correct the place."
        reader.tell(pack.place("rack"), line_in(pack.path, "rack"), said, do)


def _version(reader: Reader, top: Top) -> None:
    if "packyoke" not in top:
        reader.tell(
            _START, "packyoke", "first line packyoke: 1 is missing", "It says in which format the file is written."
        )
        return
    node = top["packyoke"][1]
    text = node.text if isinstance(node, Scalar) else ""
    if text.isascii() and text.isdigit() and len(text) < 6 and int(text) > FORMAT:
        reader.tell(
            node.span,
            "packyoke",
            "written for a newer format",
            f"This version reads format {FORMAT}. Install a newer one.",
        )
    elif text != str(FORMAT):
        reader.tell(start_of(node), "packyoke", f"{shown_text(node)} is no format", f"Write  packyoke: {FORMAT}")


def _unknown(reader: Reader, key: Scalar, top: Top) -> None:
    if key.text == "units":
        do = "Every quantity has a unit of its own. For a report in miles and inches write  --units us"
        reader.tell(key.span, "units", 'no field "units"', do)
    elif key.text == "packyoke-shop":
        reader.tell(key.span, key.text, "this is a shop file", "It is never checked as a build: give it with  --shop")
    else:
        reader.unknown_key(key, KNOWN, "", top.values())


def _take_defaults(reader: Reader, top: Top, root: Mapping, shop: Shop) -> None:
    """Lines that the file does not have come from the shop file, and are listed as such."""
    start = Scalar("", root._start, root._start, False)
    for key, node in shop.defaults:
        if key.text not in top:
            origin = f"{shop.file}:{key.span.line}"
            name = Scalar(key.text, start._start, start._end, False, origin)
            top[key.text] = (name, moved_node(node, start, shop.file))
            said = f"{key.text.replace('_', ' ')} {_said(node)}"
            reader.stated.append(Stated(BUILD, said, FROM_SHOP, origin))


def _said(node: Node) -> str:
    """A value of the file in a line: `insulation silicone, run in frame`."""
    if isinstance(node, Scalar):
        return clean(node.text)
    if isinstance(node, Mapping):
        return ", ".join(f"{clean(key.text).replace('_', ' ')} {_said(value)}" for key, value in node.entries)
    return " and ".join(map(_said, node.items))


def _check_file(reader: Reader, draft: DraftPart, top: Top) -> None:
    """What the lines of the file as a whole need and what must fit together."""
    draft.name = draft.values.pop("name", "")
    if "name" not in top:
        reader.tell(
            _START, "name", "name is missing", "Write what the workshop calls the bike, for example  name: Mail bike 3"
        )
    for key in ("warmest", "coldest"):
        assumed(reader, draft, "file", key)
    warmest_k, coldest_k = (draft.values.get(f"{key}_k", _default(key)) for key in ("warmest", "coldest"))
    if coldest_k >= warmest_k:
        places = [draft.spans[attr] for attr in ("coldest_k", "warmest_k") if attr in draft.spans]
        own = next((node for node in places if not node.origin), places[0])
        reader.beside = next((node.origin for node in places if node.origin), "")
        do = "The coldest air is below the warmest; missing lines count as 0 degC and 30 degC."
        reader.tell(own.span, "coldest", "not below warmest", do)
        reader.beside = ""


def _default(key: str) -> float:
    field = TABLES["file"][key].field
    return float(field.default) if field is not None else 0.0


class _Sections:
    """The sections of one file, read into parts."""

    def __init__(self, reader: Reader, top: Top, shop: Shop | None) -> None:
        self.reader, self.top, self.shop = reader, top, shop
        self.of_leads = DraftPart("", PartPath("all_leads"), _START)  # what leads have that nobody has drawn yet
        self.for_leads = self._all_leads()

    def named(self, section: str) -> dict[str, Any]:
        """The parts of a section by name; `controller` is the only one of `controllers`."""
        whole: Mapping | None
        if section == "controllers" and "controller" in self.top:
            key, node = self.top["controller"]
            if "controllers" in self.top:
                span, said = self.top["controllers"][0].span, "controller and controllers together"
                self.reader.tell(span, "controllers", said, "Put both under  controllers:  with a name each.")
            part = self._part(section, DraftPart("controller", CONTROLLER, key.span), node, None)
            return {} if part is None else {"controller": part}
        whole = self._mapping(section)
        if whole is None:
            return {}
        if section == "ride":
            names.good_rides(self.reader, whole)
        made = {
            key.text: self._part(section, DraftPart(key.text, path_to(section, key.text), key.span), node, whole)
            for key, node in self._within(section, section, whole.entries)
        }
        return {name: part for name, part in made.items() if part is not None}

    def _within(self, section: str, path: str, entries: list[AnyNode]) -> list[AnyNode]:
        """As many entries as are read; the first that is too many is told."""
        most = MOST[section]
        if len(entries) > most:
            first, what = entries[most], section if section.endswith("s") else "entries"
            span = start_of(first[0] if isinstance(first, tuple) else first)
            self.reader.tell(span, path, f"{len(entries)} {what}", f"At most {most} are read.")
        return entries[:most]

    def listed(self, section: str) -> tuple[Any, ...]:
        """The parts of a section that is a list: their names follow from what they say."""
        if section not in self.top:
            return ()
        node = self.top[section][1]
        if not isinstance(node, Sequence):
            from packyoke.buildfile.reading.shapes import example_of

            self.reader.tell(
                start_of(node),
                section,
                f"{shown_text(node)}, where a list is needed",
                f"Write for example  {section}: {example_of(section)}",
            )
            return ()
        made = (
            self._part(section, DraftPart("", path_to(section, number), start_of(item)), item, None)
            for number, item in enumerate(self._within(section, section, node.items), 1)
        )
        return tuple(part for part in made if part is not None)

    def bike(self) -> Bike:
        node = self.top["bike"][1] if "bike" in self.top else None
        if node is None:
            return Bike(name="bike", path=BIKE, span=_START, spans={})
        bike = self._part("bike", DraftPart("bike", BIKE, self.top["bike"][0].span), node, None)
        return bike or Bike(name="bike", path=BIKE, span=_START, spans={})

    def connectors(self) -> dict[str, Any]:
        """What the file says of connectors; read first, for ends may name them."""
        parts = self._mapping("parts")
        made: dict[str, Any] = {}
        for key, node in parts.entries if parts else ():
            if key.text != "connectors":
                self.reader.unknown_key(key, ("connectors",), "parts")
                continue
            seen = shelf_by_looks()
            whole = self.reader.mapping(node, "parts.connectors", "connectors: {dock blade: {per_contact: 15 A}}")
            for name, part in self._within("connectors", "parts.connectors", whole.entries) if whole else ():
                path = connector_path(name.text)
                good = names.good_name(self.reader, name, "parts.connectors", points=True)
                if good:
                    names.told_apart(self.reader, "parts.connectors", name, seen, looks_alike)
                found = self._part("connectors", DraftPart(name.text, path, name.span), part, None)
                if good and found is not None:
                    made[name.text] = found
                    self.reader.contacts[name.text.casefold()] = (name.text, found.contacts)
            mates_named(self.reader, whole, "parts.connectors", made)
        return made

    def _mapping(self, section: str) -> Mapping | None:
        if section not in self.top:
            return None
        node = self.top[section][1]
        if isinstance(node, Mapping):
            return node
        from packyoke.buildfile.reading.shapes import instead  # for mistakes only, as below

        return self.reader.mapping(node, section, *instead(section, "", node))

    def _part(self, section: str, draft: DraftPart, node: Node, whole: Mapping | None) -> Any:
        reader = self.reader
        if isinstance(node, Scalar) and node.nothing and section in (*names.NAMED, "bike"):
            node = Mapping(node._start, node._end)  # of which nothing is known yet
        if not isinstance(node, Mapping):
            from packyoke.buildfile.reading.shapes import instead

            reader.mapping(node, draft.path, *instead(section, clean(draft.name) or section, node))
            return None
        written: Written = {key.text: key for key, _ in node.entries}
        entries = node.entries
        if section in COPYING:
            shelf = self.shop.shelf.get(section, {}) if self.shop else {}
            entries, source = entries_of(reader, section, draft.path, node, whole, shelf)
            if source:
                self._say_copied(draft, entries, source, written)
        elif section == "leads" and self.for_leads and not _direct(node):
            entries = entries + [(key, value) for key, value in self.for_leads if key.text not in written]
        reader.fill(draft, entries, TABLES[section], draft.path)
        if section in ("packs", "joiners"):
            reader.beside = next((key.origin for key, _ in entries if key.origin), "")
        try:
            return MAKERS[section](reader, draft, written)
        finally:
            reader.beside = ""

    def _say_copied(self, draft: DraftPart, entries: list[tuple[Scalar, Node]], source: str, written: Written) -> None:
        for key, value in entries:
            if key.text == "condition" and "condition" not in written and isinstance(value, Scalar):
                text = f"condition {clean(value.text)}, as {clean(source)}"
                self.reader.stated.append(Stated(draft.path, text, "copied, not looked at"))
        if "part" in written:
            origin = next((key.origin for key, _ in entries if key.origin), "")
            self.reader.stated.append(Stated(draft.path, f"as {clean(source)} of the shelf", FROM_SHOP, origin))

    def _all_leads(self) -> list[tuple[Scalar, Node]]:
        """The lines that every lead has which does not say otherwise; a kind of wire stands for its insulation."""
        whole = self._mapping("all_leads")
        found: list[tuple[Scalar, Node]] = []
        for key, node in whole.entries if whole else ():
            if key.text == "kind":
                found += self._insulation_of(node)
            elif key.text in TABLES["all_leads"]:
                found.append((key, node))
            else:
                self.reader.unknown_key(key, TABLES["all_leads"], "all_leads")
        self.reader.fill(self.of_leads, found, TABLES["all_leads"], "all_leads")
        return found

    def _insulation_of(self, node: Node) -> list[tuple[Scalar, Node]]:
        said = self.reader.scalar(node, "all_leads.kind", "kind: the name of a wire on the shelf")
        wires = self.shop.shelf.get("wires", {}) if self.shop else {}
        if said is None:
            return []
        if said.text.casefold() not in wires:
            near = nearest(said.text, wires)
            none = "A wire of the shop file's shelf is meant. Or write  insulation:" if self.shop else NO_SHOP
            do = f"Did you mean  {near} ?" if near else none
            self.reader.tell(said.span, "all_leads.kind", f'no wire on the shelf called "{clean(said.text)}"', do)
            return []
        wire = moved(wires[said.text.casefold()], said, self.reader.shop_file)
        return [(key, value) for key, value in wire.entries if key.text == "insulation"]


def _direct(lead: Mapping) -> bool:
    return any(
        key.text == "direct" and isinstance(node, Scalar) and fold(node.text) in ("true", "yes")
        for key, node in lead.entries
    )
