"""One build through every command, in this process: what ends in a traceback, or in a rule that failed.

    python -m tests.properties.every_command --from 0 --count 100000
    python -m tests.properties.every_command --seconds 60

Prints the number of each build that broke something, with the last line of the trace, and ends with 1 when one did.
"""

from __future__ import annotations

import random
import signal
import traceback
from collections.abc import Iterator
from pathlib import Path
from types import FrameType

from click.testing import CliRunner

from packyoke.cli import app
from tests.properties.drawn_builds import as_text, drawn
from tests.properties.drawn_values import TODAY
from tests.properties.seeds import over_seeds

PATIENCE_S = 20.0
"""Seconds of computing for one command, on a machine that does nothing else about ten times what it may take."""
_FORMATS = {
    "check": ("text", "markdown", "html", "json", "sarif", "junit", "lines"), "plan": ("text", "html", "svg", "json"),
    "rundown": ("text", "html", "json", "csv"), "range": ("text", "markdown", "json"),
    "charge": ("text", "markdown", "json"), "compare": ("text", "json"),
}  # fmt: skip
_SHOP = Path(__file__).parents[1] / "planning" / "shop.yaml"


class TooLong(BaseException):
    """A command took longer than anybody waits."""


def _stop(_signal: int, _frame: FrameType | None) -> None:
    raise TooLong


def calls(seed: int, file: str, other: str, tree: dict[str, object]) -> Iterator[list[str]]:
    """A check in every format that matters, and each other command once, in a format and with options drawn."""
    dice = random.Random(seed)
    for form in dice.sample(_FORMATS["check"], 2):
        yield ["check", file, "--format", form, "--today", TODAY]
    for name in ("plan", "rundown", "range", "charge"):
        shop = ["--shop", str(_SHOP)] if dice.random() < 0.2 else ["--no-shop"]
        more = {"range": ["--sensitivity", "--need", "30 km"], "rundown": ["--load", "10 A"]}.get(name, [])
        cold = ["--cold", "-10 degC"] if name in ("range", "rundown", "charge") and dice.random() < 0.3 else []
        yield [
            name,
            file,
            "--format",
            dice.choice(_FORMATS[name]),
            *shop,
            *cold,
            *(more if dice.random() < 0.5 else []),
        ]
    packs = [name for name in tree.get("packs") or {} if "," not in name and "=" not in name]  # type: ignore[attr-defined]
    volts = ",".join(f"{name}={dice.choice(('51.2', '47', '54.6', '12', '48.9'))}" for name in packs)
    yield ["meter", file, "--volts", volts, "--no-shop", "--today", TODAY]
    yield ["compare", file, other, "--format", dice.choice(_FORMATS["compare"]), "--no-shop", "--today", TODAY]
    for reader in ("customer", "workshop"):
        form = dice.choice(("text", "html", "markdown"))
        yield ["sheet", file, "--for", reader, "--format", form, "--no-shop", "--today", TODAY]


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
    found: list[str] = []
    for call in calls(seed, str(file), str(other), tree):
        if only and call[0] not in only:
            continue
        told = " ".join(word for word in call if str(folder) not in word)
        signal.setitimer(signal.ITIMER_PROF, PATIENCE_S)
        try:
            result = CliRunner().invoke(app, call)
        except TooLong:
            found.append(f"{seed}  {told}: over {PATIENCE_S:g} s")
            continue
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            where = traceback.extract_tb(result.exception.__traceback__)[-1]
            found.append(
                f"{seed}  {told}: {type(result.exception).__name__} at {Path(where.filename).name}:{where.lineno}"
            )
        elif result.exit_code not in (0, 1, 2) or any(
            words in result.output for words in ("rule-crashed", "failed in the program")
        ):
            found.append(f"{seed}  {told}: exit {result.exit_code}, failed in the program")
        if result.exit_code == 2 and call[0] == "check":
            break  # what cannot be read is told alike by all
    return found


if __name__ == "__main__":
    over_seeds(str(__doc__), broken, "broke something")
