"""`packyoke start` on a terminal: three made-up people, what people do to a terminal, and what is left in the file."""

from __future__ import annotations

import os
import re
import select
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from packyoke.api import Build, check, load

pty = pytest.importorskip("pty", reason="no pseudo-terminal on this system")
MOST_S = 120
READ = 200
"""Words read a minute by somebody who reads a second language (judgement; natives read 238 of plain prose a minute:
Brysbaert, J. Mem. Lang. 109, 2019, from memory)."""
TYPED = 25 * 5
"""Characters typed a minute: 25 words (judgement: between 19 of a text of one's own and 33 of one that is copied,
Karat et al., CHI 1999, from memory)."""
THINKING_S = 3
"""For every line that is typed, Enter alone too (judgement)."""


class Terminal:
    """`packyoke start bike.yaml` on a pseudo-terminal of its own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.master, slave = pty.openpty()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "packyoke", "start", "bike.yaml", "--today", "2027-05-14"],
            cwd=folder,
            stdin=slave,
            stdout=slave,
            stderr=slave,
            start_new_session=True,
            preexec_fn=lambda: _own_terminal(slave),
        )
        os.close(slave)
        self.seen = ""
        self.typed: list[str] = []

    def question(self) -> str:
        """What is printed up to the next prompt; all that is left when the program has ended."""
        end = time.monotonic() + MOST_S
        new = ""
        while time.monotonic() < end:
            if select.select([self.master], [], [], 0.2)[0]:
                try:
                    part = os.read(self.master, 65536)
                except OSError:  # the other side is closed
                    part = b""
                if not part:
                    break
                new += part.decode()
            elif self.process.poll() is not None:
                break
            if new.endswith("\n> "):
                break
        else:
            pytest.fail(f"nothing more was printed after:\n{self.seen[-500:]}{new}")
        self.seen += new
        return new.replace("\r\n", "\n")

    def type(self, text: str) -> None:
        self.typed.append(text)
        os.write(self.master, text.encode())

    def end(self) -> int:
        self.question()
        code = self.process.wait(timeout=MOST_S)
        os.close(self.master)
        return code

    @property
    def words(self) -> int:
        """What was printed to be read; what was typed is echoed, and not read."""
        return len(self.seen.split()) - len(" ".join(self.typed).split())

    @property
    def minutes(self) -> float:
        """What it takes to read all that is printed and to type all that is typed, every refusal with it.

        Walking round the bike, looking and measuring are not in it: with a pencil they take as long.
        """
        return self.words / READ + sum(map(len, self.typed)) / TYPED + len(self.typed) * THINKING_S / 60

    @property
    def text(self) -> str:
        path = self.folder / "bike.yaml"
        return path.read_text(encoding="utf-8") if path.exists() else ""


def _own_terminal(slave: int) -> None:
    import fcntl
    import termios

    fcntl.ioctl(slave, termios.TIOCSCTTY, 0)


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    found = Terminal(tmp_path)
    yield found
    if found.process.poll() is None:
        found.process.kill()
        found.process.wait()


def talk(terminal: Terminal, replies: dict[str, list[str] | str], until: str = "") -> list[str]:
    """Answer by what is asked, whatever the order; a list is typed one after the other, the last one stays."""
    left = {words: [reply] if isinstance(reply, str) else [*reply] for words, reply in replies.items()}
    asked: list[str] = []
    lines = [""]
    while (shown := terminal.question()).endswith("\n> "):
        question = shown.rstrip("> \n")
        asked.append(question)
        if until and until in question:
            return asked
        assert len(asked) < 90, f"it asks and asks:\n{question}"
        if "\n\n" in shown:  # else the same question stands: what was typed was refused
            lines = next((lines for words, lines in left.items() if words in question), [""])
        terminal.type((lines.pop(0) if len(lines) > 1 else lines[0]) + "\n")
    return [*asked, shown]


def built(text: str) -> Build:
    found = load(text, "bike")
    assert isinstance(found, Build), [(each.message, each.do) for each in found]
    return found


LABELS: dict[str, list[str] | str] = {
    "What do you call": "Mail bike 3",
    "How many packs does": ["a few", "2 batteries"],
    "Are they the same": ["I think so", "yes, both"],
    "What joins": ["BMS", "idk"],
    "what is printed": ["48", "Li-ion 48V 14Ah 672Wh"],
    "its charger say": ["54.6", "Output: DC 54.6V 4.0A"],
    "does the controller draw": ["1000W", "25/50A"],
    "after how many seconds": "idk",
    "which cells": "Li-ion",
    "how many amps may it give": ["max 30A", "30"],
    "how many amps may it be charged": "4",
}
SEEN: dict[str, list[str] | str] = {
    **LABELS,
    "What joins": "a box with Schottky diodes",
    "Which connectors": ["yellow", "XT60H"],
    "hollow tubes": "yes",
    "what do you see": ["3 years old", "a scratch, nothing else", "nothing"],
    "is there a fuse": "30 amp blade fuse",
    "where does it sit": ["zip tied to the frame", "on the frame"],
    "What kind of motor": ["hub motor", "geared"],
    "covered with": ["rubber", "silicone"],
    "which wire": ["12 gauge", "12AWG stranded"],
    "which plug": "barrel",
    "which volts are marked": "not marked",
}
MEASURED: dict[str, list[str] | str] = {
    **SEEN,
    "What joins": "ideal diode module",
    "what is printed": "13S4P 48V14Ah NMC",
    "does the controller draw": "20A",
    "How many volts does the controller take": "up to 60V",
    "how many amps is it rated": "40A per channel",
    "how many volts does it take at most": "75",
    "how long": "300 mm, 400 mm, 300 mm",
    "stop drawing": "39",
    "brake into": "no",
    "same two contacts": "same",
    "data link": "still live",
    "does it block": "ideal-diode",
    "is there a fuse": "10x38 30A 1000V",
    "how many amps may it be": "5A max",
}


def assert_ten_minutes(terminal: Terminal, *, lines: int, words: int) -> None:
    """Ten minutes at most, and no more to type or to read than there was when these figures were written."""
    assert terminal.minutes <= 10, (terminal.minutes, terminal.words)
    assert len(terminal.typed) <= lines
    assert terminal.words <= words


def test_one_who_knows_only_the_labels_ends_with_a_checked_file(terminal: Terminal) -> None:
    asked = talk(terminal, LABELS)
    assert terminal.end() == 0
    build = built(terminal.text)
    assert (build.packs["first"].capacity_coulomb, build.chargers["charger"].output_v) == (14 * 3600.0, 54.6)
    assert build.controllers["controller"].limit_a == 50.0, "the larger figure until its seconds are known"
    assert build.packs["first"].discharge_continuous_a == 30.0
    assert check(build, today="2027-05-14").verdict in ("open", "stop")
    assert "So far:" in asked[-1]
    assert_ten_minutes(terminal, lines=32, words=740)


def test_one_who_has_a_photograph_ends_with_a_checked_file(terminal: Terminal) -> None:
    talk(terminal, SEEN)
    assert terminal.end() == 0
    build = built(terminal.text)
    assert build.joiners["joiner"].type == "diode"
    assert str(build.packs["second"].outlet) == "XT60 socket"
    assert (build.packs["first"].fuse.family, build.packs["first"].fuse.rating_a) == ("blade", 30.0)
    assert build.packs["second"].condition == "sound"
    assert build.bike.drive_type == "geared hub"
    assert_ten_minutes(terminal, lines=37, words=915)
    once = "STOP first and second: load above the pack's limit (50 A, limit 30 A)"
    assert " ".join(terminal.seen.split()).count(once) == 1, "told when it came up, and not again at the end"


def test_one_who_has_measured_everything_is_asked_nothing_more(terminal: Terminal) -> None:
    asked = talk(terminal, MEASURED)
    assert terminal.end() == 0
    build = built(terminal.text)
    assert build.joiners["joiner"].ceiling_v == 75.0
    assert build.packs["first"].series == 13
    report = check(build, today="2027-05-14")
    assert (report.verdict, [*report.to_find_out]) == ("none-found", []), [each.message for each in report.findings]
    assert "So far: no fault found in what was described." in asked[-1]
    assert_ten_minutes(terminal, lines=29, words=730)


THREE: dict[str, list[str] | str] = {
    **{words: reply for words, reply in MEASURED.items() if words != "what is printed"},
    "How many packs does": "3",
    "How many packs plug": "3",
    "Are they the same": ["I think so", "no"],
    "first: what is printed": "48V 14Ah NMC 13S4P",
    "second: what is printed": "48V 20Ah NMC 13S6P",
    "third: what is printed": "48V 17.5Ah NMC 13S5P",
    "its charger say": ["54.6", "Output: DC 54.6V 4.0A", "same", "same"],
    "how many amps may it give": "30A, 40A, 40A",
}


def test_three_packs_of_which_all_is_measured_take_little_longer(terminal: Terminal) -> None:
    """What the three have in common is asked once, and explained once."""
    talk(terminal, THREE)
    assert terminal.end() == 0
    build = built(terminal.text)
    assert [pack.capacity_coulomb / 3600 for pack in build.packs.values()] == [14.0, 20.0, 17.5]
    assert [pack.discharge_continuous_a for pack in build.packs.values()] == [30.0, 40.0, 40.0]
    report = check(build, today="2027-05-14")
    assert (report.verdict, [*report.to_find_out]) == ("caution", []), "packs that are not equal"
    assert_ten_minutes(terminal, lines=32, words=800)
    for once in ("Volts and Ah, as they stand there", "One for all, or one each", "a bare 48 V is only its name"):
        assert " ".join(terminal.seen.split()).count(once) == 1, once


def test_three_packs_of_two_kinds(terminal: Terminal) -> None:
    kinds = {
        "How many packs does": "3",
        "Are they the same": "no, one is bigger",
        "How many packs plug": "3",
        "What joins": "ideal diode",
        "first: what is printed": "48V 14Ah",
        "second: what is printed": "48V 20Ah",
        "third: what is printed": ["same", "same as third", "same as second"],
        "its charger say": "54.6V 4A",
    }
    talk(terminal, kinds, until="amps does the controller")
    terminal.type("stop\n")
    assert terminal.end() == 0
    build = built(terminal.text)
    assert [pack.capacity_coulomb / 3600 for pack in build.packs.values()] == [14.0, 20.0, 20.0]
    assert build.chargers["second charger"].fits == ("second", "third")


DOUBTING: dict[str, list[str] | str] = {
    "What do you call": "",
    "How many packs does": ["2 or 3", "two, for now"],
    "Are they the same": ["yes i think", "yeah"],
    "What joins": "a Y thing i guess",
    "what is printed": "Li-ion 48v 20ah",
    "its charger say": ["54,6V 3A", "54.6v 3a"],
    "does the controller draw": "somebody told me 25/50A",
    "after how many seconds": "no clue, sorry",
    "which cells": "NMC i believe",
    "how many amps may it give": "i dont know",
    "How many volts does the controller take": ["48V", "can't read it"],
    "Which connectors": "not a clue",
    "what do you see": ["scratched", "looks alright"],
    "is there a fuse": "not that i know",
    "What kind of motor": ["in the back wheel", ""],
    "brake into": "maybe",
}


def test_what_somebody_is_not_sure_of_stays_a_guess(terminal: Terminal) -> None:
    """His facts: two packs of one label (48 V, 20 Ah), a charger of 54.6 V, 3 A; the Y-lead is what he believes."""
    asked = talk(terminal, DOUBTING)
    assert terminal.end() == 0
    build = built(terminal.text)
    assert build.guesses["joiners.joiner", "type"] == "plain"
    assert build.guesses["packs.first", "chemistry"] == "NMC"
    assert build.controllers["controller"].limit_a is None, "25/50A from hearsay"
    assert build.controllers["controller"].voltage_max_v is None, "48 V is a name"
    assert build.packs["first"].fuse.rating_a is None, "nobody looked"
    assert build.packs["second"].condition == "sound"
    assert build.chargers["charger"].output_v == 54.6
    assert not any("pin or socket" in each or "connector does it feed" in each for each in asked), "he knows no plug"
    assert terminal.minutes <= 10


IMPERIAL: dict[str, list[str] | str] = {
    "What do you call": "Cargo 1",
    "How many packs does": "2",
    "Are they the same": "yep",
    "What joins": "a parallel battery adapter board I bought, it's a parallel board",
    "what is printed": "52V 17.5Ah",
    "its charger say": "58.8V DC 3A output",
    "does the controller draw": "30 amps max",
    "which cells": "NMC",
    "how many cells": "14s",
    "how many amps may it give": "40 A continuous",
    "Which connectors": "yellow XT90 anti spark",
    "hollow tubes": "yes",
    "what do you see": "good",
    "is there a fuse": "30A 10x38 1000V",
    "What kind of motor": "mid drive",
    "same two contacts": "same",
    "data link": "no",
    "which wire": "10 gauge AWG",
    "how long": "12 in, 16 inches, 1 ft",
    "covered with": "silicone",
}


def test_a_bought_board_and_american_words(terminal: Terminal) -> None:
    talk(terminal, {**IMPERIAL, "What joins": "parallel board", "which wire": "10 AWG"})
    assert terminal.end() == 0
    build = built(terminal.text)
    assert (build.joiners["joiner"].type, build.chargers["charger"].current_a) == ("plain", 3.0)
    assert str(build.packs["first"].outlet) == "XT90 socket"
    assert build.controllers["controller"].limit_a == 30.0
    report = check(build, today="2027-05-14")
    assert "packs-rush" in {each.rule for each in report.findings if each.severity == 4}, "a board that blocks nothing"


@pytest.mark.parametrize(
    "said", ["built into the controller", "two inputs on the controller", "it's in the controller"]
)
def test_a_joiner_built_into_the_controller(terminal: Terminal, said: str) -> None:
    talk(terminal, {**LABELS, "What joins": said}, until="which cells")
    terminal.type("stop\n")
    assert terminal.end() == 0
    assert built(terminal.text).joiners["joiner"].built_in is not None


def test_a_built_in_joiner_asks_the_bike_maker(terminal: Terminal) -> None:
    talk(terminal, {**LABELS, "What joins": "the bike has two slots"}, until="which cells")
    terminal.type("stop\n")
    assert terminal.end() == 0
    assert built(terminal.text).joiners["joiner"].built_in is not None
    assert "main lead" not in terminal.text


def test_a_hub_motor_that_brakes(terminal: Terminal) -> None:
    hub = {"What kind of motor": ["rear hub", "direct drive hub with regen"], "brake into": ["yes", "yes, 10A"]}
    talk(terminal, {**MEASURED, **hub})
    assert terminal.end() == 0
    build = built(terminal.text)
    assert build.bike.drive_type == "direct-drive hub"
    assert build.controllers["controller"].regen_a == 10.0


@pytest.mark.parametrize("eager", ["two", "2\nyes"])
def test_of_a_paste_only_the_first_line_answers(terminal: Terminal, eager: str) -> None:
    """The second line of a paste would answer a question that nobody has read."""
    terminal.question()
    terminal.type("Mail bike 3\n")
    terminal.question()
    terminal.type(f"{eager}\n")
    shown = terminal.question()
    assert "Are they the same model" in shown
    assert ('Left out: "yes"' in re.sub(r"\s+", " ", shown)) is ("\n" in eager)
    terminal.type("stop\n")
    assert terminal.end() == 0


@pytest.mark.parametrize(("key", "status"), [("\x03", 130), ("\x04", 0)])
def test_keys_that_end_a_program_keep_the_answers(terminal: Terminal, key: str, status: int) -> None:
    talk(terminal, LABELS, until="its charger say")
    terminal.type(key)
    assert terminal.end() == status
    assert terminal.text.startswith("# A draft")
    assert built(terminal.text).packs["second"].capacity_coulomb == 14 * 3600.0
    assert "Traceback" not in terminal.seen


def test_a_terminal_that_is_closed_keeps_the_answers(terminal: Terminal) -> None:
    talk(terminal, LABELS, until="what is printed")
    os.kill(terminal.process.pid, signal.SIGHUP)
    assert terminal.end() == 130
    assert len(built(terminal.text).packs) == 2


HARD = (
    "",
    "idk",
    "-1",
    "1e9 A",
    "\x1b[A",
    "9" * 400,
    "null",
    "{",
    "a: b",
    "# 12",
    "12 13 14",
    "%",
    "'",
    "caf\u00e9 \u2393",
)


def test_whatever_is_typed_ends_in_a_file_that_is_read(terminal: Terminal) -> None:
    """Nonsense at every question: each is asked again or left open, and what is written can be read."""
    sure = {"What do you call": "Mail bike 3", "How many packs does": "2", "Are they the same": "no"}
    typed = 0
    while (shown := terminal.question()).endswith("\n> ") and typed < 60:
        reply = next((reply for words, reply in sure.items() if words in shown), HARD[typed % len(HARD)])
        typed += 1
        terminal.type(f"{reply}\n")
    if shown.endswith("\n> "):
        terminal.type("stop\n")
    assert terminal.end() == 0
    assert "Traceback" not in terminal.seen
    built(terminal.text)
