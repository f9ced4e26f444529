"""Why a search found nothing: the first thing that stands in the way, by tables."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.planning.layout import Layout
from packyoke.planning.result import NoPlan, Obstacle, Refusal
from packyoke.planning.stuck import homeless, why_stuck


def stuck(
    *,
    ways: tuple[str, ...] = ("bed", "tube"),
    slots: int = 1,
    put: bool = True,
    placed: bool = True,
    unfit: tuple[tuple[str, str], ...] = (),
    kinds: bool = True,
    needed: int = 1,
    room: int = 1,
    led: tuple[int, ...] = (0, 1, 2),
    blocked: tuple[int, ...] = (),
) -> Any:
    """Two packs at bed and tube, a joiner y; `led`: nodes from which some lead can be made."""
    spots = [SimpleNamespace(name=name, place=place) for name, place in (("a", "bed"), ("b", "tube"))]
    kind = SimpleNamespace(names=("y",))
    joiner = SimpleNamespace(path="joiners.y")
    puts = [SimpleNamespace(kind=kind if placed else SimpleNamespace(names=()), joiner=joiner)] if put else []
    problem = SimpleNamespace(
        node_count=lambda: 2 + len(puts), wires=lambda node, target, inlet: ["w"] if node in led else []
    )
    return SimpleNamespace(
        spots=spots,
        root_place="motor",
        ways={(each, "motor"): None for each in ways},
        topology=SimpleNamespace(root_slots=slots),
        puts=puts,
        kinds=[kind] if kinds else [],
        build=SimpleNamespace(joiners={"y": joiner}),
        unfit=[Obstacle("r", part, message) for part, message in unfit],
        joiners_needed=lambda: needed,
        room=lambda: room,
        problem=problem,
        blocked={node: [Obstacle("r", "x", f"blocked {node}")] if node in blocked else [] for node in range(4)},
    )


@pytest.mark.parametrize(
    ("case", "said"),
    [
        ({"ways": ("tube",)}, "no run leads from bed to motor"),
        ({"ways": ()}, "no run leads from bed to motor and tube to motor"),
        ({"put": False, "unfit": (("joiners.z", "hot"),)}, "hot"),
        ({"put": False, "kinds": False}, "there is no joiner to bring the packs together with"),
        ({"put": False}, "no place has room and a fitting mount for a joiner"),
        # Of what stands against joiners that of the one that finds no place.
        ({"placed": False, "unfit": (("joiners.z", "hot"), ("joiners.y", "small"))}, "small"),
        ({"placed": False, "unfit": (("joiners.z", "hot"),)}, "no place has room and a fitting mount for it"),
        ({"needed": 2, "room": 1}, "2 joiners are needed, and the places have room for 1"),
        ({"needed": 2, "room": 2}, "the joiners that there are cannot bring all packs together"),
        ({"led": (1, 2), "blocked": (0,)}, "blocked 0"),
        ({"led": (0, 2)}, "no lead can be made from its outlet"),
        ({"blocked": (2,)}, "blocked 2"),
        # Packs that all go into a joiner that is there need none.
        ({"slots": 2, "put": False}, "the joiners that there are cannot bring all packs together"),
        ({"slots": 1, "put": False}, "no place has room"),
    ],
)
def test_what_stands_in_the_way(case: dict[str, Any], said: str) -> None:
    found = why_stuck(cast(Layout, stuck(**case)))
    text = found.text if isinstance(found, Refusal) else found.constraint
    assert text.startswith(said)
    assert isinstance(found, Refusal) is said.startswith("no run")
    if said == "no lead can be made from its outlet":
        assert isinstance(found, NoPlan)
        assert found.part == "packs.b"


def test_joiners_that_no_place_will_do_for() -> None:
    assert homeless(cast(Layout, stuck())) == []
    assert homeless(cast(Layout, stuck(placed=False))) == ["y"]
