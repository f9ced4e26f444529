"""A build, what is missing drawn too, judged by every rule on every part, and its mends: what fails in the program.

    python -m tests.properties.every_rule --from 0 --count 2000
    python -m tests.properties.every_rule --seconds 60

It leaves out what `check` tries between these: it takes a tenth of the time, and comes to where a check seldom does.
"""

from __future__ import annotations

import random
import traceback
from collections.abc import Iterator
from pathlib import Path

from packyoke.analysis.case import Case
from packyoke.analysis.unknowns.spans import ends, missing_fields
from packyoke.model import Build, Unknown
from packyoke.rules import RULES
from packyoke.rules.outcome import Failed, Mend
from packyoke.verdict.mending import changed
from tests.properties.drawn_builds import read
from tests.properties.seeds import over_seeds

TIMES = 3
"""How often what is missing is drawn."""
SHARE = 0.9
"""Of what is missing so much is drawn, but the first time all of it."""
MENDED = 0.15
"""Of the mends so many are carried out."""


def filled(build: Build, dice: random.Random, share: float) -> Build:
    """A build with values that nobody knows drawn: ends of their spans, or somewhere between."""
    for path, attr in missing_fields(build):
        part = build.part(path)
        if getattr(part, attr) is None and dice.random() <= share:
            values = ends(build, part, attr)
            between = len(values) == 2 and all(isinstance(each, float) for each in values) and dice.random() < 0.3
            if values:
                build = build.with_value(path, attr, dice.uniform(*values) if between else dice.choice(values))
    return build


def failures(build: Build, mends: list[Mend]) -> Iterator[str]:
    """Where rules fail in the program on a build; the mends that they offer are added to a list."""
    case = Case(build)
    for rule in RULES:
        for part in rule.parts(case):
            try:
                outcome = rule.check(case, part)
                if isinstance(outcome, Failed):
                    if outcome.in_words is not None:
                        outcome.in_words(outcome)
                    mends += [family[0] for family in outcome.mends if family]
            except Unknown as missing:
                there = getattr(build.part(missing.part.path), missing.attr, None)
                if there is not None and None not in (there if isinstance(there, tuple) else ()):
                    yield f"{rule.name} on {part.path}: asks for {missing.part.path} {missing.attr}, which is there"
            except Exception as error:
                where = traceback.extract_tb(error.__traceback__)[-1]
                place = f"{Path(where.filename).name}:{where.lineno}"
                yield f"{rule.name} on {part.path}: {type(error).__name__} at {place}"


def failing(seed: int, _folder: Path, _only: tuple[str, ...] = ()) -> list[str]:
    """What fails in the program on the build of a number, one line each."""
    build = read(seed)
    if not isinstance(build, Build):
        return []
    found: list[str] = []
    for time in range(TIMES):
        dice = random.Random(TIMES * seed + time)
        whole = filled(build, dice, SHARE if time else 1.0)
        mends: list[Mend] = []
        found += [f"{seed}  {told}" for told in failures(whole, mends)]
        for mend in mends:
            if dice.random() < MENDED:
                found += [f"{seed}  {mend.text}: {told}" for told in failures(changed(whole, mend.changes), [])]
    return found


if __name__ == "__main__":
    over_seeds(str(__doc__), failing, "broke a rule")
