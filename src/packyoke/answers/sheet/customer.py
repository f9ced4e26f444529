"""From a build to the sheet that its customer takes home: which words and numbers stand on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from math import floor
from typing import NamedTuple

from packyoke import __version__
from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import controller_load
from packyoke.analysis.discharge.rundown import NoRundown, rundown
from packyoke.analysis.harness.sets import on_wires_of_others, units
from packyoke.analysis.unknowns.filled import filled_case
from packyoke.answers.inherited import inherited
from packyoke.answers.sheet import customer_words as words
from packyoke.answers.sheet.called import Called, called, said
from packyoke.answers.sheet.charging import ChargeTime, charge_lines, charge_times, how_to_charge
from packyoke.answers.sheet.customer_page import CustomerSheet
from packyoke.answers.sheet.how_far import Far, how_far
from packyoke.core.constants import ZERO_C_K
from packyoke.core.findings import Finding, Severity, clean
from packyoke.core.paths import PartPath, name_of
from packyoke.core.units import Kind, show
from packyoke.core.words import listed
from packyoke.model import Build, Controller, Unknown
from packyoke.page.drawing import Drawing, DrawnNode, Edge
from packyoke.verdict.check import check
from packyoke.verdict.report import Assumed, Report

MOST_UNMEASURED, MOST_NAMED = 5, 3
"""What fits on one page; what is left out is counted."""
MOST_JOINER_LETTERS = 20
"""Longer names of joiners are left out of the drawing: nobody speaks of them."""
MOST_LABEL, WHOLE = 60, 1000
"""Letters of a lead with its ends; of a sentence, which is never cut."""
TOGETHER_S = 60.0
"""Packs that begin within a minute of each other begin together."""


class FirstPacks(NamedTuple):
    """Of packs that were charged full: those that work first, and those that join in later."""

    first: tuple[str, ...]
    later: tuple[str, ...]


class RackLoad(NamedTuple):
    """What a rack bears, and what its packs leave of it [kg]; None where one of them is not weighed."""

    rack: str
    limit_kg: float
    left_kg: float | None
    has_packs: bool


class CustomerWork(NamedTuple):
    """What a customer's sheet is made of, whatever it is written as."""

    case: Case
    names: Called
    report: Report
    day: date
    far: Far
    charging: tuple[ChargeTime, ...]


class NoSheet(Exception):
    """The build is at stop or open: there is nothing to hand over, but a report that says why."""

    def __init__(self, report: Report) -> None:
        super().__init__(f"{report.name}: {report.verdict}")
        self.report = report


def worked(build: Build, today: str, system: str = "metric") -> CustomerWork:
    """What the sheet of a build says on a day (ISO 8601). Raises NoSheet at stop or open."""
    report = check(build, today=today)
    if report.verdict not in ("none-found", "caution"):
        raise NoSheet(report)
    case, names = Case(build), called(build)
    far = how_far(case, names, system)
    return CustomerWork(case, names, report, date.fromisoformat(today), far, charge_times(case))


def customer_sheet(
    build: Build, *, today: str, system: str = "metric", shop: str = "", contact: str = ""
) -> CustomerSheet:
    """The sheet of a build on a day (ISO 8601), `system` metric or us. Raises NoSheet at stop or open."""
    return in_words(worked(build, today, system), system, shop, contact)


def in_words(work: CustomerWork, system: str = "metric", shop: str = "", contact: str = "") -> CustomerSheet:
    """The sheet as it is read."""
    case, names, report, day, far, charging = work
    build = case.build
    head = (said(build.ticket, 80), _day(day))
    return CustomerSheet(
        title=said(build.name, 80),
        shop=said(shop, 80),
        contact=said(contact, 120),
        head=tuple(each for each in head if each),
        intro=intro(build, names),
        drawing=drawing(build, names),
        unit="miles" if system == "us" else "km",
        scale=far.scale,
        rides=far.rides,
        ranges=far.lines,
        range_notes=far.notes,
        plugging=tuple(_plugging(case, names, report)),
        chargers=tuple(charge_lines(build, names, charging)),
        charging=tuple(how_to_charge(case)),
        stop=words.STOP,
        never=words.NEVER if build.joiners else words.NEVER_NO_JOINERS,
        rests=(*_rests_on(case, build, system), *unmeasured(build, names, report.assumed), *inherited_words(build)),
        due=_recheck(build, day),
        told=tuple(agreed(report)),
        nothing_told=words.NOTHING_TOLD,
        signatures=words.SIGNATURES,
        cautions=words.CAUTIONS,
        fingerprint=f"packyoke {__version__}, build {report.fingerprint}.",
    )


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def intro(build: Build, names: Called) -> str:
    count = len(build.packs)
    if count == 1:
        return f"One pack: {said(next(iter(build.packs)))}."
    told = f"{words.NUMBERS.get(count, str(count))} packs: {listed(map(names.full, build.packs))}."
    if build.sets is not None:
        return f"{told} Plug them in as in the table below."
    if len(units(build)) == 1:
        return (
            f"{told} They are joined for good: always both, as one."
            if count == 2
            else (f"{told} They are joined for good: always all, as one.")
        )
    if any(joiner.bonded for joiner in build.joiners.values()):
        return f"{told} Packs that are joined for good stay together."
    if count == 2:
        return f"{told} Either alone or both together may be plugged in."
    return f"{told} Any of them, in any mix, may be plugged in."


