"""No build file makes a traceback or takes for ever, however little or much it says."""

from __future__ import annotations

import random

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.answers.check.page import batch_text
from packyoke.api import batch, check, load
from tests.support import EXAMPLES

TODAY = "2026-11-25"
TREES = {
    path.stem: yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader) for path in EXAMPLES.glob("*.yaml")
}
TEXTS = {name: yaml.dump(tree, sort_keys=False, width=1000) for name, tree in TREES.items()}
ODD = (
    "none",
    "0 V",
    "1 A",
    "99 A",
    "3",
    "unknown",
    "selector",
    "plain",
    "XT60 socket",
    "[]",
    "{}",
    "18 A ?",
    "yes",
    "x",
)


def without_some(node: object, dice: random.Random, share: float) -> object:
    """The same tree with lines left out or replaced at random."""
    if isinstance(node, dict):
        kept = {key: without_some(value, dice, share) for key, value in node.items() if dice.random() > share}
        for key in kept:
            if dice.random() < share / 4:
                kept[key] = dice.choice(ODD)
        return kept
    return node


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(sorted(TREES)), st.integers(0, 10**6), st.sampled_from((0.02, 0.05, 0.2)))
def test_a_build_with_lines_left_out(name: str, seed: int, share: float) -> None:
    tree = without_some(TREES[name], random.Random(seed), share)
    assert isinstance(tree, dict)
    text = yaml.dump({"packyoke": "1", "name": "x", **tree}, sort_keys=False, width=1000)
    report = check(load(text, "x.yaml", today=TODAY), "x.yaml", today=TODAY)
    assert not [each for each in report.findings if each.rule == "rule-crashed" or "in the program" in each.message], (
        text
    )
    assert all(len(line) <= 80 for line in batch_text(batch([report])).splitlines()) or report.verdict == "unreadable"


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(sorted(TEXTS)), st.data())
def test_a_build_with_characters_changed(name: str, data: st.DataObject) -> None:
    text = TEXTS[name]
    place = data.draw(st.integers(0, len(text)))
    gone = data.draw(st.integers(0, 12))
    typed = data.draw(st.text(alphabet="0123456789 VAm:,{}[]#?'\"\n-", max_size=6))
    report = check(load(text[:place] + typed + text[place + gone :], "x.yaml", today=TODAY), "x.yaml", today=TODAY)
    assert not [each for each in report.findings if each.rule == "rule-crashed" or "in the program" in each.message]


@pytest.mark.parametrize("kind", ["plain", "ideal-diode", ""])
def test_many_packs_of_which_nothing_is_known(kind: str) -> None:
    """Bounded by counts of trials, whatever the clock says."""
    count = 24
    tree = {
        "packyoke": "1",
        "name": "many",
        "packs": {f"p{n}": {} for n in range(count)},
        "joiners": {f"j{n}": {"type": kind} if kind else {} for n in range(count - 1)},
        "leads": {f"l{n}": {"from": f"p{n}", "to": f"j{max(0, n - 1)}"} for n in range(count)}
        | {f"k{n}": {"from": f"j{n}", "to": f"j{n + 1}"} for n in range(count - 2)}
        | {"m": {"from": f"j{count - 2}", "to": "controller"}},
        "controller": {},
    }
    report = check(load(yaml.dump(tree), "x.yaml"), "x.yaml")
    assert report.verdict in ("open", "stop")
    assert not [each for each in report.findings if each.rule == "rule-crashed"]
