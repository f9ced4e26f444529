"""Streams that are full, closed, or that nobody reads; letters that a terminal has not; the last handler."""

from __future__ import annotations

import errno
import io
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from packyoke.cli import streams
from tests.support import EXAMPLES

Run = Callable[..., tuple[int, str, str]]
CLEAN, FAULTY = EXAMPLES / "skerry-long-tail.yaml", EXAMPLES / "oakum-draft.yaml"
PACKYOKE = f'"{sys.executable}" -m packyoke'


def shell(line: str, **environment: str) -> tuple[int, bytes, str]:
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", line], capture_output=True, check=False, env={**os.environ, **environment}
    )
    return done.returncode, done.stdout, done.stderr.decode()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full here")
@pytest.mark.parametrize("command", [f"check {CLEAN}", f"check {FAULTY} --format json", "why", "--version"])
def test_a_full_disk_under_the_answer_is_2_and_one_line(command: str) -> None:
    code, _, err = shell(f"{PACKYOKE} {command} >/dev/full")
    assert code == 2
    assert err.splitlines()[-1] == f"packyoke: the answer cannot be printed: {os.strerror(errno.ENOSPC)}"
    assert "Traceback" not in err


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-", "<&- >&- 2>&-", "2>/dev/full"])
@pytest.mark.parametrize(("file", "status"), [(CLEAN, 0), (FAULTY, 1)])
def test_a_closed_stream_leaves_the_status_of_the_answer(closed: str, file: Path, status: int) -> None:
    code, _, err = shell(f"{PACKYOKE} check {file} {closed}")
    assert (code, err) == (status, "")


def test_closed_standard_input_is_2() -> None:
    code, out, err = shell(f"{PACKYOKE} check - <&-")
    assert (code, b"standard input is closed" in out, "Traceback" in err) == (2, True, False)
    code, _, err = shell(f"{PACKYOKE} plan - <&-")
    assert (code, err) == (2, "packyoke: - cannot be opened: standard input is closed\n")


@pytest.mark.parametrize(("command", "status"), [(f"check {FAULTY} {FAULTY}", 1), (f"check {CLEAN}", 0), ("--help", 0)])
def test_a_reader_that_has_gone_leaves_the_status_of_the_answer(command: str, status: int) -> None:
    code, out, err = shell(f"({PACKYOKE} {command}; echo $? >&3) 3>&2 2>/dev/null | true; exit 0")
    assert (code, out, err) == (0, b"", f"{status}\n")


