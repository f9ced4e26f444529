"""`packyoke tidy`."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from packyoke.cli.files import (
    EXIT_FOUND,
    EXIT_OK,
    EXIT_WRONG,
    Shops,
    build_text,
    print_out,
    printed,
    shop_options,
    wrong,
)
from packyoke.cli.intake import FileName
from packyoke.cli.options import Command
from packyoke.cli.streams import reason, say, shown_name


@click.command(cls=Command)
@click.argument("build", type=FileName(), metavar="FILE")
@click.option("--check", "only_check", is_flag=True, help="Change nothing; exit 1 where the order is another.")
@click.option("--output", type=FileName(dir_okay=False), callback=printed, help="Write to a new file; - prints.")
@click.option("--replace", is_flag=True, help="Write it over FILE.")
@shop_options
def tidy(build: str, only_check: bool, output: str | None, replace: bool, shop: str | None, no_shop: bool) -> None:
    """Put the sections and fields of a build file into one order; comments stay with their lines.

    Lines are moved and never changed: the build is the same before and after, which
    is looked at before anything is written. What stands in braces stays as it is.
    Exit status: 0 in order or written, 1 with --check: not in order, 2 wrong input.

    \b
    Example:
        packyoke tidy --check examples/skerry-long-tail.yaml
        packyoke tidy bike.yaml --output bike-tidy.yaml
    """
    from packyoke.answers.check.mistakes import mistakes_text
    from packyoke.api import Build, load
    from packyoke.buildfile.reading import Document, parse
    from packyoke.buildfile.writing.tidy import tidied

    if only_check and (output or replace):
        wrong("--check writes nothing; leave --output and --replace out")
    if replace and (output or build == "-"):
        wrong("--replace writes over FILE; leave --output out")
    given, shown = build_text(build), shown_name(build)
    own = Shops(shop, no_shop).for_build(build)
    before = load(given, shown, shop=own)
    document = parse(given, shown)
    if isinstance(before, list) or not isinstance(document, Document):
        say(mistakes_text(shown, before if isinstance(before, list) else []), err=True, nl=False)
        sys.exit(EXIT_WRONG)
    text = given.decode("utf-8-sig")
    made = tidied(text, document)
    after = load(made, shown, shop=own)
    if not isinstance(after, Build) or repr_of(after) != repr_of(before):
        wrong(f"{shown} is written in a way that cannot be put in order; it was left as it is")
    if only_check:
        say(f"{shown}: {'in order' if made == text else 'not in order; packyoke tidy prints it'}", err=True)
        sys.exit(EXIT_OK if made == text else EXIT_FOUND)
    if not replace:
        print_out(made, output, False, [build])
        sys.exit(EXIT_OK)
    if made != text:
        from packyoke.buildfile.writing.files import write_new

        if build_text(build) != given:
            wrong(f"{shown} was changed by somebody meanwhile; it was left as it is. Run it again")
        try:
            write_new(Path(os.path.realpath(build)), made, replace=True)
        except OSError as error:
            wrong(f"{shown} cannot be written: {reason(error)}")
    sys.exit(EXIT_OK)


def repr_of(build: object) -> list[str]:
    """Everything that a build says, without the places where it says it, whatever its order."""
    import re

    flat = re.sub(r"Span\([^)]*\)", "", repr(build))
    return sorted(re.findall(r"[\w.'-]+", flat))
