"""What every command shares: the build file and its shop file, the output, the ways to end."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from packyoke.cli.intake import FileName, remember, take, was_given
from packyoke.cli.streams import reason, say, shown_name

if TYPE_CHECKING:
    from packyoke.api import Build
    from packyoke.model.track import Track

EXIT_OK, EXIT_FOUND, EXIT_WRONG, EXIT_CRASHED, EXIT_INTERRUPTED = 0, 1, 2, 3, 130
SHOP_FILE = "packyoke-shop.yaml"
FIRST_YEAR, LAST_YEAR = 2000, 2199
FORMS = ("text", "markdown", "html")
"""The forms that every page has."""


def output_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """--output and --replace."""
    path = FileName(dir_okay=False)
    command = click.option("--replace", is_flag=True, help="Let a file that exists be replaced.")(command)
    return click.option(
        "--output", type=path, callback=printed, help="Write to a new file instead of printing; - prints."
    )(command)


def printed(_ctx: click.Context, _param: click.Parameter, value: str | None) -> str | None:
    """`--output -` is what happens without it; a script need not leave the option out."""
    return None if value == "-" else value


def units_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """--units, of everything that people read; JSON and what else programs read stay in SI."""
    systems = click.Choice(("metric", "us"))
    told = "us: feet and inches, miles, lb, degF."
    return click.option("--units", "system", type=systems, default="metric", show_default=True, help=told)(command)


def shop_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """--shop and --no-shop."""
    path = FileName(dir_okay=False)
    command = click.option("--no-shop", is_flag=True, help="Use no shop file (for CI).")(command)
    return click.option("--shop", type=path, help="The shop file to use.")(command)


def one_build(name: str, shops: Shops | None = None, today: str = "") -> Build:
    """The build in one file; its mistakes are printed and end the command."""
    return read_one(build_text(name), name, shops, today)


def build_text(name: str) -> bytes:
    """What stands in a file, or on standard input."""
    from packyoke.buildfile.reading.document import MOST_BYTES

    try:
        return take(name, MOST_BYTES)
    except OSError as error:
        wrong(f"{shown_name(name)} cannot be opened: {reason(error)}")


def read_one(text: bytes, name: str, shops: Shops | None = None, today: str = "", *, tracks: bool = True) -> Build:
    """The build in a text, with the tracks that it names; its mistakes are printed and end the command."""
    from packyoke.answers.check.mistakes import mistakes_text
    from packyoke.api import load

    shown = shown_name(name)
    found = load(text, shown, shop=(shops or Shops(None, False)).for_build(name), today=today)
    if isinstance(found, list):
        say(mistakes_text(shown, found), err=True, nl=False)
        sys.exit(EXIT_WRONG)
    try:
        return on_tracks(found, name, read=tracks)
    except NoTrack as none:
        say(none.told, err=True, nl=False)
        sys.exit(EXIT_WRONG)


class NoTrack(Exception):
    """A track that a ride names cannot be used; `told` says why, ready to print."""

    def __init__(self, told: str) -> None:
        super().__init__(told)
        self.told = told


def tracks_of(build: Build, name: str) -> dict[str, str]:
    """The tracks that the rides of a build name, which lie below its folder, and where that is."""
    folder = _folder(name)
    return {each: os.path.join(folder, each) for ride in build.rides.values() for each in ride.tracks}


def _folder(name: str) -> str:
    return os.path.realpath("." if name == "-" else os.path.dirname(name) or ".")


def on_tracks(build: Build, name: str, *, read: bool = True) -> Build:
    """The build with the hills of the tracks that its rides name, which lie below its folder. Raises NoTrack.

    Without `read` they are only remembered as files that are never written to.
    """
    named = tracks_of(build, name)
    if not named:
        return build
    from packyoke.answers.range.route import with_tracks
    from packyoke.answers.typed import WrongInput
    from packyoke.buildfile.reading.gpx import MOST_POINTS

    for path in named.values():
        remember(path)
    if not read:
        return build
    tracks: dict[str, Track] = {}

    def track(file: str) -> Track:
        if file not in tracks:
            tracks[file] = _track_below(_folder(name), file)
            points = sum(len(segment) for each in tracks.values() for segment in each.segments)
            if points > MOST_POINTS:
                raise NoTrack(
                    f"packyoke: {points} points in {len(tracks)} tracks that the build names: at most {MOST_POINTS} "
                    "together are read. Take points out, or ask for one with --route\n"
                )
        return tracks[file]

    try:
        return with_tracks(build, track)
    except WrongInput as error:
        raise NoTrack(f"packyoke: {error}\n") from None


def _track_below(folder: str, file: str) -> Track:
    """A build comes from anybody: it may name what lies with it, and nothing else on the machine."""
    target = os.path.realpath(os.path.join(folder, file))
    if os.path.commonpath([folder, target]) != folder:
        raise NoTrack(
            f"packyoke: {file} lies outside the folder of the build and was not opened. Put a copy beside "
            "the build; --route takes a track from anywhere\n"
        )
    return _track(target, os.path.relpath(os.path.join(folder, file)))


def track_in(name: str) -> Track:
    """The track in a GPX file; what is wrong with it is printed and ends the command."""
    try:
        return _track(name, shown_name(name))
    except NoTrack as none:
        say(none.told, err=True, nl=False)
        sys.exit(EXIT_WRONG)


def _track(name: str, shown: str) -> Track:
    from packyoke.answers.check.mistakes import mistakes_text
    from packyoke.buildfile.reading.gpx import MOST_BYTES, load_track

    try:
        found = load_track(take(name, MOST_BYTES, regular=True), shown)
    except OSError as error:
        raise NoTrack(f"packyoke: {shown} cannot be opened: {reason(error)}\n") from None
    if isinstance(found, list):
        raise NoTrack(mistakes_text(shown, found))
    return found


class Shops:
    """The shop file that counts for a build: the one that was named, or the nearest one upwards."""

    def __init__(self, named: str | None, none: bool) -> None:
        if named and none:
            wrong("--shop and --no-shop say two things; give one of them")
        self.none = none
        self.named = self._load(named) if named is not None and not none else None
        self._by_folder: dict[str, Any] = {}

    def for_build(self, name: str) -> Any:
        if self.none or self.named is not None:
            return self.named
        folder = os.getcwd() if name == "-" else os.path.dirname(os.path.realpath(name))
        if folder not in self._by_folder:
            up = (os.path.join(each, SHOP_FILE) for each in (folder, *map(str, Path(folder).parents)))
            near = next((each for each in up if os.path.lexists(each)), None)  # a link to nothing is an error
            self._by_folder[folder] = self._load(near, regular=True) if near else None
        return self._by_folder[folder]

    @staticmethod
    def _load(path: str, *, regular: bool = False) -> Any:
        from packyoke.answers.check.mistakes import mistakes_text
        from packyoke.api import load_shop
        from packyoke.buildfile.reading.document import MOST_BYTES

        shown = shown_name(path)
        try:
            shop = load_shop(take(path, MOST_BYTES, regular=regular), shown)
        except OSError as error:
            wrong(f"the shop file {shown} cannot be read: {reason(error)}")
        if isinstance(shop, list):
            say(mistakes_text(shown, shop), err=True, nl=False)
            wrong(f"the shop file {shown} has mistakes")
        return shop


def colour(output: str | None = None) -> bool:
    """Whether to print in colour: never into a file that we write."""
    if output is not None:
        return False
    if os.environ.get("NO_COLOR"):
        return False
    if os.environ.get("FORCE_COLOR"):
        return True
    return sys.stdout is not None and sys.stdout.isatty() and os.environ.get("TERM") != "dumb"


def print_out(text: str, output: str | None, replace: bool, given: Iterable[str | None]) -> None:
    """Print, or write to a new file."""
    if output is None:
        say(text, nl=False)
    else:
        write_out(text, output, replace, given)


def print_page(
    page: Any,
    form: str,
    output: str | None,
    replace: bool,
    given: Iterable[str | None],
    system: str = "metric",
    *written: Any,
) -> None:
    """Print a page in one of its forms and in the units that were asked for, or write it to a new file."""
    print_out(formed(page, form, output, system, *written), output, replace, given)


def formed(page: Any, form: str, output: str | None, system: str, *written: Any) -> str:
    """A page in one of its forms and in the units that were asked for; `written`: builds and shops it is about."""
    from packyoke.answers.in_units import in_units
    from packyoke.page.forms import in_form

    return in_form(in_units(page, system, *written), form, colour=colour(output))


def shown_in(system: str, form: str) -> str:
    """The units of a form: what programs read is in SI, whatever was asked for."""
    return system if form in (*FORMS, "svg") else "metric"


def write_out(text: str, output: str, replace: bool, given: Iterable[str | None] = ()) -> None:
    """Write a new file: never over one that was given to read or that a build names, whatever was said."""
    for name in given:
        if name and name != "-":
            remember(name)
    shown = shown_name(output)
    if SHOP_FILE in (os.path.basename(output), os.path.basename(os.path.realpath(output))) or was_given(output):
        wrong(f"{shown} is a file that was given to read; it is never written to. Choose another name")
    from packyoke.buildfile.writing.files import NotAFile, OutputExists, write_new

    try:
        write_new(Path(output), text, replace=replace)
    except OutputExists:
        wrong(f"{shown} exists already and was left as it is; --replace lets it be replaced")
    except NotAFile:
        wrong(f"{shown} is a device, a pipe or a folder: only files are written to, and it was left as it is")
    except OSError as error:
        wrong(f"{shown} cannot be written: {reason(error)}")


def day_of(today: str | None, option: str = "--today") -> str:
    if today is None:
        return date.today().isoformat()
    try:
        day = date.fromisoformat(today)
    except ValueError:
        wrong(f'{option} "{today}" is not a day; write it as 2027-05-14')
    if not FIRST_YEAR <= day.year <= LAST_YEAR:  # some answers count on from it, and it is a slip
        wrong(f'{option} "{today}": years {FIRST_YEAR} to {LAST_YEAR} are read; write it as 2027-05-14')
    return day.isoformat()


def wrong(message: str) -> NoReturn:
    say(f"packyoke: {message}", err=True)
    sys.exit(EXIT_WRONG)
