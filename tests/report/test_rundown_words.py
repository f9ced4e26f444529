"""What a rundown's page says, and its charts: courses made by hand, one fact at a time."""

from __future__ import annotations

import csv
import json
from typing import Any

import pytest

from packyoke.analysis.circuit.curves import CannotDeliver
from packyoke.analysis.discharge.course import Event, PackTally, PartTally, Phase, Sample
from packyoke.analysis.discharge.rundown import Draw, NoRundown, Rundown, SetLine
from packyoke.answers.rundown.charts import charts
from packyoke.answers.rundown.page import (
    ABOVE_LABEL,
    BY_THE_MEAN,
    NOT_JUDGED,
    Ridden,
    RundownView,
    clock,
    happenings,
    headline,
    pack_row,
    phase_words,
    rundown_csv,
    rundown_json,
    rundown_page,
    set_row,
)
from packyoke.page.page import Figure, Lines, Steps, Table

WH = 3600.0
KEEL = PackTally("keel", 36000.0, 500 * WH, 10 * WH, 1.0, 0.0, 12.34, 0.7)
BOX = PackTally("box", 18000.0, 250 * WH, 4 * WH, 0.9, 0.4, 6.0, 0.3)
FIRST = Phase(0.0, 3600.0, ("keel",), (1.0,), (0.61,))
BOTH = Phase(3600.0, 7200.0, ("keel", "box"), (0.61, 0.39), (0.5, 0.5))


def moment(time_s: float, keel_a: float, box_a: float, bus_v: float = 50.0) -> Sample:
    return Sample(time_s, bus_v, keel_a + box_a, bus_v * (keel_a + box_a), (keel_a, box_a), (51.0, 49.0), (0.5, 0.4))


SERIES = (moment(0.0, 10.0, 0.0, 54.0), moment(3600.0, 6.0, 4.0), moment(7200.0, 5.0, 5.0, 40.0))


def course(**more: Any) -> Rundown:
    told: dict[str, Any] = {
        "phases": (FIRST, BOTH),
        "events": (Event(3600.0, "level", "box"), Event(7200.0, "controller cuts", "")),
        "series": SERIES,
        "packs": (KEEL, BOX),
        "passed": {"leads.a": PartTally(5.0, 12.0)},
        "energy_to_load_j": 700 * WH,
        "taps_j": 0.0,
        "duration_s": 7200.0,
        "ended": "controller cuts",
        "refused": None,
        "draw": Draw(current_a=10.0),
        "label_energy_j": 1000 * WH,
        "assumed": (),
    }
    return Rundown(**{**told, **more})


ALONE: dict[str, Any] = {"packs": (KEEL,), "phases": (FIRST,), "events": (), "series": ()}
RIDE = Ridden("everyday", Draw(power_w=180.0), 5.0, 288.15)


def seen(found: Rundown, **more: Any) -> RundownView:
    told: dict[str, Any] = {"file": "f.yaml", "name": "Skerry", "found": found, "others": (), "assumed": ()}
    return RundownView(**{**told, **more})


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0.0, "0 s"),
        (89.9, "90 s"),
        (90.0, "1 min"),
        (119.0, "1 min"),
        (3599.0, "59 min"),
        (3600.0, "1 h 00 min"),
        (4688.0, "1 h 18 min"),
    ],
)
def test_a_time_for_people(seconds: float, text: str) -> None:
    assert clock(seconds) == text


@pytest.mark.parametrize(
    ("seconds", "way"),
    # At 5 m/s: 10 km are 2000 s.
    [(1999.0, "10.0 km"), (2000.0, "10 km"), (1000.0, "5.0 km"), (4000.0, "20 km")],
)
def test_how_far_one_has_come(seconds: float, way: str) -> None:
    assert seen(course(), ride=RIDE).when(seconds) == f"{clock(seconds)}, {way}"
    assert seen(course()).when(seconds) == clock(seconds)


