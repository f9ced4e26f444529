"""Ends of leads, outlets and inlets: the connector family and the metal of its poles."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import lru_cache
from typing import Any

from packyoke.buildfile.reading.alike import fold
from packyoke.buildfile.reading.document import Mapping, Node, Scalar, Sequence
from packyoke.buildfile.reading.walk import DraftPart, Reader, Slot, guessed, shown_text, start_of, within
from packyoke.core.field_paths import line_in
from packyoke.core.findings import clean
from packyoke.core.letters import looks, script_of
from packyoke.model import End, Key
from packyoke.shelf.connectors import connector, connector_names

_METAL = {"pin": "pin", "pins": "pin", "socket": "socket", "sockets": "socket"}
_SHELL = re.compile(r"\b(?:fe)?male\b|(?<=[0-9])[ -]?[FM]\Z", re.I)
_WHOLE = ("genderless", "joint")
_KINDS = ("family", "type", "kind", "connector", "plug", "name", "model")
"""Under what people name a connector."""
_NO_FAMILY = re.compile(
    r"[!-/:-@\[-`{-~]|.*(?:[,;=+&?]|[^\W_] ?/ ?[A-Za-z]|\b(?:pins?|sockets?|or|and|unknown|some|any)\b)", re.I
).match
"""Not the name of one connector: two of them, one that nobody knows, or a sign in front."""
SHELL_WORDS = (
    '"Female" and "male" mean the shell to some and the metal to others. Look at the metal: hollow tubes: '
    "socket. Solid prongs: pin."
)


@lru_cache(maxsize=512)
def shelf_family(text: str) -> tuple[str, str] | None:
    """A family of the shelf in its own spelling and what its halves are; `xt-60` and `XT 60` are found as well."""
    name = " ".join(text.split())
    known = connector(name)
    if known is None:
        tight = _tight(name)
        spelled = next((family for family in connector_names() if _tight(family) == tight), None)
        known = connector(spelled) if spelled else None
    if known is None:
        return None
    return (name.casefold() if known.contacts == "joint" else known.family), known.contacts


@lru_cache(maxsize=512)
def _shelf_end(text: str) -> End | None:
    """An end in so many words: a family of the shelf and pin or socket. The same few stand all over a file."""
    name, _, last = text.rpartition(" ")
    metal = _METAL.get(last)
    found = shelf_family(name) if metal else None
    return End(found[0], metal, metal) if found and metal and found[1] not in _WHOLE else None


def _tight(name: str) -> str:
    return name.casefold().replace(" ", "").replace("-", "").replace("_", "")


def looks_alike(name: str) -> str:
    """What the name of a connector looks like, blanks and hyphens aside."""
    return _tight(looks(name))


def shelf_by_looks() -> dict[str, tuple[str, str]]:
    """The families of the shelf by what they look like: name, and what a sentence calls it."""
    return {looks_alike(name): (name, f"the connector {name} of the shelf") for name in connector_names()}


def family(reader: Reader, text: str) -> tuple[str, str | None] | None:
    """Spelling and halves of a family that the file describes or the shelf knows."""
    own = reader.contacts.get(text.casefold())
    return own if own is not None else shelf_family(text)


def _mistyped(reader: Reader, text: str) -> str:
    """The known family that was surely meant; one with other figures in its name is another family."""
    from difflib import get_close_matches

    known = {fold(name): name for name in (*connector_names(), *(name for name, _ in reader.contacts.values()))}
    same = next((name for name in known.values() if looks_alike(name) == looks_alike(text)), "")
    if same:
        return same
    near = get_close_matches(fold(text[:64]), list(known), 5, 0.6)
    return next((known[name] for name in near if _figures(name) == _figures(text)), "")


def _figures(name: str) -> list[str]:
    return sorted(re.sub("[^0-9]", "", name.casefold().replace("o", "0")))


def end_of(reader: Reader, node: Node, path: str, sample: str) -> tuple[End, bool] | None:
    """One end, and whether it is a guess; None after a mistake."""
    if isinstance(node, Mapping):
        return _end_of_mapping(reader, node, path)
    text = reader.scalar(node, path, sample)
    if text is None:
        return None
    plain = None if reader.contacts else _shelf_end(text.text)
    if plain is not None:
        return plain, False
    said, guess = guessed(text.text)
    shell = _SHELL.search(said)
    if shell:
        before = clean(said[: shell.start()].strip() or "XT60")
        reader.tell(
            within(text, shell.start(), shell.end()),
            path,
            f'"{shell[0]}"',
            f"Write  {before} socket  or  {before} pin.  (The side that stays live should be the socket.)",
            SHELL_WORDS,
        )
        return None
    name, _, last = said.rpartition(" ")
    metal = _METAL.get(looks(last))
    found = family(reader, name.strip() if metal and name else said)
    spelling, contacts = found if found else (" ".join((name if metal and name else said).split()), None)
    if metal and not name:
        reader.tell(text.span, path, f'"{clean(said)}" of which connector?', f"Write for example  XT60 {metal}")
        return None
    if found is None and not _known_or_new(reader, text, spelling, path):
        return None
    if said.casefold() == "none":
        reader.tell(
            text.span,
            path,
            '"none" is no connector',
            "Write the connector that is there. An inlet that is not there is neither listed nor counted.",
        )
        return None
    if metal is None:
        if contacts in _WHOLE:
            return End(spelling, contacts, contacts), guess
        do = f"Write  {clean(spelling)} pin  or  {clean(spelling)} socket.  Not known yet? Leave the line out: it then "
        reader.tell(text.span, path, f'"{clean(said)}" of which kind?', do + "goes on the list of things to find out.")
        return None
    if contacts in _WHOLE:
        reader.tell(text.span, path, f"{clean(spelling)} has no pins and sockets", f"Write  {clean(spelling)}")
        return None
    return End(spelling, metal, metal), guess


def _known_or_new(reader: Reader, node: Scalar, name: str, path: str) -> bool:
    """Whether a family that nobody knows may stand: not when it looks like a known one mistyped."""
    if fold(name).split()[:1] == ["genderless"]:
        reader.tell(node.span, path, f'"{clean(name)}" has no amps', "Write them with it:  genderless 45 A")
        return False
    from packyoke.buildfile.reading.hedges import unhedged  # a start-up of its own, and most ends are on the shelf

    near = _mistyped(reader, name)
    if unhedged(name) is not None:
        do = "A guess is one text with a question mark behind it:  XT60 socket ?"
        reader.tell(node.span, path, f'"{clean(name)}" has a word of doubt', do)
        return False
    if not near and _NO_FAMILY(name):
        do = "Name one connector, as it is marked, and the metal of its poles:  XT60 pin  or  XT60 socket"
        reader.tell(node.span, path, f'"{clean(name)}" is not one connector', do)
        return False
    before = reader.new_families.setdefault(looks_alike(name), name)
    if not near and _tight(before) != _tight(name):
        do = f"Did you mean  {clean(before)} ?  It stands in another line, and looks the same."
        reader.tell(node.span, path, f'"{clean(name)}" is another connector', do, script_of(name) or script_of(before))
        return False
    if near:
        reader.tell(node.span, path, f'no connector "{clean(name)}"', f"Did you mean  {near} ?", script_of(name))
    return not near


def mates_named(reader: Reader, named: Mapping | None, where: str, made: dict[str, Any]) -> None:
    """Tell of families that nobody knows among those that connectors go onto, when all connectors are known; put them
    into what was made of these in their own spelling."""
    for name, lines in named.entries if named else ():
        inside = lines.entries if isinstance(lines, Mapping) else []
        nodes = [
            each for key, node in inside if key.text == "mates" and isinstance(node, Sequence) for each in node.items
        ]
        path, found = line_in(where, name.text, "mates"), []
        for node in nodes:
            known = family(reader, node.text) if isinstance(node, Scalar) else None
            if known is not None:
                found.append(known[0])
            elif isinstance(node, Scalar) and not _more_than_a_family(reader, node, path):
                said = " ".join(node.text.split())
                found += [said] if said and _known_or_new(reader, node, said, path) else []
        if found and name.text in made:
            made[name.text] = replace(made[name.text], mates=tuple(found))


def _more_than_a_family(reader: Reader, node: Scalar, path: str) -> bool:
    """Tell of what stands beside the name of a family, or instead of one."""
    name, guess = guessed(node.text)
    alone, _, last = name.rpartition(" ")
    if fold(name) == "none":
        reader.tell(
            node.span, path, '"none" is no connector', "Leave the line out: a connector goes onto its own kind."
        )
    elif guess:
        do = "None is read here. Find it out, or leave it out."
        reader.tell(node.span, path, f'"{clean(node.text)}" is a guess', do)
    elif alone and _METAL.get(looks(last)):
        do = f"Write the name alone:  {clean(alone)}"
        reader.tell(node.span, path, f'"{clean(name)}" is one half of a connector', do)
    else:
        return False
    return True


def _in_one_text(reader: Reader, node: Mapping) -> str:
    """What to write for an end whose connector stands under a name of its own."""
    said = (value.text for key, value in node.entries if fold(key.text) in _KINDS and isinstance(value, Scalar))
    kind = next(filter(None, said), "XT60")
    found = family(reader, kind)
    if found is not None and found[1] in _WHOLE:
        return f"Write it in one text:  {clean(found[0])}"
    kind = clean(kind)
    return f"Write the connector and the metal of its poles in one text:  {kind} pin  or  {kind} socket"


def _end_of_mapping(reader: Reader, node: Mapping, path: str) -> tuple[End, bool] | None:
    said: dict[str, str] = {}
    good = True
    strange = next((key for key, _ in node.entries if key.text not in ("family", "plus", "minus")), None)
    if strange is not None:
        reader.tell(strange.span, path, f'no field "{clean(strange.text)}"', _in_one_text(reader, node))
        return None
    for key, value in node.entries:
        text = reader.scalar(value, line_in(path, key.text), "{family: 4 mm bullet, plus: socket, minus: pin}")
        if text is None:
            good = False
        elif key.text == "family":
            found = family(reader, text.text)
            said["family"] = found[0] if found else " ".join(text.text.split())
            good = good and (found is not None or _known_or_new(reader, text, said["family"], line_in(path, "family")))
        elif fold(text.text) not in _METAL:
            why = SHELL_WORDS if _SHELL.search(text.text) else ""
            reader.tell(text.span, line_in(path, key.text), f'"{clean(text.text)}"', "Write  pin  or  socket", why)
            good = False
        else:
            said[key.text] = _METAL[fold(text.text)]
    lacking = [key for key in ("family", "plus", "minus") if key not in said]
    if good and lacking:
        reader.tell(
            start_of(node),
            path,
            f"{' and '.join(lacking)} missing",
            "Write for example  {family: 4 mm bullet, plus: socket, minus: pin}",
        )
    return (End(said["family"], said["plus"], said["minus"]), False) if good and not lacking else None


def read_end(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    found = end_of(reader, node, line_in(where, slot.key), slot.example)
    if found is not None:
        reader.keep(draft, slot, node, *found)


def _several(reader: Reader, draft: DraftPart, node: Sequence, slot: Slot, where: str) -> list[End | None] | None:
    """The ends of a list, None for a guess; nothing after a mistake."""
    found = [end_of(reader, item, line_in(where, slot.key), slot.example) for item in node.items]
    ends = [each for each in found if each is not None]
    if len(ends) < len(found):
        return None
    if any(guess for _, guess in ends):
        reader.guesses[Key(draft.path, slot.attr)] = tuple(end for end, _ in ends)
    return [None if guess else end for end, guess in ends]


def read_ends(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """The two ends of a lead: at from, at to."""
    if not isinstance(node, Sequence) or len(node.items) != 2:
        text = node.text if isinstance(node, Scalar) else ""
        two = text if text.count(",") == 1 else "XT60 pin, XT90 socket"
        do = f"Put brackets round it:  ends: [{clean(two)}]" if two == text else f"Write for example  ends: [{two}]"
        reader.tell(start_of(node), line_in(where, slot.key), "a list of two is needed", do)
        return
    found = _several(reader, draft, node, slot, where)
    if found is not None:
        reader.keep(draft, slot, node, tuple(found))


def read_end_or_list(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """Inlets or outlets of a joiner: one end, or a list, which stays one here."""
    path = line_in(where, slot.key)
    if isinstance(node, Sequence):
        several = _several(reader, draft, node, slot, where)
        if several:
            reader.keep(draft, slot, node, several)
        elif not node.items:
            reader.tell(start_of(node), path, "an empty list", f"Write for example  {slot.example}")
        return
    if isinstance(node, Scalar) and node.text.count(",") > 0:
        reader.tell(
            node.span,
            path,
            f"{shown_text(node)}, where one end or a list is needed",
            f"Put brackets round it:  {slot.key}: [{clean(node.text)}]",
        )
        return
    found = end_of(reader, node, path, slot.example)
    if found is not None:
        end, guess = found
        reader.keep(draft, slot, node, None if guess else end)
        if guess:
            reader.guesses[Key(draft.path, slot.attr)] = (end,)
