"""Completing a build: what is drawn gets wires, ends, fuses and lengths; what is not drawn is laid out first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from packyoke.core.findings import Severity
from packyoke.making import bill
from packyoke.model import Build, Unknown
from packyoke.model.fields import field_name
from packyoke.planning import topology
from packyoke.planning.assumed import at_worst, needed_facts, worst_joiner
from packyoke.planning.catalogue import Catalogue, Stock, catalogue
from packyoke.planning.changes import completed, filled, may_change, told_by_copies
from packyoke.planning.dress import Dressed, dress
from packyoke.planning.layout import MOST_EXACT, Layout
from packyoke.planning.merging import merged
from packyoke.planning.options import Bench
from packyoke.planning.ready import apart_notes, ready, route_of
from packyoke.planning.rebuild import Drawn, chain, rebuilt
from packyoke.planning.result import Left, Lists, NoPlan, Objective, Plan, Refusal, RunnerUp, Stuck
from packyoke.planning.routes import Routes, routes
from packyoke.planning.score import Score
from packyoke.planning.search import Found, Search
from packyoke.planning.stuck import why_stuck
from packyoke.rules import RULES
from packyoke.rules.outcome import Failed, Undecided
from packyoke.verdict.explore import Decision
from packyoke.verdict.judge import judge_build
from packyoke.verdict.mending import Workshop, changed

MOST_MENDS = 8
SLACK_NOTE = "lengths: the way along the runs, 10 % for bends, 50 mm of spare at each end, rounded up to centimetres"
BUNDLED = "leads that run inside the frame together need more than the search counted with"
NOT_ON_SHELF = "the shelf alone does not do: what is not on it is listed as such"


class Laid(NamedTuple):
    """A drawn harness, and what the search said of it: None where the drawing was the user's own."""

    drawn: Drawn
    found: Found | None = None
    doubt: str = ""
    layout: Layout | None = None


def plan(build: Build, shop: Stock | None = None, prefer: Sequence[str] = ()) -> Plan | NoPlan | Refusal:
    """Complete a build so that the check raises no stop and no caution that another choice would avoid.

    Parameters
        build: as read; what it says stays as it is [-]
        shop: the shop file with its shelf; without one the trade's sizes are planned with, without prices [-]
        prefer: `cost`, `copper`, `loss` or `joints`, in the order in which they count before the rest [-]
    Returns
        the plan, or why there is none with the nearest ways out, or what has to be told first
    Raises
        ValueError: a preference that cannot be had.
    """
    try:
        return make_plan(build, shop, prefer)
    except Stuck as stuck:
        if isinstance(stuck.answer, Refusal):
            return stuck.answer
        from packyoke.planning.ways_out import ways_out

        return replace(stuck.answer, ways_out=ways_out(build, shop, prefer, stuck.answer))


def make_plan(build: Build, shop: Stock | None = None, prefer: Sequence[str] = (), *, brief: bool = False) -> Plan:
    """The plan. Raises Stuck where there is none; `brief` looks for no runner-up."""
    try:
        needed_facts(build)
        shelf = catalogue(build, shop)
        try:
            return _on_shelf(build, shelf, prefer, brief, "")
        except Stuck as stuck:
            wider = replace(shelf, cables=catalogue(build, None).cables, fuses=(), priced=False)
            if isinstance(stuck.answer, Refusal) or (wider.cables == shelf.cables and not shelf.fuses):
                raise
            merged_shelf = replace(wider, cables=(*shelf.cables, *wider.cables))
            left = [each for each in prefer if each != "cost"]
            try:
                return _on_shelf(build, merged_shelf, left, brief, NOT_ON_SHELF)
            except Stuck:
                raise stuck from None
    except Unknown as unknown:
        part, attr = unknown.part, unknown.attr
        asked = Refusal(
            kind="fact",
            text=f"nobody has said what it is: {field_name((part.path, attr))} of {part.name}",
            do="Find it out and write it in the file.",
            missing=((part.path, attr),),
        )
        raise Stuck(asked) from None


