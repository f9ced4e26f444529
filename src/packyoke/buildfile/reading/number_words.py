"""Numbers in letters, as people say them: "twenty five", "one point five", "half a metre"."""

from __future__ import annotations

import re

_ONES = dict(one=1, two=2, three=3, four=4, five=5, six=6, seven=7, eight=8, nine=9)  # noqa: C408
_TEENS = dict(  # noqa: C408
    ten=10,
    eleven=11,
    twelve=12,
    thirteen=13,
    fourteen=14,
    fifteen=15,
    sixteen=16,
    seventeen=17,
    eighteen=18,
    nineteen=19,
)
_TENS = dict(twenty=20, thirty=30, forty=40, fifty=50, sixty=60, seventy=70, eighty=80, ninety=90)  # noqa: C408
_TENS["fourty"] = 40
_NOUGHT = {"zero": 0, "oh": 0, "nought": 0}
_HALF = re.compile(r"(?<!and a )\bhalf (?:an? )?(?=[a-z]{1,12}\b)", re.I)


def in_figures(text: str) -> str:
    """A text with its numbers in figures; unchanged where two follow one another ("two twenty"), or none is there.

    >>> in_figures("twenty-five amps"), in_figures("fifty four point six volts, four amps")
    ('25 amps', '54.6 volts, 4 amps')
    >>> in_figures("half a metre"), in_figures("two twenty"), in_figures("a hundred and twenty W")
    ('0.5 metre', 'two twenty', '120 W')
    """
    words = re.findall(r"[^\s-]+|[\s-]+", _HALF.sub("0.5 ", text) if not re.search("[0-9]", text) else text)
    bare = [re.sub(r"[^a-z]", "", word.casefold()) for word in words]
    made: list[str] = []
    at, fresh = 0, True
    while at < len(words):
        end, figure = _number(bare, at)
        if end == at:
            made.append(words[at])
            fresh = fresh or bool(bare[at])
            at += 1
        elif not fresh:
            return text
        else:
            tail = re.sub(r"^.*[A-Za-z]", "", words[end - 1])
            made.append(figure + tail)
            at, fresh = end, bool(tail)
    return "".join(made)


def _number(bare: list[str], at: int) -> tuple[int, str]:
    """Where the number that begins at a word ends, and its figures; the same place where none begins there."""
    end, value = _hundreds(bare, at)
    if end == at:
        return at, ""
    figure = str(value)
    place = end + 1
    if bare[place : place + 1] == ["point"]:
        digits = []
        place += 2
        while place < len(bare) and bare[place] in (_ONES | _NOUGHT):
            digits.append(str((_ONES | _NOUGHT)[bare[place]]))
            end, place = place + 1, place + 2
        return end, f"{figure}.{''.join(digits)}" if digits else figure
    if bare[place : place + 5 : 2] == ["and", "a", "half"]:
        return place + 5, f"{figure}.5"
    return end, figure


def _hundreds(bare: list[str], at: int) -> tuple[int, int]:
    end, value = _below_hundred(bare, at)
    if end == at and bare[at] == "a" and bare[at + 2 : at + 3] == ["hundred"]:
        end, value = at + 1, 1
    if end == at or bare[end + 1 : end + 2] != ["hundred"]:
        return end, value
    end, value = end + 2, 100 * value
    more = end + 3 if bare[end + 1 : end + 2] == ["and"] else end + 1
    last, rest = _below_hundred(bare, more) if more < len(bare) else (more, 0)
    return (last, value + rest) if last > more else (end, value)


def _below_hundred(bare: list[str], at: int) -> tuple[int, int]:
    word = bare[at]
    if word in _TENS:
        ones = bare[at + 2] if at + 2 < len(bare) else ""
        return (at + 3, _TENS[word] + _ONES[ones]) if ones in _ONES else (at + 1, _TENS[word])
    if word in ("zero", "nought"):
        return at + 1, 0
    value = _ONES.get(word) or _TEENS.get(word)
    return (at + 1, value) if value else (at, 0)
