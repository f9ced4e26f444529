"""What a folder check reads, and what it passes over: a build never drops out unseen."""

from __future__ import annotations

import gzip
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from packyoke.cli import intake
from tests.support import EXAMPLES, base_text

Run = Callable[..., tuple[int, str, str]]
GOOD = base_text("skerry-long-tail")
BROKEN = GOOD.replace("packyoke: 1", "packyoke: 1\npacks: twice")

LOOKS_LIKE_ONE = {
    "a byte-order mark": ("a.yaml", b"\xef\xbb\xbf" + BROKEN.encode()),
    "a byte-order mark and an anchor": ("a.yaml", b"\xef\xbb\xbfpackyoke: 1\nname: &Co bikes\npacks: {}\n"),
    "an anchor for a name": ("a.yaml", GOOD.replace("name: ", "name: &", 1).encode()),
    "UTF-16": ("a.yaml", "---\npackyoke: 1\nname: x\n".encode("utf-16")),
    "a capital": ("a.yaml", GOOD.replace("packyoke", "Packyoke", 1).encode()),
    "a slip": ("a.yaml", GOOD.replace("packyoke", "packyok", 1).encode()),
    "another slip": ("a.yaml", b"pakyoke: 1\nname: x\n"),
    "no first line": ("a.yaml", GOOD.replace("packyoke: 1\n", "", 1).encode()),
    "broken without a first line": ("a.yaml", b"---\npacks: {a: &x 1}\nleads: {b: *x}\n"),
    "a capital suffix": ("A.YAML", BROKEN.encode()),
    "a mixed suffix": ("b.Yml", BROKEN.encode()),
    "the second document": ("a.yaml", b"a: 1\n---\npackyoke: 1\n"),
    "all in braces": ("a.yaml", b"{packyoke: 1, name: &x y}"),
    "packed": ("a.yaml", gzip.compress(GOOD.encode(), mtime=0)),
    "damaged": ("a.yaml", GOOD.encode()[:200] + bytes(range(256)) + b"&x !!y"),
    "UTF-16 without a mark": ("a.yaml", GOOD.encode("utf-16-le")),
    "inside a key": ("a.yaml", b"build:\n" + b"".join(b"  " + line for line in GOOD.encode().splitlines(True))),
    "only sections inside a key": ("a.yaml", b"build:\n  packs: {}\n  leads: {}\n"),
    "two megabytes": ("a.yaml", b"packyoke: 1\n# " + b"x" * 2_000_000),
}


@pytest.mark.parametrize("what", LOOKS_LIKE_ONE)
def test_what_looks_like_a_build_is_read_as_one(packyoke: Run, tmp_path: Path, what: str) -> None:
    name, content = LOOKS_LIKE_ONE[what]
    (tmp_path / "good.yaml").write_text(GOOD, encoding="utf-8")
    (tmp_path / name).write_bytes(content)
    code, _, err = packyoke("check", tmp_path, "--no-shop")
    assert code == 2
    assert "1 could not be read, 0 at stop or open, of 2" in err


@pytest.mark.parametrize(
    "content",
    [
        "services: {web: {image: x}}",
        "a: &x 1\nb: *x",
        "package: x\nleads: [a, b]",
        "controller: {kind: x}",
        "sales: {leads: 3, people: 2}",
        "jobs: {packyoke: {runs: x}}",
        "a: 1\n---\nb: 2",
    ],
)
def test_what_is_no_build_is_named_and_counted(packyoke: Run, tmp_path: Path, content: str) -> None:
    (tmp_path / "good.yaml").write_text(GOOD, encoding="utf-8")
    (tmp_path / "other.yaml").write_text(content, encoding="utf-8")
    code, out, err = packyoke("check", tmp_path, "--no-shop", "--format", "json")
    assert code == 0
    assert [Path(each["file"]).name for each in json.loads(out)["skipped"]] == ["other.yaml"]
    assert "1 skipped:" in err
    assert "other.yaml" in err


