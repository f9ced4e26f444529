"""What hangs on one comparison of the command line, at both of its sides."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from packyoke.answers.start.interview import DraftQuestion
from packyoke.answers.start.prompts import Prompt
from packyoke.cli import COMMANDS
from packyoke.cli.start import _question
from tests.cli.conftest import Run

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
GOOD, BAD = EXAMPLES / "skerry-long-tail.yaml", EXAMPLES / "headland-72-volts.yaml"


def test_every_command_is_told_in_a_sentence(packyoke: Run) -> None:
    told = packyoke("--help")[1].partition("Commands:")[2]
    lines = told.strip("\n").split("\n")
    for name in COMMANDS:
        (line,) = [each for each in lines if each.split()[:1] == [name]]
        assert len(line.split()) > 3, line


def test_rides_are_counted_for_one_build_and_not_for_two(packyoke: Run, tmp_path: Path) -> None:
    def ridden(*names: str) -> bool:
        found = json.loads(packyoke("check", *(tmp_path / name for name in names), "--format", "json")[1])
        return all(each["range_km"] for each in found["builds"][0]["sets"])

    text = GOOD.read_text(encoding="utf-8")
    for name in ("a.yaml", "b.yaml"):
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "packyoke-shop.yaml").write_text("packyoke-shop: 1\n", encoding="utf-8")
    assert ridden("a.yaml")
    assert not ridden("a.yaml", "b.yaml")


def test_a_sheet_that_is_not_made_is_told_apart_from_its_page(packyoke: Run) -> None:
    title = "Headland route, two 72 V packs: no sheet for the customer"
    status, out, err = packyoke("sheet", BAD, "--for", "customer", "--format", "text")
    assert (status, err) == (1, "")
    assert title in out
    status, page, err = packyoke("sheet", BAD, "--for", "customer", "--format", "html")
    assert (status, err.strip()) == (1, title)
    assert page.startswith("<!DOCTYPE html>")
    assert packyoke("sheet", BAD, "--for", "customer", "--replace") == (1, page, err)


LABELLED, OFFERED = ("labels", GOOD), ("quote", EXAMPLES / "counter" / "parcel-bike.yaml")


@pytest.mark.parametrize(("reader", "build"), [("customer", GOOD), ("workshop", GOOD), LABELLED, OFFERED])
@pytest.mark.parametrize(
    ("form", "head"), [("html", "<!DOCTYPE html>\n"), ("text", "NAME\n"), ("markdown", "# NAME\n")]
)
def test_a_sheet_has_the_form_that_is_asked_for(packyoke: Run, reader: str, build: Path, form: str, head: str) -> None:
    name = "Parcel bike no. 5" if build != GOOD else "Skerry mail, long-tail no. 3"
    name = {"labels": f"Labels: {name}", "quote": f"Quote: {name}", "workshop": f"Work sheet: {name}"}.get(reader, name)
    status, page, _ = packyoke("sheet", build, "--for", reader, "--format", form, "--today", "2026-11-28")
    assert (status, page[: page.index("\n") + 1]) == (0, head.replace("NAME", name))


@pytest.mark.parametrize("more", [("--template",), ("--packs", "2", "--label", "48V")])
def test_start_without_a_file_prints_and_names_none(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, more: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "-").write_text("a file of this name\n", encoding="utf-8")
    status, out, _ = packyoke("start", *more)
    assert status == 0
    assert "NEW.yaml" in out
    assert [path.name for path in tmp_path.iterdir()] == ["-"]
    assert packyoke("start", "mail-bike_3.yaml", *more)[0] == 0
    written = (tmp_path / "mail-bike_3.yaml").read_text(encoding="utf-8")
    assert "NEW.yaml" not in written
    assert "mail-bike_3.yaml" in written
    if "--packs" in more:
        assert "name: mail bike 3" in written
        assert "name: my bike" in out
    status, _, err = packyoke("start", "mail-bike_3.yaml", *more)
    assert status == 2
    assert "exists already" in err


def test_what_was_explained_is_not_explained_again() -> None:
    def asked(how: str, example: str) -> DraftQuestion:
        return DraftQuestion(
            "k", "label", Prompt("How many amps?", how, example), ("controller",), lambda draft, text: ""
        )

    heard: set[str] = set()
    first = _question(asked("Look at the plate. Volts too.", "25 A"), heard)
    assert first.split("\n")[1:] == ["How many amps?", "  Look at the plate. Volts too. Example:  25 A"]
    again = _question(asked("Look at the plate. Turn it round.", "25 A"), heard)
    assert again.split("\n")[1:] == ["How many amps?", "  Turn it round."]
    assert _question(asked("Look at the plate.", "25 A"), heard).split("\n")[1:] == ["How many amps?"]
    inside = _question(asked("As on the plate, 30 A or so.", "30 A"), heard)
    assert "Example" not in inside


def test_shelf_says_the_same_in_words_and_in_json(packyoke: Run) -> None:
    status, text, _ = packyoke("shelf", "XT60", "--no-shop")
    assert (status, text.startswith("The shelf, version ")) == (0, True)
    status, data, _ = packyoke("shelf", "XT60", "--no-shop", "--format", "json")
    assert (status, [each["family"] for each in json.loads(data)["tables"]["connectors"]]) == (0, ["XT60"])


def test_a_symptom_that_no_rule_knows_prints_an_answer_to_programs_only(packyoke: Run) -> None:
    said = 'No rule knows the symptom "qqqq zzzz". Try other words, or: packyoke why\n'
    assert packyoke("why", "--symptom", "qqqq zzzz") == (1, "", said)
    status, data, err = packyoke("why", "--symptom", "qqqq zzzz", "--format", "json")
    assert (status, json.loads(data)["rules"], err) == (1, [], said)


@pytest.mark.parametrize(
    ("text", "status", "said"),
    [
        ("packyoke: 1\nname: x\npacks: {}\n", 0, "in order"),
        ("packyoke: 1\npacks: {}\nname: x\n", 1, "not in order; packyoke tidy prints it"),
    ],
)
def test_tidy_says_whether_a_file_is_in_order(packyoke: Run, tmp_path: Path, text: str, status: int, said: str) -> None:
    file = tmp_path / "a.yaml"
    file.write_text(text, encoding="utf-8")
    assert packyoke("tidy", "--check", file, "--no-shop") == (status, "", f"{file}: {said}\n")
    assert packyoke("tidy", "--replace", file, "--no-shop") == (0, "", "")
    assert file.read_text("utf-8") == "packyoke: 1\nname: x\npacks: {}\n"
