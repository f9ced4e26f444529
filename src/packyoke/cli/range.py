"""`packyoke range`."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Any

import click

from packyoke.cli.completing import packs as named_packs
from packyoke.cli.completing import rides
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
    shown_in,
    track_in,
    units_option,
    wrong,
)
from packyoke.cli.intake import FileName
from packyoke.cli.options import Command

if TYPE_CHECKING:
    from packyoke.api import Build


@click.command(cls=Command)
@click.argument("build", type=FileName(), metavar="BUILD")
@click.option(
    "--ride",
    "rides",
    shell_complete=rides,
    multiple=True,
    metavar="NAME",
    help="A ride of the file or of the shelf; may repeat.",
)
@click.option(
    "--packs",
    shell_complete=named_packs,
    multiple=True,
    metavar="NAMES",
    help="One set of packs, with commas; may repeat.",
)
@click.option("--need", metavar="WAY", help='How far it has to go, for example "60 km".')
@click.option(
    "--known",
    multiple=True,
    metavar="RIDE",
    help='What was really ridden, for example "42 km from 100 % to 20 % with keel"; may repeat.',
)
@click.option("--route", metavar="FILE", type=FileName(dir_okay=False), help="A GPX track to ride, hills and all.")
@click.option("--sensitivity", is_flag=True, help="Show what the range hangs on.")
@click.option("--cold", metavar="TEMPERATURE", help='Air and cells, for example "0 degC"; else as the ride says.')
@click.option("--health", metavar="SHARE", help='Capacity that is left, for example "80 %"; else 80 to 100 %.')
@units_option
@shop_options
@click.option("--format", "form", type=click.Choice((*FORMS, "json")), default="text", show_default=True)
@output_options
def range(
    build: str,
    rides: tuple[str, ...],
    packs: tuple[str, ...],
    need: str | None,
    known: tuple[str, ...],
    route: str | None,
    sensitivity: bool,
    cold: str | None,
    health: str | None,
    system: str,
    shop: str | None,
    no_shop: bool,
    form: str,
    output: str | None,
    replace: bool,
) -> None:
    """Show how far each set of packs carries each ride: what to count on, and what is likely.

    With --route: what is left at its end, and which pack carries where. Exit status: 0 answered, 1 on some ride no set
    of packs delivers, or gets as far as --need says or the route goes, 2 wrong input.

    \b
    Example:
        packyoke range examples/skerry-long-tail.yaml
        packyoke range examples/skerry-long-tail.yaml --ride hard --need "60 km" --sensitivity
        packyoke range examples/skerry-long-tail.yaml --known "48 km from 100 % to 20 % with keel"
        packyoke range examples/skerry-long-tail.yaml --route examples/skerry-round.gpx
    """
    from packyoke.answers.typed import WrongInput

    model = one_build(build, Shops(shop, no_shop))
    try:
        if route is not None:
            if need is not None or sensitivity or known:
                wrong(
                    "--route answers by itself: --need, --sensitivity and --known go without it. What is known of a "
                    "ride counts there when it stands in the file"
                )
            asked = {"rides": rides, "packs": packs, "cold": cold, "health": health, "system": shown_in(system, form)}
            made, answered = _on_route(model, route, form, output, **asked)
        else:
            from packyoke.answers.range.answer import view
            from packyoke.answers.range.page import range_json, range_page

            found = view(
                model,
                rides=rides,
                packs=packs,
                need=need,
                cold=cold,
                health=health,
                system=shown_in(system, form),
                sensitivity=sensitivity,
                known=known,
            )
            answered = found.answered
            made = range_json(found) if form == "json" else formed(range_page(found), form, output, system, model)
    except WrongInput as error:
        wrong(str(error))
    print_out(made, output, replace, [build, shop, route])
    sys.exit(EXIT_OK if answered else EXIT_FOUND)


def _on_route(model: Build, route: str, form: str, output: str | None, **asked: Any) -> tuple[str, bool]:
    from packyoke.answers.range.route import view
    from packyoke.answers.range.route_page import route_json, route_page

    found = view(model, track_in(route), **asked)
    return route_json(found) if form == "json" else formed(
        route_page(found), form, output, asked["system"], model
    ), found.answered
