"""How wide letters are, so that words stay in their boxes without a browser to ask.

Widths of Helvetica in thousandths of the letter size (Adobe Font Metrics of the core 14 fonts, from memory); Arial and
Liberation Sans were drawn to the same widths. Other alphabets are taken at what their widest usual letters need.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from unicodedata import combining, east_asian_width

from packyoke.page.cells import kept

FONT = '"Liberation Sans", Arial, Helvetica, sans-serif'
LINE = 1.2
"""Height of a line as a share of the letter size."""

_PLAIN = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 278 278 "
    "584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833 722 778 667 778 722 667 611 722 667 944 "
    "667 667 611 278 278 278 469 556 333 556 556 500 556 556 278 556 556 222 222 500 222 833 556 556 556 556 333 500 "
    "278 556 500 722 500 500 500 334 260 334 584"
)
_BOLD = (
    "278 333 474 556 556 889 722 238 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556 556 556 556 333 333 "
    "584 584 584 611 975 722 722 722 722 667 611 778 722 278 556 722 611 833 722 778 667 778 722 667 611 722 667 944 "
    "667 667 611 333 278 333 584 556 333 556 611 556 611 556 333 611 611 278 278 556 278 889 611 611 611 611 389 556 "
    "333 611 556 778 556 556 500 389 280 389 584"
)
_WIDTHS = {bold: tuple(map(int, table.split())) for bold, table in ((False, _PLAIN), (True, _BOLD))}
_SPECIAL = {"\u00a0": 278, "\u00b7": 333, "\u2212": 584, "\u00d7": 584, "\u00b0": 400, "\u00bd": 834, "\u2194": 1000}
_UNSEEN = "\u2068\u2069\u200b\u200d\ufe0f"
_OTHER = 750


@lru_cache(maxsize=4096)
def wide(text: str, size: float = 12.0, bold: bool = False) -> float:
    """How wide a text is, in the unit of `size`.

    >>> wide("12 AWG", 12.0)
    45.3
    """
    table = _WIDTHS[bold]
    return round(sum(_letter(each, table) for each in text) * size / 1000, 1)


def _letter(letter: str, table: tuple[int, ...]) -> int:
    at = ord(letter) - 32
    if 0 <= at < len(table):
        return table[at]
    if letter in _SPECIAL:
        return _SPECIAL[letter]
    if combining(letter) or letter in _UNSEEN:
        return 0
    return 1000 if east_asian_width(letter) in "WF" else _OTHER


def broken(text: str, most: float, size: float = 12.0, bold: bool = False) -> list[str]:
    """The text in lines of at most `most`; a word is parted only where a line cannot hold it; units stay with numbers.

    >>> broken("a pack in the bag", 60.0)
    ['a pack in', 'the bag']
    """
    lines: list[str] = []
    for word in (piece for whole in kept(text).split(" ") if whole for piece in _pieces(whole, most, size, bold)):
        if lines and wide(f"{lines[-1]} {word}", size, bold) <= most:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return lines


def _pieces(word: str, most: float, size: float, bold: bool) -> Iterator[str]:
    while wide(word, size, bold) > most and len(word) > 1:
        fits = max(1, sum(wide(word[: at + 1], size, bold) <= most for at in range(len(word))))
        yield word[:fits]
        word = word[fits:]
    yield word
