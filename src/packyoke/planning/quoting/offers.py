"""One choice of packs made into an offer: planned, checked, ridden and billed; or why it is none."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from math import inf
from typing import NamedTuple, overload

from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.analysis.ride.known import Rider
from packyoke.analysis.ride.named import packs_kg
from packyoke.analysis.ride.needs import Band
from packyoke.analysis.ride.reach import RangeEstimate, range_of
from packyoke.core.findings import Finding, Severity
from packyoke.core.paths import name_of, path_to
from packyoke.making.bill import bill
from packyoke.making.lists import BillLine, Terms, Totals
from packyoke.model import Build, Unknown
from packyoke.model.shop import ShelfItem, Stock
from packyoke.planning.assumed import need_facts
from packyoke.planning.effort import Effort
from packyoke.planning.plan import make_plan
from packyoke.planning.quoting.candidates import Choice, CustomersBike, NewPack, uncharged, with_charger, with_choice
from packyoke.planning.result import NoPlan, Refusal, Stuck
from packyoke.planning.said import Said
from packyoke.rules import RULES
from packyoke.verdict.check import report_of
from packyoke.verdict.judge import judge_at, judgement

FOR_ALL, FOR_ONE, FOR_EACH = 1_000_000, 60_000, 5_000
"""Steps of the search for all plans of a quote together, for one at the most, and for each at the least: one among
blocking joiners takes some 500."""
MOST_BEYOND = 500_000
"""Where they have taken so much more the choices that are left are not planned."""
TOO_LONG = "not planned: packs that feed each other take long to plan, the more is not known of them"


class Offer(NamedTuple):
    """A choice that may be built. `bare` is it before its leads are planned. `distance_m` and `mass_kg` of all packs.

    `opens` are questions that are still open, `cautions` what is to be said. `needed_j_per_m` is what packs have to
    hold for each metre to be counted on.
    """

    choice: Choice
    new: tuple[NewPack, ...]
    bare: Build
    build: Build
    bill: tuple[BillLine, ...]
    totals: Totals
    terms: Terms
    distance_m: Band
    energy_j: float
    mass_kg: float
    opens: tuple[Finding, ...]
    cautions: tuple[Finding, ...]
    estimate: RangeEstimate
    enough_m: float = inf

    @property
    def price(self) -> Decimal:
        return self.totals.amount

    @property
    def reach_m(self) -> float:
        """What is to be counted on."""
        return self.distance_m.low

    @property
    def needed_j_per_m(self) -> float:
        return self.estimate.given_j / self.distance_m.low if self.distance_m.low > 0.0 else 0.0

    def beats(self, other: Offer) -> bool:
        """Whether nobody would take the other one: in nothing worse, in something better."""
        (price, reach, mass), (price_2, reach_2, mass_2) = self.figures, other.figures
        return self.figures != other.figures and price <= price_2 and reach <= reach_2 and mass <= mass_2

    @property
    def figures(self) -> tuple[Decimal, float, float]:
        """Price, reach turned round, and mass: less is better. Far more than was wished for is worth no more."""
        return self.price, -min(self.reach_m, self.enough_m), self.mass_kg


class Refused(NamedTuple):
    """A choice that is none, and the first reason. `stops`: the parts at which the check stops it; `untried`: nobody
    knows whether it is one; `waits`: nor does anybody before something is found out that is not in the file."""

    choice: Choice
    reason: str
    stops: tuple[str, ...] = ()
    untried: bool = False
    waits: bool = False

    @property
    def stopped(self) -> bool:
        return bool(self.stops)


@dataclass(frozen=True)
class Counter:
    """What every choice is made with: bike, shelf, ride, and who rides."""

    bike: CustomersBike
    items: Mapping[str, ShelfItem]
    chargers: tuple[ShelfItem, ...]
    stock: Stock
    ride: str
    rider: Rider | None
    enough_m: float = inf
    today: str = ""
    _said: Said = field(default_factory=Said)
    _effort: Effort = field(default_factory=lambda: Effort(FOR_ALL))

    @overload
    def offer(self, choice: Choice) -> Offer | Refused: ...

    @overload
    def offer(self, choice: Choice, worth_it: Callable[[Decimal], bool] | None) -> Offer | Refused | None: ...

    def offer(self, choice: Choice, worth_it: Callable[[Decimal], bool] | None = None) -> Offer | Refused | None:
        """A choice, planned, checked, ridden and billed; None where it turns out not to be worth its price."""
        if choice.added and self._effort.left < -MOST_BEYOND:
            return Refused(choice, TOO_LONG, untried=True)
        try:
            build, new = with_choice(self.bike, choice, self.items)
            if choice.added:
                need_facts(build)  # before chargers are looked for, which takes long
            bare = build = self._with_chargers(build, new)
            judged = None
            made: tuple[tuple[BillLine, ...], Totals, Terms]
            if choice.added:
                mine = self._effort.part(FOR_EACH, FOR_ONE)
                plan = make_plan(build, self.stock, brief=True, said=self._said, effort=mine)
                build, judged = plan.build, plan.judged
                made = plan.bill, plan.totals, plan.terms
            else:
                made = bill(build, self.stock)
        except Stuck as stuck:
            return Refused(choice, _stuck_words(stuck), waits=_has_to_be_told(stuck))
        if worth_it is not None and not worth_it(made[1].amount):
            return None
        judged = judged or judgement(build, RULES)
        report = report_of(judged, brief=True, mends=False, today=self.today)
        stops = [each for each in report.findings if each.severity == Severity.STOP]
        if stops:
            worst = stops[0]
            where = "" if worst.part == "build" else f"{report.label(worst.part)}: "
            return Refused(choice, f"{where}{worst.message}", tuple(each.part for each in stops))
        try:
            found = range_of(judged.trials.plain, tuple(build.packs), self.ride, rider=self.rider, brief=True)
            mass_kg = packs_kg(build, tuple(build.packs)).likely
        except Unknown as unknown:
            return Refused(choice, f"{unknown.part.name}: {unknown.attr} is not known", waits=True)
        if isinstance(found, NoRundown):
            said = f"{found.field} is not known" if found.field else found.reason
            return Refused(choice, f"{found.name}: {said}", waits=bool(found.field))
        if not found.delivers:
            return Refused(choice, "the packs cannot deliver this ride")
        return Offer(
            choice,
            new,
            bare,
            build,
            *made,
            found.distance_m,
            found.given_j,
            mass_kg,
            tuple(each for each in report.findings if each.severity == Severity.OPEN),
            tuple(each for each in report.findings if each.severity == Severity.CAUTION),
            found,
            self.enough_m,
        )

    def _with_chargers(self, build: Build, new: tuple[NewPack, ...]) -> Build:
        """With the cheapest charger of the shelf for every new pack that no charger of the bike is for."""
        waiting = uncharged(build, [each.name for each in new])
        for item in sorted(self.chargers, key=lambda each: each.price or 0):
            if not waiting:
                break
            for names in dict.fromkeys((waiting, *((name,) for name in waiting))):
                tried = with_charger(build, names, item)
                left = uncharged(tried, waiting)
                if not {*left} & {*names} and not _charger_findings(tried, build):
                    build, waiting = tried, left
                    break
        return build


def _charger_findings(tried: Build, before: Build) -> bool:
    """Whether a charger brings a finding at caution or above about itself."""
    (name,) = tried.chargers.keys() - before.chargers.keys()
    return any(each.severity >= Severity.CAUTION for each in judge_at(tried, RULES, path_to("chargers", name)))


def _has_to_be_told(stuck: Stuck) -> bool:
    return isinstance(stuck.answer, Refusal) and stuck.answer.kind in ("fact", "distance")


def _stuck_words(stuck: Stuck) -> str:
    answer = stuck.answer
    if isinstance(answer, NoPlan):
        name = name_of(answer.part)
        return f"{name}: {answer.constraint}" if name != answer.part else answer.constraint
    return answer.text if answer.kind == "fact" else f"{answer.text}{f'. {answer.do}' if answer.do else ''}"
