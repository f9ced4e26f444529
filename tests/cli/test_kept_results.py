"""What becomes of files that held a build when a result was kept; and what else is written beside an answer."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.support import EXAMPLES, base_text, edited

GOOD, RETIRED = base_text("skerry-long-tail"), edited("skerry-long-tail", {"status": "retired"})
COUNTER = EXAMPLES / "counter"


@pytest.mark.parametrize(
    ("now", "status", "lost", "skipped"),
    [
        (GOOD, 0, 0, ["other.yaml"]),
        ("a: 1\n", 2, 1, ["other.yaml"]),  # nobody took the file away: it is not passed over
        (RETIRED, 0, 0, ["other.yaml", "was.yaml"]),
    ],
)
def test_a_file_that_held_a_build_is_not_passed_over(
    packyoke: Run, tmp_path: Path, now: str, status: int, lost: int, skipped: list[str]
) -> None:
    bikes, last = tmp_path / "bikes", tmp_path / "last.json"
    bikes.mkdir()
    for name, text in (("stays.yaml", GOOD), ("was.yaml", GOOD), ("other.yaml", "a: 1\n")):
        (bikes / name).write_text(text, encoding="utf-8")
    last.write_text(packyoke("check", bikes, "--no-shop", "--format", "json")[1], encoding="utf-8")
    (bikes / "was.yaml").write_text(now, encoding="utf-8")
    code, out, _ = packyoke("check", bikes, "--no-shop", "--against", last, "--format", "json")
    found = json.loads(out)
    assert code == status
    assert [Path(each["file"]).name for each in found["skipped"]] == skipped
    said = [(Path(each["file"]).name, one["message"]) for each in found["builds"] for one in each["findings"]]
    assert len([name for name, message in said if "no build any more" in message and name == "was.yaml"]) == lost


SPECIAL = [
    ("plan", EXAMPLES / "saltpan-planned.yaml", ("--write",), ()),
    ("meter", EXAMPLES / "quay-plain-trike.yaml", ("--record",), ("--volts", "old=53.9,new=49.2")),
    ("quote", COUNTER / "parcel-bike.yaml", ("--choose", "1", "--write"), ("--reach", "80 km", "--add", "1")),
]


@pytest.mark.parametrize(("command", "build", "write", "more"), SPECIAL)
def test_two_things_are_not_written_into_one_file(
    packyoke: Run, tmp_path: Path, command: str, build: Path, write: tuple[str, ...], more: tuple[str, ...]
) -> None:
    new = tmp_path / "new.yaml"
    code, out, err = packyoke(command, build, *more, *write, new, "--output", new, "--replace")
    assert (code, out, new.exists()) == (2, "", False)
    assert "it is never written to. Choose another name" in err


def test_a_file_that_is_called_as_standard_input_is_another_one(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(GOOD.encode()), encoding="utf-8"))
    assert packyoke("charge", "-", "--no-shop", "--output", "./-") == (0, "", "")
    assert (tmp_path / "-").read_text("utf-8").startswith("YES   Skerry mail")
