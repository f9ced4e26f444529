"""Reports of the builds in many files: each read and checked, whatever becomes of the others."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from functools import partial
from typing import TYPE_CHECKING, NamedTuple

import click

from packyoke.cli.files import SHOP_FILE, NoTrack, Shops, on_tracks, tracks_of
from packyoke.cli.intake import FoundFile, remember, take
from packyoke.cli.jobs import Made, Read, each_read
from packyoke.cli.streams import reason, say, shown_name
from packyoke.core.paths import BUILD

if TYPE_CHECKING:
    from packyoke.answers.results import Result
    from packyoke.api import Report

BAR_FROM_FILES = 30
RETIRED = "retired"


class CheckRequest(NamedTuple):
    """What is asked of each build, as `api.check` takes it."""

    today: str
    brief: bool
    rides: bool


def itself(report: Report) -> Report:
    return report


def each_made(
    files: list[FoundFile],
    skipped: list[tuple[str, str]],
    asked: CheckRequest,
    shops: Shops,
    jobs: int | None,
    make: Callable[[Report], Made],
) -> Iterator[Made]:
    """What is made of the report of each build, in the order of the files, by whichever process checked it.

    :param make: a function with a name of its own, `itself` where the reports are wanted: a whole report takes as long
        from one process to another as half of its check
    """
    read, not_read = partial(_report, asked=asked, make=make), partial(_not_checked, make=make)
    with closing(each_read(files, shops, read, not_read, jobs)) as reads:
        if len(files) >= BAR_FROM_FILES and sys.stderr is not None and sys.stderr.isatty():
            with click.progressbar(reads, length=len(files), label="checking", file=sys.stderr) as bar:
                yield from _kept(bar, skipped)
        else:
            yield from _kept(reads, skipped)


def _kept(reads: Iterable[Read[Made]], skipped: list[tuple[str, str]]) -> Iterator[Made]:
    """What was made; what else there is to say is said or counted here, in the order of the files."""
    for each in reads:
        for name in each.named:
            remember(name)
        if each.told:
            say(each.told, err=True, nl=False)
        if each.skipped:
            skipped.append((shown_name(each.file), each.skipped))
        elif each.made is not None:
            yield each.made


def _report(file: FoundFile, shops: Shops, *, asked: CheckRequest, make: Callable[[Report], Made]) -> Read[Made]:
    """Read and check one file; a file that cannot be read, or on which the program fails, never hides the others."""
    try:
        return _checked(file, shops, asked, make)
    except Exception as error:
        if os.environ.get("PACKYOKE_DEBUG"):
            raise  # whoever wants the trace gets it
        return _not_checked(file, f"{type(error).__name__}: {error}", make=make)


def _checked(file: FoundFile, shops: Shops, asked: CheckRequest, make: Callable[[Report], Made]) -> Read[Made]:
    from packyoke.api import Build, check, load, load_found
    from packyoke.buildfile.reading.document import MOST_BYTES

    name, shown = file.name, shown_name(file.name)
    if not file.given and os.path.basename(name) == SHOP_FILE:
        return Read(name, skipped="the shop file")
    if file.skipped:
        return Read(name, skipped=file.skipped)
    if file.fault:
        return Read(name, make(_not_opened(shown, file.fault)))
    try:
        text = take(name, MOST_BYTES, regular=not file.given)  # what was a file when it was found may be a pipe now
    except OSError as error:
        return Read(name, make(_not_opened(shown, reason(error))), named=(name,))
    read = load if file.given else load_found
    build = read(text, shown, today=asked.today, shop=shops.for_build(name))
    if isinstance(build, str):
        return Read(name, skipped=build, named=(name,))
    told = ""
    named: tuple[str, ...] = (name,)
    if isinstance(build, Build):
        named += tuple(tracks_of(build, name).values())
        if build.status == "retired" and not file.given:
            return Read(name, skipped=RETIRED, named=named)
        try:
            build = on_tracks(build, name)
        except NoTrack as none:
            # The ride is one thing, the wires another: its range then is not known.
            told = none.told
    return Read(name, make(check(build, shown, **asked._asdict())), told=told, named=named)


def _not_checked(file: FoundFile, why: str, *, make: Callable[[Report], Made]) -> Read[Made]:
    """A file over which a process ended, or the program failed; the others are checked whatever becomes of it."""
    from packyoke.verdict.check import not_checked

    return Read(file.name, make(not_checked(shown_name(file.name), why)), named=(file.name,))


def _not_opened(shown: str, why: str) -> Report:
    return _unreadable(shown, f"cannot be opened: {why}", "Check the name and the rights of the file.")


def _unreadable(shown: str, message: str, do: str) -> Report:
    from packyoke.api import Finding, Severity, check

    return check([Finding(rule="unreadable", severity=Severity.STOP, part=BUILD, message=message, do=do)], shown)


def lost(before: Result, skipped: list[tuple[str, str]]) -> list[Report]:
    """Files that held a build when a result was stored and hold something else now: nobody took them away, so they are
    not passed over."""
    was = {file for file, each in before.builds.items() if each.fingerprint}
    gone = [(file, why) for file, why in skipped if why != RETIRED and file in was]
    for each in gone:
        skipped.remove(each)
    return [
        _unreadable(file, f"no build any more: {why}", "Put the build back, or take the file away.")
        for file, why in gone
    ]


def note(skipped: list[tuple[str, str]]) -> None:
    """Everything that was passed over, by name: a build must never drop out unseen."""
    if skipped:
        say("\n  ".join([f"{len(skipped)} skipped:", *(f"{name}: {why}" for name, why in skipped)]), err=True)
