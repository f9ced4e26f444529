"""Every command that reads a build takes the shop file: beside the build, named, or none."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.support import EXAMPLES

SHELF = (
    "packyoke-shop: 1\nname: Harbour bench\nshelf:\n  packs:\n    slim: {label: 48 V, chemistry: NMC, series: 14, "
    "capacity: 13 Ah, discharge: 30 A, charge: 4 A, cut_off: 42 V}\n"
)
COMMANDS = {
    "check": (),
    "plan": (),
    "rundown": (),
    "range": (),
    "charge": (),
    "meter": ("--volts", "pannier=55"),
    "sheet": ("--for", "workshop", "--format", "text"),
}


@pytest.mark.parametrize("command", COMMANDS)
def test_a_part_of_the_shelf(packyoke: Run, tmp_path: Path, command: str) -> None:
    text = (EXAMPLES / "skerry-long-tail.yaml").read_text(encoding="utf-8")
    a = text.index("  pannier:\n")
    pannier = text[a : text.index("\n\n", a)]
    lines = [line for line in pannier.splitlines() if "like:" not in line and "capacity:" not in line]
    build = tmp_path / "bike.yaml"
    build.write_text(text.replace(pannier, "\n".join([lines[0], "    part: slim", *lines[1:]])), encoding="utf-8")
    elsewhere = tmp_path / "shops" / "mine.yaml"
    elsewhere.parent.mkdir()
    elsewhere.write_text(SHELF, encoding="utf-8")
    given = (command, build, *COMMANDS[command])
    code, _, err = packyoke(*given, "--shop", elsewhere)
    assert code in (0, 1), err
    code, out, err = packyoke(*given, "--no-shop")
    assert (code, 'nothing on the shelf called "slim"' in out + err) == (2, True)
    (tmp_path / "packyoke-shop.yaml").write_text(SHELF, encoding="utf-8")
    assert packyoke(*given)[0] in (0, 1)
    assert packyoke(*given, "--shop", tmp_path / "none.yaml")[0] == 2
