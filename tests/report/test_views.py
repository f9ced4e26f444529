"""From what is typed after `rundown`, `range` and `meter` to an answer: one thing at a time."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.answers.meter.answer import Typed
from packyoke.answers.meter.answer import view as meter_view
from packyoke.answers.meter.on_bench import PacksOnBench, bench_text
from packyoke.answers.meter.page import MeterView
from packyoke.answers.range.answer import view as range_view
from packyoke.answers.rundown.answer import view as rundown_view
from packyoke.answers.rundown.page import RundownView
from packyoke.answers.typed import WrongInput
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.planning.bikes import build_of
from tests.support import edited

NAME = "skerry-long-tail"
BIKE = build_of(edited(NAME))


def built(put: dict[str, Any] | None = None, drop: list[str] | None = None) -> Build:
    return build_of(edited(NAME, put, drop or []))


def run(build: Build = BIKE, **typed: Any) -> RundownView:
    return rundown_view(build, **typed)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"at": "keel=50", "volts": "keel=50"}, "--at and --volts both say how full"),
        ({"packs": "keel", "at": "pannier=50"}, "pannier: a state is given, but --packs leaves it out"),
        ({"load": "10 A", "ride": "everyday"}, "--load and --ride both say what is drawn"),
        ({"load": "-1 A"}, "a load draws"),
        ({"load": "-1 W"}, "a load draws"),
        ({"load": "some"}, "a current or a power"),
        ({"cold": "-51 degC"}, "between -50 degC and 60 degC"),
        ({"health": "29 %"}, "between 30 % and 100 %"),
    ],
)
def test_what_a_rundown_cannot_be_asked(typed: dict[str, str], said: str) -> None:
    with pytest.raises(WrongInput, match=said):
        run(**typed)


def test_what_is_drawn() -> None:
    assert run(load="10 A").found.draw.current_a == 10.0
    assert run(load="300 W").found.draw.power_w == 300.0
    for none in ("0 A", "0 W"):
        view = run(load=none)
        assert view.found.draw.at_rest
        assert view.others == ()
    ride = run(ride="everyday")
    assert ride.ride is not None
    assert ride.ride.name == "everyday"
    assert run(load="10 A").ride is None
    assert len(run(load="10 A").others) == 3
    assert run(load="10 A", packs="keel").others == ()


def test_what_the_rundown_takes_from_the_file() -> None:
    cut = built({"controller.low_voltage_cut": "40 V"})
    assert run(cut, load="10 A").cuts == ((40.0, "controller cuts at 40 V"),)
    assert run(built(drop=["controller.low_voltage_cut"]), load="10 A").cuts == ()
    fuse = "{{family: class T, rating: {} A, voltage: 160 V}}"
    fused = built({"packs.keel.fuse": fuse.format(40), "packs.pannier.fuse": fuse.format(30)})
    assert run(fused, load="10 A").most == ((30.0, "fuse of pannier, 30 A"),)
    assert run(fused, load="10 A", packs="keel").most == ((40.0, "fuse of keel, 40 A"),)
    bare = built({"packs.keel.fuse": "none", "packs.pannier.fuse": "none"})
    assert run(bare, load="10 A").most == ()


def test_what_is_more_than_protection_lets_out() -> None:
    """keel alone gives the 10 A and half an ampere to the accessories: one that opens at 10.4 A is named."""
    one = {"packs": "keel", "load": "10 A"}
    assert run(built({"packs.keel.discharge": "10.6 A"}), **one).beyond == ()
    (said,) = run(built({"packs.keel.discharge": "10.4 A"}), **one).beyond
    assert said.startswith("keel gives 10")
    assert "its protection allows 10.4 A all the time" in said
    (said,) = run(built(drop=["packs.keel.discharge"]), **one).beyond
    assert said == "keel: what its protection allows is not known"


def tied(put: dict[str, Any] | None = None, *drop: str) -> Build:
    """The packs on a plain joiner."""
    return built({"joiners.yoke.type": "plain", **(put or {})}, ["joiners.yoke.blocks_in", *drop])


def test_packs_that_the_others_charge() -> None:
    """On a plain joiner a full pack charges one at half: more than 1 A of charging limit is said, 50 A are not."""
    typed = {"at": "keel=100,pannier=50", "load": "0 A"}
    little = tied({"packs.pannier.charge": "1 A"})
    assert any("pannier is charged with" in each and "it takes 1 A" in each for each in run(little, **typed).beyond)
    much = tied({"packs.pannier.charge": "200 A"})
    assert not any("pannier is charged" in each for each in run(much, **typed).beyond)
    unknown = tied(None, "packs.keel.charge", "packs.pannier.charge")
    assert any("what it takes is not known" in each for each in run(unknown, **typed).beyond)
    never = tied({"packs.pannier.charge": "none"})
    assert any("it takes 0 A at its outlet" in each for each in run(never, **typed).beyond)
    # 14 cells at 4.2 V are 58.8 V; 13 that are full have 54.6.
    fewer = tied({"packs.pannier.series": "13", "packs.pannier.charge": "200 A", "packs.pannier.cut_off": "39 V"})
    assert any(
        "pannier is charged past full, to 1" in each for each in run(fewer, at="keel=100,pannier=98", load="0 A").beyond
    )
    assert not any("past full" in each for each in run(much, **typed).beyond)
    near = run(never, at="keel=60,pannier=59.99", load="0 A")
    assert not any("is charged with" in each for each in near.beyond)  # what only levels is not said
    level = run(little, at="keel=60,pannier=60", load="0 A")
    assert not any("is charged with" in each for each in level.beyond)


def test_a_joiner_of_which_nobody_knows_what_is_inside_is_a_doubt() -> None:
    assert run(load="10 A").doubts == ()
    (said,) = run(built(drop=["joiners.yoke.type"]), load="10 A").doubts
    assert said.startswith("What is inside yoke is not known")


@pytest.mark.parametrize("need", ["0 km", "-1 km", "10000 km"])
def test_no_way_to_ride(need: str) -> None:
    with pytest.raises(WrongInput, match="--need"):
        range_view(BIKE, need=need)


def test_which_rides_and_sets_are_answered() -> None:
    found = range_view(BIKE, packs=("keel",), rides=("EVERYDAY",), need="1 km")
    assert (found.rides, found.sets_left_out, found.need_m) == (("everyday",), 0, 1000.0)
    with pytest.raises(WrongInput, match="give one --ride with it"):
        range_view(BIKE, rides=("everyday", "loaded"), known=("42 km from 100 % to 20 % with keel",))
    own = built({"ride": "{Everyday: {rider: 80 kg}}"})
    assert range_view(own, packs=("keel",), rides=("everyday",)).rides == ("Everyday",)  # as the file has it
    known = range_view(BIKE, packs=("keel",), known=("42 km from 100 % to 20 % with keel",))
    assert known.rides == ("everyday",)
    stopped = range_view(tied({"packs.pannier.chemistry": "LFP", "packs.pannier.series": "16"}))
    assert (stopped.check, stopped.lines, stopped.answered) == ("no", (), False)


def meter(build: Build = BIKE, **typed: Any) -> MeterView:
    return meter_view(build, Typed(**typed))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({}, "nothing was measured"),
        ({"load": "10 A", "drops": ("0.1 V at 20 A",)}, "--load says at which load packs level"),
        ({"volts": "keel=54", "load": "0 A"}, "write a current or a power"),
        ({"volts": "keel=54", "load": "-5 W"}, "write a current or a power"),
        ({"volts": "keel=-54"}, "below zero"),
        ({"volts": "keel=\u221254"}, "below zero"),
        ({"volts": "keel=120.1"}, "no pack of a bike shows that"),
        ({"loaded": "keel=52 at 10 A"}, "its voltage at rest is needed too"),
        ({"volts": "keel=54", "loaded": "keel=54 at 10 A"}, "is not below 54 V at rest"),
        ({"volts": "keel=54", "loaded": "keel=52"}, "--loaded keel"),
        ({"drops": ("0 V at 10 A",)}, "above zero are needed"),
        ({"drops": ("0.1 V at 0 A",)}, "above zero are needed"),
        ({"drops": ("0.1 V at 1001 A",)}, "above zero are needed"),
        ({"drops": ("nowhere=0.1 V at 10 A",)}, 'no joiner or lead called "nowhere"'),
        ({"across_inlet": "yoke 9: 0.3 V"}, 'yoke has no inlet "9"'),
        ({"across_inlet": "nobody: 0.3 V"}, 'no joiner called "nobody"'),
        ({"across_inlet": "yoke: 0.3 V"}, "which inlet"),
        ({"across_inlet": "yoke 1:"}, "write for example"),
    ],
)
def test_what_cannot_be_measured(typed: dict[str, Any], said: str) -> None:
    with pytest.raises(WrongInput, match=said):
        meter(**typed)


@pytest.mark.parametrize(
    ("typed", "inlet", "found"),
    [
        ("yoke 1: 0.3 V", "keel lead", "blocks"),
        ("yoke keel lead: 0.3 V", "keel lead", "blocks"),
        ("2: 0.3", "pannier lead", "blocks"),
        ("YOKE 2: 0.3 V", "pannier lead", "blocks"),
        ("yoke 2=0.3 V", "pannier lead", "blocks"),
        ("yoke: 53 V", "", "plain or failed"),
        ("53 V", "", "plain or failed"),
        ("yoke 2: 20 V", "pannier lead", "leaks"),
    ],
)
def test_the_inlet_that_was_measured(typed: str, inlet: str, found: str) -> None:
    (test,) = meter(across_inlet=typed).inlets
    assert (test.joiner, test.inlet, test.found) == ("yoke", inlet, found)


def test_what_was_measured_goes_into_the_file() -> None:
    found = meter(volts="keel=54.1,pannier=54 V", loaded="keel=52.1 at 20 A", drops=("main lead=0.1 V @ 20 A",))
    told = [(each.part, each.what, each.value, each.at) for each in found.records]
    # 54.1 less 52.1 V at 20 A are 100 mohm.
    assert told == [
        ("packs.keel", "voltage", "54.1 V", ""),
        ("packs.pannier", "voltage", "54 V", ""),
        ("leads.main lead", "drop", "0.1 V", "20 A"),
        ("packs.keel", "voltage under load", "52.1 V", "20 A"),
        ("packs.keel", "resistance", "100 mohm", ""),
    ]
    assert found.left_out == ()
    weak = meter(volts="keel=54.1", loaded="keel=48.1 at 20 A", today="2027-05-14")  # 300 mohm, and 95 are described
    assert {(path, each.reading.what) for path, each in weak.differences} == {("packs.keel", "resistance")}
    assert meter(volts="keel=54.1").left_out == ("pannier",)
    assert meter(drops=("main lead=0.1 V at 20 A",)).left_out == ()
    assert meter(volts="keel=120").reading is not None


def test_when_packs_level_is_worked_out_where_they_may_go_together() -> None:
    both = meter(volts="keel=50,pannier=46", load="10 A").course
    assert both is not None
    assert (both.load, both.at_rest, both.first) == ("10 A", False, ("keel",))
    watts = meter(volts="keel=50,pannier=49", load="300 W").course
    assert watts is not None
    assert watts.load == "300 W"
    assert meter(volts="keel=50").course is None
    assert meter(volts="keel=50,pannier=10").course is None
    rests = meter(tied(), volts="keel=50,pannier=49.95").course
    assert rests is not None
    assert (rests.at_rest, rests.load) == (True, "")


def test_what_a_rush_is_worked_out_with_is_said() -> None:
    none = tied(None, "packs.keel.resistance", "packs.keel.charge", "packs.pannier.charge")
    said = "; ".join(meter(none, volts="keel=50.1,pannier=50").assumed)
    assert "in the first moment packs have 0.65 of their resistance" in said
    assert "keel: resistance at least" in said
    assert "pannier: resistance at least" not in said
    # 20 and 13 Ah: a fifth of them an hour.
    assert "keel: may be charged with 4 A, 0.2 of its capacity an hour" in said
    assert "pannier: may be charged with 2.6 A" in said
    assert "may be charged with" not in "; ".join(meter(tied(), volts="keel=50.1,pannier=50").assumed)
    assert "in the first moment" not in "; ".join(meter(volts="keel=50.1,pannier=50").assumed)


BENCH = PacksOnBench(13, "54.1,51.3")


@pytest.mark.parametrize(
    ("bench", "said"),
    [
        (PacksOnBench(13, "a=54.1,51.3"), "give the voltages alone"),
        (PacksOnBench(13, "54.1"), "two voltages or more"),
        (PacksOnBench(13, "54.1,"), "two voltages or more"),
        (PacksOnBench(13, ",".join(["54"] * 13)), "at most 12 packs"),
        (PacksOnBench(13, "54,53", joiner="glue"), '--joiner "glue"'),
        (PacksOnBench(13, "54,53", chemistry="coal"), '--chemistry "coal"'),
    ],
)
def test_packs_on_the_bench_that_cannot_be_told(bench: PacksOnBench, said: str) -> None:
    with pytest.raises(WrongInput, match=said):
        bench_text(bench)


def on_bench(**more: str) -> tuple[Build, str, tuple[str, ...]]:
    text, volts, taken = bench_text(PacksOnBench(13, more.pop("volts", "54.1, 51.3"), **more))
    build = load(text, "bench")
    assert isinstance(build, Build), build
    return build, volts, taken


def test_packs_on_the_bench() -> None:
    build, volts, taken = on_bench()
    assert (len(build.packs), volts, taken[-1]) == (2, "pack 1=54.1,pack 2=51.3", "chemistry NMC")
    assert build.joiners["joiner"].type in (None, "unknown")
    one = build.packs["pack 1"]
    assert (one.series, one.chemistry, one.capacity_coulomb, one.resistance_ohm) == (13, "NMC", None, None)
    told, _, taken = on_bench(
        capacity="14 Ah", resistance="120 mohm", charge="4 A", chemistry="lfp", joiner="plain", load="20 A"
    )
    pack = told.packs["pack 2"]
    assert (pack.capacity_coulomb, pack.resistance_ohm, pack.charge_a) == (pytest.approx(14 * 3600.0), 0.12, 4.0)
    assert (pack.chemistry, told.joiners["joiner"].type) == ("LFP", "plain")
    assert not any("NMC" in each for each in taken)
    assert on_bench(joiner="blocking")[0].joiners["joiner"].type == "ideal-diode"
    assert len(on_bench(volts=",".join(["54"] * 12))[0].packs) == 12
    controllers = [on_bench(load=load)[0].controllers["controller"].limit_a for load in ("20 A", "300 W", "")]
    assert controllers == [20.0, None, None]
