"""Files that are written: whole or not at all, only over what may be replaced, whatever happens on the way."""

from __future__ import annotations

import errno
import os
import shutil
import signal
import stat
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from packyoke.buildfile.writing import files
from packyoke.buildfile.writing.files import NotAFile, OutputExists, write_new
from tests.cli.test_folders import as_nobody
from tests.support import EXAMPLES

Run = Callable[..., tuple[int, str, str]]
CLEAN = EXAMPLES / "skerry-long-tail.yaml"


def names(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


@pytest.mark.parametrize("replace", [[], ["--replace"]])
def test_only_files_are_replaced(packyoke: Run, tmp_path: Path, replace: list[str]) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "pipe")
    for name in (tmp_path / "pipe", tmp_path / "link", "/dev/null", tmp_path / "folder"):
        code, _, err = packyoke("check", CLEAN, "--output", name, *replace)
        assert code == 2
        assert "device" in err or "directory" in err
    assert stat.S_ISFIFO((tmp_path / "pipe").stat().st_mode)
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)
    assert names(tmp_path) == ["folder", "link", "pipe"]


def test_a_link_is_written_through(tmp_path: Path) -> None:
    real, link, dangling = tmp_path / "real", tmp_path / "link", tmp_path / "dangling"
    real.write_text("old", encoding="utf-8")
    link.symlink_to("real")
    dangling.symlink_to("new")
    with pytest.raises(OutputExists):
        write_new(link, "text")
    with pytest.raises(OutputExists):
        write_new(dangling, "text")
    write_new(link, "text", replace=True)
    write_new(dangling, "more", replace=True)
    assert (link.is_symlink(), real.read_text("utf-8")) == (True, "text")
    assert (dangling.is_symlink(), (tmp_path / "new").read_text("utf-8")) == (True, "more")
    assert names(tmp_path) == ["dangling", "link", "new", "real"]


@pytest.mark.parametrize(("mask", "rights"), [(0o022, 0o644), (0o077, 0o600), (0o002, 0o664)])
def test_rights(tmp_path: Path, mask: int, rights: int) -> None:
    target = tmp_path / "a"
    before = os.umask(mask)
    try:
        write_new(target, "text")
        assert stat.S_IMODE(target.stat().st_mode) == rights
        target.chmod(0o640)
        write_new(target, "more", replace=True)
        assert stat.S_IMODE(target.stat().st_mode) == 0o640
    finally:
        os.umask(before)


@pytest.mark.parametrize("number", [errno.EPERM, errno.ENOTSUP, errno.ENOSYS])
def test_without_hard_links(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    def no_link(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "link", no_link)
    write_new(tmp_path / "a", "text")
    with pytest.raises(OutputExists):
        write_new(tmp_path / "a", "other")
    assert ((tmp_path / "a").read_text("utf-8"), names(tmp_path)) == ("text", ["a"])
    # Somebody takes the name between the look and the write: theirs stays.
    monkeypatch.setattr(os.path, "lexists", lambda _: False)
    monkeypatch.setattr(files, "_state", lambda _: None)
    with pytest.raises(OutputExists):
        write_new(tmp_path / "a", "other")
    assert ((tmp_path / "a").read_text("utf-8"), names(tmp_path)) == ("text", ["a"])


@pytest.mark.parametrize("step", ["open", "fsync", "replace", "link"])
@pytest.mark.parametrize("replace", [True, False])
def test_a_fault_at_every_step_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, replace: bool
) -> None:
    target = tmp_path / "a"
    if replace:
        target.write_text("old", encoding="utf-8")
    reached = []

    def fails(*_: object, **__: object) -> int:
        reached.append(step)
        raise OSError(errno.EIO, "fault")

    monkeypatch.setattr(os, step, fails)
    try:
        write_new(target, "text", replace=replace)
    except OSError:
        assert reached
    else:
        assert not reached
    monkeypatch.undo()
    assert names(tmp_path) == (["a"] if replace or not reached else [])
    if replace and reached:
        assert target.read_text("utf-8") == "old"


