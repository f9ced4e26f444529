"""`packyoke plan`."""

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
from packyoke.cli.options import Adding, Command
from packyoke.cli.streams import say, shown_name

FORMATS = (*FORMS, "svg", "json")


@click.command(cls=Command)
@click.argument("build", type=FileName(), metavar="BUILD")
@click.option("--write", "new", metavar="FILE", type=NewFile(dir_okay=False), help="Write the completed build here.")
@click.option(
    "--prefer", cls=Adding, metavar="WORDS", help="What counts first: cost, copper, loss, joints; several with commas."
)
@click.option(
    "--format",
    "form",
    type=click.Choice(FORMATS),
    default="text",
    show_default=True,
    help="How to print; svg is the drawing alone.",
)
@units_option
@click.option("--today", metavar="DATE", default=None, help="The day the prices are of (2027-05-14).")
@shop_options
@output_options
def plan(
    build: str,
    new: str | None,
    prefer: str | None,
    form: str,
    system: str,
    today: str | None,
    shop: str | None,
    no_shop: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Complete a build: wires, ends, fuses, lengths; with places and runs also where which joiner sits.

    What the file gives stays as it is. Printed are the choices, the bill, what to
    cut, join and set; sheet --for workshop makes the work sheet of it. Exit status:
    0 planned, 1 nothing passes (what stands in the way, and the nearest ways out)
    or something is still to find out, 2 wrong input, or something has to be told
    before it can be planned.

    \b
    Example:
        packyoke plan examples/saltpan-planned.yaml
        packyoke plan examples/saltpan-planned.yaml --prefer loss --write new.yaml
    """
    from packyoke.answers.inherited import with_places
    from packyoke.answers.notice import svg_notice
    from packyoke.answers.plan import page as printed
    from packyoke.answers.plan.answer import planned, view
    from packyoke.answers.plan.svg import plan_svg
    from packyoke.answers.typed import WrongInput
    from packyoke.planning.result import NoPlan, Refusal

    day, shops = day_of(today), Shops(shop, no_shop)
    source = build_text(build)
    model = read_one(source, build, shops, day)
    own = shops.for_build(build)
    try:
        found = planned(model, own, prefer)
    except WrongInput as error:
        wrong(str(error))
    if isinstance(found, Refusal):
        wrong(with_places(printed.refusal_text(found), model))
    given = [build, shop]
    if isinstance(found, NoPlan):
        none = printed.no_plan_page(model, found)
        if form == "json":
            told = printed.no_plan_json(model, found)
        else:
            told = svg_notice(none) if form == "svg" else formed(none, form, output, system, model, own)
        print_out(told, output, replace, given)
        sys.exit(EXIT_FOUND)
    shown = view(model, found, day, new or "", shown_in(system, form))
    made = {"svg": plan_svg, "json": printed.plan_json}.get(form)
    text = made(shown) if made else formed(printed.plan_page(shown), form, output, system, model, own)
    print_out(text, output, replace, [*given, new])
    if new is not None:
        _write(source, model, found, own, new, replace, given)
    sys.exit(EXIT_FOUND if shown.open_count else EXIT_OK)


def _write(source: bytes, model: Any, found: Any, own: Any, new: str, replace: bool, given: list[str | None]) -> None:
    """The completed file, read back before it is written: it has to be the build that was planned."""
    from packyoke.api import load
    from packyoke.buildfile.writing.complete import completed_text
    from packyoke.buildfile.writing.places import CannotWrite
    from packyoke.verdict.fingerprint import fingerprint

    try:
        text = completed_text(source.decode("utf-8"), model, found)
    except CannotWrite as error:
        wrong(f"{model.file}: the plan cannot be put into it: {error}; nothing was written")
    done = load(text.encode(), new, shop=own)
    if isinstance(done, list) or fingerprint(done) != fingerprint(found.build):
        wrong(
            f"{model.file}: the plan could not be put into it as it is written; nothing was written. Write the "
            "choices above into it"
        )
    write_out(text, new, replace, given)
    say(f"the completed build is written to {shown_name(new)}", err=True)
