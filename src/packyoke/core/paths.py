"""How the path of a part is written: `packs.left`, `packs.left.fuse`, `controller`, `bike`, `build`. Known here only.

A path is a text, for pages, JSON and acceptances write it; `PartPath` lets the type checker tell it from a name. No
name has a point in it (the reader refuses that), but for a connector's, with which its path ends. What a line of the
file is called (`packs.*.discharge.peak`) is another thing: `core/field_paths.py`.
"""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple, NewType

PartPath = NewType("PartPath", str)

BUILD = PartPath("build")
"""The whole."""
BIKE = PartPath("bike")
CONTROLLER = PartPath("controller")
"""The only one, under a heading of its own."""
_CONNECTORS = "parts.connectors."


class PathSteps(NamedTuple):
    """The way to a part: its section as a build holds it, its name there, and the part inside it, if one is meant."""

    section: str
    name: str
    inside: str


def path_to(section: str, name: str | int) -> PartPath:
    """The part of a section by its name, or by its number where the section is a list.

    >>> path_to("leads", "keel lead"), path_to("accept", 1)
    ('leads.keel lead', 'accept.1')
    """
    return PartPath(f"{section}.{name}")


def path_inside(path: str, name: str) -> PartPath:
    """A part inside another.

    >>> path_inside("packs.left", "fuse")
    'packs.left.fuse'
    """
    return PartPath(f"{path}.{name}")


def connector_path(name: str) -> PartPath:
    """A connector that the file describes.

    >>> connector_path("4.5 mm lug")
    'parts.connectors.4.5 mm lug'
    """
    return PartPath(f"{_CONNECTORS}{name}")


@lru_cache(4096)
def steps_of(path: str) -> PathSteps:
    """A path taken apart, as a build holds its parts.

    >>> steps_of("packs.left")
    PathSteps(section='packs', name='left', inside='')
    >>> steps_of("joiners.hub.charge_port")
    PathSteps(section='joiners', name='hub', inside='charge_port')
    >>> [tuple(steps_of(each)) for each in ("controller", "ride.everyday", "bike")]
    [('controllers', 'controller', ''), ('rides', 'everyday', ''), ('bike', '', '')]
    >>> steps_of("parts.connectors.4.5 mm lug")
    PathSteps(section='connectors', name='4.5 mm lug', inside='')
    """
    heading, _, rest = path.partition(".")
    if heading == "controller":
        return PathSteps("controllers", "controller", rest)
    if heading == "parts":
        return PathSteps("connectors", rest.removeprefix("connectors."), "")
    name, _, inside = rest.partition(".")
    return PathSteps("rides" if heading == "ride" else heading, name, inside)


def heading_of(path: str) -> str:
    """What a part stands under in the file.

    >>> heading_of("packs.left.fuse"), heading_of("controller"), heading_of("ride.everyday")
    ('packs', 'controller', 'ride')
    """
    return path.partition(".")[0]


def name_of(path: str) -> str:
    """A part as people call it.

    >>> name_of("leads.keel lead"), name_of("packs.left.fuse"), name_of("controller")
    ('keel lead', 'left.fuse', 'controller')
    """
    return path.partition(".")[2] or path


def owner_of(path: str) -> PartPath:
    """The part itself where a path names something inside it.

    >>> owner_of("packs.left.charge_port"), owner_of("packs.left"), owner_of("build")
    ('packs.left', 'packs.left', 'build')
    >>> owner_of("parts.connectors.4.5 mm lug")
    'parts.connectors.4.5 mm lug'
    """
    inside = steps_of(path).inside
    return PartPath(path.removesuffix(f".{inside}") if inside else path)


def belongs_to(path: str, owner: str) -> bool:
    """Whether a path is that of a part or of something inside it.

    >>> belongs_to("packs.keel", "packs.keel"), belongs_to("packs.keel.fuse", "packs.keel")
    (True, True)
    >>> belongs_to("packs.keel spare", "packs.keel")
    False
    """
    return path == owner or path.startswith(f"{owner}.")


def in_section(path: str, section: str) -> bool:
    """Whether a part stands under a heading of the file, or is inside one that does; the heading itself does not.

    >>> in_section("chargers.small", "chargers"), in_section("packs.left", "chargers")
    (True, False)
    >>> in_section("chargers", "chargers")
    False
    """
    return path.startswith(f"{section}.")


def is_pack(path: str) -> bool:
    """Whether it is a pack, or inside one.

    >>> is_pack("packs.left"), is_pack("packs.left.fuse"), is_pack("leads.left")
    (True, True, False)
    """
    return path.startswith("packs.")


def is_joiner(path: str) -> bool:
    """Whether it is a joiner, or inside one.

    >>> is_joiner("joiners.hub"), is_joiner("leads.joiners")
    (True, False)
    """
    return path.startswith("joiners.")


def is_lead(path: str) -> bool:
    """Whether it is a lead, or inside one.

    >>> is_lead("leads.keel lead"), is_lead("packs.leads")
    (True, False)
    """
    return path.startswith("leads.")
