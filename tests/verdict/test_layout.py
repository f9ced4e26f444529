"""The drawing of a build in text: whatever leads to a controller stands in it, with what is asked of what it bears."""

from __future__ import annotations

from math import comb
from pathlib import Path

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.api import load
from packyoke.core.findings import Finding, Severity
from packyoke.model import Build
from packyoke.verdict import layout
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
        ("jetty-two-drives", {}, "each its own controller"),
        ("windlass-two-outlets", {}, "the fullest"),
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


def test_what_is_behind_a_joiner_is_drawn_once() -> None:
    """Two leads side by side from one joiner to the next."""
    beside = {
        "from": "first",
        "to": "second",
        "length": "300 mm",
        "gauge": "12 AWG",
        "ends": ["XT60 pin", "XT60 socket"],
    }
    put = {
        "leads.second link": beside,
        "joiners.first.outlet": ["XT60 socket", "XT60 socket"],
        "joiners.second.inputs": "3",
    }
    lines = [(line.name, line.about) for line in tree_lines(Case(read(edited("breakwater-three-packs", put))))]
    assert [about for name, about in lines if name == "first"] == ["ideal-diode", "ideal-diode, drawn above"]
    assert [name for name, _ in lines].count("north") == 1


@pytest.mark.parametrize(
    ("put", "drop", "name", "about", "worst"),
    [
        ({}, (), "yoke", "ideal-diode", "25.5 of 40 A"),
        ({}, ("joiners.yoke.current",), "yoke", "ideal-diode", "not known"),
        ({"joiners.yoke.type": "unknown"}, (), "yoke", "type not known", "not known"),
        ({}, (), "keel", "14s NMC 20 Ah", "25.5 of 40 A"),
        ({}, ("packs.keel.series", "packs.keel.capacity"), "keel", "NMC", "25.5 of 40 A"),
        ({}, ("leads.main lead.length",), "main lead", "10 AWG", "25 of 45 A XT90"),
        ({}, ("leads.main lead.gauge",), "main lead", "300 mm", "not known"),
        (
            {"leads.main lead": {"from": "yoke", "to": "controller", "direct": "yes"}},
            (),
            "main lead",
            "plugged in directly",
            "25 of 45 A XT90",
        ),
    ],
)
def test_what_a_line_of_the_drawing_says(
    put: dict[str, object], drop: tuple[str, ...], name: str, about: str, worst: str
) -> None:
    (line,) = [each for each in tree_lines(Case(read(edited("skerry-long-tail", put, drop)))) if each.name == name]
    assert (line.about, line.worst) == (about, worst)
    assert (line.margin is None) == (worst == "not known")


def test_the_bike_makers_joiner_is_said_to_be_built_in() -> None:
    abouts = {line.name: line.about for line in tree_lines(Case(read(WITH_A_PORT.replace("PLACE", "port"))))}
    assert abouts["port"] == "built in"


STOPPED = (Finding(rule="packs-rush", severity=Severity.STOP, part="joiners.y", message="x"),)
"""What nobody rides."""


@pytest.mark.parametrize(
    ("findings", "most_stopped", "most", "told"),
    [
        ((), 1, 2, True),
        ((), 2, 1, False),
        (STOPPED, 2, 2, True),
        (STOPPED, 1, 2, False),
        ((STOPPED[0].but(accepted="Jo"),), 1, 2, True),
        ((STOPPED[0].but(severity=Severity.CAUTION),), 1, 2, True),
    ],
)
def test_the_weakest_part_of_each_set_where_packs_share(
    findings: tuple[Finding, ...], most_stopped: int, most: int, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each set has a circuit of its own; of many packs, and of a build at stop of a few, they are not worked out."""
    monkeypatch.setattr(layout, "MOST_STOPPED_PACKS", most_stopped)
    monkeypatch.setattr(layout, "MOST_SETS_PACKS", most)
    found = pack_sets(Case(read(edited("quay-plain-trike"))), findings, rides=False)
    alone = [each for each in found if len(each.packs) == 1]
    assert [(each.weakest, each.worst) for each in alone] == (
        [("old", "22 of 30 A"), ("new", "22 of 30 A")] if told else [("", "")] * 2
    )


def test_the_weakest_part_of_a_set_is_the_one_with_least_left() -> None:
    """The yoke bears 26 A of 25.5 A; XT60, packs and leads bear 30 A and more."""
    found = pack_sets(Case(read(edited("skerry-long-tail", {"joiners.yoke.current": "26 A"}))), (), rides=False)
    assert {(each.weakest, each.worst) for each in found} == {("yoke", "25.5 of 26 A")}


def test_what_is_between_packs_is_no_fault_of_one_that_is_there_alone() -> None:
    found = pack_sets(Case(read(edited("quay-plain-trike"))), STOPPED, rides=False)
    assert {each.packs: each.verdict for each in found} == {
        ("old", "new"): "stop",
        ("old",): "none-found",
        ("new",): "none-found",
    }


@pytest.mark.parametrize(
    ("drop", "energies"),
    [
        ((), {2: 14 * 3.6 * 33, 1: 14 * 3.6 * 20}),
        (("packs.keel.capacity",), {2: None, 1: None}),
    ],
)
def test_the_energy_by_the_label(drop: tuple[str, ...], energies: dict[int, float | None]) -> None:
    """14 cells of 3.6 V, 20 and 13 Ah; of packs of which one is not known nothing is told."""
    found = pack_sets(Case(read(edited("skerry-long-tail", {}, drop))), (), rides=False)
    told = {len(each.packs): each.label_wh for each in found if each.packs[0] == "keel"}
    assert told == {size: pytest.approx(wh) if wh else None for size, wh in energies.items()}


@pytest.mark.parametrize(
    ("findings", "most", "rides", "told"),
    [((), 2, True, True), ((), 1, True, False), ((), 2, False, False), (STOPPED, 2, True, False)],
)
def test_how_far_each_set_goes(
    findings: tuple[Finding, ...], most: int, rides: bool, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not of many packs, and not of what nobody rides."""
    monkeypatch.setattr(layout, "MOST_RIDDEN_PACKS", most)
    found = pack_sets(Case(read(edited("skerry-long-tail"))), findings, rides=rides)
    assert {each.range_m is not None for each in found} == {told}
