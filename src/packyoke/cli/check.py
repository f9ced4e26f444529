"""`packyoke check`."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
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
    wrong,
)
from packyoke.cli.intake import FileName, Found, take
from packyoke.cli.intake import builds as found_builds
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
    checked = _reports(files, skipped, day, Shops(shop, no_shop), form in BRIEF)
    reports = [report for report in checked if report is not None]
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
    files: list[Found], skipped: list[tuple[str, str]], today: str, shops: Shops, brief: bool
) -> Iterator[Report | None]:
    if len(files) >= BAR_FROM_FILES and sys.stderr is not None and sys.stderr.isatty():
        with click.progressbar(files, label="checking", file=sys.stderr) as bar:
            yield from (_report(each, skipped, today, shops, brief) for each in bar)
    else:
        yield from (_report(each, skipped, today, shops, brief) for each in files)


def _report(file: Found, skipped: list[tuple[str, str]], today: str, shops: Shops, brief: bool) -> Report | None:
    """Read and check one file; a file that cannot be read never hides the others."""
    from packyoke.api import Build, check, load, load_found
    from packyoke.buildfile.reading.document import MOST_BYTES

    name, shown = file.name, shown_name(file.name)
    if not file.given and os.path.basename(name) == SHOP_FILE:
        file = file._replace(skipped="the shop file")
    if file.skipped:
        skipped.append((shown, file.skipped))
        return None
    if file.fault:
        return _not_opened(shown, file.fault)
    try:
        text = take(name, MOST_BYTES)
    except OSError as error:
        return _not_opened(shown, error.strerror or str(error))
    read = load if file.given else load_found
    build = read(text, shown, today=today, shop=shops.for_build(name))
    if isinstance(build, str):
        skipped.append((shown, build))
        return None
    if not isinstance(build, list) and build.status == "retired" and not file.given:
        skipped.append((shown, "retired"))
        return None
    if isinstance(build, Build):
        try:
            build = on_tracks(build, name)
        except NoTrack as none:
            # The ride is one thing, the wires another: its range then is not known.
            say(none.told, err=True, nl=False)
    return check(build, shown, today=today, brief=brief)


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
