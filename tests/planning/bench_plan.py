"""Times of plans, for the benchmark script; nothing here asserts."""

from __future__ import annotations

from random import Random
from time import perf_counter

from packyoke.planning.plan import plan
from packyoke.planning.result import Plan
from tests.planning.bikes import build_of, random_bike
from tests.support import base_text

SEEDS = range(16)
PACKS, PLACES = 6, 8


def measure() -> dict[str, float]:
    """Times [s] of whole plans, reading left out: six packs, eight places that hold none to two joiners, two families
    of connectors, the median and the longest of sixteen bikes; how many of them were proved best [-]."""
    times, proved = [], 0
    for seed in SEEDS:
        build = build_of(random_bike(Random(seed), PACKS, PLACES, families=("XT60", "XT90"), holds=2))
        start = perf_counter()
        found = plan(build)
        times.append(perf_counter() - start)
        proved += isinstance(found, Plan) and found.proved
    times.sort()
    gannet = build_of(base_text("gannet-planned"))
    start = perf_counter()
    plan(gannet)
    return {
        f"plan, {PACKS} packs, {PLACES} places, median": times[len(times) // 2],
        f"plan, {PACKS} packs, {PLACES} places, longest": times[-1],
        f"plans proved best, of {len(times)}": float(proved),
        "plan, gannet-planned": perf_counter() - start,
    }


if __name__ == "__main__":
    for what, value in measure().items():
        print(f"{what}: {value:.3g}")
