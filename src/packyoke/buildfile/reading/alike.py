"""Which known name was meant by a typed one."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

ALIKE, VERY_ALIKE = 0.6, 0.85
"""Shares of letters in common (difflib) from which one word may be the other mistyped: people seldom mistype the first
letter, so where that differs more is asked (`power` is no `owner`). Judgement."""


@lru_cache(maxsize=2048)
def fold(text: str) -> str:
    """A word as it is compared: without case, and with spaces for hyphens and underscores."""
    return " ".join(text.casefold().replace("-", " ").replace("_", " ").split())


def nearest(text: str, names: Iterable[str]) -> str:
    """The known name nearest to a mistyped one, empty when none is near: the only one that begins so, else the one
    spelled most alike."""
    from difflib import SequenceMatcher, get_close_matches  # for mistakes only, and a start-up would wait for it

    known = {fold(name): name for name in names}
    typed = fold(text[:64])
    longer = [name for name in known if name.startswith(f"{typed} ")]
    if typed and len(longer) == 1:
        return known[longer[0]]
    for near in get_close_matches(typed, list(known), 3, ALIKE):
        if near[:1] == typed[:1] or SequenceMatcher(None, near, typed).ratio() >= VERY_ALIKE:
            return known[near]
    return ""