def drawing(build: Build, names: Called) -> Drawing:
    """The harness for the customer: who feeds whom, by name."""
    shown = {name: names.short(name) for name in build.packs}
    for at, name in enumerate(build.joiners, 1):
        shown[name] = said(name) if len(name) <= MOST_JOINER_LETTERS else f"joiner {at}"
    shown |= {name: _controller(each) for name, each in build.controllers.items()}
    nodes = [DrawnNode(name, "pack", shown[name]) for name in build.packs]
    for name, joiner in build.joiners.items():
        nodes.append(DrawnNode(name, "joiner", shown[name], words.JOINERS.get(joiner.type or "", "")))
    nodes += [DrawnNode(name, "controller", shown[name]) for name in build.controllers]
    ways = [(lead.source, lead.target) for lead in build.leads.values()]
    if len(build.controllers) == 1:
        # The bike maker's joiner comes with its own wire to the controller.
        fed = {source for source, _ in ways}
        own = [name for name, joiner in build.joiners.items() if joiner.built_in and name not in fed]
        ways += [(name, next(iter(build.controllers))) for name in own]
    told = "; ".join(f"{shown[source]} goes to {shown[target]}" for source, target in ways)
    edges = tuple(Edge(source, target) for source, target in ways)
    return Drawing(title="How the packs are joined", words=f"{told}.", nodes=tuple(nodes), edges=edges)


def _controller(controller: Controller) -> str:
    return "motor" if controller.name == "controller" else said(controller.name)


def _together(case: Case, names: Called) -> Iterator[str]:
    joiners = case.build.joiners.values()
    for joiner in joiners:
        if joiner.bonded:
            yield f"The packs at {said(joiner.name)} are joined for good: charge them together, never part them."
    kinds = {joiner.type for joiner in joiners}
    if "selector" in kinds:
        yield words.SELECTOR
    if packs_wait(case.build):
        yield f"{_going_down(case, names)} {words.WAITING}"
    if any(joiner.type == "plain" and not joiner.bonded for joiner in joiners):
        yield words.PLAIN


def packs_wait(build: Build) -> bool:
    """Whether a joiner lets a pack wait until the others are level with it."""
    return len(build.packs) > 1 and any(each.type in ("ideal-diode", "diode") for each in build.joiners.values())


def first_packs(case: Case) -> FirstPacks | None:
    """Which packs work first; None where that is not known."""
    found = rundown(case, tuple(case.build.packs), series=False)
    if isinstance(found, NoRundown):
        return None
    begins: dict[str, float] = {}
    for phase in found.phases:
        for name in phase.supplying:
            begins.setdefault(name, phase.from_s)
    first = tuple(name for name, begin in begins.items() if begin < TOGETHER_S)
    return FirstPacks(first, tuple(name for name in case.build.packs if name not in first))


def _going_down(case: Case, names: Called) -> str:
    found = first_packs(case)
    if found is None:
        return words.GOING_DOWN
    first, later = found
    if not later and len({pack.chemistry for pack in case.build.packs.values()}) > 1:
        return words.UNEVEN
    if not later:
        return "Charged full, all work at once and go down together."
    works = "works" if len(first) == 1 else "work"
    joins = "joins" if len(later) == 1 else "join"
    return (
        f"Charged full, {listed(map(names.short, first))} {works} first; {listed(map(names.short, later))} {joins} in "
        f"later, level with {'it' if len(first) == 1 else 'them'}."
    )


def _plugging(case: Case, names: Called, report: Report) -> Iterator[str]:
    build = case.build
    several = len(units(build)) > 1
    joined = len(build.packs) > 1 and not several
    any_order = all(joiner.blocking for joiner in build.joiners.values()) and not any(
        pack.wakes in words.IN_ORDER for pack in build.packs.values()
    )
    yield words.STAY if joined else words.SWITCH_OFF.format(order=words.ANY_ORDER if any_order else words.SHOWN_ORDER)
    for wakes in words.WAKES:
        asleep = [names.short(pack.name) for pack in build.packs.values() if pack.wakes == wakes]
        if asleep:
            yield words.WAKES[wakes].format(packs=listed(asleep))
    plugged = not joined or any(each.switched_by == "plug" for each in build.controllers.values())
    if plugged and any(finding.rule == "plug-in-spark" for finding in report.findings):
        yield words.SPARK
    yield from _together(case, names) if len(build.packs) > 1 else ()
    if joined:
        yield words.GONE_JOINED
        return
    yield words.LIVE if any(on_wires_of_others(case, unit) for unit in units(build)) else words.LIVE_ONE
    if not several:
        yield words.GONE
    else:
        switched = any(joiner.type == "selector" for joiner in build.joiners.values())
        yield words.DROPS_SWITCHED if switched else words.DROPS_OUT


