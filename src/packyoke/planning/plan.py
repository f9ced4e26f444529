"""Completing a build: what is drawn gets wires, ends, fuses and lengths; what is not drawn is laid out first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import NamedTuple

from packyoke.analysis.harness.routes import Routes, routes
from packyoke.making.as_drawn import lists
from packyoke.making.bill import bill
from packyoke.making.cutting import is_made
from packyoke.making.routes import least_length_m
from packyoke.model import Build, Unknown
from packyoke.model.shop import Stock
from packyoke.planning import topology
from packyoke.planning.assumed import asked, at_worst, need_facts, worst_joiner
from packyoke.planning.catalogue import Catalogue, beyond, catalogue, with_its_wire
from packyoke.planning.changes import filled, told_by_copies
from packyoke.planning.effort import BEYOND, RESERVE, Effort
from packyoke.planning.finishing import Finished, Finisher
from packyoke.planning.growing import TooMany
from packyoke.planning.labels import Label
from packyoke.planning.layout import MOST_EXACT, Layout
from packyoke.planning.merging import along, improved, least_of_all
from packyoke.planning.nearby import thinned
from packyoke.planning.offcuts import left_over, with_less_over
from packyoke.planning.options import Workbench
from packyoke.planning.ready import apart_notes
from packyoke.planning.rebuild import Drawn, chain, rebuilt
from packyoke.planning.regrouping import drawn_group, regrouped
from packyoke.planning.relaxed import MOST_PACKS, MOST_SUMS, Relaxed, sums
from packyoke.planning.result import Left, NoPlan, Objective, Plan, Refusal, RunnerUp, Stuck, none_found
from packyoke.planning.said import Said
from packyoke.planning.score import Score
from packyoke.planning.search import MOST_LABELS, Search
from packyoke.planning.stuck import homeless, why_stuck

ROOM_NOTE = "places: one joiner fits at each where the file does not say more with  holds: 2"
SLACK_NOTE = (
    "lengths: the way along the runs, 10 % for bends, 50 mm of spare at each end, at least "
    f"{1000 * least_length_m(False):.0f} mm ({1000 * least_length_m(True):.0f} mm with a fuse), up to whole centimetres"
)
OF_THE_WIRE = ("wire-does-not-fit", "voltage-drop", "lead-overheats", "fuse-oversized")
"""Findings that another wire may avoid, one that the shelf has not."""
TOO_MANY = "too many layouts to try them all, and nothing better was found"
AT_FIRST = 15_000
"""Labels that the search makes before a plan is looked for that it need not go beyond."""
NOT_ON_SHELF = "the shelf alone does not do: what is not on it is listed as such"


class Laid(NamedTuple):
    """The best harness, the score of the next one, why it is not proved, and the least that any could come to.

    `other` and `bound` are None where the drawing was the user's own.
    """

    best: Finished
    other: int | None = None
    doubt: str = ""
    bound: int | None = None


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

        found, untried = ways_out(build, shop, prefer, stuck.answer)
        return replace(stuck.answer, ways_out=found, untried=untried)


def make_plan(
    build: Build,
    shop: Stock | None = None,
    prefer: Sequence[str] = (),
    *,
    brief: bool = False,
    said: Said | None = None,
    effort: Effort | None = None,
) -> Plan:
    """The plan. Raises Stuck where there is none; `brief` looks for no runner-up, `said`: from plans before this,
    `effort`: what may be spent on it, where others share that.
    """
    need_facts(build)
    shelf = catalogue(build, shop)
    try:
        return _on_shelf_or_beyond(with_its_wire(build, shelf), shelf, prefer, brief, shop, said, effort)
    except Unknown as unknown:
        raise Stuck(asked({unknown.attr: [unknown.part]})) from None


def _on_shelf_or_beyond(
    build: Build,
    shelf: Catalogue,
    prefer: Sequence[str],
    brief: bool,
    shop: Stock | None,
    said: Said | None,
    effort: Effort | None = None,
) -> Plan:
    """The plan off the shelf; with wire that has to be bought where the shelf's own is stopped or finds more."""

    def narrower(less: Catalogue) -> Plan:
        return _on_shelf(build, less, prefer, True, "", shop, said, Effort(BEYOND), shelf.copper_price)

    best: Plan | None = None
    stuck: Stuck | None = None
    try:
        best = _on_shelf(build, shelf, prefer, brief, "", shop, said, effort or Effort())
        if best.offcut > 0.0:
            best = with_less_over(best, shelf, narrower)
    except Stuck as caught:
        if isinstance(caught.answer, Refusal):
            raise
        stuck = caught
    if best is not None and not any(each.rule in OF_THE_WIRE for each in best.left):
        return best
    wider = beyond(build, shelf)
    if wider is not None:
        with suppress(Stuck):
            costless = [each for each in prefer if each != "cost"]
            mine = effort or Effort(BEYOND, BEYOND, RESERVE if best is None else BEYOND)
            other = _on_shelf(build, wider, costless, brief, NOT_ON_SHELF, shop, said, mine)
            if best is None or len(other.left) < len(best.left):
                return other
    if best is None:
        assert stuck is not None
        raise stuck
    return best


