"""What the charging card says: cards made by hand, one fact at a time."""

from __future__ import annotations

import json
from typing import Any

import pytest

from packyoke.analysis.charging.bands import BANDS
from packyoke.analysis.charging.card import ChargingCard
from packyoke.analysis.charging.order import ChargeOrder, PortCourse, PortPhase, Times, Turn
from packyoke.analysis.charging.pairs import Pairing, Reason
from packyoke.analysis.charging.port import PortLine
from packyoke.answers.charge.answer import view as charge_view
from packyoke.answers.charge.page import ChargeView, charge_json, charge_page, reason_words
from packyoke.answers.typed import WrongInput
from packyoke.model import Key
from packyoke.page.page import Lines, Table
from tests.planning.bikes import build_of
from tests.support import edited

WH = 3600.0
TIMES = Times(7200.0, 10800.0, 600.0, 1200.0, 0.7, 1.0, 500 * WH)
SERIES: Key = ("packs.keel", "series")
FITS = Pairing("counter", "keel", "yes", (), (), TIMES, 588 * WH)
BOX = Pairing("depot", "box", "yes", (), (), TIMES, 588 * WH)
NO = Pairing("depot", "keel", "no", (Reason("too high", "no", 58.8, 54.6),), ())
UNDECIDED = Pairing("depot", "keel", "not known", (), (SERIES,))
ALONE = ChargeOrder(
    1, 1, 10800.0, (Turn("keel", "counter", 0.0, 10800.0), Turn("box", "counter", 10800.0, 21600.0)), True
)
PAIR = ChargeOrder(2, 0, 9000.0, (Turn("keel", "counter", 0.0, 9000.0), Turn("box", "depot", 0.0, 9000.0)), True)


def seen(*pairings: Pairing, **more: Any) -> ChargeView:
    told: dict[str, Any] = {
        "packs": ("keel",),
        "start": {"keel": 0.0, "box": 0.0},
        "temperature_k": 293.15,
        "band": BANDS[2],
        "plans": (),
        "ports": (),
        "unserved": (),
        "mains_w": {"counter": 230.0, "depot": 115.0},
        "joined": (),
        "assumed": (),
    }
    view = {key: more.pop(key) for key in ("check", "check_lines", "bonded", "assumed_words") if key in more}
    card = ChargingCard(pairings=pairings or (FITS,), **{**told, **more})
    assumed = view.pop("assumed_words", ())
    return ChargeView("f.yaml", "Skerry", card, {SERIES: "keel: series"}, assumed, 230.0, **view)


def done_at(part: float) -> Times:
    """Nothing goes in any more."""
    return Times(0.0, 0.0, 0.0, 0.0, 0.7, part, 0.0)


@pytest.mark.parametrize(
    ("keel", "line"),
    [
        (done_at(1.0), "YES  keel: full already."),
        (done_at(0.97), "YES  keel: full already."),
        (done_at(0.96), "YES  keel: counter charges it no further."),
        (TIMES, "YES  keel: counter, about 3 h 00 min."),
        (TIMES._replace(full_s=1.0), "YES  keel: counter, about 1 s."),
    ],
)
def test_a_pack_that_takes_no_more_is_not_charged_for_a_moment(keel: Times, line: str) -> None:
    pairings = (Pairing("counter", "keel", "yes", (), (), keel, 0.0), BOX)
    alone = ChargeOrder(1, 0, 10800.0, (Turn("box", "depot", 0.0, 10800.0),), True)
    found = seen(*pairings, packs=("keel", "box"), plans=(alone,), check="yes")
    said = charge_page(found).lead
    assert said[0] == line
    # What is done is not among the packs that wait for a joiner to charge them.
    assert ("without keel (through the joiner)" in " ".join(said)) is (keel.full_s > 0.0)


def reasons(*kinds: str) -> Pairing:
    return Pairing("depot", "keel", "no", tuple(Reason(each, "no", 4.7, 4.3) for each in kinds), ())