def _on_shelf(build: Build, shelf: Catalogue, prefer: Sequence[str], brief: bool, doubt: str) -> Plan:
    worst = at_worst(build)
    score = Score(prefer, shelf.priced, shelf.currency)
    models = tuple(model._replace(joiner=worst_joiner(worst, model.joiner)) for model in shelf.models)
    bench = Bench(worst, replace(shelf, models=models), score)
    ways = routes(build)
    laid = _laid_out(bench, worst, ways, brief)
    laid, dressed, doubt_of_layout = _dressed(bench, laid, ways)
    done = completed(build, dressed.build, laid.drawn.new, shelf)
    done, mended, decisions = _mended(build, done)
    _refuse_stops(decisions)
    left = tuple(_left(each) for each in decisions if each.severity >= Severity.CAUTION)
    doubts = [doubt, laid.doubt, "" if dressed.exact else _why_inexact(left), mended, doubt_of_layout]
    says = "; ".join(each for each in doubts if each)
    names = {name: route.places for name, lead in done.leads.items() if (route := route_of(done, ways, lead))}
    lists = bill.lists(done, build, laid.drawn, shelf, names)
    told_by_copies(build, done)
    chosen = filled(build, done)
    wanted = (chosen or laid.drawn.new) and not brief and not mended
    runner_up = _runner_up(score, dressed, laid, left) if wanted else None
    return Plan(
        build=done,
        filled=chosen,
        new=laid.drawn.new,
        objective=_counted(score, dressed.score, left, lists, bool(mended)),
        proved=not says,
        doubt=says,
        runner_up=runner_up,
        **lists.lists(),
        left=left,
        notes=_notes(laid.drawn.build, done, ways),
    )


def _laid_out(bench: Bench, build: Build, ways: Routes, brief: bool) -> Laid:
    """The harness as drawn, or as the search lays it out where the drawing leaves that open."""
    if not build.packs or not build.controllers:
        missing = "pack" if not build.packs else "controller"
        do = "Describe it under  packs:" if missing == "pack" else "Describe it under  controller:"
        raise Stuck(Refusal(kind="fact", text=f"the file describes no {missing}", do=do))
    if topology.is_whole(build):
        if not topology.needs_places(build, ways):
            return Laid(Drawn(build))
        loose = topology.drawn_tree(build)
    else:
        loose = topology.gaps(build)
        if not build.places or not build.runs:
            drawn = chain(loose, bench.shelf.models)
            if drawn is None:
                raise Stuck(NoPlan(constraint="there is no joiner to bring the packs together with"))
            return Laid(drawn)
    layout = Layout(bench, loose, ways)
    doubt = ""
    if len(layout.problem.terminals) > MOST_EXACT:
        doubt = f"more than {MOST_EXACT} packs: the nearest were joined first, so this is the best found"
        merged(layout)
    _refuse_spare(layout)
    needed = layout.joiners_needed()
    found = None if needed and needed > layout.room() else Search(layout.problem).run(first_only=brief)
    if found is None:
        raise Stuck(why_stuck(layout))
    if layout.open_taps():
        doubt = doubt or "an accessory hangs on a joiner whose place among the others was open"
    if not found.proved:
        doubt = doubt or "too many layouts to try them all, so this is the best found"
    return Laid(rebuilt(layout, found.best.trace), found.without(layout.in_hand()), doubt, layout)


def _refuse_spare(layout: Layout) -> None:
    """Joiners of the file are all used, and each brings at least two together: more than that cannot all be."""
    waiting, most = layout.topology.free, len(layout.spots) - 1
    if len(waiting) > most:
        spare = len(waiting) - most
        raise Stuck(
            NoPlan(
                constraint=f"{' and '.join(waiting)} are all to be used, and {most} at the most can be: "
                f"leave {spare} out of the file"
            )
        )