def test_several_builds_as_json_are_not_ridden(packyoke: Run, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(GOOD, encoding="utf-8")

    def read(*options: object) -> tuple[bool, list[bool]]:
        found = json.loads(packyoke("check", *options, "--no-shop", "--format", "json")[1])
        sets = [each for build in found["builds"] for each in build["sets"]]
        assert sets
        assert all((each["range_km"] is None) == (each["usable_wh"] is None) for each in sets)
        return found["rides"], [each["range_km"] is not None for each in sets]

    one = read(tmp_path)
    assert one[0]
    assert all(one[1])
    (tmp_path / "packyoke-shop.yaml").write_text("packyoke-shop: 1\n", encoding="utf-8")
    assert read(tmp_path) == one
    (tmp_path / "b.yaml").write_text(GOOD, encoding="utf-8")
    assert read(tmp_path) == (False, [False] * 2 * len(one[1]))
    assert read(tmp_path, "--all") == (True, one[1] * 2)


def test_all_that_is_passed_over_is_named(packyoke: Run, tmp_path: Path) -> None:
    (tmp_path / "good.yaml").write_text(GOOD, encoding="utf-8")
    for each in range(60):
        (tmp_path / f"other-{each:02}.yaml").write_text("a: 1\n", encoding="utf-8")
    err = packyoke("check", tmp_path, "--no-shop")[2]
    assert [f"other-{each:02}.yaml" in err for each in range(60)] == [True] * 60


def test_links_are_followed_once(packyoke: Run, tmp_path: Path) -> None:
    outside, folder = tmp_path / "outside", tmp_path / "folder"
    outside.mkdir()
    folder.mkdir()
    (outside / "a.yaml").write_text(GOOD, encoding="utf-8")
    (folder / "linked").symlink_to(outside)
    (folder / "round").symlink_to(folder)
    (outside / "back").symlink_to(folder)
    code, out, _ = packyoke("check", folder, "--format", "json", "--no-shop")
    assert code == 0
    assert [Path(each["file"]).name for each in json.loads(out)["builds"]] == ["a.yaml"]


def test_a_link_to_nothing_is_2_and_a_pipe_is_not_waited_for(packyoke: Run, tmp_path: Path) -> None:
    (tmp_path / "good.yaml").write_text(GOOD, encoding="utf-8")
    os.mkfifo(tmp_path / "pipe.yaml")
    code, _, err = packyoke("check", tmp_path, "--no-shop")
    assert (code, "pipe.yaml: not a regular file" in err) == (0, True)
    (tmp_path / "gone.yaml").symlink_to(tmp_path / "nothing")
    code, out, _ = packyoke("check", tmp_path, "--no-shop")
    assert (code, "a link to nothing" in out) == (2, True)


def test_too_many_folders_are_2(packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(intake, "MOST_FOLDERS", 3)
    for each in range(4):
        (tmp_path / f"{each}").mkdir()
    code, out, _ = packyoke("check", tmp_path)
    assert (code, "more than 3 folders" in out) == (2, True)


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", ""],
        ["check", EXAMPLES, ""],
        ["plan", ""],
        ["check", EXAMPLES, "--shop", ""],
        ["check", EXAMPLES, "--output", ""],
        ["compare", "", EXAMPLES],
    ],
)
def test_an_empty_name_is_2(packyoke: Run, arguments: list[str]) -> None:
    code, out, err = packyoke(*arguments)
    assert (code, out) == (2, "")
    assert "the name is empty" in err


def as_nobody() -> list[str]:
    """What to put before a command so that the rights of files count, for root too."""
    if os.geteuid():
        return []
    if shutil.which("setpriv") is None:
        pytest.skip("root passes over the rights of files, and setpriv is not there to take that away")
    return ["setpriv", "--bounding-set=-all", "--inh-caps=-all"]


@pytest.mark.cross
@pytest.mark.parametrize("rights", [0o000, 0o400])
def test_a_folder_that_cannot_be_searched_is_2(tmp_path: Path, rights: int) -> None:
    (tmp_path / "good.yaml").write_text(GOOD, encoding="utf-8")
    shut = tmp_path / "shut"
    shut.mkdir()
    (shut / "a.yaml").write_text(GOOD, encoding="utf-8")
    shut.chmod(rights)
    names = [tmp_path, shut / "a.yaml"]
    try:
        for name in names:
            done = subprocess.run(
                [*as_nobody(), sys.executable, "-m", "packyoke", "check", name],
                capture_output=True,
                text=True,
                check=False,
            )
            assert done.returncode == 2, done.stderr
            assert "Permission denied" in done.stdout
            assert "Traceback" not in done.stderr
    finally:
        shut.chmod(0o700)


def _many(folder: Path) -> None:
    """Examples at every verdict, one with mistakes, one to pass over, one with a track that is not there."""
    for at, path in enumerate(sorted(EXAMPLES.glob("*.yaml"))):
        shutil.copy(path, folder / f"{at:02}.yaml")
    (folder / "03-broken.yaml").write_text(BROKEN, encoding="utf-8")
    (folder / "04-other.yaml").write_text("services: {}\n", encoding="utf-8")
    track = GOOD + "\nrides:\n  round: {gpx: gone.gpx}\n"
    (folder / "05-track.yaml").write_text(track, encoding="utf-8")


def _run(folder: Path, *more: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "packyoke", "check", str(folder), "--no-shop", "--today", "2026-11-25", *more]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_several_jobs_say_what_one_says(tmp_path: Path) -> None:
    _many(tmp_path)
    one, three = (_run(tmp_path, "--format", "json", "--jobs", jobs) for jobs in ("1", "3"))
    assert (one.returncode, one.stdout, one.stderr) == (three.returncode, three.stdout, three.stderr)
    assert len(json.loads(one.stdout)["builds"]) > 9
    assert one.returncode == 2


def test_a_job_never_writes_over_a_file_that_another_process_read(tmp_path: Path) -> None:
    _many(tmp_path)
    before = (tmp_path / "00.yaml").read_bytes()
    found = _run(tmp_path, "--format", "lines", "--jobs", "2", "--replace", "--output", str(tmp_path / "00.yaml"))
    assert found.returncode == 2
    assert "never written to" in found.stderr
    assert (tmp_path / "00.yaml").read_bytes() == before


def test_ctrl_c_ends_several_jobs_quietly(tmp_path: Path) -> None:
    for at in range(40):
        (tmp_path / str(at)).mkdir()
        _many(tmp_path / str(at))
    command = [sys.executable, "-m", "packyoke", "check", str(tmp_path), "--no-shop", "--jobs", "2"]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    ) as running:
        time.sleep(2)
        os.killpg(running.pid, signal.SIGINT)
        try:
            out, err = running.communicate(timeout=60)
        finally:
            running.kill()
    assert running.returncode == 130
    assert out == ""
    assert err in ("", "interrupted\n")  # nothing where it came before anything was loaded
