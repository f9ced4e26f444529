"""Streams that are closed or that nobody reads, and names of files, in this process: the status stays the answer.

The same is tried from a shell in `test_streams.py`.
"""

from __future__ import annotations

import io
import os
import stat
import sys
from pathlib import Path

import pytest

from packyoke.cli import reports, streams
from packyoke.cli.files import colour
from tests.cli.conftest import Run
from tests.support import EXAMPLES

CLEAN, FAULTY = EXAMPLES / "skerry-long-tail.yaml", EXAMPLES / "oakum-draft.yaml"


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def copies(file: Path, count: int, folder: Path) -> list[Path]:
    """So many builds that are alike: one that is named twice is checked once."""
    made = [folder / f"{number}.yaml" for number in range(count)]
    for each in made:
        each.write_bytes(file.read_bytes())
    return made


def is_null(number: int) -> bool:
    return os.fstat(number).st_rdev == os.stat(os.devnull).st_rdev


def test_a_closed_standard_input_is_told(packyoke: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    assert packyoke("plan", "-") == (2, "", "packyoke: - cannot be opened: standard input is closed\n")


@pytest.mark.parametrize("name", ["stdout", "stderr"])
@pytest.mark.parametrize(("file", "status"), [(CLEAN, 0), (FAULTY, 1)])
def test_a_closed_stream_leaves_the_status(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, name: str, file: Path, status: int
) -> None:
    """Two builds, so that there is something to say on both."""
    monkeypatch.setattr(reports, "BAR_FROM_FILES", 2)
    monkeypatch.setattr(sys, name, None)
    code, out, err = packyoke("check", *copies(file, 2, tmp_path))
    assert code == status
    assert (out == "") is (name == "stdout")
    assert (err == "") is (name == "stderr")


@pytest.mark.parametrize(("files", "terminal", "shown"), [(2, True, False), (3, True, True), (3, False, False)])
def test_from_some_files_on_a_terminal_is_shown_how_far_it_is(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, files: int, terminal: bool, shown: bool
) -> None:
    monkeypatch.setattr(reports, "BAR_FROM_FILES", 3)
    told = Terminal() if terminal else io.StringIO()
    monkeypatch.setattr(sys, "stderr", told)
    assert packyoke("check", *copies(CLEAN, files, tmp_path))[0] == 0
    assert ("checking" in told.getvalue()) is shown


def test_colour_is_for_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("FORCE_COLOR", "NO_COLOR", "TERM"):
        monkeypatch.delenv(name, raising=False)
    for stream, coloured in ((Terminal(), True), (io.StringIO(), False), (None, False)):
        monkeypatch.setattr(sys, "stdout", stream)
        assert colour() is coloured
    monkeypatch.setattr(sys, "stdout", Terminal())
    for name, value, coloured in (("TERM", "dumb", False), ("TERM", "xterm", True), ("NO_COLOR", "1", False)):
        monkeypatch.setenv(name, value)
        assert colour() is coloured


def test_what_nobody_reads_goes_nowhere() -> None:
    """A pipe whose reader has gone: what is still in the stream must not end the process with a complaint."""
    reader, writer = os.pipe()
    os.close(reader)
    with open(writer, "w", encoding="utf-8") as stream:
        stream.write("left over")
        streams.hush(stream)
        assert is_null(stream.fileno())
    streams.hush(None)


class Left(Exception):
    """The process has ended."""


def test_the_end_of_the_process_prints_what_is_left(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def ended(status: int) -> None:
        raise Left(status)

    monkeypatch.setattr(os, "_exit", ended)
    with (tmp_path / "out").open("w", encoding="utf-8") as out:
        out.write("an answer")
        monkeypatch.setattr(sys, "stdout", out)
        monkeypatch.setattr(sys, "stderr", None)
        with pytest.raises(Left, match="1"):
            streams.leave(1)
        assert (tmp_path / "out").read_text("utf-8") == "an answer"


def lowest_free() -> int:
    number = os.open(os.devnull, os.O_RDONLY)
    os.close(number)
    return number


@pytest.mark.parametrize("above", [0, 40])
def test_the_number_of_a_closed_stream_is_given_to_no_file(above: int) -> None:
    """Whether it is the one that the system gives next, or a later one."""
    free = lowest_free()
    number = free + above
    streams._occupy(number)
    try:
        assert is_null(number)
        assert lowest_free() == (free + 1 if above == 0 else free)
    finally:
        os.close(number)


def test_a_stream_that_is_open_keeps_its_number(tmp_path: Path) -> None:
    with (tmp_path / "a").open("w", encoding="utf-8") as file:
        streams._occupy(file.fileno())
        assert stat.S_ISREG(os.fstat(file.fileno()).st_mode)


def test_streams_are_made_ready_for_what_they_cannot_write(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal keeps its letters, a file gets UTF-8; a stream that is closed has its number kept."""
    kept: list[int] = []
    monkeypatch.setattr(streams, "_occupy", kept.append)
    out, err = io.BytesIO(), io.BytesIO()
    monkeypatch.setattr(sys, "stdin", None)
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(out, encoding="ascii"))
    monkeypatch.setattr(sys, "stderr", io.TextIOWrapper(err, encoding="ascii"))
    streams.ready()
    streams.say("\u2265 5 V")
    streams.say("\u2265 6 V", err=True)
    assert kept == [0]
    assert (out.getvalue(), err.getvalue()) == ("\u2265 5 V\n".encode(), "\u2265 6 V\n".encode())


def test_what_is_read_and_what_is_no_file_stays_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    typed, caught = io.TextIOWrapper(io.BytesIO(), encoding="latin-1"), io.StringIO()
    for name, stream in (("stdin", typed), ("stdout", caught), ("stderr", caught)):
        monkeypatch.setattr(sys, name, stream)
    streams.ready()
    streams.say("\u2265 5 V")
    assert (typed.encoding, caught.getvalue()) == ("latin-1", "\u2265 5 V\n")
