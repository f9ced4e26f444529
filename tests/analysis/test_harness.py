"""The drawing of a build: faults do not depend on the order of the file, and one wrong lead is one fault."""

from __future__ import annotations

import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.support import edited

LEAD = {"length": "300 mm", "gauge": "12 AWG", "ends": ["XT60 pin", "XT60 socket"]}
BROKEN = (
    {"leads.link.from": "second", "leads.link.to": "first"},
    {"leads.round": {"from": "second", "to": "first", **LEAD}},
    {"leads.box lead.to": "first"},
    {"leads.motor lead.from": "first", "leads.round": {"from": "second", "to": "first", **LEAD}},
    {"joiners.spare": {"like": "first"}},
    {},
)


def faults(text: str) -> set[tuple[str, str, str]]:
    build = load(text, "case.yaml")
    assert isinstance(build, Build), build
    return {(fault.kind, fault.part, fault.about) for fault in harness(Case(build)).faults}


@given(st.sampled_from(BROKEN), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_faults_do_not_depend_on_the_order_of_the_file(put: dict[str, object], random: object) -> None:
    text = edited("breakwater-three-packs", put)
    tree = yaml.load(text, Loader=yaml.BaseLoader)
    for section in ("packs", "joiners", "leads"):
        items = list(tree[section].items())
        random.shuffle(items)  # type: ignore[attr-defined]
        tree[section] = dict(items)
    assert faults(yaml.dump(tree, sort_keys=False)) == faults(text)


def test_a_lead_drawn_backwards_is_the_only_fault() -> None:
    assert faults(edited("breakwater-three-packs", BROKEN[0])) == {("backwards", "leads.link", "from second to first")}


def test_what_else_is_wrong_stays_beside_a_backwards_lead() -> None:
    text = edited("breakwater-three-packs", BROKEN[0], ["leads.box lead"])
    assert {(kind, part) for kind, part, _ in faults(text)} == {
        ("backwards", "leads.link"),
        ("reaches no controller", "packs.box"),
    }


def test_a_loop_is_one_fault_whoever_runs_into_it() -> None:
    found = faults(edited("breakwater-three-packs", BROKEN[1]))
    assert [part for kind, part, _ in found if kind == "loop"] == ["leads.round"]
