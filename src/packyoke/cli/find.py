"""`packyoke find`."""

from __future__ import annotations

import os
import sys

import click

from packyoke.cli.files import (
    EXIT_FOUND,
    EXIT_OK,
    EXIT_WRONG,
    FORMS,
    SHOP_FILE,
    Shops,
    day_of,
    output_options,
    print_out,
    print_page,
    shop_options,
    wrong,
)
from packyoke.cli.intake import FileName, take
from packyoke.cli.intake import builds as found_builds
from packyoke.cli.options import Adding, Command
from packyoke.cli.streams import reason, say, shown_name


@click.command(cls=Command)
@click.argument("builds", nargs=-1, required=True, type=FileName(), metavar="BUILD...")
@click.option("--uses", cls=Adding, metavar="WORDS", help="A part, a connector, a shelf item, a label; with commas.")
@click.option("--before", metavar="DATE", help="Readings and re-check dates older than this day (2027-05-14).")
@click.option("--format", "form", type=click.Choice((*FORMS, "json")), default="text", show_default=True)
@shop_options
@output_options
def find(
    builds: tuple[str, ...],
    uses: str | None,
    before: str | None,
    form: str,
    shop: str | None,
    no_shop: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Find the stored builds that use a part: for a recall, or when a rating changes.

    Every line that names it is listed, in whatever spelling (XT60, xt-60, XT 60),
    and the parts that are like one of those, or an item of the shop file that names
    it. Retired builds are searched, too.
    Exit status: 0 found, 1 nothing found, 2 a file could not be read or wrong usage.

    \b
    Example:
        packyoke find --uses XT60 examples/
        packyoke find --before 2027-01-01 builds/
    """
    from packyoke.answers.find.answer import dates_before, hits
    from packyoke.answers.find.page import find_json, find_page
    from packyoke.buildfile.reading import Document, is_build, is_foreign, is_shop, parse
    from packyoke.buildfile.reading.document import MOST_BYTES
    from packyoke.core.findings import clean

    if uses is None and before is None:
        wrong("--uses or --before is needed: what is looked for")
    words = tuple(word.strip() for word in (uses or "").split(",") if word.strip(" -_"))
    if uses is not None and not words:
        wrong(f'--uses "{uses}": a word is needed')
    day = day_of(before, "--before") if before is not None else ""
    found, read, unread, shops = [], 0, list[str](), Shops(shop, no_shop)
    for file in found_builds(builds):
        name, shown = file.name, shown_name(file.name)
        if file.skipped or (not file.given and os.path.basename(name) == SHOP_FILE):
            continue
        try:
            if file.fault:
                raise OSError(0, file.fault)
            text = take(name, MOST_BYTES, regular=not file.given)
        except OSError as error:
            unread.append(f"{shown}: {reason(error)}")
            continue
        document = parse(text, shown)
        if not isinstance(document, Document):
            if file.given or not is_foreign(text):
                unread.append(f"{shown}: cannot be read, packyoke check says why")
            continue
        if not file.given and (is_shop(document) or not is_build(document)):
            continue
        read += 1
        if words:
            own = shops.for_build(name)
            found += hits(document, words, own.shelf if own is not None else None)
        found += dates_before(document, day) if day else []
    sought = ", ".join(filter(None, (", ".join(words), f"before {day}" if day else "")))
    if form == "json":
        print_out(find_json(found, sought, read, unread), output, replace, [shop])
    else:
        print_page(find_page(found, clean(sought, 400), read, unread), form, output, replace, [shop])
    for each in unread:
        say(each, err=True)
    if unread or not read:
        say(f"{len(unread)} could not be read, {read} read", err=True)
        sys.exit(EXIT_WRONG)
    sys.exit(EXIT_OK if found else EXIT_FOUND)