@pytest.mark.parametrize(
    ("view", "word", "level"),
    [
        (seen(), "YES", "good"),
        (seen(unserved=("keel",)), "NO", "stop"),
        (seen(check="no"), "NO", "stop"),
        (seen(check="not yet"), "NOT YET", "open"),
        (seen(check="not yet", unserved=("keel",)), "NO", "stop"),
        # Of a pack of which it is not known whether a charger may go on it nothing is refused.
        (seen(UNDECIDED, unserved=("keel",), check="not yet"), "NOT YET", "open"),
        (seen(UNDECIDED, unserved=("keel",)), "NOT YET", "open"),
        (seen(UNDECIDED, unserved=("keel",), check="no"), "NO", "stop"),
        (seen(UNDECIDED, unserved=("keel", "box"), check="not yet"), "NO", "stop"),
        (seen(FITS, reasons("dangerous"), check="not yet"), "NO", "stop"),
        # One that can burn a pack is kept off it by a list, unless its plug goes in all the same.
        (seen(FITS, reasons("dangerous")), "NO", "stop"),
        (seen(FITS, reasons("dangerous", "not listed")), "YES", "good"),
        (seen(FITS, reasons("dangerous", "not listed", "same plug")), "NO", "stop"),
        (seen(FITS, reasons("too high")), "YES", "good"),
        (seen(FITS, reasons("too high", "same plug")), "YES", "good"),
    ],
)
def test_the_answer(view: ChargeView, word: str, level: str) -> None:
    verdict = charge_page(view).verdict
    assert verdict is not None
    assert (verdict.word, verdict.level) == (word, level)
    assert verdict.text == "Skerry: charging, cells at 20 degC"
    assert json.loads(charge_json(view))["answered"] is (word == "YES")


@pytest.mark.parametrize(
    ("view", "lead"),
    [
        (seen(), ["YES  keel: counter, about 3 h 00 min."]),
        (
            seen(check="no", check_lines=("one.", "two.")),
            [
                "NO   one.",
                "two.",
                "Charge nothing before that is settled; what follows holds for afterwards.",
                "LATER  keel: counter, about 3 h 00 min.",
            ],
        ),
        (
            seen(check="not yet", check_lines=("one.",)),
            ["NOT YET  one.", "Charge nothing before", "LATER  keel: counter, about 3 h 00 min."],
        ),
        (seen(NO), ["NO   keel: no charger of this bike may go on it."]),
        (seen(UNDECIDED), ["NOT YET  keel: whether depot may go on it is not known."]),
        (seen(NO, UNDECIDED), ["NOT YET  keel: whether depot may go on it is not known."]),
        # what is not known of another pack says nothing of this one
        (seen(NO, Pairing("counter", "box", "not known", (), ())), ["NO   keel: no charger of this bike may"]),
        (seen(Pairing("counter", "keel", "yes", (), ())), ["YES  keel: counter; how long it takes is not known."]),
        (
            seen(Pairing("counter", "keel", "yes", (), (), TIMES._replace(end_fraction=0.96), 1.0)),
            ["YES  keel: counter, about 3 h 00 min, then it is 96 % charged and not full."],
        ),
        (
            seen(Pairing("counter", "keel", "yes", (), (), TIMES._replace(end_fraction=0.97), 1.0)),
            ["YES  keel: counter, about 3 h 00 min."],
        ),
        (seen(plans=(ALONE,)), ["YES  keel: counter, about 3 h 00 min."]),  # one pack needs no order
        (
            seen(FITS, BOX, packs=("keel", "box"), plans=(ALONE, PAIR)),
            [
                "YES  keel: counter, about 3 h 00 min.",
                "YES  box: depot, about 3 h 00 min.",
                "One pack at a time: 3 h 00 min in all, 1 plug change.",
            ],
        ),
        (seen(FITS, BOX, packs=("keel", "box"), plans=(PAIR,)), ["YES  keel", "YES  box", "in all, 0 plug changes."]),
        (
            seen(FITS, BOX, packs=("keel", "box"), plans=(ALONE._replace(turns=ALONE.turns[:1]),)),
            ["YES  keel", "YES  box", "3 h 00 min in all without box (through the joiner), 1 plug change."],
        ),
        (
            seen(FITS, packs=("keel", "box"), unserved=("box",), plans=(ALONE._replace(turns=ALONE.turns[:1]),)),
            ["YES  keel", "NO   box", "3 h 00 min in all, 1 plug change."],
        ),
    ],
)
def test_what_each_pack_is_charged_with(view: ChargeView, lead: list[str]) -> None:
    found = charge_page(view).lead
    assert len(found) == len(lead)
    for line, part in zip(found, lead, strict=True):
        assert part in line


