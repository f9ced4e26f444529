"""In a shell: completion, whole summaries, a Python that throws docstrings away."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from packyoke.cli import COMMANDS
from tests.cli.conftest import Run
from tests.support import EXAMPLES

SKERRY = str(EXAMPLES / "skerry-long-tail.yaml")


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        (("ch",), {"plain,check", "plain,charge"}),
        (("check", "exam"), {"file,exam"}),
        (("why", "packs-"), {"plain,packs-rush", "plain,packs-unequal"}),
        (("check", SKERRY, "--only", "packs-rush,packs-"), {"plain,packs-rush,packs-unequal"}),
        (("rundown", SKERRY, "--packs", "k"), {"plain,keel"}),
        (("rundown", SKERRY, "--packs", "keel,p"), {"plain,keel,pannier"}),
        (("rundown", SKERRY, "--at", "keel=50,p"), {"plain,keel=50,pannier="}),
        (("range", SKERRY, "--ride", "ev"), {"plain,everyday"}),
        (("rundown", SKERRY, "--packs", ""), {"plain,keel", "plain,pannier"}),
        (("rundown", "no-such-file.yaml", "--packs", "k"), set()),
    ],
)
def test_what_is_completed(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], offered: set[str]
) -> None:
    """What is offered for the last word, by kind."""
    monkeypatch.setenv("_PACKYOKE_COMPLETE", "bash_complete")
    monkeypatch.setenv("COMP_WORDS", " ".join(("packyoke", *words)))
    monkeypatch.setenv("COMP_CWORD", str(len(words)))
    assert {each for each in packyoke()[1].splitlines() if each} == offered


@pytest.mark.parametrize("left", ["bash_source", "zsh_source", "bash_complete", "fish_complete", "nonsense", ""])
def test_a_variable_of_completion_that_is_left_set_is_no_pass(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, left: str
) -> None:
    """With it click prints its script, or nothing, and ends with 0 (or 1): nothing was checked."""
    monkeypatch.setenv("_PACKYOKE_COMPLETE", left)
    for file, status in ((SKERRY, 0), (EXAMPLES / "oakum-draft.yaml", 1), ("no-such-file.yaml", 2)):
        code, out, _ = packyoke("check", file, "--no-shop", "--format", "lines")
        assert (code, str(file) in out) == (status, True)


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not installed")
def test_a_real_bash_completes_commands_and_files(tmp_path: Path) -> None:
    """The script that click prints, sourced; then what readline would ask for."""
    program = tmp_path / "packyoke"
    program.write_text(f'#!/bin/sh\nexec {sys.executable} -c "from packyoke.cli import main; main()" "$@"\n', "utf-8")
    program.chmod(0o755)
    environment = {**os.environ, "PATH": f"{tmp_path}:{os.environ['PATH']}"}
    script = (
        'eval "$(_PACKYOKE_COMPLETE=bash_source packyoke)"; compopt() { echo "opt $*"; }; '
        "COMP_WORDS=(packyoke {words}); COMP_CWORD={count}; _packyoke_completion packyoke; "
        "printf '%s\\n' \"${COMPREPLY[@]}\""
    )

    def offered(*words: str) -> list[str]:
        line = script.replace("{words}", " ".join(words)).replace("{count}", str(len(words)))
        run = subprocess.run(["bash", "-c", line], env=environment, capture_output=True, text=True, timeout=60)
        return (run.stdout + run.stderr).split("\n")

    assert "sheet" in offered("sh")
    assert "default" in offered("check", "exa")


def test_no_summary_is_cut(packyoke: Run) -> None:
    code, out, _ = packyoke("--help")
    assert code == 0
    assert "..." not in out.replace("[ARGS]...", "")
    assert max(map(len, out.splitlines())) <= 80
    assert all(f"\n  {name} " in out for name in COMMANDS)


def test_pages_and_helps_stay_where_python_throws_docstrings_away() -> None:
    for arguments, words in (
        (["why", "packs-rush"], "Nothing blocks between"),
        (["check", "--help"], "every combination"),
    ):
        call = [sys.executable, "-OO", "-c", "from packyoke.cli import main; main()", *arguments]
        run = subprocess.run(call, capture_output=True, text=True, timeout=60)
        assert run.returncode == 0, run.stderr
        assert words in run.stdout


@pytest.mark.parametrize("variable", ["NO_COLOR", "TERM"])
def test_no_colour_where_it_is_not_wanted(packyoke: Run, variable: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    monkeypatch.setenv(variable, "dumb" if variable == "TERM" else "1")
    assert "\x1b[" not in packyoke("check", EXAMPLES / "oakum-draft.yaml")[1]
