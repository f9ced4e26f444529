"""What is read has limits that the error names; within them an answer comes in time and in little memory."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from packyoke.api import load
from packyoke.buildfile.reading.build import MOST
from packyoke.buildfile.reading.gpx import load_track
from packyoke.buildfile.reading.names import MOST_SETS
from packyoke.buildfile.reading.shop import MOST_ITEMS
from packyoke.model import Build
from tests import limits
from tests.support import EXAMPLES, edited

Run = Callable[..., tuple[int, str, str]]
CLEAN = EXAMPLES / "skerry-long-tail.yaml"
TRACK = (EXAMPLES / "skerry-round.gpx").read_text("utf-8")
MOST_MB = 300
LISTS = ("runs", "measured", "accept")


@pytest.mark.parametrize("section", MOST)
def test_a_section_has_a_limit_that_is_named(packyoke: Run, tmp_path: Path, section: str) -> None:
    file = tmp_path / "a.yaml"
    count = MOST[section] + 1
    if section in LISTS:
        inside = f"{section}: [{', '.join(['{}'] * count)}]"
    else:
        inside = f"{section}: {{{', '.join(f'n{each}: {{}}' for each in range(count))}}}"
    inside = f"parts: {{{inside}}}" if section == "connectors" else inside
    file.write_text(f"packyoke: 1\nname: x\n{inside}\n", encoding="utf-8")
    code, out, _ = packyoke("check", file)
    assert code == 2
    assert f"At most {MOST[section]} are read." in out


def test_sets_have_a_limit_and_doubles_say_nothing(packyoke: Run, tmp_path: Path) -> None:
    file = tmp_path / "a.yaml"
    plain = CLEAN.read_text("utf-8")
    twice = "sets: [" + ", ".join(["[keel, pannier], [pannier, keel], [keel]"] * 2000) + "]\n"
    file.write_text(plain + twice, encoding="utf-8")
    build = load(file.read_bytes(), "a.yaml")
    assert isinstance(build, Build)
    assert build.sets == (("keel", "pannier"), ("keel",))
    names = [f"p{each}" for each in range(12)]
    packs = f"packs: {{{', '.join(f'{name}: {{}}' for name in names)}}}"
    pairs = [f"[{a}, {b}]" for at, a in enumerate(names) for b in names[at + 1 :]]
    file.write_text(f"packyoke: 1\nname: x\n{packs}\nsets: [{', '.join(pairs)}]\n", encoding="utf-8")
    code, out, _ = packyoke("check", file)
    assert code == 2
    assert f"At most {MOST_SETS} are read." in out


def test_tracks_of_one_build_have_a_limit_together(packyoke: Run, tmp_path: Path) -> None:
    (tmp_path / "a.gpx").write_text(limits.track(30_000, 5.0), encoding="utf-8")
    (tmp_path / "b.gpx").write_text(limits.track(30_000, 5.0), encoding="utf-8")
    file = tmp_path / "a.yaml"
    rides = "ride: {out: {gpx: a.gpx}, back: {gpx: b.gpx}}\n"
    file.write_text(CLEAN.read_text("utf-8") + rides, encoding="utf-8")
    code, _, err = packyoke("range", file)
    assert (code, "60000 points in 2 tracks" in err) == (2, True)


def test_the_shelf_has_a_limit_that_is_named(packyoke: Run, tmp_path: Path) -> None:
    shop = tmp_path / "shop.yaml"
    wires = ", ".join(f"w{each}: {{gauge: 12 AWG}}" for each in range(MOST_ITEMS + 1))
    shop.write_text(f"packyoke-shop: 1\nshelf: {{wires: {{{wires}}}}}\n", encoding="utf-8")
    code, _, err = packyoke("check", CLEAN, "--shop", shop)
    assert (code, f"At most {MOST_ITEMS} are read." in err) == (2, True)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["check", "/dev/zero"], ""),
        (["plan", "/dev/zero"], "nothing in this file was"),
        (["check", "-"], ""),
        (["check", str(CLEAN), "--shop", "/dev/zero"], "has mistakes"),
        (["range", str(CLEAN), "--route", "/dev/zero"], "not a regular file"),
    ],
)
def test_what_never_ends_is_read_to_its_limit(arguments: list[str], said: str) -> None:
    with open("/dev/zero", "rb") as endless:
        used = limits.run(arguments, most_s=20, most_bytes=MOST_MB * 2**20, stdin=endless)
    assert used.status == 2
    assert said in used.error or "could not be read" in used.error
    assert used.memory_mb < MOST_MB


@pytest.mark.parametrize("size", [2_000_000, 5_000_000_000])
def test_files_that_are_too_large_are_not_read(tmp_path: Path, size: int) -> None:
    for name, arguments in (("a.yaml", ["check"]), ("a.gpx", ["range", str(CLEAN), "--route"])):
        file = tmp_path / name
        with file.open("wb") as made:
            made.truncate(size)
        used = limits.run([*arguments, str(file)], most_s=20, most_bytes=MOST_MB * 2**20)
        assert used.status == 2


@pytest.fixture
def bikes(tmp_path: Path) -> Path:
    folder = tmp_path / "bikes"
    folder.mkdir()
    (folder / "inside.gpx").write_text(TRACK, encoding="utf-8")
    (tmp_path / "outside.gpx").write_text(TRACK, encoding="utf-8")
    (tmp_path / "secret").write_text("<gpx>\nthe secret\n", encoding="utf-8")
    (folder / "words.txt").write_text("the secret\n", encoding="utf-8")
    (folder / "page.txt").write_text("<html>the secret</html>", encoding="utf-8")
    (folder / "link.gpx").symlink_to(tmp_path / "outside.gpx")
    os.mkfifo(folder / "pipe.gpx")
    return folder


@pytest.mark.parametrize(
    ("named", "said"),
    [
        ("../outside.gpx", "lies outside the folder of the build"),
        ("/etc/passwd", "lies outside the folder of the build"),
        ("/dev/zero", "lies outside the folder of the build"),
        ("link.gpx", "lies outside the folder of the build"),
        ("../secret", "lies outside the folder of the build"),
        ("pipe.gpx", "not a regular file"),
        (".", "cannot be opened"),
        ("none.gpx", "cannot be opened"),
        ("words.txt", "not XML"),
        ("page.txt", "not <gpx>"),
    ],
)
def test_a_build_opens_only_tracks_that_lie_with_it(packyoke: Run, bikes: Path, named: str, said: str) -> None:
    build = bikes / "a.yaml"
    build.write_text(edited("skerry-long-tail", {"ride": {"hilly": {"gpx": named}}}), encoding="utf-8")
    code, out, err = packyoke("range", build)
    assert (code, said in err) == (2, True), err
    assert "the secret" not in out + err
    code, out, err = packyoke("check", build)
    assert (code, said in err) == (0, True)


def test_a_track_that_lies_with_its_build_is_read(packyoke: Run, bikes: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    build = bikes / "a.yaml"
    build.write_text(edited("skerry-long-tail", {"ride": {"hilly": {"gpx": "inside.gpx"}}}), encoding="utf-8")
    assert packyoke("range", build, "--ride", "hilly")[0] == 0
    monkeypatch.chdir(bikes)
    assert packyoke("range", "a.yaml", "--ride", "hilly")[0] == 0
    shutil.copy(build, bikes.parent / "b.yaml")
    assert packyoke("range", "../b.yaml", "--ride", "hilly")[0] == 2


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (limits.track(50_002, 5.0), "more than 50000 points"),
        (limits.track(9_000, 100.0), "the way is longer than 600 km"),
        (limits.track(4_000, 20.0, segments=1_500), "more than 1000 segments"),
        (f'<gpx><trk><trkseg><trkpt lat="{"1" * 20_000}x" lon="1"/></trkseg></trk></gpx>', "more than 40 digits"),
        (f'<gpx><trk><trkseg><trkpt lat="1" lon="1"><ele>{"1" * 20_000}</ele></trkpt></trkseg></trk></gpx>', "digits"),
    ],
    ids=["points", "way", "segments", "digits", "height"],
)
def test_a_track_has_limits_that_are_named(text: str, said: str) -> None:
    found = load_track(text, "a.gpx")
    assert isinstance(found, list)
    assert any(said in each.message for each in found)


@pytest.mark.parametrize("command", ["check", "charge", "check --format html"])
@pytest.mark.parametrize("shape", ["12 packs, all known", "100 accessories", "60 chargers"])
def test_large_builds_in_little_memory(tmp_path: Path, shape: str, command: str) -> None:
    """Time and memory of a limited process; `python tests/limits.py` measures every command on every shape."""
    build = tmp_path / "a.yaml"
    limits.write(build, limits.SHAPES[shape]())
    first, *rest = command.split()
    used = limits.run([first, str(build), *rest], most_s=20)
    assert used.status in (0, 1), used.error
    assert used.memory_mb < MOST_MB


@pytest.mark.parametrize("megabytes", [40, 60, 90, 150])
def test_a_process_with_too_little_memory_answers_or_says_so(megabytes: int) -> None:
    line = f'ulimit -v {1024 * megabytes}; exec "{sys.executable}" -m packyoke check {CLEAN}'
    done = subprocess.run(["bash", "-c", line], capture_output=True, text=True, check=False)
    if "packyoke" in done.stderr:  # else Python itself could not start
        assert done.returncode == 3
        assert "Traceback" not in done.stderr
