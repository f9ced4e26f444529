"""The build file that grows while somebody answers: its parts, the answers so far, and how it is written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from copy import deepcopy
from typing import NamedTuple

from packyoke.buildfile.writing.words import text_word
from packyoke.core.field_paths import below, keys_of, line_in
from packyoke.core.paths import in_section, is_joiner, is_lead, name_of, path_to

NAMES = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
MOST_PACKS = len(NAMES)
SECTIONS = ("packs", "joiners", "leads", "controller", "chargers")
SHORT = ("discharge.continuous", "current.continuous", "battery_current.limit")
"""Fields that may stand for their whole mapping."""
COLUMN = 44
"""Where the remarks behind the lines begin."""


class Missing(NamedTuple):
    """A line that is not known yet: where it belongs, an example, and where to look."""

    part: str
    key: str
    example: str
    about: str


class Draft:
    """The answers so far: for each part, by its path, the lines of the file by their keys (`discharge.peak`)."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.count = 0
        self.alike = False
        self.region = ""
        self.built_in = False
        self.family = ""
        self.seen = ""
        self.peaks: dict[str, tuple[str, str]] = {}
        self.falls = ""
        self.parts: dict[str, dict[str, str]] = {}
        self.remarks: dict[tuple[str, str], str] = {}

    def copy(self) -> Draft:
        return deepcopy(self)

    @property
    def packs(self) -> list[str]:
        return [path_to("packs", name) for name in NAMES[: self.count]]

    @property
    def distinct(self) -> list[str]:
        """The packs that are described; the others are like the first."""
        return [pack for pack in self.packs if "like" not in self.parts.get(pack, {})]

    def put(self, part: str, key: str, value: str, remark: str = "") -> None:
        """One line; a mapping in braces becomes its lines."""
        if value.startswith("{") and key not in ("ends", "inlets"):
            for item in value.strip("{}").split(", "):
                inner, _, text = item.partition(": ")
                self.put(part, line_in(key, inner), text, remark)
                remark = ""
            return
        self.parts.setdefault(part, {})[key] = value
        if remark:
            self.remarks[part, key] = remark

    def set_packs(self, count: int) -> None:
        self.count = count
        for pack in self.packs:
            self.parts.setdefault(pack, {})
        self.set_joiners(count)

    def set_alike(self, alike: bool) -> None:
        self.alike = alike
        for pack in self.packs[1:]:
            self.parts[pack] = {"like": NAMES[0]} if alike else {}

    def set_joiners(self, inlets: int) -> None:
        """Joiners of so many inlets, one behind the other, and the leads between everything."""
        for path in [path for path in self.parts if is_joiner(path) or is_lead(path)]:
            del self.parts[path]
        self.parts["controller"] = self.parts.get("controller", {})
        waiting = [name_of(pack) for pack in self.packs]
        if len(waiting) == 1:
            self._lead("main lead", waiting[0], "controller")
            return
        joined = 0
        several = len(waiting) > inlets
        while len(waiting) > 1:
            joined += 1
            name = f"joiner {joined}" if several else "joiner"
            self.parts[path_to("joiners", name)] = {}
            if min(inlets, len(waiting)) != 2:
                self.put(path_to("joiners", name), "inputs", str(min(inlets, len(waiting))))
            for source in waiting[:inlets]:
                self._lead(f"{source} lead", source, name)
            waiting = [name, *waiting[inlets:]]
        self._lead("main lead", waiting[0], "controller")

    def _lead(self, name: str, source: str, target: str) -> None:
        self.parts[path_to("leads", name)] = {"from": source, "to": target}

    def set_built_in(self) -> None:
        """The bike maker's joiner: its wire to the controller belongs to it."""
        self.built_in = True
        for path in [path for path in self.parts if is_joiner(path)]:
            self.put(path, "built_in", "yes")
        del self.parts["leads.main lead"]

    def like_seen(self, key: str, example: str) -> str:
        """An example of a connector, in the family that was named: what was told of it is not lost."""
        family = self.family or self.seen
        return re.sub("XT[0-9]+", family, example) if family else example

    def text(self, head: Iterable[str] = (), missing: Iterable[Missing] = ()) -> str:
        """The file: what is known as lines, what is not as lines behind a number sign."""
        lines = [*(f"# {line}".rstrip() for line in head), "packyoke: 1", f"name: {text_word(self.name)}"]
        if self.region:
            lines.append(f"region: {self.region}")
        wanted: dict[str, list[Missing]] = {}
        for each in missing:
            wanted.setdefault(each.part, []).append(each)
        for each in wanted.get("build", []):
            lines.append(_line(f"# {each.key}: {each.example}", each.about))
        for section in ("bike", *SECTIONS):
            lines += self._section(section, wanted)
        return "\n".join(lines) + "\n"

    def _section(self, section: str, wanted: dict[str, list[Missing]]) -> Iterator[str]:
        if section in ("bike", "controller"):
            if section in self.parts or section in wanted:
                yield ""
                yield from self._part(section, section, "", wanted.get(section, []))
            return
        own = [path for path in self.parts if in_section(path, section)]
        if own:
            yield ""
            yield f"{section}:"
        for path in own:
            yield from self._part(path, name_of(path), "  ", wanted.get(path, []))

    def _part(self, path: str, name: str, indent: str, wanted: list[Missing]) -> Iterator[str]:
        known = self.parts.get(path, {})
        yield f"{indent}{text_word(name)}:"
        inner = f"{indent}  "
        groups: dict[str, list[str]] = {}
        for key in known:
            groups.setdefault(keys_of(key)[0], []).append(key)
        for each in wanted:
            groups.setdefault(keys_of(each.key)[0], [])
        for group, keys in groups.items():
            lacking = [each for each in wanted if keys_of(each.key)[0] == group]
            yield from self._group(path, group, keys, lacking, inner)

    def _group(self, path: str, group: str, keys: list[str], lacking: list[Missing], indent: str) -> Iterator[str]:
        known = self.parts.get(path, {})
        if keys == [group]:
            yield _line(f"{indent}{group}: {known[group]}", self.remarks.get((path, group), ""))
            return
        if not keys:
            inside = ", ".join(f"{below(each.key)}: {each.example}" for each in lacking)
            flat = _flat(group, lacking[0].example) if lacking[0].key == group else f"{group}: {{{inside}}}"
            yield _line(f"{indent}# {flat}", "; ".join(each.about for each in lacking))
            return
        if len(keys) == 1 and not lacking and keys[0] in SHORT:
            yield _line(f"{indent}{group}: {known[keys[0]]}", self.remarks.get((path, keys[0]), ""))
            return
        yield f"{indent}{group}:"
        for key in keys:
            yield _line(f"{indent}  {below(key)}: {known[key]}", self.remarks.get((path, key), ""))
        for each in lacking:
            yield _line(f"{indent}  # {below(each.key)}: {each.example}", each.about)


def _flat(key: str, example: str) -> str:
    """`bms.data` as one line by itself: `bms: {data: none}`."""
    group, inner = keys_of(key)[0], below(key)
    return f"{group}: {{{inner}: {example}}}" if inner else f"{group}: {example}"


def _line(text: str, remark: str) -> str:
    """A line with its remark in a column of its own."""
    remark = re.sub(r"\s+", " ", remark).strip()
    return f"{text.ljust(COLUMN)}  # {remark}" if remark else text
