"""What a meter at the bench says of joiners, paths, leads and packs: at, over and under each limit, by hand."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.analysis.bench.as_built import differences
from packyoke.analysis.bench.joiner_tests import as_tested, inlet_test, load_test, path_test
from packyoke.analysis.case import Case
from packyoke.analysis.limits.leads import lead_resistance_ohm
from packyoke.buildfile.reading import load
from packyoke.model import Build, Gauge
from tests.support import edited

PLAIN = ({"joiners.yoke.type": "plain"}, ("joiners.yoke.blocks_in",))
SELECTOR = ({"joiners.yoke.type": "selector", "joiners.yoke.makes": "after break"}, ("joiners.yoke.blocks_in",))
DIODE = ({"joiners.yoke.type": "diode", "joiners.yoke.forward_voltage": "0.5 V"}, ("joiners.yoke.resistance",))


def case_of(put: dict[str, Any] | None = None, drop: tuple[str, ...] = (), base: str = "skerry-long-tail") -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


@pytest.mark.parametrize(
    ("changed", "volts_v", "found", "described"),
    [
        (({}, ()), 1.99, "blocks", True),
        (({}, ()), 2.0, "leaks", False),
        (({}, ()), 39.9, "leaks", False),
        (({}, ()), 40.0, "plain or failed", False),
        (PLAIN, 40.0, "plain or failed", True),
        (PLAIN, 1.0, "blocks", False),
        (SELECTOR, 1.0, "blocks", True),
        (SELECTOR, 40.0, "plain or failed", False),
        (({}, ("joiners.yoke.type",)), 1.0, "blocks", None),
    ],
)
def test_an_empty_inlet_beside_a_pack_of_50_v(
    changed: tuple[dict[str, Any], tuple[str, ...]], volts_v: float, found: str, described: bool | None
) -> None:
    """Below 2 V it blocks, from 80 % of 50 V on it does not; a selector lets one pack on at a time, so it blocks."""
    told = inlet_test(case_of(*changed).build.joiners["yoke"], volts_v, 50.0)
    assert (told.found, told.described) == (found, described)


@pytest.mark.parametrize(
    ("tested", "drop", "expected"),
    [
        (True, ("joiners.yoke.type",), "ideal-diode"),
        (False, ("joiners.yoke.type",), None),
        (True, (), "diode"),
    ],
)
def test_a_joiner_that_was_found_to_block_counts_as_one(tested: bool, drop: tuple[str, ...], expected: str) -> None:
    build = case_of(*DIODE).build if not drop else case_of(drop=drop).build
    build = build.with_value("joiners.yoke", "tested", tested)
    assert as_tested(build).joiners["yoke"].type == expected


@pytest.mark.parametrize(
    ("changed", "drop_v", "at_a", "found"),
    [
        (({}, ()), 0.02, 4.99, "too little current"),
        (({}, ()), 0.40, 5.0, "too much"),
        (({}, ()), 0.41, 5.0, "gate drive dead"),
        (({}, ()), 0.0299, 10.0, "as described"),  # 2 mohm, but no less than the 30 mV that its drive holds
        (({}, ()), 0.0301, 10.0, "too much"),
        (({}, ()), 0.0439, 20.0, "as described"),  # 20 A x 2 mohm and a tenth
        (({}, ()), 0.0441, 20.0, "too much"),
        (({}, ("joiners.yoke.resistance",)), 0.03, 10.0, "not described"),
        (DIODE, 0.549, 20.0, "as described"),
        (DIODE, 0.551, 20.0, "too much"),
        (DIODE, 0.549, 1.0, "as described"),
        (PLAIN, 0.0219, 10.0, "as described"),
        (PLAIN, 0.0221, 10.0, "too much"),
        (PLAIN, 0.50, 10.0, "too much"),
    ],
)
def test_a_drop_over_a_path(
    changed: tuple[dict[str, Any], tuple[str, ...]], drop_v: float, at_a: float, found: str
) -> None:
    case = case_of(*changed)
    assert path_test(case, case.build.joiners["yoke"], drop_v, at_a).found == found


@pytest.mark.parametrize(("gauge", "other"), [("12 AWG", "16 AWG"), ("4 mm2", "2.5 mm2")])
def test_a_lead_that_drops_as_much_as_a_thinner_wire(gauge: str, other: str) -> None:
    """A lead of the thinner wire is measured; the file says the thicker one."""
    put = {"leads.keel lead.length": "2 m", "leads.keel lead.gauge": gauge}
    thin = case_of({**put, "leads.keel lead.gauge": other})
    drop_v = 20 * sum(lead_resistance_ohm(thin, thin.build.leads["keel lead"])) / 2
    case = case_of(put)
    told = path_test(case, case.build.leads["keel lead"], drop_v, 20.0)
    size, family = other.split()
    assert told.found == "too much"
    assert told.like == Gauge(family, float(size))
    worse = path_test(case, case.build.leads["keel lead"], 100 * drop_v, 20.0)
    assert (worse.found, worse.like) == ("too much", None)
    thinner = case_of({**put, "leads.keel lead.gauge": other})
    assert path_test(thinner, thinner.build.leads["keel lead"], drop_v, 20.0).found == "as described"


def test_a_direct_connection_is_like_no_wire() -> None:
    case = case_of({"leads.keel lead": {"from": "keel", "to": "yoke", "direct": "true"}})
    told = path_test(case, case.build.leads["keel lead"], 1.0, 10.0)
    assert (told.found, told.like) == ("too much", None)


@pytest.mark.parametrize(
    ("drop", "milliohm", "found"),
    [
        ((), 104.4, "as described"),
        ((), 104.6, "more"),
        ((), 85.6, "as described"),
        ((), 85.4, "less"),
        (("packs.keel.resistance",), 1000.0, "more"),
        (("packs.keel.resistance",), 1.0, "less"),
        (("packs.keel.resistance", "packs.keel.capacity"), 95.0, "not described"),
    ],
)
def test_a_pack_of_95_mohm_under_load(drop: tuple[str, ...], milliohm: float, found: str) -> None:
    """A tenth around 95 mohm: 85.5 to 104.5."""
    build = case_of(drop=drop).build
    told = load_test(build, build.packs["keel"], 54.0, 54.0 - milliohm / 1000 * 20, 20.0)
    assert told.ohm == pytest.approx(milliohm / 1000)
    assert told.found == found
    assert (told.described_ohm is None) == (found == "not described")


@pytest.mark.parametrize("written", ["0 V", "60 mV", "300 mV"])
def test_a_drop_is_held_against_what_is_described_whatever_was_read_before(written: str) -> None:
    """12 AWG has 5.21 mohm a metre (ASTM B258): both wires of 400 mm drop 83 mV at 20 A, the contacts a little more."""
    reading = {"date": "2026-11-20", "part": "leads.keel lead", "what": "drop", "value": written, "at": "20 A"}
    found = []
    for put in ({}, {"measured": [reading]}):
        build = load(edited("skerry-long-tail", put), "case.yaml", today="2026-11-25")
        assert isinstance(build, Build), build
        found.append(path_test(Case(build), build.leads["keel lead"], 0.3, 20.0)[1:])
    assert found[0] == found[1]
    _, _, told, described_v, _ = found[1]
    assert told == "too much"
    assert 0.083 < (described_v or 0.0) < 0.15


@pytest.mark.parametrize(
    ("part", "changed", "drop_v", "found"),
    [
        # Copper of both wires of 400 mm: 2 x 0.4 m x 5.3 mohm/m x 20 A is some 85 mV, three quarters of it 64.1 mV.
        ("leads.keel lead", ({}, ()), 0.0, "too little"),
        ("leads.keel lead", ({}, ()), 0.043, "too little"),  # one of the two conductors
        ("leads.keel lead", ({}, ()), 0.0640, "too little"),
        ("leads.keel lead", ({}, ()), 0.0642, "as described"),
        ("leads.keel lead", ({}, ()), 0.2, "too much"),
        ("joiners.yoke", ({}, ()), 0.001, "as described"),
        ("joiners.yoke", ({}, ()), 0.044, "as described"),
        ("joiners.yoke", ({}, ()), 0.05, "too much"),
        ("joiners.yoke", DIODE, 0.55, "as described"),
        ("joiners.yoke", DIODE, 0.6, "too much"),
        ("joiners.yoke", PLAIN, 0.05, "too much"),
    ],
)
@pytest.mark.parametrize("before", [None, "0 V", "20 mV", "0.2 V", "0.6 V"])
def test_meter_and_check_say_the_same_of_a_drop_whatever_was_read_before(
    part: str, changed: tuple[dict[str, Any], tuple[str, ...]], drop_v: float, found: str, before: str | None
) -> None:
    put, drop = changed
    read = {"part": part, "what": "drop", "at": "20 A"}
    old = [read | {"date": "2026-10-01", "value": before}] if before else []
    case = case_of({**put, "measured": old}, drop)
    assert path_test(case, case.build.part(part), drop_v, 20.0).found == found  # type: ignore[arg-type]
    written = case_of(
        {**put, "measured": [*old, read | {"date": "2026-10-02", "value": f"{1000 * drop_v:g} mV"}]}, drop
    )
    told = differences(written, written.build.part(part))
    assert [each.relation for each in told] == {"too little": ["at least"], "too much": ["at most"]}.get(found, [])


@pytest.mark.parametrize("before", ["50 mohm", "95 mohm", "150 mohm"])
def test_a_pack_is_held_against_what_is_described_whatever_was_read_before(before: str) -> None:
    reading = {"date": "2026-10-01", "part": "packs.keel", "what": "resistance", "value": before}
    build = case_of({"measured": [reading]}).build
    assert load_test(build, build.packs["keel"], 54.0, 54.0 - 0.15 * 20, 20.0).found == "more"
