"""`like: NAME` and `part: NAME`: the lines that one part takes over from another, as they stand there."""

from __future__ import annotations

from collections.abc import Mapping as Items

from packyoke.buildfile.reading.alike import nearest
from packyoke.buildfile.reading.document import Mapping, Node, Scalar, Sequence
from packyoke.buildfile.reading.names import ONE
from packyoke.buildfile.reading.table import TABLES
from packyoke.buildfile.reading.walk import Reader
from packyoke.core.field_paths import line_in
from packyoke.core.findings import clean
from packyoke.core.letters import looks, script_of
from packyoke.core.paths import PartPath, path_to

COPYING = ("packs", "joiners", "chargers", "controllers")
_COPY_KEYS = ("like", "part")
_NOT_COPIED = frozenset((*_COPY_KEYS, "tested_capacity", "place", "owner", "measured", "replaced", *TABLES["stock"]))
_RIVALS = (("resistance", "drop"),)
"""Keys that say the same thing: writing one replaces the other."""

NO_SHOP = "No shop file is used: it is packyoke-shop.yaml beside the build or above it, or the one of  --shop"
Entries = list[tuple[Scalar, Node]]


def entries_of(
    reader: Reader, section: str, where: PartPath, part: Mapping, whole: Mapping | None, shelf: Items[str, Mapping]
) -> tuple[Entries, str]:
    """The lines of a part with those it takes over, and the name of where they come from (empty: nowhere)."""
    asked = [(key, node) for key, node in part.entries if key.text in _COPY_KEYS]
    if not asked:
        return part.entries, ""
    own = [(key, node) for key, node in part.entries if key.text not in _COPY_KEYS]
    if len(asked) > 1:
        reader.tell(asked[1][0].span, where, "like and part together", "A part can be taken over from one place.")
        return own, ""
    key, node = asked[0]
    said = reader.scalar(node, line_in(where, key.text), f"{key.text}: NAME")
    if said is None:
        return own, ""
    if key.text == "part":
        found = _from_shelf(reader, said, where, shelf)
        if found is not None:
            reader.items[where] = said.text
        base = moved(found, said, reader.shop_file).entries if found is not None else None
    else:
        base = _from_file(reader, section, said, where, whole, shelf)
    return merged(own, base or []), said.text


def merged(own: Entries, base: Entries) -> Entries:
    """The lines of a part, and behind them those of another one that it takes over."""
    taken = {key.text for key, _ in own} | _NOT_COPIED
    for rivals in _RIVALS:
        if taken.intersection(rivals):
            taken.update(rivals)
    return own + [(key, node) for key, node in base if key.text not in taken]


def _from_shelf(reader: Reader, said: Scalar, where: PartPath, shelf: Items[str, Mapping]) -> Mapping | None:
    found = shelf.get(said.text.casefold())
    if found is None:
        near = next((name for name in shelf if looks(name) == looks(said.text)), "") or nearest(said.text, shelf)
        none = "The shop file has no such item in this section of its shelf."
        do = f"Did you mean  {near} ?" if near else none if reader.shop_file else NO_SHOP
        if reader.shop_file:
            do = f"{do}  The shop file is  {reader.shop_file}"
        reader.tell(
            said.span,
            line_in(where, "part"),
            f'nothing on the shelf called "{clean(said.text)}"',
            do,
            script_of(said.text),
        )
    return found


def _from_file(
    reader: Reader, section: str, said: Scalar, where: PartPath, whole: Mapping | None, shelf: Items[str, Mapping]
) -> Entries | None:
    names = {key.text.casefold(): (key.text, node) for key, node in whole.entries} if whole else {}
    name, base = names.get(said.text.casefold(), ("", None))
    path = line_in(where, "like")
    if base is None:
        others = [name for name, _ in names.values() if path_to(section, name) != where]
        near = nearest(said.text, others)
        do = f"There are: {', '.join(others) or 'no others'}." + (f"  Did you mean  {near} ?" if near else "")
        reader.tell(said.span, path, f'no {ONE[section].split()[1]} called "{clean(said.text)}"', do)
    elif path_to(section, name) == where:
        reader.tell(said.span, path, "like itself", "Name another one.")
    elif isinstance(base, Mapping):
        if any(key.text == "like" for key, _ in base.entries):
            reader.tell(
                said.span, path, f"{name} is itself like another", "One level only: name the one that is written out."
            )
            return None
        entries, _ = entries_of(reader, section, path_to(section, name), base, whole, shelf)
        if (item := reader.items.get(path_to(section, name))) is not None:
            reader.items[where] = item
        return entries
    return None


def moved(node: Mapping, place: Node, file: str) -> Mapping:
    """A copy of lines from another file that stands where this file asks for them."""
    copy = moved_node(node, place, file)
    assert isinstance(copy, Mapping)
    return copy


def moved_node(node: Node, place: Node, file: str) -> Node:
    """A copy of a line's value from another file that stands somewhere in this one."""
    start, end, origin = place._start, place._end, f"{file}:{node._start.line + 1}"
    if isinstance(node, Scalar):
        return Scalar(node.text, start, end, False, origin)
    if isinstance(node, Mapping):
        copy = Mapping(start, end, origin)
        copy.entries = [
            (Scalar(key.text, start, end, False, f"{file}:{key._start.line + 1}"), moved_node(value, place, file))
            for key, value in node.entries
        ]
        return copy
    items = Sequence(start, end, origin)
    items.items = [moved_node(item, place, file) for item in node.items]
    return items
