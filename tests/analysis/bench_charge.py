"""Times of charging plans and cards, for the benchmark script; nothing here asserts.

Bar: the order of 6 packs on 3 chargers in 10 ms.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from time import perf_counter

from packyoke.analysis.bench.metering import read_voltages
from packyoke.analysis.case import Case
from packyoke.analysis.charging.card import card
from packyoke.analysis.charging.order import plans
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.support import base_text, edited


def seconds(run: Callable[[], object], repeats: int) -> float:
    best = float("inf")
    for _ in range(repeats):
        start = perf_counter()
        run()
        best = min(best, perf_counter() - start)
    return best


def six_packs() -> Build:
    """The parcel trike with three more packs and two more chargers."""
    packs = {f"packs.extra {n}": f"{{like: north, capacity: {12 + n} Ah, rack: none}}" for n in range(3)}
    wires = {
        f"leads.extra lead {n}": f"{{from: extra {n}, to: first, length: 300 mm, gauge: 12 AWG, "
        "ends: [XT60 pin, XT60 socket]}"
        for n in range(3)
    }
    names = ", ".join(["north, south, box", *(f"extra {n}" for n in range(3))])
    chargers = {
        f"chargers.more {n}": f"{{output: 54.6 V, current: {2 + n} A, plug: XLR 3, fits: [{names}]}}" for n in range(3)
    }
    put = {**packs, **wires, **chargers, "joiners.first.inputs": "5"}
    build = load(edited("breakwater-three-packs", put), "six.yaml")
    assert isinstance(build, Build), build
    return build


def plain_pair() -> Build:
    build = load(base_text("quay-plain-trike"), "pair.yaml")
    assert isinstance(build, Build), build
    return build


def measure() -> dict[str, float]:
    """Best times [s]."""
    rng = Random(1)
    found = {}
    for packs, chargers in ((3, 2), (6, 3), (8, 4)):
        durations_s = {(f"c{c}", f"p{p}"): rng.uniform(1, 6) for c in range(chargers) for p in range(packs)}
        name = f"order of {packs} packs on {chargers} chargers"
        found[name] = seconds(lambda: plans(durations_s), 5)  # noqa: B023
    six, pair = six_packs(), plain_pair()
    found["charging card, 6 packs, 4 chargers"] = seconds(lambda: card(Case(six)), 5)
    volts_v = {"old": 53.9, "new": 53.6}
    found["meter, 2 packs on a plain joiner"] = seconds(lambda: read_voltages(Case(pair), volts_v), 5)
    return found


if __name__ == "__main__":
    for what, value in measure().items():
        print(f"{what}: {value * 1e3:.2f} ms")
