"""`packyoke start`: three people at a bike, each ends with a file that is checked, whatever he knows."""

from __future__ import annotations

import io
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from packyoke.answers.start.interview import Interview
from packyoke.answers.start.taking import Again
from packyoke.api import Build, check, load
from tests.cli.conftest import Run

Answer = Callable[..., tuple[int, str, str]]


@pytest.fixture
def answer(packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Answer:
    """Type lines at the questions; the file is bike.yaml in an empty folder."""

    def call(*lines: str, options: tuple[str, ...] = ()) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        code, _, err = packyoke("start", tmp_path / "bike.yaml", "--today", "2027-05-14", *options)
        path = tmp_path / "bike.yaml"
        return code, path.read_text(encoding="utf-8") if path.exists() else "", err

    return call


def built(text: str) -> Build:
    found = load(text, "bike")
    assert isinstance(found, Build), [(each.message, each.do) for each in found]
    return found


OPENING = ("Mail bike 3", "2", "yes")


def test_one_who_knows_only_the_labels(answer: Answer) -> None:
    """A splitter between two packs of one kind is a stop, and that is said while the questions still go on."""
    labels = ("Y-splitter", "48V 14Ah", "54.6V 4A", "20A", "NMC", "25A continuous 50A peak", "10 s")
    code, text, err = answer(*OPENING, *labels, "skip", "skip", "skip", "skip", "skip")
    assert code == 0
    build = built(text)
    first = build.packs["first"]
    assert (first.label_v, first.capacity_coulomb, first.charger_label_v) == (48.0, 14 * 3600.0, 54.6)
    assert (first.discharge_continuous_a, first.discharge_peak_a, first.discharge_peak_s) == (25.0, 50.0, 10.0)
    assert build.joiners["joiner"].type == "plain"
    assert build.chargers["charger"].output_v == 54.6
    assert "STOP  joiner: current rushes" in err
    assert "# condition: sound" in text
    assert check(build).verdict == "stop"


LABELS = {
    "What do you call": "Mail bike 3",
    "How many packs does": "2",
    "Are they the same": "yes",
    "what is printed": "48V 14Ah",
    "its charger say": "54.6V 4A",
    "How many amps does the controller": "20A",
    "which cells": "NMC",
    "how many amps may it give": "30 A",
    "how many amps may it be charged": "4 A",
    "How many volts does the controller take": "60 V",
    "how many amps is it rated": "40 A",
}
PHOTOGRAPH = {
    "What joins": "Schottky",
    "Which connectors": "XT60",
    "hollow tubes": "yes",
    "what do you see": "fine",
    "is there a fuse": "30A blade",
    "where does it sit": "frame",
    "What kind of motor": "geared hub",
    "covered with": "silicone",
    "which wire": "12 AWG",
    "which plug": "barrel",
}
MEASURED = {
    "how long": "300 mm, 400 mm, 300 mm",
    "stop drawing": "39 V",
    "brake into": "no",
    "same two contacts": "common",
    "data link": "none",
    "What joins": "ideal diode",
    "does it block": "ideal-diode",
    "volts does it take": "60 V",
    "is there a fuse": "{family: 10x38, rating: 30 A, voltage: 1000 V}",
}


def talked(replies: dict[str, str]) -> tuple[Interview, list[str]]:
    """Answered by what is asked for, whatever the order of the questions."""
    interview = Interview("bike", "2027-05-14")
    asked = []
    while (question := interview.next()) is not None:
        asked.append(question.text)
        reply = next((reply for words, reply in replies.items() if words in question.text), "")
        interview.answer(question, reply)
    return interview, asked


def test_one_who_has_a_photograph_of_the_bike() -> None:
    """Connectors, insulation and drive are seen; nothing is measured."""
    interview, asked = talked(LABELS | PHOTOGRAPH)
    build = built(interview.draft.text())
    assert str(build.packs["first"].outlet) == "XT60 socket"
    assert [str(end) for end in build.leads["main lead"].ends] == ["XT60 pin", "XT60 socket"]
    assert str(build.controllers["controller"].inlet) == "XT60 pin"
    assert build.joiners["joiner"].type == "diode"
    assert build.packs["second"].condition == "sound"
    assert (build.packs["first"].fuse.family, build.packs["first"].fuse.rating_a) == ("blade", 30.0)
    assert len(asked) <= 35, "more than ten minutes"
    assert interview.checked().verdict == "open"


def test_one_who_has_measured_everything_ends_without_a_question() -> None:
    interview, asked = talked(LABELS | PHOTOGRAPH | MEASURED)
    assert len(asked) <= 35, "more than ten minutes"
    report = interview.checked()
    assert {(each.part, each.field) for each in report.to_find_out} == set()
    assert report.verdict == "none-found"


@pytest.mark.parametrize(
    ("typed", "field", "value"),
    [
        ("20A", "limit_a", 20.0),
        ("20 amps", "limit_a", 20.0),
        ("25/50A", "limit_a", 50.0),
        ("25A cont, 50A peak", "limit_a", 50.0),
    ],
)
def test_the_words_that_people_have_for_the_controller(packyoke: Run, typed: str, field: str, value: float) -> None:
    """A peak counts as the limit until its seconds are known: never the smaller figure."""
    code, out, err = packyoke("start", "--packs", "2", "--controller", typed)
    assert code == 0, err
    assert getattr(built(out).controllers["controller"], field) == value


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("Y-splitter", "plain"),
        ("Schottky", "diode"),
        ("MOSFET", "ideal-diode"),
        ("A/B switch", "selector"),
        ("don't know", None),
        ("black box", None),
    ],
)
def test_the_words_that_people_have_for_a_joiner(packyoke: Run, typed: str, kind: str | None) -> None:
    code, out, err = packyoke("start", "--packs", "2", "--joiner", typed)
    assert code == 0, err
    assert built(out).joiners["joiner"].type == kind


