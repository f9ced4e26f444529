"""`packyoke why`."""

from __future__ import annotations

import difflib
import sys

import click

from packyoke.cli.files import EXIT_FOUND, wrong


@click.command()
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
            click.echo("\n".join(pages.in_lines(page, notices)))
        return
    if rule is None:
        for page in pages.all_pages():
            click.echo("\n".join(pages.in_lines(page)))
        return
    page_or_none = pages.page(rule)
    if page_or_none is None:
        near = difflib.get_close_matches(rule, pages.names(), n=1)
        wrong(f'there is no rule "{rule}"' + (f". Did you mean {near[0]}?" if near else "; list them: packyoke why"))
    click.echo(pages.text(page_or_none))


