"""`packyoke shelf`."""

from __future__ import annotations

import sys

import click

from packyoke.cli.files import (
    EXIT_FOUND,
    EXIT_OK,
    FORMS,
    SHOP_FILE,
    Shops,
    output_options,
    print_out,
    print_page,
    shop_options,
    units_option,
    wrong,
)
from packyoke.cli.options import Command
from packyoke.cli.streams import say


@click.command(cls=Command)
@click.argument("word", required=False)
@click.option("--template", is_flag=True, help="Print a shop file to fill in.")
@click.option("--format", "form", type=click.Choice((*FORMS, "json")), default="text", show_default=True)
@units_option
@shop_options
@output_options
def shelf(
    word: str | None,
    template: bool,
    form: str,
    system: str,
    shop: str | None,
    no_shop: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Show the known parts with ratings and sources, and what the shop stocks.

    WORD is a table (connectors, wires, fuses, mounts, rides, chemistry, shop) or a
    part of a name. The shop file of the folder that you stand in counts.
    Exit status: 0 shown, 1 nothing of that name, 2 wrong usage.

    \b
    Example:
        packyoke shelf connectors
        packyoke shelf XT60
        packyoke shelf --template
    """
    from packyoke.answers.shelf.answer import TEMPLATE, tables
    from packyoke.answers.shelf.page import shelf_json, shelf_page
    from packyoke.shelf import SHELF

    if template:
        if word:
            wrong("--template takes no word")
        print_out(TEMPLATE, output, replace, [shop])
        return
    own = Shops(shop, no_shop).for_build("-")
    found = tables(word or "", own.items if own else ())
    if not found and own is None and (word or "").casefold() == "shop":
        wrong(f"no shop file is used: it is {SHOP_FILE} in this folder or above it, or the one of  --shop")
    if not found:
        say(f'nothing on the shelf is called "{word}"; all of it: packyoke shelf', err=True)
        sys.exit(EXIT_FOUND)
    if form == "json":
        print_out(shelf_json(found, SHELF), output, replace, [shop])
    else:
        print_page(shelf_page(found, SHELF, system), form, output, replace, [shop], system, own)
    sys.exit(EXIT_OK)
