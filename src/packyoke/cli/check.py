"""`packyoke check`."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import closing
from functools import partial
from typing import TYPE_CHECKING, Any

import click

from packyoke.cli.files import (
    EXIT_CRASHED,
    EXIT_FOUND,
    EXIT_OK,
    EXIT_WRONG,
    SHOP_FILE,
    NoTrack,
    Shops,
    colour,
    day_of,
    on_tracks,
    output_options,
    print_out,
    shop_options,
    tracks_of,
    wrong,
)
from packyoke.cli.intake import FileName, Found, remember, take
from packyoke.cli.intake import builds as found_builds
from packyoke.cli.jobs import Read, each_read
from packyoke.cli.options import Command
from packyoke.cli.streams import say, shown_name

if TYPE_CHECKING:
    from packyoke.api import Report

BRIEF = ("lines", "sarif", "junit")
"""Formats that print findings and nothing else."""
FORMATS = ("text", "markdown", "html", "json", "sarif", "junit", "lines")
BAR_FROM_FILES = 30


@click.command(cls=Command)
@click.argument("builds", nargs=-1, required=True, type=FileName(), metavar="BUILD...")
@click.option("--format", "form", type=click.Choice(FORMATS), default="text", show_default=True, help="How to print.")
@click.option("--all", "everything", is_flag=True, help="Also show the notes that stand on nearly every bike.")
@click.option("--strict", is_flag=True, help="Exit 1 for a caution that nobody accepted, too.")
@click.option("--today", metavar="DATE", default=None, help="The day to count acceptances from (2027-05-14).")
@shop_options
@click.option(
    "--jobs", type=click.IntRange(0), default=1, show_default=True, help="Builds checked at once; 0: one on each core."
)
@click.option("--with-ticket", is_flag=True, help="Put the ticket into the JSON.")
@output_options
def check(
    builds: tuple[str, ...],
    form: str,
    everything: bool,
    strict: bool,
    today: str | None,
    shop: str | None,
    no_shop: bool,
    jobs: int,
    with_ticket: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Check builds in every combination of packs and at every state of charge.

    BUILD is a file, a folder (searched for *.yaml and *.yml) or - for standard input. Exit status: 0 nothing at stop
    or open, 1 something is, 2 a file could not be read or the usage is wrong.

    \b
    Example:
        packyoke check examples/skerry-long-tail.yaml
        packyoke check builds/ --format sarif --no-shop
    """
    from packyoke.api import batch

    day = day_of(today)
    skipped: list[tuple[str, str]] = []
    files = list(found_builds(builds))
    reports = list(_reports(files, skipped, day, Shops(shop, no_shop), form in BRIEF, jobs))
    if not reports:
        _note(skipped)
        wrong("no build was found: nothing was checked" + (f" ({len(skipped)} skipped)" if skipped else ""))
    text = _rendered(batch(reports, skipped), form, everything, with_ticket, colour(output))
    print_out(text, output, replace, [shop])
    _note(skipped)
    verdicts = [report.verdict for report in reports]
    unreadable = verdicts.count("unreadable")
    failing = {"stop", "open", "caution"} if strict else {"stop", "open"}
    failed = sum(verdict in failing for verdict in verdicts)
    crashed = any(finding.rule == "rule-crashed" for report in reports for finding in report.findings)
    if unreadable:
        say(f"{unreadable} could not be read, {failed} at stop or open, of {len(reports)}", err=True)
        sys.exit(EXIT_CRASHED if crashed else EXIT_WRONG)
    if len(reports) > 1:
        say(f"{failed} at stop or open, of {len(reports)}", err=True)
    if crashed:
        sys.exit(EXIT_CRASHED)
    sys.exit(EXIT_FOUND if failed else EXIT_OK)


def _reports(
    files: list[Found], skipped: list[tuple[str, str]], today: str, shops: Shops, brief: bool, jobs: int
) -> Iterator[Report]:
    with closing(each_read(files, shops, partial(_report, today=today, brief=brief), jobs)) as reads:
        if len(files) >= BAR_FROM_FILES and sys.stderr is not None and sys.stderr.isatty():
            with click.progressbar(reads, length=len(files), label="checking", file=sys.stderr) as bar:
                yield from _kept(bar, skipped)
        else:
            yield from _kept(reads, skipped)


def _kept(reads: Iterable[Read], skipped: list[tuple[str, str]]) -> Iterator[Report]:
    """The reports; what is no report is said or counted here, in the order of the files whoever read them."""
    for each in reads:
        for name in each.named:
            remember(name)
        if each.told:
            say(each.told, err=True, nl=False)
        if each.skipped:
            skipped.append((shown_name(each.file), each.skipped))
        elif each.report is not None:
            yield each.report


def _report(file: Found, shops: Shops, *, today: str, brief: bool) -> Read:
    """Read and check one file; a file that cannot be read never hides the others."""
    from packyoke.api import Build, check, load, load_found
    from packyoke.buildfile.reading.document import MOST_BYTES

    name, shown = file.name, shown_name(file.name)
    if not file.given and os.path.basename(name) == SHOP_FILE:
        return Read(name, skipped="the shop file")
    if file.skipped:
        return Read(name, skipped=file.skipped)
    if file.fault:
        return Read(name, _not_opened(shown, file.fault))
    try:
        text = take(name, MOST_BYTES)
    except OSError as error:
        return Read(name, _not_opened(shown, error.strerror or str(error)), named=(name,))
    read = load if file.given else load_found
    build = read(text, shown, today=today, shop=shops.for_build(name))
    if isinstance(build, str):
        return Read(name, skipped=build, named=(name,))
    told = ""
    named: tuple[str, ...] = (name,)
    if isinstance(build, Build):
        named += tuple(tracks_of(build, name).values())
        if build.status == "retired" and not file.given:
            return Read(name, skipped="retired", named=named)
        try:
            build = on_tracks(build, name)
        except NoTrack as none:
            # The ride is one thing, the wires another: its range then is not known.
            told = none.told
    return Read(name, check(build, shown, today=today, brief=brief), told=told, named=named)


def _not_opened(shown: str, why: str) -> Report:
    from packyoke.api import Finding, Severity, check

    mistake = Finding(
        rule="unreadable",
        severity=Severity.STOP,
        part="build",
        message=f"cannot be opened: {why}",
        do="Check the name and the rights of the file.",
    )
    return check([mistake], shown)


def _rendered(batch: Any, form: str, everything: bool, with_ticket: bool, coloured: bool) -> str:
    if form == "json":
        from packyoke.answers.check.as_json import batch_json

        return batch_json(batch, with_ticket=with_ticket)
    if form == "markdown":
        from packyoke.answers.check.page import batch_markdown

        return batch_markdown(batch, everything=everything)
    if form == "lines":
        from packyoke.answers.check.lines import batch_lines

        return batch_lines(batch)
    if form == "sarif":
        from packyoke.answers.check.sarif import batch_sarif

        return batch_sarif(batch)
    if form == "junit":
        from packyoke.answers.check.junit import batch_junit

        return batch_junit(batch)
    if form == "html":
        from packyoke.answers.check.page import batch_html

        return batch_html(batch, everything=everything)
    from packyoke.answers.check.page import batch_text

    return batch_text(batch, colour=coloured, everything=everything)


def _note(skipped: list[tuple[str, str]]) -> None:
    """Everything that was passed over, by name: a build must never drop out unseen."""
    if skipped:
        say("\n  ".join([f"{len(skipped)} skipped:", *(f"{name}: {why}" for name, why in skipped)]), err=True)
