"""Names as they are read aloud."""

from __future__ import annotations

from collections.abc import Iterable


def listed(names: Iterable[str], word: str = "and") -> str:
    """Names in a sentence.

    >>> listed(["first", "second", "third"]), listed(["first", "second"], "or"), listed(["first"])
    ('first, second and third', 'first or second', 'first')
    """
    *before, last = names
    return f"{', '.join(before)} {word} {last}" if before else last