def blocks(view: ChargeView) -> dict[str, Any]:
    return {each.heading: each for each in charge_page(view).blocks}


def pairs(view: ChargeView) -> Table:
    found = blocks(view)["Which charger goes on which pack"]
    assert isinstance(found, Table)
    return found


def test_the_table_of_pairs() -> None:
    """2 h to 80 %, 3 h to full, 10 and 20 min more with slow cells; 588 Wh from the mains; on a scale of 3 h."""
    table = pairs(seen(FITS, NO))
    assert table.rows == (
        ("counter", "keel", "YES", "2 h 00 min", "3 h 00 min", "+10 min, +20 min", "588 Wh"),
        ("depot", "keel", "NO", "", "", "", ""),
    )
    assert table.notes == ()
    assert table.scale is not None
    assert table.scale.ticks == "0, 1.5 and 3 h"
    bar = table.bars[0, 3]
    assert (bar.solid, bar.to, len(table.bars)) == (pytest.approx(2 / 3), pytest.approx(1.0), 1)
    later = pairs(seen(FITS, NO, check="not yet"))
    assert [row[2] for row in later.rows] == ["LATER", "NO"]
    assert pairs(seen(UNDECIDED)).rows[0][2] == "NOT KNOWN"
    never = TIMES._replace(mostly_s=None, end_fraction=0.7)
    short = pairs(seen(Pairing("counter", "keel", "yes", (), (), never)))
    assert short.rows[0][3:] == ("never", "3 h 00 min", "+20 min", "0 Wh")
    assert short.bars[0, 3].solid == pytest.approx(1.0)


def test_a_bike_without_chargers_says_so() -> None:
    bare = ChargeView("f", "S", seen().card, {}, (), 230.0)
    nothing = ChargingCard((), {}, 293.15, BANDS[2], (), (), (), (), {}, (), ())
    assert pairs(bare._replace(card=nothing)).notes == ("The file lists no charger.",)


@pytest.mark.parametrize(
    ("view", "why"),
    [
        (seen(), None),
        (seen(NO), ("depot on keel: puts out 58.8 V, the pack is full at 54.6 V.",)),
        (
            seen(NO, Pairing("depot", "box", "no", NO.reasons, ())),
            ("depot on keel and box: puts out 58.8 V, the pack is full at 54.6 V.",),
        ),
        (seen(UNDECIDED), ("depot on keel: not known: keel: series.",)),
        (
            seen(Pairing("counter", "keel", "yes", (), (), TIMES._replace(end_fraction=0.9))),
            ("counter on keel: done at 90 % of its charge, not full.",),
        ),
        (
            seen(Pairing("counter", "keel", "yes", (), (), missing=SERIES)),
            ("counter on keel: for the time keel: series is needed.",),
        ),
    ],
)
def test_why(view: ChargeView, why: tuple[str, ...] | None) -> None:
    found = blocks(view).get("Why")
    assert (found.lines if isinstance(found, Lines) else None) == why


def test_volts_of_a_cell_have_two_places() -> None:
    assert "4.70 V a cell, and 4.30 V is the most" in reason_words(Reason("dangerous", "no", 4.7, 4.3))
    assert "gives 4.7 A, the pack takes 4.3 A" in reason_words(Reason("too much current", "no", 4.7, 4.3))


