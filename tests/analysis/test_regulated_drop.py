"""What an ideal diode holds by itself at small currents, 15 to 30 mV whatever its resistance, does to the currents.

The circuit counts such a path as its resistance alone. Here it is solved with the held drop, by bisection and without
the program's code: no current that a rule reads is larger, and none is smaller by more than the held drop drives.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from random import Random

import pytest

from tests.analysis.test_flows_oracle import Spec, flows_of, lead_ohm, random_spec

HELD_V = 0.03
"""The most that such a path holds: common practice."""

Curve = Callable[[float], float]
"""Current into a node at its voltage [V] -> [A]."""


def from_pack(emf_v: float, ohm: float, path_ohm: float) -> Curve:
    """From a pack, over its resistance and a lead's, through an ideal diode that holds a drop or is fully on."""
    return lambda volts_v: max(0.0, min((emf_v - volts_v - HELD_V) / ohm, (emf_v - volts_v) / (ohm + path_ohm)))


def from_node(behind: Curve, ohm: float, path_ohm: float) -> Curve:
    """The same from a node with a curve: by bisection."""

    def current(volts_v: float) -> float:
        low, high = 0.0, 100.0
        for _ in range(45):
            amps = (low + high) / 2
            more = behind(volts_v + amps * ohm + max(HELD_V, amps * path_ohm)) > amps
            low, high = (amps, high) if more else (low, amps)
        return low

    return current


def joined(spec: Spec, emf_v: list[float | None]) -> tuple[Curve, list[tuple[str, Curve]]]:
    """The curve of the last joiner, and those of the leads into it, with only these packs."""
    inner = [
        (f"l{n}", from_pack(volts, spec.packs[n][0] + lead_ohm(spec.leads[n]), spec.path_ohm[0]))
        for n, volts in enumerate(emf_v[:2])
        if volts is not None
    ]
    if len(spec.packs) == 2:
        return (lambda volts_v: sum(each(volts_v) for _, each in inner)), inner
    outer = [("l2", from_node(lambda v: sum(each(v) for _, each in inner), lead_ohm(spec.leads[2]), spec.path_ohm[1]))]
    if emf_v[2] is not None:
        outer.append(("l3", from_pack(emf_v[2], spec.packs[2][0] + lead_ohm(spec.leads[3]), spec.path_ohm[1])))
    outer = [each for each in outer if inner or each[0] == "l3"]
    return (lambda volts_v: sum(each(volts_v) for _, each in outer)), outer


def drawn(curve: Curve, amps: float, top_v: float) -> float:
    """The voltage at which a curve gives a current."""
    low, high = 0.0, top_v
    for _ in range(45):
        volts = (low + high) / 2
        low, high = (volts, high) if curve(volts) > amps else (low, volts)
    return high


@pytest.mark.parametrize("seed", range(12))
def test_no_current_is_larger_than_the_circuit_says(seed: int) -> None:
    spec = random_spec(Random(seed))._replace(regen_a=0.0, charge_a=0.0)
    spec = spec._replace(types=["ideal-diode"] * len(spec.types))
    most: dict[str, float] = {}
    for emf_v in product(*((None, cut, (cut + full) / 2, full) for _, full, cut in spec.packs)):
        if all(each is None for each in emf_v):
            continue
        curve, leads = joined(spec, list(emf_v))
        bus_v = drawn(curve, spec.limit_a, 54.6)
        if bus_v - spec.limit_a * lead_ohm(spec.leads[-1]) < 39.0:
            continue
        for name, each in leads:
            most[name] = max(most.get(name, 0.0), each(bus_v))
    assert most
    for name, found in flows_of(spec).items():
        if name in most:
            assert found.forward_a >= most[name] - 1e-3, (name, spec)
            assert found.forward_a == pytest.approx(most[name], abs=HELD_V / min(ohm for ohm, _, _ in spec.packs))


def test_the_held_drop_shifts_a_share_by_no_more_than_it_drives() -> None:
    """Two packs of 100 mohm and 10 mohm of lead, 0.3 V apart, 2 mohm paths, 20 A. By hand without the held drop:
    (0.3 / 0.112 + 20) / 2 = 11.339 A and 8.661 A. Both paths then drop 23 and 17 mV, less than the 30 mV that each
    holds: with it, (0.3 / 0.110 + 20) / 2 = 11.364 A, 25 mA more, where one pack alone gives the whole 20 A."""
    curves = [from_pack(volts, 0.110, 0.002) for volts in (50.3, 50.0)]
    bus_v = drawn(lambda volts_v: sum(each(volts_v) for each in curves), 20.0, 54.6)
    assert [each(bus_v) for each in curves] == pytest.approx([11.3636, 8.6364], abs=1e-3)