def _on_shelf(
    build: Build,
    shelf: Catalogue,
    prefer: Sequence[str],
    brief: bool,
    doubt: str,
    shop: Stock | None,
    said: Said | None,
    effort: Effort,
    copper_price: float = 0.0,
) -> Plan:
    worst = at_worst(build)
    score = Score(prefer, shelf.priced, shelf.currency, copper_price or shelf.copper_price)
    models = tuple(model._replace(joiner=worst_joiner(worst, model.joiner)) for model in shelf.models)
    bench = Workbench(worst, replace(shelf, models=models), score, said, effort)
    ways = routes(build)
    laid = _laid_out(bench, worst, ways, Finisher(bench, build, shelf, ways), brief)
    drawn, dressed, done, left, total, judged = laid.best
    doubts = [doubt, laid.doubt, "" if dressed.exact else _why_inexact(left, dressed.narrowed)]
    says = "; ".join(each for each in doubts if each)
    if says and laid.bound is not None:
        says += score.at_most_above(total, laid.bound)
    made = lists(done, build, shop, ways)
    chosen_cost = float(made.totals.parts - bill(build, shop).totals.parts)
    told_by_copies(build, done)
    chosen = filled(build, done)
    wanted = (chosen or drawn.new) and not brief
    return Plan(
        build=done,
        filled=chosen,
        new=drawn.new,
        objective=_counted(score, laid.best, chosen_cost),
        offcut=left_over(done, shop),
        proved=not says,
        doubt=says,
        runner_up=_runner_up(score, laid, chosen_cost) if wanted else None,
        **made.lists(),
        left=left,
        notes=(*_notes(build, drawn.build, done, ways), *_unmarked(build, done, shelf)),
        judged=judged,
    )


def _laid_out(bench: Workbench, build: Build, ways: Routes, finisher: Finisher, brief: bool) -> Laid:
    """The harness as drawn, or as the search lays it out where the drawing leaves that open."""
    if not build.packs or not build.controllers:
        missing = "pack" if not build.packs else "controller"
        do = "Describe it under  packs:" if missing == "pack" else "Describe it under  controller:"
        raise Stuck(Refusal(kind="fact", text=f"the file describes no {missing}", do=do))
    if topology.is_whole(build):
        if not topology.needs_places(build, ways):
            return Laid(finisher.finished(Drawn(build)))
        loose = topology.drawn_tree(build)
    else:
        loose = topology.gaps(build)
        if not build.places or not build.runs:
            drawn = chain(loose, bench.shelf.models)
            if drawn is None:
                raise Stuck(NoPlan(constraint="there is no joiner to bring the packs together with"))
            return Laid(finisher.finished(drawn))
    layout = Layout(bench, loose, ways)
    _refuse_spare(layout)
    try:
        return _searched(layout, finisher, brief)
    except Stuck:
        if not layout.last:
            raise
    return _searched(Layout(bench, loose, ways, tapped_last=False), finisher, brief)


