"""The drawing of a build in text: whatever leads to a controller stands in it, with what is asked of what it bears."""

from __future__ import annotations

from math import comb
from pathlib import Path

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.api import load
from packyoke.model import Build
from packyoke.verdict.layout import only, pack_sets, sets_of, tree_lines
from tests.support import BASES, EXAMPLES, edited

WITH_A_PORT = """
packyoke: 1
name: with a port
packs:
  keel: {chemistry: NMC}
  pannier: {chemistry: NMC}
joiners:
  port: {built_in: yes}
leads:
  first: {from: keel, to: port}
  second: {from: pannier, to: PLACE}
controller: {battery_current: 20 A}
"""
"""The bike maker's joiner without a lead of its own; the second pack goes to PLACE."""


def read(text: str) -> Build:
    build = load(text, "x.yaml", today="2026-11-25")
    assert isinstance(build, Build), build
    return build


@pytest.mark.parametrize(
    "path", sorted([*EXAMPLES.glob("*.yaml"), *BASES.glob("*.yaml")]), ids=lambda path: str(path.stem)
)
def test_every_part_on_a_way_to_a_controller_is_drawn(path: Path) -> None:
    """The bike maker's joiner too, which has no lead of its own to the controller."""
    case = Case(read(path.read_text(encoding="utf-8")))
    on_ways = {each.partition(".")[2] for ways in harness(case).ways.values() for way in ways for each in way}
    assert on_ways - {""} <= {line.name for line in tree_lines(case)}


@pytest.mark.parametrize(
    ("limit", "falls_to", "worst"),
    [
        ("55 A", "20 A", "55.5 of 60 A for 10 s"),  # 7.5 % left, of 20.5 of 40 A 49 %
        ("25 A", "24 A", "24.5 of 40 A"),  # 39 % left, of 25.5 of 60 A 57 %
        ("35 A", "23 A", "35.5 of 60 A for 10 s"),  # 40.8 % left, of 23.5 of 40 A 41.3 %
        ("35 A", "23.5 A", "24 of 40 A"),  # 40 % left
        ("65 A", "20 A", "65.5 of 60 A for 10 s"),
        ("55 A", "45 A", "45.5 of 40 A"),  # the current that lasts is too much
    ],
)
def test_what_leaves_less_is_said(limit: str, falls_to: str, worst: str) -> None:
    """The yoke bears 40 A, and 60 A for 10 s; the lamp takes 0.5 A."""
    current = {"limit": limit, "falls_to": f"{falls_to} after 10 s"}
    case = Case(read(edited("skerry-long-tail", {"controller.battery_current": current})))
    assert [line.worst for line in tree_lines(case) if line.name == "yoke"] == [worst]


def test_only_some_packs() -> None:
    build = only(read(edited("skerry-long-tail")), ["keel"])
    assert (set(build.packs), set(build.leads)) == ({"keel"}, {"keel lead", "main lead"})


@pytest.mark.parametrize(
    ("base", "put", "first"),
    [
        ("selector-lfp", {}, "as switched"),
        ("skerry-long-tail", {}, "the fullest"),
        ("skerry-long-tail", {"packs.pannier.series": "13"}, "keel"),  # 58.8 V over 54.6 V
        ("slipway-bench-pair", {}, "the fullest"),
    ],
)
def test_which_of_two_packs_works_first(base: str, put: dict[str, str], first: str) -> None:
    found = pack_sets(Case(read(edited(base, put))), (), rides=False)
    assert [each.works_first for each in found if len(each.packs) == 2] == [first]
    assert all(each.works_first == each.packs[0] for each in found if len(each.packs) == 1)


def test_the_last_of_each_branch_is_told() -> None:
    """The bike maker's joiner comes first and is the last only where no lead follows it."""
    alone = tree_lines(Case(read(WITH_A_PORT.replace("PLACE", "port"))))
    assert [(line.name, line.last) for line in alone] == [
        ("controller", ()),
        ("port", (True,)),
        ("first", (True, False)),
        ("keel", (True, False, True)),
        ("second", (True, True)),
        ("pannier", (True, True, True)),
    ]
    beside = {line.name: line.last for line in tree_lines(Case(read(WITH_A_PORT.replace("PLACE", "controller"))))}
    assert (beside["port"], beside["second"], beside["pannier"]) == ((False,), (True,), (True, True))


@pytest.mark.parametrize(("packs", "sizes"), [(6, (6, 5, 4, 3, 2, 1)), (7, (7, 2, 1))])
def test_which_sets_of_many_packs_are_told(packs: int, sizes: tuple[int, ...]) -> None:
    build = read(edited("breakwater-three-packs", {}))
    north = build.packs["north"]
    build = build.but(packs={f"p{at}": north.but(name=f"p{at}", path=f"packs.p{at}") for at in range(packs)}, leads={})
    found = [len(names) for names in sets_of(build)]
    assert tuple(dict.fromkeys(found)) == sizes
    assert [found.count(size) for size in sizes] == [comb(packs, size) for size in sizes]


@pytest.mark.parametrize(
    ("ends", "gauge", "named"),
    [
        ("[XT30 pin, XT30 socket]", "12 AWG", " XT30"),  # the contact bears less than the wire beside it
        ("[XT90 pin, XT90 socket]", "18 AWG", ""),
    ],
)
def test_a_connector_that_bears_less_than_the_wire_is_named(ends: str, gauge: str, named: str) -> None:
    build = read(
        "packyoke: 1\nname: x\npacks:\n  keel: {chemistry: NMC, series: 13, capacity: 14 Ah, discharge: 40 A}\n"
        f"leads:\n  main: {{from: keel, to: controller, length: 400 mm, gauge: {gauge}, insulation: silicone, "
        f"ends: {ends}}}\ncontroller: {{voltage: {{min: 36 V, max: 60 V}}, battery_current: 10 A}}\n"
    )
    (line,) = [each for each in tree_lines(Case(build)) if each.name == "main"]
    assert line.worst.endswith(f" A{named}"), line
