"""Plugs as people call them: the same family under several spellings."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from packyoke.core.letters import looks

_WORD = re.compile(r"[^\W\d_]+|\d+(?:[.,]\d+)?")
_SAYS_NOTHING = frozenset(
    (
        "a",
        "an",
        "and",
        "the",
        "of",
        "with",
        "its",
        "own",
        "type",
        "style",
        "series",
        "size",
        "x",
        "mm",
        "pin",
        "pins",
        "pole",
        "poles",
        "way",
        "socket",
        "sockets",
        "plug",
        "plugs",
        "jack",
        "connector",
        "coupler",
        "inlet",
        "outlet",
        "male",
        "female",
        "half",
        "straight",
        "angled",
        "right",
        "left",
        "round",
        "panel",
        "mount",
        "cable",
        "dc",
        "d",
        "c",
        "v",
        "volt",
        "charger",
        "charging",
        "charge",
        "port",
        "black",
        "white",
        "red",
        "yellow",
        "blue",
        "green",
        "grey",
        "gray",
        "silver",
    )
)
"""Metal, colour and place: no family is told by them."""
_SAME = {
    "coaxial": ("barrel",),
    "coax": ("barrel",),
    "hollow": ("barrel",),
    "cannon": ("xlr",),
    "kettle": ("c", "14"),
    "5521": ("5.5", "2.1", "barrel"),
    "5525": ("5.5", "2.5", "barrel"),
}
"""Other names of the trade: common practice. Barrel plugs are also called by outer and inner diameter in 0.1 mm."""


@lru_cache(maxsize=512)
def plug_family(plug: str) -> frozenset[str]:
    """The words of a plug that tell its family: no colours, no metal, no order. Barrels go by their outer diameter.

    >>> plug_family("XLR 3") == plug_family("3-pin xlr plug"), sorted(plug_family("5,5 x 2.1 mm"))
    (True, ['5.5', 'barrel'])
    """
    words: set[str] = set()
    for word in _WORD.findall(looks(plug)):
        words.update(_SAME.get(word, (word.replace(",", "."),)))
    sized = {word for word in words if word[0].isdigit()}
    by_size = "x" in words and len(sized) == 2
    family = words - _SAYS_NOTHING
    if "barrel" in family or (by_size and family == sized):
        largest = max(sized, key=float, default=None)
        return frozenset({"barrel"} if largest is None else {"barrel", largest})
    return frozenset(family or words)


def called_family(plug: str, families: Iterable[str]) -> str:
    """The one of these families that a plug is called after; the plug as it is called where there is none.

    >>> called_family("DC plug 5,5 x 2.1 mm", ["XT60", "5.5 mm barrel"])
    '5.5 mm barrel'
    """
    return next((family for family in families if plug_family(family) <= plug_family(plug)), plug)


def same_plug(one: str, other: str) -> bool:
    """Whether two plugs are of one family, or not known to differ: one is called more exactly than the other.

    >>> same_plug("XT60", "xt-60 socket"), same_plug("barrel", "5.5 mm barrel"), same_plug("XLR 3", "XLR 4")
    (True, True, False)
    """
    mine, theirs = plug_family(one), plug_family(other)
    return mine <= theirs or theirs <= mine
