"""The check as a whole: what is not known, what is mended, what is measured."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from packyoke.api import check, load
from packyoke.core.findings import Severity
from packyoke.core.paths import PartPath
from packyoke.model import Build, Key
from packyoke.rules import RULES, regen_trapped
from packyoke.rules.outcome import Mend
from packyoke.rules.rule import each_check
from packyoke.verdict.check import _advice, report_of
from packyoke.verdict.judge import judge, judge_build, judge_part, judgement
from packyoke.verdict.mending import Tried, Workshop, changed, identity, weights
from packyoke.verdict.report import Report
from packyoke.verdict.trials import Trials
from tests.support import EXAMPLES, edited

TODAY = "2026-11-25"


def report(base: str, put: dict[str, object] | None = None, drop: tuple[str, ...] = ()) -> Report:
    build = load(edited(base, put, drop), f"{base}.yaml", today=TODAY)
    assert isinstance(build, Build), [finding.message for finding in build]
    return check(build, today=TODAY)


# A rating that nobody knows: the field, where to look, and the answer worked by hand from the rest of the file.
RATINGS = [
    ("packs.keel.discharge", "discharge.continuous", "label", "at least 25.5 A"),  # 25 A and the lamp's 0.5 A
    ("joiners.yoke.ceiling", "ceiling", "maker", "at least 58.8 V"),  # 14 x 4.20 V
    ("joiners.yoke.current", "current.continuous", "label", "at least 25.5 A"),
    ("leads.main lead.gauge", "gauge", "label", "12 AWG or thicker"),  # 38.3 A at 35 degC; 75 A of fuses need 79
    ("controller.voltage.max", "voltage.max", "label", "at least 58.8 V"),
    ("packs.keel.fuse.rating", "rating", "look", "at most 40 A"),  # 12 AWG at 35 degC: 38.3 A, next size 40 A
    ("chargers.counter.current", "current", "label", "at most 4 A"),  # the pannier pack's limit
    ("accessories.lamp.max", "max", "label", "at least 58.8 V"),
    ("racks.rear.limit", "limit", "look", "at least 11.9 kg"),  # 3.9 kg of pack and 8 kg
    ("packs.pannier.condition", "condition", "look", "sound"),
    ("joiners.yoke.type", "type", "meter", "ideal-diode"),  # its resistance is in the file: no diode has one
]


@pytest.mark.parametrize(("line", "field", "ask", "passes_if"), RATINGS, ids=[each[0] for each in RATINGS])
def test_a_missing_rating_is_asked_for_with_the_answer_that_passes(
    line: str, field: str, ask: str, passes_if: str
) -> None:
    drop = ("packs.keel.condition",) if line == "packs.pannier.condition" else (line,)
    found = report("skerry-long-tail", drop=drop)
    assert found.verdict == "open"
    questions = [each for each in found.to_find_out if each.field == field]
    assert questions, found.to_find_out
    assert {each.ask for each in questions} == {ask}
    assert passes_if in [each.passes_if for each in questions]


@pytest.mark.parametrize(("line", "_field", "_ask", "_passes_if"), RATINGS, ids=[each[0] for each in RATINGS])
def test_a_missing_rating_is_never_a_pass(line: str, _field: str, _ask: str, _passes_if: str) -> None:
    drop = ("packs.keel.condition",) if line == "packs.pannier.condition" else (line,)
    assert report("skerry-long-tail", drop=drop).verdict in ("open", "stop")


def test_a_guess_is_printed_with_and_counts_as_not_known() -> None:
    found = report("skerry-long-tail", {"controller.battery_current": "18 A ?"})
    assert found.verdict == "open"
    assert any(each.field == "battery_current.limit" for each in found.to_find_out)


def test_a_thin_lead_behind_the_second_joiner_is_stopped_and_mended() -> None:
    """18 A: 16 AWG PVC bears 15 A, 14 AWG 20 A (33 CFR 183.425 table 5), XT60 takes 14 to 12 AWG (practice)."""
    thin = {"leads.box lead.gauge": "16 AWG", "leads.box lead.insulation": "PVC", "packs.box.fuse.rating": "30 A"}
    found = report("breakwater-three-packs", thin)
    stops = [each for each in found.findings if each.severity == Severity.STOP]
    assert {(each.rule, each.part) for each in stops} >= {("lead-overheats", "leads.box lead")}
    assert {each.part for each in stops} == {"leads.box lead"}
    (overheats,) = [each for each in stops if each.rule == "lead-overheats"]
    assert str(overheats.found) == "18 A continuous"
    assert overheats.limit is not None
    assert overheats.limit.value == pytest.approx(15.0)
    assert report("breakwater-three-packs").count(Severity.STOP) == 0


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
def test_every_mend_that_is_advised_works(path) -> None:  # type: ignore[no-untyped-def]
    """Apply it, run again: the finding is gone and no new stop or question has come."""
    build = load(path.read_bytes(), path.name, today=TODAY)
    assert isinstance(build, Build)
    decisions = judge_build(build, RULES)
    workshop = Workshop(Trials(build), decisions, lambda changed: judge(changed, RULES))
    for decision in decisions:
        for tried in workshop.first_of_each_family(decision):
            after = judge_build(changed(build, tried.mend.changes), RULES)
            left, before = weights(after), weights(decisions)
            assert left.get(identity(decision), 0) <= (Severity.CAUTION if tried.lowers else 0)
            added = {each for each, weight in left.items() if weight > before.get(each, 0)}
            assert all(tried.lowers and each[:2] == identity(decision)[:2] for each in added), added


@pytest.mark.parametrize(
    ("packs", "main", "fuse_a", "advice"),
    [
        # 10 AWG silicone bears 55 A, half as much again for several fuses together: 82.5 A. Three of 30 A are 90 A,
        # two are 60 A, and 8 AWG (70 A, 105 A) bears three. Each alone is a mend: 30 + 25 + 25 A.
        (3, "10 AWG", 25, "A 30 A fuse, and with it at main: an 80 A class T fuse and holder"),
        (2, "10 AWG", 25, "A 30 A fuse; or set the controller to 20 A."),
        (3, "8 AWG", 25, "A 30 A fuse; or set the controller to 20 A."),
    ],
)
def test_one_advice_for_several_parts_is_tried_on_all_of_them(packs: int, main: str, fuse_a: int, advice: str) -> None:
    names = ["a", "b", "c"][:packs]
    pack = (
        f"{{label: 48 V, chemistry: NMC, series: 13, capacity: 14 Ah, discharge: 30 A, charge: 4 A, cells: power, "
        f"cut_off: 36 V, resistance: 100 mohm, outlet: XT60 socket, condition: sound, fuse: {{family: 10x38, "
        f"rating: {fuse_a} A, voltage: 1000 V}}, bms: {{charge_path: common, data: none, wakes: always}}}}"
    )
    lead = "length: 400 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]"
    text = "\n".join(
        [
            "packyoke: 1",
            "name: three alike",
            "coldest: 0 degC",
            "bike: {mass: 30 kg, drive: {type: geared hub}}",
            "packs:",
            *(f"  {name}: {pack}" for name in names),
            "joiners:",
            "  yoke: {type: ideal-diode, ceiling: 75 V, current: 40 A, resistance: 2 mohm, blocks_in: positive,",
            f"    inlets: XT60 pin, outlet: XT90 socket, mount: frame metal, inputs: {packs}}}",
            "all_leads: {insulation: silicone}",
            "leads:",
            *(f"  {name} lead: {{from: {name}, to: yoke, {lead}}}" for name in names),
            f"  main: {{from: yoke, to: controller, length: 300 mm, gauge: {main}, ends: [XT90 pin, XT90 socket]}}",
            "controller: {voltage: {min: 36 V, max: 63 V}, battery_current: 22 A, low_voltage_cut: 39 V, regen: none,",
            "  inlet: XT90 pin, capacitance: 1 mF}",
        ]
    )
    build = load(text, "alike.yaml", today=TODAY)
    assert isinstance(build, Build), build
    said = [each.do for each in check(build).findings if each.rule == "fuse-nuisance"]
    assert len(said) == packs
    assert all(each.startswith(advice) for each in said), said


@pytest.mark.parametrize(
    ("settling", "lowering", "said"),
    [
        ([], [], "In general."),
        (["A thicker wire"], [], "A thicker wire."),
        ([], ["A thicker wire", "A shorter lead"], "A thicker wire; or a shorter lead. A caution is left."),
        (["A thicker wire"], ["A shorter lead"], "A thicker wire. A caution is left with: A shorter lead."),
    ],
)
def test_what_was_tried_is_told_and_in_general_only_where_nothing_was(
    settling: list[str], lowering: list[str], said: str
) -> None:
    mends = [Tried(Mend(text, ()), frozenset(), text in lowering) for text in (*settling, *lowering)]
    assert _advice("In general.", mends) == said


def test_the_complete_example_is_quiet() -> None:
    found = report("skerry-long-tail")
    counts = [found.count(severity) for severity in (Severity.STOP, Severity.OPEN, Severity.CAUTION)]
    assert counts[:2] == [0, 0]
    assert counts[2] <= 2


@pytest.mark.parametrize("name", ["breakwater-three-packs", "foghorn-lfp"])
def test_clean_examples_are_clean(name: str) -> None:
    """breakwater's bike stands in frost: its packs are charged indoors, and it is told so."""
    found = [each.rule for each in report(name).findings if each.severity >= Severity.CAUTION]
    assert found == (["charged-cold"] if name == "breakwater-three-packs" else [])


