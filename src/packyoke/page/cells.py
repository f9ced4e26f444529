"""Text on a terminal, counted in cells: wide letters take two, marks that stand over others none.

Widths after Unicode Standard Annex 11 (East Asian Width); texts that run from right to left are set apart with the
isolates of Unicode Standard Annex 9, so that numbers beside them keep their place.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from unicodedata import bidirectional, combining, east_asian_width

WIDTH = 80
"""Columns of a terminal; nothing printed is wider."""
LEAST = 4
"""No column of a table is made narrower than this."""
ISOLATE, POP = "\u2068", "\u2069"

_RIGHT_TO_LEFT = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff]")
_FIGURE = re.compile(
    r"(?<=[\d½]) (?=(?:%|[munkM]?(?:A|V|W|Wh|Ah|ohm|F|g|m|s)|Wh/k?mi?|mm2|AWG|SAE|degC|degF|°C|°F|km/h|mph|"
    r"mi|ft|in|lb|min|h|d|J|K|Hz|kg|cm|K/W)(?!\w))"
)
"""The space between a number and its unit."""
_HOURS = re.compile(r"(?<=\d\u00a0h) (?=\d+\u00a0min(?!\w))")
"""The space in the middle of one time: `7 h 05 min`."""


def cells(text: str) -> int:
    """How many columns a text takes on a terminal.

    >>> cells("pack"), cells("荷台"), cells("e\u0301")
    (4, 4, 1)
    """
    return len(text) if text.isascii() else sum(map(_cells, text))


def _cells(letter: str) -> int:
    if combining(letter) or letter in (ISOLATE, POP, "\u200b", "\u200d", "\ufe0f"):
        return 0
    return 2 if east_asian_width(letter) in "WF" else 1


def kept(text: str) -> str:
    """The text with numbers and their units tied together by a space that does not break."""
    return _HOURS.sub("\u00a0", _FIGURE.sub("\u00a0", text))


def isolated(text: str) -> str:
    """The text with each run of right-to-left letters set apart from what stands beside it."""
    if text.isascii() or not _RIGHT_TO_LEFT.search(text):
        return text
    return re.sub(r"[^\W\d_](?:.*[^\W\d_])?", _isolate, text) if _mixed(text) else f"{ISOLATE}{text}{POP}"


def _mixed(text: str) -> bool:
    return any(bidirectional(letter) == "L" for letter in text)


def _isolate(found: re.Match[str]) -> str:
    words = re.split(r"( )", found.group())
    out: list[str] = []
    run: list[str] = []
    for word in [*words, ""]:
        if word and (_RIGHT_TO_LEFT.search(word) or (run and word == " ")):
            run.append(word)
            continue
        tail = run.pop() if run and run[-1] == " " else ""
        out += [f"{ISOLATE}{''.join(run)}{POP}"] if run else []
        out += [tail, word]
        run = []
    return "".join(out)


def wrapped(text: str, first: int = 0, then: int | None = None, most: int = WIDTH) -> list[str]:
    """The text in lines of at most `most` cells, the first indented by `first`, the others by `then`.

    Numbers stay with their units; a word is broken only where a line cannot hold it.

    >>> wrapped("at most 25 A", 0, 2, 9)
    ['at most', '  25 A']
    """
    then = first if then is None else then
    lines: list[str] = []
    line, taken, indent = "", 0, first
    for gap, word in _words(kept(isolated(text)), most - then):
        wide = cells(word)
        if line and indent + taken + gap + wide > most:
            lines.append(" " * indent + line)
            line, taken, indent = "", 0, then
        line, taken = (f"{line}{' ' * gap}{word}", taken + gap + wide) if line else (word, wide)
    if line:
        lines.append(" " * indent + line)
    return [one.replace("\u00a0", " ") for one in _closed(lines)]


def _closed(lines: Iterable[str]) -> Iterator[str]:
    """Lines in each of which every isolate that opens closes: one that goes on is opened again on the next line."""
    open_ = False
    for line in lines:
        indent = len(line) - len(line.lstrip(" "))
        line = f"{line[:indent]}{ISOLATE}{line[indent:]}" if open_ else line
        open_ = line.count(ISOLATE) > line.count(POP)
        yield f"{line}{POP}" if open_ else line


def _words(text: str, most: int) -> Iterator[tuple[int, str]]:
    """Each word with the spaces in front of it; one that is longer than a line in pieces."""
    for gap, word in re.findall(r"([ \n\t]*)([^ \n\t]+)", text):
        first, *rest = _pieces(word, most)
        yield len(gap), first
        yield from ((0, piece) for piece in rest)


def _pieces(word: str, most: int) -> Iterator[str]:
    """A word whole, or in pieces of `most` cells when it is longer than that."""
    if cells(word) <= most:
        yield word
        return
    piece, taken = "", 0
    for letter in word:
        wide = _cells(letter)
        if taken + wide > most:
            yield piece
            piece, taken = "", 0
        piece, taken = piece + letter, taken + wide
    yield piece


def table(rows: Sequence[Sequence[str]], align: str, heads: Sequence[str] = (), indent: int = 2) -> list[str]:
    """Rows in columns two apart; `align` has l or r for each column.

    Where they are too wide the widest columns wrap; names are never cut, so no two rows look alike that are not.

    >>> table([["keel", "97 %"], ["pannier", "8 %"]], "lr")
    ['  keel     97 %', '  pannier   8 %']
    """
    return [line for row in table_rows(rows, align, heads, indent) for line in row]


def table_rows(
    rows: Sequence[Sequence[str]], align: str, heads: Sequence[str] = (), indent: int = 2
) -> list[list[str]]:
    """The lines of each row of a table, those of the heads first where there are any.

    Where words would have to be parted, each row is a paragraph: what stands first, then the rest with its heads.
    """
    if not rows:
        return []
    headed = any(heads)
    everything = [[*heads], *rows] if headed else [[*row] for row in rows]
    most = _narrowed([[row[at] for row in everything] for at in range(len(align))], headed, WIDTH - indent)
    if most is None:
        return [*([[]] if headed else []), *(_paragraph(row, heads if headed else (), indent) for row in rows)]
    lined = [[wrapped(each, most=wide) for each, wide in zip(row, most, strict=True)] for row in everything]
    wide = [max(cells(line) for row in lined for line in row[at] or [""]) for at in range(len(align))]
    if headed:  # heads stand on what is under them
        tall = max(map(len, lined[0]))
        lined[0] = [[""] * (tall - len(each)) + each for each in lined[0]]
    return [[(" " * indent + line).rstrip() for line in _side_by_side(row, wide, align)] for row in lined]


def _paragraph(row: Sequence[str], heads: Sequence[str], indent: int) -> list[str]:
    """What stands in a row with its heads; the first cell on a line of its own."""
    named = [f"{head}: {text}" if head else text for head, text in zip(heads or [""] * len(row), row, strict=True)]
    first, *rest = (name for name, text in zip(named, row, strict=True) if text or name is named[0])
    return [*wrapped(first, indent), *wrapped("; ".join(rest), indent + 4)]


def _side_by_side(row: Sequence[Sequence[str]], wide: Sequence[int], align: str) -> Iterator[str]:
    """The lines of a row, counted in cells: a library that counts letters would move what stands beside wide ones."""
    for at in range(max(map(len, row))):
        held = [each[at] if at < len(each) else "" for each in row]
        gaps = [" " * max(0, most - cells(each)) for each, most in zip(held, wide, strict=True)]
        yield "  ".join(
            each + gap if side == "l" else gap + each for each, gap, side in zip(held, gaps, align, strict=True)
        )


def _narrowed(columns: Sequence[Sequence[str]], headed: bool, room: int) -> list[int] | None:
    """The widths of columns that fit, the widest giving way first: heads wrap before what stands under them.

    None where words would have to be parted; a single column parts them.
    """
    wide = [max(1, *map(cells, each)) for each in columns]
    if len(columns) == 1:
        return [min(wide[0], room)]
    whole = [max(_longest_word(cell) for cell in each) for each in columns]
    under = [
        max(least, *map(cells, each[1:])) if headed else most
        for least, most, each in zip(whole, wide, columns, strict=True)
    ]
    for floors in (under, whole):
        while sum(wide) + 2 * (len(wide) - 1) > room:
            able = [at for at, floor in enumerate(floors) if wide[at] > max(floor, LEAST)]
            if not able:
                break
            wide[max(able, key=lambda at: wide[at])] -= 1
        else:
            return wide
    return None


def _longest_word(text: str) -> int:
    return max((cells(word) for word in kept(text).split(" ")), default=0)


def lines(texts: Iterable[str], first: int = 2, then: int = 4) -> list[str]:
    """Each text as a paragraph with a hanging indent."""
    return [line for text in texts for line in wrapped(text, first, then)]