@pytest.mark.parametrize(
    ("typed", "region"), [("UK", "GB"), ("Germany", "EU"), ("usa", "US"), ("New Zealand", "NZ"), ("Norway", "other")]
)
def test_a_country_is_a_region(packyoke: Run, typed: str, region: str) -> None:
    assert built(packyoke("start", "--packs", "1", "--region", typed)[1]).region == region


def test_a_guess_and_a_family_of_cells_stay_guesses(answer: Answer) -> None:
    _, text, _ = answer(*OPENING, "diode", "48V 14Ah", "54.6V", "about 20A", "Li-ion", "stop")
    assert "limit: 20 A ?" in text or "battery_current: 20 A ?" in text
    assert "chemistry: NMC ?" in text


def test_a_name_for_a_voltage_is_asked_about(answer: Answer) -> None:
    """48 V is printed on packs; no charger of one gives that."""
    _, text, err = answer(*OPENING, "diode", "48V", "48V", "54.6 V", "stop")
    assert "gives 54.6 V" in err
    assert "charger_label: 54.6 V" in text


def test_a_wrong_answer_is_asked_again_at_once(answer: Answer) -> None:
    _, text, err = answer("bike", "none", "2", "maybe", "yes", "diode", "48V", "54.6 V", "1000 W", "20 A", "stop")
    assert "A number from 1 to" in err
    assert "Answer yes or no" in err
    assert '"1000 W" is a power' in err
    assert "battery_current: 20 A" in text


@pytest.mark.parametrize("typed", ["{", "9" * 400, "½"])
def test_nonsense_at_every_first_question_is_asked_again(typed: str) -> None:
    interview = Interview("bike", "2027-05-14")
    good = {"name": "x", "packs": "2", "alike": "yes"}
    while (asked := interview.next()) is not None and asked.topic != "look":
        try:
            interview.answer(asked, typed)
            interview.back()
        except Again:
            pass
        if interview.report is None:
            interview.answer(asked, good.get(asked.key, ""))
        else:  # nothing was learned, so a check would say the same
            interview.done |= {asked.key}
    built(interview.draft.text())


def test_back_takes_the_last_answer_again(answer: Answer) -> None:
    _, text, _ = answer("bike", "3", "back", "2", "yes", "diode", "36V", "back", "48V", "stop")
    assert list(built(text).packs) == ["first", "second"]
    assert "label: 48 V" in text
    assert "36" not in text.replace("36 V", "36") or "label: 36" not in text


@pytest.mark.parametrize("lines", [OPENING, (*OPENING, "diode", "48V 14Ah")])
def test_what_was_answered_stays_when_the_line_ends(answer: Answer, lines: tuple[str, ...]) -> None:
    code, text, _ = answer(*lines)
    assert code == 0
    assert text.startswith("# A draft")
    assert built(text).name == "Mail bike 3"


