"""`packyoke start`."""

from __future__ import annotations

import os
import re
import signal
import sys
from collections.abc import Iterator, Set
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from packyoke.cli.files import EXIT_INTERRUPTED, EXIT_OK, day_of, wrong
from packyoke.cli.intake import FileName
from packyoke.cli.options import Command
from packyoke.cli.streams import reason, say, shown_name

if TYPE_CHECKING:
    from packyoke.answers.start.interview import DraftQuestion, Interview

WELCOME = (
    "Enter alone: not known. back: the last answer again. skip: leave the rest of\n"
    "this part open. stop: write the file now."
)
WIDTH = 80
PASTE_S = 0.02
"""Nobody types a second line that soon after the first."""


@click.command(cls=Command)
@click.argument("new", type=FileName(dir_okay=False), metavar="[NEW.yaml]", required=False)
@click.option("--packs", metavar="COUNT", help="Ask nothing: so many packs of one model.")
@click.option("--label", metavar="TEXT", help='Their label, for example "48V 14Ah".')
@click.option("--charger", metavar="TEXT", help='The output of their charger, for example "54.6V 4A".')
@click.option("--controller", metavar="CURRENT", help="What the controller draws from the packs, for example 20A.")
@click.option("--joiner", metavar="KIND", help="What joins them: plain, diode, ideal-diode, selector or unknown.")
@click.option("--region", metavar="WORD", help="Where it is ridden: EU, GB, US, ... or a country.")
@click.option("--name", metavar="TEXT", help="What you call the bike.")
@click.option("--template", is_flag=True, help="Ask nothing: an empty build with every line explained.")
@click.option("--today", metavar="DATE", default=None, help="The day in the file (2027-05-14).")
def start(
    new: str | None,
    packs: str | None,
    label: str | None,
    charger: str | None,
    controller: str | None,
    joiner: str | None,
    region: str | None,
    name: str | None,
    template: bool,
    today: str | None,
) -> None:
    """Write a first build file: a few questions at the bike, what decides first.

    Each answer is checked at once, in the words that people have: 48V 14Ah, Li-ion,
    Y-splitter, 25A continuous 50A peak, about 60V. Enter alone means: not known.
    With --packs or --template nothing is asked. A file is never overwritten; when
    the questions are interrupted, what was answered is kept in it. Without NEW.yaml
    questions write bike.yaml, options print. Exit status: 0 written, 2 wrong input,
    130 interrupted, with the draft written.

    \b
    Example:
        packyoke start --packs 2 --label 48V --controller 20A --joiner diode
        packyoke start --template
    """
    options = {
        "packs": packs,
        "label": label,
        "charger": charger,
        "controller": controller,
        "joiner": joiner,
        "region": region,
    }
    asking = not template and not any(text for key, text in options.items() if key != "region")
    if template and (name or today or any(options.values())):
        wrong("--template asks for nothing and takes nothing else")
    target = new or ("bike.yaml" if asking else "-")
    if target != "-" and os.path.lexists(target):
        wrong(f"{shown_name(target)} exists already and was left as it is; choose another name")
    day = day_of(today)
    if template:
        from packyoke.answers.start.answer import template_text

        _end(template_text("NEW.yaml" if target == "-" else target), target, EXIT_OK)
    from packyoke.answers.start.answer import file_text, from_options
    from packyoke.answers.start.interview import Interview
    from packyoke.answers.start.taking import Again

    called = (
        name or (Path(target).stem.replace("-", " ").replace("_", " ").strip() if target != "-" else "") or "my bike"
    )
    if not asking:
        try:
            done = from_options(called, options, day)
        except Again as again:
            wrong(str(again))
        say(_verdict(done, target), err=True)
        _end(file_text(done, "NEW.yaml" if target == "-" else target, day), target, EXIT_OK)
    interview = Interview(called, day)
    if region:
        try:
            interview.set_region(region)
        except Again as again:
            wrong(f"--region {region}: {again}")
    code = EXIT_OK
    unfinished = False
    heard: set[str] = set()
    with _hang_up_interrupts():
        try:
            say(WELCOME, err=True)
            _talk(interview, heard, named=bool(name))
        except EOFError:
            unfinished = True
        except KeyboardInterrupt:
            unfinished, code = True, EXIT_INTERRUPTED
        if not interview.answered or (interview.answered == 1 and name):
            say("nothing was answered, nothing was written", err=True)
            sys.exit(EXIT_INTERRUPTED if code else 2)
        text = file_text(interview, target, day, unfinished=unfinished)
    say("\n" * (1 + unfinished) + _verdict(interview, target, heard), err=True)
    _end(text, target, code)


def _verdict(interview: Interview, target: str, heard: Set[str] = frozenset()) -> str:
    """How it stands at the end; a stop that was told in the same words is counted and not told again."""
    from packyoke.answers.start.interview import told_of

    stops = told_of(interview.stops().values())
    lines = [
        interview.said() or "So far: too little for a verdict.",
        *(_wrapped(each, "") for each in stops if each not in heard),
    ]
    if target != "-":
        lines.append(f"{'Why, and what to do' if stops else 'Next'}: packyoke check {shown_name(target)}")
    return "\n".join(lines)


