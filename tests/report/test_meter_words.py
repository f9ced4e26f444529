"""What a meter's page says, sentence by sentence: readings, crossings and tests made by hand, one fact at a time."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.analysis.bench.as_built import Difference
from packyoke.analysis.bench.joiner_tests import InletTest, LoadTest, PathTest
from packyoke.analysis.bench.metering import Crossing, Oddity, RestingReading
from packyoke.analysis.packs.states import NoState, StateSpan
from packyoke.answers.meter.page import (
    Levelling,
    MeterView,
    because,
    crossing_words,
    listed,
    meter_page,
    oddity_words,
    to_do,
)
from packyoke.answers.meter.tests_page import difference_words, inlet_words, load_words, path_words
from packyoke.model import Build, Gauge, Measured
from packyoke.model.build import NOWHERE
from packyoke.page.page import Lines, Table
from tests.planning.bikes import build_of
from tests.support import edited

BIKE: Build = build_of(edited("skerry-long-tail"))
EMPTY = MeterView("f.yaml", "Skerry", None, {}, None, (), (), (), (), {}, (), (), ())
RUSH = Crossing("a", "b", "rush", "yes", 0.1, "yoke", 0.2, 3.0, 4.0, "practice", 5.0, later_a=2.0)
TURNED = RUSH._replace(turned=True)
BLOCKS = Crossing("a", "b", "blocks", "yes", 1.5, "yoke")
LEAKS = InletTest("yoke", 9.0, "leaks", False)
PLAIN, OPEN_TYPE = LEAKS._replace(found="plain or failed"), LEAKS._replace(found="plain or failed", described=None)
SOUND = LEAKS._replace(found="blocks", described=True)
DEAD = PathTest(BIKE.joiners["yoke"], 0.62, 10.0, "gate drive dead", 0.45)
TOO_MUCH = PathTest(BIKE.joiners["yoke"], 0.5, 10.0, "too much", 0.2)
FINE = DEAD._replace(found="as described")


def reading(*crossings: Crossing, odd: tuple[Oddity, ...] = (), **volts_v: float) -> RestingReading:
    return RestingReading(volts_v or {"a": 54.0, "b": 53.9}, odd, crossings)


def view(found: RestingReading | None = None, **more: Any) -> MeterView:
    states = {} if found is None else {name: StateSpan(0.5, 0.6, 0.7) for name in found.volts_v}
    return EMPTY._replace(reading=found, states=states, **more)


def odd(kind: str, verdict: Any = "no", **more: Any) -> Oddity:
    return Oddity(kind, more.pop("pack", "a"), verdict, **more)


NO, WAIT, CARE = odd("above full"), odd("nothing there", "not yet"), odd("nearly empty", "caution")


@pytest.mark.parametrize(
    ("seen", "verdict"),
    [
        (view(), "yes"),
        (view(reading(RUSH)), "yes"),
        (view(check="no"), "no"),
        (view(check="not yet"), "not yet"),
        (view(paths=(DEAD,)), "no"),
        (view(paths=(FINE, TOO_MUCH)), "not yet"),
        (view(paths=(FINE,)), "yes"),
        (view(inlets=(LEAKS,)), "no"),
        (view(inlets=(PLAIN,)), "no"),
        (view(inlets=(OPEN_TYPE,)), "yes"),  # nobody said that it blocks
        (view(inlets=(PLAIN._replace(described=True),)), "yes"),
        (view(inlets=(SOUND, LEAKS)), "no"),
        (view(inlets=(SOUND,)), "yes"),
        (view(reading(odd=(NO,))), "no"),
        (view(reading(odd=(WAIT,))), "not yet"),
        (view(reading(odd=(CARE,))), "yes"),
        (view(reading(odd=(WAIT, NO))), "no"),
        (view(reading(odd=(NO,)), check="not yet"), "no"),  # a no is not softened
        (view(reading(RUSH), check="not yet"), "not yet"),
        (view(reading(RUSH._replace(verdict="no")), paths=(TOO_MUCH,)), "no"),
    ],
)
def test_the_worst_of_what_was_measured_is_the_answer(seen: MeterView, verdict: str) -> None:
    assert seen.verdict == verdict
    page = meter_page(seen)
    assert page.verdict is not None
    assert (page.verdict.word, page.verdict.level) == {
        "yes": ("YES", "good"),
        "no": ("NO", "stop"),
        "not yet": ("NOT YET", "open"),
    }[verdict]


@pytest.mark.parametrize(
    ("seen", "said"),
    [
        (view(), ["nothing measured forbids it.", "Whether packs may go together now is said when  --volts"]),
        (view(check="not yet"), ["not all is as described.", "Whether packs may go together"]),
        (view(check_lines=("the check.",)), ["the check."]),
        (view(inlets=(SOUND,)), ["nothing measured forbids it.", "Whether"]),
        (view(inlets=(LEAKS,)), ["yoke has failed: plug nothing into it. 9 V across its empty inlet: it leaks"]),
        (view(paths=(DEAD,)), ["0.62 V at 10 A over one path: its gate drive is dead, 6.2 W of heat in it."]),
        (view(paths=(TOO_MUCH,)), ["not all is as described.", "Whether"]),
        (view(reading(a=54.0)), ["a by itself: nothing to join."]),
        (view(reading(a=54.0), check="no"), ["do not plug a in yet."]),
        (view(reading(RUSH)), ["a and b may be plugged together now.", "a and b are 0.1 V apart"]),
        (
            view(reading(RUSH), check="not yet"),
            ["do not plug a and b together yet.", "The voltages alone would allow it.", "a and b are"],
        ),
        (
            view(reading(RUSH), check="no"),
            ["do not plug a and b together.", "The voltages alone would allow it.", "a and b are"],
        ),
        (view(reading(RUSH), paths=(DEAD,)), ["yoke: 0.62 V", "The voltages alone would allow it.", "a and b are"]),
        (view(reading(RUSH._replace(verdict="no"))), ["do not plug a and b together.", "a and b are"]),
        (view(reading(odd=(WAIT,))), ["do not plug a and b together yet.", "a shows 54 V: asleep"]),
        (view(reading(RUSH), check_lines=("one.", "one.")), ["a and b may be plugged", "a and b are", "one."]),
        # two packs that meet in a joiner that blocks have a sentence of their own; three have one for all
        (view(reading(BLOCKS)), ["a and b may be plugged", "yoke blocks as described: a supplies first"]),
    ],
)
def test_the_answer_and_what_stands_behind_it(seen: MeterView, said: list[str]) -> None:
    found = because(seen)
    assert len(found) == len(said)
    for line, part in zip(found, said, strict=True):
        assert part in line


@pytest.mark.parametrize(
    ("each", "said"),
    [
        (odd("unsound", other="swollen"), "a is swollen: do not use it."),
        (odd("not known", asks=("packs.a", "series")), "series of a is not known: nothing to hold 50 V against."),
        (odd("not known"), "a is not known: nothing to hold 50 V against."),
        (odd("nothing there"), "a shows 50 V: asleep, tripped, or its fuse is open"),
        (odd("above full", limit_v=42.0), "a shows 50 V, and 42 V is full. A meter or a charger that is a little off"),
        (
            odd("above full", limit_v=42.0, counts=((12, 50.4), (13, 54.6), (14, 58.8), (15, 63.0))),
            "42 V is full. It looks like 12 in series (full at 50.4 V) or 13 in series (full at 54.6 V) or 14 in "
            "series (full at 58.8 V): its label",
        ),
        (odd("nearly empty", limit_v=49.0), "a shows 50 V, hardly more than the 49 V at which its protection opens"),
        (odd("below cut-off", limit_v=51.0), "a shows 50 V, and below 51 V its protection opens"),
        (odd("one group less", limit_v=4.15, other="b"), "a stands one cell (4.15 V) below b"),
    ],
)
def test_an_odd_reading(each: Oddity, said: str) -> None:
    assert said in oddity_words(each, 50.0, {("packs.a", "series"): "series of a"})


@pytest.mark.parametrize(
    ("each", "said"),
    [
        (BLOCKS, "yoke blocks as described: a supplies first, b, 1.5 V lower, helps when that has come down to it."),
        (BLOCKS._replace(difference_v=0.0), "yoke blocks as described: a and b are level and share."),
        (BLOCKS._replace(kind="turns"), "yoke has one of a and b on at a time."),
        (
            BLOCKS._replace(kind="two ways"),
            "a and b are joined in more than one way: how much flows is not worked out.",
        ),
        (BLOCKS._replace(kind="unequal"), "a and b are not full at the same voltage: they never go together."),
        (BLOCKS._replace(kind="not known"), "something is not known, and on it hangs how a and b go together."),
        (
            BLOCKS._replace(kind="not known", asks=("joiners.yoke", "type")),
            "yoke: type is not known, and on it hangs how a and b go together.",
        ),
        (BLOCKS._replace(kind="apart"), "a and b do not meet."),
    ],
)
def test_what_becomes_of_two_packs(each: Crossing, said: str) -> None:
    assert crossing_words(each, view(asks={("joiners.yoke", "type"): "yoke: type"})) == said


SMALL = RUSH._replace(rush_a=0.0, slow_a=None)


@pytest.mark.parametrize(
    ("each", "check", "said"),
    [
        (SMALL._replace(verdict="no"), "yes", "at most 0.2 V by good practice."),
        (SMALL._replace(verdict="no", allowed_v=0.199), "yes", "at most 0.19 V by good practice."),  # rounded down
        (SMALL._replace(verdict="no", limited_by="bond"), "yes", "0.2 V by the file, where they are joined for good."),
        (SMALL._replace(verdict="no", limited_by="b"), "yes", "0.2 V by what b may be charged with (4 A)."),
        (SMALL._replace(verdict="no", limited_by="a lead"), "yes", "0.2 V by what a lead bears (4 A)."),
        (SMALL._replace(verdict="no", allowed_v=0.0), "yes", "no current may enter the outlet of b."),
        (SMALL, "yes", "0.2 V by good practice. These two may be joined."),
        (SMALL, "no", "0.2 V by good practice. That much would be allowed."),
        (
            RUSH._replace(slow_a=3.0),
            "yes",
            "As much as 3 A would rush into b in the first moment, 2 A 10 s later. These two may be joined.",
        ),
        (RUSH._replace(slow_a=2.9), "yes", "These two may be joined. That is more than the 2.9 A of gentle charging."),
        (RUSH._replace(slow_a=2.9, verdict="no"), "yes", "2 A 10 s later."),
    ],
)
def test_two_packs_on_a_plain_joiner(each: Crossing, check: str, said: str) -> None:
    words = crossing_words(each, view(check=check))
    assert words.startswith("a and b are 0.1 V apart, yoke is plain:")
    assert words.endswith(said)


def test_two_packs_at_a_selector_that_touches_both_are_not_told_of_a_plain_joiner() -> None:
    words = crossing_words(TURNED, view())
    assert words.startswith("a and b are 0.1 V apart, yoke touches both while it changes over: at most 0.2 V")


def three(*lower: float, joiner: str = "yoke") -> RestingReading:
    names = "abc"
    volts_v = dict(zip(names, (54.0, *lower), strict=True))
    pairs = [("a", "b"), ("a", "c"), ("b", "c")]
    found = [Crossing(one, two, "blocks", "yes", volts_v[one] - volts_v[two], joiner) for one, two in pairs]
    return RestingReading(volts_v, (), tuple(found))


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (
            three(53.0, 52.0),
            "yoke blocks as described: a supplies first; the others help when it has come down to "
            "them: b (1 V lower), c (2 V lower).",
        ),
        (
            three(54.0, 52.0),
            "yoke blocks as described: a and b supply first; the others help when it has come down to "
            "them: c (2 V lower).",
        ),
        (three(54.0, 54.0), "yoke blocks as described: a, b and c supply first."),
    ],
)
def test_three_packs_that_are_blocked_have_one_sentence(found: RestingReading, said: str) -> None:
    assert because(view(found))[1:] == [said]


def test_one_sentence_only_where_all_pairs_are_alike() -> None:
    found = three(53.0, 52.0)
    two = RestingReading(found.volts_v, (), (*found.crossings[:2], found.crossings[2]._replace(joiner="other")))
    assert because(view(two))[1].startswith("other and yoke block as described: a supplies first")
    assert len(because(view(two, inlets=(SOUND,)))) == 4  # one was tested, the other not: said pair by pair
    assert because(view(found, inlets=(SOUND,)))[1].startswith("yoke blocks, as tested: a supplies first")
    mixed = RestingReading(found.volts_v, (), (*found.crossings[:2], found.crossings[2]._replace(kind="apart")))
    assert len(because(view(mixed))) == 4
    fourth = Crossing("a", "d", "blocks", "yes", 1.0, "yoke")
    some = RestingReading({**found.volts_v, "d": 53.0}, (), (*found.crossings, fourth))
    assert len(because(view(some))) == 5  # b and d never meet: not all of them are told in one


WINDOWS = {"charge_to_v": (53.81, 54.19), "ride_to_v": (53.71, 54.09)}
APART: Crossing = RUSH._replace(verdict="no", difference_v=3.0, **WINDOWS)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("seen", "steps"),
    [
        (view(), []),
        (view(inlets=(LEAKS,)), ["Fit another joiner"]),
        (view(paths=(DEAD,)), ["Fit another joiner"]),
        # 0.5 V less the 0.2 V that are right, at 10 A: 3 W.
        (view(paths=(TOO_MUCH,)), ["(3 W too much at 10 A)"]),
        (view(paths=(FINE,)), []),
        (view(reading(odd=(WAIT,))), ["Wake the pack"]),
        (view(reading(odd=(NO,))), ["Leave it unplugged"]),
        (view(reading(odd=(CARE,))), ["Charge a by itself before the ride."]),
        (view(reading(odd=(odd("below cut-off"),))), ["Do not charge it and do not join it"]),
        (view(reading(odd=(odd("unsound"),))), []),
        (view(reading(BLOCKS._replace(kind="not known", asks=("joiners.yoke", "type")))), ["Plug ONE pack in"]),
        (
            view(
                reading(BLOCKS._replace(kind="not known", asks=("packs.a", "series"))),
                asks={("packs.a", "series"): "a: series"},
            ),
            ["Find out a: series."],
        ),
        (view(reading(BLOCKS._replace(kind="two ways", verdict="not yet"))), ["Take all but one of the ways"]),
        (view(reading(RUSH)), ["Plug a and b together now"]),
        (view(reading(TURNED)), ["Turn yoke now, meter in hand"]),
        (view(reading(TURNED._replace(verdict="no", allowed_v=0.0))), ["Fit a selector that breaks before it makes."]),
        (view(reading(RUSH), check="no"), []),
        (view(reading(RUSH._replace(verdict="no", allowed_v=0.0))), ["Fit a joiner that blocks."]),
        (
            view(reading(APART)),
            ["Charge b by itself to 53.9 to 54.1 V, or ride a by itself down to 53.8 to 54.0 V; let both rest"],
        ),
        (view(reading(APART._replace(charge_to_v=None))), ["Ride a by itself down to 53.8 to 54.0 V; let both rest"]),
        (view(reading(APART._replace(charge_to_v=None, ride_to_v=None))), []),
        (view(reading(APART), inlets=(LEAKS,)), ["Fit another joiner"]),
        (view(reading(APART, odd=(NO,))), ["Leave it unplugged"]),  # one that is not right is not levelled
        (view(reading(APART, odd=(CARE,))), ["Charge a by itself before", "Charge b by itself to"]),
        (view(reading(BLOCKS)), ["Blocking parts fail without a sign. Not tested today: yoke. Plug ONE"]),
        (view(reading(BLOCKS), check="no"), []),
        (view(reading(BLOCKS), inlets=(SOUND,)), []),
        (view(reading(BLOCKS._replace(kind="apart"))), []),
    ],
)
def test_what_to_do_now(seen: MeterView, steps: list[str]) -> None:
    found = to_do(seen)
    assert len(found) == len(steps)
    for line, part in zip(found, steps, strict=True):
        assert part in line


def test_a_pack_that_two_others_are_above_is_charged_to_what_suits_both() -> None:
    one = APART._replace(ride_to_v=None)
    other = one._replace(higher="c", charge_to_v=(54.0, 54.5))
    assert "to 54.0 to 54.1 V" in to_do(view(reading(one, other)))[0]  # 53.81 to 54.19 and 54.0 to 54.5
    level = one._replace(higher="c", charge_to_v=(54.19, 54.5))
    assert "itself to 54.19 V; let" in to_do(view(reading(one, level)))[0]  # no tenth lies between 54.19 and 54.19
    narrow = one._replace(charge_to_v=(54.11, 54.19))
    assert "itself to 54.11 to 54.19 V; let" in to_do(view(reading(narrow)))[0]
    assert "itself to 54.1 V; let" in to_do(view(reading(one._replace(charge_to_v=(54.1, 54.19)))))[0]
    assert to_do(view(reading(one._replace(charge_to_v=(54.1911, 54.1919))))) == []
    assert to_do(view(reading(one, one._replace(higher="c", charge_to_v=(54.2, 54.5))))) == []
    assert to_do(view(reading(one, one._replace(higher="c", charge_to_v=None)))) == []


@pytest.mark.parametrize(
    ("charge", "ride", "ways"),
    [
        (
            True,
            True,
            "Charge b by itself to 53.9 to 54.1 V, or ride a by itself down to 53.8 to 54.0 V and c by itself",
        ),
        (False, True, "Ride a by itself down to 53.8 to 54.0 V and c by itself down to 53.8 to 54.0 V; let"),
        (True, False, "Charge b by itself to 53.9 to 54.1 V; let"),
        (False, False, "Ride a by itself down to 53.8 to 54.0 V; let"),
    ],
)
def test_where_two_are_above_one_both_are_ridden_down(charge: bool, ride: bool, ways: str) -> None:
    """One of them alone leaves the other above; where it cannot be ridden so low, the first is a beginning."""
    one = APART if charge else APART._replace(charge_to_v=None)
    other = (one if ride else one._replace(ride_to_v=None))._replace(higher="c")
    (said,) = to_do(view(reading(one, other)))
    assert said.startswith(ways)


def test_names_as_they_are_read_aloud() -> None:
    assert [listed(each) for each in (["a"], ["a", "b"], ["a", "b", "c"])] == ["a", "a and b", "a, b and c"]


COURSE = Levelling(((600.0, "b"),), ("a",), "15 A", False, "")


@pytest.mark.parametrize(
    ("course", "said"),
    [
        (COURSE, "Ridden at 15 A: a first; b helps after 10 min. An estimate from typical cells."),
        (COURSE._replace(load=""), "Ridden: a first; b helps after 10 min. An estimate from typical cells."),
        (COURSE._replace(levels=()), "Ridden at 15 A: a first. An estimate from typical cells."),
        (COURSE._replace(first=None), "Ridden at 15 A: nobody first; b helps"),
        (COURSE._replace(at_rest=True, load=""), "At rest less than 10 mA flows between them after 10 min."),
        (COURSE._replace(at_rest=True, load="", levels=()), "At rest they are level."),
        (
            COURSE._replace(at_rest=True),
            "At rest less than 10 mA flows between them after 10 min. This is with nothing drawn: 15 A is not counted.",
        ),
        (COURSE._replace(why_not="no curve"), "Not worked out: no curve."),
    ],
)
def test_when_packs_level(course: Levelling, said: str) -> None:
    blocks = {each.heading: each for each in meter_page(view(reading(RUSH), course=course)).blocks if each.heading}
    lines = blocks["When they level"]
    assert isinstance(lines, Lines)
    assert lines.lines[0].startswith(said)
    assert "When they level" not in {each.heading for each in meter_page(view(reading(RUSH))).blocks}


def test_the_table_of_packs_has_a_bar_where_a_state_is_known() -> None:
    seen = view(reading(RUSH), left_out=("box",), assumed=("one", "two"))
    seen = seen._replace(states={"a": StateSpan(0.5, 0.55, 0.6), "b": NoState("flat curve")})
    table, *rest = meter_page(seen).blocks
    assert isinstance(table, Table)
    assert table.rows == (("a", "54 V", "50 to 60 %, likely 55 %"), ("b", "53.9 V", "not said: flat curve"))
    assert {at: (bar.solid, bar.to) for at, bar in table.bars.items()} == {(0, 2): (0.5, 0.6)}
    assert table.notes == ("Not measured, and taken as unplugged: box.",)
    assert [each.lines for each in rest if isinstance(each, Lines)] == [("one; two",)]
    assert meter_page(view(inlets=(SOUND,))).blocks[0].heading == "Tested"
    bare = meter_page(view(reading(RUSH))).blocks
    assert [each.heading for each in bare] == ["The packs"]


@pytest.mark.parametrize(
    ("test", "said"),
    [
        (SOUND, "yoke, 9 V across an empty inlet: it blocks. As described."),
        (
            LEAKS._replace(inlet="keel lead"),
            "yoke, 9 V across the inlet of keel lead: it leaks: neither blocking nor plain. Not as described.",
        ),
        (OPEN_TYPE, "yoke, 9 V across an empty inlet: it is plain or has failed: current passes from pack to pack."),
    ],
)
def test_an_inlet_in_words(test: InletTest, said: str) -> None:
    assert inlet_words(test) == said


LEAD = PathTest(BIKE.leads["keel lead"], 0.2, 20.0, "too much", 0.1)


@pytest.mark.parametrize(
    ("test", "said"),
    [
        (DEAD._replace(found="too little current"), "or more are needed to see whether its gate drive works."),
        (LEAD._replace(found="not described"), ": 10 mohm; nothing in the file to hold it against."),  # 0.2 V / 20 A
        (DEAD, "yoke, 0.62 V at 10 A: more than 0.45 V: its gate drive is dead, the body diode conducts."),
        (LEAD._replace(found="as described"), ": as described (0.1 V would be right at the most)."),
        (LEAD, ": too much, 0.1 V would be right at the most: a bad joint or a thinner wire."),
        (LEAD._replace(like=Gauge("AWG", 16)), "a bad joint or a thinner wire; 16 AWG would drop as much."),
        (TOO_MUCH, "a bad joint in it, or a path that does not switch on."),
    ],
)
def test_a_drop_in_words(test: PathTest, said: str) -> None:
    assert path_words(test).endswith(said)


LOADED = LoadTest("keel", 54.0, 52.0, 20.0, 0.1, "as described", (0.1, 0.1))


@pytest.mark.parametrize(
    ("test", "said"),
    [
        (LOADED, "keel: 100 mohm at its outlet, as expected (described 100 mohm)."),
        (LOADED._replace(described_ohm=None), "keel: 100 mohm at its outlet; nothing in the file to hold it against."),
        (
            LOADED._replace(found="more", described_ohm=(0.05, 0.08)),
            "keel: 100 mohm at its outlet, more than expected (new packs of its kind have 50 to 80 mohm): a tired",
        ),
        (LOADED._replace(found="less", described_ohm=(0.2, 0.3)), "less than expected (new packs of its kind have 200"),
    ],
)
def test_a_pack_under_load_in_words(test: LoadTest, said: str) -> None:
    assert said in load_words(test)


def difference(what: str, relation: Any = "at most", unit: str = "mohm") -> Difference:
    fields: dict[str, Any] = {"name": "", "path": "build", "span": NOWHERE, "spans": {}, "date": "", "part": "x"}
    told = Measured(**fields, what=what, value=0.2)
    return Difference(told, 0.1, "its reading", unit, 1000.0, relation)


@pytest.mark.parametrize(
    ("path", "each", "said"),
    [
        (
            "packs.keel",
            difference("resistance"),
            "keel: its reading 200 mohm, described 100 mohm; points to a tired or cold pack, or a bad contact at its",
        ),
        # less than described is no sign of wear
        ("packs.keel", difference("resistance", "at least"), "keel: its reading 200 mohm, described 100 mohm."),
        ("packs.keel", difference("capacity", "at least", "Ah"), "described 100 Ah; points to a tired pack."),
        ("joiners.yoke", difference("blocks", "", ""), "yoke: its reading; points to a failed or another joiner"),
        ("packs.keel", difference("mass"), "keel: its reading 200 mohm, described 100 mohm."),
    ],
)
def test_a_difference_in_words(path: str, each: Difference, said: str) -> None:
    assert said in difference_words(path, each)
