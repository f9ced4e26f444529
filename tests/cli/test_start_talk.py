"""How the questions of `packyoke start` go on: what is said once, what again, and what the words of the talk do."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Run

NAME, COUNT = "What do you call this bike?", "How many packs does it carry at once?"
ALIKE, JOINER = "Are they the same model, with the same label?", "What joins the packs?"
CELLS, MOTOR, CONNECTORS = "first: which cells?", "What kind of motor?", "Which connectors join packs, leads and"
STOP = "STOP  joiner: current rushes from one pack into the other"
LABEL = ("48V 14Ah", "54.6V 4A", "20A")


@pytest.fixture
def talk(packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    """Type lines at the questions, in an empty folder."""
    monkeypatch.chdir(tmp_path)

    def call(*lines: str, options: tuple[str, ...] = ()) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        return packyoke("start", *options)

    return call


def in_order(said: str, *parts: str) -> None:
    """Each of the parts is said, one after the other."""
    at = 0
    for each in parts:
        at = said.find(each, at)
        assert at >= 0, (each, said)
        at += len(each)


def test_a_head_stands_once_before_its_questions(talk: Run) -> None:
    _, _, said = talk("Mail bike 3", "1", "48V 14Ah", "", "20A", "skip", "stop")
    in_order(said, NAME, COUNT, "\nLABELS\n", "first: what is printed", CELLS, "\nLOOK AT THE BIKE\n", CONNECTORS)
    assert said.count("LABELS") == said.count("LOOK AT THE BIKE") == 1


def test_a_question_stands_once_when_its_answer_was_not_understood(talk: Run) -> None:
    _, _, said = talk("Mail bike 3", "2", "maybe", "perhaps", "yes", "stop")
    in_order(said, ALIKE, "Answer yes or no.", "Answer yes or no.", JOINER)
    assert (said.count(ALIKE), said.count(NAME), said.count(JOINER)) == (1, 1, 1)


def test_what_stands_above_is_not_said_again_to_a_wrong_answer(talk: Run) -> None:
    _, _, said = talk("Mail bike 3", "1", *LABEL, "skip", "", "old", "fine", "stop")
    in_order(said, "Look for swelling, dents", '"old" may be two things. Age and scratches alone do not count.\n')
    assert said.count("Look for swelling") == 1
    assert "taken as: sound" in said


@pytest.mark.parametrize("word", ["stop", "quit", "exit", "q", " STOP "])
def test_a_word_ends_the_questions_and_the_file_is_written(talk: Run, tmp_path: Path, word: str) -> None:
    code, out, said = talk("Mail bike 3", word, "2", "yes")
    assert (code, out) == (0, "")
    assert said.endswith("So far: too little for a verdict.\nNext: packyoke check bike.yaml\nwritten: bike.yaml\n")
    assert (COUNT in said, ALIKE in said) == (True, False)
    assert "name: Mail bike 3" in (tmp_path / "bike.yaml").read_text("utf-8")


def test_back_asks_the_last_question_again_and_says_where_there_is_none(talk: Run) -> None:
    _, _, said = talk("back", "Mail bike 3", "2", "back", "1", "stop")
    in_order(said, NAME, "Nothing to take back.", NAME, COUNT, ALIKE, COUNT, "first: what is printed on it?")
    assert said.count("Nothing to take back.") == 1
    assert JOINER not in said


def test_skip_leaves_the_rest_of_its_part(talk: Run) -> None:
    _, _, said = talk("Mail bike 3", "1", "48V 14Ah", "", "20A", "skip", "skip", "stop")
    in_order(said, CELLS, CONNECTORS, "\nSETTINGS OF THE CONTROLLER")
    assert (MOTOR in said, "how many amps may it give?" in said) == (False, False)


def test_a_stop_is_told_when_it_is_found_and_once(talk: Run) -> None:
    """Two packs on a plain joiner; the answer after it changes nothing of the stop."""
    _, _, said = talk("Mail bike 3", "2", "yes", "Y-splitter", *LABEL, "", "stop")
    in_order(
        said, "How many amps does the controller draw", STOP, CELLS, "how many amps may it give?", "So far: 1 stop"
    )
    assert said.count(STOP) == 1
    assert said.endswith("Why, and what to do: packyoke check bike.yaml\nwritten: bike.yaml\n")


def test_after_back_a_stop_is_told_again_at_the_end(talk: Run) -> None:
    _, _, said = talk("Mail bike 3", "2", "yes", "Y-splitter", *LABEL, "", "back", "stop")
    in_order(said, STOP, CELLS, CELLS, "So far: 1 stop", STOP)
    assert said.count(STOP) == 2


@pytest.mark.parametrize(
    ("lines", "options", "written"),
    [
        ((), (), False),
        (("Mail bike 3",), (), True),
        ((), ("--name", "Mail bike 3"), False),  # the name alone is no answer at the bike
        (("2",), ("--name", "Mail bike 3"), True),
        ((), ("--region", "EU"), False),
    ],
)
def test_a_draft_is_written_from_the_first_answer_on(
    talk: Run, tmp_path: Path, lines: tuple[str, ...], options: tuple[str, ...], written: bool
) -> None:
    code, out, said = talk(*lines, options=options)
    assert (code, out) == (0 if written else 2, "")
    assert ("nothing was answered, nothing was written" in said) is not written
    assert [each.name for each in tmp_path.iterdir()] == (["bike.yaml"] if written else [])
    assert (NAME in said) is ("--name" not in options)


def test_a_closed_standard_input_answers_nothing(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", None)
    code, _, said = packyoke("start")
    assert (code, said.endswith("nothing was answered, nothing was written\n")) == (2, True)


def test_answers_may_go_to_the_screen(talk: Run, tmp_path: Path) -> None:
    """No file is named then, for there is none to check; one that is called so does not stand in the way."""
    (tmp_path / "-").write_text("a file of this name\n", encoding="utf-8")
    code, out, said = talk("Mail bike 3", "2", "stop", options=("-",))
    assert (code, "name: Mail bike 3" in out, "packyoke check -" in said) == (0, True, False)
    assert "written" not in said
    assert [each.name for each in tmp_path.iterdir()] == ["-"]


@pytest.mark.parametrize("more", [(), ("--packs", "2")])
@pytest.mark.parametrize(("file", "called"), [("mail-bike_3.yaml", "mail bike 3"), ("-", "my bike")])
def test_a_bike_without_a_name_is_called_as_its_file(
    talk: Run, tmp_path: Path, file: str, called: str, more: tuple[str, ...]
) -> None:
    code, out, _ = talk("", "2", "stop", options=(file, *more))
    text = out if file == "-" else (tmp_path / file).read_text("utf-8")
    assert (code, f"name: {called}\n" in text) == (0, True), text
