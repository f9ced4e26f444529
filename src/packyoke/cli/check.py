"""`packyoke check`."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from packyoke.cli.completing import rules
from packyoke.cli.files import (
    EXIT_CRASHED,
    EXIT_FOUND,
    EXIT_OK,
    EXIT_WRONG,
    SHOP_FILE,
    Shops,
    colour,
    day_of,
    output_options,
    print_out,
    shop_options,
    units_option,
    wrong,
)
from packyoke.cli.intake import MOST_RESULT_BYTES, FileName, take
from packyoke.cli.intake import builds as found_builds
from packyoke.cli.options import Adding, Command
from packyoke.cli.reports import CheckRequest, each_made, itself, lost, note
from packyoke.cli.streams import reason, say, shown_name

if TYPE_CHECKING:
    from packyoke.api import Report

BRIEF = ("lines", "sarif", "junit")
"""Formats that print findings and nothing else."""
FORMATS = ("text", "markdown", "html", "json", "sarif", "junit", "lines")
APART = ("json", "lines")
"""Formats in which what is written of one build does not depend on the others."""


class Ended(NamedTuple):
    """What the status of a run needs of one build, and what is written of it where that is done build by build."""

    file: str
    verdict: str
    recheck: str
    crashed: bool
    rides: bool
    text: str = ""


@click.command(cls=Command)
@click.argument("builds", nargs=-1, required=True, type=FileName(), metavar="BUILD...")
@click.option("--format", "form", type=click.Choice(FORMATS), default="text", show_default=True, help="How to print.")
@click.option("--all", "everything", is_flag=True, help="Also the usual notes; in JSON of several builds the rides.")
@click.option("--strict", is_flag=True, help="Exit 1 for a caution that nobody accepted, too.")
@click.option(
    "--only",
    cls=Adding,
    metavar="RULES",
    shell_complete=rules,
    help="Only these rules, with commas: packs-rush,live-pins.",
)
@click.option("--against", type=FileName(dir_okay=False), metavar="LAST.json", help="Fail on what is new or worse.")
@click.option("--lines", "template", metavar="TEMPLATE", help='Lines of your own form: "{file}:{line}: {message}".')
@click.option("--pass-over", is_flag=True, help="Pass over named files that are no builds (for hooks).")
@click.option("--today", metavar="DATE", default=None, help="The day to count acceptances from (2027-05-14).")
@units_option
@shop_options
@click.option(
    "--jobs", type=click.IntRange(0), show_default="as many as pay", help="Builds checked at once; 0: one on each core."
)
@click.option("--with-ticket", is_flag=True, help="Put the ticket into the JSON.")
@output_options
def check(
    builds: tuple[str, ...],
    form: str,
    everything: bool,
    strict: bool,
    only: str | None,
    against: str | None,
    template: str | None,
    pass_over: bool,
    system: str,
    today: str | None,
    shop: str | None,
    no_shop: bool,
    jobs: int | None,
    with_ticket: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Check builds in every combination of packs and at every state of charge.

    BUILD is a file, a folder (searched for *.yaml and *.yml) or - for standard input. Exit status: 0 nothing at stop
    or open, 1 something is, 2 a file could not be read or the usage is wrong. With --against only what is new or worse
    since LAST.json (of --format json) counts for 1. A template may name file, line, column, end_line, end_column,
    severity, rule, part, message, found, limit, do, fingerprint in braces.

    \b
    Example:
        packyoke check examples/skerry-long-tail.yaml
        packyoke check builds/ --format sarif --no-shop
        packyoke check examples/ --lines "{file}:{line}:{column}: {severity} {message}"
    """
    from packyoke.answers.check.lines import BadTemplate, checked_template
    from packyoke.api import batch

    if template is not None:
        if form not in ("text", "lines"):
            wrong(f"--lines prints lines, --format {form} something else; give one of them")
        try:
            form, template = "lines", checked_template(template)
        except BadTemplate as error:
            wrong(f'--lines "{template}": {error}')
    rules = _rules_of(only) if only is not None else None
    before = _earlier(against) if against is not None else None

    day = day_of(today)
    skipped: list[tuple[str, str]] = []
    files = [*found_builds(builds)]
    if pass_over:
        files = [file._replace(given=file.name == "-") for file in files]
    several = sum(not file.skipped and os.path.basename(file.name) != SHOP_FILE for file in files) > 1
    rides = everything or not (several and form == "json")
    how = CheckRequest(day, form in BRIEF, rides)
    shops = Shops(shop, no_shop)
    reports: list[Report] = []
    apart = before is None and form in APART
    if apart:
        write = partial(_written_of, form=form, with_ticket=with_ticket, template=template or "", rules=rules)
        ended = list(each_made(files, skipped, how, shops, jobs, write))
    else:
        reports += each_made(files, skipped, how, shops, jobs, itself)
        if before is not None:
            reports += lost(before, skipped)
        if rules is not None:
            reports = [_narrowed(report, rules) for report in reports]
        ended = [_ended(report) for report in reports]
    if not ended and pass_over:
        note(skipped)
        sys.exit(EXIT_OK)
    if not ended:
        note(skipped)
        wrong("no build was found: nothing was checked" + (f" ({len(skipped)} skipped)" if skipped else ""))
    made = None
    if before is not None:
        from packyoke.answers.check.against import against as held_against
        from packyoke.answers.results import NotAResult

        last = shown_name(str(against))
        try:
            made = held_against(last, before, reports, rules, skipped)
        except NotAResult as error:
            wrong(f"--against {last}: {error}")
    run = batch(reports, skipped, rules)
    if apart:
        text = _together(run, ended, form)
    else:
        text = _rendered(run, form, everything, with_ticket, output, strict, template or "", made, system)
    print_out(text, output, replace, [shop, against])
    note(skipped)
    _due(ended, day)
    verdicts = [each.verdict for each in ended]
    unreadable = verdicts.count("unreadable")
    failing = {"stop", "open", "caution"} if strict else {"stop", "open"}
    failed = sum(verdict in failing for verdict in verdicts)
    what = "at stop, open or caution" if strict else "at stop or open"
    if made is not None:
        from packyoke.answers.check.against import against_text
        from packyoke.answers.check.against import failing as newly

        if form != "text":
            say(against_text(made), err=True, nl=False)
        failed = len(newly(made, frozenset(failing)))
        what = f"{what}, new or worse"
    crashed = [each.file for each in ended if each.crashed]
    if crashed:
        say(f"{len(crashed)} not checked to the end, the program failed: {', '.join(crashed)}", err=True)
    if unreadable:
        say(f"{unreadable} could not be read, {failed} {what}, of {len(ended)}", err=True)
        sys.exit(EXIT_CRASHED if crashed else EXIT_WRONG)
    if len(ended) > 1:
        say(f"{failed} {what}, of {len(ended)}", err=True)
    if crashed:
        sys.exit(EXIT_CRASHED)
    sys.exit(EXIT_FOUND if failed else EXIT_OK)


