"""A JSON Schema of the build file for editors, from the field table.

It knows names, words, forms of quantities, what may nest and what is far out of bounds; what a name refers to only the
reader knows.
"""

from __future__ import annotations

from typing import Any

from packyoke.buildfile.reading.names import NAMED
from packyoke.buildfile.schema_together import LISTS, everywhere, names_there, no_whole_connector, together
from packyoke.buildfile.schema_values import definitions, named, ref, value
from packyoke.core.field_paths import keys_of
from packyoke.model.fields import FIELDS, Field

Json = dict[str, Any]
ID = "https://packyoke.example/schema/build-file-1.json"
"""A name, not an address: nothing is fetched from it."""
ANY_NAME = ("*", "NAME")
SHORT = {"discharge": "continuous", "current": "continuous", "battery_current": "limit"}
"""A single value in place of these mappings stands for their first field."""
ABOUT = {
    "bike": "the bike without packs",
    "drive": "how the motor drives",
    "racks": "carriers, by name",
    "packs": "batteries with one outlet each, by name",
    "joiners": "the parts that join pack leads into one, by name",
    "leads": "cables of two conductors, by name",
    "all_leads": "default for the leads of this file",
    "controller": "the motor controller, battery side",
    "controllers": "two controllers, by name",
    "accessories": "lamps, converters, horns, by name",
    "chargers": "chargers, by name",
    "parts": "what the shelf does not know",
    "connectors": "connector families, by name",
    "places": "where joiners can sit, by name",
    "ride": "riding styles, by name; everyday is the one in the check report",
    "discharge": "what its BMS gives; one current alone is continuous",
    "current": "what it carries; one current alone is continuous",
    "battery_current": "what it draws from the packs; one current alone is the limit",
    "bms": "its protection circuit",
    "voltage": "the volts that it works with",
    "fuse": "none, or what is marked on it",
    "switch": "a switch in this lead",
}


class _Node:
    """One key of the file with what is below it; `any_name` stands for keys of the user's own."""

    def __init__(self) -> None:
        self.field: Field | None = None
        self.keys: dict[str, _Node] = {}
        self.any_name: _Node | None = None

    def at(self, steps: list[str]) -> _Node:
        if not steps:
            return self
        step, *rest = steps
        if step in ANY_NAME:
            self.any_name = self.any_name or _Node()
            return self.any_name.at(rest)
        return self.keys.setdefault(step, _Node()).at(rest)


def schema() -> Json:
    """The schema of format 1, draft 2020-12."""
    root, fuse = _Node(), _Node()
    for field in FIELDS:
        if field.path.startswith("FUSE."):
            fuse.at(keys_of(field.path)[1:]).field = field
    for field in FIELDS:
        if not field.path.startswith(("FUSE.", "shop:")):
            node = root.at(keys_of(field.path))
            node.field = field
            if field.kind == "fuse":
                node.keys = fuse.keys
    root.keys["controllers"].any_name = root.keys["controller"]
    found = {name: _section(name, node) for name, node in root.keys.items()}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": ID,
        "title": "packyoke build file, format 1",
        "description": "One electric bike: packs, joiners, leads, controller. A missing line means not known.",
        "type": "object",
        "required": ["packyoke", "name"],
        "not": {"required": ["controller", "controllers"]},
        "allOf": [{"if": no_whole_connector(), "then": everywhere(root, _shelf_end)}, *names_there(root)],
        "additionalProperties": False,
        "properties": found,
        "$defs": definitions(),
    }


def _shelf_end(field: Field) -> Json:
    """An end in a file without families of its own whose halves are alike."""
    if field.kind not in ("end", "ends", "end or list"):
        return {}
    return {"if": {"type": "array"}, "then": {"items": ref("shelf_end")}, "else": ref("shelf_end")}


def _section(name: str, node: _Node) -> Json:
    if name in LISTS:
        return _told(name, node, {"type": "array", "items": _part(name, node.any_name or _Node())})
    if node.any_name is not None:
        entries = {"type": "object", "additionalProperties": _part(name, node.any_name)}
        names = {"propertyNames": {"pattern": named("controller", "none", "all")}}
        return _told(name, node, {**entries, **names})
    return _told(name, node, _part(name, node) if node.keys else _leaf(node))


def _part(section: str, node: _Node) -> Json:
    found, needs = _mapping(section, node), together(section)
    if section in (*NAMED, "bike", "controller") and not found.get("required"):
        found["type"] = ["object", "null"]  # of which nothing is known yet
    return {**found, "allOf": needs} if needs else found


def _mapping(name: str, node: _Node) -> Json:
    rest: Any = _mapping(name, node.any_name) if node.any_name is not None else False
    found: Json = {
        "type": "object",
        "additionalProperties": rest,
        "properties": {key: _value(key, each) for key, each in node.keys.items()},
    }
    needed = [key for key, each in node.keys.items() if each.field and each.field.needed]
    return {**found, "required": needed} if needed else found


def _value(key: str, node: _Node) -> Json:
    if not node.keys and node.any_name is None:
        return _told(key, node, _leaf(node))
    inside = _mapping(key, node)
    if node.any_name is not None:
        return _told(key, node, inside)
    # Inside a part a mapping may be written short: `discharge: 30 A`, `regen: none`.
    short = node.keys[SHORT[key]].field if key in SHORT and SHORT[key] in node.keys else None
    other = value(short) if short is not None else _leaf(node)
    if node.field is not None and node.field.kind == "mapping or list":
        other = {"type": "array", "items": inside}
    return _told(key, node, {"anyOf": [other, inside]} if other else inside)


def _leaf(node: _Node) -> Json:
    return value(node.field) if node.field is not None else {}


def _told(key: str, node: _Node, found: Json) -> Json:
    field = node.field
    if field is None:
        return {"description": ABOUT.get(key, key.replace("_", " ")), **found}
    told: Json = {"description": f"{field.about}. Missing: {field.missing}"}
    return {**told, "examples": [field.example], **found} if field.example else {**told, **found}