def _searched(layout: Layout, finisher: Finisher, brief: bool) -> Laid:
    """The best layout of all, each with its wires."""
    doubt = "an accessory hangs on a joiner whose place among the others was open" if layout.open_taps() else ""
    needed = layout.joiners_needed()
    if (needed and needed > layout.room()) or homeless(layout):
        raise Stuck(why_stuck(layout))
    relaxed = None if layout.topology.drawn else _tolled(layout)
    if len(layout.spots) > MOST_EXACT and not layout.topology.drawn:
        return _many(layout, finisher, doubt, relaxed, _start(layout, relaxed))
    search = Search(layout.problem, AT_FIRST if relaxed is not None else MOST_LABELS)
    try:
        found = search.run(first_only=brief)
    except TooMany:
        if relaxed is not None:
            start = _start(layout, relaxed)
            if search.bounds.too_wide:
                return _many(layout, finisher, doubt, relaxed, start)
            search.most_labels = MOST_LABELS
            try:
                found = search.run(first_only=brief, near=None if start.label is None else start.label.score)
            except TooMany:
                return _many(layout, finisher, doubt, relaxed, start, search.reached)
        else:
            layout.problem.effort.go_on(known=False)
            search = Search(layout.problem) if search.bounds.too_wide else search
            found = search.most_promising(another=not brief)
            if found is None:
                raise Stuck(none_found(why_stuck(layout))) from None
    if found is None:
        raise Stuck(why_stuck(layout))
    ranked = [each for each in (found.best, found.other) if each is not None]
    best, other, unsure = finisher.best_of(layout, search, ranked)
    if not found.proved:
        doubt = doubt or TOO_MANY
    least = search.bounds.least()
    bound = finisher.shown(layout, least) if least is not None else None
    return Laid(best, finisher.shown(layout, other.score) if other is not None else None, doubt or unsure, bound)


def _tolled(layout: Layout) -> Relaxed | None:
    """What no layout can undercut, with tolls on what is short, which the search goes by from here on."""
    if len(layout.spots) > MOST_PACKS or sums(layout) > MOST_SUMS:
        return None
    relaxed = Relaxed(layout)
    layout.toll(relaxed.tolls)
    return relaxed


class Start(NamedTuple):
    """The same bike with the promising places only, and a layout that is known."""

    layout: Layout
    label: Label | None


def _start(layout: Layout, relaxed: Relaxed | None) -> Start:
    if relaxed is None:
        return Start(thinned(layout), None)
    near = thinned(layout, [place for place, _ in relaxed.used.most_common()])
    return Start(near, along(near, relaxed.trees))


def _many(
    layout: Layout,
    finisher: Finisher,
    doubt: str,
    relaxed: Relaxed | None,
    start: Start,
    reached: int | None = None,
) -> Laid:
    """More packs, or more ways, than the exact search takes: what no layout can undercut, the layout that this figure
    comes from, and others of which groups are joined first, in several ways, and the most promising ways followed.

    reached: a figure of the search that none comes to
    """
    least = reached or (relaxed.least if relaxed is not None else least_of_all(layout))
    if relaxed is not None and least is None:
        raise Stuck(why_stuck(layout))
    bound = finisher.shown(layout, least) if least is not None else None
    layout.problem.effort.go_on(known=start.label is not None)
    best: Finished | None = None
    stuck: NoPlan | Refusal | None = None
    tried = [start] if start.layout is layout else [start, Start(layout, None)]
    near = layout
    for near, label in tried:
        for one, better in improved(near, label, min(MOST_EXACT, len(layout.spots) - 1)):
            try:
                made = finisher.finished(rebuilt(one, better.trace))
            except Stuck as caught:
                stuck = stuck or caught.answer
                continue
            if best is None:
                layout.problem.effort.found()
            if best is None or made.score < best.score:
                best = made
            if bound is not None and best.score <= bound:
                return Laid(best, None, doubt, bound)
        if best is not None:
            break
    if best is None:
        raise Stuck(none_found(stuck or why_stuck(layout)))
    group = drawn_group(layout, best.drawn.build) if relaxed is not None else None
    if relaxed is not None and group is not None:
        for better, _ in regrouped(near, relaxed, group, finisher.searched(layout, best.score)):
            with suppress(Stuck):
                best = min(best, finisher.finished(rebuilt(near, better.trace)), key=lambda each: each.score)
    if len(layout.spots) > MOST_EXACT:
        doubt = doubt or f"nothing better was found; with more than {MOST_EXACT} packs not every layout is tried"
    return Laid(best, None, doubt or TOO_MANY, bound)


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


