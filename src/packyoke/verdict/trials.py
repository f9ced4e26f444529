"""Trying what missing values may be: a build and its what-ifs, and the best and the worst that a rule says of them.

Where few values are missing every set of ends is tried. Where many are, the better and the worse end of each is found
by turning one value at a time: the best that can be reached decides whether it is a finding, whatever the bounds.
That something passes is only believed where everything was tried.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.harness.changed import keep_drawing, with_value
from packyoke.analysis.unknowns.spans import ends, filled, first_asked, likely
from packyoke.core.findings import Severity
from packyoke.core.paths import PartPath
from packyoke.model import Build, Key, Unknown
from packyoke.rules.outcome import Failed, Outcome, Undecided, level
from packyoke.rules.rule import Rule
from packyoke.verdict.bikes import Bikes
from packyoke.verdict.leaf import Given, Leaf, further, measure

MOST_LEAVES = 48
"""Sets of tried values for one rule on one part; with more than that only the best and the worst are looked for."""
MOST_UNKNOWNS = 6
"""With more missing values than this on one way through a rule, no attempt is made to try every set of them."""
MOST_TURNS, TO_BELIEVE_A_STOP = 60, 400
"""Runs of a rule on one part to find its best and its worst; the same where the best that was seen is a stop."""
MOST_FOR_ONE = 800
"""Runs of one rule on all parts of a build, those of a rule that works long count more; on one of many packs fewer.
Beyond it the best and the worst of this rule are looked for roughly, and beyond twice as many not at all."""
MOST_TRIED = 4000
"""The same for all rules together."""
MOST_NAMED = 3
"""Fields that such a question names."""

Places = tuple[tuple[str, int], ...]
"""The same by the name of the field, alike in all parts; the empty name stands for every other."""

Stand = dict[Key, int]
"""At which of its ends each field stands, counted from 0; a field that is not in it stands at its first."""


class Asking(NamedTuple):
    """A field that a rule asks for, and what it may be."""

    key: Key
    values: tuple[Any, ...]


class Attempts(NamedTuple):
    """What was tried for one rule on one part, the best and the worst of it, and whether that is every set of ends."""

    leaves: list[Leaf]
    best: Leaf
    worst: Leaf
    complete: bool


class Trials:
    """One build and its what-ifs: a case for each set of tried values, worked out once."""

    def __init__(self, build: Build, drawn: Case | None = None) -> None:
        """Of a build that differs from that of another case in little the drawing may be taken over."""
        self.build = build
        self.plain = Case(build)
        if drawn is not None:
            keep_drawing(drawn, self.plain)
        self.tried = 0
        self._spent: dict[str, int] = {}
        self._weight = max(1, len(build.packs) ** 2 // 4)
        self.follows: set[Key] = set()
        """Fields that follow from others that were tried: nobody has to look them up."""
        self._most: dict[str, int] = {}
        """How many values a missing field of a name may have at the most, as far as was seen."""
        self._asked: dict[str, set[str]] = {}
        """Names of the fields that a rule asked for, of any part."""
        self._bikes = Bikes(build)
        self._cases: dict[frozenset[tuple[Key, Any]], Case] = {frozenset(): self.plain}
        self._next: dict[tuple[Case, Key, Any], Case] = {}
        """The case that follows another one with one more value, found without a look at all the values before."""
        self._values: dict[tuple[Case, Key], tuple[Any, ...]] = {}
        self._said: dict[tuple[Case, Callable[..., Outcome], str], Outcome | Unknown] = {}
        self._all_given: dict[Places, tuple[Given, Case]] = {}
        self._stands: dict[tuple[str, int], Stand] = {}
        """Where the fields stood at the best (-1) and the worst (1) of a rule on an earlier part: a good first try."""

    def case(self, given: Given) -> Case:
        key = frozenset(given)
        found = self._cases.get(key)
        if found is None:
            before = self.case(given[:-1])
            found = self._cases[key] = with_value(before, *given[-1])
        return found

    def _ends(self, case: Case, key: Key) -> tuple[Any, ...]:
        """The values that a missing field may have beside those of a case."""
        found = self._values.get((case, key))
        if found is None:
            found = self._values[case, key] = ends(case.build, case.build.part(key.path), key.attr)
        return found

    def _with(self, case: Case, given: Sequence[tuple[Key, Any]]) -> Case:
        """The case of these values, where that of all but the last of them is at hand."""
        step = (case, *given[-1])
        found = self._next.get(step)
        if found is None:
            found = self._next[step] = self.case(tuple(given))
        return found

    def outcome(self, rule: Rule, path: PartPath, given: Given) -> Outcome:
        """What a rule says with these values tried. Raises Unknown when it asks for one more."""
        said = self._says(rule, path, self.case(given))
        if isinstance(said, Unknown):
            raise said.with_traceback(None)
        return said

    def _says(self, rule: Rule, path: PartPath, case: Case) -> Outcome | Unknown:
        """The same without raising, counted."""
        before = case.effort
        said = self._heard(rule, path, case)
        self.spend(rule, case.effort - before + self._weight)
        return said

    def _heard(self, rule: Rule, path: PartPath, case: Case) -> Outcome | Unknown:
        """An answer is looked for among values that deciding has tried: each is asked once only."""
        key = case, rule.check, path
        if key not in self._said:
            try:
                self._said[key] = rule.check(case, case.build.part(path))
            except Unknown as unknown:
                self._said[key] = unknown.with_traceback(None)
        return self._said[key]

    def spend(self, rule: Rule, runs: int) -> None:
        """Count runs of a rule."""
        self.tried += runs
        self._spent[rule.name] = self._spent.get(rule.name, 0) + runs

    @property
    def effort(self) -> int:
        """What judging took, in runs of a usual rule: those of values tried, and of circuits of the build as it is."""
        return self.tried + self.plain.effort

    def beyond(self, rule: Rule, times: int = 1) -> bool:
        """Whether a rule, or all rules together, ran more often than is allowed, or so many times that."""
        return self._spent.get(rule.name, 0) > times * MOST_FOR_ONE or self.tried > times * MOST_TRIED

    def step(self, rule: Rule, path: PartPath, given: Given, case: Case | None = None) -> Outcome | Asking:
        """What a rule says with these values tried, or what it asks for next; `case` where theirs is at hand."""
        case = case or self.case(given)
        said = self._says(rule, path, case)
        if not isinstance(said, Unknown):
            return said
        part, attr = first_asked(said.part, said.attr)
        key = Key(part.path, attr)
        self._asked.setdefault(rule.name, set()).add(attr)
        if any(key == asked for asked, _ in given):
            raise RuntimeError(f"{rule.name} asks for {key} again")
        values = self._ends(case, key)
        if len(values) == 1 and given:
            self.follows.add(key)
        return Asking(key, values)

    def every_set(self, rule: Rule, path: PartPath) -> list[Leaf] | None:
        """Every end of every missing value that the rule asks for; None when those are more than `MOST_LEAVES`."""
        found: list[Leaf] = []
        open_trials: list[Leaf] = [Leaf((), None)]
        while open_trials:
            if len(found) + len(open_trials) > MOST_LEAVES:
                return None
            given, _, choices = open_trials.pop()
            step = self.step(rule, path, given)
            if not isinstance(step, Asking):
                found.append(Leaf(given, step, choices))
            elif not step.values:
                found.append(self._nothing_to_try(rule, given, step.key, choices))
            else:
                count = len(step.values)
                open_trials += (
                    Leaf((*given, (step.key, value)), None, (*choices, count)) for value in reversed(step.values)
                )
        return found

    def at(self, rule: Rule, path: PartPath, stand: Stand, asked: Iterable[Key] = ()) -> Leaf:
        """What the rule says with every missing value at one of its ends; `asked` are fields that it is known to ask
        for, in their order."""
        case, taken, counts, otherwise = self.plain, [], [], stand.get(ANY, 0)
        for key in asked:
            values = self._ends(case, key)
            taken.append((key, values[min(stand.get(key, otherwise), len(values) - 1)]))
            counts.append(len(values))
            case = self._with(case, taken)
        given, choices = tuple(taken), tuple(counts)
        while True:
            step = self.step(rule, path, given, case)
            if not isinstance(step, Asking):
                return Leaf(given, step, choices)
            if not step.values:
                return self._nothing_to_try(rule, given, step.key, choices)
            given, choices = _stood(given, choices, step.key, step.values, stand)
            case = self._with(case, given)

    def _nothing_to_try(self, rule: Rule, given: Given, key: Key, choices: tuple[int, ...]) -> Leaf:
        """Where a field has no span: an open question, or for a rule that only cautions an assumption."""
        outcome: Outcome = Failed(severity=rule.gravest, message="")
        if rule.gravest > Severity.CAUTION:
            outcome = Undecided(message="", asks=((self.build.part(key.path), key.attr),))
        return Leaf((*given, (key, None)), outcome, (*choices, 0))

    def search(self, rule: Rule, path: PartPath) -> Attempts:
        """What was tried for a rule on a part. A stop is only believed where no bike that it may be gets out of it."""
        found = self._searched(rule, path)
        for bike in self._bikes if found.best.given and level(found.best.outcome) == Severity.STOP else ():
            best = self._of(bike, rule, path)
            if best is not None and level(best.outcome) < Severity.STOP:
                return Attempts([found.worst, best], best, found.worst, complete=False)
        return found

    def _of(self, bike: Build, rule: Rule, path: PartPath) -> Leaf | None:
        """What a rule says with what it asks for as a bike has it; what it does not miss stays as it is."""
        given: Given = ()
        case = self.plain
        while isinstance(said := self._heard(rule, path, case), Unknown):
            part, attr = first_asked(said.part, said.attr)
            key, value = Key(part.path, attr), getattr(bike.part(part.path), attr)
            if value is None or any(key == each for each, _ in given):
                return None
            given = (*given, (key, value))
            case = self._with(case, given)
        return Leaf(given, said)

    def _searched(self, rule: Rule, path: PartPath) -> Attempts:
        """Every set of ends where there are few; else the best and the worst, and what one turn makes of them."""
        if self.beyond(rule):
            return self._roughly(rule, path)
        first = self.at(rule, path, {})
        leaves = self.every_set(rule, path) if len(first.given) <= MOST_UNKNOWNS else None
        if leaves is not None:
            return Attempts(leaves, min(leaves, key=measure), max(leaves, key=measure), complete=True)
        keys = [key for key, value in first.given if value is not None]
        starts = [self._stands[each] for each in ((rule.name, -1), (rule.name, 1)) if each in self._stands]
        seen = [(first, {}), *((self.at(rule, path, stand, keys), stand) for stand in ({ANY: MANY}, *starts))]
        best = self._turned(rule, path, -1, seen)
        worst = self._turned(rule, path, 1, seen)
        return Attempts([leaf for leaf, _ in seen], best, worst, complete=False)

    def _roughly(self, rule: Rule, path: PartPath) -> Attempts:
        """The best and the worst with fields of one name standing alike in all parts: a case for each serves all rules.
        No turn of a name gets out of a stop; of a rule that was run on many sets, of a name that it asked for."""
        named = self._first_asked(rule, path)
        if self.beyond(rule, 2):
            keys = tuple((self.build.part(key.path), key.attr) for key, _ in named)
            outcome: Outcome = Failed(severity=rule.gravest, message="")
            if rule.gravest > Severity.CAUTION:
                outcome = Undecided(message="", asks=keys)
            leaf = Leaf(named, outcome)
            return Attempts([leaf], leaf, leaf, complete=False)
        tried = [(self._filled(rule, path, stand), stand) for stand in (LOW, HIGH)]
        best, stand = min(tried, key=lambda each: measure(each[0]))
        worst = max((leaf for leaf, _ in tried), key=measure)
        turned = True
        while turned and level(best.outcome) == Severity.STOP:
            turned = False
            often = self._spent.get(rule.name, 0) > MOST_FOR_ONE
            asked = self._asked.get(rule.name, set()) if often else self._most.keys()
            most = [(attr, count) for attr, count in self._most.items() if attr in asked]
            turns = [(attr, place) for attr, count in most for place in reversed(range(count))]
            for attr, place in turns:
                if place == min(_placed(dict(stand), attr), self._most[attr] - 1):
                    continue
                other = tuple(sorted({**dict(stand), attr: place}.items()))
                leaf = self._filled(rule, path, other)
                if further(leaf, best, -1):
                    best, stand, turned = leaf, other, True
                if level(best.outcome) < Severity.STOP:
                    break
        best, worst = best._replace(given=named), worst._replace(given=named)
        if level(best.outcome) == Severity.STOP:
            worst = best
        return Attempts([best, worst], best, worst, complete=False)

    def _first_asked(self, rule: Rule, path: PartPath) -> Given:
        """What a rule asks for, as far as it is found in a few steps."""
        asked: Given = ()
        while len(asked) < MOST_NAMED:
            found = self.step(rule, path, asked)
            if not isinstance(found, Asking) or not found.values:
                break
            asked, _ = _stood(asked, (), found.key, found.values, {})
        return asked

    def _filled(self, rule: Rule, path: PartPath, stand: Places) -> Leaf:
        """What a rule says of the build in which everything that is missing stands at one end, by the field's name."""
        found = self._all_given.get(stand)
        if found is None:
            places = dict(stand)
            build, given = filled(self.build, lambda attr, values: values[self._place(places, attr, len(values))])
            case = self._cases[frozenset(given)] = Case(build)
            keep_drawing(self.plain, case)
            found = self._all_given[stand] = given, case
        given, case = found
        while True:
            step = self.step(rule, path, given, case)
            if not isinstance(step, Asking):
                return Leaf(given, step)
            if not step.values:
                return self._nothing_to_try(rule, given, step.key, ())
            value = step.values[self._place(dict(stand), step.key.attr, len(step.values))]
            given = (*given, (step.key, value))
            case = self._with(case, given)
            self._all_given[stand] = given, case

    def _place(self, stand: Mapping[str, int], attr: str, count: int) -> int:
        """At which of so many values a field stands."""
        self._most[attr] = max(count, self._most.get(attr, 0))
        return min(_placed(stand, attr), count - 1)

    def _turned(self, rule: Rule, path: PartPath, sign: int, seen: list[tuple[Leaf, Stand]]) -> Leaf:
        """The best (-1) or worst (1) that turning one value at a time leads to, from that of what was seen. Of one that
        is as bad as an open question one round of turns is made for what to ask, of a stop all turns."""
        leaf, stand = (min if sign < 0 else max)(seen, key=lambda each: measure(each[0]))
        stops = sign < 0 and level(leaf.outcome) == Severity.STOP
        left, turned, cut_short = TO_BELIEVE_A_STOP if stops else MOST_TURNS, True, False
        while turned and left > 0:
            turned = cut_short = False
            settled = level(leaf.outcome) < Severity.OPEN if sign < 0 else level(leaf.outcome) >= Severity.OPEN
            if self.beyond(rule) and (settled or sign > 0):
                break
            keys = [each for each, value in leaf.given if value is not None]
            for key, count in zip(keys, leaf.choices, strict=False):
                now = min(stand.get(key, stand.get(ANY, 0)), count - 1)
                for place in range(count):
                    if place == now:
                        continue
                    if left <= 0 or self.beyond(rule, 2):
                        cut_short = True
                        continue
                    left -= 1
                    other = {**stand, key: place}
                    tried = self.at(rule, path, other, keys)
                    seen.append((tried, other))
                    if not settled and further(tried, leaf, sign):
                        leaf, stand, turned, now = tried, other, True, place
        self._stands[rule.name, sign] = stand
        if sign < 0 and (turned or cut_short) and level(leaf.outcome) == Severity.STOP:
            return leaf._replace(outcome=Undecided(message="", asks=()))
        return leaf

    def likely(self, rule: Rule, path: PartPath) -> Leaf | None:
        """What the rule says with every missing value at what numbers are printed for."""
        given: Given = ()
        while True:
            step = self.step(rule, path, given)
            if not isinstance(step, Asking):
                return Leaf(given, step)
            if not step.values:
                return None
            build = self.case(given).build
            given = (*given, (step.key, likely(build, build.part(step.key.path), step.key.attr)))


def _stood(
    given: Given, choices: tuple[int, ...], key: Key, values: tuple[Any, ...], stand: Stand
) -> tuple[Given, tuple[int, ...]]:
    place = min(stand.get(key, stand.get(ANY, 0)), len(values) - 1)
    return (*given, (key, values[place])), (*choices, len(values))


ANY, MANY = Key(PartPath(""), ""), 99
"""Every field that a stand does not name; the last end, however many there are."""
LOW: Places = (("", 0),)
HIGH: Places = (("", MANY),)
"""Every field at its first, at its last end."""


def _placed(stand: Mapping[str, int], attr: str) -> int:
    return stand.get(attr, stand.get("", 0))
