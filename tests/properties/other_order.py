"""The same build with its parts in other orders, and under other names: every command says the same of it.

    python -m tests.properties.other_order --from 0 --count 1000 --seconds 60

Prints the number of each build of which a command says something else, and what; ends with 1 when one did. Lists stand
in the order of the file, and so does what is left of one that is cut short; all else must be the same, word for word.
"""

from __future__ import annotations

import json
import random
import re
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from packyoke.cli import app
from tests.properties.drawn_values import TODAY, as_text
from tests.properties.known_bikes import bike_of
from tests.properties.seeds import over_seeds

NUMBERED = re.compile(r"\b(lead|yoke|lamp|brick) (\d+)\b")
MOST = 9999
COMMANDS = {
    "check": [],
    "plan": ["--no-shop"],
    "charge": ["--no-shop"],
    "range": ["--no-shop"],
    "meter": ["--no-shop", "--volts"],
    "rundown": ["--no-shop"],
}
SECTIONS = ("racks", "packs", "joiners", "leads", "controllers", "accessories", "chargers", "places", "ride")
_PLACES = ("line", "column", "fingerprint", "file", "span", "relation")
_CUT_SHORT = ("because", "check_lines")
"""The first few findings of a check in its own order, which is that of the file."""


def turned(tree: Any) -> Any:
    """The same build with sections and their parts in the opposite order."""
    return _ordered(tree, lambda parts: dict(reversed(parts.items())))


def shuffled(tree: Any, seed: int) -> Any:
    """The same build with sections and their parts in an order that the seed gives."""
    dice = random.Random(seed)
    return _ordered(tree, lambda parts: dict(dice.sample([*parts.items()], len(parts))))


def _ordered(tree: Any, order: Callable[[dict[Any, Any]], dict[Any, Any]]) -> Any:
    kept = () if not _leads_take_places(tree) else ("leads",)
    parts = {
        key: order(part) if key in SECTIONS and key not in kept and isinstance(part, dict) else part
        for key, part in tree.items()
    }
    first = {key: parts.pop(key) for key in ("packyoke", "name") if key in parts}
    return first | order(parts)


def _leads_take_places(tree: Any) -> bool:
    """Whether the order of leads tells something: which of several inlets or outlets of a joiner each of them takes."""
    joiners = tree.get("joiners")
    told = [each for each in joiners.values() if isinstance(each, dict)] if isinstance(joiners, dict) else []
    numbered = any(str(each.get("inlet", "")).isdigit() for each in tree.get("measured") or [])
    return numbered or any(
        isinstance(each.get("inlets"), list) or isinstance(each.get("outlet"), list) or "selector" in str(each)
        for each in told
    )


def renamed(text: str) -> str:
    """The parts that are called by a number under other numbers, which sort the other way; twice is back again."""
    return NUMBERED.sub(lambda found: f"{found[1]} {MOST - int(found[2])}", text)


def answers(
    text: str, folder: Path, packs: list[str], commands: tuple[str, ...] = ()
) -> Iterator[tuple[str, int, str]]:
    """What each command says: its name, its status, its JSON."""
    file = folder / "drawn.yaml"
    file.write_text(text, encoding="utf-8")
    for name in commands or tuple(COMMANDS):
        more = list(COMMANDS[name])
        if name == "meter":
            more += [",".join(f"{pack}={50 + 0.3 * (len(pack) % 4):.1f}" for pack in packs)]
        result = CliRunner().invoke(app, [name, str(file), "--format", "json", "--today", TODAY, *more])
        if "No such option '--today'" in result.output:
            result = CliRunner().invoke(app, [name, str(file), "--format", "json", *more])
        yield name, result.exit_code, result.stdout


def figures(said: Any) -> Iterator[float]:
    """Every figure in an answer, of more than noise."""
    if isinstance(said, dict):
        for key, value in said.items():
            if key not in _PLACES:
                yield from figures(value)
    elif isinstance(said, list):
        for value in said:
            yield from figures(value)
    elif isinstance(said, float | int) and abs(said) > 1e-6:
        yield float(f"{said:.4g}")


