"""A drawn harness with more wires and fuses than can be tried together: the most promising ones are, and it says so."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from packyoke.core.findings import Severity
from packyoke.planning import dress
from packyoke.planning.plan import plan
from packyoke.planning.result import NONE_FOUND, NoPlan, Plan, Stuck
from packyoke.verdict.check import check
from tests.limits import Written, chain, without
from tests.planning.bikes import build_of

TOO_MANY = "too many wires and fuses to try them all together, and nothing better was found"


def planned(packs: int, amps: str, *open_fields: str) -> Any:
    tree = without(chain(packs), *(open_fields or ("leads.gauge",)))
    tree["controller"]["battery_current"] = amps
    return plan(build_of(yaml.dump(tree, Dumper=Written, sort_keys=False)))


@pytest.mark.parametrize("most", [0, 50, 500])
@pytest.mark.parametrize("packs", [3, 4])
def test_what_is_found_is_as_good_here_and_not_called_proved(
    packs: int, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = planned(packs, "8 A")
    assert isinstance(whole, Plan), whole
    assert whole.proved
    monkeypatch.setattr(dress, "MOST_LABELS", most)
    found = planned(packs, "8 A")
    assert isinstance(found, Plan), found
    assert (found.proved, found.doubt.startswith(TOO_MANY)) == (False, True)
    assert found.objective == whole.objective


def test_no_wire_for_what_is_followed_is_no_proof_that_there_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    behind = dress.HarnessTree.behind

    def stuck(tree: dress.HarnessTree, lead: Any) -> Any:
        if tree.narrowed:
            raise Stuck(NoPlan(constraint="wire too thin", rule="lead-overheats"))
        return behind(tree, lead)

    monkeypatch.setattr(dress, "MOST_LABELS", 50)
    monkeypatch.setattr(dress.HarnessTree, "behind", stuck)
    found = planned(3, "8 A")
    assert isinstance(found, NoPlan), found
    assert found.constraint == f"{NONE_FOUND}; the nearest: wire too thin"
    # A wire that no lead can have is found before there are too many.
    assert planned(3, "500 A").constraint == "wire too thin"


def test_as_many_labels_are_made_as_there_may_be_and_not_one_more(monkeypatch: pytest.MonkeyPatch) -> None:
    counts: list[int] = []
    best_two = dress._all_best_two

    def counted(tree: dress.HarnessTree, last: Any) -> Any:
        found = best_two(tree, last)
        counts.append(tree.made)
        return found

    monkeypatch.setattr(dress, "_all_best_two", counted)
    assert planned(3, "8 A").proved
    (made,) = counts
    for most, proved in ((made, True), (made - 1, False)):
        monkeypatch.setattr(dress, "MOST_LABELS", most)
        assert planned(3, "8 A").proved is proved


def test_twelve_packs_in_a_row_end_in_an_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    """The last joiner carries the load of all through one connector; it went on for minutes."""
    monkeypatch.setattr(dress, "MOST_LABELS", 3_000)
    found = planned(12, "30 A")
    assert isinstance(found, Plan), found
    assert (found.proved, found.doubt.startswith(TOO_MANY)) == (False, True)
    assert all(each.severity < Severity.OPEN for each in check(found.build).findings)
