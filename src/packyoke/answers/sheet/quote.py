"""From a build to the quote that its customer takes home: what he gets, how far, for how much, and subject to what."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import NamedTuple

from packyoke import __version__
from packyoke.analysis.case import Case
from packyoke.answers.bill import NEVER, plain, quantity_words, share
from packyoke.answers.inherited import looked_into
from packyoke.answers.sheet import customer_words as words
from packyoke.answers.sheet.blocks import SheetBlock
from packyoke.answers.sheet.called import Called, called, said
from packyoke.answers.sheet.customer import NoSheet, agreed, inherited_words, intro, unmeasured
from packyoke.answers.sheet.how_far import Far, how_far
from packyoke.answers.sheet.quote_page import PriceLine, QuoteSheet
from packyoke.answers.typed import WrongInput
from packyoke.core.findings import Finding, Severity
from packyoke.core.units import Kind, show
from packyoke.making.bill import Bill, bill
from packyoke.model import CUSTOMER, Build, Charger, Pack, Part
from packyoke.model.shop import Stock
from packyoke.planning.quoting.candidates import MIDDLE
from packyoke.verdict.check import check
from packyoke.verdict.report import Report

NAMED = {"packs": "pack", "joiners": "joiner", "chargers": "charger", "controllers": "controller"}
"""What stands on a quote by its name; all else is wiring."""
WIRING = "wires, plugs, fuses and small parts"
MOST_ASKED, MOST_OWN = 6, 8
SIGNATURES = ("Customer: I order this", "Workshop", "Date")
CONDITIONS = (
    "The check is done again on the finished bike; what a meter shows then counts, not this page.",
    "Every new pack is looked at and measured before it goes on.",
)


class QuoteWork(NamedTuple):
    """What a quote is made of, whatever it is written as; `until` is the last day on which it holds."""

    build: Build
    names: Called
    report: Report
    day: date
    until: date
    far: Far
    made: Bill

    @property
    def opens(self) -> list[Finding]:
        return [each for each in self.report.findings if each.severity == Severity.OPEN]


def worked(build: Build, stock: Stock | None, today: str, system: str = "metric") -> QuoteWork:
    """What the quote of a build says on a day (ISO 8601). Raises NoSheet at stop, WrongInput without prices."""
    report = check(build, today=today)
    if report.verdict not in ("none-found", "caution", "open"):
        raise NoSheet(report)
    made = bill(build, stock)
    if all(line.amount is None for line in made.lines):
        raise WrongInput(f"a quote needs prices, and nothing on this bill has one. {looked_into(stock)}")
    names, day = called(build), date.fromisoformat(today)
    until = day + timedelta(days=made.terms.valid_days)
    return QuoteWork(build, names, report, day, until, how_far(Case(build), names, system), made)


def quote_sheet(
    build: Build, stock: Stock | None, *, today: str, system: str = "metric", shop: str = "", contact: str = ""
) -> QuoteSheet:
    """The quote of a build on a day (ISO 8601). Raises NoSheet at stop, WrongInput without prices."""
    return in_words(worked(build, stock, today, system), shop, contact)


def in_words(work: QuoteWork, shop: str = "", contact: str = "") -> QuoteSheet:
    """The quote as it is read."""
    build, names, report, day, until, far, made = work
    workshop = " · ".join(each for each in (said(shop, 80), said(contact, 120)) if each)
    holds = f"This quote holds until {until.day} {until:%B %Y}."
    head = (workshop, said(build.ticket, 80), f"{day.day} {day:%B %Y}")
    return QuoteSheet(
        title=f"Quote: {said(build.name, 80)}",
        head=tuple(each for each in head if each),
        subject=SheetBlock("Subject to", tuple(_asked(report, work.opens))) if work.opens else None,
        intro=intro(build, names),
        scale=far.scale,
        rides=far.rides,
        ranges=far.lines,
        range_notes=far.notes,
        prices=tuple(_prices(build, made)),
        blocks=(
            SheetBlock("Yours, checked and not billed", tuple(_own(build))),
            SheetBlock("Not in the price", tuple(_left_out(made))),
            SheetBlock("Not measured yet", (*unmeasured(build, names, report.assumed), *_ways(build))),
            SheetBlock("To agree on before you order", tuple(agreed(report))),
            SheetBlock(
                "Conditions",
                (holds, *CONDITIONS, *inherited_words(build)),
            ),
        ),
        signatures=SIGNATURES,
        cautions=words.CAUTIONS,
        fingerprint=f"packyoke {__version__}, build {report.fingerprint}.",
    )


def _prices(build: Build, made: Bill) -> Iterator[PriceLine]:
    """What he gets by name, the wiring as one, work, tax, and the whole: what is printed adds up."""
    totals, wiring = made.totals, Decimal(0)
    for line in made.lines:
        if line.section in NAMED:
            count = f"{quantity_words(line)} x " if line.quantity != 1 else ""
            price = plain(line.amount) if line.amount is not None else "no price yet"
            days = f", {line.lead_days} days to come in" if line.short and line.lead_days else ""
            about = _about(build, line.section, line.item)
            kind = NAMED[line.section]
            what = f"{count}{kind} {said(line.item, 60)}{about}{days}"
            yield PriceLine(what, price, kind=kind, item=line.item, amount=line.amount)
        else:
            wiring += line.amount or 0
    if wiring:
        yield PriceLine(WIRING, plain(wiring), kind="wiring", amount=wiring)
    if totals.labour is not None:
        work = f"work, {totals.minutes} min"
        yield PriceLine(work, plain(totals.labour), kind="work", amount=totals.labour)
    if totals.tax is not None and made.terms.tax is not None:
        tax = f"tax, {share(made.terms.tax)} %"
        yield PriceLine(tax, plain(totals.tax), kind="tax", amount=totals.tax)
    if totals.rounding:
        yield PriceLine("rounding", plain(totals.rounding), kind="rounding", amount=totals.rounding)
    inside = ""
    if totals.tax_in_it is not None and made.terms.tax is not None:
        inside = f", of which tax of {share(made.terms.tax)} %: {plain(totals.tax_in_it)}"
    price = f"{plain(totals.amount)} {totals.currency}"
    yield PriceLine(f"altogether{inside}", price, whole=True, kind="altogether", amount=totals.amount)


def _about(build: Build, section: str, item: str) -> str:
    """What a pack or charger is, as its label says it."""
    part = next((each for each in getattr(build, section).values() if build.items.get(each.path) == item), None)
    told: list[str] = []
    if isinstance(part, Pack):
        told = [part.label, *([show(part.capacity_coulomb, Kind.CHARGE)] if part.capacity_coulomb else [])]
    elif isinstance(part, Charger) and part.output_v is not None and part.current_a is not None:
        told = [show(part.output_v, Kind.VOLTAGE), show(part.current_a, Kind.CURRENT)]
    return f" ({', '.join(said(each, 80) for each in told if each)})" if any(told) else ""


def _asked(report: Report, opens: list[Finding]) -> Iterator[str]:
    """Each open question, once: what is to be found out before this quote is certain."""
    told = list(dict.fromkeys(f"{report.label(each.part)}: {each.message}. {each.do}".strip() for each in opens))
    yield from told[:MOST_ASKED]
    if (more := len(told) - MOST_ASKED) > 0:
        yield f"{more} more {'thing' if more == 1 else 'things'} to find out: packyoke check has the list."


def own_parts(build: Build) -> Iterator[Part]:
    """What is the customer's already: checked, and not billed."""
    for section in ("packs", "joiners", "controllers", "chargers"):
        for part in getattr(build, section).values():
            if part.owner == CUSTOMER or part.path not in build.items:
                yield part
    yield from (lead for lead in build.leads.values() if lead.owner == CUSTOMER)


def _own(build: Build) -> Iterator[str]:
    own = [said(part.name, 40) for part in own_parts(build)]
    if own:
        more = f" and {len(own) - MOST_OWN} more" if len(own) > MOST_OWN else ""
        yield f"{', '.join(own[:MOST_OWN])}{more}."


def _left_out(made: Bill) -> Iterator[str]:
    if made.totals.unpriced:
        yield f"Without a price yet: {', '.join(dict.fromkeys(said(each, 60) for each in made.totals.unpriced))}."
    if made.terms.tax is None:
        yield "Taxes are not counted."
    if made.totals.labour is None:
        yield "Work is not counted."
    yield f"{NEVER.capitalize()}."


def _ways(build: Build) -> Iterator[str]:
    if MIDDLE in build.places:
        yield "The ways of the leads: we measure them before we cut, and the price of the wire may change by a little."
