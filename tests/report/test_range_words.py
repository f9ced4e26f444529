"""What a range's page says: estimates of one bike with one figure changed at a time."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.analysis.ride.known import RideTold
from packyoke.analysis.ride.named import SHOP, Input
from packyoke.analysis.ride.reach import Note, RangeEstimate, range_of
from packyoke.answers.range.answer import sets_to_answer
from packyoke.answers.range.known import told_words, typed_ride
from packyoke.answers.range.page import NO_CUT, RangeView, SetRange, range_json, range_page
from packyoke.answers.range.words import input_words, loudness, note_words, signed, span_words, value_words
from packyoke.answers.typed import WrongInput
from packyoke.model import Build
from packyoke.page.page import Lines, Table
from tests.planning.bikes import build_of
from tests.sheets import chain_text
from tests.support import edited


@cache
def bike() -> Build:
    return build_of(edited("skerry-long-tail"))


@cache
def estimate(ride: str = "everyday") -> RangeEstimate:
    found = range_of(Case(bike()), ("keel",), ride)
    assert isinstance(found, RangeEstimate)
    return found


def far(low_km: float = 40.0, likely_km: float = 60.0, **more: Any) -> RangeEstimate:
    made = estimate()
    band = made.distance_m._replace(low=1000.0 * low_km, likely=1000.0 * likely_km)
    return made._replace(**{"distance_m": band, "notes": (), "told": (), "swings": (), **more})


WEAK = far(ended="cannot deliver")
REFUSED = NoRundown("no curve", "packs.box", "")


def seen(*lines: SetRange, rides: tuple[str, ...] = ("everyday",), **more: Any) -> RangeView:
    told: dict[str, Any] = {
        "need_m": None,
        "system": "metric",
        "sensitivity": False,
        "assumed": (),
        "health_fraction": None,
        "sets_left_out": 0,
    }
    return RangeView("f.yaml", "Skerry", rides, lines, **{**told, **more})


KEEL, BOTH = SetRange(("keel",), (far(),)), SetRange(("keel", "box"), (far(80.0, 120.0),))
SHORT = SetRange(("box",), (far(20.0, 30.0),))


def blocks(view: RangeView) -> dict[str, Any]:
    return {each.heading: each for each in range_page(view).blocks}


@pytest.mark.parametrize(
    ("view", "word", "answered"),
    [
        (seen(KEEL), None, True),
        (seen(KEEL, need_m=40_000.0), None, True),
        (seen(KEEL, need_m=40_001.0), "NO", False),
        (seen(KEEL, BOTH, need_m=60_000.0), None, True),
        (seen(SetRange(("keel",), (WEAK,))), "NO", False),
        (seen(SetRange(("keel",), (WEAK,)), KEEL), None, True),
        (seen(SetRange(("keel",), (far(), far(10.0))), rides=("a", "b"), need_m=30_000.0), "NO", False),
        (seen(KEEL, check="no", refused="stopped."), "STOP", False),
        (seen(KEEL, check="not yet", refused="open."), "OPEN", False),
    ],
)
def test_the_answer(view: RangeView, word: str | None, answered: bool) -> None:
    page = range_page(view)
    assert (page.verdict.word if page.verdict else None) == word
    assert view.answered is answered
    assert json.loads(range_json(view))["answered"] is answered
    assert (page.lead[0] == view.refused) is bool(view.refused)
    assert ("How far" in {each.heading for each in page.blocks}) is (view.check != "no")


def test_on_which_rides_nothing_gets_there() -> None:
    two = SetRange(("keel",), (far(), far(10.0)))
    page = range_page(seen(two, rides=("a", "b"), need_m=30_000.0))
    assert page.verdict is not None
    assert page.verdict.text.endswith("how far: no set of packs is sure to go 30 km on the ride b")
    weak = range_page(seen(SetRange(("keel",), (WEAK, WEAK)), rides=("a", "b")))
    assert weak.verdict is not None
    assert weak.verdict.text.endswith("no set of packs delivers what it takes on the ride a and b")


MANY = tuple(SetRange((f"p{n}",), (far(50.0 + n),)) for n in range(5))


@pytest.mark.parametrize(
    ("view", "said"),
    [
        (seen(KEEL), None),
        (seen(KEEL, SHORT, need_m=30_000.0), "everyday: keel"),
        (seen(SHORT, need_m=30_000.0), "everyday: none of these sets gets there"),
        (seen(KEEL, BOTH, need_m=30_000.0), "everyday: keel; keel + box"),
        (seen(*MANY, need_m=30_000.0), "everyday: all of these sets"),
        (seen(*MANY, SHORT, need_m=30_000.0), "everyday: all of these sets but box"),
        (seen(*MANY[:4], SHORT, need_m=30_000.0), "everyday: p0; p1; p2; p3"),
        (
            seen(*MANY, *[SHORT._replace(packs=(f"q{n}",)) for n in range(5)], need_m=30_000.0),
            "everyday: p0; p1; p2; p3; p4",
        ),
    ],
)
def test_what_gets_there(view: RangeView, said: str | None) -> None:
    found = blocks(view).get("What gets there")
    assert (found.lines if isinstance(found, Lines) else None) == (None if said is None else (said,))
    if said is not None:
        assert found.about == "30 km, counted with the figure to count on"


def test_the_table_of_ranges() -> None:
    """Bars end at a round figure above the longest, 200 km for 120: 40 and 60 km are a fifth and three tenths."""
    table = blocks(seen(KEEL, BOTH, SetRange(("box",), (REFUSED,)), SetRange(("bag",), (WEAK,))))["How far"]
    assert isinstance(table, Table)
    assert table.rows == (
        ("keel", "40 km", "60 km"),
        ("keel + box", "80 km", "120 km"),
        ("box", "not known", ""),
        ("bag", "cannot deliver", ""),
    )
    assert table.scale is not None
    end_km = float(table.scale.ticks.split()[-2])
    assert end_km >= 120.0
    bars = [(table.bars[row, 1].solid, table.bars[row, 1].to) for row in range(4)]
    assert bars == [
        pytest.approx(each) for each in ((40 / end_km, 60 / end_km), (80 / end_km, 120 / end_km), (0, 0), (0, 0))
    ]
    miles = blocks(seen(KEEL, system="us"))["How far"]
    assert (miles.rows[0], miles.scale.ticks.endswith("mi")) == (("keel", "24 mi", "37 mi"), True)
    alike = blocks(seen(KEEL, SHORT, KEEL._replace(packs=("bag",))))["How far"]
    assert [row[0] for row in alike.rows] == ["keel or bag", "box"]
    assert blocks(seen(SetRange(("box",), (REFUSED,)), KEEL))["Note"].lines == (
        "box: no open-circuit curve of its chemistry is on file",
    )


@pytest.mark.parametrize(("left_out", "notes"), [(0, 0), (2, 1)])
def test_four_rides_are_two_tables_and_what_is_left_out_stands_below_the_last(left_out: int, notes: int) -> None:
    view = seen(SetRange(("keel",), (far(),) * 4), rides=("a", "b", "c", "d"), sets_left_out=left_out)
    tables = [each for each in range_page(view).blocks if isinstance(each, Table) and each.heading == "How far"]
    assert [len(each.heads) for each in tables] == [7, 3]
    assert [len(each.notes) for each in tables] == [0, notes]


def test_what_a_ride_takes_and_what_packs_give() -> None:
    made = far(usable_j=500 * 3600.0, label_j=1000 * 3600.0, extra_kg=0.0)
    taken = made.taken_j_per_m._replace(low=36.0, likely=36.0, high=36.0)
    assert blocks(seen(SetRange(("keel",), (made._replace(taken_j_per_m=taken),))))["What it takes"].rows[0][1:3] == (
        "10",
        "",
    )
    spread = taken._replace(low=18.0, likely=35.9, high=72.0)  # 5, 9.97 and 20 Wh/km
    rows = blocks(seen(SetRange(("keel",), (made._replace(taken_j_per_m=spread),))))["What it takes"].rows
    assert rows[0][1:3] == ("10", "5 to 20")
    less = taken._replace(low=18.0, likely=34.2, high=72.0)  # 9.5 Wh/km
    assert blocks(seen(SetRange(("keel",), (made._replace(taken_j_per_m=less),))))["What it takes"].rows[0][1] == "9.5"
    us = blocks(seen(SetRange(("keel",), (made,)), system="us"))["What it takes"]
    assert us.heads[1] == "likely Wh/mi"

    def worth(found: RangeEstimate) -> tuple[str, ...]:
        return tuple(blocks(seen(SetRange(("keel",), (found,))))["What the packs give"].rows[0])

    assert worth(made) == ("keel", "500 Wh", "1000 Wh", "50 %", "", "")
    assert worth(made._replace(extra_kg=3.0, extra_m=2000.0)) == ("keel", "500 Wh", "1000 Wh", "50 %", "3 kg", "2 km")
    assert worth(made._replace(extra_kg=3.0, extra_m=-5.0))[-1] == "0 km"
    assert worth(made._replace(ended="cannot deliver"))[-2:] == ("cannot deliver", "")


@pytest.mark.parametrize(
    ("ended", "said"),
    [
        (("controller cuts", "controller cuts"), "on the ride everyday; it ends when the controller cuts"),
        (("no pack left", "no pack left"), "on the ride everyday; it ends when the last pack drops out"),
        (("no pack left", "controller cuts"), "on the ride everyday"),
        (("a day has passed", "a day has passed"), "on the ride everyday"),
    ],
)
def test_why_it_ends_is_said_once_where_it_is_the_same(ended: tuple[str, str], said: str) -> None:
    lines = [SetRange((name,), (far(ended=each),)) for name, each in zip(("keel", "box"), ended, strict=True)]
    assert blocks(seen(*lines))["What the packs give"].about == said


def test_a_ride_is_told_with_the_first_set_that_has_figures() -> None:
    def about(*lines: SetRange) -> str:
        return str(blocks(seen(*lines))["What it takes"].about)

    assert about(KEEL, BOTH) == "out of the packs, with keel"
    assert about(SetRange(("box",), (REFUSED,)), BOTH) == "out of the packs, with keel + box"
    names = ("a", "b", "c", "d", "e")
    assert about(KEEL._replace(packs=names[:4])) == "out of the packs, with a + b + c + d"
    assert about(KEEL._replace(packs=names)) == "out of the packs, with the first of these sets"
    assert (
        about(SetRange(("box",), (REFUSED,)), KEEL._replace(packs=names)) == "out of the packs, with a + b + c + d + e"
    )


def test_a_note_is_told_once_in_the_words_of_the_first_set() -> None:
    notes = tuple(Note("beyond the rating", watts, 250.0) for watts in (400.0, 300.0))
    lines = [SetRange((name,), (far(notes=(note,)),)) for name, note in zip(("keel", "box"), notes, strict=True)]
    assert blocks(seen(*lines))["Note"].lines == (
        "everyday: the motor gives 400 W all the time, its mark says 250 W: it may get too hot.",
    )
    assert "Note" not in blocks(seen(KEEL))


def test_what_a_range_hangs_on_is_told_on_request() -> None:
    swings = estimate().swings
    assert len(swings) > 3
    made = SetRange(("keel",), (far(swings=swings),))
    assert "What it hangs on" not in blocks(seen(made))
    table = blocks(seen(made, sensitivity=True))["What it hangs on"]
    assert len(table.rows) == min(8, len(swings))
    assert "60 km likely, changed by one figure" in table.about
    two = SetRange(("keel",), (far(swings=swings), REFUSED))
    assert (
        len(
            [
                each
                for each in range_page(seen(two, rides=("a", "b"), sensitivity=True)).blocks
                if each.heading == "What it hangs on"
            ]
        )
        == 1
    )


def assumptions(view: RangeView) -> str:
    return "\n".join(blocks(view)["Assumed"].lines)


def test_what_is_assumed() -> None:
    found = assumptions(seen(KEEL, assumed=("one", "two")))
    assert found.endswith("one; two")
    assert "packs full;" in found
    assert "an example, not measured" in found
    assert "with 80 % of their capacity" in assumptions(seen(KEEL, health_fraction=0.8))
    assert "help up to" in found
    ride = estimate().ride
    endless = ride._replace(riding=ride.riding._replace(cut_m_s=float("inf")))
    assert NO_CUT in assumptions(seen(SetRange(("keel",), (far(ride=endless),))))
    measured = ride._replace(measured=Input("measured", 30.0, 36.0, 40.0, "the file"))
    said = assumptions(seen(SetRange(("keel",), (far(ride=measured),))))
    assert "an example, not measured" not in said
    assert "rolling resistance" not in said


def test_what_rides_share_is_said_once() -> None:
    rides = [estimate().ride._replace(name=name, about="") for name in ("a", "b")]
    likely = rides[1].inputs[0]
    guess = likely._replace(attr="speed_m_s", low=4.0, likely=5.0, high=6.0, basis="assumed")
    fast = guess._replace(likely=5.5)
    same = tuple(each for each in rides[0].inputs if each.attr != "speed_m_s")
    pair = SetRange(
        ("keel",),
        tuple(far(ride=ride._replace(inputs=(*same, speed))) for ride, speed in zip(rides, (guess, fast), strict=True)),
    )
    said = assumptions(seen(pair, rides=("a", "b"))).splitlines()
    assert said[1].startswith("a: speed on the level 18 (")
    assert said[2].startswith("b: speed on the level 19.8 (")
    alike = SetRange(("keel",), tuple(far(ride=ride._replace(inputs=(*same, guess))) for ride in rides))
    assert len(assumptions(seen(alike, rides=("a", "b"))).splitlines()) == 1
    one = SetRange(("keel",), (far(ride=rides[0]._replace(inputs=(guess,), about="flat")),))
    assert assumptions(seen(one)).splitlines()[1].startswith("a: flat; speed on the level 18 (")


SPEED = Input("speed_m_s", 5.0, 6.0, 7.0, "assumed")


@pytest.mark.parametrize(
    ("figure", "system", "text"),
    [
        (SPEED, "metric", "speed on the level 21.6 (18 to 25.2) km/h"),
        (SPEED._replace(low=6.0, high=6.0), "metric", "speed on the level 21.6 km/h"),
        (SPEED._replace(basis=SHOP), "metric", "speed on the level 21.6 (18 to 25.2) km/h (from the shop file)"),
        (Input("wind_m_s", 0.0, 2.0, 4.0, "assumed"), "metric", "wind 2 (0 to 4) m/s"),
        (Input("wind_m_s", 0.0, 4.4704, 8.9408, "assumed"), "us", "wind 10 (0 to 20) mph"),
        (Input("drag_area_m2", 0.4, 0.5, 0.6, "assumed"), "metric", "drag area 0.5 (0.4 to 0.6) m2"),
        (Input("rolling_factor", 0.004, 0.006, 0.01, "assumed"), "metric", "rolling resistance 0.006 (0.004 to 0.01)"),
    ],
)
def test_a_figure_with_its_span(figure: Input, system: str, text: str) -> None:
    assert input_words(figure, system) == text


def test_spans_and_changes() -> None:
    assert span_words(SPEED, "metric") == "18 to 25.2 km/h"
    assert span_words(Input("rolling_factor", 0.004, 0.006, 0.01, "assumed"), "metric") == "0.004 to 0.01"
    assert value_words(Input("assist_ratio", 1.0, 2.0, 3.0, "assumed"), 2.0, "metric") == "2"
    assert [signed(each, "metric") for each in (2400.0, -2600.0)] == ["+2", "-3"]
    assert signed(16093.44, "us") == "+10"


@pytest.mark.parametrize(
    ("note", "said"),
    [
        (Note("motor is silent", 8.0, 6.0), "the motor gives nothing at 28.8 km/h; counted with 21.6 km/h"),
        (
            Note("slows on hills", 0.05, 2.0),
            "uphill (5 %) it slows to 7.2 km/h, for neither controller nor rider gives more.",
        ),
        (Note("walks on hills", 0.05, 1.0), "gives more. Somebody will get off and push."),
        (Note("beyond the rating", 300.0, 250.0), "the motor gives 300 W all the time, its mark says 250 W"),
        (Note("no throttle"), "nobody pedals on this ride"),
        (Note("least counts", 18.0, 14.4), "worked out are 4 Wh/km; counted with 5 Wh/km"),
        (Note("limit not known"), "how much current the controller lets through is not known"),
    ],
)
def test_a_note_in_words(note: Note, said: str) -> None:
    words = note_words(note, "metric")
    assert said in words
    assert ("push" in words) is (note.kind == "walks on hills")


@pytest.mark.parametrize(
    ("check", "answered", "said"),
    [
        ("yes", True, None),
        ("yes", False, ("NO", "t: short")),
        ("not yet", True, ("OPEN", "t")),
        ("no", True, ("OPEN", "t")),
    ],
)
def test_how_loud_an_answer_is(check: str, answered: bool, said: tuple[str, str] | None) -> None:
    found = loudness(check, answered, "t", "short")
    assert (None if found is None else found[1:]) == said


@pytest.mark.parametrize(
    ("farther", "said"),
    [
        (0.004, "hardly any rider"),
        (0.006, "1 of 100 riders get"),
        (0.5, "50 of 100"),
        (0.994, "99 of 100"),
        (0.996, "nearly every rider"),
    ],
)
def test_what_a_known_ride_tells_of_its_rider(farther: float, said: str) -> None:
    known = typed_ride(bike(), "42 km from 100 % to 20 % with keel")
    (words,) = told_words((RideTold(known, 50_000.0, farther),), "metric")
    assert said in words
    assert "50 km is likely" in words


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("42 km", "write for example"),
        ("42 km from 100 % to 20 %", "with which packs"),
        ("42 km from 100 % to 81 % with keel", "that says too little"),
        ("0 km from 100 % to 20 % with keel", "out of bounds"),
        ("42 km from 101 % to 20 % with keel", "out of bounds"),
        ("42 km from 100 % to 20 % with keel at 90 degC", "out of bounds"),
    ],
)
def test_a_known_ride_that_cannot_be_used(text: str, said: str) -> None:
    with pytest.raises(WrongInput, match=said):
        typed_ride(bike(), text)


def test_a_known_ride_at_its_limits() -> None:
    found = typed_ride(bike(), "42 km from 100 to 80 with keel at 5 degC")
    assert (found.from_fraction, found.to_fraction, found.packs) == (1.0, pytest.approx(0.8), ("keel",))
    assert found.air_k == pytest.approx(278.15)
    alone = build_of(chain_text(1))
    assert len(typed_ride(alone, "42 km from 100 % to 0 %").packs) == 1


@pytest.mark.parametrize(("packs", "sets"), [(1, 1), (3, 7), (4, 15), (5, 16)])
def test_which_sets_are_answered(packs: int, sets: int) -> None:
    """Every set of up to four packs; of five all, ten pairs and each alone."""
    assert len(sets_to_answer(build_of(chain_text(packs)))) == sets


def test_a_range_as_json() -> None:
    def told(view: RangeView) -> dict[str, Any]:
        return dict(json.loads(range_json(view))["ranges"][0])

    assert told(seen(KEEL))["reaches"] is None
    assert told(seen(KEEL, need_m=40_000.0))["reaches"] is True
    assert told(seen(KEEL, need_m=40_001.0))["reaches"] is False
    assert told(seen(SetRange(("keel",), (WEAK,)), need_m=1.0))["reaches"] is False
    assert told(seen(KEEL))["measured"] is False
    measured = estimate().ride._replace(measured=Input("measured", 30.0, 36.0, 40.0, "the file"))
    assert told(seen(SetRange(("keel",), (far(ride=measured),))))["measured"] is True
    assert "refused" in told(seen(SetRange(("box",), (REFUSED,))))


def test_what_the_file_says_is_not_assumed_and_what_the_shop_s_file_says_is_told() -> None:
    ride = estimate().ride
    plain = Input("rider_kg", 80.0, 80.0, 80.0, "the file")
    for figure, told in ((plain, False), (plain._replace(basis=SHOP), True), (plain._replace(high=90.0), True)):
        made = far(ride=ride._replace(inputs=(figure,)))
        assert ("rider 80" in assumptions(seen(SetRange(("keel",), (made,))))) is told
