"""One build through every command, in this process: what ends in a traceback, or in a rule that failed.

    python -m tests.properties.every_command --from 0 --count 100000
    python -m tests.properties.every_command --seconds 60

Prints the number of each build that broke something, with the last line of the trace, and ends with 1 when one did.
"""

from __future__ import annotations

import json
import random
import signal
import traceback
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from types import FrameType

import click
from click.testing import CliRunner, Result

from packyoke.cli import app
from tests.properties.drawn_builds import drawn, shop_of
from tests.properties.drawn_shop import shop
from tests.properties.drawn_use import TRACK, TRACK_TEXT
from tests.properties.drawn_values import TODAY, as_text
from tests.properties.judged_once import judged_once
from tests.properties.seeds import over_seeds

PATIENCE_S = 20.0
"""Seconds of computing for one command, on a machine that does nothing else about ten times what it may take."""
NO_BUILD = ("start", "why", "shelf", "schema")
"""Commands that take none."""
ALWAYS = {"check": 2}
"""Commands that are run in more than one format for each build."""
FAILED = "failed in the program"
"""What every format says of a rule that failed. Its name stands in drawn files too: somebody accepts it."""
_SHOP = Path(__file__).parents[1] / "planning" / "shop.yaml"


class TooLong(BaseException):
    """A command took longer than anybody waits."""


def _stop(_signal: int, _frame: FrameType | None) -> None:
    raise TooLong


@cache
def commands() -> dict[str, click.Command]:
    """All commands by name."""
    context = click.Context(app)
    found = {name: app.get_command(context, name) for name in app.list_commands(context)}
    return {name: command for name, command in found.items() if command is not None}


def formats(name: str) -> tuple[str, ...]:
    """All formats of a command, as it says itself."""
    for option in commands()[name].params:
        if option.name == "form" or "--format" in option.opts:
            return tuple(option.type.choices)  # type: ignore[attr-defined]
    return ()


def _options(dice: random.Random, tree: dict[str, object], other: str, last: str) -> dict[str, list[list[str]]]:
    """Options that a command may go with, by command: of each list one is drawn, or none."""
    packs = [name for name in tree.get("packs") or {} if "," not in name and "=" not in name]  # type: ignore[attr-defined]
    leads = [name for name in tree.get("leads") or {} if "=" not in name]  # type: ignore[attr-defined]
    volts = [f"{name}={dice.choice(('51.2', '47', '54.6', '12', '48.9'))}" for name in packs]
    cold, load, us = ["--cold", "-10 degC"], ["--load", "10 A"], ["--units", "us"]
    return {
        "check": [["--all"], ["--strict"], ["--against", last], ["--only", "packs-rush,live-pins"]],
        "plan": [["--all"], us],
        "rundown": [cold, load, us],
        "range": [cold, ["--sensitivity"], ["--need", "30 km"], us],
        "charge": [cold, us],
        "meter": [
            ["--drop", f"{leads[0]}=60 mV at 20 A"] if leads else [],
            ["--loaded", f"{packs[0]}=49 at 20 A"] if packs else [],
            load,
        ],
        "quote": [["--add", "0..2"], ["--most", "900 EUR"], ["--on", "rear"], us],
        "tidy": [["--check"]],
        "find": [["--before", "2027-01-01"]],
    } | {
        "must meter": [["--volts", ",".join(volts)]],
        "must compare": [[other]],
        "must quote": [["--reach", "50 km"]],
        "must find": [["--uses", "XT60"]],
    }


def calls(seed: int, file: str, folder: Path, tree: dict[str, object], beside: list[str]) -> Iterator[list[str]]:
    """Each command that takes a build: in a format and with options that are drawn."""
    dice = random.Random(seed)
    options = _options(dice, tree, str(folder / "other.yaml"), str(folder / "last.json"))
    for name, command in commands().items():
        known = {spelling for option in command.params for spelling in option.opts}
        readers: list[list[str]] = [["--for", reader] for reader in ("customer", "workshop", "quote", "labels")]
        if name in NO_BUILD:
            continue
        forms = dice.sample(formats(name), ALWAYS.get(name, 1)) if formats(name) else [""]
        for form in forms:
            for reader in readers if name == "sheet" else [[]]:
                call = [name, file, *(word for said in options.get(f"must {name}", ()) for word in said), *reader]
                call += [word for said in options.get(name, ()) if dice.random() < 0.3 for word in said]
                call += ["--format", form] if form else []
                if "--shop" in known:
                    call += beside if beside[0] == "--shop" or dice.random() < 0.8 else ["--shop", str(_SHOP)]
                yield call + (["--today", TODAY] if "--today" in known else [])


def _is_strict(text: str) -> bool:
    """Whether a text is JSON as any parser reads it."""

    def no(word: str) -> None:
        raise ValueError(word)

    try:
        json.loads(text, parse_constant=no)
    except ValueError:
        return False
    return True


def broken(seed: int, folder: Path, only: tuple[str, ...] = ()) -> list[str]:
    """What goes wrong with the build of a number, one line each.

    :param seed: number of the build
    :param folder: where it may be written
    :param only: the commands to run, else all
    """
    signal.signal(signal.SIGPROF, _stop)
    tree = drawn(seed)
    file, other = folder / "drawn.yaml", folder / "other.yaml"
    file.write_text(as_text(tree), encoding="utf-8")
    if not other.exists():
        other.write_text(as_text(drawn(3)), encoding="utf-8")
        (folder / "last.json").write_text('{"builds": []}', encoding="utf-8")
        (folder / TRACK).write_text(TRACK_TEXT, encoding="utf-8")
    beside, number = ["--no-shop"], shop_of(seed)
    if number is not None:
        (folder / "shop.yaml").write_text(as_text(shop(number)), encoding="utf-8")
        beside = ["--shop", str(folder / "shop.yaml")]
    found: list[str] = []
    with judged_once():
        for call in calls(seed, str(file), folder, tree, beside):
            if only and call[0] not in only:
                continue
            result, wrong = _answer(call)
            told = " ".join(word for word in call if str(folder) not in word)
            found += [f"{seed}  {told}: {wrong}"] if wrong else []
            if result is not None and result.exit_code == 2 and call[0] == "check":
                break  # what cannot be read is told alike by all
    return found


def _answer(call: list[str]) -> tuple[Result | None, str]:
    """What a command answers, and what is wrong with that: nothing where it is empty."""
    signal.setitimer(signal.ITIMER_PROF, PATIENCE_S)
    try:
        result = CliRunner().invoke(app, call)
    except TooLong:
        return None, f"over {PATIENCE_S:g} s"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        where = traceback.extract_tb(result.exception.__traceback__)[-1]
        return result, f"{type(result.exception).__name__} at {Path(where.filename).name}:{where.lineno}"
    if result.exit_code not in (0, 1, 2) or FAILED in result.output:
        return result, f"exit {result.exit_code}, failed in the program"
    if "json" in call and result.exit_code < 2 and not _is_strict(result.stdout):
        return result, "what was printed is no JSON"
    return result, ""


if __name__ == "__main__":
    over_seeds(str(__doc__), broken, "broke something")
