"""Lines of a file that hang on each other: what is taken, and one step beyond it what is told."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.support import edited

READING = {"date": "2026-11-20", "part": "packs.keel", "what": "voltage", "value": "54 V"}

FUSE = {"family": "class T", "rating": "40 A", "voltage": "160 V"}


def read(put: dict[str, Any], drop: tuple[str, ...] = ()) -> Build | str:
    """The build, or what is told of its first mistake."""
    found = load(edited("skerry-long-tail", put, drop), "x.yaml", today="2026-11-25")
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
    ({"packs.keel.discharge": {"continuous": "40 A", "peak": "40 A for 10 s"}}, ()),
    ({"joiners.yoke.current": {"continuous": "40 A", "peak": "40 A for 10 s"}}, ()),
    ({"controller.battery_current": {"limit": "25 A", "adjustable_to": "25 A", "falls_to": "25 A after 60 s"}}, ()),
    ({"controller.battery_current": {"limit": "25 A", "adjustable_to": "30 A", "falls_to": "30 A after 60 s"}}, ()),
    ({"leads.main lead.fuse": FUSE | {"at": "300 mm"}}, ()),
    ({"packs.keel.tested_capacity": "24 Ah"}, ()),
    ({"packs.keel.tested_capacity": "24.1 Ah"}, ("packs.keel.capacity",)),
    ({"chargers.counter.mains_power": "230.5 W"}, ()),
    ({"chargers.counter.mains_power": "230.4 W"}, ("chargers.counter.current",)),
    ({"measured": [{**READING, "date": "2026-11-25"}]}, ()),
    ({"leads.main lead.fuse": FUSE | {"at": "301 mm"}}, ("leads.main lead.length",)),
    ({"places": {"back": {"rack": "rear"}}, "packs.pannier.place": "back"}, ()),
    ({"places": {"frame": {}}, "packs.pannier.place": "frame"}, ()),
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
    (
        {"packs.keel.discharge": {"continuous": "40 A", "peak": "39.9 A for 10 s"}},
        "peak 39.9 A is below continuous 40 A",
        "Swap the two",
    ),
    (
        {"joiners.yoke.current": {"continuous": "40 A", "peak": "39.9 A for 10 s"}},
        "peak 39.9 A is below continuous 40 A",
        "Swap the two",
    ),
    (
        {"controller.battery_current": {"limit": "25 A", "adjustable_to": "24.9 A"}},
        "adjustable_to 24.9 A is below limit 25 A",
        "Where that is not higher take the line out.",
    ),
    (
        {"controller.battery_current": {"limit": "25 A", "falls_to": "25.1 A after 60 s"}},
        "limit 25 A is below falls_to 25.1 A",
        "Swap the two",
    ),
    (
        {"controller.battery_current": {"limit": "25 A", "adjustable_to": "30 A", "falls_to": "30.1 A after 60 s"}},
        "adjustable_to 30 A is below falls_to 30.1 A",
        "Swap the two",
    ),
    (
        {"leads.main lead.fuse": FUSE | {"at": "301 mm"}},
        "301 mm along a lead of 300 mm",
        "Measure from the end where the current comes from",
    ),
    (
        {"packs.keel.tested_capacity": "24.1 Ah"},
        "tested with 24.1 Ah, where 20 Ah are marked",
        "A pack holds hardly more than is marked on it.",
    ),
    (
        {"packs.keel.mass": "3.35 kg"},  # 14 x 3.6 V x 20 Ah
        "3.35 kg for 1008 Wh",
        "No pack holds more than 300 Wh in a kilogram.",
    ),
    (
        {"chargers.counter.mains_power": "230.4 W"},
        "230 W from the mains for 235 W at its output",
        "It takes more than it gives.",
    ),
    (
        {"measured": [{**READING, "date": "2026-11-26"}]},
        "2026-11-26 has not come: today is 2026-11-25",
        "Write the day",
    ),
    (
        {"places": {"back": {"rack": "rear"}}, "packs.keel.place": "back"},
        "rack none, where its place back is on rack rear",
        "Write  rack: rear",
    ),
]


@pytest.mark.parametrize(("put", "message", "do"), TOLD)
def test_what_does_not_go_together_is_told(put: dict[str, Any], message: str, do: str) -> None:
    told = read(put)
    assert isinstance(told, str)
    assert message in told
    assert do in told


@pytest.mark.parametrize(
    ("put", "drop"),
    [
        ({"packs.keel.mass": "3.36 kg"}, ()),  # 14 x 3.6 V x 20 Ah are 300 Wh a kilogram
        ({"packs.keel.mass": "0.5 kg ?"}, ()),  # a guess is none
        ({"packs.keel.mass": "0.5 kg", "packs.pannier.chemistry": "NMC"}, ("packs.keel.chemistry",)),
        ({"packs.keel.capacity": "40 Ah", "packs.pannier": {"like": "keel"}}, ("packs.keel.mass",)),
    ],
)
def test_a_mass_that_may_be_is_taken(put: dict[str, Any], drop: tuple[str, ...]) -> None:
    assert isinstance(read(put, drop), Build)


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
