"""Small questions about one lead before it is made, by tables: its fuse, its ends, what its wire bears."""

from __future__ import annotations

from dataclasses import replace

import pytest

from packyoke.analysis.case import Case
from packyoke.model import FITTED, NONE, Build
from packyoke.planning import options as made
from packyoke.planning.catalogue import FuseKind
from packyoke.planning.options import blank_fuse, fused, given_fuse, must_hold, need_ends, plugged
from packyoke.planning.parts import lead_name
from packyoke.planning.ready import ready
from packyoke.planning.result import Refusal, Stuck
from tests.planning.bikes import pack
from tests.planning.test_options_by_table import drawn, end


def of_a_lead(lines: str = "", pack_more: str = "") -> Build:
    packs = {"a": pack("bed", more=pack_more), "b": pack("bed")}
    return drawn({"a lead": f"{{from: a, to: y, length: 500 mm{lines}}}"}, packs=packs)


FUSE = "fuse: {family: class T, rating: 30 A, voltage: 160 V}"


@pytest.mark.parametrize(
    ("build", "must"),
    [
        (of_a_lead(), True),
        (of_a_lead(pack_more=FUSE), False),
        (of_a_lead(", fuse: none"), False),
        (of_a_lead(f", {FUSE}"), False),
    ],
)
def test_a_fuse_goes_where_the_pack_has_none_and_the_file_says_nothing(build: Build, must: bool) -> None:
    assert must_hold(build, build.leads["a lead"]) is must
    assert not must_hold(build, build.leads["main lead"]), "it comes from no pack"
    assert not must_hold(build, build.leads["a lead"].but(direct=True))


def test_whether_a_pack_has_a_fuse_and_whether_the_file_says_so() -> None:
    with_one, with_none, silent = (of_a_lead(pack_more=more).packs["a"] for more in (FUSE, "fuse: none", ""))
    assert (fused(with_one), fused(with_none), fused(silent)) == (True, False, False)
    assert (blank_fuse(with_one), blank_fuse(with_none), blank_fuse(silent)) == (False, False, True)


@pytest.mark.parametrize(
    ("presence", "rating_a", "given"), [(FITTED, 30.0, True), (FITTED, None, False), (NONE, 30.0, False)]
)
def test_the_fuse_that_the_file_gives(presence: str, rating_a: float | None, given: bool) -> None:
    lead = of_a_lead().leads["a lead"]
    fuse = replace(lead.fuse, presence=presence, rating_a=rating_a, family="blade", voltage_v=58.0, breaking_a=500.0)
    found = given_fuse(replace(lead, fuse=fuse))
    assert found == (FuseKind("blade", 30.0, 58.0, 500.0) if given else None)


@pytest.mark.parametrize(
    ("given", "outlet", "inlet", "ends"),
    [
        ((None, None), "XT60 socket", "XT60 pin", ("XT60 pin", "XT60 socket")),
        (("XT90 pin", None), "XT60 socket", "XT60 pin", ("XT90 pin", "XT60 socket")),
        ((None, "XT90 socket"), "XT60 socket", "XT60 pin", ("XT60 pin", "XT90 socket")),
        ((None, None), None, "XT60 pin", (None, "XT60 socket")),
        ((None, None), "XT60 socket", None, ("XT60 pin", None)),
    ],
)
def test_the_ends_of_a_lead_go_onto_what_it_is_plugged_into(
    given: tuple[str | None, str | None], outlet: str | None, inlet: str | None, ends: tuple[str | None, str | None]
) -> None:
    build = drawn()
    halves = [end(each) if each is not None else None for each in (*given, outlet, inlet)]
    lead = build.leads["a lead"].but(ends=(halves[0], halves[1]))
    yoke = replace(build.joiners["y"], inlets=(halves[3], halves[3]))
    build = replace(
        build,
        leads={**build.leads, "a lead": lead},
        packs={**build.packs, "a": replace(build.packs["a"], outlet=halves[2])},
        joiners={"y": yoke},
    )
    found = plugged(Case(build), lead)
    assert tuple(str(each) if each is not None else None for each in found) == ends
    if None not in ends:
        assert need_ends(Case(build), lead) == found
        return
    with pytest.raises(Stuck) as caught:
        need_ends(Case(build), lead)
    answer = caught.value.answer
    assert isinstance(answer, Refusal)
    assert answer.missing == ((("packs.a", "outlet"),) if outlet is None else (("joiners.y", "inlets"),))


def test_which_part_has_what_a_lead_goes_onto() -> None:
    build = drawn()
    of = {name: [made._fixed_part(build, build.leads[name], at) for at in (0, 1)] for name in ("a lead", "main lead")}
    assert of["a lead"] == [("packs.a", "outlet"), ("joiners.y", "inlets")]
    assert of["main lead"] == [("joiners.y", "outlets"), ("controller", "inlet")]


def test_what_a_wire_bears_with_the_lowest_insulation_where_the_file_says_none() -> None:
    build = ready(drawn({"a lead": "{from: a, to: y, length: 500 mm, gauge: 12 AWG}"}), {})
    lead = build.leads["a lead"]
    assert lead.insulation is None
    pvc, silicone = (lead.but(insulation=each) for each in ("PVC", "silicone"))
    bears = [
        made._bears_a(replace(build, leads={**build.leads, "a lead": each}), each) for each in (lead, pvc, silicone)
    ]
    assert bears[0] == bears[1] < bears[2]


def test_a_switch_in_a_lead_is_asked_what_it_bears() -> None:
    names = [each.name for each in made._rules(of_a_lead().leads["a lead"])]
    assert "switch-overloaded" not in names
    switched = of_a_lead(", switch: {rating: 5 A, breaks: 60 V}").leads["a lead"]
    assert [each.name for each in made._rules(switched)] == [*names, "switch-overloaded"]


def test_the_resistance_of_a_pack_is_what_the_file_says_or_the_least_it_may_be() -> None:
    build = drawn()
    known_pack = build.packs["a"]
    assert made.least_resistance_ohm(build, known_pack) == pytest.approx(0.12)
    silent = replace(known_pack, resistance_ohm=None)
    least = made.least_resistance_ohm(replace(build, packs={**build.packs, "a": silent}), silent)
    assert 0.0 < least < 0.12


LONG = "the long keel pack of the blue cargo bike"


@pytest.mark.parametrize(
    ("packs", "source", "name"),
    [
        (("keel", "hull"), "keel", "keel lead"),
        # Another name begins alike: the whole name where there is room for it, else its place in the file.
        (("keel", "keel 2"), "keel", "keel lead"),
        (("keel", "keel 2"), "keel 2", "keel 2 lead"),
        ((LONG, "hull"), LONG, "the long keel pack of the blue lead"),
        (("hull", LONG, "the long keel pack of the blue boat"), LONG, "pack 2 lead"),
    ],
)
def test_what_a_lead_is_called(packs: tuple[str, ...], source: str, name: str) -> None:
    build = drawn(packs={"a": pack("bed"), "b": pack("bed")})
    named = {each: replace(build.packs["a"], name=each) for each in packs}
    assert lead_name(replace(build, packs=named, leads={}), source, "y") == name
    assert lead_name(build, "y", "controller") == "main lead 2"
    assert lead_name(build, "y", "z") == "y link"
