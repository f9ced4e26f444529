"""Help, the manual page, patterns in quotes, and the dash that means: print."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from packyoke.cli import COMMANDS
from packyoke.core.docstrings import docstring
from packyoke.rules.pages import names
from tests.cli.conftest import Run
from tests.support import ROOT

SKERRY = ROOT / "examples" / "skerry-long-tail.yaml"
MANUAL = ROOT / "docs" / "packyoke.1"


def test_the_docstring_of_a_function_is_read_from_its_source() -> None:
    """As where Python throws them away: that of the function that is meant, among others of its module."""
    assert docstring("packyoke.core.units", "to_si").startswith("A number of a known unit in SI.")
    assert docstring("packyoke.core.units", "from_si").startswith("The number of a known unit that an SI value makes")


def test_help_by_itself_is_the_whole_help(packyoke: Run) -> None:
    assert packyoke("help")[:2] == packyoke("--help")[:2]


@pytest.mark.parametrize("name", COMMANDS)
def test_help_of_a_command_is_its_own(packyoke: Run, name: str) -> None:
    assert packyoke("help", name)[:2] == packyoke(name, "--help")[:2]


def test_help_rules_names_every_rule_within_80_columns(packyoke: Run) -> None:
    code, out, _ = packyoke("help", "rules")
    assert code == 0
    listed = [line.split()[0] for line in out.splitlines() if line.startswith("  ") and line[2:3].strip()]
    assert set(names()) <= set(listed)
    assert max(map(len, out.splitlines())) <= 80


def test_help_of_a_rule_is_what_why_says(packyoke: Run) -> None:
    assert packyoke("help", "packs-rush")[:2] == packyoke("why", "packs-rush")[:2]


@pytest.mark.parametrize(("typed", "meant"), [("chekc", "check"), ("rule", "rules"), ("pack-rush", "packs-rush")])
def test_help_that_is_mistyped_names_the_nearest(packyoke: Run, typed: str, meant: str) -> None:
    code, out, err = packyoke("help", typed)
    assert (code, out) == (2, "")
    assert f"Did you mean {meant}?" in err


def test_the_manual_has_every_command_with_its_options() -> None:
    text = MANUAL.read_text(encoding="utf-8")
    for name in COMMANDS:
        assert f"\n.SS {name}\n" in text
    assert "\\-\\-against LAST.json" in text
    assert [line for line in text.splitlines() if line.startswith("'")] == []


@pytest.mark.skipif(shutil.which("man") is None and shutil.which("groff") is None, reason="neither man nor groff")
def test_the_manual_is_set_without_a_warning() -> None:
    tool = ["groff", "-man", "-Tutf8", "-ww"] if shutil.which("groff") else ["man", "--warnings", "-l"]
    run = subprocess.run([*tool, str(MANUAL)], capture_output=True, text=True, timeout=60)
    assert run.returncode == 0
    assert run.stderr == ""
    assert "packyoke check examples/skerry-long-tail.yaml" in run.stdout.replace("\u2010", "-")


def test_a_pattern_in_quotes_is_read_as_a_shell_does(packyoke: Run, tmp_path: Path) -> None:
    for name in ("a.yaml", "b.yaml", ".hidden.yaml"):
        (tmp_path / name).write_bytes(SKERRY.read_bytes())
    inside = tmp_path / "more" / "deep"
    inside.mkdir(parents=True)
    (inside / "c.yaml").write_bytes(SKERRY.read_bytes())
    named = packyoke("check", tmp_path / "a.yaml", tmp_path / "b.yaml", "--format", "json", "--no-shop")
    assert packyoke("check", f"{tmp_path}/*.yaml", "--format", "json", "--no-shop")[:2] == named[:2]
    deep = packyoke("check", f"{tmp_path}/**/c.yaml", "--format", "json", "--no-shop")
    assert '"file": ' in deep[1]
    assert "c.yaml" in deep[1]


def test_a_pattern_that_matches_nothing_is_an_error(packyoke: Run, tmp_path: Path) -> None:
    code, out, err = packyoke("check", f"{tmp_path}/*.yaml")
    assert code == 2
    assert "no file matches this pattern" in out + err


def test_a_file_whose_name_looks_like_a_pattern_is_that_file(packyoke: Run, tmp_path: Path) -> None:
    path = tmp_path / "bike [3].yaml"
    path.write_bytes(SKERRY.read_bytes())
    assert packyoke("check", path, "--no-shop")[0] == packyoke("check", SKERRY, "--no-shop")[0]


@pytest.mark.parametrize(
    "arguments",
    [
        ("check", SKERRY),
        ("charge", SKERRY),
        ("shelf",),
        ("schema",),
        ("tidy", SKERRY),
        ("sheet", SKERRY, "--for", "customer"),
        ("why", "packs-rush"),
    ],
)
def test_a_dash_as_output_prints(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[object, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert packyoke(*arguments, "--output", "-") == packyoke(*arguments)
    assert [*tmp_path.iterdir()] == []