@pytest.mark.parametrize(
    ("view", "first", "others"),
    [
        # 700 of 1000 Wh are 70 %.
        (seen(course()), "At 10 A they last 2 h 00 min and give 700 Wh, 70 % of the 1000 Wh on the label.", []),
        (seen(course(**ALONE)), "At 10 A it lasts 2 h 00 min and gives 700 Wh, 70 % of the 1000 Wh on the label.", []),
        (
            seen(course(), ride=RIDE),
            "On the ride everyday, at 10 A and 18 km/h in the mean, they last 2 h 00 min, go 36 km and",
            [BY_THE_MEAN],
        ),
        (seen(course(**ALONE), ride=RIDE), "in the mean, it lasts 2 h 00 min, goes 36 km and gives", [BY_THE_MEAN]),
        (seen(course(energy_to_load_j=1000 * WH)), "100 % of", []),
        (seen(course(energy_to_load_j=1004 * WH)), "100 % of", [ABOVE_LABEL]),
        (seen(course(taps_j=1.01 * WH)), "At 10 A", ["Accessories take 1.01 Wh besides."]),
        (seen(course(taps_j=1.0 * WH)), "At 10 A", []),
        (seen(course(), doubts=("a doubt.",)), "At 10 A", ["a doubt."]),
        (seen(course(draw=Draw(power_w=300.0))), "At 300 W they", []),
        (seen(course(draw=Draw(current_a=10.0, power_w=300.0))), "At 10 A and at most 300 W they", []),
        (seen(course(draw=Draw(power_w=300.0, besides_a=2.0))), "At 300 W besides 2 A they", []),
        (seen(course(draw=Draw())), "At what the controller may draw they", []),
    ],
)
def test_the_headline(view: RundownView, first: str, others: list[str]) -> None:
    found = headline(view)
    assert first in found[0]
    ends = "It ends because the controller cuts at its low voltage."
    assert sorted(found[1:]) == sorted([*others, ends, NOT_JUDGED])


@pytest.mark.parametrize(
    ("ended", "refused", "said"),
    [
        ("no pack left", None, "the last pack has dropped out"),
        ("cannot deliver", None, "the load asks for more than there is"),
        (
            "cannot deliver",
            CannotDeliver("too much", 8.0, 300.0),
            "the load asks for more than there is (8 A at the most)",
        ),
        ("level", None, "the packs are level"),
        ("a day has passed", None, "a day has passed"),
    ],
)
def test_why_it_ends(ended: str, refused: CannotDeliver | None, said: str) -> None:
    assert f"It ends because {said}." in headline(seen(course(ended=ended, refused=refused)))


REST = Draw(current_a=0.0)
STILL = KEEL._replace(end_fraction=0.9951)
MOVED = KEEL._replace(end_fraction=0.994)


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (course(draw=REST, ended="level"), "At rest the packs come level in 2 h 00 min: keel from 100 % to 0 %, box"),
        (course(draw=REST, packs=(STILL,), ended="level"), "nothing flows from pack to pack."),
        (course(draw=REST, packs=(MOVED,), ended="level"), "come level in 2 h 00 min: keel from 100 % to 99 %."),
        (course(draw=REST, packs=(STILL, MOVED), ended="level"), "in 2 h 00 min: keel from 100 % to 99 %."),
        (course(draw=REST, ended="a day has passed"), "At rest the packs are not quite level after a day: keel"),
        (
            course(draw=REST, packs=(KEEL,), ended="a day has passed"),
            "At rest, the controller drawing nothing, for 2 h 00 min. keel from",
        ),
        (course(draw=REST, ended="no pack left"), "At rest, the controller drawing nothing, for 2 h 00 min. keel from"),
        (
            course(draw=REST, ended="a day has passed", taps_j=2 * WH),
            "At rest, the controller drawing nothing, for 2 h 00 min. Accessories take 2 Wh meanwhile: keel from",
        ),
        (course(draw=REST, ended="a day has passed", taps_j=1 * WH), "At rest the packs are not quite level"),
    ],
)
def test_packs_at_rest(found: Rundown, said: str) -> None:
    view = seen(found)
    assert said in headline(view)[0]
    assert len(headline(view)) == 2
    assert "Who supplies" not in {each.heading for each in rundown_page(view).blocks}


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (course(), [(0.0, "keel supplies"), (3600.0, "box has come level and helps"), (7200.0, "the controller cuts")]),
        (course(phases=(BOTH,), events=()), [(0.0, "keel and box supply")]),
        (course(phases=(BOTH,), events=(), draw=REST), [(0.0, "keel and box feed the others")]),
        (
            course(phases=(FIRST,), events=(Event(9.0, "level", ""),), draw=REST),
            [(0.0, "keel feeds the others"), (9.0, "the packs are level")],
        ),
        (course(phases=(), events=()), []),
        # who begins is not said twice; what another does at once is said
        (course(phases=(FIRST,), events=(Event(0.0, "joins in", "keel"),)), [(0.0, "keel supplies")]),
        (course(phases=(FIRST,), events=(Event(0.0, "waits", "box"),)), [(0.0, "keel supplies"), (0.0, "box waits")]),
        (
            course(phases=(FIRST,), events=(Event(1.0, "drops out", "keel"),)),
            [(0.0, "keel supplies"), (1.0, "keel drops out: its protection opens")],
        ),
        (
            course(phases=(), events=(Event(5.0, "cannot deliver", ""),)),
            [(5.0, "the load is more than what is plugged in can deliver")],
        ),
        (course(phases=(), events=(Event(5.0, "empty", "box"),)), [(5.0, "box is empty")]),
        # behind a selector both packs of a group are cut off, at one moment
        (
            course(phases=(), events=(Event(5.0, "controller cuts", "box"), Event(5.0, "controller cuts", "keel"))),
            [(5.0, "the controller cuts")],
        ),
        (
            course(phases=(Phase(0.0, 9.0, ("a", "b", "c"), (0.4, 0.3, 0.3), (0.4, 0.3, 0.3)),), events=()),
            [(0.0, "a, b and c supply")],
        ),
    ],
)
def test_what_happens_when(found: Rundown, told: list[tuple[float, str]]) -> None:
    assert happenings(found) == told


