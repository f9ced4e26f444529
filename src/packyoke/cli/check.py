"""`packyoke check`."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from packyoke.cli.files import (
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

if TYPE_CHECKING:
    from packyoke.api import Report

BRIEF = ("lines", "sarif", "junit")
"""Formats that print findings and nothing else."""
FORMATS = ("text", "markdown", "html", "json", "sarif", "junit", "lines")
BAR_FROM_FILES = 30


@click.command()
@click.argument("builds", nargs=-1, required=True, metavar="BUILD...")
@click.option("--format", "form", type=click.Choice(FORMATS), default="text", show_default=True, help="How to print.")
@click.option("--strict", is_flag=True, help="Exit 1 for a caution that nobody accepted, too.")
@click.option("--today", metavar="DATE", default=None, help="The day to count acceptances from (2027-05-14).")
@shop_options
@click.option("--with-ticket", is_flag=True, help="Put the ticket into the JSON.")
@output_options
def check(
    builds: tuple[str, ...],
    form: str,
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
    files = list(_files(builds, skipped))
    checked = _reports(files, skipped, day, Shops(shop, no_shop), form in BRIEF)
    reports = [report for report in checked if report is not None]
    if not reports:
        _note(skipped)
        wrong("no build was found: nothing was checked" + (f" ({len(skipped)} skipped)" if skipped else ""))
    text = _rendered(batch(reports, skipped), form, with_ticket)
    print_out(text, output, replace, [*(name for name, _ in files), shop])
    _note(skipped)
    verdicts = [report.verdict for report in reports]
    unreadable = verdicts.count("unreadable")
    failing = {"stop", "open", "caution"} if strict else {"stop", "open"}
    failed = sum(verdict in failing for verdict in verdicts)
    if unreadable:
        click.echo(f"{unreadable} could not be read, {failed} at stop or open, of {len(reports)}", err=True)
        sys.exit(EXIT_WRONG)
    if len(reports) > 1:
        click.echo(f"{failed} at stop or open, of {len(reports)}", err=True)
    sys.exit(EXIT_FOUND if failed else EXIT_OK)


def _files(builds: Iterable[str], skipped: list[tuple[str, str]]) -> Iterator[tuple[str, bool]]:
    """Each file to read, and whether it was given by name."""
    for build in builds:
        path = Path(build)
        if build != "-" and path.is_dir():
            inside = sorted(each for each in path.rglob("*") if each.suffix in (".yaml", ".yml") and each.is_file())
            if not inside:
                skipped.append((build, "no *.yaml or *.yml in this folder"))
            yield from ((str(each), False) for each in inside)
        else:
            yield build, True


def _reports(
    files: list[tuple[str, bool]], skipped: list[tuple[str, str]], today: str, shops: Shops, brief: bool
) -> Iterator[Report | None]:
    if len(files) >= BAR_FROM_FILES and sys.stderr.isatty():
        with click.progressbar(files, label="checking", file=sys.stderr) as bar:
            yield from (_report(name, given, skipped, today, shops, brief) for name, given in bar)
    else:
        yield from (_report(name, given, skipped, today, shops, brief) for name, given in files)


def _report(
    name: str, given: bool, skipped: list[tuple[str, str]], today: str, shops: Shops, brief: bool
) -> Report | None:
    """Read and check one file; a file that cannot be read never hides the others."""
    from packyoke.api import Build, Finding, Severity, check, load, load_found

    if not given and Path(name).name == SHOP_FILE:
        skipped.append((name, "the shop file"))
        return None
    try:
        text = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    except OSError as error:
        why = error.strerror or str(error)
        mistake = Finding(
            rule="unreadable",
            severity=Severity.STOP,
            part="build",
            message=f"cannot be opened: {why}",
            do="Check the name and the rights of the file.",
        )
        return check([mistake], name)
    read = load if given else load_found
    build = read(text, name, today=today, shop=shops.for_build(name))
    if isinstance(build, str):
        skipped.append((name, build))
        return None
    if not isinstance(build, list) and build.status == "retired" and not given:
        skipped.append((name, "retired"))
        return None
    if isinstance(build, Build):
        try:
            build = on_tracks(build, name)
        except NoTrack as none:
            # The ride is one thing, the wires another: its range then is not known.
            click.echo(none.told, err=True, nl=False)
    return check(build, name, today=today, brief=brief)


def _rendered(batch: Any, form: str, with_ticket: bool) -> str:
    if form == "json":
        from packyoke.answers.check.as_json import batch_json

        return batch_json(batch, with_ticket=with_ticket)
    if form == "markdown":
        from packyoke.answers.check.markdown import batch_markdown

        return batch_markdown(batch)
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
        from packyoke.answers.check.html import batch_html

        return batch_html(batch)
    from packyoke.answers.check.text import batch_text

    return batch_text(batch, colour=colour())


def _note(skipped: list[tuple[str, str]]) -> None:
    if not skipped:
        return
    click.echo(f"{len(skipped)} skipped:", err=True)
    for name, why in skipped[:20]:
        click.echo(f"  {name}: {why}", err=True)
    if len(skipped) > 20:
        click.echo(f"  and {len(skipped) - 20} more", err=True)
