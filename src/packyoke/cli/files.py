"""What every command shares: the build file and its shop file, the output, the ways to end."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

if TYPE_CHECKING:
    from packyoke.api import Build
    from packyoke.model.track import Track

EXIT_OK, EXIT_FOUND, EXIT_WRONG, EXIT_INTERRUPTED = 0, 1, 2, 130
SHOP_FILE = "packyoke-shop.yaml"


def output_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """--output and --replace."""
    path = click.Path(dir_okay=False)
    command = click.option("--replace", is_flag=True, help="Let a file that exists be replaced.")(command)
    return click.option("--output", type=path, help="Write to a new file instead of printing.")(command)


def shop_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """--shop and --no-shop."""
    path = click.Path(dir_okay=False)
    command = click.option("--no-shop", is_flag=True, help="Use no shop file (for CI).")(command)
    return click.option("--shop", type=path, help="The shop file to use.")(command)


def one_build(name: str, shops: Shops | None = None, today: str = "") -> Build:
    """The build in one file; its mistakes are printed and end the command."""
    return read_one(build_text(name), name, shops, today)


def build_text(name: str) -> bytes:
    """What stands in a file, or on standard input."""
    try:
        return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    except OSError as error:
        wrong(f"{name} cannot be opened: {error.strerror or error}")


def read_one(text: bytes, name: str, shops: Shops | None = None, today: str = "") -> Build:
    """The build in a text; its mistakes are printed and end the command."""
    from packyoke.answers.check.text import mistakes_text
    from packyoke.api import load

    found = load(text, name, shop=(shops or Shops(None, False)).for_build(name), today=today)
    if isinstance(found, list):
        click.echo(mistakes_text(name, found), err=True, nl=False)
        sys.exit(EXIT_WRONG)
    try:
        return on_tracks(found, name)
    except NoTrack as none:
        click.echo(none.told, err=True, nl=False)
        sys.exit(EXIT_WRONG)


class NoTrack(Exception):
    """A track that a ride names cannot be used; `told` says why, ready to print."""

    def __init__(self, told: str) -> None:
        super().__init__(told)
        self.told = told


def on_tracks(build: Build, name: str) -> Build:
    """The build with the hills of the tracks that its rides name, which lie beside the file. Raises NoTrack."""
    if not any(ride.gpx for ride in build.rides.values()):
        return build
    from packyoke.answers.range.route import with_tracks
    from packyoke.answers.typed import WrongInput

    folder = Path.cwd() if name == "-" else Path(name).parent
    try:
        return with_tracks(build, lambda file: _track(folder / file))
    except WrongInput as error:
        raise NoTrack(f"packyoke: {error}\n") from None


def track_in(name: str) -> Track:
    """The track in a GPX file; what is wrong with it is printed and ends the command."""
    try:
        return _track(Path(name))
    except NoTrack as none:
        click.echo(none.told, err=True, nl=False)
        sys.exit(EXIT_WRONG)


def _track(path: Path) -> Track:
    from packyoke.answers.check.text import mistakes_text
    from packyoke.buildfile.reading.gpx import load_track

    try:
        found = load_track(path.read_bytes(), str(path))
    except OSError as error:
        raise NoTrack(f"packyoke: {path} cannot be opened: {error.strerror or error}\n") from None
    if isinstance(found, list):
        raise NoTrack(mistakes_text(str(path), found))
    return found


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
        from packyoke.answers.check.text import mistakes_text
        from packyoke.api import load_shop

        try:
            shop = load_shop(path.read_bytes(), str(path))
        except OSError as error:
            wrong(f"the shop file {path} cannot be read: {error.strerror}")
        if isinstance(shop, list):
            click.echo(mistakes_text(str(path), shop), err=True, nl=False)
            wrong(f"the shop file {path} has mistakes")
        return shop


def colour() -> bool:
    if os.environ.get("FORCE_COLOR"):
        return True
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR")


def print_out(text: str, output: str | None, replace: bool, given: Iterable[str | None]) -> None:
    """Print, or write to a new file."""
    if output is None:
        click.echo(text, nl=False, color=True)
    else:
        write_out(text, output, replace, given)


def write_out(text: str, output: str, replace: bool, given: Iterable[str | None]) -> None:
    """Write a new file: never over a file that was given to read, whatever was said."""
    target = Path(output).resolve()
    if target.name == SHOP_FILE or any(name and name != "-" and Path(name).resolve() == target for name in given):
        wrong(f"{output} is a file that was given to read; it is never written to. Choose another name")
    from packyoke.buildfile.writing.files import OutputExists, write_new

    try:
        write_new(Path(output), text, replace=replace)
    except OutputExists:
        wrong(f"{output} exists already and was left as it is; --replace lets it be replaced")
    except OSError as error:
        wrong(f"{output} cannot be written: {error.strerror or error}")


def day_of(today: str | None) -> str:
    if today is None:
        return date.today().isoformat()
    try:
        return date.fromisoformat(today).isoformat()
    except ValueError:
        wrong(f'--today "{today}" is no day; write it as 2027-05-14')


def wrong(message: str) -> NoReturn:
    click.echo(f"packyoke: {message}", err=True)
    sys.exit(EXIT_WRONG)
