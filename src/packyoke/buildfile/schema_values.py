"""How the value of each kind of field may look, for the JSON Schema: patterns from the closed lists of the reader.

Editors hand over what their YAML made of a line: `series: 14` is a number there, `built_in: yes` is true. Both forms
are taken. Patterns keep to what every dialect of regular expressions knows: no flags, no look-behind.
"""

from __future__ import annotations

import re
from typing import Any

from packyoke.buildfile.schema_bounds import outside
from packyoke.core import tape
from packyoke.core.unit_names import CURRENCIES, PAIRS, Kind, spellings
from packyoke.model.field import Field
from packyoke.shelf.connectors import connector, connector_names

Json = dict[str, Any]

NUMBER = r"-?((0|[1-9][0-9]*)(\.[0-9]+)?|\.[0-9]+)"
GUESS = r"\s*\??\s*"
SCALAR: Json = {"type": ["string", "number", "boolean"]}
NAME: Json = {
    "type": ["string", "number"],
    "pattern": r"^[^\s?,./#:;(){}\[\]]([^?,./#:;(){}\[\]]*[^\s?,./#:;(){}\[\]])?$",
}
YES_NO: Json = {
    "anyOf": [
        {"type": "boolean"},
        {"type": "string", "pattern": r"^\s*([yY][eE][sS]|[nN][oO]|[tT][rR][uU][eE]|[fF][aA][lL][sS][eE])\s*$"},
    ]
}
DAY: Json = {"type": "string", "pattern": "^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"}
MONTH_OR_DAY: Json = {"type": "string", "pattern": "^[0-9]{4}-(0[1-9]|1[0-2])(-(0[1-9]|[12][0-9]|3[01]))?$"}
NAMES: Json = {"type": "array", "items": NAME, "uniqueItems": True}
ANY_AMOUNT: Json = {"type": ["string", "number"]}
_TWO = "pin and socket"
_SIZE = rf"([1-4]/0|0{{2,4}}|{NUMBER[2:]})"
_SCALE = r"([aA][wW][gG]|[sS][aA][eE]|[mM][mM](2|²|\^2)|[sS][qQ]\.? ?[mM][mM]|[qQ][mM][mM])"
_GAUGE = rf"(({_SCALE}) *{_SIZE}|{_SIZE} *({_SCALE}))"
_BLANK = r"[ \u00a0\u202f\u2009]*"


def any_case(text: str) -> str:
    """A pattern for a text in whatever case; the micro sign has no capital of its own."""
    return "".join(
        f"[{c.lower()}{c.upper()}]" if c.lower() != c.upper() and c.upper().lower() == c.lower() else re.escape(c)
        for c in text
    )


def any_word(word: str) -> str:
    """A pattern for a word as the reader compares it: without case, blanks for hyphens and underscores."""
    return r"[ _-]+".join(any_case(part) for part in re.split(r"[ _-]+", word))


def _units(kind: Kind, only: tuple[str, ...] = ()) -> str:
    """Every spelling of a kind, or some: those that another unit has in another case keep their first letter."""
    known = spellings()[kind]
    meant: dict[str, set[object]] = {}
    for spelling, unit in known.items():
        meant.setdefault(spelling.lower(), set()).add(unit)
    found = []
    for spelling in only or known:
        loose = len(meant[spelling.lower()]) == 1
        text = any_case(spelling) if loose else re.escape(spelling[0]) + any_case(spelling[1:])
        found.append(text.replace(r"\ ", " +").replace(r"\-", "-").replace(r"\/", "/"))
    return "|".join(sorted(dict.fromkeys(found), key=lambda each: (-len(each), each)))


def amount(kind: Kind) -> str:
    """The pattern of one quantity, without anchors."""
    if kind is Kind.MONEY:
        return rf"{NUMBER} *({'|'.join(sorted(any_case(code) for code in CURRENCIES))})"
    found = rf"{NUMBER}{_BLANK}({_units(kind)})"
    if kind is not Kind.LENGTH:
        return found
    foot, inch = ("|".join(map(any_case, words)) for words in (tape.FOOT_WORDS, tape.INCH_WORDS))
    return rf"({found}|{tape.pattern(foot, inch).replace('(?:', '(')})"


JOINTS = {"for": " *[fF][oO][rR] *", "after": " *[aA][fF][tT][eE][rR] *", "at": " *([aA][tT]|@) *"}


