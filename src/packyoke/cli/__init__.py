"""The command line: the one place that reads arguments and files, prints, and chooses exit codes.

One file a command, imported when it is asked for; everything heavy is imported inside it, so that help stays quick.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from typing import Any

import click

from packyoke import __version__
from packyoke.cli.files import EXIT_CRASHED, EXIT_INTERRUPTED, EXIT_OK, EXIT_WRONG
from packyoke.cli.streams import CannotPrint, hush, ready, say

COMMANDS = (
    "start",
    "check",
    "plan",
    "quote",
    "rundown",
    "range",
    "charge",
    "meter",
    "compare",
    "sheet",
    "why",
    "shelf",
    "find",
    "tidy",
    "schema",
    "help",
)
"""In the order of the work; each is the function of its name in the file of its name."""


class _NobodyReads(Exception):
    """Whoever read the help has gone. Click would end with 1, which means no."""


class _Interrupted(Exception):
    """Somebody pressed Ctrl-C. Click would print an empty line first."""


@contextmanager
def _own_endings() -> Iterator[None]:
    try:
        yield
    except BrokenPipeError:
        raise _NobodyReads from None
    except KeyboardInterrupt:
        raise _Interrupted from None


class Commands(click.Group):
    """A group that imports a command when it is asked for, and answers a mistyped one with the nearest."""

    def make_context(
        self, info_name: str | None, args: list[str], parent: click.Context | None = None, **extra: Any
    ) -> click.Context:
        with _own_endings():
            return super().make_context(info_name, args, parent, **extra)

    def invoke(self, ctx: click.Context) -> Any:
        with _own_endings():
            return super().invoke(ctx)

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [*COMMANDS]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = getattr(import_module(f"packyoke.cli.{cmd_name}"), cmd_name)
        if not command.help:  # python -OO has thrown it away
            from packyoke.core.docstrings import docstring

            command.help = docstring(f"packyoke.cli.{cmd_name}", cmd_name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Every command with its whole first paragraph; a summary that is cut says nothing."""
        rows = []
        for name in COMMANDS:
            command = self.get_command(ctx, name)
            about = (command.help or "").strip().partition("\n\n")[0] if command is not None else ""
            rows.append((name, " ".join(about.split())))
        with formatter.section("Commands"):
            formatter.write_dl(rows)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        try:
            return super().resolve_command(ctx, args)
        except click.UsageError as error:
            import difflib

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

    say(f"packyoke {__version__}, rules {VERSION}, shelf {SHELF}")
    ctx.exit()


@click.group(
    cls=Commands,
    help="Plan and check electric-bike builds that run several battery packs in parallel.",
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)
@click.option("--version", is_flag=True, callback=versions, expose_value=False, is_eager=True, help="Print versions.")
def app() -> None:
    """The command line; what it is for stands above, where `python -OO` leaves it."""


def main() -> None:
    """Run the command line and end the process with its status, whatever happens: never with a traceback."""
    # Importing and checking make next to no cycles, and looking for them costs a tenth of a run.
    gc.set_threshold(100_000, 50, 50)
    ready()
    sys.exit(_status())


def _status() -> int:
    try:
        os.getcwd()
    except OSError:
        say("packyoke: the folder that this was started in is gone", err=True)
        return EXIT_WRONG
    if len(sys.argv) > 1:  # a shell that asks how to go on gives no arguments; left set, nothing would be done: a pass
        os.environ.pop("_PACKYOKE_COMPLETE", None)
    try:
        app(standalone_mode=False, prog_name="packyoke")
        return EXIT_OK
    except SystemExit as done:
        return done.code if isinstance(done.code, int) else EXIT_OK
    except click.exceptions.Exit as done:
        return done.exit_code
    except (click.exceptions.Abort, KeyboardInterrupt, _Interrupted):
        say("interrupted", err=True)
        return EXIT_INTERRUPTED
    except click.ClickException as error:
        _show(error)
        return EXIT_WRONG
    except CannotPrint as error:
        say(f"packyoke: the answer cannot be printed: {error}", err=True)
        return EXIT_WRONG
    except _NobodyReads:
        hush(sys.stdout)
        return EXIT_OK
    except Exception as error:
        return _crashed(error)


def _show(error: click.ClickException) -> None:
    """What click has to say of wrong usage, with the hint where help is."""
    context = error.ctx if isinstance(error, click.UsageError) else None
    usage = f"{context.get_usage()}\nTry '{context.command_path} --help' for help.\n\n" if context else ""
    say(f"{usage}Error: {error.format_message()}", err=True)


def _crashed(error: Exception) -> int:
    """The last handler: one line, and a status that cannot be taken for an answer."""
    try:
        if os.environ.get("PACKYOKE_DEBUG"):
            import traceback

            say("".join(traceback.format_exception(error)), err=True, nl=False)
        # What was worked out so far hangs on the trace, and memory may be what is missing.
        error.__traceback__ = error.__context__ = None
        what = "not enough memory" if isinstance(error, MemoryError) else f"{type(error).__name__}: {error}"[:200]
        hint = "the trace: PACKYOKE_DEBUG=1"
        say(f"packyoke: failed in the program, nothing was found out: {' '.join(what.split())} ({hint})", err=True)
    except Exception:
        os.write(2, b"packyoke: failed in the program, nothing was found out\n")
    hush(sys.stdout)
    return EXIT_CRASHED