def test_the_draft_has_six_different_faults() -> None:
    found = report("oakum-draft")
    assert len({each.rule for each in found.findings if each.severity >= Severity.CAUTION}) >= 6


def test_a_reading_is_judged_by_every_rule() -> None:
    """A joiner path of 40 mohm at 25.5 A makes 26 W: far above what any body bears (85 degC)."""
    reading = {"date": "2026-11-20", "part": "joiners.yoke", "what": "resistance", "value": "40 mohm"}
    found = report("skerry-long-tail", {"measured": [reading]})
    assert ("joiner-overheats", "joiners.yoke") in {
        (each.rule, each.part) for each in found.findings if each.severity == Severity.STOP
    }


def test_a_reading_that_only_differs_is_a_caution() -> None:
    reading = {"date": "2026-11-20", "part": "joiners.yoke", "what": "resistance", "value": "2.5 mohm"}
    found = report("skerry-long-tail", {"measured": [reading]})
    (differs,) = [each for each in found.findings if each.rule == "as-built-differs"]
    assert differs.severity == Severity.CAUTION


def test_a_rule_that_crashes_is_a_stop() -> None:
    def crash(case: object, part: object) -> None:
        raise ZeroDivisionError

    rules = (*RULES[:5], replace(RULES[5], check=crash))
    build = load(edited("skerry-long-tail"), "x.yaml")
    assert isinstance(build, Build)
    decisions = judge_build(build, rules)
    assert {each.rule.name for each in decisions if each.severity == Severity.STOP} == {"rule-crashed"}


