"""`packyoke why` as somebody types it: riders say the same in many words."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Run


@pytest.mark.parametrize(
    ("symptom", "rule"),
    [
        ("swollen battery", "pack-unsound"),
        ("connector is hot", "connector-overloaded"),
        ("hot connector", "connector-overloaded"),
        ("hot wires", "lead-overheats"),
        ("one battery charges the other", "packs-rush"),
        ("one battery charges the other", "back-charged"),
        ("got a shock", "shock-voltage"),
        ("smoke", "lead-overheats"),
        ("burning smell", "joiner-overheats"),
        ("battery empty after standing a week", "accessory-tap"),
        ("dies on hills", "pack-overloaded"),
        ("stops on a steep climb", "pack-overloaded"),
    ],
)
def test_the_rule_behind_a_symptom(packyoke: Run, symptom: str, rule: str) -> None:
    code, out, _ = packyoke("why", "--symptom", symptom)
    assert code == 0
    assert any(line.strip().startswith(rule) for line in out.splitlines()), out


@pytest.mark.parametrize(
    ("symptom", "alarm"),
    [("smoke", True), ("swollen pack", True), ("it hisses", True), ("dies on hills", False), ("hot plug", False)],
)
def test_at_smoke_nobody_goes_on_reading(packyoke: Run, symptom: str, alarm: bool) -> None:
    _, out, _ = packyoke("why", "--symptom", symptom)
    assert ("fire brigade" in out) is alarm
    assert max(map(len, out.splitlines())) <= 80


def test_a_rule_or_a_symptom(packyoke: Run) -> None:
    code, _, err = packyoke("why", "packs-rush", "--symptom", "hot")
    assert (code, "one of the two" in err) == (2, True)
    assert packyoke("why", "PACKS-RUSH")[0] == 0
    code, _, err = packyoke("why", "PACK-RUSH")
    assert (code, "packs-rush" in err) == (2, True)
