"""`packyoke sheet`."""

from __future__ import annotations

import os
import sys
from typing import Any, NamedTuple

import click

from packyoke.cli.files import (
    EXIT_FOUND,
    EXIT_OK,
    Shops,
    day_of,
    one_build,
    output_options,
    print_out,
    shop_options,
    shown_in,
    units_option,
    write_out,
    wrong,
)
from packyoke.cli.intake import FileName
from packyoke.cli.options import Command
from packyoke.cli.streams import say

FORMATS = ("html", "text", "markdown", "json")


@click.command(cls=Command)
@click.argument("build", type=FileName(), metavar="BUILD")
@click.option(
    "--for",
    "reader",
    type=click.Choice(("customer", "workshop", "quote", "labels")),
    required=True,
    help="Who reads it.",
)
@click.option("--format", "form", type=click.Choice(FORMATS), default="html", show_default=True, help="How to print.")
@units_option
@click.option("--today", metavar="DATE", default=None, help="The day on the sheet (2027-05-14).")
@shop_options
@output_options
def sheet(
    build: str,
    reader: str,
    form: str,
    system: str,
    today: str | None,
    shop: str | None,
    no_shop: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Write what goes with a bike: the customer's page, work sheet, quote or labels.

    For the customer: one page of A4 or US Letter. For the workshop: drawing, parts,
    cut list, joints, tests with expected readings and boxes to tick and sign,
    labels; what the file leaves open is planned first. The labels come to size on a
    page of their own, too. The quote: what he gets, how far, for how much, one
    page; at open it is subject to what has to be found out.
    A build at stop, or else at open, gets no sheet, but the list of what to mend
    and to find out; as JSON, too. JSON has the figures of the page in SI units,
    names as in the file and sentences whole. Exit status: 0 a sheet, 1 none, 2
    wrong input, or something has to be told before it can be planned.

    \b
    Example:
        packyoke sheet examples/skerry-long-tail.yaml --for customer \\
            --output skerry.html
        packyoke sheet examples/saltpan-planned.yaml --for workshop
    """
    day = day_of(today)
    shops = Shops(shop, no_shop)
    model = one_build(build, shops, day)
    own = shops.for_build(build)
    name, contact = (own.name, own.contact) if own else ("", "")
    asked = _Asked(reader, form, shown_in(system, form), day, name, contact)
    try:
        if reader == "customer":
            made = _customer(model, asked)
        elif reader == "quote":
            made = _quote(model, own, asked)
        else:
            made = _workshop(model, own, asked)
    except _Untold as none:
        _give_way(none, form, output, replace, [build, shop])
        wrong(none.told)
    except _None as none:
        _say_none(none, form, output, replace, [build, shop])
        sys.exit(EXIT_FOUND)
    print_out(made, output, replace, [build, shop])
    sys.exit(EXIT_OK)


class _Asked(NamedTuple):
    """What was typed: who reads it, in which form and units, on which day, and whose sheet it is."""

    reader: str
    form: str
    system: str
    today: str
    shop: str
    contact: str

    def more(self) -> dict[str, str]:
        """What every sheet is made with."""
        return {"today": self.today, "system": self.system, "shop": self.shop, "contact": self.contact}

    def said(self, what: Any, *written: Any) -> Any:
        """A sheet or a page in the units that were asked for; `written`: builds and shops it is about."""
        from packyoke.answers.in_units import in_units

        return in_units(what, self.system, *written)


def _customer(model: Any, asked: _Asked) -> str:
    from packyoke.answers.sheet.as_json import customer_json
    from packyoke.answers.sheet.customer import NoSheet, customer_sheet, worked
    from packyoke.answers.sheet.customer_html import customer_html
    from packyoke.answers.sheet.customer_page import customer_page
    from packyoke.page.forms import in_form

    try:
        if asked.form == "json":
            return customer_json(worked(model, asked.today), asked.shop, asked.contact)
        made = asked.said(customer_sheet(model, **asked.more()), model)
    except NoSheet as none:
        raise _no_sheet(none.report, asked) from None
    return customer_html(made) if asked.form == "html" else in_form(customer_page(made), asked.form)


def _workshop(model: Any, stock: Any, asked: _Asked) -> str:
    from packyoke.answers.plan.page import no_plan_page
    from packyoke.answers.sheet import as_json
    from packyoke.answers.sheet import labels_page as labels
    from packyoke.answers.sheet import workshop_page as printed
    from packyoke.answers.sheet.customer import NoSheet
    from packyoke.answers.sheet.workshop import CannotPlan, worked, workshop_sheet
    from packyoke.answers.typed import WrongInput
    from packyoke.page.forms import in_form

    try:
        if asked.form == "json":
            work = worked(model, stock, asked.today)
            return (
                as_json.labels_json(work)
                if asked.reader == "labels"
                else as_json.workshop_json(work, asked.shop, asked.contact)
            )
        made = asked.said(workshop_sheet(model, stock, **asked.more()), model, stock)
    except NoSheet as none:
        raise _no_sheet(none.report, asked) from None
    except CannotPlan as none:
        page, found = no_plan_page(model, none.found), none.found
        data = as_json.no_plan_json(asked.reader, model, found, asked.today, (page.title, *page.lead))
        raise _None(asked.said(page, model, stock), data) from None
    except WrongInput as error:
        raise _Untold(str(error), as_json.untold_json(asked.reader, model, asked.today, str(error))) from None
    if asked.reader == "labels":
        told = (f"Labels: {model.name}", made.labels, made.fingerprint)
        return labels.labels_html(*told) if asked.form == "html" else in_form(labels.labels_page(*told), asked.form)
    return printed.workshop_html(made) if asked.form == "html" else in_form(printed.workshop_page(made), asked.form)


def _quote(model: Any, stock: Any, asked: _Asked) -> str:
    from packyoke.answers.sheet.as_json import quote_json
    from packyoke.answers.sheet.customer import NoSheet
    from packyoke.answers.sheet.quote import quote_sheet, worked
    from packyoke.answers.sheet.quote_page import quote_html, quote_page
    from packyoke.answers.typed import WrongInput
    from packyoke.page.forms import in_form

    try:
        if asked.form == "json":
            return quote_json(worked(model, stock, asked.today), asked.shop, asked.contact)
        made = asked.said(quote_sheet(model, stock, **asked.more()), model, stock)
    except NoSheet as none:
        raise _no_sheet(none.report, asked) from None
    except WrongInput as error:
        wrong(str(error))
    return quote_html(made) if asked.form == "html" else in_form(quote_page(made), asked.form)


class _None(Exception):
    """There is no sheet to give: the page that says why, and the same as JSON."""

    def __init__(self, page: Any, data: str) -> None:
        super().__init__(page.title)
        self.page = page
        self.data = data

    def written(self, form: str) -> str:
        from packyoke.page.forms import in_form

        return self.data if form == "json" else in_form(self.page, form)


class _Untold(_None):
    """There is none because the planner has to be told something first: what, as it is said."""

    def __init__(self, told: str, data: str) -> None:
        from packyoke.page.page import Page, Verdict

        title = "no sheet: something has to be told first"
        super().__init__(Page(title=title, verdict=Verdict("open", "OPEN", title), lead=(told,)), data)
        self.told = told


def _no_sheet(report: Any, asked: _Asked) -> _None:
    from packyoke.answers.sheet.as_json import no_sheet_json
    from packyoke.answers.sheet.no_sheet import no_sheet_page

    reader = "workshop" if asked.reader == "labels" else asked.reader
    page = no_sheet_page(report, reader)
    data = no_sheet_json(asked.reader, report, asked.today, (page.title, *page.lead))
    return _None(asked.said(page, report.build), data)


def _say_none(none: _None, form: str, output: str | None, replace: bool, given: list[str | None]) -> None:
    """No sheet: none is written, the answer says why. As JSON the answer is a document like any other."""
    if output is None or form == "json":
        print_out(none.written(form), output, replace, given)
        if form not in ("text", "json"):
            say(none.page.title, err=True)
        return
    _give_way(none, form, output, replace, given)
    say(none.written("text"), nl=False)


def _give_way(none: _None, form: str, output: str | None, replace: bool, given: list[str | None]) -> None:
    """An old sheet that may be replaced does not stay as if it were of this build."""
    if output is not None and replace and os.path.lexists(output):
        write_out(none.written(form), output, replace, given)
