"""The hook in the pre-commit tool, and the wheel through pipx and uv, as somebody has them who never saw a checkout."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.support import ROOT, edited

pytestmark = pytest.mark.cross
MOST_S = 600
"""A hook has an environment of its own, with packages to fetch."""


def program(name: str) -> str:
    """A program beside this Python or on the way to programs; skips where there is none."""
    found = shutil.which(name, path=f"{Path(sys.executable).parent}{os.pathsep}{os.environ.get('PATH', '')}")
    if found is None:
        pytest.skip(f"{name} is not installed")
    return found


def run(*command: str | Path, folder: Path, more: Mapping[str, str] | None = None) -> tuple[int, str]:
    done = subprocess.run(
        [str(each) for each in command],
        cwd=folder,
        env={**os.environ, **(more or {})},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        timeout=MOST_S,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout


@pytest.fixture
def checkout() -> Path:
    if not (ROOT / ".git").exists() or shutil.which("git") is None:
        pytest.skip("no git, or no checkout of it: the hook is taken from one")
    return ROOT


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built of a copy: a build leaves its things beside the source."""
    folder = tmp_path_factory.mktemp("wheel")
    aside = shutil.ignore_patterns(".*", "node_modules", "build", "*.egg-info", "__pycache__")
    shutil.copytree(ROOT, folder / "source", ignore=aside, symlinks=True)
    code, said = run(
        sys.executable, "-m", "pip", "-q", "wheel", "--no-deps", "-w", folder, folder / "source", folder=folder
    )
    assert code == 0, said
    (found,) = folder.glob("packyoke-*.whl")
    return found


def test_the_hook_passes_stops_and_passes_over(checkout: Path, tmp_path: Path) -> None:
    tool = program("pre-commit")
    stored = tmp_path / "stored"
    (stored / "builds").mkdir(parents=True)
    (stored / "compose.yaml").write_text("services: {web: {image: x}}\n", encoding="utf-8")
    (stored / "builds/good.yaml").write_text(edited("skerry-long-tail"), encoding="utf-8")

    def hook() -> tuple[int, str]:
        assert run("git", "add", "-A", folder=stored)[0] == 0
        own = {"PRE_COMMIT_HOME": str(tmp_path / "home")}
        return run(tool, "try-repo", checkout, "packyoke-check", "--all-files", folder=stored, more=own)

    assert run("git", "init", "-q", folder=stored)[0] == 0
    code, said = hook()
    assert (code, "Passed" in said) == (0, True), said
    thin = edited("skerry-long-tail", {"leads.main lead.gauge": "18 AWG"})
    (stored / "builds/thin.yaml").write_text(thin, encoding="utf-8")
    (stored / "builds/broken.yaml").write_text("packyoke: 1\nname: [\n", encoding="utf-8")
    code, said = hook()
    assert code == 1
    assert "exit code: 2" in said
    assert "builds/thin.yaml:" in said
    assert "stop: lead-overheats" in said
    assert "builds/broken.yaml:3:1: stop: unreadable" in said
    good = [line for line in said.splitlines() if line.startswith("builds/good.yaml:")]
    assert all(": note: " in line for line in good), "nothing worse is said of the good one"
    assert "1 could not be read, 1 at stop or open, of 3" in said


def answers(packyoke: Path, folder: Path) -> None:
    """The installed program checks a good and a bad build, far from the checkout."""
    good, thin = folder / "good.yaml", folder / "thin.yaml"
    good.write_text(edited("skerry-long-tail"), encoding="utf-8")
    thin.write_text(edited("skerry-long-tail", {"leads.main lead.gauge": "18 AWG"}), encoding="utf-8")
    assert run(packyoke, "check", "--no-shop", good, folder=folder)[0] == 0
    code, said = run(packyoke, "check", "--no-shop", thin, "--format", "lines", folder=folder)
    assert code == 1, said
    assert "lead-overheats" in said
    code, said = run(packyoke, "--version", folder=folder)
    assert (code, said.startswith("packyoke ")) == (0, True), said


def test_pipx_installs_the_wheel(wheel: Path, tmp_path: Path) -> None:
    own = {"PIPX_HOME": str(tmp_path / "home"), "PIPX_BIN_DIR": str(tmp_path / "bin")}
    code, said = run(program("pipx"), "install", "--python", sys.executable, wheel, folder=tmp_path, more=own)
    assert code == 0, said
    answers(tmp_path / "bin/packyoke", tmp_path)


def test_uv_installs_the_wheel(wheel: Path, tmp_path: Path) -> None:
    own = {
        "UV_TOOL_DIR": str(tmp_path / "tools"),
        "UV_TOOL_BIN_DIR": str(tmp_path / "bin"),
        "UV_CACHE_DIR": str(tmp_path / "cache"),
    }
    code, said = run(program("uv"), "tool", "install", "--python", sys.executable, wheel, folder=tmp_path, more=own)
    assert code == 0, said
    answers(tmp_path / "bin/packyoke", tmp_path)
