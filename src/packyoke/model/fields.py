"""The field table: every line that a build file or a shop file may have, once.

It drives the reader, the schema for editors, the list of things to find out and the reference page.
"""

from __future__ import annotations

from packyoke.core.field_paths import keys_of, line_in
from packyoke.core.paths import steps_of
from packyoke.model.field import Field
from packyoke.model.fields_harness import ACCESSORIES, CHARGERS, CONTROLLERS, JOINERS, LEADS
from packyoke.model.fields_packs import BIKE, FILE, FUSES, PACKS
from packyoke.model.fields_use import CONNECTORS, PLANNING, RECORDS, RIDES, SHOP

__all__ = ["FIELDS", "SUBPARTS", "Field", "field_for"]

FIELDS: tuple[Field, ...] = (
    *FILE,
    *BIKE,
    *PACKS,
    *FUSES,
    *JOINERS,
    *LEADS,
    *CONTROLLERS,
    *ACCESSORIES,
    *CHARGERS,
    *CONNECTORS,
    *PLANNING,
    *RIDES,
    *RECORDS,
    *SHOP,
)

SUBPARTS = ("fuse", "switch", "charge_port", "built_in", "bonded", "known")
"""Keys whose mapping is a part of its own inside another part."""


def _owners(field: Field) -> tuple[str, ...]:
    """The kinds of part that hold a field, as `section` or `section.subpart`."""
    section, *rest = keys_of(field.path)
    if section == "FUSE":
        return "packs.fuse", "leads.fuse", "accessories.fuse"
    if section == "controller":
        return ("controllers",)
    if section == "parts":
        return ("connectors",)
    if section == "all_leads":
        return ("build",)
    if section == "ride":
        section = "rides"
    if section == "bike":
        return ("bike",)
    inside = rest[1:]
    if inside and inside[0] in SUBPARTS and (len(inside) > 1 or field.kind == "fuse"):
        return (line_in(section, inside[0]),)
    return (section if rest else "build",)


_INDEX: dict[tuple[str, str], Field] = {}
for _field in FIELDS:
    if _field.attr and not _field.path.startswith("shop:"):
        for _owner in _owners(_field):
            for _attr in (_field.attr, *_field.also):
                _INDEX.setdefault((_owner, _attr), _field)


def field_for(part_path: str, attr: str) -> Field:
    """The row of an attribute of the part at a path (`packs.keel`, `packs.keel.fuse`, `controller`, `build`).

    Raises KeyError for an attribute that no line of the file fills.
    """
    return _INDEX[part_kind(part_path), attr]


def has_field(part_path: str, attr: str) -> bool:
    """Whether a line of the file fills an attribute of the part at a path."""
    return field_of(part_kind(part_path), attr) is not None


def field_of(owner: str, attr: str) -> Field | None:
    """The row of an attribute of a kind of part, `part_kind` its path; None when no line of the file fills it."""
    return _INDEX.get((owner, attr))


def part_kind(part_path: str) -> str:
    """The kind of part that a path leads to: `packs` or `packs.fuse`."""
    section, _, inside = steps_of(part_path)
    return line_in(section, inside) if inside else section


_SECTIONS = (
    "packs",
    "joiners",
    "leads",
    "controller",
    "controllers",
    "accessories",
    "chargers",
    "racks",
    "places",
    "runs",
    "bike",
    "parts",
    "connectors",
    "ride",
)


def field_name(key: tuple[str, str]) -> str:
    """A field as the file calls it, without its part: `discharge.continuous`, `gauge`."""
    field = field_for(*key)
    return file_name(field)


def file_name(field: Field) -> str:
    """The line of the file that fills a field, without its part."""
    steps = keys_of(field.path)
    if steps[0] == "FUSE":
        return line_in("", *steps[1:])
    while len(steps) > 1 and (steps[0] in _SECTIONS or steps[0] in ("*", "NAME")):
        steps = steps[1:]
    return line_in("", *steps)
