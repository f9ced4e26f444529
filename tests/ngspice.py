"""A network in ngspice: loads are ramped in a short transient, for its operating point alone can converge falsely."""

from __future__ import annotations

import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

RAMP = "min(1, time / 1m)"
"""What is multiplied with a load: all of it from 1 ms on."""


def after_the_ramp(lines: Sequence[str], wanted: Sequence[str], folder: Path) -> list[float]:
    """The values of expressions once the ramp is over [V], [A].

    :param lines: elements of the netlist
    :param wanted: such as `v(n1)` and `i(vm2)`
    """
    text = [
        "* network",
        *lines,
        ".options reltol=1e-9 vntol=1e-9 abstol=1e-9 itl4=500 rshunt=1e12",
        ".control",
        "set wr_singlescale",
        "set numdgt=15",
        "tran 10u 1.2m 0 10u",
        f"wrdata out.txt {' '.join(wanted)}",
        "quit",
        ".endc",
        ".end",
    ]
    (folder / "net.cir").write_text("\n".join(text) + "\n")
    ran = subprocess.run(
        ["ngspice", "-b", "net.cir"], cwd=folder, capture_output=True, text=True, timeout=60, check=False
    )
    assert (folder / "out.txt").exists(), ran.stdout + ran.stderr
    last = [float(word) for word in (folder / "out.txt").read_text().split("\n")[-2].split()]
    assert last[0] == pytest.approx(1.2e-3, rel=1e-6), ran.stdout + ran.stderr
    return last[1:]
