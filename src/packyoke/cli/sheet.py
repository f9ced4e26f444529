"""`packyoke sheet`."""

from __future__ import annotations

import os
import sys
from typing import Any

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
    units_option,
    write_out,
    wrong,
)
from packyoke.cli.intake import FileName
from packyoke.cli.options import Command
from packyoke.cli.streams import say

FORMATS = ("html", "text", "markdown")


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
    and to find out. Exit status: 0 a sheet, 1 none, 2 wrong input, or something has
    to be told before it can be planned.

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
    more = {"today": day, "system": system, "shop": own.name if own else "", "contact": own.contact if own else ""}
    try:
        if reader == "customer":
            made = _customer(model, form, more)
        elif reader == "quote":
            made = _quote(model, form, own, more)
        else:
            made = _workshop(model, form, own, more, reader)
    except _Untold as none:
        _give_way(none, form, output, replace, [build, shop])
        wrong(none.told)
    except _None as none:
        _say_none(none, form, output, replace, [build, shop])
        sys.exit(EXIT_FOUND)
    print_out(made, output, replace, [build, shop])
    sys.exit(EXIT_OK)


def _customer(model: Any, form: str, more: dict[str, str]) -> str:
    from packyoke.answers.in_units import in_units
    from packyoke.answers.sheet.customer import NoSheet, customer_sheet
    from packyoke.answers.sheet.customer_html import customer_html
    from packyoke.answers.sheet.customer_page import customer_page
    from packyoke.answers.sheet.no_sheet import no_sheet_page
    from packyoke.page.forms import in_form

    try:
        made = customer_sheet(model, **more)
    except NoSheet as none:
        raise _None(in_units(no_sheet_page(none.report), more["system"], model)) from None
    made = in_units(made, more["system"], model)
    return customer_html(made) if form == "html" else in_form(customer_page(made), form)


def _workshop(model: Any, form: str, stock: Any, more: dict[str, str], reader: str) -> str:
    from packyoke.answers.in_units import in_units
    from packyoke.answers.plan.page import no_plan_page
    from packyoke.answers.sheet import labels_page as labels
    from packyoke.answers.sheet import workshop_page as printed
    from packyoke.answers.sheet.customer import NoSheet
    from packyoke.answers.sheet.no_sheet import no_sheet_page
    from packyoke.answers.sheet.workshop import CannotPlan, workshop_sheet
    from packyoke.answers.typed import WrongInput
    from packyoke.page.forms import in_form

    try:
        made = in_units(workshop_sheet(model, stock, **more), more["system"], model, stock)
    except NoSheet as none:
        raise _None(in_units(no_sheet_page(none.report, "workshop"), more["system"], model)) from None
    except CannotPlan as none:
        raise _None(in_units(no_plan_page(model, none.found), more["system"], model, stock)) from None
    except WrongInput as error:
        raise _Untold(str(error)) from None
    if reader == "labels":
        told = (f"Labels: {model.name}", made.labels, made.fingerprint)
        return labels.labels_html(*told) if form == "html" else in_form(labels.labels_page(*told), form)
    return printed.workshop_html(made) if form == "html" else in_form(printed.workshop_page(made), form)


def _quote(model: Any, form: str, stock: Any, more: dict[str, str]) -> str:
    from packyoke.answers.in_units import in_units
    from packyoke.answers.sheet.customer import NoSheet
    from packyoke.answers.sheet.no_sheet import no_sheet_page
    from packyoke.answers.sheet.quote import quote_sheet
    from packyoke.answers.sheet.quote_page import quote_html, quote_page
    from packyoke.answers.typed import WrongInput
    from packyoke.page.forms import in_form

    try:
        made = quote_sheet(model, stock, **more)
    except NoSheet as none:
        raise _None(in_units(no_sheet_page(none.report, "quote"), more["system"], model)) from None
    except WrongInput as error:
        wrong(str(error))
    made = in_units(made, more["system"], model, stock)
    return quote_html(made) if form == "html" else in_form(quote_page(made), form)


class _None(Exception):
    """There is no sheet to give: the page that says why."""

    def __init__(self, page: Any) -> None:
        super().__init__(page.title)
        self.page = page


class _Untold(_None):
    """There is none because the planner has to be told something first: what, as it is said."""

    def __init__(self, told: str) -> None:
        from packyoke.page.page import Page, Verdict

        title = "no sheet: something has to be told first"
        super().__init__(Page(title=title, verdict=Verdict("open", "OPEN", title), lead=(told,)))
        self.told = told


def _say_none(none: _None, form: str, output: str | None, replace: bool, given: list[str | None]) -> None:
    """No sheet: none is written, the answer says why."""
    from packyoke.page.forms import in_form

    if output is None:
        say(in_form(none.page, form), nl=False)
        if form != "text":
            say(none.page.title, err=True)
        return
    _give_way(none, form, output, replace, given)
    say(in_form(none.page, "text"), nl=False)


def _give_way(none: _None, form: str, output: str | None, replace: bool, given: list[str | None]) -> None:
    """An old sheet that may be replaced does not stay as if it were of this build."""
    from packyoke.page.forms import in_form

    if output is not None and replace and os.path.lexists(output):
        write_out(in_form(none.page, form), output, replace, given)
