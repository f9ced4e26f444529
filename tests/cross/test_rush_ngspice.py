"""The rush between packs of a build that are plugged together plainly, and how it dies away, against ngspice.

The first moment is compared on the tree of a whole build, leads and contacts in it; the levelling on the published
case of two like packs 0.1 V apart, 0.32 ohm between them, each a capacitor of 4038 F. Whole levellings with bent curves
stand in `test_rundown_ngspice`.
"""

from __future__ import annotations

import shutil
import subprocess
from itertools import pairwise
from pathlib import Path

import pytest

from packyoke.analysis.bench.metering import brisk_build, rush_into_a
from packyoke.analysis.case import Case
from packyoke.analysis.circuit.curves import Demand, Joined, PackSource, Series
from packyoke.analysis.circuit.network import lower, tree
from packyoke.analysis.discharge.course import discharge
from packyoke.analysis.discharge.stepping import Battery
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.cross.test_circuit_ngspice import SAME_A, Netlist
from tests.support import edited

pytestmark = [
    pytest.mark.cross,
    pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed"),
]

THIRD = {
    "packs.third": "{like: old, capacity: 10 Ah, resistance: 180 mohm}",
    "joiners.y.inputs": "3",
    "leads.third lead": "{from: third, to: y, length: 300 mm, gauge: 12 AWG, insulation: silicone, "
    "ends: [XT60 pin, XT60 socket]}",
}


def ran(text: str, folder: Path) -> list[list[float]]:
    (folder / "net.cir").write_text(text, encoding="utf-8")
    command = ["ngspice", "-b", "net.cir"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, timeout=60, check=False)
    assert (folder / "out.txt").exists(), done.stdout + done.stderr
    lines = (folder / "out.txt").read_text(encoding="utf-8").splitlines()
    return [[float(word) for word in line.split()] for line in lines]


def control(lines: list[str], what: str, step_s: float, until_s: float) -> str:
    return "\n".join(
        [
            "* rush",
            *lines,
            ".options reltol=1e-6 vntol=1e-7 abstol=1e-9",
            ".control",
            "set wr_singlescale",
            "set numdgt=12",
            f"tran {step_s!r} {until_s!r}",
            f"wrdata out.txt {what}",
            "quit",
            ".endc",
            ".end",
            "",
        ]
    )


@pytest.mark.parametrize(
    "volts_v",
    [{"old": 53.9, "new": 49.2}, {"old": 50.1, "new": 50.5}, {"old": 54.6, "new": 39.0, "third": 48.0}],
    ids=["4.7 V apart", "0.4 V apart", "three packs"],
)
def test_first_moment_on_the_tree_of_a_build(volts_v: dict[str, float], tmp_path: Path) -> None:
    build = load(edited("quay-plain-trike", THIRD if "third" in volts_v else {}), "rush.yaml")
    assert isinstance(build, Build), build
    case = Case(brisk_build(build))
    ours = rush_into_a(case, "y", volts_v)
    net = Netlist(tree(case, "y", volts_v, lower, plain=frozenset(("y",))), Demand(0.0))
    meters = [f"i({net.meters[f'packs.{name}']})" for name in volts_v]
    *_, last = ran(control(net.lines, " ".join(meters), 1e-4, 5e-3), tmp_path)
    theirs = dict(zip(volts_v, last[1:], strict=True))
    assert sum(theirs.values()) == pytest.approx(0.0, abs=SAME_A)
    for name, current_a in theirs.items():
        assert ours[name] == pytest.approx(max(0.0, -current_a), abs=SAME_A)


def test_levelling_of_two_packs_0_1_v_apart(tmp_path: Path) -> None:
    """0.3125 A at once, 646 s to 37 %, 0.1148 A after 647 s (published with ngspice); straight curves on both sides."""
    farad, ohm = 4038.0, 0.32
    first_a = 0.3125
    start = ".ic v(a)=50.1 v(b)=50.0"
    lines = [f"c1 a 0 {farad}", f"c2 b 0 {farad}", "vm a c 0", f"r1 c b {ohm}", start]
    rows = ran(control(lines, "i(vm)", 1.0, 700.0), tmp_path)
    theirs = min(rows, key=lambda row: abs(row[0] - 647.0))[1]
    # A capacitor of 4038 F is a pack that rises by 10 V over 40380 C.
    packs = [Battery(name, name, (0.0, 1.0), (45.0, 55.0), 10 * farad, ohm / 2, 0.0) for name in "ab"]
    root = Joined(tuple(Series(PackSource(name, 50.0, ohm / 2), f"lead {name}", 0.0) for name in "ab"))
    run = discharge(root, Demand(0.0), packs, [0.51, 0.50], 0.0)
    before, after = next((a, b) for a, b in pairwise(run.series) if a.time_s <= 647.0 <= b.time_s)
    share = (647.0 - before.time_s) / (after.time_s - before.time_s)
    ours = before.currents_a[0] + share * (after.currents_a[0] - before.currents_a[0])
    assert run.series[0].currents_a[0] == pytest.approx(first_a, abs=1e-6)
    assert theirs == pytest.approx(0.1148, rel=0.01)
    assert ours == pytest.approx(theirs, rel=0.01)
