"""What is put into a file of somebody is read back before it is written; and which files are builds, shops, results."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from packyoke.buildfile.writing import complete, readings, tidy
from tests.cli.conftest import Run
from tests.support import EXAMPLES, base_text

GOOD = base_text("skerry-long-tail")
SKERRY, TRIKE = EXAMPLES / "skerry-long-tail.yaml", EXAMPLES / "quay-plain-trike.yaml"
COUNTER = EXAMPLES / "counter"
BROKEN, OTHER = "packyoke: 1\nbogus: 1\n", "packyoke: 1\nname: another one\n"

WRITERS = [
    (complete, "completed_text", ("plan", EXAMPLES / "saltpan-planned.yaml", "--write")),
    (readings, "with_readings", ("meter", TRIKE, "--volts", "old=53.9,new=49.2", "--record")),
]


@pytest.mark.parametrize("put", [BROKEN, OTHER])
@pytest.mark.parametrize(("module", "name", "arguments"), WRITERS)
def test_what_is_read_back_as_something_else_is_not_written(
    packyoke: Run,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    module: object,
    name: str,
    arguments: tuple[str | Path, ...],
    put: str,
) -> None:
    monkeypatch.setattr(module, name, lambda *_: put)
    status, _, err = packyoke(*arguments, tmp_path / "new.yaml")
    assert (status, "nothing was written" in err, err.startswith(f"packyoke: {arguments[1]}: ")) == (2, True, True), err
    assert [*tmp_path.iterdir()] == []


@pytest.mark.parametrize("put", [BROKEN, OTHER])
def test_nor_is_an_offer(packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, put: str) -> None:
    real = complete.completed_text
    monkeypatch.setattr("packyoke.buildfile.writing.quoted.completed_text", real)  # the steps before stay as they are
    monkeypatch.setattr(complete, "completed_text", lambda *_: put)
    wish = ("--reach", "80 km", "--add", "1", "--choose", "1")
    status, _, err = packyoke("quote", COUNTER / "parcel-bike.yaml", *wish, "--write", tmp_path / "new.yaml")
    assert (status, "nothing was written" in err) == (2, True), err
    assert [*tmp_path.iterdir()] == []


@pytest.mark.parametrize("put", [BROKEN, OTHER])
def test_nor_is_another_order(packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, put: str) -> None:
    file = tmp_path / "a.yaml"
    file.write_text(GOOD, encoding="utf-8")
    monkeypatch.setattr(tidy, "tidied", lambda *_: put)
    said = f"packyoke: {file} is written in a way that cannot be put in order; it was left as it is\n"
    assert packyoke("tidy", file, "--no-shop", "--replace") == (2, "", said)
    assert file.read_text("utf-8") == GOOD


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--check", "a.yaml", "--replace"), "--check writes nothing; leave --output and --replace out"),
        (("--check", "a.yaml", "--output", "b.yaml"), "--check writes nothing; leave --output and --replace out"),
        (("a.yaml", "--replace", "--output", "b.yaml"), "--replace writes over FILE; leave --output out"),
        (("-", "--replace"), "--replace writes over FILE; leave --output out"),
    ],
)
def test_tidy_writes_to_one_place(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.yaml").write_text(GOOD, encoding="utf-8")
    assert packyoke("tidy", *arguments) == (2, "", f"packyoke: {said}\n")
    assert [each.name for each in tmp_path.iterdir()] == ["a.yaml"]


def test_a_result_of_other_rules_is_told_by_its_name(packyoke: Run, tmp_path: Path) -> None:
    last = tmp_path / "last.json"
    last.write_text(
        packyoke("check", SKERRY, "--no-shop", "--only", "live-pins", "--format", "json")[1], encoding="utf-8"
    )
    said = "it holds only live-pins; give --only with these, or check again"
    assert packyoke("check", SKERRY, "--no-shop", "--against", last) == (2, "", f"packyoke: --against {last}: {said}\n")
    status, out, _ = packyoke("check", SKERRY, "--no-shop", "--only", "live-pins", "--against", last)
    assert (status, f"Against {last}" in out) == (0, True), out


def test_a_result_is_known_by_its_name_and_by_what_is_in_it(packyoke: Run, tmp_path: Path) -> None:
    result, other = tmp_path / "result.txt", tmp_path / "other.json"
    result.write_text(packyoke("check", SKERRY, "--no-shop", "--format", "json")[1], encoding="utf-8")
    assert packyoke("compare", result, result)[0] == 0
    other.write_text(GOOD, encoding="utf-8")
    status, _, err = packyoke("compare", other, SKERRY)
    assert (status, f"{other} is a result of the check in JSON, {SKERRY} a build file" in err) == (2, True), err


def test_a_search_of_a_folder_is_of_builds_only(packyoke: Run, tmp_path: Path) -> None:
    """A shop file has packs and connectors as well, and so may the file of another program."""
    (tmp_path / "empty").mkdir()
    assert packyoke("find", "--uses", "XT60", tmp_path / "empty")[::2] == (2, "0 could not be read, 0 read\n")
    (tmp_path / "bike.yaml").write_text(GOOD, encoding="utf-8")
    (tmp_path / "web.yaml").write_text("services: {web: {image: XT60}}\n", encoding="utf-8")
    (tmp_path / "old-shop.yaml").write_bytes((COUNTER / "packyoke-shop.yaml").read_bytes())
    (tmp_path / "packyoke-shop.yaml").write_text("packyoke-shop: [\n", encoding="utf-8")
    status, out, err = packyoke("find", "--uses", "XT60", tmp_path, "--no-shop", "--format", "json")
    assert (status, err, json.loads(out)["read"]) == (0, "", 1)
    # What stands in a shop file that cannot be read is not found: nobody is told that it is nowhere.
    status, out, err = packyoke("find", "--uses", "XT60", tmp_path, "--format", "json")
    assert (status, out, "packyoke-shop.yaml" in err) == (2, "", True)


@pytest.mark.parametrize(
    ("arguments", "name"),
    [
        (("check", SKERRY, "--today", " "), "--today"),
        (("why", " "), "[RULE]"),
        (("range", SKERRY, "--known", "48 km", "--known", ""), "--known"),
        (("start", "--name", ""), "--name"),
    ],
)
def test_an_empty_value_is_refused_by_its_name(packyoke: Run, arguments: tuple[str | Path, ...], name: str) -> None:
    status, out, err = packyoke(*arguments)
    assert (status, out) == (2, "")
    assert err.endswith(f"Error: Invalid value for '{name}': is empty\n"), err


@pytest.mark.parametrize("option", ["capacity", "chemistry", "resistance", "charge", "joiner", "load"])
def test_a_word_for_packs_on_the_bench_is_not_dropped(packyoke: Run, option: str) -> None:
    status, out, err = packyoke("meter", "--series", "13", "--volts", "54.1,51.3", f"--{option}", "banana")
    assert (status, out) == (2, "")
    assert f'--{option} "banana"' in err
