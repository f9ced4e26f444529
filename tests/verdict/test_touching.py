"""Which findings count against which question."""

from __future__ import annotations

import pytest

from packyoke.core.findings import Finding, Severity
from packyoke.verdict.touching import Action, touching
from tests.support import EXAMPLES
from tests.verdict.test_layout import read

BUILD = read((EXAMPLES / "breakwater-three-packs.yaml").read_text(encoding="utf-8"))


def finding(rule: str, part: str = "leads.link", **said: object) -> Finding:
    return Finding(rule=rule, severity=Severity.STOP, part=part, message="x").but(**said)


@pytest.mark.parametrize(
    ("found", "join", "charge", "ride"),
    [
        # a rule that nobody has sorted counts against everything
        (finding("no-such-rule"), True, True, True),
        (finding("local-law", "build"), False, False, False),
        (finding("voltage-drop"), False, False, True),
        (finding("lead-overheats"), False, True, True),
        (finding("charger-voltage", "chargers.depot"), False, True, True),
        (finding("charger-voltage", "packs.north"), True, True, True),
        (finding("controller-window", "controller"), True, False, True),
        (finding("live-pins", "packs.north"), True, True, True),
        (finding("cells-overworked", "packs.north"), False, False, True),
        (finding("lead-overheats", "packs.north"), False, True, True),
        # what the voltages at hand decide is worked out by whoever has them, but for what no voltage meets
        (finding("packs-rush", "joiners.first"), False, True, True),
        (finding("packs-rush", "joiners.first", cause="backwards"), True, True, True),
        # a reading beyond a limit is a fact
        (finding("lead-overheats", cause="measured"), True, True, True),
        (finding("lead-overheats", severity=Severity.CAUTION), False, False, False),
        (finding("lead-overheats", severity=Severity.OPEN), False, True, True),
        (finding("no-such-rule", accepted="by the lead"), False, False, False),
    ],
)
def test_what_touches_a_question(found: Finding, join: bool, charge: bool, ride: bool) -> None:
    """Charging goes through the joiners here, so that what the load does to leads counts for it."""
    build = BUILD.but(chargers={name: each.but(y_lead=True) for name, each in BUILD.chargers.items()})
    answers: dict[Action, bool] = {"join": join, "charge": charge, "ride": ride}
    assert {question: bool(touching(build, [found], question)) for question in answers} == answers


def test_charging_at_the_packs_own_port_asks_nothing_of_the_load() -> None:
    build = BUILD.but(chargers={name: each.but(y_lead=None, through=None) for name, each in BUILD.chargers.items()})
    assert not touching(build, [finding("lead-overheats")], "charge")


def test_what_is_found_at_packs_that_stay_unplugged_does_not_count() -> None:
    at_north = finding("live-pins", "packs.north")
    of_both = finding("no-such-rule", "joiners.first", also=(("packs.north", None), ("packs.south", None)))
    for found in (at_north, of_both):
        assert touching(BUILD, [found], "join", ["north", "box"])
        assert not touching(BUILD, [found], "join", ["box"])
    assert touching(BUILD, [of_both], "join", ["south"])


def test_the_worst_comes_first() -> None:
    found = [finding("live-pins", "packs.north", severity=Severity.OPEN), finding("no-such-rule")]
    assert [each.severity for each in touching(BUILD, found, "ride")] == [Severity.STOP, Severity.OPEN]
