"""The same build in the opposite order and under other names: every command says the same of it.

    python -m tests.properties.other_order --from 0 --count 1000 --seconds 60

Prints the number of each build of which a command says something else, and where; ends with 1 when one did.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from packyoke.cli import app
from tests.properties.drawn_builds import drawn
from tests.properties.drawn_values import TODAY, as_text
from tests.properties.seeds import over_seeds

NUMBERED = re.compile(r"\b(lead|yoke|lamp|brick) (\d+)\b")
MOST = 9999
COMMANDS = {
    "check": [],
    "plan": ["--no-shop"],
    "charge": ["--no-shop"],
    "range": ["--no-shop"],
    "meter": ["--no-shop", "--volts"],
}
_PLACES = ("line", "column", "fingerprint", "file", "span", "relation")


def turned(tree: Any) -> Any:
    """The same build with sections and their parts in the opposite order; a pack that others are `like` stays one."""
    sections = ["racks", "packs", "joiners", "leads", "controllers", "accessories", "chargers", "places", "ride"]
    joiners = tree.get("joiners")
    if isinstance(joiners, dict) and any(
        isinstance(joiner, dict) and (isinstance(joiner.get("inlets"), list) or isinstance(joiner.get("outlet"), list))
        for joiner in joiners.values()
    ):
        sections.remove("leads")  # They take such inlets and outlets in the order of the file.
    parts = {
        key: dict(reversed(part.items())) if key in sections and isinstance(part, dict) else part
        for key, part in tree.items()
    }
    first = {key: parts.pop(key) for key in ("packyoke", "name") if key in parts}
    return first | dict(reversed(parts.items()))


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


def levels(said: Any) -> Any:
    """What of a check must be the same however little is known: the verdict, and each rule's level with its parts.

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
    """What of an answer must be the same: of a check its levels, of others all their figures. Which of equal packs is
    named for both, and which of the leads that a plan cannot make, may hang on the order of the file."""
    tree = json.loads(said)
    if name == "check":
        return [json.dumps(levels(tree), sort_keys=True)] if tree["builds"] else []
    if name == "plan" and "found" in tree:
        return []
    return [f"{figure:g}" for figure in sorted(figures(tree))]


def differences(tree: Any, folder: Path, commands: tuple[str, ...] = ()) -> list[str]:
    """What is said differently of a build when it is turned and renamed."""
    packs = [str(name) for name in tree.get("packs") or {} if not set(str(name)) & set(",=")]
    mine = list(answers(as_text(tree), folder, packs, commands))
    if mine[0][1] == 2:
        return []
    theirs = answers(renamed(as_text(turned(tree))), folder, packs[::-1], commands)
    found = []
    for (name, status, said), (_, other_status, other_said) in zip(mine, theirs, strict=True):
        if status != other_status:
            found.append(f"{name}: {status} | {other_status}")
        elif said.startswith("{"):
            one, other = what_counts(name, said), what_counts(name, renamed(other_said))
            if one != other:
                here, there = Counter(one), Counter(other)
                found.append(f"{name}: {[*(here - there)][:8]} | {[*(there - here)][:8]}")
    return found


def differing(seed: int, folder: Path, only: tuple[str, ...]) -> list[str]:
    """The differences of the build of a number, a line each."""
    return [f"{seed} {line}" for line in differences(drawn(seed), folder, only)]


if __name__ == "__main__":
    over_seeds(str(__doc__), differing, "say something else in another order")
