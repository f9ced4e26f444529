"""A plan for the bench and for the quote: what was chosen, what to buy, cut, join and set; or why there is no plan."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import groupby
from typing import Any, NamedTuple

from packyoke.answers.bill import bill_json, bill_notes, bill_table, sums
from packyoke.answers.check.asking import listed, to_find_out
from packyoke.answers.check.harness import harness_figure
from packyoke.answers.check.page import CAUTIONS
from packyoke.answers.drawn import pictures
from packyoke.answers.inherited import inherited, places_taken, taken_over
from packyoke.core.findings import Amount, Finding, Severity, shown
from packyoke.core.paths import name_of
from packyoke.core.units import Kind, show, show_gauge
from packyoke.making.lists import CutPiece, Joint, Setting
from packyoke.making.money import to_coins
from packyoke.model import Build
from packyoke.page import strict
from packyoke.page.page import Lines, Page, Table, Verdict, filled
from packyoke.page.wiring import Wiring
from packyoke.planning.result import NoPlan, Objective, Plan, Refusal
from packyoke.verdict.report import Report, TreeLine

SCHEMA = "packyoke/plan/1"
Cells = tuple[str, ...]
BENCH_CAUTIONS = (
    "All packs off the bike and apart before anything is cut or joined; one conductor at a time. " + CAUTIONS
)
SHARED = "The loss is that at continuous current with all packs in, shared by capacity; one alone loses more."
WEIGHED = (
    "Weighed (judgement): 1 W lost as 5 g of copper, a joint 40 g, a holder 100 g; without a price a fuse 100 g, a "
    "joiner 900 g, half a connector 30 g; each volt beyond the limit 10 kg; a wire too thin for two fuses together "
    "100 g."
)
UNTRIED = "There are changes that were not tried to their end: the ways of laying out are too many."
NO_WAY_OUT = (
    "None of the single changes that were tried gives a plan. packyoke check says what to mend of what is drawn."
)


class Chosen(NamedTuple):
    """What was chosen for one part: its name, and fields with values in the words of the file."""

    part: str
    new: bool
    values: tuple[tuple[str, str], ...]


class PlanView(NamedTuple):
    """A plan with what is printed around it: what the check says of the completed build, where that was `written`,
    until when prices are `valid`."""

    file: str
    name: str
    plan: Plan
    report: Report
    choices: tuple[Chosen, ...]
    tree: tuple[TreeLine, ...]
    drawing: Wiring
    written: str = ""
    valid: str = ""
    system: str = "metric"
    inherited: tuple[str, ...] = ()

    @property
    def left(self) -> list[Finding]:
        """What the check still finds, for it hangs on parts that the plan must leave as they are."""
        return [each for each in self.report.findings if each.severity >= Severity.CAUTION and not each.accepted]

    @property
    def open_count(self) -> int:
        """How many findings of the completed build still wait for something that nobody knows."""
        return self.report.count(Severity.OPEN)


def plan_page(view: PlanView) -> Page:
    """The answer, then the lists in the order of the work."""
    plan = view.plan
    joints = tuple((lead, conductor, f"{onto}, {how}") for lead, conductor, onto, how in joint_rows(plan.joints))
    settings = tuple((setting.part, setting.what, setting_words(setting)) for setting in plan.settings)
    blocks = filled(
        Lines("Chosen", tuple(choice_lines(view))),
        harness_figure(view.tree, pictures(view.drawing)),
        _bill(view),
        Table("To cut", CUT_HEADS, cut_rows(view), "llrll", about="two conductors of this length each"),
        Table("To join", (*JOINT_HEADS[:2], ", ".join(JOINT_HEADS[2:])), joints, "lll"),
        Table("Controller settings", ("controller", "setting", "value"), settings, "lll"),
        Lines("Labels", tuple(_labels(plan.labels))),
        Lines("Still found by the check", tuple(left_lines(view.left))),
        *to_find_out(view.report),
        Lines("Notes", tuple(plan.notes)),
        taken_over(view.inherited),
    )
    return Page(
        title=f"{view.name}: plan",
        verdict=Verdict("open" if view.open_count else "good", "OPEN" if view.open_count else "PLAN", view.name),
        lead=tuple(answer(view)),
        blocks=blocks,
        closing=(BENCH_CAUTIONS,),
        source=view.file,
    )


def _labels(labels: Sequence[str]) -> Iterator[str]:
    """The labels of one part in one line."""
    for part, group in groupby(labels, lambda label: label.partition(": ")[0]):
        yield f"{part}:  {'  |  '.join(label.partition(': ')[2] for label in group)}"


def no_plan_page(build: Build, found: NoPlan) -> Page:
    """Why there is no plan, and the nearest ways out."""
    figure = f": {found.found}, limit {found.limit}" if found.found and found.limit else ""
    rule = f" ({found.rule})" if found.rule else ""
    where = "" if found.part == "build" else f"{name_of(found.part)}: "
    ways = tuple(way.text for way in found.ways_out)
    more = (*(() if ways else (NO_WAY_OUT,)), *((UNTRIED,) if found.untried else ()))
    return Page(
        title=f"{build.name}: no plan",
        verdict=Verdict("stop", "NO PLAN", build.name),
        lead=(f"What stands in the way: {where}{found.constraint}{figure}{rule}.", *more),
        blocks=filled(Lines("Ways out", ways, "each was tried"), places_taken(inherited(build, places=True))),
        closing=(CAUTIONS,),
        source=build.file,
    )


def refusal_text(refusal: Refusal) -> str:
    """What has to be told before anything can be planned."""
    said = f"{refusal.text}. {refusal.do}".strip()
    return said if said.endswith(".") else f"{said}."


def answer(view: PlanView) -> Iterator[str]:
    """Whether it passes, how sure it is that nothing is better, where it is written."""
    plan = view.plan
    settled = len(view.left) - view.open_count
    if view.open_count:
        count = len(view.report.to_find_out)
        what = f"{count} thing{'s' if count != 1 else ''}"
        yield f"It does not pass yet: {what} to find out, listed below. Do not build it before that."
    if settled:
        found = "1 caution is" if settled == 1 else f"{settled} cautions are"
        yield f"{found} left that no choice here settles, listed below."
    if not view.left:
        yield "The completed build passes the check."
    if not plan.filled and not plan.new:
        yield "The file leaves nothing to plan: it stays as it is."
    else:
        figures = objective_words(plan.objective)
        yield f"Proved best: {figures}." if plan.proved else f"The best found, not proved: {figures}. ({plan.doubt}.)"
        yield SHARED
        yield WEIGHED
        if plan.runner_up is not None:
            other = plan.objective._replace(values=plan.runner_up.values)
            yield f"The next best: {objective_words(other)} ({plan.runner_up.about})."
        if not view.written:
            yield "Nothing was written; --write NEW.yaml writes the completed build."


def setting_words(setting: Setting) -> str:
    """The value to program: `18 A`, `none`."""
    return "none" if setting.what.startswith("braking") and setting.value.value == 0 else str(setting.value)


def left_lines(left: Sequence[Finding]) -> Iterator[str]:
    """What the check still finds in the completed build, in its words; the same at several parts in one line."""
    same: dict[tuple[str, str, str], list[str]] = {}
    for each in left:
        same.setdefault((each.severity.word.upper(), each.message, each.rule), []).append(name_of(each.part))
    for (word, message, rule), names in same.items():
        yield f"{word}  {listed(names)}: {message} ({rule})"


def objective_words(objective: Objective) -> str:
    """The figures by which it was chosen: `no findings, 0.092 kg of copper, 9.45 W lost, 30 joints to solder`."""
    words = {
        "findings": lambda value: f"{value:.0f} findings" if value else "no findings",
        "weighed": lambda value: f"weighed {_weight(objective, value)}",
        "cost": lambda value: f"{_money(objective, 'cost', value)} of parts chosen",
        "copper": lambda value: f"{shown(value)} kg of copper",
        "loss": lambda value: f"{shown(value)} W lost",
        "joints": lambda value: f"{value:.0f} joints to solder",
    }
    return ", ".join(words[name](value) for name, value in zip(objective.names, objective.values, strict=True))


def _weight(objective: Objective, value: float) -> str:
    unit = objective.units[objective.names.index("weighed")]
    return f"as {shown(value)} {unit}" if "copper" in unit else _money(objective, "weighed", value)


def _money(objective: Objective, name: str, value: float) -> str:
    return f"{_coins(objective, name, value)} {objective.units[objective.names.index(name)]}"


def _coins(objective: Objective, name: str, value: float) -> str:
    return str(to_coins(Decimal(str(value)), objective.units[objective.names.index(name)]))


def choice_lines(view: PlanView) -> Iterator[str]:
    """What was chosen, a line for each part."""
    for choice in view.choices:
        values = ", ".join(f"{field} {value}" for field, value in choice.values)
        yield f"{choice.part}{' (new)' if choice.new else ''}: {values}".rstrip(": ")


CUT_HEADS = ("lead", "wire", "length", "marks", "way")
JOINT_HEADS = ("lead", "conductor", "onto", "how")


def _bill(view: PlanView) -> Table:
    heads, rows = bill_table(view.plan)
    rows += sums(view.plan)
    notes = tuple(bill_notes(view.plan, view.valid))
    align = "rlrrrl" if len(heads) > 3 else "rll"
    return Table("To buy or take from the shelf", heads, rows, align, notes=notes)


def cut_rows(view: PlanView) -> tuple[Cells, ...]:
    """Lead, wire, length, marks at the ends, the way it takes."""
    return tuple(
        (
            piece.lead,
            _wire(piece),
            show(piece.length_m, Kind.LENGTH, view.system) if piece.length_m is not None else "measure it",
            f"{piece.source} / {piece.target}",
            ", ".join(piece.way),
        )
        for piece in view.plan.pieces
        if piece.planned
    )


def _wire(piece: CutPiece) -> str:
    gauge = show_gauge(piece.gauge.family, piece.gauge.size) if piece.gauge is not None else "?"
    return f"{gauge} {piece.insulation or ''}".rstrip()


def joint_rows(joints: Sequence[Joint]) -> tuple[tuple[str, str, str, str], ...]:
    """Lead, conductor, what it goes onto and how; both conductors of an end in one line where they are joined alike."""
    rows: list[tuple[str, str, str, str]] = []
    for (lead, end, at), group in groupby(joints, lambda joint: (joint.lead, joint.end, joint.at)):
        ones = list(group)
        if end == "fuse":
            rows.append((lead, "plus", f"fuse {ones[0].connector} at {at}", ones[0].method))
        elif len({(one.contact, one.method) for one in ones}) == 1:
            rows.append((lead, "plus, minus", f"{ones[0].connector} at {at}", ones[0].method))
        else:
            rows += [(lead, one.conductor, f"{one.connector} {one.contact} at {at}", one.method) for one in ones]
    return tuple(rows)


def plan_json(view: PlanView) -> str:
    """Everything, schema `packyoke/plan/1`; numbers in SI units, money as in the shop file."""
    plan = view.plan
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "file": view.file,
        "name": view.name,
        "written": view.written or None,
        "prices_valid_until": view.valid or None,
        "passes": not view.open_count,
        **best_data(plan),
        "choices": [choice_data(each) for each in view.choices],
        "cut": [cut_data(each) for each in plan.pieces],
        "joints": [each._asdict() for each in plan.joints],
        **bill_json(plan),
        "settings": [setting_data(each) for each in plan.settings],
        "labels": list(plan.labels),
        "left": [
            {"rule": each.rule, "severity": each.severity.word, "part": each.part, "message": each.message}
            for each in view.left
        ],
        "notes": list(plan.notes),
        "inherited": list(view.inherited),
    }
    return strict.written(data)


def best_data(plan: Plan) -> dict[str, Any]:
    """By what a plan was chosen, and whether nothing better exists."""
    other = plan.runner_up
    return {
        "proved": plan.proved,
        "doubt": plan.doubt,
        "objective": _objective(plan.objective),
        "runner_up": {**_objective(plan.objective._replace(values=other.values)), "about": other.about}
        if other
        else None,
    }


def choice_data(choice: Chosen) -> dict[str, Any]:
    """What was chosen for one part."""
    return {"part": choice.part, "new": choice.new, "values": dict(choice.values)}


def cut_data(piece: CutPiece) -> dict[str, Any]:
    """One lead to cut."""
    return {**piece._asdict(), "gauge": str(piece.gauge) if piece.gauge else None}


def setting_data(setting: Setting) -> dict[str, Any]:
    """One figure to program."""
    return {"part": setting.part, "what": setting.what, **_amount(setting.value)}


def no_plan_json(build: Build, found: NoPlan) -> str:
    """Why there is none, schema `packyoke/plan/1`."""
    return strict.written({"schema": SCHEMA, "file": build.file, "name": build.name, **no_plan_data(build, found)})


def no_plan_data(build: Build, found: NoPlan) -> dict[str, Any]:
    """What stands in the way of a plan."""
    return {
        "constraint": found.constraint,
        "part": found.part,
        "rule": found.rule or None,
        "found": _amount(found.found) if found.found else None,
        "limit": _amount(found.limit) if found.limit else None,
        "ways_out": [each.text for each in found.ways_out],
        "untried": found.untried,
        "inherited": list(inherited(build, places=True)),
    }


def _objective(objective: Objective) -> dict[str, Any]:
    values = [
        _coins(objective, name, value) if name == "cost" else value
        for name, value in zip(objective.names, objective.values, strict=True)
    ]
    return {"names": list(objective.names), "units": list(objective.units), "values": values}


def _amount(amount: Amount) -> dict[str, Any]:
    return {"value": amount.value, "unit": amount.unit, "note": amount.note}
