"""Fewer places to work through: which are left, that all has room there, and that a layout there is one of the bike."""

from __future__ import annotations

from random import Random

import pytest

from packyoke.planning import nearby
from packyoke.planning.layout import Layout
from packyoke.planning.nearby import thinned
from packyoke.planning.search import Search
from tests.planning.bikes import bike, build_of, joiner, pack, random_bike
from tests.planning.test_many_packs import WIDE, layout_of


def street(holds: int = 1, joiners: int = 1, at: str = "") -> Layout:
    """Places in a row, 100 mm apart, from the packs at the one end to the controller at the other; some lie off it.

    at: where the joiners are, if the file says so
    """
    row = ["packs", "near", "middle", "far", "load"]
    aside = ["attic", "cellar"]
    places = dict.fromkeys([*row, *aside], f"{{holds: {holds}, mount: frame metal}}")
    runs = [*zip(row, row[1:], [100] * 4, strict=False), ("packs", "attic", 900), ("load", "cellar", 900)]
    return layout_of(
        build_of(
            bike(
                {"a": pack("packs"), "b": pack("packs"), "c": pack("packs")},
                {f"j{n}": joiner()[:-1] + (f", place: {at}}}" if at else "}") for n in range(joiners)},
                places,
                runs,
                at="load",
            )
        ),
        None,
    )


def left(layout: Layout) -> set[str]:
    return {put.place for put in layout.puts}


def test_as_many_as_can_be_worked_through_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    layout = street()
    monkeypatch.setattr(nearby, "MOST_SITES", len(layout.puts))
    assert thinned(layout) is layout
    monkeypatch.setattr(nearby, "MOST_SITES", len(layout.puts) - 1)
    assert thinned(layout) is not layout


def test_what_lies_between_the_packs_and_the_load_stays_and_what_lies_off_goes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nearby, "MOST_SITES", 5)
    layout = street()
    few = thinned(layout)
    assert left(few) == {"packs", "near", "middle", "far", "load"}
    # Where a place is known to be good it stays, wherever it lies.
    assert "attic" in left(thinned(layout, ["attic"]))
    # The sites are those of the places, and the whole bike is as it was.
    assert len(few.puts) == len(few.problem.sites) == 5
    assert left(layout) == {"packs", "near", "middle", "far", "load", "attic", "cellar"}


def test_there_is_room_for_all_joiners_that_it_takes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nearby, "MOST_SITES", 1)
    few = thinned(street(joiners=2))
    assert few.joiners_needed() == 2
    assert few.room() == 3
    assert len(left(few)) == 3
    assert len(left(thinned(street(joiners=2, holds=3)))) == 1


def test_a_place_that_a_joiner_of_the_file_is_at_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nearby, "MOST_SITES", 1)
    assert "cellar" not in left(thinned(street()))
    assert "cellar" in left(thinned(street(at="cellar")))


@pytest.mark.parametrize("seed", range(4))
def test_a_layout_of_fewer_places_is_a_layout_of_the_bike(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """It costs the same there, and never less than the best of all places."""
    monkeypatch.setattr(nearby, "MOST_SITES", 8)
    layout = layout_of(build_of(random_bike(Random(seed), 3, 8, joiner_kinds=0, holds=2), WIDE), WIDE)
    few = thinned(layout)
    assert 8 <= len(few.puts) < len(layout.puts)
    best, found = Search(layout.problem).run(first_only=True), Search(few.problem).run(first_only=True)
    assert best is not None
    assert found is not None
    assert found.best.score >= best.best.score
    kept = [number for number, put in enumerate(layout.puts) if put.place in left(few)]
    count = len(layout.spots)
    for at, number in enumerate(kept):
        assert few.puts[at] == layout.puts[number]
        assert few.problem.sites[at] == layout.problem.sites[number]
        for node in range(count):
            assert few.problem.wires(node, count + at, 0) == layout.problem.wires(node, count + number, 0)
