"""What a route's page says: ways made by hand, one fact at a time."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.analysis.ride.on_route import Along, Column, PackAlong, Stretch
from packyoke.analysis.ride.pieces import Piece, Route
from packyoke.analysis.ride.reach_on_route import Routed
from packyoke.answers.range.route_page import RouteView, heights_m, route_json, route_page
from packyoke.page.page import Figure, Lines, Table
from tests.report.test_range_words import estimate

WH = 3600.0
KEEL = PackAlong("keel", 0.0, None, "", 1.0, 0.5, 250 * WH, 0.7, 10.0)
BOX = PackAlong("box", 500.0, None, "", 1.0, 0.8, 100 * WH, 0.3, 5.0)
RUN = Along(
    (KEEL, BOX),
    (Column(0.0, 500.0, (1.0, 0.0), (0.7, 1.0)), Column(500.0, 1000.0, (0.6, 0.4), (0.5, 0.8))),
    (Stretch(0.0, 500.0, ("keel",)), Stretch(500.0, 1000.0, ("keel", "box"))),
    {},
    1000.0,
    1000.0,
    600.0,
    "arrived",
    0.65,
    None,
    340 * WH,
    10 * WH,
    20.0,
    100.0,
    (),
)
HILL = (Piece(0.0, 500.0, 0.02), Piece(500.0, 500.0, -0.01))  # 10 m up, 5 m down
ROUTE = Route("a way", "ways/a.gpx", 1, HILL, 1000.0, 10.0, 5.0, 12.0, 0.0, 0.0, 0.0, None, None)
ROUTED = Routed(("keel", "box"), estimate(), RUN, RUN, True)


def routed(careful: Any = None, likely: Any = None, **more: Any) -> Routed:
    return ROUTED._replace(careful=replace(RUN, **(careful or {})), likely=replace(RUN, **(likely or {})), **more)


def seen(found: Routed | NoRundown = ROUTED, *, route: Route = ROUTE, **more: Any) -> RouteView:
    told: dict[str, Any] = {"system": "metric", "assumed": ()}
    sets = more.pop("sets", ((("keel", "box"), found),))
    return RouteView("f.yaml", "Skerry", "everyday", route, sets, **{**told, **more})


ENDED = {"ended": "controller cuts", "reached_m": 700.0}
REFUSED = NoRundown("no curve", "packs.box", "")


@pytest.mark.parametrize(
    ("view", "word", "answered"),
    [
        (seen(), None, True),
        (seen(routed(ENDED)), "NO", False),
        (seen(routed(None, ENDED)), None, True),  # the careful figure counts
        (seen(sets=((("box",), REFUSED), (("keel",), ROUTED))), None, True),
        (seen(check="no", refused="stopped."), "STOP", False),
        (seen(check="not yet", refused="open."), "OPEN", False),
    ],
)
def test_the_answer(view: RouteView, word: str | None, answered: bool) -> None:
    page = route_page(view)
    assert (page.verdict.word if page.verdict else None) == word
    assert json.loads(route_json(view))["answered"] is answered
    assert (page.lead[0] == view.refused) is bool(view.refused)
    assert page.title == "Skerry: a.gpx, ride everyday"


@pytest.mark.parametrize(
    ("view", "lead"),
    [
        (seen(), ["1.0 km, 10 m up and 5 m down, about 10 min on the move.", "It takes 350 Wh, likely."]),
        (seen(system="us"), ["0.6 mi, 33 ft up and 16 ft down, about 10 min on the move.", "It takes 350 Wh, likely."]),
        (seen(route=replace(ROUTE, climb_m=None)), ["1.0 km, climb not known, about 10 min", "It takes"]),
        (seen(route=replace(ROUTE, descent_m=None)), ["1.0 km, climb not known, about 10 min", "It takes"]),
        (seen(routed(None, ENDED)), ["1.0 km, 10 m up"]),  # what the whole way takes is not known
        (
            seen(routed(heights_known=False), route=replace(ROUTE, without_elevation_fraction=0.25)),
            ["1.0 km", "It takes", "25 % of it has no heights:"],
        ),
        (seen(route=replace(ROUTE, doubtful_m=40.0)), ["1.0 km", "It takes", "40 m of it are steeper than any road"]),
        (
            seen(route=replace(ROUTE, between_m=51.0, segment_count=3)),
            ["1.0 km", "It takes", "Its 3 parts lie 0.1 km apart"],
        ),
        (seen(route=replace(ROUTE, between_m=50.0)), ["1.0 km", "It takes"]),
    ],
)
def test_the_way(view: RouteView, lead: list[str]) -> None:
    found = route_page(view).lead
    assert len(found) == len(lead)
    for line, part in zip(found, lead, strict=True):
        assert line.startswith(part)


def blocks(view: RouteView) -> dict[str, Any]:
    return {each.heading: each for each in route_page(view).blocks}


def test_what_is_left_with_each_set() -> None:
    sets = (
        (("keel", "box"), ROUTED),
        (("box",), REFUSED),
        (("keel",), routed(ENDED)),
        (("bag",), routed(None, ENDED)),
        (("x",), routed({"ended": "no pack left", "reached_m": 10.0}, {"ended": "cannot deliver", "reached_m": 20.0})),
    )
    table = blocks(seen(sets=sets, system="metric"))["What is left"]
    assert isinstance(table, Table)
    assert table.rows == (
        ("keel + box", "65 % left", "65 % left"),
        ("box", "not known", "box: no open-circuit curve of its chemistry is on file"),
        ("keel", "ends at 0.7 km: the controller cuts", "65 % left"),
        ("bag", "65 % left", "ends at 0.7 km: the controller cuts"),
        ("x", "ends at 0.0 km: the last pack drops out", "ends at 0.0 km: the packs cannot give what the way asks"),
    )
    assert {at: (round(bar.solid, 3), round(bar.to, 3)) for at, bar in table.bars.items()} == {(0, 1): (0.65, 0.65)}


def test_who_carries_where() -> None:
    found = blocks(seen())["Who carries where"]
    assert isinstance(found, Lines)
    assert found.lines == (
        "0.0 km to 0.5 km:  keel",
        "0.5 km to 1.0 km:  keel + box",
        "left at the end: keel 50 %, box 80 %",
    )
    downhill = routed(None, {"stretches": (Stretch(0.0, 1000.0, ()),)})
    assert blocks(seen(downhill))["Who carries where"].lines[0].endswith("nobody: downhill")


def chart(view: RouteView) -> list[str]:
    figure = blocks(view)["The way"]
    assert isinstance(figure, Figure)
    return [*figure.text]


def inside(line: str) -> str:
    return line[line.index("|") + 1 : line.rindex("|")]


def test_the_profile_in_tenths() -> None:
    """48 columns of 20.8 m: the first 24 up to 10 m, the highest, the others down to 5 m, half of it; keel carries all
    of the first half and 6 tenths of the second."""
    height, keel, box, scale = chart(seen())
    assert inside(height) == "9" * 24 + "4" * 24
    assert height.endswith("10 m")
    assert (inside(keel), inside(box)) == ("9" * 24 + "5" * 24, "0" * 24 + "4" * 24)
    assert scale.endswith("1.0 km")
    short = routed(None, {"columns": RUN.columns[:1]})
    assert inside(chart(seen(short))[1]) == "9" * 24 + " " * 24  # no further than the packs go
    flat = replace(ROUTE, pieces=(HILL[0], HILL[1]._replace(grade_fraction=None)))
    assert inside(chart(seen(route=flat))[0]) == "9" * 24 + "?" * 24
    unknown = replace(ROUTE, pieces=tuple(each._replace(grade_fraction=None) for each in HILL))
    assert inside(chart(seen(route=unknown))[0]) == "?" * 48


@pytest.mark.parametrize(("letters", "short"), [(14, False), (15, False), (16, False), (40, True)])
def test_a_long_name_goes_by_its_number(letters: int, short: bool) -> None:
    name = "k" * letters
    lines = chart(seen(routed(None, {"packs": (KEEL._replace(name=name), BOX)})))
    assert any("pack 1" in line for line in lines) is short
    assert any(line.strip().startswith(f"pack 1: {name}") for line in lines) is short
    assert all(len(line) <= 80 for line in lines)
    assert "box" in "".join(lines)
    assert "pack 2" not in "".join(lines)


def test_heights_along_the_way() -> None:
    assert heights_m(ROUTE) == [(0.0, 0.0), (500.0, 10.0), (1000.0, pytest.approx(5.0))]
    part = replace(ROUTE, pieces=(HILL[0]._replace(grade_fraction=None), HILL[1]))
    assert heights_m(part) == [(0.0, 0.0), (500.0, None), (1000.0, pytest.approx(-5.0))]


def drawn(view: RouteView) -> list[str]:
    figure = blocks(view)["The way"]
    assert isinstance(figure, Figure)
    return ["".join(each.itertext()) for each in figure.drawings]


def test_drawings_of_a_way() -> None:
    height, charge = drawn(seen())
    assert "Height above the start" in height
    assert "km" in charge
    assert "miles" not in charge
    miles = drawn(seen(system="us"))
    assert "miles" in miles[0]
    assert "miles" in miles[1]
    assert "ft" in miles[0]
    unknown = replace(ROUTE, pieces=tuple(each._replace(grade_fraction=None) for each in HILL))
    assert len(drawn(seen(route=unknown))) == 1
    # 1 km is 0.6 miles: the ticks of the axis say so
    assert "0.6" in miles[1]