@pytest.mark.parametrize("fails", ["check", "parts"])
def test_no_set_of_packs_is_clean_where_a_rule_crashed(fails: str) -> None:
    def crash(*asked: object) -> None:
        raise ZeroDivisionError

    build = load(edited("skerry-long-tail"), "x.yaml")
    assert isinstance(build, Build)
    broken: dict[str, Any] = {fails: crash}
    found = report_of(judgement(build, (*RULES[:5], replace(RULES[5], **broken), *RULES[6:])))
    assert {(each.packs, each.verdict) for each in found.sets} == {
        (("keel", "pannier"), "stop"),
        (("keel",), "stop"),
        (("pannier",), "stop"),
    }


def test_what_follows_from_what_is_asked_is_not_listed_beside_it() -> None:
    """The full charge of 14 cells is that of their chemistry: who tells the cells has told it."""
    for drop, asked in ((("packs.keel.series",), "series"), (("packs.keel.chemistry",), "chemistry")):
        found = report("skerry-long-tail", {"packs.keel.label": "48 V"}, drop)
        assert asked in {each.field for each in found.to_find_out}
        assert "full_charge" not in {each.field for each in found.assumed}


def test_what_the_file_leaves_one_value_for_is_listed_beside_what_was_tried() -> None:
    """A geared hub does not brake, as far as the file tells; how large the capacitors are was tried beside that."""
    assumed = {(each.field, each.text) for each in report("sluice-second-port").assumed}
    assert ("regen", "0 A") in assumed


@pytest.mark.parametrize("seed", range(3))
def test_order_of_the_file_changes_nothing(seed: int) -> None:
    import random

    import yaml

    def shuffled(node: object) -> object:
        if isinstance(node, dict):
            keys = list(node)
            random.Random(seed).shuffle(keys)
            return {key: shuffled(node[key]) for key in keys}
        return node

    for name in ("oakum-draft", "quay-plain-trike", "breakwater-three-packs"):
        tree = yaml.load(edited(name), Loader=yaml.BaseLoader)
        first = report(name)
        build = load(yaml.dump(shuffled(tree), sort_keys=False, width=1000), f"{name}.yaml", today=TODAY)
        assert isinstance(build, Build)
        other = check(build, today=TODAY)
        assert {(f.rule, f.part, f.severity) for f in first.findings} == {
            (f.rule, f.part, f.severity) for f in other.findings
        }
        assert first.fingerprint == other.fingerprint


