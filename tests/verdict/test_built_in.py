"""The bike maker's own joiner: asked is what its maker states and what a meter tells, never what is inside the bike."""

from __future__ import annotations

import pytest

from packyoke.api import Build, check, load
from tests.support import edited

DAY = "2026-11-28"
KINDS = ("", "plain", "diode", "ideal-diode", "selector", "unknown", "ideal-diode ?")
STATED = ("yes", "{packs: 2, full_charge: 42 V, current: 20 A}")
FROM_MAKER_OR_METER = {"built_in", "packs", "full_charge", "current", "type", "makes"}


@pytest.mark.parametrize("stated", STATED)
@pytest.mark.parametrize("kind", KINDS)
def test_what_is_inside_is_not_asked(kind: str, stated: str) -> None:
    put = {"joiners.maker.built_in": stated} | ({"joiners.maker.type": kind} if kind else {})
    build = load(edited("factory-double", put, () if kind else ["joiners.maker.type"]), "x.yaml", today=DAY)
    assert isinstance(build, Build), build
    report = check(build, today=DAY)
    asked = {(each.part, each.field) for each in report.to_find_out}
    of_joiner = {field.rpartition(".")[2] for part, field in asked if part.startswith("joiners.maker")}
    assert of_joiner <= FROM_MAKER_OR_METER, of_joiner
    # The wire to the controller came with it; the packs sit in it without a cable.
    assert not [each for each in asked if each[0].startswith("leads.")]
    assert ("controller", "inlet") not in asked
    blocks_for_sure = kind in ("diode", "ideal-diode", "selector")
    assert ("type" in of_joiner) == (not blocks_for_sure and kind != "plain"), asked
    assert kind != "selector" or "makes" in of_joiner
    if kind == "plain":
        assert report.verdict == "stop"
    elif not blocks_for_sure or stated == "yes" or kind == "selector":
        assert report.verdict == "open"
    else:
        assert report.verdict == "caution", [(each.rule, each.severity) for each in report.findings]
