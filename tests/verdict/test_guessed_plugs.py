"""A plug that somebody guesses is no fact and no pass: what it would stop as written is open, on the card as well."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.answers.charge.answer import view
from packyoke.api import check, load
from packyoke.core.findings import Severity
from packyoke.model import Build
from tests.support import edited

SKERRY, PORT = "skerry-long-tail", "port-for-charging"
STRONG = {"chargers.counter.current": "8 A", "packs.keel.charge": "10 A", "packs.pannier.charge": "10 A"}
AT_THE_JOINER = {
    "joiners.yoke.charge_port": "{current: 10 A, blocks: each pack, inlet: XT60 socket}",
    "chargers.counter.through": "yoke",
}
CASES: list[tuple[str, dict[str, Any], str, str, str]] = [
    # Base, what is changed, the charger, the plug, the rule that stops it as written.
    (SKERRY, STRONG, "counter", "5.5 mm barrel", "charge-port-overloaded"),
    (SKERRY, STRONG | AT_THE_JOINER, "counter", "5.5 mm barrel", "charge-port-overloaded"),
    (PORT, {}, "p", "XLR 3", "ends-do-not-mate"),
    (SKERRY, {"packs.keel.charge_inlet": "XLR 3 socket"}, "counter", "5.5 mm barrel", "ends-do-not-mate"),
    (SKERRY, {}, "counter", "C13", "mains-connector"),
]


def built(base: str, put: dict[str, Any], charger: str, plug: str) -> Build:
    found = load(edited(base, put | {f"chargers.{charger}.plug": plug}), "x.yaml", today="2026-11-25")
    assert isinstance(found, Build), found
    return found


@pytest.mark.parametrize(("base", "put", "charger", "plug", "rule"), CASES)
def test_a_guessed_plug(base: str, put: dict[str, Any], charger: str, plug: str, rule: str) -> None:
    said = {}
    for text in (plug, f"{plug} ?"):
        build = built(base, put, charger, text)
        report = check(build, "x.yaml", today="2026-11-25", brief=True)
        said[text] = {each.rule: each.severity for each in report.findings}.get(rule)
        assert not view(build).answered, text
    assert said == {plug: Severity.STOP, f"{plug} ?": Severity.OPEN}


def test_a_guess_on_which_nothing_hangs_is_no_question() -> None:
    report = check(built(SKERRY, {}, "counter", "XT60 ?"), "x.yaml", today="2026-11-25")
    assert report.verdict in ("none-found", "caution")