def _rules_of(only: str) -> frozenset[str]:
    """The rules that are named; one that is not there ends the command."""
    from difflib import get_close_matches

    from packyoke.rules import RULES

    known = [rule.name for rule in RULES]
    named = [name.strip().lower() for name in only.split(",")]
    for name in named:
        if name not in known:
            near = get_close_matches(name, known, n=1)
            wrong(f'--only: there is no rule "{name}"' + (f". Did you mean {near[0]}?" if near else "; packyoke why"))
    return frozenset(named)


def _ended(report: Report, text: str = "") -> Ended:
    from packyoke.answers.changes import whole

    return Ended(report.file, report.verdict, report.recheck, not whole(report.findings), report.rides, text)


def _written_of(report: Report, *, form: str, with_ticket: bool, template: str, rules: frozenset[str] | None) -> Ended:
    """What is written of one build, by the process that checked it: the report itself need not travel then."""
    if rules is not None:
        report = _narrowed(report, rules)
    if form == "json":
        from packyoke.answers.check.as_json import build_json

        return _ended(report, build_json(report, with_ticket=with_ticket))
    from packyoke.answers.check.lines import build_lines

    return _ended(report, build_lines(report, template))


def _together(run: Any, ended: Sequence[Ended], form: str) -> str:
    """The document of a run of what was written build by build."""
    texts = [each.text for each in ended]
    if form == "json":
        from packyoke.answers.check.as_json import document_json

        return document_json(run, texts, rides=all(each.rides for each in ended))
    return "".join(texts)


def _narrowed(report: Report, rules: frozenset[str]) -> Report:
    """A report with the findings of some rules only, and a verdict that follows from them; its name says so."""
    from dataclasses import replace

    if report.verdict == "unreadable":
        return report
    findings = tuple(each for each in report.findings if each.rule in rules or each.rule == "rule-crashed")
    kept = {each.fingerprint for each in findings}
    asked = tuple(each for each in report.to_find_out if kept & {*each.settles})
    worst = max(
        (each.severity.word for each in findings if not each.accepted and each.severity.word != "note"),
        key=("caution", "open", "stop").index,
        default="none-found",
    )
    name = f"{report.name} (only {', '.join(sorted(rules))})"
    return replace(report, name=name, findings=findings, to_find_out=asked, verdict=worst, cure=None, meanwhile="")


def _earlier(name: str) -> Any:
    """The findings of an earlier result; what is wrong with it ends the command."""
    from packyoke.answers.results import NotAResult, read_result

    try:
        return read_result(take(name, MOST_RESULT_BYTES))
    except OSError as error:
        wrong(f"--against {shown_name(name)} cannot be opened: {reason(error)}")
    except NotAResult as error:
        wrong(f"--against {shown_name(name)}: {error}")


def _due(ended: Sequence[Ended], day: str) -> None:
    """Say which builds are to be looked at again by their own date."""
    due = [f"{each.file} ({each.recheck})" for each in ended if each.recheck and each.recheck <= day]
    if due:
        say(f"{len(due)} due for a re-check: {', '.join(due)}", err=True)


def _rendered(
    batch: Any,
    form: str,
    everything: bool,
    with_ticket: bool,
    output: str | None,
    strict: bool,
    template: str,
    made: Any,
    system: str,
) -> str:
    if form == "json":
        from packyoke.answers.check.against import against_data
        from packyoke.answers.check.as_json import batch_json

        return batch_json(batch, with_ticket=with_ticket, against=against_data(made) if made else None)
    if form == "markdown":
        from packyoke.answers.check.page import batch_markdown

        return batch_markdown(batch, everything=everything, system=system)
    if form == "lines":
        from packyoke.answers.check.lines import batch_lines

        return batch_lines(batch, template)
    if form == "sarif":
        from packyoke.answers.check.sarif import batch_sarif

        return batch_sarif(batch, made)
    if form == "junit":
        from packyoke.answers.check.junit import batch_junit

        return batch_junit(batch, strict=strict, against=made)
    if form == "html":
        from packyoke.answers.check.page import batch_html

        return batch_html(batch, everything=everything, system=system)
    from packyoke.answers.check.page import batch_text

    text = batch_text(batch, colour=colour(output), everything=everything, system=system)
    if made is None:
        return text
    from packyoke.answers.check.against import against_text

    return text + "\n" + against_text(made)