def test_where_no_figure_is_on_file_none_is_told() -> None:
    assert "nothing on file says that LFP cells may be charged" in reason_words(
        Reason("warm: other cells", "no", other="LFP")
    )
    assert "which its own charging socket does not state" in reason_words(Reason("cold: own socket", "no"))


TWO: dict[str, Any] = {"packs": ("keel", "box")}


def test_the_order() -> None:
    table = blocks(seen(FITS, BOX, plans=(ALONE, PAIR), **TWO))["In what order"]
    assert table.rows == (
        ("one at a time", "3 h 00 min", "1", "counter: keel, then box"),
        ("2 at once", "2 h 30 min", "0", "counter: keel; depot: box"),
    )
    # 230 and 115 W are 345 W, 1.5 A at 230 V.
    assert table.notes[0].startswith("2 at once take 345 W from the mains, 1.5 A at 230 V:")
    assert table.notes[1:] == ("No pack is moved to another charger half way.",)
    assert blocks(seen(FITS, BOX, plans=(ALONE,), **TWO))["In what order"].notes == table.notes[1:]
    found = blocks(seen(FITS, BOX, plans=(PAIR._replace(exact=False), ALONE), **TWO))["In what order"]
    assert "There are too many ways to try them all: the best that was found." in found.notes
    part = ALONE._replace(turns=ALONE.turns[:1])
    assert (
        "These are without box (through the joiner)."
        in blocks(seen(FITS, BOX, plans=(part,), **TWO))["In what order"].notes
    )
    assert "In what order" not in blocks(seen(plans=(ALONE,)))
    assert "In what order" not in blocks(seen(FITS, BOX, **TWO))


def test_one_at_a_time_on_two_chargers_goes_pack_by_pack() -> None:
    turns = (Turn("keel", "counter", 0.0, 1.0), Turn("box", "depot", 1.0, 2.0))
    table = blocks(seen(FITS, BOX, plans=(ALONE._replace(turns=turns),), **TWO))["In what order"]
    assert table.rows[0][3] == "keel on counter, then box on depot"


def test_charging_through_a_joiner() -> None:
    course = PortCourse(
        (PortPhase(0.0, 3600.0, ("box",)), PortPhase(3600.0, 7200.0, ("box", "keel"))),
        1.0,
        (("box", 7000.0), ("keel", 7200.0)),
        7200.0,
        1.0,
    )
    table = blocks(seen(ports=(PortLine("counter", "yoke", course, 588 * WH),)))["Through the joiner"]
    assert table.rows == (("0 s to 1 h 00 min", "box"), ("1 h 00 min to 2 h 00 min", "box and keel"))
    assert table.notes[1] == "Done: box after 1 h 56 min, keel after 2 h 00 min; 588 Wh from the mains."


def advice(view: ChargeView) -> str:
    return " ".join(blocks(view)["Advice"].lines)


@pytest.mark.parametrize(("celsius", "warned"), [(20.0, False), (40.0, False), (40.5, True), (44.0, True)])
def test_above_40_degc_public_advice_is_against_it(celsius: float, warned: bool) -> None:
    assert ("public advice is not to charge" in advice(seen(temperature_k=273.15 + celsius))) is warned


def test_packs_that_are_tied_are_charged_as_one() -> None:
    tied = seen(joined=(("keel", "box"),))
    assert "keel and box are plainly joined" in advice(tied)
    bonded = advice(seen(joined=(("keel", "box"),), bonded=(("keel", "box", "bag"),)))
    assert "keel and box and bag are joined for good" in bonded
    assert "plainly joined" not in bonded
    assert "keel and box are plainly joined" in advice(seen(joined=(("keel", "box"),), bonded=(("keel", "bag"),)))


