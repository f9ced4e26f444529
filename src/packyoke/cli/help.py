"""`packyoke help`."""

from __future__ import annotations

import difflib
import sys

import click

from packyoke.cli.files import EXIT_OK, print_page, wrong
from packyoke.cli.options import Command
from packyoke.cli.streams import say


@click.command(cls=Command)
@click.argument("topic", required=False, metavar="[COMMAND|RULE|rules]")
@click.pass_context
def help(ctx: click.Context, topic: str | None) -> None:
    """Show help: of a command, of a rule, or the list of all rules.

    \b
    Example:
        packyoke help check
        packyoke help rules
        packyoke help packs-rush
    """
    from packyoke.answers.why import page as printed
    from packyoke.rules import pages

    whole = ctx.find_root()
    group = whole.command
    assert isinstance(group, click.Group)
    if topic is None:
        say(whole.get_help())
        sys.exit(EXIT_OK)
    word = topic.strip().lower()
    command = group.get_command(whole, word)
    rule = pages.page(word)
    if command is not None:
        with click.Context(command, info_name=word, parent=whole) as inner:
            say(command.get_help(inner))
    elif word == "rules":
        print_page(printed.rules_page(pages.all_pages()), "text", None, False, ())
    elif rule is not None:
        print_page(printed.rule_page(rule), "text", None, False, ())
    else:
        near = difflib.get_close_matches(word, [*group.list_commands(whole), "rules", *pages.names()], n=1)
        wrong(f'no command and no rule is called "{topic}"' + (f". Did you mean {near[0]}?" if near else ""))
    sys.exit(EXIT_OK)