def _dressed(bench: Bench, laid: Laid, ways: Routes) -> tuple[Laid, Dressed, str]:
    """The harness with its wires, and why a layout is not proved best.

    The search leaves out that leads in the same stretch of frame warm each other. Its figures are a lower bound: a
    layout that comes out no dearer than the next one at its best is proved; else the next one is tried too.
    """
    first = _dress(bench, laid.drawn, ways)
    found = laid.found
    if found is None or laid.layout is None or first.score <= found.best.score:
        return laid, first, ""
    if found.other is None or first.score <= found.other.score:
        limit = found.covered if found.other is None else found.other.score
        return laid, first, "" if first.score <= limit else BUNDLED
    drawn = rebuilt(laid.layout, found.other.trace)
    try:
        second = _dress(bench, drawn, ways)
    except Stuck:
        return laid, first, BUNDLED
    if second.score < first.score:
        swapped = found._replace(best=found.other, other=found.best)
        return laid._replace(drawn=drawn, found=swapped), second, BUNDLED
    return laid, first, BUNDLED


def _dress(bench: Bench, drawn: Drawn, ways: Routes) -> Dressed:
    found = dress(bench, ready(drawn.build, ways), drawn.build)
    other = found.next + drawn.score if found.next is not None else None
    return replace(found, score=found.score + drawn.score, next=other)


def _notes(drawn: Build, done: Build, ways: Routes) -> tuple[str, ...]:
    cut = any(lead.length_m is not None and drawn.leads[name].length_m is None for name, lead in done.leads.items())
    slack = (SLACK_NOTE,) if cut else ()
    return (*slack, *apart_notes(drawn, done, ways))


def _why_inexact(left: tuple[Left, ...]) -> str:
    if any(each.rule == "voltage-drop" for each in left):
        return "no choice keeps the voltage drop down, so the least cost was taken"
    return "packs feed each other or two controllers are fed: tried on the whole build, not proved"


def _mended(build: Build, done: Build) -> tuple[Build, str, list[Decision]]:
    """What the check still finds and a tried mend settles without touching what the file gives."""
    decisions = judge_build(done, RULES)
    said = ""
    for _ in range(MOST_MENDS):
        shop = Workshop(done, decisions, lambda build: judge_build(build, RULES))
        mends = [
            mend
            for each in decisions
            if each.severity >= Severity.CAUTION and isinstance(each.outcome, Failed)
            for family in each.outcome.mends
            for mend in family
            if all(may_change(build, change.path, change.attr) for change in mend.changes)
            and (tried := shop.works(each, mend)) is not None
            and not tried.cautions
        ]
        if not mends:
            break
        done = changed(done, mends[0].changes)
        decisions = judge_build(done, RULES)
        said = f"mended after the search: {mends[0].text}"
    return done, said, decisions


def _refuse_stops(decisions: list[Decision]) -> None:
    stop = next((each for each in decisions if each.severity == Severity.STOP), None)
    if stop is None:
        return
    outcome = stop.outcome
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


def _left(decision: Decision) -> Left:
    outcome = decision.outcome
    message = outcome.message if isinstance(outcome, Failed | Undecided) else ""
    return Left(decision.rule.name, Severity(decision.severity), decision.path, message)


def _counted(score: Score, total: int, left: tuple[Left, ...], lists: Lists, mended: bool) -> Objective:
    """The figures, with the findings that the whole check makes in place of those that the choices were held by.

    The cost is the sum of the bill, to the cent; where something was changed after the search its joints count too.
    """
    found = score.objective(total)
    anew = {"findings": float(len(left))}
    if mended or not lists.totals.unpriced_count:
        anew["cost"] = lists.totals.amount
    if mended:
        anew["joints"] = float(len(lists.joints))
    return found._replace(
        values=tuple(anew.get(name, value) for name, value in zip(found.names, found.values, strict=True))
    )


def _runner_up(score: Score, dressed: Dressed, laid: Laid, left: tuple[Left, ...]) -> RunnerUp | None:
    """The next best: of another layout where there was one to choose, else of other wires and fuses."""
    if laid.found is not None:
        total = laid.found.other.score if laid.found.other is not None else None
        own, about = laid.found.best.score, "another layout: other places, or packs met in another order"
    else:
        total, own, about = dressed.next, dressed.score, dressed.next_about
    if total is None:
        return None
    values = score.shown(total)
    if total < own:
        return None  # bounds that leave out what the whole check finds: no plan of its own
    more = values[0] - score.shown(own)[0]
    return RunnerUp((len(left) + more, *values[1:]), about)
