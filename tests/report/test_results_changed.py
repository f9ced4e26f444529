"""Stored results of the check in which something was changed: told to be so, never a pass that no check has said."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Iterator
from typing import Any

import pytest

from packyoke.answers.check.as_json import batch_data
from packyoke.answers.results import NotAResult, Result, read_result
from packyoke.api import batch, check, load
from tests.support import EXAMPLES

STOP = {"rule": "r", "part": "packs.a", "severity": "stop", "message": "m", "fingerprint": "f"}
TAKEN = {**STOP, "severity": "caution", "fingerprint": "g", "accepted": "looked at (by Maren, until 2099-01-01)"}
NOTE = {**STOP, "severity": "note", "fingerprint": "h"}
COUNTS = {"stop": 1, "open": 0, "caution": 0, "note": 1, "accepted": 1}
BUILD = {"file": "a.yaml", "name": "a", "verdict": "stop", "counts": COUNTS, "findings": [STOP, TAKEN, NOTE]}
RESULT = {"schema": "packyoke/check/1", "tool": "1", "rules": "1", "shelf": "1", "builds": [BUILD]}
GOOD = {**BUILD, "verdict": "none-found", "counts": {**COUNTS, "stop": 0}, "findings": [TAKEN, NOTE]}


def read(**changed: object) -> Result:
    return read_result(json.dumps({**RESULT, **changed}).encode())


@pytest.mark.parametrize(
    "build", [BUILD, GOOD, {**BUILD, "counts": None}, {**GOOD, "verdict": "unreadable"}, {**STOP, **BUILD, "line": 3}]
)
def test_what_a_check_writes_is_read(build: dict[str, object]) -> None:
    assert [*read(builds=[build]).builds] == ["a.yaml"]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"builds": []}, "it holds no build"),
        ({"only": "packs-rush"}, "the result.only is not what a result has there"),  # was read as: all rules
        ({"builds": [{**BUILD, "verdict": "none-found"}]}, "the verdict none-found .* come to stop"),  # was SAME, 0
        ({"builds": [{**BUILD, "verdict": "caution"}]}, "the verdict caution .* come to stop"),
        (
            {"builds": [{**BUILD, "findings": []}]},
            r"verdict stop \(1 stop, 1 note, 1 accepted\), .* come to none-found:",
        ),
        ({"builds": [{**GOOD, "verdict": "stop"}]}, "the verdict stop .* come to none-found"),
        ({"builds": [{**BUILD, "findings": [STOP, TAKEN]}]}, r"come to stop \(1 stop, 1 accepted\)"),
        ({"builds": [{**BUILD, "findings": [STOP, STOP, TAKEN, NOTE]}]}, r"come to stop \(2 stop"),
        ({"builds": [{**BUILD, "counts": {**COUNTS, "stop": 2}}]}, r"verdict stop \(2 stop"),
        ({"builds": [{**BUILD, "counts": {**COUNTS, "stop": "1"}}]}, "was changed by hand. Check again"),
        ({"builds": [{**BUILD, "counts": 3}]}, r"builds\[0\].counts is not what a result has there"),
        ({"builds": [{**BUILD, "fingerprint": 5}]}, r"builds\[0\].fingerprint is not"),
        ({"builds": [{**BUILD, "assumed": {}}]}, r"builds\[0\].assumed is not"),
        *(
            ({"builds": [{**BUILD, "findings": [{**STOP, key: value}, TAKEN, NOTE]}]}, said)
            for key, value, said in (
                ("accepted", "so", r"the verdict stop .* come to none-found"),  # only cautions are accepted
                ("accepted", True, r"findings\[0\].accepted is not"),
                ("relation", ["at most"], r"findings\[0\].relation is not"),
                ("line", True, r"findings\[0\].line is not"),
                ("line", "3", r"findings\[0\].line is not"),
            )
        ),
    ],
)
def test_what_no_check_writes_is_told(changed: dict[str, object], said: str) -> None:
    with pytest.raises(NotAResult, match=said):
        read(**changed)


ODD: tuple[Any, ...] = (
    None, True, 0, -1, 2**63, 1e308, 5e-324, "", "x", "stop", "none-found", "packs.", [], {}, [1], {"a": 1}, [[]],
)  # fmt: skip
SEED, COUNT = 4711, 400


def _places(data: Any) -> Iterator[tuple[Any, Any]]:
    """Every value of a tree, by what holds it and its key there."""
    for key in data if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else ():
        yield data, key
        yield from _places(data[key])


def _stored() -> dict[str, Any]:
    reports = []
    for name in ("quay-plain-trike", "oakum-draft", "skerry-long-tail"):
        build = load((EXAMPLES / f"{name}.yaml").read_text("utf-8"), f"{name}.yaml")
        assert not isinstance(build, list)
        reports.append(check(build))
    kept: dict[str, Any] = json.loads(json.dumps(batch_data(batch(reports))))
    for build in kept["builds"]:  # what is not read again
        for key in ("parts", "sets", "sources", "to_find_out", "good_for", "cure"):
            del build[key]
    return kept


def test_whatever_is_changed_a_result_is_read_whole_or_not_at_all() -> None:
    """Values taken out, emptied, replaced and swapped: what is read has the verdict that its findings come to, and no
    finding fewer than it counts."""
    stored, drawn, read_again = _stored(), random.Random(SEED), 0
    for _ in range(COUNT):
        data = copy.deepcopy(stored)
        for _ in range(drawn.choice((1, 1, 2))):
            holds, key = drawn.choice([*_places(data)])
            change = drawn.randrange(4)
            if change == 0 and isinstance(holds, dict):
                del holds[key]
            elif change == 1:
                holds[key] = type(holds[key])() if holds[key] is not None else {}
            elif change == 2:
                other, there = drawn.choice([*_places(data)])
                holds[key], other[there] = copy.deepcopy(other[there]), copy.deepcopy(holds[key])
            else:
                holds[key] = copy.deepcopy(drawn.choice(ODD))
        try:
            found = read_result(json.dumps(data).encode())
        except NotAResult:
            continue
        read_again += 1
        for build in found.builds.values():
            words = {each.severity for each in build.findings.values() if not each.accepted} - {"note"}
            worst = max(words, key=("caution", "open", "stop").index, default="none-found")
            assert build.verdict in (worst, "unreadable")
    assert COUNT / 10 < read_again < COUNT * 9 / 10
