"""How a number is mistyped, what that is called, and what to type instead.

Nothing is offered that the reader would not take: every line to type is read before it is printed.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from packyoke.core.unit_names import Kind

_ANY = r"(?>[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_AREA = r"mm2|mm²|mm\^2|sq\.? ?mm|qmm"
_INCHES = re.compile(r"[\"″”“]|''")
_DIVIDED = (Kind.LENGTH, Kind.TIME, Kind.MASS)
"""What is halved and quartered by people who do not mean two figures."""

Offers = Callable[[re.Match[str]], list[str]]


def _without(characters: str) -> Offers:
    return lambda found: [re.sub(f"(?<=[0-9])[{characters}](?=[0-9])", "", found.string)]


def _comma(found: re.Match[str]) -> list[str]:
    """A decimal, or thousands: which of them is not known when three figures follow."""
    text = found.string
    if "." in text or text.count(",") > 1 or re.search(r"[0-9] [0-9]", text):
        return []
    if not re.match(r"-?[1-9][0-9]*,[0-9]{3}(?![0-9])", text):
        return [text.replace(",", ".")]
    return [text.replace(",", ""), decimal_of(text.replace(",", "."))]


def decimal_of(text: str) -> str:
    """A number with three decimals such that nobody takes its point for thousands: 1.250 is 1.25, 1.234 is 1.2340."""
    found = re.search(r"[0-9]+\.[0-9]+", text)
    if found is None:
        return text
    short = found[0].rstrip("0").rstrip(".")
    return text.replace(found[0], f"{found[0]}0" if short == found[0] else short, 1)


def _fraction(found: re.Match[str]) -> list[str]:
    """Halves, quarters and the like of an inch or an hour; a slash between other figures parts two of them."""
    from decimal import Decimal  # a start-up of its own, for a slip that is rare

    whole, above, below, rest = Decimal(found[1] or 0), Decimal(found[2]), Decimal(found[3]), found[4]
    if below in (2, 4, 8, 16, 32, 64) and above < below:
        return [f"{(whole + above / below).normalize():f} {_INCHES.sub('in', rest)}"]
    return []


def _both(found: re.Match[str]) -> list[str]:
    return [f"{found[1]} {found[4]}", f"{found[3]} {found[4]}"]


def _parts(found: re.Match[str]) -> list[str]:
    """Feet and inches in inches, pounds and ounces in pounds, stones and pounds in pounds."""
    if found[2].lower().startswith("st"):
        whole, part = float(found[1]), float(found[3])
        return [f"{14 * whole + part:.10g} lb"] if part < 14 and found[4].lower()[0] in "lp" else []
    feet, whole, part = found[2].lower().startswith("f"), float(found[1]), float(found[3])
    if not found[4].lower().startswith("i" if feet else "o") or part >= (12 if feet else 16):
        return []
    return [f"{12 * whole + part:.10g} in" if feet else f"{whole + part / 16:.4f}".rstrip("0").rstrip(".") + " lb"]


def _zero(found: re.Match[str]) -> list[str]:
    """`048 V` may have lost its point: both are offered."""
    return [found[1], re.sub(r"\A(-?)0", r"\g<1>0.", found.string)]


# A mistake in the number, what it is called, what to type instead, what to say when nothing can be offered. The first
# that fits is told.
_SLIPS: tuple[tuple[str, str, Offers, str], ...] = (
    (r"[-+]?(?:nan|inf(?:inity)?)(?![a-z])", "is not a number", lambda found: [], "Write the number itself."),
    (r".*[0-9]_[0-9]", "has an underscore in the number", _without("_"), "Write the number without it."),
    (r".*?[0-9]e[-+]?[0-9]", "has an exponent", lambda found: [], "Write the number out, or use another unit."),
    (
        rf"({_ANY}) *([^±+0-9]*?) *(?:±|\+ ?/? ?-) ?{_ANY} *(.*)",
        "has a tolerance",
        lambda found: [f"{found[1]} {found[2] or found[3]}"],
        "Write the number alone, without its tolerance.",
    ),
    (r".*[0-9],[0-9]", "has a comma in the number", _comma, "Write the number without commas and with one point."),
    (
        r"([0-9]+) ?['′’] ?([0-9]+) ?(?:[\"″”]|'')?\Z",
        "is feet and inches",
        lambda found: [f"{12 * int(found[1]) + int(found[2])} in"] if int(found[2]) < 12 else [],
        "Write inches: in",
    ),
    (r".*[0-9]['’`´][0-9]", "has a mark in the number", _without("'’`´"), "Write the number without it."),
    (
        r"-?(?:([0-9]+)[ -])?([0-9]+) */ *([0-9]+) *([^0-9]*)\Z",
        "is a fraction",
        _fraction,
        "Write one number, with a point for its decimals.",
    ),
    (r"-?[1-9][0-9]{0,2}(?: [0-9]{3})+(?![0-9])", "has a space in the number", _without(" "), "Leave the space out."),
    (
        rf"(-?{_ANY}) *(?:(\S+?) *(?=.*[0-9] *\2\Z))?(?: |-|–|—|\.\.+|…|~|/|\bto\b|\bor\b) *(-?{_ANY}) *([^0-9]*)\Z",
        "is two numbers",
        _both,
        "One number and one unit are needed.",
    ),
    (r"-?[0-9]*\.[0-9]*\.", "has two points in the number", lambda found: [], "Write the number with one point."),
    (
        rf"(-?{_ANY}[^0-9]*?) *(?:\b(?:for|after|at)\b|@)(?=[^0-9]*[0-9.]+[^0-9]*\Z)",
        "has a second figure",
        lambda found: [found[1]],
        "One figure is needed.",
    ),
    (
        rf"({_ANY}) ?(ft|feet|foot|lbs?|pounds?|st|stones?),? *({_ANY}) ?(in|inch|inches|oz|ounces?|lbs?|pounds?)\Z",
        "is two quantities",
        lambda found: _parts(found),
        "One number and one unit are needed.",
    ),
    (rf"-?{_ANY} *[^0-9 ].*?[0-9]", "is two quantities", lambda found: [], "One number and one unit are needed."),
    (r"-?0+(?=[0-9])(.*)", "starts with a zero", _zero, "Write the number without it."),
    (r"\+ ?(.*)", "starts with a plus sign", lambda found: [found[1]], "Write the number without it."),
    (r"(-?[0-9]+)\.(?![0-9]) *(.*)", "ends in a point", lambda found: [f"{found[1]} {found[2]}"], "Leave it out."),
)


def slip(text: str, kind: Kind, taken: Callable[[str], bool]) -> tuple[str, str] | None:
    """What is wrong with the number in a text, and what to do; None when the number is not what is wrong.

    :param text: what was typed, without a question mark at its end
    :param kind: what it should measure
    :param taken: whether the reader takes a text for this kind
    """
    plain = re.sub(_AREA, "mm²", text, flags=re.I)
    for pattern, message, offers, otherwise in _SLIPS:
        found = re.match(pattern, plain, re.I)
        if found is None or (offers is _fraction and not (kind in _DIVIDED and _fraction(found))):
            continue
        lines = list(dict.fromkeys(line.strip() for line in offers(found)))
        if not lines or not all(taken(line) for line in lines):
            return message, otherwise
        if offers is _both:
            return message, f"One number is needed. Write  {'  or  '.join(lines)}"
        if offers is _comma and len(lines) == 1:
            return message, f"For a decimal write a point:  {lines[0]}"
        return message, f"Write  {'  or, for a decimal,  '.join(lines)}"
    return None
