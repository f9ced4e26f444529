"""`packyoke why`."""

from __future__ import annotations

import difflib
import sys
from textwrap import wrap

import click

from packyoke.cli.completing import rules
from packyoke.cli.files import EXIT_FOUND, EXIT_OK, wrong
from packyoke.cli.options import Command
from packyoke.cli.streams import say


@click.command(cls=Command)
@click.argument("rule", required=False, shell_complete=rules)
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

    if symptom is not None and rule is not None:
        wrong("a rule or --symptom: one of the two")
    if symptom is not None:
        found = pages.by_symptom(symptom)
        if pages.alarms(symptom):
            say("\n".join([*wrap(pages.ALARM_WORDS, 80), ""]))
        if not found:
            say(f'No rule knows the symptom "{symptom}". Try other words, or: packyoke why', err=True)
            sys.exit(EXIT_FOUND)
        for page, notices in found:
            say("\n".join(pages.in_lines(page, notices)))
        sys.exit(EXIT_OK)
    if rule is None:
        for page in pages.all_pages():
            say("\n".join(pages.in_lines(page)))
        sys.exit(EXIT_OK)
    page_or_none = pages.page(rule.lower())
    if page_or_none is None:
        near = difflib.get_close_matches(rule.lower(), pages.names(), n=1)
        wrong(f'there is no rule "{rule}"' + (f". Did you mean {near[0]}?" if near else "; list them: packyoke why"))
    say(pages.text(page_or_none))
    sys.exit(EXIT_OK)