def test_rows() -> None:
    assert phase_words(BOTH) == "keel 61 to 50 %, box 39 to 50 %"
    assert phase_words(Phase(0.0, 1.0, (), (), ())) == "nothing"
    assert pack_row(KEEL) == ["keel", "100 %", "0 %", "500 Wh", "100 %", "12.3 A", "10 Wh"]
    line = SetLine(("keel", "box"), (("keel", 0.0), ("box", 3600.0)), 7200.0, 700 * WH, 1000 * WH, "controller cuts")
    assert set_row(line) == ["keel + box", "700 Wh", "1000", "2 h 00 min", "keel, then box 1 h 00 min"]
    at_once = line._replace(begins=(("keel", 0.0), ("box", 0.9)))
    assert set_row(at_once)[-1] == "keel + box"
    assert set_row(line._replace(begins=(("keel", 1.0),)))[-1] == "nobody, then keel 1 s"
    assert set_row(at_once._replace(beyond=("box",)))[-1] == "keel + box; STOP, too much for box"


def blocks(view: RundownView) -> dict[str, Any]:
    return {each.heading: each for each in rundown_page(view).blocks}


def test_the_blocks_of_the_page_are_there_where_they_say_something() -> None:
    line = SetLine(("keel",), (("keel", 0.0),), 60.0, WH, 2 * WH, "controller cuts")
    whole = blocks(seen(course(), others=(line, NoRundown("no curve", "packs.box", "")), assumed=("one", "two")))
    assert [*whole] == ["What happens", "Who supplies", "The packs", "Over time", "Pack sets", "Assumed"]
    assert isinstance(whole["What happens"], Steps)
    sets = whole["Pack sets"]
    assert isinstance(sets, Table)
    assert (len(sets.rows), sets.notes) == (1, ("box: no open-circuit curve of its chemistry is on file",))
    assert isinstance(whole["Assumed"], Lines)
    assert "Pack sets" not in blocks(seen(course(), others=(line,)))
    bare = course(phases=(), events=(), series=())
    assert [*blocks(seen(bare))] == ["The packs"]
    assert "Over time" not in blocks(seen(course(duration_s=0.0)))


def test_a_pack_that_took_is_explained_below_its_table() -> None:
    about = "below 0: what it took from the others"
    took, hardly = (BOX._replace(start_fraction=0.5, end_fraction=0.5 + share) for share in (0.0051, 0.0049))
    assert blocks(seen(course(packs=(KEEL, took))))["The packs"].about == about
    assert blocks(seen(course(packs=(KEEL, hardly))))["The packs"].about == ""
    assert blocks(seen(course()))["The packs"].about == ""


