"""Many files at once: how many processes, folders and points of tracks, how they are called, what stays as it is."""

from __future__ import annotations

import io
import os
import signal
import sys
from pathlib import Path
from typing import Any

import pytest

from packyoke.buildfile.reading import gpx
from packyoke.cli import intake, jobs
from packyoke.cli.files import Shops
from packyoke.cli.intake import FoundFile
from packyoke.cli.jobs import Read, _started, each_read
from tests.cli.conftest import Run
from tests.cli.test_route import build, track
from tests.support import EXAMPLES, base_text

CLEAN = EXAMPLES / "skerry-long-tail.yaml"


def by(file: FoundFile, _shops: Shops) -> Read[str]:
    return Read(file.name, told=str(os.getpid()))


def never(file: FoundFile, why: str) -> Read[str]:
    raise AssertionError(f"{file.name}: {why}")


@pytest.mark.parametrize(
    ("names", "asked", "processes"),
    [
        ("abcd", 1, 0),
        ("abcd", 2, 2),
        ("abcd", 9, 4),
        ("abcd", 0, 3),  # as many as there are cores
        ("a", 2, 0),
        ("ab-d", 2, 0),  # standard input is read by the process that has it
        ("a" * 99, None, 0),  # fifty for each process, or it is not worth its start
        ("a" * 100, None, 2),
        ("a" * 149, None, 2),
        ("a" * 150, None, 3),
        ("a" * 250, None, 3),
    ],
)
def test_files_are_shared_out_in_their_order(
    monkeypatch: pytest.MonkeyPatch, names: str, asked: int | None, processes: int
) -> None:
    """`processes`: how many besides this one."""
    monkeypatch.setattr(os, "cpu_count", lambda: 3)
    files = [FoundFile(name, given=True) for name in names]
    done = [*each_read(files, Shops(None, True), by, never, asked)]
    assert [each.file for each in done] == [*names]
    assert len({each.told for each in done} - {str(os.getpid())}) == processes
    assert (str(os.getpid()) in {each.told for each in done}) is (processes == 0)


def test_where_nobody_knows_how_many_cores_there_are_one_process_reads(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    done = each_read([FoundFile("a"), FoundFile("b")], Shops(None, True), by, never, 0)
    assert [each.told for each in done] == [str(os.getpid())] * 2


def test_a_process_whose_answers_nobody_takes_ends_without_a_word(capfd: pytest.CaptureFixture[str]) -> None:
    """As after a kill of the one that started it."""
    process, ours = _started([FoundFile("a" * 9999)] * 99, Shops(None, True), by)
    ours.close()
    process.join(30)
    assert (process.exitcode, capfd.readouterr().err) == (0, "")


def failing(file: FoundFile, _shops: Shops) -> Read[str]:
    if file.name == "d":
        raise MemoryError("no room")
    return by(file, _shops)


@pytest.mark.parametrize("processes", [1, 2])
def test_what_fails_in_a_process_is_told_as_it_is_told_without(
    processes: int, capfd: pytest.CaptureFixture[str]
) -> None:
    """One line, by the handler that every failure has: the process printed a trace of its own."""
    done = each_read([FoundFile(name) for name in "abcdef"], Shops(None, True), failing, never, processes)
    with pytest.raises(MemoryError, match="no room"):
        list(done)
    assert capfd.readouterr().err == ""


def test_processes_end_where_a_polite_signal_is_ignored(monkeypatch: pytest.MonkeyPatch) -> None:
    """As under a starter that ignores it: whoever waited for them waited for ever."""
    started: list[Any] = []

    def remembered(*given: Any) -> Any:
        started.append(_started(*given))
        return started[-1]

    monkeypatch.setattr(jobs, "_started", remembered)
    before = signal.signal(signal.SIGTERM, signal.SIG_IGN)
    try:
        files = [FoundFile("a" * 9999)] * 99  # more than a pipe holds: each waits until somebody reads
        done = each_read(files, Shops(None, True), by, never, 2)
        next(done)
        done.close()
    finally:
        signal.signal(signal.SIGTERM, before)
    assert [process.exitcode for process, _ in started] == [-signal.SIGKILL] * 2


def test_where_no_process_can_be_started_this_one_reads_all(monkeypatch: pytest.MonkeyPatch) -> None:
    started: list[Any] = []

    def one_and_no_more(*given: Any) -> Any:
        if started:
            raise BlockingIOError("no process left")
        started.append(_started(*given))
        return started[0]

    monkeypatch.setattr(jobs, "_started", one_and_no_more)
    done = [*each_read([FoundFile(name) for name in "abcd"], Shops(None, True), by, never, 2)]
    assert [(each.file, each.told) for each in done] == [(name, str(os.getpid())) for name in "abcd"]
    assert not started[0][0].is_alive()


@pytest.mark.parametrize(("file", "status"), [({}, 2), ({"skipped": "a pipe"}, None), ({"fault": "gone"}, None)])
def test_the_shop_of_a_file_that_is_not_read_is_not_read(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, file: dict[str, str], status: int | None
) -> None:
    (tmp_path / "packyoke-shop.yaml").write_text("packyoke-shop: twice\n", encoding="utf-8")
    files = [FoundFile(str(tmp_path / name), **file) for name in ("a", "b")]
    try:
        assert len([*each_read(files, Shops(None, False), by, never, 2)]) == 2
        ended = None
    except SystemExit as end:
        ended = end.code
    assert ended == status
    assert ("has mistakes" in capsys.readouterr().err) is (status == 2)


@pytest.mark.parametrize(("inside", "told"), [(2, False), (3, True)])
def test_folders_have_a_limit_that_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, inside: int, told: bool
) -> None:
    monkeypatch.setattr(intake, "MOST_FOLDERS", 3)  # with the one that is named
    for number in range(inside):
        (tmp_path / str(number)).mkdir()
    faults = [each.fault for each in intake.below(str(tmp_path))]
    assert faults == ([f"more than 3 folders below {tmp_path}"] if told else [])


