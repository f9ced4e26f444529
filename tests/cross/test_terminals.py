"""Real terminals: tmux at 80 and at 120 columns, and the shells zsh and bash in it that complete what is typed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.support import ROOT

pytestmark = pytest.mark.cross
if shutil.which("tmux") is None:
    pytest.skip("tmux is not installed", allow_module_level=True)

BUILD = "examples/skerry-long-tail.yaml"
MOST_S = 90


class Pane:
    """One window of tmux on a server of its own."""

    def __init__(self, folder: Path, columns: int, shell: str) -> None:
        program = folder / "packyoke"
        program.write_text(
            f'#!/bin/sh\nexec {sys.executable} -c "from packyoke.cli import main; main()" "$@"\n', "utf-8"
        )
        program.chmod(0o755)
        self.call = ["tmux", "-S", str(folder / "server"), "-f", os.devnull]
        kept = {"PATH": f"{folder}:{os.environ['PATH']}", "LC_ALL": "C.UTF-8", "HOME": str(folder), "PS1": "$ "}
        self.environment = {**os.environ, **kept}
        self._run("new-session", "-d", "-x", str(columns), "-y", "200", "-c", str(ROOT), shell)

    def _run(self, *more: str) -> str:
        run = subprocess.run(
            [*self.call, *more], env=self.environment, capture_output=True, text=True, timeout=60, check=True
        )
        return run.stdout

    def type(self, *keys: str) -> None:
        self._run("send-keys", *keys)

    def screen(self) -> str:
        return self._run("capture-pane", "-p")

    def wait_for(self, words: str) -> str:
        end = time.monotonic() + MOST_S
        while time.monotonic() < end:
            if words in (seen := self.screen()):
                return seen
            time.sleep(0.2)
        pytest.fail(f'"{words}" never came:\n{self.screen()}')

    def close(self) -> None:
        self._run("kill-server")


Opened = Callable[[int, str], Pane]


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Opened]:
    panes: list[Pane] = []

    def pane(columns: int, shell: str) -> Pane:
        panes.append(Pane(tmp_path, columns, shell))
        return panes[-1]

    yield pane
    for each in panes:
        each.close()


@pytest.mark.parametrize("columns", [80, 120])
@pytest.mark.parametrize("line", [f"packyoke check {BUILD} --no-shop --today 2026-11-25", "packyoke --help"])
def test_a_terminal_of_any_width_shows_what_a_pipe_gets(opened: Opened, columns: int, line: str) -> None:
    """No line is broken by the terminal, and none depends on its width; colour leaves no mark in the text."""
    _, *arguments = line.split()
    piped = subprocess.run(
        [sys.executable, "-m", "packyoke", *arguments], cwd=ROOT, capture_output=True, text=True, timeout=MOST_S
    ).stdout
    pane = opened(columns, "/bin/sh")
    pane.type(f"clear; {line}; echo it is 'done'", "Enter")
    seen = pane.wait_for("it is done").partition("it is done")[0]
    shown = [row.rstrip() for row in seen.splitlines() if row.strip()]
    wanted = [row.rstrip() for row in piped.splitlines() if row.strip()]
    assert shown[-len(wanted) :] == wanted
    assert max(map(len, wanted)) <= 80


READY = {
    "zsh -f": 'autoload -Uz compinit; compinit -u -D; eval "$(_PACKYOKE_COMPLETE=zsh_source packyoke)"',
    "bash --norc": 'eval "$(_PACKYOKE_COMPLETE=bash_source packyoke)"',
}
COMPLETED = {
    "a command": ("packyoke rund", "packyoke rundown"),
    "a rule": ("packyoke why packs-ru", "packyoke why packs-rush"),
    "an option": ("packyoke check --pass-o", "packyoke check --pass-over"),
    "a pack of the build on the line": (
        f"packyoke charge {BUILD} --packs pan",
        f"packyoke charge {BUILD} --packs pannier",
    ),
    "a file": ("packyoke check examples/skerry-long", f"packyoke check {BUILD}"),
}


@pytest.mark.parametrize("shell", READY)
def test_a_real_shell_completes_what_is_typed(opened: Opened, shell: str) -> None:
    if shutil.which(shell.split()[0]) is None:
        pytest.skip(f"{shell.split()[0]} is not installed")
    pane = opened(120, shell)
    pane.type(f"{READY[shell]}; echo re''ady", "Enter")
    pane.wait_for("\nready")
    for typed, whole in COMPLETED.values():
        pane.type(typed, "Tab")
        pane.wait_for(whole)
        pane.type("C-u")
