"""The command line: the one place that reads arguments and files, prints, and chooses exit codes.

One file a command, imported when it is asked for; everything heavy is imported inside it, so that help stays quick.
"""

from __future__ import annotations

import gc
import os
import sys
from importlib import import_module

import click

from packyoke import __version__
from packyoke.cli.files import EXIT_INTERRUPTED, EXIT_OK, EXIT_WRONG

COMMANDS = ("check", "plan", "rundown", "range", "charge", "meter", "compare", "sheet", "why")
"""In the order of the work; each is the function of its name in the file of its name."""


class Commands(click.Group):
    """A group that imports a command when it is asked for, and answers a mistyped one with the nearest."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [*COMMANDS]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = getattr(import_module(f"packyoke.cli.{cmd_name}"), cmd_name)
        return command

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

    click.echo(f"packyoke {__version__}, rules {VERSION}, shelf {SHELF}")
    ctx.exit()


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.option("--version", is_flag=True, callback=versions, expose_value=False, is_eager=True, help="Print versions.")
def app() -> None:
    """Plan and check electric-bike builds that run several battery packs in parallel."""


def main() -> None:
    """Run the command line; interrupts and closed pipes end it without a traceback."""
    # Importing and checking make next to no cycles: looking for them costs a tenth of a run, and once more at the end
    # of the process, where everything is thrown away anyway, as much again.
    gc.set_threshold(100_000, 50, 50)
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
    finally:
        gc.freeze()
