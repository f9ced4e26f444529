"""Lines of a file that hang on each other: what is taken, and one step beyond it what is told."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.support import edited

READING = {"date": "2026-11-20", "part": "packs.keel", "what": "voltage", "value": "54 V"}


def read(put: dict[str, Any], drop: tuple[str, ...] = ()) -> Build | str:
    """The build, or what is told of its first mistake."""
    found = load(edited("skerry-long-tail", put, drop), "x.yaml")
    return found if isinstance(found, Build) else f"{found[0].message}. {found[0].do}"


TAKEN: list[tuple[dict[str, Any], tuple[str, ...]]] = [
    ({"leads.keel lead.inlet": "1", "leads.pannier lead.inlet": "2"}, ()),
    ({"joiners.yoke.drop": "0.1 V at 20 A"}, ("joiners.yoke.resistance",)),
    ({"joiners.yoke.inlets": ["XT90 pin", "XT60 pin"]}, ()),
    ({"recheck": "2027-05"}, ()),
    ({"recheck": "2027-05-31"}, ()),
    ({"measured": [READING]}, ()),
    ({"sets": [["keel"], ["keel", "pannier"]]}, ()),
    ({"leads.keel lead.from": "Keel"}, ()),
    (
        {
            "packs.third": {"like": "KEEL"},
            "joiners.yoke.inputs": "3",
            "leads.third lead": {"from": "third", "to": "yoke"},
        },
        (),
    ),
]


@pytest.mark.parametrize(("put", "drop"), TAKEN)
def test_what_goes_together_is_taken(put: dict[str, Any], drop: tuple[str, ...]) -> None:
    assert isinstance(read(put, drop), Build), read(put, drop)


TOLD: list[tuple[dict[str, Any], str, str]] = [
    ({"leads.keel lead.inlet": "3"}, "yoke has no inlet 3", "It has 1 to 2. If it has more:  inputs: 3  at yoke."),
    ({"joiners.yoke.drop": "0.1 V at 20 A"}, "resistance and drop together", "Write one of the two."),
    ({"joiners.yoke.inlets": ["XT90 pin"]}, "1 inlets for 2 inputs", "a list with one for each input"),
    ({"joiners.yoke.inlets": ["XT90 pin"] * 3}, "3 inlets for 2 inputs", "a list with one for each input"),
    ({"recheck": "2027-13"}, '"2027-13" is no date', "Write for example"),
    ({"recheck": "2027-02-30"}, '"2027-02-30" is no date', "Write for example"),
    ({"measured": [{**READING, "date": "2026-11"}]}, '"2026-11" is no date', "Write for example"),
    ({"measured": [{**READING, "inlet": "1"}]}, "packs.keel has no inlets", "Only a joiner has inlets"),
    ({"sets": [["keel"], []]}, "an empty set", "Name one pack at least."),
    ({"sets": ["keel"]}, "a list of lists is needed", "Write for example"),
    ({"leads.keel lead.from": "kel"}, 'no part called "kel"', "Did you mean  keel ?"),
    ({"leads.keel lead.from": "controller"}, '"controller" is', "Here"),
    ({"packs.third": {"like": "third"}}, "like itself", "Name another one."),
    ({"packs.third": {"like": "kell"}}, 'no pack called "kell"', "There are: keel, pannier.  Did you mean  keel ?"),
    ({"packs.third": {"like": "xyz"}}, 'no pack called "xyz"', "There are: keel, pannier."),
    ({"packs.keel.outlet": "XT6O socket"}, "XT6O", "XT60"),
]


@pytest.mark.parametrize(("put", "message", "do"), TOLD)
def test_what_does_not_go_together_is_told(put: dict[str, Any], message: str, do: str) -> None:
    told = read(put)
    assert isinstance(told, str)
    assert message in told
    assert do in told


def test_what_is_not_near_is_not_offered() -> None:
    told = read({"packs.third": {"like": "xyz"}})
    assert isinstance(told, str)
    assert "Did you mean" not in told


def test_a_set_that_is_there_again_says_nothing_new() -> None:
    found = read({"sets": [["keel", "pannier"], ["keel"], ["pannier", "keel"]]})
    assert isinstance(found, Build)
    assert found.sets == (("keel", "pannier"), ("keel",))


@pytest.mark.parametrize(
    ("drop", "known"),
    [("20 mV at 1 A", False), ("30 mV at 1 A", False), ("31 mV at 1 A", True), ("0.2 V at 20 A", True)],
)
def test_a_drop_that_an_ideal_diode_holds_by_itself_is_no_resistance(drop: str, known: bool) -> None:
    """Controllers for ideal diodes hold some 20 mV at small currents, whatever the transistor's resistance."""
    found = read({"joiners.yoke.drop": drop}, ("joiners.yoke.resistance",))
    assert isinstance(found, Build)
    assert (found.joiners["yoke"].resistance_ohm is not None) is known
    assert any("tells no resistance" in each.text for each in found.stated) is not known
