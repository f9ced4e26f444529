"""A customer's build file with other packs: lines taken out and put in, all others as they stand."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from packyoke.buildfile.writing.complete import completed_text
from packyoke.buildfile.writing.places import CannotWrite, Text
from packyoke.buildfile.writing.words import length_words, text_word
from packyoke.core.findings import Borrowed, Span
from packyoke.core.paths import PartPath, belongs_to, path_to
from packyoke.model import Build, Part

SECTIONS = ("packs", "leads", "chargers", "places")


class Edit(NamedTuple):
    """What stands between two offsets, replaced."""

    start: int
    end: int
    text: str


class NewValue(NamedTuple):
    """A field of a part of the file that gets a value."""

    path: str
    attr: str
    value: Any


class OwnText(NamedTuple):
    """The customer's file as a completion: whose it is, and where it sits."""

    build: Build
    filled: tuple[NewValue, ...]
    new: tuple[Any, ...] = ()


def owned_text(text: str, build: Build, owned: Build, attr: str) -> str:
    """The file with what is said of the customer's own parts: `owner`, that they are his; `place_name`, where they
    sit, once the places are in the file."""
    puts = []
    for section in ("packs", "joiners", "leads", "controllers", "chargers"):
        for name, before in getattr(build, section).items():
            part = getattr(owned, section).get(name)
            value = getattr(part, attr, None)
            if value is not None and value != getattr(before, attr):
                puts.append(NewValue(before.path, attr, value))
    return completed_text(text, build, OwnText(build, tuple(puts)))


def quoted_text(text: str, build: Build, wanted: Build, packs: Mapping[str, Sequence[str]]) -> str:
    """The file of `owned_text` with the packs of an offer, before its leads are planned.

    Parameters
        text, build: the file with its owners, and the build read from it [-]
        wanted: the bike with its packs, chargers, places and ways; leads that come off are not in it [-]
        packs: the lines of each new pack, by its name [-]
    Returns
        the text
    Raises
        CannotWrite: something of a pack that comes off stands where it cannot be taken out.
    """
    body = Text(text)
    edits: list[Edit] = []
    gone = [name for name in build.packs if name not in wanted.packs]
    if build.sets is not None and wanted.sets is None:
        raise CannotWrite("the new pack is in none of the sets of the file; take  sets:  out of a copy first")
    _refuse_mentions(build, gone, [name for name in build.leads if name not in wanted.leads])
    for section in ("packs", "leads"):
        edits += _taken_out(body, getattr(build, section), getattr(wanted, section), section)
    edits += _out_of_fits(body, build, gone)
    new = [f"{text_word(name)}: {{{', '.join(lines)}}}" for name, lines in packs.items()]
    edits += _put_in(body, "packs", build.packs, new)
    chargers = [each for name, each in wanted.chargers.items() if name not in build.chargers]
    lines = [
        f"{text_word(each.name)}: {{part: {text_word(wanted.items[each.path])}, fits: [{_names(each.fits or ())}]}}"
        for each in chargers
    ]
    edits += _put_in(body, "chargers", build.chargers, lines)
    places = [
        f"{text_word(name)}: {{holds: {place.holds}}}"
        for name, place in wanted.places.items()
        if name not in build.places
    ]
    edits += _put_in(body, "places", build.places, places)
    if wanted.runs and not build.runs:
        runs = [f"- {{between: [{_names(run.between)}], length: {length_words(run.length_m)}}}" for run in wanted.runs]
        edits += _put_in(body, "runs", {}, runs)
    return _edited(text, edits)


def lost_comments(before: str, after: str) -> list[str]:
    """The comments of a text that are in another one no more: they stood in lines that were taken out."""
    left = Counter(_comments(after))
    left.subtract(_comments(before))
    return [comment for comment, count in left.items() for _ in range(-count)]


def _comments(text: str) -> Iterator[str]:
    for line in text.splitlines():
        for found in re.finditer(r"(?:^|(?<=[ \t]))#", line):
            if line.count('"', 0, found.start()) % 2 == 0:
                yield line[found.start() :].rstrip()
                break


def _names(names: Sequence[str]) -> str:
    return ", ".join(map(text_word, names))


def _refuse_mentions(build: Build, gone: Sequence[str], leads: Sequence[str]) -> None:
    """What names a pack or a lead that comes off and is not rewritten here."""
    for name in leads:
        _refuse_told(_records(build, path_to("leads", name)), name)
    for name in gone:
        others = [ride.name for ride in build.rides.values() if any(name in known.packs for known in ride.known)]
        told = [f"the known ride of {ride}" for ride in others]
        told += _records(build, path_to("packs", name))
        told += [f"{each.name} (y_lead)" for each in build.chargers.values() if name in each.y_lead]
        _refuse_told(told, name)