RIDES = {"ride": {"out": {"gpx": "a.gpx"}, "back": {"gpx": "b.gpx"}, "again": {"gpx": "a.gpx"}}}
A, B = [(at * 500.0, 1.0) for at in range(21)], [(at * 500.0, 1.0) for at in range(31)]
"""21 and 31 points: 52 together, however often one is named."""


@pytest.mark.parametrize(("most", "status"), [(51, 2), (52, 0), (53, 0)])
def test_tracks_of_one_build_are_counted_once_and_together(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, most: int, status: int
) -> None:
    track(tmp_path / "a.gpx", [*A])
    track(tmp_path / "b.gpx", [*B])
    monkeypatch.setattr(gpx, "MOST_POINTS", most)
    code, _, err = packyoke("range", build(tmp_path / "a.yaml", RIDES), "--ride", "out", "--no-shop")
    assert code == status, err
    assert ("52 points in 2 tracks that the build names: at most 51 together" in err) is (status == 2)


def test_a_track_is_called_as_it_is_reached_from_here(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "bikes").mkdir()
    build(tmp_path / "bikes" / "a.yaml", {"ride": {"out": {"gpx": "gone.gpx"}}})
    for here, file, shown in (("bikes", "a.yaml", "gone.gpx"), (".", "bikes/a.yaml", "bikes/gone.gpx")):
        monkeypatch.chdir(tmp_path / here)
        code, _, err = packyoke("range", file, "--no-shop")
        assert (code, err) == (2, f"packyoke: {shown} cannot be opened: No such file or directory\n")


def test_a_build_on_standard_input_has_its_tracks_and_its_shop_where_one_stands(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    build(tmp_path / "a.yaml", {"ride": {"out": {"gpx": "gone.gpx"}}})
    (tmp_path / "elsewhere").mkdir()
    monkeypatch.chdir(tmp_path / "elsewhere")
    (tmp_path / "elsewhere" / "packyoke-shop.yaml").write_text("packyoke-shop: twice\n", encoding="utf-8")

    def typed() -> io.TextIOWrapper:
        return io.TextIOWrapper(io.BytesIO((tmp_path / "a.yaml").read_bytes()), encoding="utf-8")

    monkeypatch.setattr(sys, "stdin", typed())
    code, _, err = packyoke("range", "-")
    assert (code, "the shop file" in err) == (2, True), err
    monkeypatch.setattr(sys, "stdin", typed())
    code, _, err = packyoke("range", "-", "--no-shop")
    assert (code, err) == (2, "packyoke: gone.gpx cannot be opened: No such file or directory\n")
    assert packyoke("range", tmp_path / "a.yaml", "--shop", tmp_path / "elsewhere" / "packyoke-shop.yaml")[0] == 2


@pytest.mark.parametrize("kind", ["same", "hard", "soft"])
def test_a_file_that_was_given_is_not_written_to_under_any_name(packyoke: Run, tmp_path: Path, kind: str) -> None:
    given, target = tmp_path / "given.yaml", tmp_path / "target.yaml"
    given.write_bytes(CLEAN.read_bytes())
    if kind == "hard":
        os.link(given, target)
    elif kind == "soft":
        target.symlink_to(given)
    else:
        target = given
    code, _, err = packyoke("why", "packs-rush", "--output", tmp_path / "new.txt")
    assert (code, err) == (0, "")
    code, _, err = packyoke("charge", given, "--no-shop", "--output", target, "--replace")
    assert (code, "never written to" in err) == (2, True)
    assert given.read_bytes() == CLEAN.read_bytes()


@pytest.mark.parametrize(
    ("command", "said"),
    [
        (("check",), "1 could not be read, 0 at stop or open, of 2"),
        (("find", "--uses", "XT60"), "1 could not be read, 1"),
    ],
)
def test_a_file_that_became_a_pipe_is_not_waited_for(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: tuple[str, ...], said: str
) -> None:
    """Between looking through a folder and reading what is in it."""
    pipe, bike = tmp_path / "a.yaml", tmp_path / "b.yaml"
    os.mkfifo(pipe)
    bike.write_text(base_text("skerry-long-tail"), encoding="utf-8")
    found = [FoundFile(str(pipe)), FoundFile(str(bike))]
    monkeypatch.setattr(f"packyoke.cli.{command[0]}.found_builds", lambda names: iter(found))
    code, out, err = packyoke(*command, tmp_path)
    assert code == 2
    assert "not a regular file" in out + err
    assert said in err
