"""Names of a build file: which there are, who may bear which, and what a line means that says one."""

from __future__ import annotations

import re
from collections.abc import Callable

from packyoke.buildfile.reading.alike import fold, nearest
from packyoke.buildfile.reading.document import Mapping, Node, Scalar, Sequence
from packyoke.buildfile.reading.walk import DraftPart, Reader, Slot, shown_text, start_of
from packyoke.core.field_paths import keys_of, line_in
from packyoke.core.findings import clean
from packyoke.core.letters import looks, of_another_script, script_of
from packyoke.core.paths import CONTROLLER, PartPath, heading_of, owner_of, path_inside, path_to, steps_of

SHARED = ("packs", "joiners", "leads", "controllers", "accessories")
NAMED = (*SHARED, "racks", "chargers", "places")
RESERVED = ("controller", "none", "all")
ONE = {
    "packs": "a pack",
    "joiners": "a joiner",
    "leads": "a lead",
    "controllers": "a controller",
    "accessories": "an accessory",
    "racks": "a rack",
    "chargers": "a charger",
    "places": "a place",
}
MOST_SETS = 64
"""Every set of six packs (judgement): who lists more asks for all."""
_VERBS = {"from": "come from", "to": "go to"}
_WORDS = r"(?=.*[^\W_])(?! )(?!.* \Z)(?!.*  )"
"""A letter or a digit, and no blanks that nobody sees."""
_NAME = re.compile(rf"{_WORDS}[\w '-]{{1,40}}").fullmatch
_OTHER_NAME = re.compile(rf"{_WORDS}[\w '.-]{{1,40}}").fullmatch


def good_name(reader: Reader, key: Scalar, where: str, points: bool = False) -> bool:
    """Whether a name of the user's own is one."""
    path = line_in(where, key.text)
    if fold(key.text) in RESERVED:
        reader.tell(key.span, path, f'"{key.text}" is no name', f"These mean something: {', '.join(RESERVED)}.")
    elif not (_OTHER_NAME if points else _NAME)(key.text):
        tidied = " ".join(key.text.split())
        blanks = tidied != key.text and (_OTHER_NAME if points else _NAME)(tidied)
        do = "A name has 1 to 40 letters, digits, spaces, hyphens, underscores or apostrophes."
        if blanks:
            do = f"One blank between words and none at the ends:  {tidied}"
        reader.tell(key.span, path, f'"{clean(key.text)}" is no name', do)
    else:
        return True
    return False


def collect(reader: Reader, root: Mapping) -> None:
    """Gather the names of every section before any line says one; two parts of one name are told here."""
    reader.names = {section: {} for section in NAMED}
    taken: dict[str, tuple[str, Scalar]] = {}
    seen: dict[str, tuple[str, str]] = {}
    for key, node in root.entries:
        if key.text == "controller":
            reader.names["controllers"]["controller"] = "controller"
            reader.paths["controller"] = CONTROLLER
        if key.text not in reader.names or not isinstance(node, Mapping):
            continue
        section = reader.names[key.text]
        for name, _ in node.entries:
            if not good_name(reader, name, key.text):
                continue
            folded = name.text.casefold()
            section[folded] = name.text
            reader.paths[path_to(key.text, folded)] = path_to(key.text, name.text)
            told_apart(reader, key.text, name, seen)
            if key.text in SHARED:
                first_section, first = taken.setdefault(folded, (key.text, name))
                if first is not name:
                    why = (
                        f"{first_section}.{clean(first.text)} is on line {first.span.line}. "
                        f'"from: {clean(name.text)}" could mean either.'
                    )
                    reader.tell(
                        name.span,
                        path_to(key.text, name.text),
                        "the name is taken",
                        "Packs, joiners, leads, controllers and accessories need different names.",
                        why,
                    )


def told_apart(
    reader: Reader, section: str, name: Scalar, seen: dict[str, tuple[str, str]], like: Callable[[str], str] = looks
) -> None:
    """Tell of a name that another part has in letters of another script: on labels and in findings nobody could tell
    which of the two is meant, and a line that names one may mean the other.

    :param seen: names so far and what they name, by what they look like; this one is put there
    :param like: what a name looks like
    """
    here = f"{section}.{clean(name.text)} on line {name.span.line}"
    first, what = seen.setdefault(like(name.text), (name.text, here))
    if first.casefold() != name.text.casefold():
        why = " ".join(filter(None, map(script_of, (first, name.text))))
        reader.tell(
            name.span,
            line_in(section, name.text),
            f"the name looks like that of {what}",
            "Give one of them another name. If one part is meant, type its name anew in both places.",
            why,
        )


def good_rides(reader: Reader, rides: Mapping) -> None:
    """Tell of rides whose names are none, or look like that of another one, of the shelf too."""
    from packyoke.shelf.road import ride_names  # a start-up of its own

    seen = {looks(name): (name, f"the ride {name} of the shelf") for name in ride_names()}
    for key, _ in rides.entries:
        if good_name(reader, key, "ride"):
            told_apart(reader, "ride", key, seen)


BEHIND = {
    "accessories": " What hangs on another one draws through it: count it with that one.",
    "controllers": " On the controller: write the lead to it, which carries its current too.",
}
"""What to do with an accessory that is fed by something which is no source here."""


