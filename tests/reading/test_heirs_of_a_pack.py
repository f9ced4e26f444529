"""Packs that are like one that comes off: written out, they say what they said before."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest

from packyoke.buildfile.reading import load
from packyoke.buildfile.writing.heirs import written_out
from packyoke.buildfile.writing.quoted import lost_comments
from packyoke.model import Build, Pack
from tests.planning.test_quote import a_shop

SHOP = a_shop(4)
ITEM = next(item.part.name for item in SHOP.items if item.section == "packs")
FLOW = """  keel: {label: 48 V, chemistry: NMC, series: 13, capacity: 14 Ah?, condition: sound, tested_capacity: 13 Ah,
    discharge: {continuous: 20 A, peak: 30 A for 60 s}, fuse: {family: blade, rating: 30 A},
    outlet: XT60 socket, owner: customer}
"""
BLOCK = """  keel:
    label: "48 V, as new"  # off the bench
    chemistry: NMC
    series: 13
    capacity: 14 Ah
    discharge:
      continuous: 20 A
      peak: 30 A for 60 s
    outlet:
      family: XT60
      plus: socket
      minus: pin
    bms: {charge_path: common, data: none}
    condition: sound
    place: down tube
"""
SHELF = f"  keel: {{part: {ITEM}, capacity: 21 Ah, condition: sound}}\n"
HEIRS = {
    "braces": "  bow: {like: keel}\n",
    "its own lines behind": "  bow: {like: keel, capacity: 10 Ah, tested_capacity: 9 Ah}\n",
    "its own lines before": "  bow: {condition: swollen, like: Keel}\n",
    "lines": "  bow:\n    like: keel   # the same\n    capacity: 10 Ah\n",
    "quotes": '  bow: {"like": "keel", discharge: 12 A}\n',
    "two": "  bow: {like: keel}\n  stern:\n    like: keel\n    capacity: 9 Ah\n  last: {like: KEEL}\n",
}


def read(text: str) -> Build:
    found = load(f"packyoke: 1\nname: x\nplaces: {{down tube: {{holds: 0}}}}\npacks:\n{text}", "bike", shop=SHOP)
    assert isinstance(found, Build), found
    return found


def said(pack: Pack) -> dict[str, Any]:
    """Everything of a pack but where it stands."""
    inner = {each.name: getattr(pack, each.name) for each in fields(pack) if each.name not in ("span", "spans", "fuse")}
    return inner | {each.name: getattr(pack.fuse, each.name) for each in fields(pack.fuse) if each.name[:4] != "span"}


@pytest.mark.parametrize("base", [FLOW, BLOCK, SHELF], ids=["braces", "lines", "of the shelf"])
@pytest.mark.parametrize("heirs", HEIRS.values(), ids=HEIRS)
def test_they_say_what_they_said(base: str, heirs: str) -> None:
    for text in (base + heirs, heirs + base):
        before = read(text)
        head = "packs:\n"
        new = written_out(head + text, ["keel"]).removeprefix(head)
        without = read(new.replace(base, ""))
        assert base in new
        assert "keel" not in without.packs
        for name, pack in without.packs.items():
            assert said(pack) == said(before.packs[name])
        assert without.items == {path: item for path, item in before.items.items() if path != "packs.keel"}


def test_what_is_said_behind_the_line_goes_with_it() -> None:
    text = "packs:\n" + FLOW + "  bow:\n    like: keel   # the same, he says\n    capacity: 10 Ah   # tested\n"
    new = written_out(text, ["keel"])
    assert lost_comments(text, new) == ["# the same, he says"]
    assert "10 Ah   # tested" in new


def test_a_pack_that_goes_too_is_no_heir() -> None:
    text = "packs:\n" + FLOW + "  bow: {like: keel}\n"
    assert written_out(text, ["keel", "bow"]) == text
    assert written_out(text, ["bow"]) == text
    assert written_out("name: x\n", ["keel"]) == "name: x\n"
