"""What a rule is: a name for the fault, a page about it, the parts that it looks at and how it decides."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache
from typing import Any

from packyoke.analysis.case import Case, once
from packyoke.analysis.harness.drawing import harness
from packyoke.core.findings import Fixed, Severity
from packyoke.model import Accessory, Build, Charger, Controller, Joiner, Lead, Pack, Part
from packyoke.rules.outcome import Outcome

KINDS = ("danger", "damage", "will-not-work", "wear", "paper", "unknown")


class Rule(Fixed):
    """One rule.

    `page` is the docstring of its module, `doubt` completes "not decided whether ...", `gravest` is the worst that it
    can find: a rule that can only caution leaves no question open. `takes_two`: what it finds is between packs; one
    that is plugged in alone has none of it. `besides` are further checks of the same parts for other faults: each is
    judged by itself, so that none hides another.
    """

    name: str
    kind: str
    doubt: str
    page: str
    basis: tuple[str, ...]
    parts: Callable[[Case], Iterable[Part]]
    check: Callable[[Case, Any], Outcome]
    gravest: Severity = Severity.STOP
    takes_two: bool = False
    besides: tuple[Callable[[Case, Any], Outcome], ...] = ()


@cache
def each_check(rule: Rule) -> tuple[Rule, ...]:
    """A rule for each of the checks of a rule, all of its name."""
    return (rule, *(rule.but(check=check, besides=()) for check in rule.besides))


def whole(case: Case) -> tuple[Build]:
    """The build itself, for rules that are about all of it."""
    return (case.build,)


def packs(case: Case) -> Iterable[Pack]:
    return case.build.packs.values()


def joiners(case: Case) -> Iterable[Joiner]:
    return case.build.joiners.values()


def leads(case: Case) -> Iterable[Lead]:
    return case.build.leads.values()


def controllers(case: Case) -> Iterable[Controller]:
    return case.build.controllers.values()


def accessories(case: Case) -> Iterable[Accessory]:
    return case.build.accessories.values()


def chargers(case: Case) -> Iterable[Charger]:
    return case.build.chargers.values()


@once
def packs_on_ways(case: Case) -> list[Pack]:
    """The packs that reach a controller."""
    behind = harness(case).packs_behind
    return [pack for pack in case.build.packs.values() if pack.path in behind]


@once
def joiners_on_ways(case: Case) -> list[Joiner]:
    """The joiners on the way of a pack that reaches a controller."""
    behind = harness(case).packs_behind
    return [joiner for joiner in case.build.joiners.values() if joiner.path in behind]


@once
def leads_with_those_beside(case: Case) -> list[Lead]:
    """The leads on the way of a pack that reaches a controller, and those beside one between the same two parts."""
    drawing = harness(case)
    return [
        lead for lead in case.build.leads.values() if drawing.beside.get(lead.name, lead.path) in drawing.packs_behind
    ]


def called(controller: Controller) -> str:
    """A controller as a sentence names it: by its own name only where it has one."""
    return "the controller" if controller.name == "controller" else controller.name