WRITE = """
import signal, sys
from pathlib import Path
signal.signal(signal.SIGHUP, signal.SIG_DFL)  # under nohup, or in the background of a shell, these are ignored
signal.signal(signal.SIGINT, signal.default_int_handler)
from packyoke.buildfile.writing.files import write_new
print("up", flush=True)
while True:
    write_new(Path(sys.argv[1]), sys.argv[2] * 200_000, replace=True)
"""


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
@pytest.mark.parametrize("delay_s", [0.001, 0.004, 0.009, 0.02])
def test_a_signal_at_any_moment_leaves_a_whole_file(tmp_path: Path, number: signal.Signals, delay_s: float) -> None:
    target = tmp_path / "a"
    target.write_text("old", encoding="utf-8")
    child = subprocess.Popen(
        [sys.executable, "-c", WRITE, target, "n"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    )
    assert child.stdout is not None
    child.stdout.readline()
    time.sleep(delay_s)
    child.send_signal(number)
    child.wait(timeout=60)
    assert target.read_text("utf-8") in ("old", "n" * 200_000)
    assert names(tmp_path) == ["a"]


def test_eight_writers_at_once(tmp_path: Path) -> None:
    def started(*more: str) -> list[subprocess.Popen[bytes]]:
        code = "import sys; from pathlib import Path; from packyoke.buildfile.writing.files import write_new\n"
        code += "write_new(Path(sys.argv[1]), sys.argv[2] * 100_000, replace=len(sys.argv) > 3)"
        return [
            subprocess.Popen([sys.executable, "-c", code, tmp_path / "a", str(each), *more], stderr=subprocess.DEVNULL)
            for each in range(8)
        ]

    first = [child.wait(timeout=60) for child in started()]
    assert sorted(first) == [0] + [1] * 7
    written = (tmp_path / "a").read_text("utf-8")
    assert written == str(first.index(0)) * 100_000
    assert {child.wait(timeout=60) for child in started("replace")} == {0}
    written = (tmp_path / "a").read_text("utf-8")
    assert (len(written), len({*written})) == (100_000, 1)
    assert names(tmp_path) == ["a"]


def test_what_a_build_names_is_never_written_to(packyoke: Run, tmp_path: Path) -> None:
    build, track, shop = tmp_path / "a.yaml", tmp_path / "round.gpx", tmp_path / "shop.yaml"
    shutil.copy(EXAMPLES / "skerry-round.gpx", track)
    build.write_text(f"{CLEAN.read_text('utf-8')}\nride:\n  hilly: {{gpx: round.gpx}}\n", encoding="utf-8")
    shop.write_text("packyoke-shop: 1\n", encoding="utf-8")
    os.link(track, tmp_path / "hard")
    (tmp_path / "soft").symlink_to(track)
    for command in (["check"], ["range"], ["meter", "--volts", "keel=50,pannier=50"], ["rundown"]):
        for target in ("round.gpx", "hard", "soft", "a.yaml", "shop.yaml"):
            before = (tmp_path / target).read_bytes()
            code, _, err = packyoke(*command, build, "--shop", shop, "--output", tmp_path / target, "--replace")
            assert (code, "never written to" in err) == (2, True), (command, target, err)
            assert (tmp_path / target).read_bytes() == before


@pytest.mark.cross
def test_a_file_that_may_not_be_written_stays(tmp_path: Path) -> None:
    target = tmp_path / "a"
    target.write_text("old", encoding="utf-8")
    target.chmod(0o444)
    command = [*as_nobody(), sys.executable, "-m", "packyoke", "check", CLEAN, "--output", target, "--replace"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, "cannot be written" in done.stderr, target.read_text("utf-8")) == (2, True, "old")
    target.chmod(0o644)
    tmp_path.chmod(0o555)
    try:
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    finally:
        tmp_path.chmod(0o755)
    assert (done.returncode, "cannot be written" in done.stderr, target.read_text("utf-8")) == (2, True, "old")


@pytest.mark.cross
def test_a_full_file_system(tmp_path: Path) -> None:
    place = tmp_path / "place"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=4k", "none", place]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("no file system can be mounted here")
    try:
        target = place / "a"
        target.write_text("old", encoding="utf-8")
        with pytest.raises(OSError, match="No space left"):
            write_new(target, "x" * 3_000_000, replace=True)
        assert (target.read_text("utf-8"), names(place)) == ("old", ["a"])
    finally:
        subprocess.run(["umount", place], check=True)


def test_no_room_in_the_middle_of_a_file(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    target.write_text("old", encoding="utf-8")
    line = f'ulimit -f 1; exec "{sys.executable}" -m packyoke check {CLEAN} --output {target} --replace'
    done = subprocess.run(["bash", "-c", line], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (2, f"packyoke: {target} cannot be written: File too large\n")
    assert (target.read_text("utf-8"), names(tmp_path)) == ("old", ["a.txt"])


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(NotAFile):
        write_new(tmp_path, "text", replace=True)