def test_a_card_as_json() -> None:
    data = json.loads(charge_json(seen(FITS, UNDECIDED, plans=(PAIR,), **TWO)))
    # Bands of JEITA: none below 0 degC, half to 10, all to 45, 4.15 V a cell to 50, none above.
    assert [(round(each["from_k"]), each["to_k"], each["current_share"]) for each in data["limits"]] == [
        (0, 273.15, 0.0),
        (273, 283.15, 0.5),
        (283, 318.15, 1.0),
        (318, 323.15, 1.0),
        (323, None, 0.0),
    ]
    assert [each["charger"] for each in data["packs"]] == ["counter", None]
    assert [(each["to_80_s"], each["full_s"], each["asks"]) for each in data["pairs"]] == [
        (7200.0, 10800.0, []),
        (None, None, ["keel: series"]),
    ]
    assert data["plans"][0]["mains_w"] == 345.0


BIKE = edited("skerry-long-tail")


def assumed(text: str = BIKE, **typed: str) -> str:
    return "; ".join(charge_view(build_of(text), **typed).assumed)


def test_what_a_card_takes_for_granted() -> None:
    build = build_of(BIKE)
    first, second = [*build.packs][:2]
    assert "cells at 20 degC" in assumed()
    assert "cells at 20 degC" not in assumed(cold="15 degC")
    assert f"{first} and {second}: from empty" in assumed()
    assert f"{second}: from empty" in assumed(start=f"{first}=50")
    assert f"{first} and" not in assumed(start=f"{first}=50")
    assert "from empty" not in assumed(start=f"{first}=50,{second}=50")
    assert "85 % of what they take" in assumed()
    every = {f"chargers.{name}.mains_power": "250 W" for name in build.chargers}
    assert "85 % of what they take" not in assumed(edited("skerry-long-tail", every))
    assert "cut_off" not in assumed(edited("skerry-long-tail", drop=[f"packs.{first}.cut_off"]))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"cold": "-51 degC"}, "between -50 degC and 70 degC"),
        ({"cold": "71 degC"}, "between -50 degC and 70 degC"),
        ({"packs": "keel", "start": "pannier=50"}, "pannier: a state is given, but --packs leaves it out"),
        ({"chargers": "countr"}, "no charger called"),
    ],
)
def test_what_cannot_be_typed(typed: dict[str, str], said: str) -> None:
    with pytest.raises(WrongInput, match=said):
        charge_view(build_of(BIKE), **typed)


@pytest.mark.parametrize("cold", ["-50 degC", "70 degC"])
def test_the_coldest_and_the_warmest_are_still_read(cold: str) -> None:
    assert charge_view(build_of(BIKE), cold=cold).card.temperature_k > 200.0


def through(*full_s: tuple[str, float]) -> PortLine:
    names = tuple(name for name, _ in full_s)
    return PortLine("porch", "yoke", PortCourse((PortPhase(0.0, 3600.0, names),), 1.0, full_s, 9000.0, 1.0), WH)


BOTH = through(("keel", 7200.0), ("box", 9000.0))
IN_ALL = "porch in yoke, keel and box plugged in: 2 h 30 min in all."


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"ports": (BOTH,)}, [IN_ALL]),
        ({"ports": (BOTH,), "plans": (ALONE,)}, ["One pack at a time with counter: 3 h 00 min in all", IN_ALL]),
        ({"ports": (BOTH,), "plans": (PAIR,)}, ["One pack at a time with counter and depot: ", IN_ALL]),
        ({"plans": (ALONE,)}, ["One pack at a time: 3 h 00 min in all"]),
        ({"ports": (through(("keel", 7200.0)),)}, []),
        ({"ports": (BOTH,), "units": (("keel", "box"),)}, []),
    ],
)
def test_what_all_packs_take_through_a_joiner_stands_beside_what_they_take_in_turn(
    more: dict[str, Any], told: list[str]
) -> None:
    lead = [each for each in charge_page(seen(FITS, BOX, packs=("keel", "box"), **more)).lead if "in all" in each]
    assert len(lead) == len(told)
    for line, part in zip(lead, told, strict=True):
        assert line.startswith(part)
