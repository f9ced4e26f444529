"""Charts that are read without colour: no two lines alike, names whole and apart, limits and marks in their places."""

from __future__ import annotations

from itertools import combinations
from xml.etree import ElementTree as ET

from hypothesis import given
from hypothesis import strategies as st

from packyoke.page.chart import GRID, Axis, LimitLine, Line, Moment, line_chart
from tests.page.test_wiring import apart, texts

NAMES = st.sampled_from(("keel", "the big pack in the left bag of the carrier", "W" * 40, "\u8377\u53f0"))


@st.composite
def lines(draw: st.DrawFn) -> list[Line]:
    count = draw(st.integers(1, 7))
    return [
        Line(f"{draw(NAMES)} {at}", [(0.0, 50.0 + at), (3600.0, draw(st.floats(-10.0, 58.0)))]) for at in range(count)
    ]


def chart(drawn: list[Line], marks: int = 0, limits: tuple[LimitLine, ...] = ()) -> ET.Element:
    moments = [Moment(3600.0 * (at / 40) ** 2, str(at + 1)) for at in range(marks)]
    hours = Axis("hours", 1 / 3600)
    return line_chart("Voltage", "words", hours, Axis("V"), drawn, moments, limits, below="being charged")


@given(lines(), st.integers(0, 12))
def test_names_and_marks_stay_whole_and_apart(drawn: list[Line], marks: int) -> None:
    svg = chart(drawn, marks)
    for each in svg.iter("text"):
        each.set("font-size", "12")
    found = [each for each in texts(svg) if each.words]
    names = [each for each in found if each.left > 550.0]
    lane = [each for each in found if each.bottom < 22.0 and 40.0 < each.left < 560.0]
    for group in (names, lane):
        assert all(apart(one[:4], other[:4]) for one, other in combinations(group, 2))
    assert len(lane) == marks
    assert max(each.right for each in found) <= 700.0
    assert max(each.bottom for each in found) <= float(svg.get("height", "0"))
    shown = "".join(each.words for each in names).replace(" ", "")
    assert all(line.name.replace(" ", "") in shown for line in drawn)


def test_no_two_of_two_dozen_lines_have_one_dash() -> None:
    svg = chart([Line(f"pack {at}", [(0.0, 40.0 + at), (60.0, 39.0 + at)]) for at in range(24)])
    dashes = [each.get("stroke-dasharray", "") for each in svg.iter("polyline") if each.get("stroke-width") == "2"]
    assert len({*dashes}) == 24


def test_lines_that_lie_on_each_other_are_named_together() -> None:
    points = [(0.0, 50.0), (60.0, 40.0)]
    svg = chart([Line("north", points), Line("south", points), Line("box", [(0.0, 51.0), (60.0, 41.0)])])
    told = {each.text for each in svg.iter("text")}
    assert {"north, south", "box"} <= told


def test_lines_that_cannot_be_told_apart_are_named_together() -> None:
    """Less than the width of a line from each other on a scale of 40 to 60 V: 180 units of height."""
    one = [(0.0, 60.0), (60.0, 40.0)]
    svg = chart(
        [Line("north", one), Line("south", [(0.0, 59.9), (60.0, 40.0)]), Line("box", [(0.0, 59.5), (60.0, 40.0)])]
    )
    told = {each.text for each in svg.iter("text")}
    assert {"north, south", "box"} <= told


def test_limits_are_labelled_and_what_is_below_zero_is_shaded() -> None:
    svg = chart([Line("keel", [(0.0, 5.0), (60.0, -3.0)])], limits=(LimitLine(4.0, "fuse of keel, 4 A"),))
    told = {each.text for each in svg.iter("text")}
    assert {"fuse of keel, 4 A", "being charged"} <= told
    labels = [each for each in svg.iter("text") if each.get("text-anchor") == "end" and (each.text or "").isdigit()]
    zero = next(float(each.get("y", "")) for each in labels if each.text == "0")
    dotted = [each for each in svg.iter("polyline") if each.get("stroke-dasharray") == GRID]
    below = [each for each in dotted if float(each.get("points", "").split()[0].split(",")[1]) > zero]
    assert len(below) > 5
    dry = chart([Line("keel", [(0.0, 5.0), (60.0, 3.0)])])
    assert "being charged" not in {each.text for each in dry.iter("text")}


def test_the_words_of_a_limit_stand_where_the_lines_are_far_from_it() -> None:
    falling = [Line("keel", [(0.0, 58.0), (60.0, 44.0)])]
    cuts = next(each for each in chart(falling, limits=(LimitLine(43.0, "cuts"),)).iter("text") if each.text == "cuts")
    full = next(each for each in chart(falling, limits=(LimitLine(58.8, "full"),)).iter("text") if each.text == "full")
    assert (cuts.get("text-anchor"), full.get("text-anchor")) == ("start", "end")


def test_names_of_lines_stay_above_the_axis_where_they_fit() -> None:
    """Lines that all end at the bottom: a name below the axis would stand on its figures."""
    svg = chart([Line(name, [(0.0, 50.0 + at), (3600.0, 0.0 + at / 10)]) for at, name in enumerate("abc")])
    low = max(float(each.get("y", "0")) for each in svg.iter("text") if each.text in "abc")
    axis = next(float(each.get("y", "0")) for each in svg.iter("text") if each.text == "hours")
    assert low < axis - 17.0
