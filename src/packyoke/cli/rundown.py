"""`packyoke rundown`."""

from __future__ import annotations

import sys

import click

from packyoke.cli.completing import packs, packs_with_value, rides
from packyoke.cli.files import (
    EXIT_FOUND,
    EXIT_OK,
    FORMS,
    Shops,
    formed,
    one_build,
    output_options,
    print_out,
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
    help="The packs plugged in, with commas; all when left out.",
)
@click.option(
    "--at",
    cls=Adding,
    shell_complete=packs_with_value,
    metavar="STATES",
    help="States of charge at the start: keel=100,pannier=60.",
)
@click.option(
    "--volts",
    cls=Adding,
    shell_complete=packs_with_value,
    metavar="VOLTS",
    help="Resting voltages at the start instead: keel=57.1,pannier=55.",
)
@click.option(
    "--load",
    metavar="LOAD",
    help='What is drawn: "15 A", "500 W", or "0 A" for packs at rest; else what the controller may draw.',
)
@click.option(
    "--ride",
    shell_complete=rides,
    metavar="NAME",
    help="Draw what this ride takes in the mean, of the file or of the shelf.",
)
@click.option("--cold", metavar="TEMPERATURE", help='Temperature of the cells, for example "0 degC"; else 20 degC.')
@click.option("--health", metavar="SHARE", help='Capacity that is left, for example "80 %"; else as new.')
@click.option("--format", "form", type=click.Choice((*FORMS, "json", "csv")), default="text", show_default=True)
@units_option
@shop_options
@output_options
def rundown(
    build: str,
    packs: str | None,
    at: str | None,
    volts: str | None,
    load: str | None,
    ride: str | None,
    cold: str | None,
    health: str | None,
    form: str,
    system: str,
    shop: str | None,
    no_shop: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Show which pack supplies when, when they level, and what a set of packs is worth.

    Exit status: 0 answered, 1 the packs cannot deliver the load, their protection
    allows less, or one charges another with more than it takes, or the check stops the bike; 2 wrong input.

    \b
    Example:
        packyoke rundown examples/skerry-long-tail.yaml --load "12 A"
        packyoke rundown examples/skerry-long-tail.yaml --at keel=100,pannier=60
    """
    from packyoke.answers.rundown import answer as running
    from packyoke.answers.rundown import page as printed
    from packyoke.answers.typed import WrongInput

    model = one_build(build, Shops(shop, no_shop))
    try:
        view = running.view(model, packs=packs, at=at, volts=volts, load=load, ride=ride, cold=cold, health=health)
    except WrongInput as error:
        wrong(str(error))
    made = {"json": printed.rundown_json, "csv": printed.rundown_csv}.get(form)
    text = made(view) if made else formed(printed.rundown_page(view), form, output, system, model)
    print_out(text, output, replace, [build, shop])
    found = view.found
    delivers = found.ended != "cannot deliver" and (found.duration_s > 0.0 or found.draw.at_rest)
    fails = not delivers or view.beyond or view.refused
    sys.exit(EXIT_FOUND if fails else EXIT_OK)
