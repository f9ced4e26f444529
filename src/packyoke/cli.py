"""The command line: the one place that reads arguments and files, prints, and chooses exit codes.

Everything heavy is imported inside the command that needs it, so that help stays quick.
"""

from __future__ import annotations

import difflib
import gc
import os
import sys
from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from packyoke import __version__

if TYPE_CHECKING:
    from packyoke.api import Build, Report

BRIEF = ("lines", "sarif", "junit")
"""Formats that print findings and nothing else."""
FORMATS = ("text", "markdown", "html", "json", "sarif", "junit", "lines")
EXIT_OK, EXIT_FOUND, EXIT_WRONG, EXIT_INTERRUPTED = 0, 1, 2, 130
BAR_FROM_FILES = 30


class Commands(click.Group):
    """A group that answers a mistyped command with the nearest one."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            near = difflib.get_close_matches(args[0], self.list_commands(ctx), n=1)
            if near:
                raise click.UsageError(f"{error.message} Did you mean {near[0]}?", ctx) from None
            raise


def versions(ctx: click.Context, _param: click.Parameter, value: bool) -> None:
    """Print the versions of the tool, its rules and its shelf."""
    if not value or ctx.resilient_parsing:
        return
    from packyoke.rules import VERSION
    from packyoke.shelf import SHELF

    click.echo(f"packyoke {__version__}, rules {VERSION}, shelf {SHELF}")
    ctx.exit()


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.option("--version", is_flag=True, callback=versions, expose_value=False, is_eager=True, help="Print versions.")
def app() -> None:
    """Plan and check electric-bike builds that run several battery packs in parallel."""


@app.command()
@click.argument("builds", nargs=-1, required=True, metavar="BUILD...")
@click.option("--format", "form", type=click.Choice(FORMATS), default="text", show_default=True, help="How to print.")
@click.option("--strict", is_flag=True, help="Exit 1 for a caution that nobody accepted, too.")
@click.option("--today", metavar="DATE", default=None, help="The day to count acceptances from (2027-05-14).")
@click.option("--shop", type=click.Path(dir_okay=False), help="The shop file to use.")
@click.option("--no-shop", is_flag=True, help="Use no shop file (for CI).")
@click.option("--with-ticket", is_flag=True, help="Put the ticket into the JSON.")
@click.option("--output", type=click.Path(dir_okay=False), help="Write to a new file instead of printing.")
@click.option("--replace", is_flag=True, help="Let --output replace a file that exists.")
def check(
    builds: tuple[str, ...], form: str, strict: bool, today: str | None, shop: str | None, no_shop: bool,
    with_ticket: bool, output: str | None, replace: bool,
) -> None:  # fmt: skip
    """Check builds in every combination of packs and at every state of charge.

    BUILD is a file, a folder (searched for *.yaml and *.yml) or - for standard input. Exit status: 0 nothing at stop
    or open, 1 something is, 2 a file could not be read or the usage is wrong.

    \b
    Example:
        packyoke check examples/skerry-long-tail.yaml
        packyoke check builds/ --format sarif --no-shop
    """
    from packyoke.api import batch

    # Reports of many files are kept to the end, and a check makes next to no cycles: looking for them costs a tenth.
    gc.set_threshold(100_000, 50, 50)
    day = _day(today)
    skipped: list[tuple[str, str]] = []
    files = list(_files(builds, skipped))
    checked = _reports(files, skipped, day, Shops(shop, no_shop), form in BRIEF)
    reports = [report for report in checked if report is not None]
    if not reports:
        _note(skipped)
        _wrong("no build was found: nothing was checked" + (f" ({len(skipped)} skipped)" if skipped else ""))
    _print(_rendered(batch(reports, skipped), form, with_ticket), output, replace, [*(name for name, _ in files), shop])
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


@app.command()
@click.argument("build", metavar="BUILD")
@click.option("--packs", metavar="NAMES", help="The packs plugged in, with commas; all when left out.")
@click.option("--at", metavar="STATES", help="States of charge at the start: keel=100,pannier=60.")
@click.option("--volts", metavar="VOLTS", help="Resting voltages at the start instead: keel=57.1,pannier=55.")
@click.option("--load", metavar="LOAD", help='What is drawn: "15 A" or "500 W"; else what the controller may draw.')
@click.option("--cold", metavar="TEMPERATURE", help='Temperature of the cells, for example "0 degC"; else 20 degC.')
@click.option("--health", metavar="SHARE", help='Capacity that is left, for example "80 %"; else as new.')
@click.option("--format", "form", type=click.Choice(("text", "json", "csv")), default="text", show_default=True)
@click.option("--output", type=click.Path(dir_okay=False), help="Write to a new file instead of printing.")
@click.option("--replace", is_flag=True, help="Let --output replace a file that exists.")
def rundown(
    build: str, packs: str | None, at: str | None, volts: str | None, load: str | None, cold: str | None,
    health: str | None, form: str, output: str | None, replace: bool,
) -> None:  # fmt: skip
    """Show which pack supplies when, when they level, and what a set of packs is worth.

    Exit status: 0 answered, 1 the packs cannot deliver the load or their protection
    allows less, 2 wrong input.

    \b
    Example:
        packyoke rundown examples/skerry-long-tail.yaml --load "12 A"
        packyoke rundown examples/skerry-long-tail.yaml --at keel=100,pannier=60
    """
    from packyoke import running
    from packyoke.report import rundown as printed

    model = _one_build(build)
    try:
        view = running.view(model, packs=packs, at=at, volts=volts, load=load, cold=cold, health=health)
    except running.WrongInput as error:
        _wrong(str(error))
    made = {"text": printed.rundown_text, "json": printed.rundown_json, "csv": printed.rundown_csv}[form](view)
    _print(made, output, replace, [build])
    sys.exit(EXIT_FOUND if view.found.ended == "cannot deliver" or view.beyond else EXIT_OK)


@app.command()
@click.argument("rule", required=False)
@click.option("--symptom", metavar="TEXT", help="Find the rules by what a rider notices.")
def why(rule: str | None, symptom: str | None) -> None:
    """Explain a rule: what it finds, why it matters, where the limit comes from, what to do.

    Without a name it lists the rules.

    \b
    Example:
        packyoke why packs-rush
        packyoke why --symptom "dies on hills"
    """
    from packyoke.rules import pages

    if symptom is not None:
        found = pages.by_symptom(symptom)
        if not found:
            click.echo(f'No rule knows the symptom "{symptom}". Try other words, or: packyoke why', err=True)
            sys.exit(EXIT_FOUND)
        for page, notices in found:
            click.echo(f"{page.name:<24} {page.title}\n{'':<24}   a rider notices: {notices}")
        return
    if rule is None:
        for page in pages.all_pages():
            click.echo(f"{page.name:<24} {page.title}")
        return
    page_or_none = pages.page(rule)
    if page_or_none is None:
        near = difflib.get_close_matches(rule, pages.names(), n=1)
        _wrong(f'there is no rule "{rule}"' + (f". Did you mean {near[0]}?" if near else "; list them: packyoke why"))
    click.echo(pages.text(page_or_none))


def _one_build(name: str) -> Build:
    """The build in one file; its mistakes are printed and end the command."""
    from packyoke.api import load
    from packyoke.report.text import mistakes_text

    try:
        text = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    except OSError as error:
        _wrong(f"{name} cannot be opened: {error.strerror or error}")
    found = load(text, name, shop=Shops(None, False).for_build(name))
    if isinstance(found, list):
        click.echo(mistakes_text(name, found), err=True, nl=False)
        sys.exit(EXIT_WRONG)
    return found


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


class Shops:
    """The shop file that counts for a build: the one that was named, or the nearest one upwards."""

    def __init__(self, named: str | None, none: bool) -> None:
        self.none = none
        self.named = self._load(Path(named)) if named and not none else None
        self._by_folder: dict[Path, Any] = {}

    def for_build(self, name: str) -> Any:
        if self.none or self.named is not None:
            return self.named
        folder = Path.cwd() if name == "-" else Path(name).resolve().parent
        if folder not in self._by_folder:
            near = next((up / SHOP_FILE for up in (folder, *folder.parents) if (up / SHOP_FILE).is_file()), None)
            self._by_folder[folder] = self._load(near) if near else None
        return self._by_folder[folder]

    @staticmethod
    def _load(path: Path) -> Any:
        from packyoke.api import load_shop
        from packyoke.report.text import mistakes_text

        try:
            shop = load_shop(path.read_bytes(), str(path))
        except OSError as error:
            _wrong(f"the shop file {path} cannot be read: {error.strerror}")
        if isinstance(shop, list):
            click.echo(mistakes_text(str(path), shop), err=True, nl=False)
            _wrong(f"the shop file {path} has mistakes")
        return shop


SHOP_FILE = "packyoke-shop.yaml"


def _report(
    name: str, given: bool, skipped: list[tuple[str, str]], today: str, shops: Shops, brief: bool
) -> Report | None:
    """Read and check one file; a file that cannot be read never hides the others."""
    from packyoke.api import Finding, Severity, check, load, load_found

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
    return check(build, name, today=today, brief=brief)


def _rendered(batch: Any, form: str, with_ticket: bool) -> str:
    if form == "json":
        from packyoke.report.as_json import batch_json

        return batch_json(batch, with_ticket=with_ticket)
    if form == "markdown":
        from packyoke.report.markdown import batch_markdown

        return batch_markdown(batch)
    if form == "lines":
        from packyoke.report.lines import batch_lines

        return batch_lines(batch)
    if form == "sarif":
        from packyoke.report.sarif import batch_sarif

        return batch_sarif(batch)
    if form == "junit":
        from packyoke.report.junit import batch_junit

        return batch_junit(batch)
    if form == "html":
        from packyoke.report.html import batch_html

        return batch_html(batch)
    from packyoke.report.text import batch_text

    return batch_text(batch, colour=_colour())


def _colour() -> bool:
    if os.environ.get("FORCE_COLOR"):
        return True
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR")


def _print(text: str, output: str | None, replace: bool, given: Iterable[str | None]) -> None:
    """Print, or write to a new file: never over a file that was given to read, whatever was said."""
    if output is None:
        click.echo(text, nl=False, color=True)
        return
    target = Path(output).resolve()
    if target.name == SHOP_FILE or any(name and name != "-" and Path(name).resolve() == target for name in given):
        _wrong(f"{output} is a file that was given to read; it is never written to. Choose another name for --output")
    from packyoke.writing.files import OutputExists, write_new

    try:
        write_new(Path(output), text, replace=replace)
    except OutputExists:
        _wrong(f"{output} exists already and was left as it is; --replace lets it be replaced")
    except OSError as error:
        _wrong(f"{output} cannot be written: {error.strerror or error}")


def _day(today: str | None) -> str:
    if today is None:
        return date.today().isoformat()
    try:
        return date.fromisoformat(today).isoformat()
    except ValueError:
        _wrong(f'--today "{today}" is no day; write it as 2027-05-14')


def _note(skipped: list[tuple[str, str]]) -> None:
    if not skipped:
        return
    click.echo(f"{len(skipped)} skipped:", err=True)
    for name, why in skipped[:20]:
        click.echo(f"  {name}: {why}", err=True)
    if len(skipped) > 20:
        click.echo(f"  and {len(skipped) - 20} more", err=True)


def _wrong(message: str) -> NoReturn:
    click.echo(f"packyoke: {message}", err=True)
    sys.exit(EXIT_WRONG)


def main() -> None:
    """Run the command line; interrupts and closed pipes end it without a traceback."""
    try:
        app(standalone_mode=False, prog_name="packyoke")
    except click.exceptions.Exit as done:
        sys.exit(done.exit_code)
    except (click.exceptions.Abort, KeyboardInterrupt):
        click.echo("interrupted", err=True)
        sys.exit(EXIT_INTERRUPTED)
    except click.ClickException as error:
        error.show()
        sys.exit(EXIT_WRONG)
    except BrokenPipeError:
        # Whoever read the output has gone: nothing to say, and nobody to say it to.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(EXIT_OK)
