"""Text that stays within the width of a terminal."""

from __future__ import annotations

from textwrap import wrap

WIDTH = 80


def hanging(text: str, first: int, then: int) -> list[str]:
    """A text in lines of at most 80 columns, the first indented by `first`, the others by `then`."""
    return wrap(text, WIDTH, initial_indent=" " * first, subsequent_indent=" " * then, break_on_hyphens=False)
