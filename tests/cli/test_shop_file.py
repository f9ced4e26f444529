"""Every command that reads a build takes the shop file: beside the build, named, or none."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.support import EXAMPLES, edited

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


@pytest.mark.parametrize("form", ["text", "markdown", "html"])
def test_what_is_inherited_says_where_it_is_from(packyoke: Run, tmp_path: Path, form: str) -> None:
    (tmp_path / "packyoke-shop.yaml").write_text(
        "packyoke-shop: 1\nname: x\ndefaults:\n  warmest: 41 degC\n  coldest: -7 degC\n"
        "  ride: {everyday: {rider: 77 kg, speed: 19 km/h}}\n",
        encoding="utf-8",
    )
    build = tmp_path / "a.yaml"
    build.write_text(edited("skerry-long-tail", drop=["coldest", "warmest"]), encoding="utf-8")

    def said(*typed: str | Path) -> str:
        out = re.sub(r"<[^>]*>", "", packyoke(*typed, "--format", form)[1]).replace("\u00a0", " ")
        return " ".join(out.replace("\\", "").split())

    out = said("check", build)
    for value in ("warmest 41 degC", "coldest -7 degC"):
        assert f"{value} (from the shop file)" in out
    out = said("range", build)
    assert "rider 77 kg (from the shop file)" in out
    assert re.search(r"speed on the level 19 \([^)]*\) km/h \(from the shop file\)", out)
    assert "from the shop file" not in said("range", build, "--no-shop")
    assert "warmest 106 degF (from the shop file)" in said("check", build, "--units", "us")