def find(reader: Reader, node: Scalar, sections: tuple[str, ...], path: str, said: str = "") -> str | None:
    """The part of these sections that a line names, in its own spelling; `said` when it is not the whole text."""
    text = said or node.text
    folded = text.casefold()
    for section in sections:
        name = reader.names[section].get(folded)
        if name is not None:
            return name
    choice = list(dict.fromkeys(name for section in sections for name in reader.names[section].values()))
    kinds = " or ".join(ONE[section] for section in sections)
    other = next((section for section in NAMED if folded in reader.names[section]), None)
    if other is not None:
        fed = BEHIND.get(other, "") if keys_of(path)[0] == "accessories" else ""
        do = f"Here {kinds} is needed: {_list(choice)}.{fed}"
        reader.tell(node.span, path, f'"{clean(text)}" is {ONE[other]}', do)
        return None
    near = next((name for name in choice if looks(name) == looks(text)), "") or nearest(text, choice)
    do = f"Parts it can {_VERBS.get(keys_of(path)[-1], 'be')}: {_list(choice)}." + (
        f"  Did you mean  {near} ?" if near else ""
    )
    do = do if choice else f"There is not yet {kinds}."
    reader.tell(node.span, path, f'no part called "{clean(text)}"', do, of_another_script(text))
    return None


def _list(names: list[str]) -> str:
    return ", ".join(names[:20]) + (", ..." if len(names) > 20 else "") if names else "there is none yet"


def read_name(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    name = find(reader, text, slot.field.words, path) if text and slot.field else None
    if name is not None:
        reader.keep(draft, slot, node, name)


def read_name_or_none(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    if isinstance(node, Scalar) and fold(node.text) == "none":
        reader.keep(draft, slot, node, "none")
    else:
        read_name(reader, draft, node, slot, where)


def names_of(reader: Reader, node: Node, sections: tuple[str, ...], path: str, sample: str) -> tuple[str, ...] | None:
    """The parts that a list names; None when something is wrong with one of them."""
    if not isinstance(node, Sequence):
        reader.tell(
            start_of(node), path, f"{shown_text(node)}, where a list is needed", f"Put brackets round it:  {sample}"
        )
        return None
    found: list[str] = []
    good = True
    for item in node.items:
        text = reader.scalar(item, path, sample)
        name = find(reader, text, sections, path) if text else None
        if name is None:
            good = False
        elif name in found:
            reader.tell(item.span, path, f'"{clean(name)}" is there twice', "Name each part once.")
            good = False
        else:
            found.append(name)
    return tuple(found) if good else None


def read_names(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    assert slot.field is not None
    path = line_in(where, slot.key)
    found = names_of(reader, node, slot.field.words, path, slot.example)
    if found is not None and len(found) < (slot.field.low or 0):
        reader.tell(start_of(node), path, "an empty list", "Name one part at least.")
    elif found is not None:
        reader.keep(draft, slot, node, found)


def read_two_names(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    assert slot.field is not None
    found = names_of(reader, node, slot.field.words, line_in(where, slot.key), slot.example)
    if found is None:
        return
    if len(found) != 2:
        reader.tell(
            start_of(node), line_in(where, slot.key), "a list of two is needed", f"Write for example  {slot.example}"
        )
    else:
        reader.keep(draft, slot, node, found)


def read_name_or_list(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    assert slot.field is not None
    path = line_in(where, slot.key)
    if isinstance(node, Sequence):
        found = names_of(reader, node, slot.field.words, path, slot.example)
        if found == ():
            reader.tell(start_of(node), path, "an empty list", "Name one part at least.")
            return
    else:
        text = reader.scalar(node, path, slot.example)
        name = find(reader, text, slot.field.words, path) if text else None
        found = (name,) if name is not None else None
    if found is not None:
        reader.keep(draft, slot, node, found)


def read_sets(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """Pack sets: a list of lists of packs."""
    if not isinstance(node, Sequence) or not all(isinstance(item, Sequence) for item in node.items):
        reader.tell(start_of(node), slot.key, "a list of lists is needed", f"Write for example  {slot.example}")
        return
    found = [names_of(reader, item, ("packs",), slot.key, slot.example) for item in node.items]
    for item, packs in zip(node.items, found, strict=True):
        if packs == ():
            reader.tell(start_of(item), slot.key, "an empty set", "Name one pack at least.")
    # A set that is there again says nothing new; the order in it does not count.
    kept: dict[frozenset[str], tuple[str, ...]] = {}
    for packs in found:
        if packs:
            kept.setdefault(frozenset(packs), packs)
    if len(kept) > MOST_SETS:
        reader.tell(start_of(node), slot.key, f"{len(kept)} sets", f"At most {MOST_SETS} are read.")
    if all(found):
        reader.keep(draft, slot, node, tuple(kept.values()))


def read_path(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A part by its path, as findings print it."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None:
        return
    heading = heading_of(text.text)
    folded = heading + text.text.removeprefix(heading).casefold()
    found = reader.paths.get(folded) or (PartPath(text.text) if text.text in ("build", "bike") else None)
    if found is None and heading != "controller":  # a part inside a part: packs.keel.fuse
        whole, inside = owner_of(folded), steps_of(folded).inside
        if inside in ("fuse", "switch", "charge_port", "built_in") and whole in reader.paths:
            found = path_inside(reader.paths[whole], inside)
    if found is None:
        near = nearest(text.text, reader.paths.values())
        do = (
            f"Did you mean  {near} ?" if near else "Write it as  packs.NAME  or  leads.NAME,  or  build  for the whole."
        )
        reader.tell(text.span, path, f'no part at "{clean(text.text)}"', do)
    else:
        reader.keep(draft, slot, node, found)