def test_nothing_answered_writes_nothing(answer: Answer) -> None:
    code, text, err = answer()
    assert (code, text) == (2, "")
    assert "nothing was written" in err


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_an_interruption_keeps_the_answers(tmp_path: Path, number: signal.Signals) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "packyoke", "start", "bike.yaml"],
        cwd=tmp_path,
        stdin=subprocess.PIPE,
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert process.stdin is not None
    assert process.stderr is not None
    process.stdin.write(b"Mail bike 3\n2\nyes\n")
    process.stdin.flush()
    seen = b""
    limit = time.monotonic() + 60
    while b"What joins the packs" not in seen and time.monotonic() < limit:
        seen += process.stderr.readline()
    process.send_signal(number)
    process.communicate(timeout=60)
    assert process.returncode == 130
    text = (tmp_path / "bike.yaml").read_text(encoding="utf-8")
    assert text.startswith("# A draft")
    assert len(built(text).packs) == 2


def test_no_file_is_overwritten(packyoke: Run, tmp_path: Path) -> None:
    path = tmp_path / "bike.yaml"
    path.write_text("mine\n", encoding="utf-8")
    for more in ((), ("--packs", "2"), ("--template",)):
        code, _, err = packyoke("start", path, *more)
        assert (code, "exists already" in err) == (2, True)
    assert path.read_text(encoding="utf-8") == "mine\n"


def test_a_file_that_appears_meanwhile_is_not_overwritten(
    answer: Answer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody saves bike.yaml while the questions go on: the answers go beside it."""
    path, before = tmp_path / "bike.yaml", Interview.skip

    def skip(self: Interview, topic: str) -> None:
        path.write_text("theirs\n", encoding="utf-8")
        before(self, topic)

    monkeypatch.setattr(Interview, "skip", skip)
    code, text, err = answer("bike", "1", "skip", "stop")
    assert (code, text) == (0, "theirs\n")
    assert "bike-2.yaml" in err
    assert len(built((tmp_path / "bike-2.yaml").read_text(encoding="utf-8")).packs) == 1


@pytest.mark.parametrize("packs", ["1", "2", "3", "8", "two"])
def test_any_number_of_packs_is_a_bike_that_can_be_checked(packyoke: Run, packs: str) -> None:
    code, out, _ = packyoke("start", "--packs", packs, "--label", "48V", "--controller", "20A")
    assert code == 0
    report = check(built(out), brief=True)
    assert report.verdict == "open"
    assert "harness-broken" not in {each.rule for each in report.findings}


def test_every_line_of_the_template_can_be_filled_in(packyoke: Run) -> None:
    """With all number signs taken away it is a build; without any of it, too."""
    code, out, _ = packyoke("start", "--template")
    assert code == 0
    built(out)
    filled = "\n".join(
        line.replace("# ", "", 1) if ":" in line and line.strip().startswith("# ") else line
        for line in out.partition("name: my bike")[2].splitlines()
    )
    build = built("packyoke: 1\nname: x" + filled.replace("rack: none", "mass: 6 kg"))
    assert build.packs["first"].condition == "sound"
    assert build.leads["main lead"].gauge is not None


def test_every_line_of_a_draft_can_be_filled_in(packyoke: Run) -> None:
    out = packyoke("start", "--packs", "2", "--label", "48V", "--controller", "20A", "--joiner", "diode")[1]
    lines = out.partition("name: my bike")[2].splitlines()
    filled = [line.replace("# ", "", 1) if line.strip().startswith("# ") else line for line in lines]
    build = built("packyoke: 1\nname: x" + "\n".join(filled).replace("series: 14", "series: 13"))
    assert build.controllers["controller"].inlet is not None
    assert build.bike.drive_type == "geared hub"


@pytest.mark.parametrize(
    "arguments",
    [
        ("--packs", "0"),
        ("--packs", "nine"),
        ("--packs", "2", "--controller", "1000 W"),
        ("--label", "48V"),
        ("--packs", "2", "--charger", "48V"),
        ("--packs", "2", "--joiner", "magic"),
        ("--packs", "1", "--joiner", "diode"),
        ("--packs", "2", "--region", "Atlantis"),
        ("--template", "--packs", "2"),
        ("--packs", "2", "--label", "48-52V"),
    ],
)
def test_an_option_that_cannot_be_read_ends_with_two(packyoke: Run, arguments: tuple[str, ...]) -> None:
    code, out, err = packyoke("start", *arguments)
    assert (code, out) == (2, "")
    assert err.startswith("packyoke: --")