def test_the_locale_does_not_change_a_file(tmp_path: Path) -> None:
    build, target = tmp_path / "a.yaml", tmp_path / "out.txt"
    build.write_text(CLEAN.read_text("utf-8").replace("Skerry", "Sk\u00e9rry \u5b57"), encoding="utf-8")
    line = f"{PACKYOKE} rundown {build} --no-shop"
    expected = shell(line, PYTHONUTF8="1")[1]
    assert "Sk\u00e9rry \u5b57".encode() in expected
    for environment in ({"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}, {"PYTHONIOENCODING": "cp1252"}):
        assert shell(line, **environment)[1] == expected
        assert shell(f"{line} --output {target} --replace", **environment)[0] == 0
        assert target.read_bytes() == expected


class Terminal(io.TextIOWrapper):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("encoding", ["cp437", "cp850", "cp1252", "ascii", "latin-1"])
def test_a_terminal_gets_letters_that_it_has(monkeypatch: pytest.MonkeyPatch, encoding: str) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", Terminal(raw, encoding=encoding))
    streams.ready()
    streams.say("\u22125 V, 3 \u03a9, \u5b57, \udcff")
    assert raw.getvalue().decode(encoding) in ("-5 V, 3 ohm, ?, ?\n", "-5 V, 3 \u03a9, ?, ?\n")


def test_names_act_on_no_terminal(packyoke: Run, tmp_path: Path) -> None:
    file = tmp_path / "a\x1b[31m\n\u202e.yaml"
    file.write_text("packyoke: 1\n", encoding="utf-8")
    for form in ("text", "markdown", "html", "json", "sarif", "junit", "lines"):
        code, out, err = packyoke("check", file, "--format", form)
        assert code == 2
        assert not {"\x1b", "\u202e"} & {*out, *err}
    _, _, err = packyoke("range", CLEAN, "--ride", "\x1b[31m")
    assert "\x1b" not in err
    assert "\x1b" not in packyoke("--\x1b[31m")[2]


@pytest.mark.parametrize("name", ["x" * 300, "\udcff\udcfe.yaml", "a/" * 3000, "\u5b57" * 100])
@pytest.mark.parametrize("command", ["check", "plan", "meter", "sheet", "compare"])
def test_names_that_cannot_be(packyoke: Run, tmp_path: Path, name: str, command: str) -> None:
    more = {"meter": ["--volts", "1"], "sheet": ["--for", "customer"], "compare": [CLEAN]}.get(command, [])
    code, out, err = packyoke(command, tmp_path / name, *more)
    assert (code, "Traceback" in out + err) == (2, False)
    code, out, err = packyoke("check", CLEAN, "--output", tmp_path / name)
    assert code in (0, 2)


def test_a_name_that_is_not_utf_8_is_read(packyoke: Run, tmp_path: Path) -> None:
    file = tmp_path / "\udcff.yaml"
    file.write_bytes(CLEAN.read_bytes())
    for form in ("text", "json", "sarif", "html"):
        code, out, _ = packyoke("check", file, "--format", form, "--no-shop")
        assert code == 0
        assert out.encode("utf-8")


@pytest.mark.parametrize("error", [MemoryError(), RecursionError("too deep"), KeyError("x\x1b"), OSError(5, "odd")])
def test_the_last_handler_says_one_line_and_3(packyoke: Run, monkeypatch: pytest.MonkeyPatch, error: Exception) -> None:
    def fails(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr("packyoke.api.load", fails)
    code, out, err = packyoke("plan", CLEAN)
    assert (code, out, err.count("\n")) == (3, "", 1)
    assert "failed in the program, nothing was found out" in err
    assert "PACKYOKE_DEBUG=1" in err
    assert "\x1b" not in err
    monkeypatch.setenv("PACKYOKE_DEBUG", "1")
    assert "Traceback" in packyoke("plan", CLEAN)[2]


def test_a_rule_that_crashes_is_3(packyoke: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr("packyoke.api._check", fails)
    code, out, _ = packyoke("check", CLEAN, FAULTY)
    assert code == 3
    assert out.startswith("STOP")


@pytest.mark.parametrize("delay_s", [0.0, 0.02, 0.1, 0.3])
def test_ctrl_c_at_any_moment_is_130(delay_s: float, tmp_path: Path) -> None:
    """From the first line of our own on; before that it is Python's. Enough builds that none of these is the last."""
    builds = [tmp_path / f"{number}.yaml" for number in range(400)]
    for each in builds:
        each.write_bytes(FAULTY.read_bytes())
    code = "import packyoke.__main__ as m; print('up', flush=True); m.main()"
    child = subprocess.Popen(
        [sys.executable, "-c", code, "check", *builds],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "up\n"
    time.sleep(delay_s)
    child.send_signal(signal.SIGINT)
    _, err = child.communicate(timeout=60)
    assert (child.returncode, err in ("", "interrupted\n")) == (130, True), err


def test_a_folder_that_vanished_is_2(tmp_path: Path) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    code, _, err = shell(f"cd {gone}; rmdir {gone}; {PACKYOKE} check -", PYTHONPATH="")
    assert code in (1, 2)
    assert "Traceback" not in err or "No module named packyoke" in err


def test_no_home(tmp_path: Path) -> None:
    line = f"env -i {PACKYOKE} check {CLEAN}"
    assert shell(line)[0] == 0


@pytest.mark.parametrize("columns", ["20", "200"])
def test_narrow_and_wide(columns: str) -> None:
    code, out, err = shell(f"{PACKYOKE} check {FAULTY}; {PACKYOKE} --help; {PACKYOKE} check", COLUMNS=columns)
    assert (code, "Traceback" in err) == (2, False)
    assert out
