"""What a shell completes behind our options: rules, and the packs and rides of the build that is named."""

from __future__ import annotations

from collections.abc import Iterable

import click
from click.shell_completion import CompletionItem


def rules(_ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    from packyoke.rules import RULES

    return _listed(sorted(rule.name for rule in RULES), incomplete)


def packs(ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    return _listed(_names(ctx, "packs"), incomplete)


def packs_with_value(ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    return _listed([f"{name}=" for name in _names(ctx, "packs")], incomplete)


def rides(ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    from packyoke.shelf.tables import rows

    shelf = dict.fromkeys(row.cells["ride"] for row in rows("rides"))
    return _listed([*dict.fromkeys([*_names(ctx, "ride"), *shelf])], incomplete)


def _listed(names: Iterable[str], incomplete: str) -> list[CompletionItem]:
    """The names that begin so; behind a comma the next one."""
    before, comma, last = incomplete.rpartition(",")
    named = before.casefold().split(",")
    return [
        CompletionItem(f"{before}{comma}{name}")
        for name in names
        if name.casefold().startswith(last.casefold()) and name.casefold() not in named
    ]


def _names(ctx: click.Context, section: str) -> list[str]:
    """The names in a section of the build that stands on the line; nothing where it cannot be read."""
    from packyoke.buildfile.reading.document import MOST_BYTES, Document, Mapping, parse
    from packyoke.cli.intake import take

    # Behind an option that still lacks its value click has not told options from names yet.
    name = ctx.params.get("build") or next((each for each in ctx.args if not each.startswith("-")), None)
    if not name:
        return []
    try:
        document = parse(take(name, MOST_BYTES, regular=True), name)
    except OSError:
        return []
    if not isinstance(document, Document):
        return []
    return [
        key.text
        for top, node in document.root.entries
        if top.text == section and isinstance(node, Mapping)
        for key, _ in node.entries
    ]
