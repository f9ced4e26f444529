"""`packyoke compare`."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING, Literal

import click

from packyoke.cli.files import (
    EXIT_CRASHED,
    EXIT_FOUND,
    EXIT_OK,
    EXIT_WRONG,
    FORMS,
    Shops,
    day_of,
    formed,
    output_options,
    print_out,
    read_one,
    shop_options,
    units_option,
    wrong,
)
from packyoke.cli.intake import MOST_RESULT_BYTES, FileName, below, take
from packyoke.cli.options import Command
from packyoke.cli.reports import CheckRequest, each_made, itself, note
from packyoke.cli.streams import reason, say, shown_name

if TYPE_CHECKING:
    from packyoke.answers.compare.many import Folder, ManyView
    from packyoke.answers.results import Result

CALLED = {"folder": "a folder", "result": "a result of the check in JSON", "build": "a build file"}


@click.command(cls=Command)
@click.argument("old", type=FileName(), metavar="OLD")
@click.argument("new", type=FileName(), metavar="NEW")
@click.option("--format", "form", type=click.Choice((*FORMS, "json")), default="text", show_default=True)
@click.option("--today", metavar="DATE", default=None, help="The day to count acceptances from (2027-05-14).")
@units_option
@shop_options
@click.option(
    "--jobs", type=click.IntRange(0), show_default="as many as pay", help="Builds checked at once; 0: one on each core."
)
@output_options
def compare(
    old: str,
    new: str,
    form: str,
    system: str,
    today: str | None,
    shop: str | None,
    no_shop: bool,
    jobs: int | None,
    output: str | None,
    replace: bool,
) -> None:
    """Compare a build with an earlier version: findings, currents, energy, mass, price.

    OLD and NEW are two builds, two folders of builds, or two results of
    packyoke check --format json. In folders a build is known by its path below
    the folder, in results by its file name.

    The price is that of the parts added, less that of those removed, where a shop
    file has them on its shelf with prices: packs, joiners, controllers, chargers,
    and what the leads are made of; fuses at packs go with the packs.
    Exit status: 0 answered, 1 a new build is at stop or has an open question,
    whether the old one had it or not, 2 wrong input or a build that cannot be read,
    3 a rule failed in the program: nobody knows what is new or gone.

    \b
    Example:
        packyoke compare examples/skerry-long-tail.yaml examples/skerry-long-tail.yaml
        packyoke compare examples/ examples/
        packyoke compare last.json now.json
    """
    from packyoke.answers.compare.many import of_folders

    if old == new == "-":
        wrong("only one of the two can come from standard input")
    texts = {name: b"" if os.path.isdir(name) else _text(name) for name in (old, new)}
    kinds = [_kind(name, texts[name]) for name in (old, new)]
    if kinds[0] != kinds[1]:
        wrong(
            f"{shown_name(old)} is {CALLED[kinds[0]]}, {shown_name(new)} {CALLED[kinds[1]]}; "
            "give two builds, two folders or two results"
        )
    if kinds[0] == "result":
        if shop is not None or no_shop or today is not None or jobs is not None:
            wrong("results are compared as they are: --shop, --no-shop, --today and --jobs are for builds")
        text, status, unread = _printed(_results(old, new, texts), form, output, system)
    elif kinds[0] == "folder":
        before, after = _folders(old, new, day_of(today), Shops(shop, no_shop), jobs)
        text, status, unread = _printed(of_folders(before, after), form, output, system)
    else:
        text, status = _two(old, new, texts, day_of(today), Shops(shop, no_shop), form, output, system)
        unread = ""
    print_out(text, output, replace, [old, new, shop])
    if unread:
        say(unread, err=True)
    if status == EXIT_CRASHED:
        say("a rule failed in the program: what is new or gone is not known", err=True)
    sys.exit(status)


def _printed(view: ManyView, form: str, output: str | None, system: str) -> tuple[str, int, str]:
    """What is printed, the exit status, and what is said last of builds that could not be read."""
    from packyoke.answers.compare.many_page import many_json, many_page

    text = many_json(view) if form == "json" else formed(many_page(view), form, output, system, view.written)
    unread = f"{view.unreadable} could not be read, of {len(view.pairs)}" if view.unreadable else ""
    return text, _status(view.whole, EXIT_WRONG if unread else EXIT_OK if view.answered else EXIT_FOUND), unread


def _status(whole: bool, status: int) -> int:
    """Where a rule failed nobody knows what it would have said: never an answer, nor a no."""
    return status if whole else EXIT_CRASHED


def _text(name: str) -> bytes:
    try:
        return take(name, MOST_RESULT_BYTES)
    except OSError as error:
        wrong(f"{shown_name(name)} cannot be opened: {reason(error)}")


def _kind(name: str, text: bytes) -> Literal["folder", "result", "build"]:
    from packyoke.answers.results import is_result

    if os.path.isdir(name):
        return "folder"
    return "result" if name.casefold().endswith(".json") or is_result(text) else "build"


def _two(
    old: str, new: str, texts: dict[str, bytes], day: str, shops: Shops, form: str, output: str | None, system: str
) -> tuple[str, int]:
    """Two builds: what is printed, and the exit status."""
    from packyoke.answers.changes import whole
    from packyoke.answers.compare.answer import view
    from packyoke.answers.compare.page import compare_json, compare_page

    before, after = (read_one(texts[name], name, shops, day) for name in (old, new))
    found = view(before, after, shops.for_build(new), day)
    if found is None:
        wrong(f"{old} and {new} have neither a pack nor a joiner nor the name in common: these are two bikes")
    text = compare_json(found) if form == "json" else formed(compare_page(found), form, output, system, before, after)
    ended = all(whole(each.findings) for each in (found.old, found.new))
    return text, _status(ended, EXIT_OK if found.answered else EXIT_FOUND)


def _results(old: str, new: str, texts: dict[str, bytes]) -> ManyView:
    from packyoke.answers.compare.many import of_results
    from packyoke.answers.results import NotAResult, read_result

    def read(name: str) -> Result:
        try:
            return read_result(texts[name])
        except NotAResult as error:
            wrong(f"{shown_name(name)}: {error}")

    try:
        return of_results(shown_name(old), shown_name(new), read(old), read(new))
    except NotAResult as error:
        wrong(str(error))


def _folders(old: str, new: str, day: str, shops: Shops, jobs: int | None) -> tuple[Folder, Folder]:
    before, after = (_folder(name, day, shops, jobs) for name in (old, new))
    if not before.reports or not after.reports:
        empty = old if not before.reports else new
        wrong(f"no build was found in {shown_name(empty)}: nothing was compared")
    return before, after


def _folder(name: str, day: str, shops: Shops, jobs: int | None) -> Folder:
    """What lies below a folder; mistakes of files that cannot be read are said here."""
    from packyoke.answers.check.mistakes import mistakes_text
    from packyoke.answers.compare.many import Folder

    skipped: list[tuple[str, str]] = []
    reports = {}
    how = CheckRequest(day, brief=True, rides=False)
    for each in each_made(below(name), skipped, how, shops, jobs, itself):
        reports[_below(each.file, name)] = each
        if each.verdict == "unreadable":
            say(mistakes_text(each.file, each.findings), err=True, nl=False)
    note(skipped)
    return Folder(shown_name(name), reports, {_below(file, name): why for file, why in skipped})


def _below(file: str, folder: str) -> str:
    """The path of a file below its folder, whatever the system parts folders with."""
    return os.path.relpath(file, shown_name(folder)).replace(os.sep, "/")
