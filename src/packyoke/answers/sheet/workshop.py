"""From a build to the work sheet for the bench: planned first where something is blank, else as the file draws it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from packyoke import __version__
from packyoke.analysis.case import Case
from packyoke.analysis.harness.routes import routes
from packyoke.analysis.unknowns.filled import filled_case
from packyoke.answers.check.page import draw_words
from packyoke.answers.drawn import drawing, numbers
from packyoke.answers.inherited import with_places
from packyoke.answers.plan.answer import planned
from packyoke.answers.plan.page import objective_words, refusal_text
from packyoke.answers.sheet import workshop_words as words
from packyoke.answers.sheet.bench import Bench
from packyoke.answers.sheet.called import said, signs
from packyoke.answers.sheet.customer import NoSheet
from packyoke.answers.sheet.workshop_lists import Work, sections
from packyoke.answers.sheet.workshop_page import WorkshopSheet
from packyoke.answers.typed import WrongInput
from packyoke.core.findings import Severity, clean
from packyoke.core.units import Kind, show
from packyoke.making.as_drawn import drawn_lists
from packyoke.making.cutting import is_made
from packyoke.making.labels import labels_of
from packyoke.making.lists import Lists
from packyoke.model import Build
from packyoke.model.shop import Stock
from packyoke.planning.result import NoPlan, Objective, Plan, Refusal, Stuck
from packyoke.planning.topology import is_whole
from packyoke.verdict.check import check
from packyoke.verdict.report import Report


class CannotPlan(Exception):
    """There are blanks, and nothing to fill them with passes."""

    def __init__(self, found: NoPlan) -> None:
        super().__init__(found.constraint)
        self.found = found


class WorkshopWork(NamedTuple):
    """What a work sheet is made of, whatever it is written as; `found` is the plan, None where nothing was open."""

    given: Build
    found: Plan | None
    work: Work
    day: date


def worked(build: Build, stock: Stock | None, today: str, system: str = "metric") -> WorkshopWork:
    """What the bench needs of a build on a day (ISO 8601), `system` metric or us.

    Raises NoSheet at stop or open, CannotPlan where the blanks cannot be filled, WrongInput where something has to be
    told before they can.
    """
    found = _planned(build, stock) if blank(build) else None
    done = found.build if found is not None else build
    report = check(done, today=today)
    if report.verdict not in ("none-found", "caution"):
        raise NoSheet(report)
    ways = routes(done)
    all_of_it = drawn_lists(done, stock, ways)
    made = frozenset(piece.lead for piece in found.pieces if piece.planned) if found is not None else frozenset()
    plan = found if found is not None else _as_drawn(done, all_of_it)
    plan = replace(plan, pieces=all_of_it.pieces, joints=all_of_it.joints, labels=all_of_it.labels)
    bench = Bench(done, filled_case(Case(done))[0], system, numbers(done), signs(done))
    return WorkshopWork(build, found, Work(bench, report, plan, made, ways), date.fromisoformat(today))


def workshop_sheet(
    build: Build, stock: Stock | None, *, today: str, system: str = "metric", shop: str = "", contact: str = ""
) -> WorkshopSheet:
    """The work sheet of a build on a day. Raises as `worked` does."""
    return in_words(worked(build, stock, today, system), shop, contact)


def in_words(done: WorkshopWork, shop: str = "", contact: str = "") -> WorkshopSheet:
    """The work sheet as it is read."""
    given, found, work, day = done
    build, names = work.build, work.bench.called
    head = (
        " · ".join(each for each in (said(shop, 80), said(contact, 120)) if each),
        said(given.ticket, 80),
        f"{day.day} {day:%B %Y}",
    )
    return WorkshopSheet(
        title=f"Work sheet: {said(given.name, 80)}",
        head=tuple(each for each in head if each),
        basis=tuple(_basis(work, found, given)),
        first=tuple(_first(build)),
        drawing=drawing(build, work.bench.system, called=names),
        sections=tuple(sections(work, day)),
        labels=labels_of(build, names.signs),
        signatures=words.SIGNATURES,
        cautions=words.CAUTIONS,
        fingerprint=f"packyoke {__version__}, build {work.report.fingerprint}.",
    )


def blank(build: Build) -> bool:
    """Whether there is something for a plan to fill: leads that are not drawn, or not said what to make them of."""
    try:
        return not is_whole(build) or any(is_made(lead) for lead in build.leads.values())
    except Stuck:
        return False  # the drawing is wrong, and the check says how


def _planned(build: Build, stock: Stock | None) -> Plan:
    found = planned(build, stock, None)
    if isinstance(found, Refusal):
        raise WrongInput(with_places(refusal_text(found), build))
    if isinstance(found, NoPlan):
        raise CannotPlan(found)
    return found


def _as_drawn(build: Build, found: Lists) -> Plan:
    """What the file draws, in the form of a plan in which nothing was left to choose."""
    return Plan(
        build=build,
        filled=(),
        new=(),
        objective=Objective((), (), ()),
        proved=True,
        doubt="",
        runner_up=None,
        left=(),
        **found.lists(),
    )


def _basis(work: Work, found: Plan | None, given: Build) -> Iterator[str]:
    file = clean(given.file.replace("\\", "/").rpartition("/")[2], 200) or "standard input"
    if found is None:
        yield f"Everything here is from {file}: nothing was left open for a plan."
    else:
        best = objective_words(found.objective)
        proved = "proved best" if found.proved else f"the best found, not proved ({found.doubt})"
        yield f"Planned from {file}, where it leaves something open: {best}; {proved}. “{words.PLANNED}” marks it."
    cautions = sum(each.severity == Severity.CAUTION for each in work.report.findings)
    left = f"{cautions} caution{'s' if cautions > 1 else ''}, listed below" if cautions else "nothing to mend"
    yield f"The check of what is described found {left}.{_asked(work.report)}"


def _asked(report: Report) -> str:
    good = report.good_for
    if good is None or good.continuous is None or good.asked is None:
        return ""
    peak = f", {good.asked_peak}" if good.asked_peak is not None else ""
    return f" The harness carries {good.continuous} continuous; {draw_words(report.build)} {good.asked}{peak}."


def _first(build: Build) -> Iterator[str]:
    yield from words.FIRST
    highest_v = max((pack.full_charge_v or 0.0 for pack in build.packs.values()), default=0.0)
    if highest_v > words.SHOCK_V:
        yield words.SHOCK.format(volts=show(highest_v, Kind.VOLTAGE))