def quantity(kind: Kind) -> Json:
    """A quantity of a kind as a text, a pair of them where the kind is one."""
    if kind is Kind.GAUGE:
        return {"type": "string", "pattern": rf"^\s*{_GAUGE}{GUESS}$"}
    if kind is Kind.GAUGE_RANGE:
        return {"type": "string", "pattern": rf"^\s*({_GAUGE}|{_SIZE})\s*(to|-|–|\.\.)\s*{_GAUGE}{GUESS}$"}
    if kind in PAIRS:
        first, second, word = PAIRS[kind]
        return {"type": "string", "pattern": rf"^\s*{amount(first)}{JOINTS[word]}{amount(second)}{GUESS}$"}
    return {"type": "string", "pattern": rf"^\s*{amount(kind)}{GUESS}$"}


def definitions() -> Json:
    """What fields refer to: one definition a kind of quantity, and the ends."""
    found = {kind.name.lower(): quantity(kind) for kind in Kind}
    return {**found, "end": end(), "shelf_end": shelf_end(), "ends": _list_of_ends(2)}


def ref(name: str) -> Json:
    return {"$ref": f"#/$defs/{name}"}


def end() -> Json:
    """A connector with the metal of its poles; families of pins and sockets never stand alone, "male" never stands."""
    two = [name for name in connector_names() if (found := connector(name)) and found.contacts == _TWO]
    alone = "|".join(any_word(name) for name in two)
    shell = r"(.*[^A-Za-z])?([fF][eE])?[mM][aA][lL][eE]([^A-Za-z].*)?"
    text = {
        "type": "string",
        "pattern": rf"^(?!\s*({alone}|[pP][iI][nN][sS]?|[sS][oO][cC][kK][eE][tT][sS]?){GUESS}$)"
        rf"(?!{shell}$)(?!.*[^ ]([pP][iI][nN]|[sS][oO][cC][kK][eE][tT])[sS]?{GUESS}$)(?![yY][eE][sS]$|[nN][oO]$)"
        rf"(?!{NUMBER}{_BLANK}[A-Za-z/%]{{1,5}}{GUESS}$)(?![0-9.,-]+$)\S(.*\S)?$",
    }
    pole = {"type": "string", "pattern": r"^\s*([pP][iI][nN]|[sS][oO][cC][kK][eE][tT])[sS]?\s*$"}
    whole = {
        "type": "object",
        "additionalProperties": False,
        "required": ["family", "plus", "minus"],
        "properties": {"family": {"type": "string"}, "plus": pole, "minus": pole},
    }
    return {"anyOf": [text, whole]}


def shelf_end() -> Json:
    """Where a file describes no connectors: pin or socket is named, or a family whose halves are alike."""
    alike = [name for name in connector_names() if (found := connector(name)) is None or found.contacts != _TWO]
    whole = "|".join(_any_spelling(name) + ("" if connector(name) else r".*") for name in alike)
    metal = r".*\s([pP][iI][nN]|[sS][oO][cC][kK][eE][tT])[sS]?"
    return {"if": {"type": "string"}, "then": {"pattern": rf"^\s*({metal}|{whole}){GUESS}$"}}


def _any_spelling(name: str) -> str:
    """A family as the reader compares it: without case, blanks, hyphens and underscores."""
    return r"[\s_-]*".join(any_case(letter) for letter in re.sub("[ _-]", "", name))


def _list_of_ends(count: int) -> Json:
    return {"type": "array", "items": ref("end"), "minItems": count, "maxItems": count}


def _one_of(*found: Json) -> Json:
    return {"anyOf": [*found]}


def _words(*words: str) -> list[Json]:
    pattern = "|".join(any_word(word) for word in words)
    return [{"enum": [*words]}, {"type": "string", "pattern": rf"^({pattern}){GUESS}$"}]


def word(field: Field) -> Json:
    more = ("geared hub, locked", "geared hub locked") if field.path == "bike.drive.type" else ()
    choice = _words(*field.words)
    return _one_of(*choice, *(_words(*more)[1:] if more else ()))


def count(field: Field) -> Json:
    return _one_of(
        {"type": "integer", "minimum": int(field.low or 0), "maximum": int(field.high or 100000)},
        {"type": "string", "pattern": r"^(0|[1-9][0-9]{0,5}) *\??$"},
    )