def test_no_unknown_gauge_passes_however_small_the_current() -> None:
    """A lead may be as thin as 24 AWG, for which the table has no amps at all."""
    leads = ("leads.main lead.gauge", "leads.port lead.gauge", "leads.starboard lead.gauge")
    found = report("foghorn-lfp", {"controller.battery_current": "2 A"}, leads)
    assert found.verdict == "open"
    assert len([each for each in found.to_find_out if each.field == "gauge"]) == 3


@pytest.mark.parametrize(
    ("drop", "rule", "found", "limit"),
    [
        (("joiners.yoke.current",), "joiner-overloaded", "25.5 A", ""),
        (("joiners.yoke.ceiling",), "ceiling-exceeded", "58.8 V", ""),
        (("racks.rear.limit",), "rack-overloaded", "11.9 kg", ""),
        (("chargers.counter.current",), "charger-current", "", "4 A"),
    ],
)
def test_a_figure_that_was_only_tried_is_not_said(drop: tuple[str, ...], rule: str, found: str, limit: str) -> None:
    """25 A and the lamp's 0.5 A, 14 x 4.20 V, 3.9 kg and 8 kg, 4 A for the small pack are in the file; what is in
    no file has no figure."""
    said = [each for each in report("skerry-long-tail", drop=drop).findings if each.rule == rule]
    assert [each.severity for each in said] == [Severity.OPEN]
    assert str(said[0].found or "").startswith(found)
    assert bool(said[0].found) == bool(found)
    assert str(said[0].limit or "").startswith(limit)
    assert bool(said[0].limit) == bool(limit)


def test_the_one_change_that_settles_most_counts_stops() -> None:
    """18 AWG at 25 A: it overheats and its fuses are too large for it, both a stop; that it does not fit the connector
    is a caution, which is no reason to name a change for all."""
    found = report("skerry-long-tail", {"leads.main lead.gauge": "18 AWG"})
    stops = {each.fingerprint for each in found.findings if each.severity == Severity.STOP}
    assert {each.rule for each in found.findings if each.fingerprint in stops} == {"lead-overheats", "fuse-oversized"}
    assert found.cure is not None
    assert set(found.cure.settles) == stops
    assert found.cure.parts == ("leads.main lead",)


def test_what_a_harness_carries_is_told_unless_it_cannot_be_drawn() -> None:
    """A thin lead is a stop, and what it leaves is told; of leads that lead nowhere nothing can be."""
    thin = report("skerry-long-tail", {"leads.main lead.gauge": "20 AWG"})
    assert thin.verdict == "stop"
    assert thin.good_for is not None
    assert report("skerry-long-tail", drop=("leads.main lead",)).good_for is None


def test_packs_that_must_not_be_joined_meanwhile() -> None:
    """Two that meet in the inlet of a controller, and two of unlike voltage on a plain joiner."""
    lead = {"to": "controller", "gauge": "12 AWG", "length": "300 mm", "ends": ["XT60 pin", "XT60 socket"]}
    meet = report("skerry-long-tail", {"leads.keel lead.to": "controller", "leads.main lead": {"from": "yoke", **lead}})
    assert meet.meanwhile == "Do not join these packs yet."
    assert report("skerry-long-tail", drop=("leads.main lead",)).meanwhile == ""
    assert report("quay-plain-trike").meanwhile == "Do not join these packs yet."
    assert report("skerry-long-tail", {"leads.main lead.gauge": "20 AWG"}).meanwhile == ""


SMALL_FUSE = "{family: 10x38, rating: 2 A, voltage: 1000 V}"
LAMP_ON_FIRST = {"accessories.lamp.from": "first", "accessories.lamp.current": "0.5 A", "accessories.lamp.max": "65 V"}


