"""`packyoke quote`."""

from __future__ import annotations

import sys
from typing import Any

import click

from packyoke.cli.files import (
    EXIT_FOUND,
    EXIT_OK,
    FORMS,
    Shops,
    build_text,
    day_of,
    formed,
    output_options,
    print_out,
    read_one,
    shop_options,
    shown_in,
    units_option,
    write_out,
    wrong,
)
from packyoke.cli.intake import FileName, NewFile
from packyoke.cli.options import Command
from packyoke.cli.streams import say

FORMATS = (*FORMS, "json")


@click.command(cls=Command)
@click.argument("build", type=FileName(), metavar="BUILD")
@click.option("--reach", metavar="WAY", help='How far it has to go, to be counted on, for example "80 km".')
@click.option("--ride", metavar="NAME", help="A ride of the file or of the shelf; else the everyday one.")
@click.option("--known", multiple=True, metavar="RIDE", help="What the customer has really ridden, as for range.")
@click.option("--most", metavar="MONEY", help='What it may cost at most, for example "900 EUR".')
@click.option("--add", metavar="COUNTS", help="How many packs come on, for example 1 or 0..2.")
@click.option("--on", metavar="PLACE", help="Where new packs go: a place or a rack of the file.")
@click.option("--all", "every", is_flag=True, help="Show every offer of the front.")
@click.option("--choose", type=int, metavar="N", help="Write the offer of this number; with --write.")
@click.option("--write", "new", metavar="FILE", type=NewFile(dir_okay=False), help="The new file for --choose.")
@click.option("--format", "form", type=click.Choice(FORMATS), default="text", show_default=True)
@units_option
@click.option("--today", metavar="DATE", default=None, help="The day the prices are of (2027-05-14).")
@shop_options
@output_options
def quote(
    build: str,
    reach: str | None,
    ride: str | None,
    known: tuple[str, ...],
    most: str | None,
    add: str | None,
    on: str | None,
    every: bool,
    choose: int | None,
    new: str | None,
    form: str,
    system: str,
    today: str | None,
    shop: str | None,
    no_shop: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Say what it takes to get a bike that far, and what it costs: packs of the shop's shelf, planned and checked.

    The build is the customer's bike as it is. Shown are the offers that no other
    one beats in price, reach and mass: packs added, or larger ones instead of one
    or all of his.
    Prices come from the shop file and from nowhere else. Exit status: 0 something
    does it, 1 nothing does (what comes nearest, and what stops the rest), 2 wrong
    input.

    \b
    Example:
        packyoke quote examples/counter/parcel-bike.yaml --reach "80 km" --ride loaded
        packyoke quote examples/counter/parcel-bike.yaml --reach "80 km" --ride loaded \\
            --known "34 km from 100 % to 20 % with keel" --most "900 EUR"
        packyoke quote examples/counter/parcel-bike.yaml --reach "80 km" --ride loaded \\
            --choose 1 --write offer.yaml
    """
    from packyoke.answers.quote.answer import view
    from packyoke.answers.quote.as_json import quote_json
    from packyoke.answers.quote.page import quote_page
    from packyoke.answers.typed import WrongInput

    if (choose is None) != (new is None):
        wrong("--choose N and --write FILE go together: which offer, and where to")
    day, shops = day_of(today), Shops(shop, no_shop)
    source = build_text(build)
    model = read_one(source, build, shops, day)
    own = shops.for_build(build)
    more: dict[str, Any] = {"reach": reach, "ride": ride, "most": most, "add": add, "on": on, "known": known}
    try:
        shown = view(model, own, **more, today=day, system=shown_in(system, form), every=every)
    except WrongInput as error:
        wrong(str(error))
    front = shown.found.front
    if choose is not None and not 1 <= choose <= len(front):
        wrong(f"--choose {choose}: there are offers 1 to {len(front)}" if front else f"--choose {choose}: no offer")
    text = quote_json(shown) if form == "json" else formed(quote_page(shown), form, output, system, model, own)
    given = [build, shop]
    print_out(text, output, replace, [*given, new])
    if choose is not None and new is not None:
        _write(source, model, front[choose - 1], shown.found.bike, own, new, given)
    sys.exit(EXIT_OK if shown.answered else EXIT_FOUND)


def _write(source: bytes, model: Any, offer: Any, bike: Any, own: Any, new: str, given: list[str | None]) -> None:
    """The build of an offer, read back before it is written: it has to be what was offered. Never over a file."""
    from packyoke.api import load
    from packyoke.buildfile.writing.complete import completed_text
    from packyoke.buildfile.writing.heirs import written_out
    from packyoke.buildfile.writing.places import CannotWrite
    from packyoke.buildfile.writing.quoted import lost_comments, owned_text, quoted_text
    from packyoke.planning.plan import make_plan
    from packyoke.planning.quoting.candidates import pack_lines
    from packyoke.verdict.fingerprint import fingerprint

    def read(text: str) -> Any:
        found = load(text.encode(), new, shop=own, today=model.today)
        if isinstance(found, list):
            raise CannotWrite(found[0].message)
        return found

    if not offer.choice.added:
        wrong("that offer is the bike as it is: nothing is to be written")
    try:
        text = written_out(owned_text(source.decode("utf-8"), model, bike.build, "owner"), offer.choice.off)
        owned = read(text)
        text = quoted_text(text, owned, offer.bare, {each.name: pack_lines(each) for each in offer.new})
        text = owned_text(text, read(text), bike.build, "place_name")
        bare = read(text)
        plan = make_plan(bare, own, brief=True)
        text = completed_text(text, bare, plan)
        done = read(text)
    except CannotWrite as error:
        wrong(f"{model.file}: the offer cannot be put into it: {error}; nothing was written")
    if fingerprint(done) != fingerprint(offer.build):
        wrong(f"{model.file}: the offer could not be put into it as it is written; nothing was written")
    write_out(text, new, False, given)
    if lost := lost_comments(source.decode("utf-8"), text):
        say(f"comments that went with the lines taken out: {'; '.join(lost)}", err=True)
    say(
        f"the build of this offer is written to {new}; its page for the customer: packyoke sheet {new} --for quote",
        err=True,
    )
