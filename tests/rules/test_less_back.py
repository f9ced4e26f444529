"""What is advised where too much current flows back into a part: by braking, by one charger, by several."""

from __future__ import annotations

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.currents import BRAKING
from packyoke.analysis.limits.settings import Excess
from packyoke.api import load
from packyoke.model import Build
from packyoke.rules.mends import less_back
from tests.support import edited

OFF, OWN = "Switch braking off in the controller's settings", "Charge each pack by itself, at its own socket"
CHAIN = {
    "joiners.j1.type": "plain",
    "joiners.j2.type": "plain",
    "chargers.big.through": "j1",
    "chargers.second": {"output": "58.8 V", "current": "4 A", "plug": "XT90", "through": "j2"},
    "controller.regen": {"current": "20 A"},
}


@pytest.mark.parametrize(
    ("back_by", "limit_a", "advice"),
    [
        (BRAKING, 12.39, {"Set braking to at most 12.3 A": ["controller"], OFF: ["controller"]}),
        (BRAKING, 0.1, {"Set braking to at most 0.1 A": ["controller"], OFF: ["controller"]}),
        (BRAKING, 0.09, {OFF: ["controller"]}),
        ("big", 4.59, {"A charger of at most 4.5 A": ["chargers.big"], OWN: ["chargers.big"]}),
        ("big", 0.1, {"A charger of at most 0.1 A": ["chargers.big"], OWN: ["chargers.big"]}),
        ("big", 0.09, {OWN: ["chargers.big"]}),
        ("big and second", 4.59, {OWN: ["chargers.big", "chargers.second"]}),
    ],
)
def test_what_is_advised_of_too_much_that_flows_back(
    back_by: str, limit_a: float, advice: dict[str, list[str]]
) -> None:
    """A tenth of an ampere is the finest setting; nothing is set to none."""
    build = load(edited("trike-chain", CHAIN, ["joiners.j1.blocks_in"]), "x.yaml", today="2026-11-25")
    assert isinstance(build, Build), build
    found = less_back(Case(build), "packs.a", Excess(found_a=20.0, limit_a=limit_a, peak_s=None, back_by=back_by))
    assert {mend.text: [each.path for each in mend.changes] for mend in found} == advice