@pytest.mark.parametrize(
    ("more", "told"),
    [
        # box comes in behind first: the lamp is dark with it alone. 100 mA for 30 days are 72 Ah.
        ({"fuse": SMALL_FUSE}, {"dark"}),
        ({"fuse": SMALL_FUSE, "standby": "100 mA"}, {"dark", "standby"}),
        ({"fuse": "none", "gauge": "24 AWG"}, {"dark", "wire"}),
        ({"fuse": "none", "gauge": "24 AWG", "standby": "100 mA"}, {"dark", "wire", "standby"}),
    ],
)
def test_all_that_is_wrong_with_an_accessory_is_told_at_once(more: dict[str, str], told: set[str]) -> None:
    put = LAMP_ON_FIRST | {f"accessories.lamp.{line}": value for line, value in more.items()}
    found = report("breakwater-three-packs", put)
    causes = [each.cause for each in found.findings if each.rule == "accessory-tap"]
    assert sorted(causes) == sorted(told)


def test_what_mends_one_fault_of_an_accessory_is_advised_beside_another() -> None:
    """A 1 A fuse bears 0.5 A at 80 %; it does nothing about what the lamp draws when it is off."""
    more = {"fuse": "none", "gauge": "18 AWG", "standby": "100 mA"}
    put = {f"accessories.lamp.{line}": value for line, value in more.items()}
    found = report("skerry-long-tail", put)
    advice = {each.cause: each.do for each in found.findings if each.rule == "accessory-tap"}
    assert advice["wire"].startswith("A 1 A fuse (10x38, 1000 V) right where it leaves")
    assert advice["standby"].startswith("Switch it off with the bike")


@pytest.mark.parametrize(
    ("line", "passes_if"),
    [
        ({}, "diode or ideal-diode"),
        ({"resistance": "2 mohm"}, "ideal-diode"),
        ({"drop": "45 mV at 20 A"}, "ideal-diode"),
        ({"forward_voltage": "0.4 V"}, "diode"),
        ({"blocks_in": "positive"}, "diode or ideal-diode"),
        ({"makes": "after break"}, "selector"),
        ({"makes": "before break"}, ""),  # a selector, and packs meet as it is turned
    ],
)
def test_no_type_passes_that_another_line_of_the_joiner_rules_out(line: dict[str, str], passes_if: str) -> None:
    put = {f"joiners.yoke.{key}": value for key, value in line.items()}
    drop = tuple(f"joiners.yoke.{key}" for key in ("type", "resistance", "blocks_in") if key not in line)
    found = report("skerry-long-tail", put, drop)
    assert {each.passes_if for each in found.to_find_out if each.field == "type"} == {passes_if}


@pytest.mark.parametrize(
    ("coldest", "stops_at", "told"),
    [
        ("0 degC", "54.6 V", []),
        ("-5 degC", "54.6 V", ["cold"]),
        ("0 degC", "60 V", ["full"]),
        ("-5 degC", "60 V", ["cold", "full"]),
    ],
)
def test_braking_into_cold_packs_and_into_full_ones_is_told_at_once(
    coldest: str, stops_at: str, told: list[str]
) -> None:
    """One pack of 13 cells, full at 54.6 V, that takes 4 A."""
    put = {
        "bike.drive.type": "mid motor",
        "chargers.kitchen.fits": ["old"],
        "coldest": coldest,
        "controller.regen": {"current": "2 A", "stops_at": stops_at},
    }
    found = report("quay-plain-trike", put, ("packs.new", "leads.new lead"))
    assert sorted(each.cause for each in found.findings if each.rule == "regen-trapped") == told


@pytest.mark.parametrize(("stops_at", "turns"), [("54.6 V", False), ("54.87 V", False), ("54.88 V", True)])
def test_where_braking_ends_counts_where_nobody_knows_how_hard_it_brakes(stops_at: str, turns: bool) -> None:
    """One pack full at 54.6 V, and half a per cent: above 54.873 V it hangs on whether it brakes at all."""
    put = {
        "bike.drive.type": "mid motor",
        "chargers.kitchen.fits": ["old"],
        "controller.regen": {"stops_at": stops_at},
    }
    build = load(edited("quay-plain-trike", put, ("packs.new", "leads.new lead")), "x.yaml")
    assert isinstance(build, Build)
    _, beyond_full = each_check(regen_trapped.RULE)
    decision = judge_part(Trials(build), beyond_full, build.controllers["controller"])
    asked = Key(PartPath("controller"), "regen_a")
    assert decision is not None
    assert (decision.assumed, decision.turns) == ((asked,), (asked,) if turns else ())
