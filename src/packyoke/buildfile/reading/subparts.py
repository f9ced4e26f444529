"""Parts inside parts: fuses, switches, charge ports, what a bike maker states, and bonds."""

from __future__ import annotations

from packyoke.buildfile.reading.document import Mapping, Node, Scalar
from packyoke.buildfile.reading.forms import SWITCH_WORDS, said_by
from packyoke.buildfile.reading.walk import DraftPart, Reader, Slot, guessed, shown_text, start_of
from packyoke.core.field_paths import line_in
from packyoke.core.paths import path_inside
from packyoke.model import FITTED, INSIDE, NONE, Bonded, BuiltIn, ChargePort, Fuse, Key, Switch


def read_fuse(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A fuse: none, inside but not confirmed, or what is marked on it. Always a part of its own."""
    path = line_in(where, slot.key)
    fuse = DraftPart("fuse", path_inside(draft.path, "fuse"), node.span)
    fuse.spans["presence"] = node
    word, guess = guessed(" ".join(said_by(node).replace(",", " ").split()))
    if isinstance(node, Mapping):
        fuse.span = start_of(node)
        fuse.values["presence"] = FITTED
        reader.fill(fuse, node.entries, slot.children, path)
    elif word == NONE or (INSIDE in slot.words and word in (INSIDE.replace(",", ""), "inside")):
        presence = NONE if word == NONE else INSIDE
        if guess:
            reader.guesses[Key(fuse.path, "presence")] = presence
        else:
            fuse.values["presence"] = presence
    else:
        empty = isinstance(node, Scalar) and (not node.text or node.nothing)
        known = f"Write  {'  or  '.join(slot.field.words if slot.field else ())}  or for example  {slot.example}"
        reader.tell(start_of(node), path, "nothing here" if empty else f"{shown_text(node)} is not a fuse", known)
        return
    draft.spans["fuse"] = node
    draft.values["fuse"] = Fuse(**fuse.head(), **fuse.values)


def no_fuse(draft: DraftPart, presence: str | None) -> Fuse:
    """The place where a fuse belongs and of which the file says nothing."""
    return Fuse(name="fuse", path=path_inside(draft.path, "fuse"), span=draft.span, spans={}, presence=presence)


def read_regen(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    path = line_in(where, slot.key)
    word, guess = guessed(said_by(node))
    if word == NONE:
        reader.keep(draft, slot, node, 0.0, guess)
    elif isinstance(node, Mapping):
        draft.spans[slot.attr] = node
        reader.fill(draft, node.entries, slot.children, path)
    else:
        reader.mapping(node, path, "regen: {current: 8 A}  or  regen: none")


def _inside(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> DraftPart | None:
    """A part inside a part, with its own lines read."""
    mapping = reader.mapping(node, line_in(where, slot.key), slot.example)
    if mapping is None:
        return None
    inside = DraftPart(slot.key, path_inside(draft.path, slot.key), start_of(mapping))
    reader.fill(inside, mapping.entries, slot.children, line_in(where, slot.key))
    return inside


def read_charge_port(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    if said_by(node) == NONE:
        return
    port = _inside(reader, draft, node, slot, where)
    if port is not None:
        reader.keep(draft, slot, node, ChargePort(**port.head(), **port.values))


def read_switch(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    if said_by(node) == NONE:
        return
    switch = _inside(reader, draft, node, slot, where)
    if switch is not None:
        reader.keep(draft, slot, node, Switch(**switch.head(), **switch.values))


def read_built_in(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """`yes`, or what the bike maker states."""
    yes = SWITCH_WORDS.get(said_by(node))
    if yes is not None:
        if yes:
            path = path_inside(draft.path, slot.key)
            reader.keep(draft, slot, node, BuiltIn(name=slot.key, path=path, span=node.span, spans={}))
        return
    inside = _inside(reader, draft, node, slot, where)
    if inside is not None:
        reader.keep(draft, slot, node, BuiltIn(**inside.head(), **inside.values))


def read_bonded(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """Packs that are parted only with a tool: both lines are needed, as one statement."""
    inside = _inside(reader, draft, node, slot, where)
    if inside is None:
        return
    written = {key.text for key, _ in node.entries} if isinstance(node, Mapping) else set()
    lacking = [key for key in slot.children if key not in written]
    if lacking:
        reader.tell(inside.span, line_in(where, slot.key), f"{' and '.join(lacking)} missing", f"Write  {slot.example}")
    elif any(Key(inside.path, key) in reader.guesses for key in slot.children):
        reader.tell(
            inside.span, line_in(where, slot.key), "a guess does not do here", "Measure before they are joined."
        )
    elif set(slot.children) <= inside.values.keys():
        reader.keep(draft, slot, node, Bonded(inside.values["by"], inside.values["charged"]))
