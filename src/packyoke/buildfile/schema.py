"""A JSON Schema of the build file for editors, from the field table.

It knows names, words and what may nest; quantities are texts, which only the reader checks.
"""

from __future__ import annotations

from typing import Any

from packyoke.model.fields import FIELDS, Field

Json = dict[str, Any]
LISTS = ("runs", "measured", "accept")
ANY_NAME = ("*", "NAME")


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
            fuse.at(field.path.split(".")[1:]).field = field
    for field in FIELDS:
        if not field.path.startswith(("FUSE.", "shop:")):
            node = root.at(field.path.split("."))
            node.field = field
            if field.kind == "fuse":
                node.keys = fuse.keys
    root.keys["controllers"].any_name = root.keys["controller"]
    found = {name: _section(name, node) for name, node in root.keys.items()}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "packyoke build file, format 1",
        "type": "object",
        "required": ["packyoke", "name"],
        "additionalProperties": False,
        "properties": found,
    }


def _section(name: str, node: _Node) -> Json:
    if name in LISTS:
        return _told(node, {"type": "array", "items": _mapping(node.any_name or _Node())})
    if node.any_name is not None:
        return _told(node, {"type": "object", "additionalProperties": _mapping(node.any_name)})
    return _told(node, _mapping(node) if node.keys else _leaf(node))


def _mapping(node: _Node) -> Json:
    rest: Any = _mapping(node.any_name) if node.any_name is not None else False
    return {
        "type": "object",
        "additionalProperties": rest,
        "properties": {key: _value(each) for key, each in node.keys.items()},
    }


def _value(node: _Node) -> Json:
    if not node.keys and node.any_name is None:
        return _told(node, _leaf(node))
    if node.any_name is not None:
        return _told(node, _mapping(node))
    # Inside a part a mapping may be written short: `discharge: 30 A`, `regen: none`.
    return _told(node, {"anyOf": [{"type": "string"}, _mapping(node)]})


def _leaf(node: _Node) -> Json:
    field = node.field
    return {"enum": list(field.words)} if field is not None and field.kind == "word" and field.words else {}


def _told(node: _Node, found: Json) -> Json:
    field = node.field
    if field is None:
        return found
    told: Json = {"description": f"{field.about}. Missing: {field.missing}"}
    return {**told, "examples": [field.example], **found} if field.example else {**told, **found}