def words(said: Any, where: str = "") -> Iterator[str]:
    """Everything in an answer, each with where it stands; what is listed in no order."""
    if isinstance(said, dict):
        for key, value in said.items():
            if key not in _PLACES and key not in _CUT_SHORT:
                yield from words(value, f"{where}.{key}")
    elif isinstance(said, list):
        yield from (f"{where}: {'; '.join(sorted(words(value)))}" for value in said)
    elif isinstance(said, float):
        yield f"{where} {said:.6g}" if abs(said) > 1e-6 else f"{where} 0"
    elif isinstance(said, str) and said.endswith(": from empty"):
        yield from (f"{where} {name}: from empty" for name in said.removesuffix(": from empty").split(" and "))
    else:
        yield f"{where} {said}"


def levels(said: Any) -> Any:
    """What of a check must be the same under other names: the verdict, and each rule's level with its parts.

    How closely a question is put may hang on what a bounded search tried first; of a drawing that cannot be one of its
    ways is judged, the first.
    """
    found = said["builds"][0]
    rules = sorted(
        (each["rule"], each["severity"], sorted({each["part"], *each.get("also", ())})) for each in found["findings"]
    )
    if any(rule == "harness-broken" for rule, *_ in rules):
        return {"verdict": found["verdict"]}
    return {"verdict": found["verdict"], "counts": found["counts"], "rules": rules}


def what_counts(name: str, said: str) -> list[str]:
    """What of an answer must be the same under other names: of a check its levels, of others all their figures. Which
    of equal parts is named for both hangs on their names."""
    tree = json.loads(said)
    if name == "check":
        return [json.dumps(levels(tree), sort_keys=True)] if tree["builds"] else []
    return [f"{figure:g}" for figure in sorted(figures(tree))]


def all_said(name: str, said: str) -> list[str]:
    """What of an answer must be the same in another order."""
    return what_counts(name, said) if name == "plan" else [*words(json.loads(said))]


def differences(tree: Any, folder: Path, commands: tuple[str, ...] = (), seed: int = 1) -> list[str]:
    """What is said differently of a build when its parts stand in the opposite order, and in one from a seed."""
    here = [*_answers_of(tree, folder, commands)]
    if here[0][1] == 2:
        return []
    found = []
    for how, other in (("opposite", turned(tree)), ("shuffled", shuffled(tree, seed))):
        there = _answers_of(other, folder, commands)
        found += [f"{how} {line}" for line in _compared(here, there, all_said)]
    return found


def under_other_names(tree: Any, folder: Path, commands: tuple[str, ...] = ()) -> list[str]:
    """What is said differently of a build when its parts have other names."""
    here = [*_answers_of(tree, folder, commands)]
    if here[0][1] == 2:
        return []
    there = answers(renamed(as_text(tree)), folder, _packs(tree), commands)
    return [*_compared(here, ((name, status, renamed(said)) for name, status, said in there), what_counts)]


def _packs(tree: Any) -> list[str]:
    return [str(name) for name in tree.get("packs") or {} if not set(str(name)) & set(",=")]


def _answers_of(tree: Any, folder: Path, commands: tuple[str, ...]) -> Iterator[tuple[str, int, str]]:
    return answers(as_text(tree), folder, _packs(tree), commands)


def _compared(
    here: list[tuple[str, int, str]],
    there: Iterator[tuple[str, int, str]],
    counting: Callable[[str, str], list[str]],
) -> Iterator[str]:
    for (name, status, said), (_, other_status, other_said) in zip(here, there, strict=True):
        if name == "plan" and _no_plan(status, said) and _no_plan(other_status, other_said):
            continue  # Which of all that stands in the way is met first hangs on the order.
        if status != other_status:
            yield f"{name}: {status} | {other_status}"
        elif said.startswith("{"):
            one, other = Counter(counting(name, said)), Counter(counting(name, other_said))
            if one != other:
                yield f"{name}: {[*(one - other)][:8]} | {[*(other - one)][:8]}"


def _no_plan(status: int, said: str) -> bool:
    return status == 2 or (said.startswith("{") and "constraint" in json.loads(said))


def differing(seed: int, folder: Path, only: tuple[str, ...]) -> list[str]:
    """The differences of the build of a number, a line each."""
    return [f"{seed} {line}" for line in differences(bike_of(seed)[0], folder, only, seed)]


if __name__ == "__main__":
    over_seeds(str(__doc__), differing, "say something else in another order")
