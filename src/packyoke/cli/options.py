"""What every command does with its options: nothing that was typed is dropped without a word.

An option that is given twice adds up where that means something (`Adding`, or click's own `multiple`), and is refused
where it does not. Empty values are refused: a variable of a script that was not set would look like an answer.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import click


class Adding(click.Option):
    """An option of a list with commas: given again it adds to the list. The command gets one text, or None."""

    def __init__(self, *args: Any, **attrs: Any) -> None:
        super().__init__(*args, **{**attrs, "multiple": True})

    def process_value(self, ctx: click.Context, value: Any) -> Any:
        parts: tuple[str, ...] = super().process_value(ctx, value) or ()
        if any(not each.strip() for each in parts):
            raise click.BadParameter("is empty", ctx=ctx, param=self)
        return ",".join(parts) if parts else None


class Command(click.Command):
    """A command that refuses what it would otherwise drop."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if not ctx.resilient_parsing:
            self._refuse_repeated(ctx, [*args])
        rest = super().parse_args(ctx, args)
        if not ctx.resilient_parsing:
            self._refuse_empty(ctx)
        return rest

    def _refuse_repeated(self, ctx: click.Context, args: list[str]) -> None:
        _, _, order = self.make_parser(ctx).parse_args(args=args)
        for param, count in Counter(order).items():
            if count > 1 and isinstance(param, click.Option) and not (param.multiple or param.is_flag or param.count):
                raise click.UsageError(f"{param.opts[0]} is given {count} times; one of them counts: give it once", ctx)

    def _refuse_empty(self, ctx: click.Context) -> None:
        for param in self.params:
            value = ctx.params.get(str(param.name))
            for each in value if isinstance(value, tuple) else (value,):
                if isinstance(each, str) and not each.strip():
                    raise click.BadParameter("is empty", ctx=ctx, param=param)