def test_a_stop_is_said_first() -> None:
    page = rundown_page(seen(course(), beyond=("keel gives 50 A",), refused="packyoke check stops this build."))
    assert page.verdict is not None
    assert (page.verdict.level, page.title) == ("stop", "Skerry: keel + box")
    assert page.lead[:2] == ("keel gives 50 A.", "packyoke check stops this build.")
    assert rundown_page(seen(course())).verdict is None


def marks(found: Rundown) -> list[str]:
    figure = blocks(seen(found))["Over time"]
    assert isinstance(figure, Figure)
    return [line[line.index("|") + 1 : line.rindex("|")] for line in figure.text if "|" in line]


def test_shares_over_time_in_tenths() -> None:
    """40 columns over 2 h: 20 in the first hour, where keel gives all, 20 in the second, 6 of 10 A."""
    keel, box, volts = marks(course())
    assert (keel, box) == ("9" * 20 + "6" * 20, " " * 20 + "4" * 20)
    # 54 V at first is the highest, 50 V of 54 to 40 V are 10 of 14: 7 tenths.
    assert volts == "9" * 20 + "0" * 0 + volts[20:]
    assert set(volts[20:]) == {"0"}
    text = blocks(seen(course()))["Over time"].text
    assert text[0].startswith("  keel  |")
    assert text[2].endswith(" 54.0 to 50.0 V")
    assert text[3].endswith("2 h 00 min")
    assert [len(line) for line in text[:2]] == [50, 50]


def test_a_pack_that_is_charged_is_marked() -> None:
    charged = (moment(0.0, 10.0, -0.01), moment(3600.0, 10.0, -0.0009), moment(7200.0, 5.0, 5.0))
    found = course(series=charged)
    assert marks(found)[1] == "<" * 20 + " " * 20
    assert "< is charged by the others" in blocks(seen(found))["Over time"].about
    assert "<" not in blocks(seen(course()))["Over time"].about
    resting = course(series=(moment(0.0, 0.0, 0.0), moment(7200.0, 0.0, 0.0)))
    assert marks(resting)[:2] == [" " * 40, " " * 40]


def test_a_long_name_is_wrapped_beside_its_row() -> None:
    name = "the pack in the left bag of the carrier"
    found = course(packs=(KEEL._replace(name=name), BOX))
    text = blocks(seen(found))["Over time"].text
    assert {line.index("|") for line in text if "|" in line} == {2 + 20 + 1}
    assert sum("|" in line for line in text) == 3
    assert (
        " ".join(line.split("|")[0].strip() for line in text[: text.index(next(r for r in text if "box" in r))]) == name
    )


def test_charts_have_an_axis_and_lines_of_their_own() -> None:
    def words(found: Rundown, **more: Any) -> list[str]:
        return ["".join(each.itertext()) for each in charts(seen(found, **more))]

    assert [*charts(seen(course(series=SERIES[:1])))] == []
    assert len([*charts(seen(course(series=SERIES[:2])))]) == 3
    assert "hours" in words(course())[0]
    assert "minutes" in words(course(duration_s=5400.0))[0]
    assert "hours" in words(course(duration_s=5401.0))[0]
    assert "at the load" in words(course())[0]
    one = [each._replace(currents_a=(10.0,), terminals_v=(51.0,), fractions=(0.5,)) for each in SERIES]
    assert "at the load" not in words(course(**{**ALONE, "series": tuple(one)}))[0]
    assert "cuts at 40 V" in words(course(), cuts=((40.0, "cuts at 40 V"),))[0]
    charged = (moment(0.0, 10.0, -1.0), moment(7200.0, 5.0, 5.0))
    assert "being charged" in words(course(series=charged))[1]
    assert "being charged" not in words(course())[1]


def test_a_rundown_as_json_and_as_lines_of_a_spreadsheet() -> None:
    data = json.loads(rundown_json(seen(course(), refused="stopped.")))
    assert (data["ride"], data["speed_m_s"], data["check"], data["duration_s"]) == (None, None, "stopped.", 7200.0)
    data = json.loads(rundown_json(seen(course(), ride=RIDE)))
    assert (data["ride"], data["speed_m_s"], data["check"]) == ("everyday", 5.0, None)
    found = course(packs=(KEEL._replace(name="=keel"), BOX._replace(name="box")))
    heads, first, *_ = csv.reader(rundown_csv(seen(found)).splitlines())
    assert heads[4:6] == ["'=keel current_a", "box current_a"]
    assert first[:6] == ["0", "54", "10", "540", "10", "0"]
