"""Times of the circuit and the worst cases, for the benchmark script; nothing here asserts."""

from __future__ import annotations

from collections.abc import Callable
from time import perf_counter

from packyoke.analysis.circuit.curves import Blocked, Demand, Joined, PackSource, Series, TreeNode, operating_point
from packyoke.analysis.circuit.worst_case import extremes


def chain(packs_count: int) -> tuple[TreeNode, dict[str, tuple[float, float]]]:
    """A chain of blocking joiners: each joins the chain so far with the next pack. The tree, and full and empty [V]."""
    root: TreeNode = Series(PackSource("pack 0", 54.0, 0.10), "lead 0", 0.02)
    for n in range(1, packs_count):
        pack = Series(PackSource(f"pack {n}", 54.0 - 0.4 * n, 0.10), f"lead {n}", 0.02)
        paths = (Blocked(Series(root, f"path {n}a", 0.003)), Blocked(Series(pack, f"path {n}b", 0.003)))
        root = Series(Joined(paths), f"outlet {n}", 0.01)
    return root, {f"pack {n}": (54.6, 39.0) for n in range(packs_count)}


def _seconds(run: Callable[[], object], repeats: int) -> float:
    best = float("inf")
    for _ in range(5):
        start = perf_counter()
        for _ in range(repeats):
            run()
        best = min(best, (perf_counter() - start) / repeats)
    return best


def measure() -> dict[str, float]:
    """Best of five [s]: an operating point with all branch currents, and all worst cases both ways."""
    six, six_ranges = chain(6)
    twelve, twelve_ranges = chain(12)
    load = Demand(current_a=25.0, cut_v=39.0)
    power = Demand(power_w=1200.0, cut_v=39.0)
    return {
        "operating point, 6-pack chain, current": _seconds(lambda: operating_point(six, load), 500),
        "operating point, 6-pack chain, power": _seconds(lambda: operating_point(six, power), 500),
        "worst cases, 6-pack chain": _seconds(lambda: extremes(six, six_ranges, 25.0, 39.0), 20),
        "worst cases, 12-pack chain": _seconds(lambda: extremes(twelve, twelve_ranges, 25.0, 39.0), 5),
    }


if __name__ == "__main__":
    for what, seconds in measure().items():
        print(f"{what}: {seconds * 1e6:.1f} us")
