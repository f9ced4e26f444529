"""`packyoke compare`."""

from __future__ import annotations

import sys

import click

from packyoke.cli.files import (
    EXIT_FOUND,
    EXIT_OK,
    FORMS,
    Shops,
    colour,
    day_of,
    one_build,
    output_options,
    print_out,
    shop_options,
    wrong,
)
from packyoke.cli.intake import FileName
from packyoke.cli.options import Command


@click.command(cls=Command)
@click.argument("old", type=FileName(), metavar="OLD")
@click.argument("new", type=FileName(), metavar="NEW")
@click.option("--format", "form", type=click.Choice((*FORMS, "json")), default="text", show_default=True)
@click.option("--today", metavar="DATE", default=None, help="The day to count acceptances from (2027-05-14).")
@shop_options
@output_options
def compare(
    old: str,
    new: str,
    form: str,
    today: str | None,
    shop: str | None,
    no_shop: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Compare a build with an earlier version: findings, currents, energy, mass, price.

    The price is that of the parts added, less that of those removed, where a shop
    file has them on its shelf with prices: packs, joiners, controllers, chargers,
    and what the leads are made of; fuses at packs go with the packs.
    Exit status: 0 answered, 1 the new build is at stop or has an open question,
    whether the old one had it or not, 2 wrong input.

    \b
    Example:
        packyoke compare examples/skerry-long-tail.yaml examples/skerry-long-tail.yaml
    """
    from packyoke.answers.compare.answer import view
    from packyoke.answers.compare.page import compare_json, compare_page
    from packyoke.page.forms import in_form

    if old == new == "-":
        wrong("only one of the two builds can come from standard input")
    day, shops = day_of(today), Shops(shop, no_shop)
    before, after = (one_build(name, shops, day) for name in (old, new))
    found = view(before, after, shops.for_build(new), day)
    if found is None:
        wrong(f"{old} and {new} have neither a pack nor a joiner nor the name in common: these are two bikes")
    text = compare_json(found) if form == "json" else in_form(compare_page(found), form, colour=colour(output))
    print_out(text, output, replace, [old, new, shop])
    sys.exit(EXIT_OK if found.answered else EXIT_FOUND)