def set_currents(case: Case) -> dict[str, float]:
    """The current that each controller is set to, where that is known [A]."""
    found = {}
    for name in case.build.controllers:
        try:
            found[name] = controller_load(filled_case(case)[0], name, tuple(case.build.packs)).most_a
        except Unknown:
            continue
    return found


def rack_loads(build: Build) -> Iterator[RackLoad]:
    """Each rack that has its limit on it."""
    for rack in build.racks.values():
        if rack.limit_kg is None:
            continue
        masses = [pack.mass_kg for pack in build.packs.values() if pack.rack == rack.name]
        left_kg = rack.limit_kg - sum(mass for mass in masses if mass is not None)
        yield RackLoad(rack.name, rack.limit_kg, None if None in masses else left_kg, bool(masses))


def _rests_on(case: Case, build: Build, system: str) -> Iterator[str]:
    for name, most_a in set_currents(case).items():
        what = "The motor controller" if len(build.controllers) == 1 else said(name)
        yield f"{what} set to {show(most_a, Kind.CURRENT)}. A higher setting undoes the check."
    for rack in rack_loads(build):
        stamped = f"Rack {said(rack.rack)}, {show(rack.limit_kg, Kind.MASS, system)} stamped on it"
        if rack.left_kg is None:
            yield f"{stamped}: its packs are not weighed, ask before you load it."
        elif rack.has_packs:
            yield f"{stamped}: {_mass(rack.left_kg, system)} is left for your load, less its packs."
        else:
            yield f"{stamped}: for your load."
    coldest, warmest = (f"{kelvin - ZERO_C_K:.0f}".replace("-", "−") for kelvin in (build.coldest_k, build.warmest_k))
    yield f"Air of {coldest} to {warmest} °C."


def _mass(kilograms: float, system: str) -> str:
    """Whole kilograms or pounds, rounded down."""
    return f"{floor(kilograms / 0.45359237 + 1e-9)} lb" if system == "us" else f"{floor(kilograms + 1e-9)} kg"


def unmeasured(build: Build, names: Called, assumed: Sequence[Assumed]) -> Iterator[str]:
    """What nobody measured or looked at: the finished bike, then each part with its assumed fields."""
    if build.measured:
        last = max(each.date for each in build.measured)
        count = len(build.measured)
        yield f"{count} reading{'s' if count > 1 else ''} taken at the finished bike, the last on {last}."
    else:
        yield "Nothing measured yet at the finished bike."
    parts: dict[str, list[str]] = {}
    for each in assumed:
        if each.part == "build" or (not each.field and each.basis != words.COPIED):
            continue
        name = name_of(each.part)
        part = names.short(name) if name in build.packs else said(name if name != each.part else "motor controller")
        plain = each.field.replace("_", " ").replace(".", " ") or "condition"
        parts.setdefault(words.FIELDS.get(each.field, plain), []).append(part)
    told = [f"{what} ({_few([*dict.fromkeys(of)])})" for what, of in parts.items()]
    if told:
        more = f"; and {len(told) - MOST_UNMEASURED} more" if len(told) > MOST_UNMEASURED else ""
        yield f"Not measured: {'; '.join(told[:MOST_UNMEASURED])}{more}."


def inherited_words(build: Build) -> Iterator[str]:
    """What the workshop has for all its bikes and the file of this one does not say."""
    if taken := inherited(build):
        yield f"For all bikes of the workshop: {'; '.join(taken)}."


def _few(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    return f"{', '.join(names[:MOST_NAMED])} and {more} more" if more > 1 else ", ".join(names)


def agreed(report: Report) -> Iterator[str]:
    """Every caution whole, those that nobody accepted yet first; what is the same on several parts in one."""
    same: dict[tuple[str, str, str], list[Finding]] = {}
    cautions = [each for each in report.findings if each.severity == Severity.CAUTION]
    for finding in sorted(cautions, key=lambda each: bool(each.accepted)):
        same.setdefault((finding.message, finding.why, finding.accepted), []).append(finding)
    for alike in same.values():
        finding = alike[0]
        parts = ", ".join(_spoken(each.part, report) for each in alike)
        more = f"Accepted: {finding.accepted}." if finding.accepted else finding.why
        yield f"{parts}: {clean(finding.message, WHOLE)}. {clean(more, WHOLE)}"


def _spoken(part: PartPath, report: Report) -> str:
    """A lead with its two ends, where these are short; else by its name: nothing is cut."""
    label = report.label(part)
    return said(label if len(label) <= MOST_LABEL else name_of(part), WHOLE)


def recheck_by(build: Build, day: date) -> str:
    """When it comes back: what the file says, a month or a day, else the same month of the next year (ISO 8601)."""
    return build.recheck or f"{day.year + 1}-{day:%m}"


def _recheck(build: Build, day: date) -> str:
    by = recheck_by(build, day)
    whole = len(by) > len("2028-05")
    due = _day(date.fromisoformat(by)) if whole else f"{date.fromisoformat(f'{by}-01'):%B %Y}"
    return f"Back to us by {due}, and after any change, fall or soaking."
