"""What lines need of one another, for the JSON Schema: which fields go with which type, which never stand together,
how many inlets there are, what a reading is read in, and names of a section that the file does not have.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Protocol

from packyoke.buildfile.reading.names import NAMED
from packyoke.buildfile.reading.sections import NOT_DIRECT
from packyoke.buildfile.schema_patterns import GUESS, any_case, any_word
from packyoke.buildfile.schema_values import NONE, YES_NO, ref
from packyoke.model.field import Field
from packyoke.model.fields import FIELDS
from packyoke.model.fields_harness import ONLY_FOR

Json = dict[str, Any]
LISTS = ("runs", "measured", "accept")
NEVER: Json = {"not": {}}
_JOINER_TYPES = next(field.words for field in FIELDS if field.path == "joiners.*.type")
_INPUTS = next(field for field in FIELDS if field.path == "joiners.*.inputs")
_YES: Json = {
    "anyOf": [{"const": True}, {"type": "string", "pattern": rf"^\s*({any_case('yes')}|{any_case('true')})\s*$"}]
}


class KeyTree(Protocol):
    """One key of the file with what is below it."""

    @property
    def field(self) -> Field | None: ...
    @property
    def keys(self) -> Mapping[str, Any]: ...
    @property
    def any_name(self) -> Any: ...


def everywhere(node: KeyTree, leaf: Callable[[Field], Json], name: str = "") -> Json:
    """What `leaf` says of fields, at all their places below a node; nothing where it says nothing."""
    found = leaf(node.field) if node.field is not None else {}
    if found:
        return found
    below = {key: inner for key, each in node.keys.items() if (inner := everywhere(each, leaf, key))}
    rest = everywhere(node.any_name, leaf) if node.any_name is not None else {}
    if rest and name in LISTS:
        return {"items": rest}
    return {**({"properties": below} if below else {}), **({"additionalProperties": rest} if rest else {})}


def together(section: str) -> list[Json]:
    """What the lines of one part need of one another."""
    return {
        "joiners": [_never("like", "part"), _never("resistance", "drop"), *_of_types(), *_inlets()],
        "leads": [{"if": _has("direct", _YES), "then": _none_of(*NOT_DIRECT)}],
        "packs": [_never("like", "part")],
        "chargers": [_never("like", "part")],
        "ride": [_never("hills", "gpx")],
        "measured": [_reading(words, value) for words, value in _READ_IN],
    }.get(section, [])


_READ_IN: tuple[tuple[tuple[str, ...], Json], ...] = (
    (("voltage", "voltage under load", "drop"), ref("voltage")),
    (("resistance",), ref("resistance")),
    (("capacity",), ref("charge")),
    (("temperature",), ref("temperature")),
    (("blocks", "polarity"), YES_NO),
    (("fuse",), {"anyOf": [YES_NO, ref("current")]}),
)
"""What the value of a reading is read in."""


def _reading(words: tuple[str, ...], value: Json) -> Json:
    above = {"not": {"type": "string", "pattern": "^[ ]*-"}} if words != ("temperature",) else {}
    said = {"pattern": f"^({'|'.join(map(any_word, words))})$"}
    return {"if": _has("what", said), "then": {"properties": {"value": {**value, **above}}}}


def _has(key: str, value: Json) -> Json:
    return {"type": "object", "required": [key], "properties": {key: value}}


def _never(*keys: str) -> Json:
    return {"not": {"type": "object", "required": [*keys]}}


def _none_of(*keys: str) -> Json:
    return {"not": {"type": "object", "anyOf": [{"required": [key]} for key in keys]}}


def _no_part(*sections: str) -> Json:
    """A file without any part of these sections: an empty one names nothing."""
    one: Json = {"minProperties": 1}
    there = [{"required": [each], **({} if each == "controller" else {"properties": {each: one}})} for each in sections]
    return {"not": {"anyOf": there}}


def _of_types() -> list[Json]:
    """A type that is written and no guess refuses what belongs to others; copied lines the reader looks at."""
    found = []
    for kind in _JOINER_TYPES:
        others = [key for key, kinds in ONLY_FOR.items() if kind not in kinds]
        if kind != "unknown":
            found.append({"if": _has("type", {"pattern": rf"^\s*{any_word(kind)}\s*$"}), "then": _none_of(*others)})
    return found


def _inlets() -> list[Json]:
    """A list of inlets has one for each input; how many a copied joiner has only the reader knows."""
    copied = {"anyOf": [{"required": ["like"]}, {"required": ["part"]}, {"required": ["inputs"]}]}
    found = [{"if": {"not": copied}, "then": _as_many(int(_INPUTS.default))}]
    for count in range(int(_INPUTS.low or 0), int(_INPUTS.high or 0) + 1):
        said = {"anyOf": [{"const": count}, {"type": "string", "pattern": rf"^{count} *\??$"}]}
        found.append({"if": _has("inputs", said), "then": _as_many(count)})
    return found


def _as_many(count: int) -> Json:
    return {"properties": {"inlets": {"minItems": count, "maxItems": count}}}


_NO_NAME: Mapping[str, Json] = {
    "name": NEVER,
    "name or none": NONE,
    "names": {"maxItems": 0},
    "two names": NEVER,
    "name or list": NEVER,
    "list of names": {"items": {"maxItems": 0}},
}


def names_there(root: KeyTree) -> list[Json]:
    """No line names a part of a section that the file does not have."""
    found = []
    for words in sorted({field.words for field in FIELDS if field.kind in _NO_NAME and field.words}):
        keys = (*words, "controller") if "controllers" in words else words
        found.append({"if": _no_part(*keys), "then": everywhere(root, lambda f, w=words: _missing(f, w))})  # type: ignore[misc]
    controller = {"pattern": f"^{any_case('controller')}$"}
    only, never = (_where("leads.*.to", root, each) for each in (controller, {"not": controller}))
    found += [{"if": _no_part("joiners", "controllers"), "then": only}, {"if": _no_part("controller"), "then": never}]
    found += [
        {"if": _no_part(key), "then": everywhere(root, lambda f, k=key: _no_path(f, k))}  # type: ignore[misc]
        for key in (*NAMED, "controller")
        if key != "controllers"
    ]
    alone = {"additionalProperties": _none_of("like")}
    more = {"anyOf": [{"minProperties": 2}, alone]}
    found.append({"properties": dict.fromkeys(("packs", "joiners", "chargers"), more)})
    return found


def _missing(field: Field, words: tuple[str, ...]) -> Json:
    return _NO_NAME[field.kind] if field.words == words and field.kind in _NO_NAME else {}


def _no_path(field: Field, section: str) -> Json:
    return {"not": {"pattern": rf"^{section}(\.|$)"}} if field.kind == "path" else {}


def _where(path: str, root: KeyTree, found: Json) -> Json:
    return everywhere(root, lambda field: found if field.path == path else {})


def no_whole_connector() -> Json:
    """A file that describes no connector of which both halves are alike: then an end says pin or socket, or is of
    such a family of the shelf."""
    halves = {"pattern": rf"^\s*{any_word('pin and socket')}{GUESS}$|\?\s*$"}
    other = {"not": {"additionalProperties": {"properties": {"contacts": halves}}}}
    inside = {"required": ["connectors"], "properties": {"connectors": other}}
    return {"not": {"required": ["parts"], "properties": {"parts": inside}}}
