"""`packyoke range`."""

from __future__ import annotations

import sys

import click

from packyoke.cli.files import EXIT_FOUND, EXIT_OK, Shops, one_build, print_out, wrong


@click.command()
@click.argument("build", metavar="BUILD")
@click.option("--ride", "rides", multiple=True, metavar="NAME", help="A ride of the file or of the shelf; may repeat.")
@click.option("--packs", multiple=True, metavar="NAMES", help="One set of packs, with commas; may repeat.")
@click.option("--need", metavar="WAY", help='How far it has to go, for example "60 km".')
@click.option("--sensitivity", is_flag=True, help="Show what the range hangs on.")
@click.option("--cold", metavar="TEMPERATURE", help='Air and cells, for example "0 degC"; else as the ride says.')
@click.option("--health", metavar="SHARE", help='Capacity that is left, for example "80 %"; else 80 to 100 %.')
@click.option("--units", "system", type=click.Choice(("metric", "us")), default="metric", show_default=True)
@click.option("--shop", type=click.Path(dir_okay=False), help="The shop file to use.")
@click.option("--no-shop", is_flag=True, help="Use no shop file (for CI).")
@click.option("--format", "form", type=click.Choice(("text", "markdown", "json")), default="text", show_default=True)
@click.option("--output", type=click.Path(dir_okay=False), help="Write to a new file instead of printing.")
@click.option("--replace", is_flag=True, help="Let --output replace a file that exists.")
def range(
    build: str, rides: tuple[str, ...], packs: tuple[str, ...], need: str | None, sensitivity: bool, cold: str | None,
    health: str | None, system: str, shop: str | None, no_shop: bool, form: str, output: str | None, replace: bool,
) -> None:  # fmt: skip
    """Show how far each set of packs carries each ride: what to count on, and what is likely.

    Exit status: 0 answered, 1 on some ride no set of packs delivers, or gets as far as --need says, 2 wrong input.

    \b
    Example:
        packyoke range examples/skerry-long-tail.yaml
        packyoke range examples/skerry-long-tail.yaml --ride hard --need "60 km" --sensitivity
    """
    from packyoke.report import range as printed
    from packyoke.running import range as running
    from packyoke.running.typed import WrongInput

    model = one_build(build, Shops(shop, no_shop))
    try:
        view = running.view(
            model, rides=rides, packs=packs, need=need, cold=cold, health=health, system=system, sensitivity=sensitivity
        )
    except WrongInput as error:
        wrong(str(error))
    made = {"text": printed.range_text, "markdown": printed.range_markdown, "json": printed.range_json}[form](view)
    print_out(made, output, replace, [build, shop])
    sys.exit(EXIT_OK if view.answered else EXIT_FOUND)
