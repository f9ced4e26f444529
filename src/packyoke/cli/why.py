"""`packyoke why`."""

from __future__ import annotations

import difflib
import sys

import click

from packyoke.cli.completing import rules
from packyoke.cli.files import EXIT_FOUND, EXIT_OK, FORMS, output_options, print_out, print_page, units_option, wrong
from packyoke.cli.options import Command
from packyoke.cli.streams import say


@click.command(cls=Command)
@click.argument("rule", required=False, shell_complete=rules)
@click.option("--symptom", metavar="TEXT", help="Find the rules by what a rider notices.")
@click.option("--format", "form", type=click.Choice((*FORMS, "json")), default="text", show_default=True)
@units_option
@output_options
def why(rule: str | None, symptom: str | None, form: str, system: str, output: str | None, replace: bool) -> None:
    """Explain a rule: what it finds, why it matters, where the limit comes from, what to do.

    Without a name it lists the rules.

    \b
    Example:
        packyoke why packs-rush
        packyoke why --symptom "dies on hills"
    """
    from packyoke.answers.why import page as printed
    from packyoke.rules import pages

    if symptom is not None and rule is not None:
        wrong("a rule or --symptom: one of the two")
    alarm = symptom is not None and pages.alarms(symptom)
    if symptom is not None:
        found = pages.by_symptom(symptom)
        page = printed.symptom_page(symptom, found, alarm)
    elif rule is None:
        found = [(each, "") for each in pages.all_pages()]
        page = printed.rules_page(pages.all_pages())
    else:
        asked = pages.page(rule.lower())
        if asked is None:
            near = difflib.get_close_matches(rule.lower(), pages.names(), n=1)
            wrong(
                f'there is no rule "{rule}"' + (f". Did you mean {near[0]}?" if near else "; list them: packyoke why")
            )
        found, page = [(asked, "")], printed.rule_page(asked)
    if found or alarm or form == "json":
        if form == "json":
            print_out(printed.why_json(found, alarm, symptom), output, replace, ())
        else:
            print_page(page, form, output, replace, (), system)
    if not found:
        say(f'No rule knows the symptom "{symptom}". Try other words, or: packyoke why', err=True)
        sys.exit(EXIT_FOUND)
    sys.exit(EXIT_OK)
