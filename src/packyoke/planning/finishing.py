"""Layouts made into whole builds, which the check judges: the search's figures only bound what each can come to."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import replace
from typing import NamedTuple

from packyoke.analysis.harness.routes import Routes
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.planning.catalogue import Catalogue
from packyoke.planning.changes import completed
from packyoke.planning.dress import Dressed, dress
from packyoke.planning.labels import Label
from packyoke.planning.layout import Layout
from packyoke.planning.options import Workbench
from packyoke.planning.ready import ready
from packyoke.planning.rebuild import Drawn, rebuilt
from packyoke.planning.result import Left, NoPlan, Stuck, none_found
from packyoke.planning.search import Search
from packyoke.planning.taps import tap_fuses, with_taps
from packyoke.rules import RULES
from packyoke.rules.outcome import Failed, told
from packyoke.verdict.explore import Decision
from packyoke.verdict.judge import Judgement, judgement

MOST_LAYOUTS = 12
"""Layouts that are made and checked before the best of them is called not proved."""
FARTHER = (0.05, 1.0, 100.0)
"""How far above the bound layouts are looked for, one after the other, while all before come to nothing."""
CHOSEN = ("leads.", "joiners.")
"""Parts whose findings another layout may avoid."""
OPEN_WEIGHS = 100
MANY_LAYOUTS = f"more than {MOST_LAYOUTS} layouts come close, and not all were made and checked"


class Finished(NamedTuple):
    """A layout with its wires, completed (`done`) and judged. `score`: with the findings of the check."""

    drawn: Drawn
    dressed: Dressed
    done: Build
    left: tuple[Left, ...]
    score: int
    judged: Judgement


class Finisher:
    """What every layout of one plan is made with."""

    def __init__(self, bench: Workbench, build: Build, shelf: Catalogue, ways: Routes) -> None:
        self.bench, self.build, self.shelf, self.ways = bench, build, shelf, ways
        self.taps = tap_fuses(bench)
        self.taps_score = sum(map(bench.fuse_score, self.taps.values()))
        """Whatever the layout is, their fuses come on top of it."""

    def finished(self, drawn: Drawn) -> Finished:
        """A drawn harness made and checked. Raises Stuck where something stops it."""
        found = dress(self.bench, ready(drawn.build, self.ways), drawn.build)
        more = drawn.score + self.taps_score
        dressed = replace(found, score=found.score + more, next=None if found.next is None else found.next + more)
        done = with_taps(completed(self.build, dressed.build, drawn.new, self.shelf), self.taps)
        judged = judgement(done, RULES)
        decisions = judged.decisions
        _refuse_stops(decisions)
        left = tuple(
            Left(each.rule.name, Severity(each.severity), each.path)
            for each in decisions
            if each.severity >= Severity.CAUTION
        )
        mine = sum(
            OPEN_WEIGHS if each.severity == Severity.OPEN else 1 for each in left if each.part.startswith(CHOSEN)
        )
        unseen = max(0, mine - round(self.bench.score.shown(dressed.score)[0]))
        return Finished(drawn, dressed, done, left, dressed.score + unseen * self.bench.score.finding, judged)

    def shown(self, layout: Layout, score: int) -> int:
        """The score of a layout as the plan counts it, from that of the search."""
        return score - layout.in_hand() + self.taps_score

    def searched(self, layout: Layout, score: int) -> int:
        """The score of the search for one of the plan."""
        return score + layout.in_hand() - self.taps_score

    def best_of(self, layout: Layout, search: Search, ranked: list[Label]) -> tuple[Finished, Label | None, str]:
        """The best layout as the check judges it, the next one's label, and why it is not proved.

        `ranked`: the best labels of the search, rising; each bounds its layout from below. Raises Stuck where every
        layout is stopped.
        """
        tried: set[Hashable] = set()
        best: Finished | None = None
        from_label = ranked[0]
        stuck: Stuck | None = None
        doubt = ""
        least, cap = ranked[0].score, ranked[-1].score
        for farther in (0.0, *FARTHER):
            if farther:
                cap = self.bench.score.raised(least, farther) if best is None else self.searched(layout, best.score)
                ranked, whole = search.nearest(cap, MOST_LAYOUTS, ranked)
                doubt = "" if whole else MANY_LAYOUTS
            for label in ranked:
                if best is not None and self.shown(layout, label.score) >= best.score:
                    return best, _other(ranked, from_label), ""
                if label.kind in tried:
                    continue
                tried.add(label.kind)
                try:
                    made = self.finished(rebuilt(layout, label.trace))
                except Stuck as caught:
                    stuck = stuck or caught
                    continue
                if best is None or made.score < best.score:
                    best, from_label = made, label
            if best is not None and best.score <= self.shown(layout, cap):
                break
        if best is None:
            assert stuck is not None
            raise stuck if not doubt else Stuck(none_found(stuck.answer))
        return best, _other(ranked, from_label), doubt


def _other(ranked: list[Label], best: Label) -> Label | None:
    return next((each for each in ranked if each.kind != best.kind and each.score >= best.score), None)


def _refuse_stops(decisions: list[Decision]) -> None:
    stop = next((each for each in decisions if each.severity == Severity.STOP), None)
    if stop is None:
        return
    outcome = told(stop.outcome)
    assert isinstance(outcome, Failed)
    raise Stuck(
        NoPlan(
            constraint=outcome.message,
            part=stop.path,
            rule=stop.rule.name,
            found=outcome.found,
            limit=outcome.limit,
        )
    )
