"""From what somebody types after `packyoke plan` to a plan ready to print."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from packyoke.analysis.case import Case
from packyoke.answers.bill import valid_until
from packyoke.answers.drawn import drawing
from packyoke.answers.inherited import inherited, looked_into, unpriced
from packyoke.answers.plan.page import Chosen, PlanView
from packyoke.answers.typed import WrongInput
from packyoke.core.paths import is_joiner, name_of, owner_of
from packyoke.making.cutting import fuse_words
from packyoke.model import Build, Fuse
from packyoke.model.fields import field_for, field_name
from packyoke.model.shop import ShelfItem, Stock
from packyoke.planning.catalogue import catalogue
from packyoke.planning.plan import plan
from packyoke.planning.result import Filled, NoPlan, Plan, Refusal
from packyoke.planning.score import PREFERENCES
from packyoke.rules import RULES
from packyoke.verdict.check import report_of
from packyoke.verdict.judge import judgement
from packyoke.verdict.layout import tree_lines
from packyoke.verdict.wording import value_words


def planned(build: Build, shop: Stock | None, prefer: str | None) -> Plan | NoPlan | Refusal:
    """The plan of a build. Raises WrongInput for a preference that there is none of."""
    words = [word.strip() for word in prefer.split(",")] if prefer else []
    for word in words:
        if word not in PREFERENCES:
            raise WrongInput(f'--prefer "{word}": {", ".join(PREFERENCES)} can be preferred')
    if "cost" in words and not catalogue(build, shop).priced:
        raise WrongInput(
            f"--prefer cost: not every wire, fuse and joiner of the shop's shelf has a price"
            f"{unpriced(_weighed(shop))}. {looked_into(shop)}"
        )
    return plan(build, shop, words)


def _weighed(shop: Stock | None) -> list[ShelfItem]:
    """What a plan chooses of a shelf."""
    return [each for each in (shop.items if shop else ()) if each.section in ("wires", "fuses", "joiners")]


def view(build: Build, found: Plan, today: str, written: str = "", system: str = "metric") -> PlanView:
    """A plan with its choices in the words of the file."""
    return PlanView(
        file=build.file,
        name=build.name,
        plan=found,
        report=report_of(found.judged or judgement(found.build, RULES), today=today, brief=True),
        choices=tuple(choices(found)),
        tree=tree_lines(Case(found.build)),
        drawing=drawing(found.build, system),
        system=system,
        written=written,
        valid=valid_until(found, date.fromisoformat(today)),
        inherited=inherited(build),
    )


def choices(found: Plan) -> Iterable[Chosen]:
    """What was filled in parts of the file, and the new joiners; new leads stand in the cut list."""
    by_part: dict[str, list[tuple[str, str]]] = {}
    for each in found.filled:
        by_part.setdefault(owner_of(each.path), []).append(_value(each))
    for new in found.new:
        if is_joiner(new.path):
            joiner = found.build.joiners[name_of(new.path)]
            like = [("like", new.like)] if new.like else [("part", new.item)]
            at = [("place", joiner.place_name or ""), ("mount", joiner.mount or "")]
            yield Chosen(joiner.name, True, tuple(each for each in (*like, *at) if each[1]))
    for path, values in by_part.items():
        yield Chosen(name_of(path), False, tuple(values))


def _value(each: Filled) -> tuple[str, str]:
    """A field and its value in words; a fuse is one thing to who fits it, whatever fields it has in the file."""
    if isinstance(each.value, Fuse):
        return "fuse", fuse_words(each.value)
    return field_name((each.path, each.attr)), value_words(each.value, field_for(each.path, each.attr).kind)