def _talk(interview: Interview, heard: set[str], *, named: bool) -> None:
    """Ask until nothing is left that can be answered at the bike; `heard`: what was explained, which stops were told.

    Raises EOFError, KeyboardInterrupt.
    """
    from packyoke.answers.start.interview import sentences, told_of
    from packyoke.answers.start.prompts import HEADS
    from packyoke.answers.start.taking import Again

    topic, again = "", ""
    stops = set[str]()
    if named:
        asked = interview.next()
        assert asked is not None
        interview.answer(asked, interview.draft.name)
    while (asked := interview.next()) is not None:
        if asked.topic != topic and asked.topic in HEADS:
            say(f"\n{HEADS[asked.topic]}", err=True)
        topic = asked.topic
        reply = _reply("" if asked.key == again else _question(asked, heard))
        again = ""
        word = reply.casefold().strip()
        if word in ("stop", "quit", "exit", "q"):
            return
        if word == "back":
            say("" if interview.back() else "  Nothing to take back.", err=True)
            heard.clear()
            continue
        if word == "skip":
            interview.skip(topic)
        else:
            try:
                told = interview.answer(asked, reply)
            except Again as wish:
                above = sentences(asked.prompt.how)
                new = [each for each in sentences(str(wish)) if each not in above]
                say(_wrapped(" ".join(new) or str(wish), "  "), err=True)
                again = asked.key
                continue
            if told:
                say(_wrapped(f"taken as: {told}", "  "), err=True)
        now = interview.stops()
        for text in told_of(found for each, found in now.items() if each not in stops):
            heard.add(text)
            say(_wrapped(text, "  "), err=True)
        stops = {*now}


def _question(asked: DraftQuestion, heard: set[str]) -> str:
    """A question and how to find the answer; what was explained before (`heard`) is not explained again."""
    from packyoke.answers.start.interview import sentences

    how = [each for each in sentences(asked.prompt.how) if each not in heard]
    heard.update(how)
    if (
        (example := asked.prompt.example)
        and example not in heard
        and not re.search(rf"\b{re.escape(example)}\b", " ".join(how))
    ):
        heard.add(example)
        how.append(f"Example:  {example}")
    return "\n".join(["", _wrapped(asked.text, ""), *([_wrapped(" ".join(how), "  ")] if how else [])])


def _reply(question: str) -> str:
    """Print a question and read a line. Raises EOFError."""
    if question:
        say(question, err=True)
    say("> ", err=True, nl=False)
    if sys.stdin is None:
        raise EOFError
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    if not sys.stdin.isatty():
        say("", err=True)
        return line.strip()
    if pasted := _more_lines():
        shown = ", ".join(f'"{each}"' for each in pasted)
        say(_wrapped(f"Several lines at once: only the first was taken. Left out: {shown}", "  "), err=True)
    return line.strip()


def _more_lines() -> list[str]:
    """What a terminal holds beyond the line that was read: the rest of a paste, which answers no question."""
    try:
        from select import select

        found = []
        while select([sys.stdin], [], [], PASTE_S)[0] and (line := sys.stdin.readline()):
            found.append(line.strip())
        return [line for line in found if line]
    except (ImportError, OSError, ValueError):
        return []  # no such call for this terminal


def _wrapped(text: str, indent: str) -> str:
    from textwrap import fill

    held = re.sub(r"(?<=[0-9]) (?=[A-Za-z]{1,3}\b)", "\0", text)  # a number stays with its unit
    return fill(held, WIDTH, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False).replace("\0", " ")


@contextmanager
def _hang_up_interrupts() -> Iterator[None]:
    """A terminal that is closed, or a polite kill, keeps the answers as Ctrl-C does."""

    def interrupt(_number: int, _frame: object) -> None:
        raise KeyboardInterrupt

    names = [getattr(signal, name) for name in ("SIGHUP", "SIGTERM") if hasattr(signal, name)]
    before = [(number, signal.signal(number, interrupt)) for number in names]
    try:
        yield
    finally:
        for number, handler in before:
            signal.signal(number, handler)


def _end(text: str, target: str, code: int) -> None:
    """Print the file, or write it under a name that is free: what was answered is not lost."""
    if target == "-":
        say(text, nl=False)
        sys.exit(code)
    from packyoke.buildfile.writing.files import NotAFile, OutputExists, write_new

    path = Path(target)
    for number in range(2, 100):
        try:
            write_new(path, text)
        except (OutputExists, NotAFile):
            path = Path(target).with_stem(f"{Path(target).stem}-{number}")
            continue
        except OSError as error:
            say(text, nl=False)
            wrong(f"{shown_name(str(path))} cannot be written: {reason(error)}; what was answered stands above")
        say(f"written: {shown_name(str(path))}", err=True)
        sys.exit(code)
    say(text, nl=False)
    wrong(f"{shown_name(target)} and every name after it are taken; what was answered stands above")
