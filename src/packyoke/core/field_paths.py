"""What a line of a file is called, by its keys from the outside in: `packs.*.discharge.peak`, `discharge.peak`.

Not the path of a part, which `core/paths.py` knows: a line may stand under keys that are no part.
"""

from __future__ import annotations


def line_in(where: str, *keys: str) -> str:
    """A line by the keys inside another, or inside the file itself where that is empty.

    >>> line_in("packs", "left", "discharge.peak"), line_in("", "region")
    ('packs.left.discharge.peak', 'region')
    """
    return ".".join((where, *keys) if where else keys)


def keys_of(path: str) -> list[str]:
    """The keys of a line, from the outside in.

    >>> keys_of("discharge.peak"), keys_of("gauge")
    (['discharge', 'peak'], ['gauge'])
    """
    return path.split(".")


def below(path: str) -> str:
    """A line without its outermost key; empty when it has only one.

    >>> below("bms.data"), below("regen.not_below.value"), below("gauge")
    ('data', 'not_below.value', '')
    """
    return path.partition(".")[2]
