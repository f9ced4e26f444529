"""The generator of builds: each row of the field table is drawn, with each of its words, and most builds are read."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from packyoke.model import Build
from packyoke.model.field import Field
from packyoke.model.fields import FIELDS
from tests.properties.drawn_builds import drawn, read
from tests.properties.drawn_calls import NO_BUILD, calls, commands, formats
from tests.properties.drawn_shop import SHOPS, shop, shop_file
from tests.properties.drawn_values import as_text

FIRST = 500
"""Builds in which everything must have been drawn once."""
WORDED = ("word", "insulation", "mapping or none", "fuse", "voltage or isolates only")
_FUSES = "packs.*.fuse", "leads.*.fuse"
"""A fuse of an accessory is one of a lead."""


def _said(tree: Any, way: str = "") -> Iterator[tuple[str, str]]:
    """Every line of a build: its path, and what it says when that is a word or a number."""
    if isinstance(tree, dict):
        for key, inside in tree.items():
            yield from _said(inside, f"{way}.{key}" if way else key)
        yield way, ""
    elif isinstance(tree, list):
        for inside in tree:
            yield from _said(inside, way if not isinstance(inside, dict) else f"{way}.1")
        yield way, ""
    else:
        yield way, str(tree).removesuffix("?").rstrip()


@cache
def _lines() -> dict[str, set[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for seed in range(FIRST):
        for way, said in _said(drawn(seed)):
            found[way].add(said)
    for number in SHOPS:
        for way, said in _said(shop(number)):
            found[f"shop: {way}"].add(said)
    return found


def _drawn(field: Field) -> set[str] | None:
    """What was drawn for a row; None: the line never was."""
    paths = [field.path]
    if field.path.startswith("FUSE"):
        paths = [f"{fuse}{field.path.removeprefix('FUSE')}" for fuse in _FUSES]
    elif field.path.startswith("controller."):
        paths += [f"controllers.*{field.path.removeprefix('controller')}"]
    ways = [re.compile(re.sub(r"\\\*|NAME", "[^.]+", re.escape(path))) for path in paths]
    found = [said for way, said in _lines().items() if any(each.fullmatch(way) for each in ways)]
    if field.path.startswith("shop: shelf.*"):
        key = field.path.rpartition(".")[2]
        found = [said for way, said in _lines().items() if way.startswith("shop: shelf") and way.endswith(f".{key}")]
    return set().union(*found) if found else None


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field.path)
def test_each_row_is_drawn_with_each_of_its_words(field: Field) -> None:
    said = _drawn(field)
    assert said is not None
    if field.kind in WORDED:
        assert set(field.words) <= said


def test_each_row_is_left_out_guessed_and_odd_somewhere() -> None:
    """A pack without each of its lines; a value that is a guess; a value that is none."""
    packs = [pack for seed in range(FIRST) for pack in drawn(seed).get("packs", {}).values() if isinstance(pack, dict)]
    for field in FIELDS:
        _, *way = field.path.split(".")
        if field.path.startswith("packs.*.") and len(way) == 2:
            assert any(way[1] not in pack and "like" not in pack for pack in packs), field.path
    texts = [as_text(drawn(seed)) for seed in range(FIRST)]
    assert sum("?" in text for text in texts) > FIRST / 10


def test_most_drawn_builds_are_read() -> None:
    """A generator whose builds are all refused would try nothing. Every shop file is read."""
    assert all(shop_file(number) for number in SHOPS)
    found = [isinstance(read(seed), Build) for seed in range(80)]
    assert 0.5 < sum(found) / len(found) < 0.95


def test_a_number_draws_one_build() -> None:
    assert as_text(drawn(7)) == as_text(drawn(7))
    assert len({as_text(drawn(seed)) for seed in range(50)}) == 50


def _loops(leads: dict[str, dict[str, str]]) -> bool:
    after = defaultdict(set)
    for lead in leads.values():
        after[lead["from"]].add(lead["to"])
    met, reach = set(), {each["to"] for each in leads.values()}
    for start in list(reach):
        here, met = set(after[start]), set()
        while here:
            one = here.pop()
            if one == start:
                return True
            if one not in met:
                met.add(one)
                here |= after[one]
    return False


def test_shapes_that_nobody_should_draw_are_drawn() -> None:
    """Leads side by side, rings, joiners behind joiners that are all bonded, two and three controllers."""
    trees = [drawn(seed) for seed in range(FIRST)]
    leads = [tree["leads"] for tree in trees if isinstance(tree.get("leads"), dict) and tree["leads"]]
    leads = [each for each in leads if all(isinstance(lead, dict) and "to" in lead for lead in each.values())]
    assert sum(len({(x["from"], x["to"]) for x in each.values()}) < len(each) for each in leads) > 20
    assert sum(_loops(each) for each in leads) > 20
    assert {len(tree["controllers"]) for tree in trees if isinstance(tree.get("controllers"), dict)} == {2, 3}
    bonded = [
        [name for name, joiner in tree["joiners"].items() if isinstance(joiner, dict) and "bonded" in joiner]
        for tree in trees
        if isinstance(tree.get("joiners"), dict)
    ]
    assert sum(len(each) > 1 for each in bonded) > 3


def test_every_command_in_each_format_is_called() -> None:
    """What the command line has, without those that take no build."""
    called = [call for seed in range(60) for call in calls(seed, "x.yaml", Path("."), drawn(seed), ["--no-shop"])]
    assert set(NO_BUILD) < set(commands())
    for name in set(commands()) - set(NO_BUILD):
        mine = [call for call in called if call[0] == name]
        assert mine, name
        assert set(formats(name)) <= {word for call in mine for word in call}, name
