"""`packyoke sheet`."""

from __future__ import annotations

import sys
from typing import Any, NoReturn

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
    wrong,
)

FORMATS = ("html", "text", "markdown")


@click.command()
@click.argument("build", metavar="BUILD")
@click.option("--for", "reader", type=click.Choice(("customer", "workshop")), required=True, help="Who reads it.")
@click.option("--format", "form", type=click.Choice(FORMATS), default="html", show_default=True, help="How to print.")
@click.option("--units", type=click.Choice(("metric", "us")), default="metric", show_default=True)
@click.option("--today", metavar="DATE", default=None, help="The day on the sheet (2027-05-14).")
@shop_options
@output_options
def sheet(
    build: str,
    reader: str,
    form: str,
    units: str,
    today: str | None,
    shop: str | None,
    no_shop: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Write what goes with a bike: the customer's page, or the work sheet.

    For the customer: one page of A4 or US Letter. For the workshop: drawing, parts,
    cut list, joints, tests with expected readings and boxes to tick and sign,
    labels; what the file leaves open is planned first. A build at stop or open gets
    no sheet, but the list of what to mend and to find out. Exit status: 0 a sheet,
    1 none, 2 wrong input, or something has to be told before it can be planned.

    \b
    Example:
        packyoke sheet examples/skerry-long-tail.yaml --for customer \\
            --output skerry.html
        packyoke sheet examples/gannet-planned.yaml --for workshop
    """
    day = day_of(today)
    shops = Shops(shop, no_shop)
    model = one_build(build, shops, day)
    own = shops.for_build(build)
    more = {"today": day, "system": units, "shop": own.name if own else "", "contact": own.contact if own else ""}
    made = _customer(model, form, more) if reader == "customer" else _workshop(model, form, own, more)
    print_out(made, output, replace, [build, shop])
    sys.exit(EXIT_OK)


def _customer(model: Any, form: str, more: dict[str, str]) -> str:
    from packyoke.answers.sheet import customer_page as printed
    from packyoke.answers.sheet.customer import NoSheet, customer_sheet

    texts = {"html": printed.customer_html, "text": printed.customer_text, "markdown": printed.customer_markdown}
    try:
        return texts[form](customer_sheet(model, **more))
    except NoSheet as none:
        _none(printed.no_sheet_text(none.report))


def _workshop(model: Any, form: str, stock: Any, more: dict[str, str]) -> str:
    from packyoke.answers.plan.page import no_plan_text
    from packyoke.answers.sheet import workshop_page as printed
    from packyoke.answers.sheet.customer import NoSheet
    from packyoke.answers.sheet.workshop import CannotPlan, workshop_sheet
    from packyoke.answers.typed import WrongInput

    texts = {"html": printed.workshop_html, "text": printed.workshop_text, "markdown": printed.workshop_markdown}
    try:
        return texts[form](workshop_sheet(model, stock, **more))
    except NoSheet as none:
        _none(printed.no_workshop_sheet_text(none.report))
    except CannotPlan as none:
        _none(no_plan_text(model.file, model.name, none.found))
    except WrongInput as error:
        wrong(str(error))


def _none(told: str) -> NoReturn:
    """No sheet: what there is to say instead."""
    click.echo(told, nl=False)
    sys.exit(EXIT_FOUND)
