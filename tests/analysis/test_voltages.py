"""The highest voltage at a part: full charge, a charger, braking."""

from __future__ import annotations

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.packs.voltages import (
    full_charge_v,
    highest_braking,
    highest_charger,
    highest_full_charge,
    highest_full_charge_of_label_v,
)
from packyoke.analysis.unknowns.spans import first_asked
from packyoke.buildfile.reading import load
from packyoke.model import Build, Unknown
from tests.support import edited


def case_of(base: str, put: dict[str, object] | None = None, drop: tuple[str, ...] = ()) -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


def test_full_charge_is_that_of_the_highest_pack_behind() -> None:
    case = case_of("skerry-long-tail", {"packs.pannier.series": "15"})
    assert highest_full_charge(case, "joiners.yoke").volts_v == pytest.approx(15 * 4.2)
    assert highest_full_charge(case, "leads.keel lead").volts_v == pytest.approx(14 * 4.2)


def test_a_charger_in_a_blocking_joiner_stands_from_there_on_only() -> None:
    charger = {"output": "62 V", "current": "4 A", "plug": "5.5 mm barrel", "through": "yoke"}
    case = case_of("skerry-long-tail", {"chargers.counter": charger})
    for path in ("joiners.yoke", "leads.main lead"):
        found = highest_charger(case, path)
        assert found is not None
        assert found.volts_v == 62.0
    assert highest_charger(case, "leads.keel lead") is None


def test_a_charger_on_a_pack_stands_on_its_way_only() -> None:
    put = {"chargers.counter.output": "62 V", "chargers.counter.fits": ["keel"]}
    case = case_of("skerry-long-tail", put)
    assert highest_charger(case, "leads.keel lead") is not None
    assert highest_charger(case, "leads.main lead") is not None
    assert highest_charger(case, "leads.pannier lead") is None


@pytest.mark.parametrize("volts", [("62 V", "61 V"), ("61 V", "62 V")])
def test_of_two_chargers_the_higher_one_counts(volts: tuple[str, str]) -> None:
    other = {"output": volts[1], "current": "2 A", "plug": "XLR 3", "fits": ["keel"]}
    found = highest_charger(
        case_of("skerry-long-tail", {"chargers.counter.output": volts[0], "chargers.other": other}), "leads.keel lead"
    )
    assert found is not None
    assert found.volts_v == 62.0


@pytest.mark.parametrize(
    ("stops", "volts_v"),
    [
        ({}, 58.8 + 0.95),
        ({"stops_at": "59 V"}, 59.0),
        ({"stops_at": "60 V"}, 58.8 + 0.95),
    ],
)
def test_braking_ends_where_the_controller_stops(stops: dict[str, str], volts_v: float) -> None:
    """10 A through 95 mohm of the pack alone, unless the controller stops before that."""
    put = {"joiners.yoke.type": "plain", "controller.regen": {"current": "10 A"} | stops}
    found = highest_braking(
        case_of("skerry-long-tail", put, ("joiners.yoke.blocks_in", "leads.pannier lead")), "packs.keel"
    )
    assert found is not None
    assert found.volts_v == pytest.approx(volts_v)


def test_braking_adds_the_loss_of_the_way() -> None:
    """8 A through 149 mohm, twice two contacts of 0.1 mohm and 0.8 mohm: 1.2016 V at the controller's lead."""
    case = case_of("slipway-bench-pair", {"controller.regen": {"current": "8 A"}})
    found = highest_braking(case, "leads.main lead")
    assert found is not None
    assert found.volts_v == pytest.approx(54.6 + 8 * (0.149 + 0.0002 + 0.0008 + 0.0002))


@pytest.mark.parametrize(("dropped", "asked"), [("packs.keel.series", "series"), ("packs.keel.chemistry", "chemistry")])
def test_a_charge_that_the_file_leaves_open_is_asked_for_by_what_says_it(dropped: str, asked: str) -> None:
    case = case_of("skerry-long-tail", {}, (dropped,))
    with pytest.raises(Unknown) as missing:
        full_charge_v(case.build.packs["keel"])
    assert first_asked(missing.value.part, missing.value.attr)[1] == asked


@pytest.mark.parametrize(("label_v", "full_v"), [(24, 29.4), (36, 43.8), (48, 58.8), (52, 58.8), (72, 87.6)])
def test_highest_full_charge_sold_under_a_label(label_v: float, full_v: float) -> None:
    """Counted from the kinds that are sold: 24 V 7 x 4.20, 36 V 12 x 3.65, 48 and 52 V 14 x 4.20, 72 V 24 x 3.65."""
    assert highest_full_charge_of_label_v(label_v) == pytest.approx(full_v)


def test_no_pack_is_sold_under_50_v() -> None:
    assert highest_full_charge_of_label_v(50) is None
