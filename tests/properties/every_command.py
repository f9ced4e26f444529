"""One build through every command, in this process: what ends in a traceback, or in a rule that failed.

    python -m tests.properties.every_command --from 0 --count 100000
    python -m tests.properties.every_command --seconds 60

Prints the number of each build that broke something, with the last line of the trace, and ends with 1 when one did.
"""

from __future__ import annotations

import json
import signal
import tempfile
import traceback
from pathlib import Path
from types import FrameType

from click.testing import CliRunner, Result

from packyoke.cli import app
from tests.properties.drawn_calls import calls
from tests.properties.drawn_use import TRACK, TRACK_TEXT
from tests.properties.drawn_values import TODAY, Tree, as_text, flow
from tests.properties.judged_once import judged_once
from tests.properties.known_bikes import bike_of
from tests.properties.seeds import over_seeds
from tests.support import EXAMPLES

OTHER: Tree = flow((EXAMPLES / "skerry-long-tail.yaml").read_text(encoding="utf-8"))
"""What each build is compared with, under its name."""
PATIENCE_S = 20.0
"""Seconds of computing for one command, on a machine that does nothing else about ten times what it may take."""
FAILED = "failed in the program"
"""What every format says of a rule that failed. Its name stands in drawn files too: somebody accepts it."""


class TooLong(BaseException):
    """A command took longer than anybody waits."""


def _stop(_signal: int, _frame: FrameType | None) -> None:
    raise TooLong


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
    tree, shelf = bike_of(seed)
    file, other = folder / "drawn.yaml", folder / "other.yaml"
    file.write_text(as_text(tree), encoding="utf-8")
    other.write_text(as_text(OTHER | {"name": tree.get("name", "x")}), encoding="utf-8")  # one bike at two times
    if not (folder / TRACK).exists():
        (folder / TRACK).write_text(TRACK_TEXT, encoding="utf-8")
        _told(["check", str(other), "--no-shop", "--format", "json", "--today", TODAY], folder / "last.json")
    beside = ["--no-shop"]
    if shelf is not None:
        (folder / "shop.yaml").write_text(as_text(shelf), encoding="utf-8")
        beside = ["--shop", str(folder / "shop.yaml")]
    with judged_once():
        found, first = _told(["check", str(file), *beside, "--format", "json", "--today", TODAY], folder / "own.json")
        if first != 2:  # what cannot be read is told alike by all
            for call in calls(seed, str(file), folder, tree, beside):
                if not only or call[0] in only:
                    found += _told(call)[0]
            for name in ("plan", "quote"):
                if not only or name in only:
                    found += _written(name, file, folder, beside)
    return [f"{seed}  {wrong}" for wrong in found]


def _written(name: str, file: Path, folder: Path, beside: list[str]) -> list[str]:
    """What is wrong with the build that a command writes: it is read, and nothing stops it."""
    new = folder / "written.yaml"
    new.unlink(missing_ok=True)
    choice = ["--reach", "60 km", "--choose", "2"] if name == "quote" else []
    found, status = _told([name, str(file), *choice, *beside, "--write", str(new), "--today", TODAY])
    if not new.exists():
        return found + ([f"{name}: nothing was written, and the status is 0"] if status == 0 else [])
    wrong, judged = _told(["check", str(new), *beside, "--format", "json", "--today", TODAY], folder / "new.json")
    found += wrong
    if judged == 2:
        return [*found, f"{name}: what was written is not read"]
    verdict = json.loads((folder / "new.json").read_text(encoding="utf-8"))["builds"][0]["verdict"]
    return found + ([f"{name}: what was written is at stop"] if verdict == "stop" and status == 0 else [])


def _told(call: list[str], kept: Path | None = None) -> tuple[list[str], int]:
    """What is wrong with the answer of a command, and its status; what it printed may be kept."""
    result, wrong = _answer(call)
    if kept is not None and result is not None:
        kept.write_text(result.stdout, encoding="utf-8")
    told = " ".join(word for word in call if not word.startswith(tempfile.gettempdir()))
    return [f"{told}: {wrong}"] if wrong else [], 3 if result is None else result.exit_code


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
