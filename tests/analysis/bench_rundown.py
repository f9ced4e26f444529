"""Times of rundowns, for the benchmark script, against ngspice on the same network; nothing here asserts."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from collections.abc import Callable
from itertools import combinations
from pathlib import Path
from time import perf_counter

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.curves import Demand
from packyoke.analysis.discharge.course import discharge
from packyoke.analysis.discharge.rundown import summary
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.rundowns import Transient, battery, chain
from tests.support import edited

START = (1.0, 0.9, 0.85, 0.7, 0.95, 0.8)


def seconds(run: Callable[[], object], repeats: int) -> float:
    best = float("inf")
    for _ in range(repeats):
        start = perf_counter()
        run()
        best = min(best, perf_counter() - start)
    return best


def five_packs() -> Build:
    """The parcel trike with two more packs on one wide joiner."""
    packs = {f"packs.extra {n}": f"{{like: north, capacity: {12 + n} Ah, rack: none}}" for n in (1, 2)}
    wires = {
        f"leads.extra lead {n}": f"{{from: extra {n}, to: first, length: 300 mm, gauge: 12 AWG, "
        "ends: [XT60 pin, XT90 socket]}"
        for n in (1, 2)
    }
    build = load(edited("breakwater-three-packs", {**packs, **wires, "joiners.first.inputs": "4"}), "five.yaml")
    assert isinstance(build, Build), build
    return build


def measure() -> dict[str, float]:
    """Best times [s] of a rundown with every moment kept, and of all sets of five packs; how much longer ngspice takes
    for the same network at steps of 1 s, the start of its process included [-]."""
    found: dict[str, float] = {}
    for count in (2, 6):
        packs = [battery(f"p{n}", 14.0 - n, 0.10 + 0.01 * n) for n in range(count)]
        root, start = chain(packs), START[:count]
        for what, drawn in (("current", Demand(15.0 * count / 2)), ("power", Demand(power_w=350.0 * count))):
            name = f"rundown, {count}-pack chain, {what}"
            run = discharge(root, drawn, packs, start, 39.0)
            found[name] = seconds(lambda: discharge(root, drawn, packs, start, 39.0), 7)  # noqa: B023
            if shutil.which("ngspice"):
                net = Transient(root, drawn, packs, start)
                with tempfile.TemporaryDirectory() as folder:
                    (Path(folder) / "net.cir").write_text(net.text(run.duration_s, 1.0), encoding="utf-8")
                    command = ["ngspice", "-b", "net.cir"]
                    spice_s = seconds(
                        lambda: subprocess.run(command, cwd=folder, capture_output=True, check=True),  # noqa: B023
                        3,
                    )
                found[f"ngspice / {name}"] = spice_s / found[name]
    case = Case(five_packs())
    names = tuple(case.build.packs)
    sets = [some for count in range(1, 6) for some in combinations(names, count)]
    found[f"rundowns of all {len(sets)} sets of 5 packs"] = seconds(lambda: summary(case, sets), 2)
    return found


if __name__ == "__main__":
    for what, value in measure().items():
        print(f"{what}: {value:.1f} x" if "/" in what else f"{what}: {value * 1e3:.1f} ms")
