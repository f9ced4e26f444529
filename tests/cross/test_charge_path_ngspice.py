"""Currents of charging through a joiner against ngspice: every set of packs at several charges in one netlist.

The resistances of leads and contacts are those of the brute-force test, not the program's. A path that blocks is
I = max(0, V - Vf) / R. The charger's current is ramped in a short transient; where nothing takes it, it goes
elsewhere above 60 V.
"""

from __future__ import annotations

import shutil
from itertools import product
from pathlib import Path
from random import Random

import pytest

from tests.analysis.test_flows_oracle import Spec, branches_of, flows_of, random_spec
from tests.ngspice import RAMP, after_the_ramp

pytestmark = [
    pytest.mark.cross,
    pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed"),
]

SAME_A = 2e-3
"""[A]: ngspice's convergence, and leads written in whole micrometres."""


def states(spec: Spec) -> list[list[float | None]]:
    """Open-circuit voltages of every set of packs, each empty, half and full."""
    found = product(*((None, cut, (cut + full) / 2, full) for _, full, cut in spec.packs))
    return [list(emf_v) for emf_v in found if any(each is not None for each in emf_v)]


def netlist(spec: Spec) -> tuple[list[str], list[tuple[int, str]]]:
    """The lines of all states side by side, and which ammeter `v<state><lead>` stands for what."""
    lines, meters = [], []
    for at, emf_v in enumerate(states(spec)):
        for n, each in enumerate(branches_of(spec, emf_v)):
            inside = f"e{at}_{n}" if each.emf_v is not None else f"j{at}_{each.node}"
            if each.emf_v is not None:
                lines.append(f"ve{at}_{n} {inside} 0 {each.emf_v!r}")
            middle, out = f"m{at}_{n}", f"j{at}_{each.into}"
            if each.one_way:
                lines.append(
                    f"b{at}_{n} {inside} {middle} i = uramp(v({inside},{middle}) - {each.drop_v}) / {each.ohm!r}"
                )
            else:
                lines.append(f"r{at}_{n} {inside} {middle} {each.ohm!r}")
            lines.append(f"v{at}{each.lead} {middle} {out} 0")
            meters.append((at, each.lead))
        charger = f"j{at}_{spec.charge_at}"
        lines.append(f"b{at}_c 0 {charger} i = {spec.charge_a} * {RAMP}")
        lines.append(f"b{at}_d {charger} 0 i = uramp(v({charger}) - 60)")
    return lines, meters


def run(spec: Spec, folder: Path) -> dict[tuple[int, str], float]:
    """What each ammeter shows once the charger is on [A], and the voltage at the charger under the name "volts" [V]."""
    lines, meters = netlist(spec)
    nodes = [f"v(j{at}_{spec.charge_at})" for at in range(len(states(spec)))]
    wanted = [*(f"i(v{at}{lead})" for at, lead in meters), *nodes]
    shown = after_the_ramp(lines, wanted, folder)
    return dict(zip([*meters, *((at, "volts") for at in range(len(nodes)))], shown, strict=True))


def charging(seed: int) -> Spec:
    """A build with a charger and nothing else that drives a current, but the packs themselves."""
    dice = Random(7000 + seed)
    while True:
        spec = random_spec(dice)
        if spec.charge_a:
            return spec._replace(regen_a=0.0)


@pytest.mark.parametrize("seed", range(20), ids=lambda seed: f"charged {seed}")
def test_current_of_charging_in_every_lead(seed: int, tmp_path: Path) -> None:
    spec = charging(seed)
    shown = run(spec, tmp_path)
    full_v = max(full for _, full, _ in spec.packs)
    most: dict[str, float] = {}
    for (at, lead), amps in shown.items():
        # Above the fullest pack's full charge the charger has given up its current.
        if lead == "volts" or shown[at, "volts"] > full_v + 1e-9:
            continue
        onward = amps if lead == "l2" and spec.charge_at == 0 and len(spec.packs) == 3 else 0.0
        most[lead] = max(most.get(lead, 0.0), -amps, onward)
    for name, found in flows_of(spec).items():
        if name != f"l{len(spec.leads) - 1}":
            assert found.back_a == pytest.approx(most.get(name, 0.0), rel=2e-4, abs=SAME_A), (name, spec)