def _records(build: Build, path: PartPath) -> list[str]:
    """What is recorded of a part or of something inside it; `keel spare` is another one than `keel`."""
    told = ["a reading"] if any(belongs_to(each.part, path) for each in build.measured) else []
    return [*told, *(["an acceptance"] if any(belongs_to(each.part, path) for each in build.accept) else [])]


def _refuse_told(told: Sequence[str], name: str) -> None:
    if told:
        raise CannotWrite(f"{' and '.join(told)} speaks of {name}; take that out of a copy first")


def _taken_out(body: Text, before: Mapping[str, Part], after: Mapping[str, Part], section: str) -> Iterator[Edit]:
    """The whole lines of parts that come off; with the last one the head of the section goes too."""
    gone = [part for name, part in before.items() if name not in after]
    blocks = {part.name: (part.span.line, body.block_end(part.span)) for part in gone}
    staying = [
        line
        for number, line in enumerate(body.lines, 1)
        if not any(first <= number <= last for first, last in blocks.values())
    ]
    for part in gone:
        first, last = blocks[part.name]
        others = [each for each in before.values() if each is not part and first <= each.span.line <= last]
        if others or body.lines[first - 1][: part.span.column - 1].strip():
            raise CannotWrite(f"{path_to(section, part.name)} does not stand on lines of its own")
        like = re.compile(rf"like: *([\"']?){re.escape(part.name)}\1 *(?=[,}}#]|$)")
        if section == "packs" and any(map(like.search, staying)):
            raise CannotWrite(f"another pack is like {part.name}")
        yield Edit(body.starts[first - 1], body.starts[last], "")
    if gone and len(gone) == len(before) and section == "leads":
        head = _head(body, section)
        if head is None:
            raise CannotWrite(f"{section} stand in one pair of braces")
        yield Edit(body.starts[head - 1], body.starts[head], "")


def _head(body: Text, section: str) -> int | None:
    """The line of a section's key, where nothing else stands on it."""
    for number, line in enumerate(body.lines, 1):
        if re.match(rf" *[\"']?{section}[\"']? *:\s*(#.*)?$", line):
            return number
    return None


def _put_in(body: Text, section: str, parts: Mapping[str, Part], lines: Sequence[str]) -> Iterator[Edit]:
    """Lines behind the last part of a section, or a new section at the end."""
    if not lines:
        return
    if not parts:
        head = _head(body, section)
        end = len(body.text)
        blank = body.newline if body.text and not body.text.endswith("\n") else ""
        if head is not None:
            raise CannotWrite(f"{section} is empty")
        made = "".join(f"  {line}{body.newline}" for line in lines)
        yield Edit(end, end, f"{blank}{section}:{body.newline}{made}")
        return
    last = max(parts.values(), key=lambda part: part.span)
    column = last.span.column - 1
    if body.lines[last.span.line - 1][:column].strip():
        raise CannotWrite(f"{section} stand in one pair of braces")
    at = body.starts[min(body.block_end(last.span), len(body.lines))]
    blank = "" if body.text[:at].endswith("\n") else body.newline
    yield Edit(at, at, blank + "".join(f"{' ' * column}{line}{body.newline}" for line in lines))


def _out_of_fits(body: Text, build: Build, gone: Sequence[str]) -> Iterator[Edit]:
    """Packs that come off are on no list of a charger; chargers that are like another one have that one's list."""
    done: set[Span] = set()
    for charger in build.chargers.values():
        span = charger.spans.get("fits")
        if charger.fits is None or not {*gone} & {*charger.fits} or span is None or span in done:
            continue
        if isinstance(span, Borrowed):
            raise CannotWrite(f"fits of {charger.name} stands in the shop file, and names a pack that comes off")
        done.add(span)
        start = body.offset(span.line, span.column)
        key = max(found.end() for found in re.finditer(r"\bfits[\"']? *:", body.text[:start]))
        end = body.closing(start) + 1 if body.text[start] == "[" else body.list_end(span)
        yield Edit(key, end, f" [{_names([each for each in charger.fits if each not in gone])}]")


def _edited(text: str, edits: Sequence[Edit]) -> str:
    """The text with every edit; what is put in at one place keeps its order, and stands before what is taken out."""
    pieces, at = [], 0
    for edit in sorted(edits, key=lambda each: (each.start, each.end)):
        pieces += [text[at : max(at, edit.start)], edit.text]
        at = max(at, edit.end)
    return "".join([*pieces, text[at:]])
