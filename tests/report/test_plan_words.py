"""What a plan's page says: plans made by hand, one fact at a time."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest

from packyoke.answers.plan.page import (
    SHARED,
    Chosen,
    PlanView,
    answer,
    choice_lines,
    cut_rows,
    joint_rows,
    left_lines,
    no_plan_json,
    no_plan_page,
    objective_words,
    plan_json,
    plan_page,
    refusal_text,
    setting_words,
)
from packyoke.core.findings import Amount, Finding, Severity
from packyoke.making.lists import CutPiece, Joint, Setting, Terms, Totals
from packyoke.model import Build, Gauge
from packyoke.page.wiring import Wiring
from packyoke.planning.result import NoPlan, Objective, Plan, Refusal, RunnerUp, WayOut
from packyoke.verdict.report import Question, Report
from tests.planning.bikes import build_of
from tests.support import edited

BIKE: Build = build_of(edited("skerry-long-tail"))
OBJECTIVE = Objective(
    ("findings", "weighed", "copper", "loss", "joints"),
    ("", "kg of copper", "kg", "W", ""),
    (0.0, 1.25, 0.092, 9.45, 30.0),
)
LAST = ("Proved best", SHARED, "Weighed")
BEST = "no findings, weighed as 1.25 kg of copper, 0.092 kg of copper, 9.45 W lost, 30 joints to solder"
FOUND = Finding(rule="r", severity=Severity.CAUTION, part="packs.keel", message="too cold")
OPEN = FOUND.but(severity=Severity.OPEN, message="not known")


def plan(**more: Any) -> Plan:
    told: dict[str, Any] = dict.fromkeys(Plan.__dataclass_fields__, ())
    told |= {
        "build": BIKE,
        "objective": OBJECTIVE,
        "proved": True,
        "doubt": "",
        "runner_up": None,
        "judged": None,
        "totals": Totals(Decimal(0), "EUR", Decimal(0), None, None, None, Decimal(0), (), 0, 0),
        "terms": Terms(),
        "filled": ("x",),
    }
    return Plan(**{**told, **more})


def seen(made: Plan | None = None, *findings: Finding, lacking: int = 0, **more: Any) -> PlanView:
    asked = tuple(Question("leads.a", f"field {n}", None, "look", "q", "", ()) for n in range(lacking))
    report = Report(file="f", verdict="caution", findings=findings, labels={}, to_find_out=asked)
    drawing = Wiring(title="t", words="w")
    return PlanView("f.yaml", "Skerry", made or plan(), report, (), (), drawing, **more)


@pytest.mark.parametrize(
    ("view", "said"),
    [
        (seen(), ["The completed build passes the check.", f"Proved best: {BEST}.", SHARED, "Weighed", "Nothing was"]),
        (seen(written="new.yaml"), ["The completed build passes", *LAST]),
        (
            seen(plan(proved=False, doubt="time was up")),
            [
                "The completed build",
                f"The best found, not proved: {BEST}. (time was up.)",
                SHARED,
                "Weighed",
                "Nothing was",
            ],
        ),
        (seen(plan(filled=())), ["The completed build passes", "The file leaves nothing to plan"]),
        (seen(plan(filled=(), new=("x",))), ["The completed build", *LAST, "Nothing was"]),
        (seen(None, FOUND, written="n"), ["1 caution is left that no choice", *LAST]),
        (seen(None, FOUND, FOUND.but(part="packs.box"), written="n"), ["2 cautions are left", *LAST]),
        (seen(None, FOUND.but(accepted="so"), written="n"), ["The completed build passes", *LAST]),
        (seen(None, FOUND.but(severity=Severity.NOTE), written="n"), ["The completed build passes", *LAST]),
        (seen(None, OPEN, lacking=1, written="n"), ["It does not pass yet: 1 thing to find out", *LAST]),
        (
            seen(None, OPEN, FOUND, lacking=2, written="n"),
            ["It does not pass yet: 2 things to find out", "1 caution is left", *LAST],
        ),
        (
            seen(plan(runner_up=RunnerUp((1.0, 2.0, 0.1, 9.0, 30.0), "12 AWG")), written="n"),
            ["The completed", "Proved", SHARED, "Weighed", "The next best: 1 findings, weighed as 2 kg of copper"],
        ),
    ],
)
def test_the_answer(view: PlanView, said: list[str]) -> None:
    found = [*answer(view)]
    assert len(found) == len(said)
    for line, part in zip(found, said, strict=True):
        assert line.startswith(part)
    verdict = plan_page(view).verdict
    assert verdict is not None
    assert (verdict.word, verdict.level) == (("OPEN", "open") if view.open_count else ("PLAN", "good"))
    data = json.loads(plan_json(view))
    assert data["passes"] is not bool(view.open_count)
    assert (data["runner_up"] is None) is (view.plan.runner_up is None)


def test_costs_are_in_coins() -> None:
    money = Objective(("cost", "weighed"), ("EUR", "EUR"), (12.5, 13.0))
    assert objective_words(money) == "12.50 EUR of parts chosen, weighed 13.00 EUR"


JOINT = Joint("main lead", "plus", "from", "yoke", "XT90", "pin", "solder")


def test_conductors_that_are_joined_alike_have_one_line() -> None:
    minus = JOINT._replace(conductor="minus")
    assert joint_rows([JOINT, minus]) == (("main lead", "plus, minus", "XT90 at yoke", "solder"),)
    assert joint_rows([JOINT, minus._replace(contact="socket")]) == (
        ("main lead", "plus", "XT90 pin at yoke", "solder"),
        ("main lead", "minus", "XT90 socket at yoke", "solder"),
    )
    assert joint_rows([JOINT, minus._replace(method="crimp")])[1][3] == "crimp"
    assert joint_rows([JOINT, minus, minus._replace(end="to", at="motor")])[1][2] == "XT90 at motor"
    fuse = JOINT._replace(end="fuse", connector="class T")
    assert joint_rows([fuse]) == (("main lead", "plus", "fuse class T at yoke", "solder"),)


@pytest.mark.parametrize(
    ("setting", "words"),
    [
        (Setting("controller", "battery current", Amount(18.0, "A")), "18 A"),
        (Setting("controller", "battery current", Amount(0.0, "A")), "0 A"),
        (Setting("controller", "braking current", Amount(0.0, "A")), "none"),
        (Setting("controller", "braking current", Amount(5.0, "A")), "5 A"),
    ],
)
def test_a_setting(setting: Setting, words: str) -> None:
    assert setting_words(setting) == words


def test_what_is_left_and_what_was_chosen() -> None:
    other = FOUND.but(part="packs.box")
    assert [*left_lines([FOUND, other, OPEN])] == ["CAUTION  keel, box: too cold (r)", "OPEN  keel: not known (r)"]
    view = seen()._replace(
        choices=(Chosen("main lead", False, (("gauge", "10 AWG"), ("length", "1 m"))), Chosen("x", True, ()))
    )
    assert [*choice_lines(view)] == ["main lead: gauge 10 AWG, length 1 m", "x (new)"]


def test_what_is_to_be_cut() -> None:
    fields = dict.fromkeys(CutPiece._fields)
    piece = CutPiece(
        **{
            **fields,
            "lead": "main lead",
            "gauge": Gauge("AWG", 10),
            "insulation": "silicone",
            "length_m": 0.3,
            "source": "yoke",
            "target": "motor",
            "way": ("tube", "rack"),
            "planned": True,
        }
    )
    bare = piece._replace(gauge=None, insulation=None, length_m=None)
    own = piece._replace(planned=False)
    assert cut_rows(seen(plan(pieces=(piece, bare, own)))) == (
        ("main lead", "10 AWG silicone", "300 mm", "yoke / motor", "tube, rack"),
        ("main lead", "?", "measure it", "yoke / motor", "tube, rack"),
    )


def test_no_plan() -> None:
    found = NoPlan(
        constraint="no wire bears it",
        part="leads.main lead",
        rule="lead-overheats",
        found=Amount(50.0, "A"),
        limit=Amount(40.0, "A"),
        ways_out=(WayOut("a shorter way"),),
    )
    page = no_plan_page(BIKE, found)
    assert page.lead == ("What stands in the way: main lead: no wire bears it: 50 A, limit 40 A (lead-overheats).",)
    assert [each.heading for each in page.blocks][:1] == ["Ways out"]
    bare = no_plan_page(BIKE, NoPlan(constraint="no wire bears it", found=Amount(50.0, "A")))
    assert bare.lead[0] == "What stands in the way: no wire bears it."
    assert len(bare.lead) == 2
    assert json.loads(no_plan_json(BIKE, found))["rule"] == "lead-overheats"
    assert json.loads(no_plan_json(BIKE, NoPlan(constraint="x")))["found"] is None
    assert refusal_text(Refusal(kind="fact", text="a fact is missing", do="Say it.")) == "a fact is missing. Say it."
    assert refusal_text(Refusal(kind="fact", text="a fact is missing", do="Say it")) == "a fact is missing. Say it."
    assert refusal_text(Refusal(kind="fact", text="a fact is missing")) == "a fact is missing."
