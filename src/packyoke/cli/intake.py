"""What is read: never more than its limit, and every file that was given is remembered, so that none is written to."""

from __future__ import annotations

import errno
import os
import stat
import sys
from collections.abc import Iterator
from typing import Any, NamedTuple

import click

from packyoke.cli.streams import reason

MOST_FOLDERS = 20_000
MOST_RESULT_BYTES = 100_000_000
"""A result of some thousand builds."""
SUFFIXES = (".yaml", ".yml")


class FileName(click.Path):
    """A file or folder named on the command line; an empty name, which an unset variable leaves behind, is none."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if value == "":
            self.fail("the name is empty", param, ctx)
        return super().convert(value, param, ctx)


class NewFile(FileName):
    """A file to write beside what is printed: `-` would be one of that name, or two answers on one stream."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if value == "-":
            self.fail("that is where the answer is printed; name a file", param, ctx)
        return super().convert(value, param, ctx)


def take(name: str, most: int, *, regular: bool = False) -> bytes:
    """The bytes of a file or of standard input (`-`): all of them, or one more than `most`, whatever it is.

    :param regular: refuse what is no regular file, before it could keep us waiting
    Raises OSError where it cannot be read.
    """
    if name == "-":
        if sys.stdin is None:
            raise OSError(errno.EBADF, "standard input is closed")
        if "-" in _remembered():
            raise OSError(errno.EINVAL, "standard input was read already, and - can be one thing only")
        _remembered().add("-")
        return sys.stdin.buffer.read(most + 1)
    remember(name)
    try:
        number = os.open(name, os.O_RDONLY | getattr(os, "O_BINARY", 0) | (os.O_NONBLOCK if regular else 0))
    except ValueError:
        raise OSError(errno.ENOENT, "no such name is possible") from None
    with open(number, "rb") as file:
        if regular and not stat.S_ISREG(os.fstat(number).st_mode):
            raise OSError(errno.EINVAL, "not a regular file")
        return file.read(most + 1)


def remember(name: str) -> None:
    """Note a file that was given or that a build names."""
    _remembered().add(os.path.realpath(name))
    if (same := _identity(name)) is not None:
        _remembered().add(same)


def was_given(name: str) -> bool:
    """Whether a file is one that was given, under whatever name."""
    return os.path.realpath(name) in _remembered() or _identity(name) in _remembered()


def _remembered() -> set[Any]:
    context = click.get_current_context(silent=True)
    found: set[Any] = set() if context is None else context.find_root().meta.setdefault("packyoke.given", set())
    return found


def _identity(name: str) -> tuple[int, int] | None:
    try:
        found = os.stat(name)
    except (OSError, ValueError):
        return None
    return found.st_dev, found.st_ino


class FoundFile(NamedTuple):
    """A file to read; or one that is passed over, or that cannot be read, and why."""

    name: str
    given: bool = False
    skipped: str = ""
    fault: str = ""


def below(folder: str) -> list[FoundFile]:
    """Every YAML file below a folder, links to folders followed, each folder once."""
    found: list[FoundFile] = []
    seen: set[tuple[int, int] | None] = set()
    waiting = [folder]
    while waiting:
        here = waiting.pop()
        if _identity(here) in seen:
            continue
        seen.add(_identity(here))
        if len(seen) > MOST_FOLDERS:
            found.append(FoundFile(here, fault=f"more than {MOST_FOLDERS} folders below {folder}"))
            break
        try:
            with os.scandir(here) as entries:
                inside = [*entries]
        except OSError as error:
            found.append(FoundFile(here, fault=reason(error)))
            continue
        for entry in inside:
            try:
                if entry.is_dir():
                    waiting.append(entry.path)
                elif entry.name.casefold().endswith(SUFFIXES):
                    found.append(_judged(entry))
            except OSError as error:
                found.append(FoundFile(entry.path, fault=reason(error)))
    return sorted(found)


def _judged(entry: os.DirEntry[str]) -> FoundFile:
    if entry.is_file():
        return FoundFile(entry.path)
    if not os.path.exists(entry.path):
        return FoundFile(entry.path, fault="a link to nothing")
    return FoundFile(entry.path, skipped="not a regular file")


def builds(names: tuple[str, ...]) -> Iterator[FoundFile]:
    """The files that were named, those that a pattern in quotes matches, and those below folders that were named.

    One that is named several times is there once, and as one that was given if it ever is.
    """
    found: dict[str, FoundFile] = {}
    for each in _named(names):
        if each.name not in found or each.given:
            found[each.name] = each
    yield from found.values()


def _named(names: tuple[str, ...]) -> Iterator[FoundFile]:
    for name in names:
        if _is_pattern(name):
            yield from _matching(name)
        elif name == "-" or not os.path.isdir(name):
            yield FoundFile(name, given=True)
        elif inside := below(name):
            yield from inside
        else:
            yield FoundFile(name, skipped="no *.yaml or *.yml in this folder")


def _is_pattern(name: str) -> bool:
    """`builds/*.yaml` that no shell has replaced: in quotes, or where the shell does not do that."""
    return any(mark in name for mark in "*?[") and not os.path.lexists(name)


def _matching(pattern: str) -> Iterator[FoundFile]:
    """What a pattern matches, as a shell would: hidden files only where the pattern says so, `**` over folders."""
    from glob import glob

    matched = sorted(glob(pattern, recursive=True))
    if not matched:
        yield FoundFile(pattern, fault="no file matches this pattern")
    for name in matched:
        yield from below(name) if os.path.isdir(name) else (FoundFile(name, given=True),)
