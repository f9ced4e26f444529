"""`packyoke meter --record`: readings in a copy of the file, which keeps every other line."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
import yaml

from packyoke.buildfile.reading import load
from packyoke.buildfile.writing.readings import CannotInsert, Entry, with_readings
from packyoke.model import Build, as_found
from packyoke.verdict.fingerprint import fingerprint
from tests.cli.conftest import Run
from tests.support import EXAMPLES

BLOCKING = EXAMPLES / "skerry-long-tail.yaml"


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "meter")


READINGS = (
    "--volts",
    "keel=57.92,pannier=55.2",
    "--loaded",
    "keel=55.1 at 20 A",
    "--drop",
    "keel lead=120 mV at 20 A",
    "--across-inlet",
    "yoke 2: 0.3",
    "--today",
    "2026-11-25",
)


@pytest.mark.parametrize("end", ["...\n", "...  # the end\n# of it\n", "...\r\n"])
def test_readings_stand_before_the_end_of_a_document(run: Run, tmp_path: Path, end: str) -> None:
    old, new = tmp_path / "old.yaml", tmp_path / "new.yaml"
    text = BLOCKING.read_text(encoding="utf-8")
    old.write_bytes((text.replace("\n", "\r\n" if "\r" in end else "\n") + end).encode())
    assert run(old, *READINGS, "--record", new)[0] == 0
    written = new.read_bytes().decode()
    assert written.endswith(end)
    assert written.count("\r") in (0, written.count("\n"))
    found = load(written, "x")
    assert isinstance(found, Build)
    assert len(found.measured) == 6


def test_record_keeps_the_text_and_adds_what_was_measured(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "built.yaml"
    code, _, err = run(BLOCKING, *READINGS, "--record", target)
    assert code == 0
    assert "6 readings written" in err
    before, after = BLOCKING.read_text(encoding="utf-8"), target.read_text(encoding="utf-8")
    assert after.startswith(before)
    built, described = load(after, "x"), load(before, "x")
    assert isinstance(built, Build)
    assert isinstance(described, Build)
    found = {(each.part, each.what): (each.value, each.at_a, each.date) for each in built.measured}
    assert found == {
        ("packs.keel", "voltage"): (57.92, None, "2026-11-25"),
        ("packs.pannier", "voltage"): (55.2, None, "2026-11-25"),
        ("packs.keel", "voltage under load"): (55.1, 20.0, "2026-11-25"),
        ("packs.keel", "resistance"): (pytest.approx(0.141), None, "2026-11-25"),
        ("leads.keel lead", "drop"): (pytest.approx(0.120), 20.0, "2026-11-25"),
        ("joiners.yoke", "blocks"): (1.0, None, "2026-11-25"),
    }
    # Readings stand in the parts; without them it is the file as it was.
    assert fingerprint(as_found(replace(built, measured=()))) == fingerprint(described)


def test_record_never_writes_over_what_is_there(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "built.yaml"
    file = tmp_path / "build.yaml"
    file.write_bytes(BLOCKING.read_bytes())
    assert run(file, *READINGS, "--record", target)[0] == 0
    code, out, err = run(file, *READINGS, "--record", target)
    assert (code, out.startswith("YES"), "exists already" in err) == (2, True, True)  # the answer is not lost
    assert run(file, *READINGS, "--record", target, "--replace")[0] == 0
    code, _, err = run(file, *READINGS, "--record", file, "--replace")
    assert (code, "never written to" in err) == (2, True)
    assert file.read_bytes() == BLOCKING.read_bytes()


def test_record_on_top_of_a_record(run: Run, tmp_path: Path) -> None:
    first, second = tmp_path / "one.yaml", tmp_path / "two.yaml"
    run(BLOCKING, *READINGS, "--record", first)
    assert run(first, "--volts", "keel=56", "--today", "2026-11-26", "--record", second)[0] == 0
    built = load(second.read_bytes(), "x")
    assert isinstance(built, Build)
    assert [each.date for each in built.measured][-1] == "2026-11-26"
    assert len(built.measured) == 7


ENTRY = Entry("2026-11-25", "packs.keel", "voltage", "57.9 V")
LINE = "{date: 2026-11-25, part: packs.keel, what: voltage, value: 57.9 V}"


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("packyoke: 1\nname: x", f"packyoke: 1\nname: x\nmeasured:\n  - {LINE}\n"),
        ("packyoke: 1\nname: x\n\n", f"packyoke: 1\nname: x\nmeasured:\n  - {LINE}\n\n"),
        ("packyoke: 1\nmeasured: []  # none\n", f"packyoke: 1\nmeasured: [{LINE}]  # none\n"),
        ("packyoke: 1\nmeasured: [{a: b}]\nname: x\n", f"packyoke: 1\nmeasured: [{{a: b}}, {LINE}]\nname: x\n"),
        ("packyoke: 1\nmeasured: [ {a: b}, ]\n", f"packyoke: 1\nmeasured: [ {{a: b}}, {LINE} ]\n"),
        (
            "packyoke: 1\nmeasured: [{a: ']'}, # ]\n  {b: c}]\n",
            f"packyoke: 1\nmeasured: [{{a: ']'}}, # ]\n  {{b: c}}, {LINE}]\n",
        ),
        (
            'packyoke: 1\nmeasured: [{a: "]\\"]"}]\n',
            f'packyoke: 1\nmeasured: [{{a: "]\\"]"}}, {LINE}]\n',
        ),
        (
            "packyoke: 1\nmeasured: [{a: '\\'}]\n",
            f"packyoke: 1\nmeasured: [{{a: '\\'}}, {LINE}]\n",
        ),
        (
            "packyoke: 1\nmeasured:\n- {a: b}\n# end\n\nname: x\n",
            f"packyoke: 1\nmeasured:\n- {{a: b}}\n- {LINE}\n# end\n\nname: x\n",
        ),
        (
            "packyoke: 1\r\nmeasured:\r\n    - a: b\r\n      c: d\r\nname: x\r\n",
            f"packyoke: 1\r\nmeasured:\r\n    - a: b\r\n      c: d\r\n    - {LINE}\r\nname: x\r\n",
        ),
        ("packyoke: 1\nmeasured:\nname: x\n", f"packyoke: 1\nmeasured:\n  - {LINE}\nname: x\n"),
    ],
    ids=[
        "no list",
        "blank lines at the end",
        "empty list",
        "in brackets",
        "comma at the end",
        "bracket in a text",
        "quote in a quoted text",
        "backslash in single quotes",
        "list not indented",
        "carriage returns",
        "nothing below",
    ],
)
def test_readings_go_where_they_belong_and_nothing_else_changes(before: str, after: str) -> None:
    assert with_readings(before, [ENTRY]) == after


def test_a_name_that_needs_quotes_gets_them() -> None:
    assert 'part: "packs.a, b\\"c"' in str(Entry("2026-11-25", 'packs.a, b"c', "voltage", "50 V"))


def test_what_cannot_be_added_to_is_refused() -> None:
    with pytest.raises(CannotInsert):
        with_readings("packyoke: 1\nmeasured: *none\n", [ENTRY])
    with pytest.raises(CannotInsert):
        with_readings("packyoke: 1\nmeasured: [{a: b}\n", [ENTRY])


@pytest.mark.parametrize(
    "written",
    [
        lambda build: json.dumps(build),  # all of it on one line
        lambda build: json.dumps(build, indent=2),
        lambda build: yaml.dump(build, default_flow_style=True),
        lambda build: yaml.dump(build, sort_keys=False) + "? measured\n: []\n",
        lambda build: yaml.dump(build, sort_keys=False) + "measured:\n  []\n",
    ],
)
def test_where_nothing_can_be_put_in_the_line_to_put_in_is_told(
    run: Run, tmp_path: Path, written: Callable[[object], str]
) -> None:
    """The readings were lost: the message said only that nothing was written."""
    file, new = tmp_path / "a.yaml", tmp_path / "new.yaml"
    build = yaml.load(BLOCKING.read_text("utf-8"), yaml.BaseLoader)
    file.write_text(written(build), encoding="utf-8")
    code, _, err = run(
        file, "--volts", "keel=57.92,pannier=55.2", "--today", "2026-11-25", "--record", new, "--no-shop"
    )
    assert (code, new.exists()) == (2, False)
    line = err.partition("nothing was written. By hand:  ")[2]
    file.write_text(f"{yaml.dump(build, sort_keys=False)}{line}", encoding="utf-8")
    found = load(file.read_bytes(), "a.yaml")
    assert isinstance(found, Build)
    assert [each.value for each in found.measured] == [57.92, 55.2]


@pytest.mark.parametrize(
    ("readings", "recorded"),
    [
        (("--drop", "keel lead=0.09 at 20 A"), ("drop", 0.09, 20.0)),  # without its unit it could not be recorded
        (("--drop", "keel lead=90000 uV at 20 A"), None),
        (("--drop", "keel lead=90 mV at 20000 mA"), ("drop", 0.09, 20.0)),
        (("--volts", "keel=57920 mV"), ("voltage", 57.92, None)),
        (("--volts", "keel=0.05792 kV"), ("voltage", 57.92, None)),
        (("--volts", "keel=57.92 Vdc"), ("voltage", 57.92, None)),
    ],
)
def test_readings_are_recorded_as_they_were_read(
    run: Run, tmp_path: Path, readings: tuple[str, str], recorded: tuple[str, float, float | None] | None
) -> None:
    target = tmp_path / "built.yaml"
    code, _, _ = run(BLOCKING, *readings, "--no-shop", "--record", target)
    assert (code, target.exists()) == ((0, True) if recorded else (2, False))
    if recorded:
        built = load(target.read_bytes(), "x")
        assert isinstance(built, Build)
        ((what, value, at_a),) = [(each.what, each.value, each.at_a) for each in built.measured]
        assert (what, value, at_a) == (recorded[0], pytest.approx(recorded[1]), recorded[2])


@pytest.mark.parametrize(
    "readings",
    [
        ("--volts", "keel=57.92 V ?"),  # these counted as facts, and were written down as guesses
        ("--volts", "keel=57.92 ?"),
        ("--volts", "keel=57.92?"),
        ("--volts", "keel=57.92", "--loaded", "keel=55.1 at 20 A ?"),
        ("--volts", "keel=57.92", "--loaded", "keel=55.1 ? at 20 A"),
        ("--drop", "keel lead=60 mV ? at 20 A"),
        ("--drop", "keel lead=60 mV at 20 A?"),
        ("--across-inlet", "yoke 2: 0.3 V ?"),
    ],
)
def test_a_guess_is_no_reading(run: Run, tmp_path: Path, readings: tuple[str, ...]) -> None:
    target = tmp_path / "built.yaml"
    code, out, err = run(BLOCKING, *readings, "--no-shop", "--record", target)
    assert (code, out, target.exists()) == (2, "", False)
    assert "is a guess, and what is typed here counts as a fact. Write" in err


@pytest.mark.parametrize(
    ("kept", "end", "said"),
    [
        (999, "", ""),
        (1000, "", "with the readings in it the file is refused (measured: 1001 entries)"),
        (0, f"# {'x' * 1_000_000}"[: 1_000_000 - len(BLOCKING.read_bytes())], "refused (more than 1 MB)"),
    ],
)
def test_a_file_that_takes_no_more_readings_is_told_why(
    run: Run, tmp_path: Path, kept: int, end: str, said: str
) -> None:
    file, target = tmp_path / "full.yaml", tmp_path / "built.yaml"
    measured = "measured:\n" + f"  - {LINE}\n" * kept if kept else ""
    file.write_text(BLOCKING.read_text("utf-8") + measured + end, encoding="utf-8")
    code, _, err = run(file, "--volts", "keel=57.9", "--no-shop", "--record", target)
    assert said in err
    assert (code, target.exists()) == ((2, False) if said else (0, True))
