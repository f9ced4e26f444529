"""`packyoke charge`."""

from __future__ import annotations

import sys

import click

from packyoke.cli.completing import packs, packs_with_value
from packyoke.cli.files import (
    EXIT_FOUND,
    EXIT_OK,
    FORMS,
    Shops,
    one_build,
    output_options,
    print_out,
    print_page,
    shop_options,
    units_option,
    wrong,
)
from packyoke.cli.intake import FileName
from packyoke.cli.options import Adding, Command


@click.command(cls=Command)
@click.argument("build", type=FileName(), metavar="BUILD")
@click.option(
    "--packs",
    cls=Adding,
    shell_complete=packs,
    metavar="NAMES",
    help="The packs to charge, with commas; all when left out.",
)
@click.option(
    "--from",
    "start",
    cls=Adding,
    shell_complete=packs_with_value,
    metavar="STATES",
    help="States of charge: keel=20,pannier=60; else empty.",
)
@click.option("--chargers", cls=Adding, metavar="NAMES", help="The chargers at hand, with commas; all when left out.")
@click.option("--cold", metavar="TEMPERATURE", help='Temperature of the cells, for example "5 degC"; else 20 degC.')
@click.option("--format", "form", type=click.Choice((*FORMS, "json")), default="text", show_default=True)
@units_option
@shop_options
@output_options
def charge(
    build: str,
    packs: str | None,
    start: str | None,
    chargers: str | None,
    cold: str | None,
    form: str,
    system: str,
    shop: str | None,
    no_shop: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Show which charger goes on which pack, how long it takes, and in what order.

    Exit status: 0 answered, 1 a pack has no charger that may go on it, a charger
    can burn one, or the check stops charging; 2 wrong input.

    \b
    Example:
        packyoke charge examples/skerry-long-tail.yaml --from keel=20,pannier=60
        packyoke charge examples/breakwater-three-packs.yaml --cold "5 degC"
    """
    from packyoke.answers.charge import answer as running
    from packyoke.answers.charge import page as printed
    from packyoke.answers.typed import WrongInput

    model = one_build(build, Shops(shop, no_shop))
    try:
        view = running.view(model, packs=packs, start=start, chargers=chargers, cold=cold)
    except WrongInput as error:
        wrong(str(error))
    if form == "json":
        print_out(printed.charge_json(view), output, replace, [build, shop])
    else:
        print_page(printed.charge_page(view), form, output, replace, [build, shop], system, model)
    sys.exit(EXIT_OK if view.answered else EXIT_FOUND)