def text(field: Field) -> Json:
    low, high = int(field.low or 0), int(field.high or 4096)
    return {"type": ["string", "number", "boolean"], "minLength": low, "maxLength": high}


def bounded(field: Field, kind: Kind) -> Json:
    """A quantity that is not surely out of the bounds of its field; of a pair the first figure is looked at."""
    if field.low is None or field.high is None or kind is Kind.VOLTAGE_AT_CURRENT:
        return ref(kind.name.lower())
    first = PAIRS[kind][0] if kind in PAIRS else kind
    return {**ref(kind.name.lower()), "not": {"pattern": outside(first, field.low, field.high, _spelled)}}


def _spelled(kind: Kind, names: tuple[str, ...]) -> str:
    return f"{_BLANK}({_units(kind, names)})"


def kind_of(field: Field) -> Kind | None:
    return Kind.__members__.get(field.kind.upper().replace(" ", "_"))


NONE = {"type": "string", "pattern": r"^\s*[nN][oO][nN][eE]\s*$"}
NONE_GUESSED = {"type": "string", "pattern": r"^[nN][oO][nN][eE] *\??$"}
_INSIDE: list[Json] = [
    {"enum": ["none", "inside, not confirmed"]},
    {"type": "string", "pattern": r"^(none|inside([, _-]+not[ _-]confirmed)?) *\??$"},
]
_OR_NONE = {"current or none": Kind.CURRENT, "speed or none": Kind.SPEED}
_LABEL = r"^(?![0-9][^vV]*$)[\s\S]*[^0-9.\s]"
"""What begins with a figure names volts."""
_RUN = {"type": "string", "pattern": r"^([oO]pen|[iI]n[ _-]frame|[mM]oving|[bB]eside .+)$"}


def value(field: Field) -> Json:
    """How the value of a field may look; a mapping is described by what may stand in it."""
    kind = kind_of(field)
    if field.kind in ("word", "count", "text"):
        return {"word": word, "count": count, "text": text}[field.kind](field)
    if kind is not None:
        return bounded(field, kind)
    if field.kind in _OR_NONE:
        return _one_of(NONE, bounded(field, _OR_NONE[field.kind]))
    if field.kind == "voltage or isolates only":
        return _one_of(*_words("isolates only"), bounded(field, Kind.VOLTAGE))
    special = _SPECIAL.get(field.kind)
    if special is not None:
        return special
    if field.kind == "insulation":
        degrees = {"type": "string", "pattern": rf"^[0-9]+(\.[0-9]+)?{_BLANK}({_units(Kind.TEMPERATURE)}){GUESS}$"}
        return _one_of(*_words(*field.words), degrees)
    return {}


_SPECIAL: dict[str, Json] = {
    "integer": _one_of({"const": 1}, {"const": "1"}),
    "yes/no": YES_NO,
    "date": DAY,
    "month or day": MONTH_OR_DAY,
    "name": NAME,
    "name or none": NAME,
    "path": {"type": "string", "minLength": 1},
    "names": NAMES,
    "two names": {**NAMES, "minItems": 2, "maxItems": 2},
    "name or list": _one_of(NAME, {**NAMES, "minItems": 1}),
    "list of names": {"type": "array", "items": {**NAMES, "minItems": 1}},
    "end": ref("end"),
    "ends": ref("ends"),
    "end or list": _one_of(ref("end"), {"type": "array", "items": ref("end"), "minItems": 1}),
    "run": _one_of(_RUN, {"type": "array", "items": _RUN}),
    "assist": {"type": "string", "pattern": r"^([rR]ider .+|[rR]atio [0-9.]+|[tT]hrottle)$"},
    "text or voltage": {"type": "string", "maxLength": 80, "minLength": 1, "pattern": _LABEL},
    "voltage, may be at current": _one_of(ref("voltage"), ref("voltage_at_current")),
    "rule": {"type": "string", "pattern": "^[a-z][a-z-]+$"},
    "any quantity": ANY_AMOUNT,
    "quantity or yes/no": SCALAR,
    "count or length": _one_of({"type": "integer"}, {"type": "string"}),
    "texts": {"type": "array", "items": {"type": "string"}},
    "yes or mapping": YES_NO,
    "mapping or none": NONE_GUESSED,
    "fuse": _one_of(*_INSIDE),
}