def _notes(build: Build, drawn: Build, done: Build, ways: Routes) -> tuple[str, ...]:
    cut = any(lead.length_m is not None and drawn.leads[name].length_m is None for name, lead in done.leads.items())
    slack = (SLACK_NOTE,) if cut else ()
    placed = [each for name, each in done.joiners.items() if each.place_name and _unplaced(build, name)]
    assumed = [name for name, place in done.places.items() if "holds" not in place.spans]
    room = (ROOM_NOTE,) if len(placed) > 1 and assumed else ()
    return (*slack, *room, *apart_notes(drawn, done, ways))


def _unplaced(build: Build, joiner: str) -> bool:
    return joiner not in build.joiners or not build.joiners[joiner].place_name


def _unmarked(build: Build, done: Build, shelf: Catalogue) -> Iterator[str]:
    """Wire of the shelf that is to be cut and of which the shop file does not say for which conductor it is."""
    cut = {
        (lead.gauge, lead.insulation)
        for name, lead in done.leads.items()
        if name not in build.leads or is_made(build.leads[name])
    }
    for cable in shelf.cables:
        if not cable.poles and (cable.gauge, cable.insulation) in cut:
            names = dict.fromkeys(item.part.name for item in (cable.plus, cable.minus) if item is not None)
            yield f"which is the plus, which the minus: {' and '.join(names)}? Write  pole:  at it in the shop file"


def _why_inexact(left: tuple[Left, ...], narrowed: bool = False) -> str:
    if narrowed:
        return "too many wires and fuses to try them all together, and nothing better was found"
    if any(each.rule == "voltage-drop" for each in left):
        return "no choice keeps the voltage drop down, so what misses it least was taken"
    return "packs feed each other or two controllers are fed: tried on the whole build, not proved"


def _counted(score: Score, best: Finished, chosen_cost: float) -> Objective:
    """The figures, with the findings that the whole check makes in place of those that the choices were held by, and
    the cost as the bill has it, in whole coins."""
    found = score.objective(best.dressed.score)
    named = {**dict(zip(found.names, found.values, strict=True)), "findings": float(len(best.left))}
    if "cost" in named:
        named["cost"] = chosen_cost
    return found._replace(values=tuple(named.values()))


def _runner_up(score: Score, laid: Laid, chosen_cost: float) -> RunnerUp | None:
    """The next best: of another layout where there was one to choose, else of other wires and fuses."""
    dressed, total, about = laid.best.dressed, laid.other, "another layout: other places, or packs met in another order"
    if laid.bound is None:
        total, about = dressed.next, dressed.next_about
    if total is None or total < laid.best.score:
        return None  # bounds that leave out what the whole check finds: no plan of its own
    best = score.shown(dressed.score)
    named = dict(zip(score.names, score.shown(total), strict=True))
    named["findings"] += len(laid.best.left) - best[0]
    if "cost" in named:
        named["cost"] += chosen_cost - best[score.names.index("cost")]
    return RunnerUp(tuple(named.values()), about)
