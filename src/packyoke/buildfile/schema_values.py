"""How the value of each kind of field may look, for the JSON Schema: patterns from the closed lists of the reader.

Editors hand over what their YAML made of a line: `series: 14` is a number there, `built_in: yes` is true. Both forms
are taken. Patterns keep to what every dialect of regular expressions knows: no flags, no look-behind.
"""

from __future__ import annotations

import re
from typing import Any

from packyoke.buildfile.schema_asked import asked, label
from packyoke.buildfile.schema_bounds import beyond
from packyoke.buildfile.schema_patterns import (
    BLANK,
    GUESS,
    JOINTS,
    NUMBER,
    amount,
    any_case,
    any_word,
    kind_of,
    out_of,
    units_in,
)
from packyoke.core.unit_names import PAIRS, Kind
from packyoke.model.field import Field
from packyoke.model.fields import FIELDS
from packyoke.shelf.connectors import connector, connector_names

Json = dict[str, Any]
_METAL = "([pP][iI][nN]|[sS][oO][cC][kK][eE][tT])"

"""What is said in the field table of a line that has to be there."""
_SECTIONS = ("packs", "joiners", "leads", "controllers", "accessories", "racks", "chargers", "places")
SCALAR: Json = {"type": ["string", "number", "boolean"]}
_NO_LETTER = r"!-&(-,/:-@\[-^`{-~\n"
"""What is printed and stands in no name; a point stands in names of a shelf."""


def named(*reserved: str, without: str = ".") -> str:
    """The pattern of a name: 40 characters at most, a letter or a digit among them, blanks between words
    only, and not a word that means more."""
    words = "|".join(any_case(word) for word in reserved)
    other = f"(?!({words})$)" if words else ""
    return rf"^{other}(?=.*[^\s_'.-])(?! )(?!.* $)(?!.*  )[^{_NO_LETTER}{without}]{{1,40}}$"


YES_NO: Json = {
    "anyOf": [
        {"type": "boolean"},
        {"type": "string", "pattern": r"^\s*([yY][eE][sS]|[nN][oO]|[tT][rR][uU][eE]|[fF][aA][lL][sS][eE])\s*$"},
    ]
}
_DAY = "((0[13578]|1[02])-(0[1-9]|[12][0-9]|3[01])|(0[469]|11)-(0[1-9]|[12][0-9]|30)|02-(0[1-9]|[12][0-9]))"
_YEAR = "(?!0000)[0-9]{4}"
DAY: Json = {"type": "string", "pattern": f"^{_YEAR}-{_DAY}$"}
MONTH_OR_DAY: Json = {"type": "string", "pattern": f"^{_YEAR}-({_DAY}|0[1-9]|1[0-2])$"}
ANY_AMOUNT: Json = {"type": ["string", "number"], "pattern": rf"^{NUMBER}( ?[^\s0-9].{{0,15}})?$"}
_TWO = "pin and socket"
_SCALE = r"([aA][wW][gG]|[sS][aA][eE])"
_SIZE = "([1-4]/0|0{1,4}|[1-9]|1[0-9]|2[0-4])"
"""24 AWG to 4/0 AWG."""
_AREA = r"([mM][mM](2|²|\^2)|[sS][qQ]\.? ?[mM][mM]|[qQ][mM][mM])"
_COPPER = rf"(?!({beyond(0.2, 70.0)})(?![0-9.])){NUMBER[2:]}"
_GAUGE = rf"({_SCALE}{BLANK}{_SIZE}|{_SIZE}{BLANK}{_SCALE}|{_COPPER}{BLANK}{_AREA})"


NAME: Json = {**SCALAR, "pattern": named("none", "all", "controller")}
TARGET: Json = {**SCALAR, "pattern": named("none", "all")}
ITEM: Json = {**SCALAR, "pattern": named(without="")}
NAMES: Json = {"type": "array", "items": NAME, "uniqueItems": True}


def quantity(kind: Kind) -> Json:
    """A quantity of a kind as a text, a pair of them where the kind is one."""
    if kind is Kind.GAUGE:
        return {"type": "string", "pattern": rf"^\s*{_GAUGE}{GUESS}$"}
    if kind is Kind.GAUGE_RANGE:
        first = rf"({_GAUGE}|{_SIZE}|{_COPPER})"
        return {"type": "string", "pattern": rf"^\s*{first}\s*([tT][oO]|-|–|\.\.)\s*{_GAUGE}{GUESS}$"}
    if kind in PAIRS:
        before, after, word = PAIRS[kind]
        return {"type": "string", "pattern": rf"^\s*{amount(before)}{JOINTS[word]}{amount(after)}{GUESS}$"}
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
        r"(?![!-&(-,/:-@\[-^`{-~])(?!.*[,;=+&])"
        rf"(?!{shell}$)(?!.*[^ ]{_METAL}[sS]?{GUESS}$)(?![yY][eE][sS]$|[nN][oO]$)"
        rf"(?!{NUMBER}{BLANK}[A-Za-z/%]{{1,5}}{GUESS}$)(?![0-9.,-]+$)\S(.*\S)?$",
    }
    pole = {"type": "string", "pattern": rf"^\s*{_METAL}[sS]?\s*$"}
    whole = {
        "type": "object",
        "additionalProperties": False,
        "required": ["family", "plus", "minus"],
        "properties": {"family": {**SCALAR, "minLength": 1}, "plus": pole, "minus": pole},
    }
    return {"anyOf": [text, whole]}


def shelf_end() -> Json:
    """Where a file describes no connectors: pin or socket is named, or a family whose halves are alike."""
    alike = [name for name in connector_names() if (found := connector(name)) is None or found.contacts != _TWO]
    whole = "|".join(_any_spelling(name) + ("" if connector(name) else r".*") for name in alike)
    metal = rf".*\s{_METAL}[sS]?"
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
    return [{"enum": [*words]}, {"type": "string", "pattern": rf"^[\s_-]*({pattern})[\s_-]*{GUESS}$"}]


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
    no = [{"pattern": each} for each in (out_of(field, kind), *asked(field, kind))]
    return {**ref(kind.name.lower()), "not": {"anyOf": no} if len(no) > 1 else no[0]}


NONE = {"type": "string", "pattern": r"^\s*[nN][oO][nN][eE]\s*$"}
NONE_GUESSED = {"type": "string", "pattern": r"^\s*[nN][oO][nN][eE]\s*\??\s*$"}
_INSIDE: list[Json] = [
    {"enum": ["none", "inside, not confirmed"]},
    {
        "type": "string",
        "pattern": rf"^\s*({any_case('none')}|{any_word('inside')}([\s,_-]+{any_word('not confirmed')})?)\s*\??$",
    },
]
_OR_NONE = {"current or none": Kind.CURRENT, "speed or none": Kind.SPEED, "voltage or none": Kind.VOLTAGE}
_RUN = {
    "type": "string",
    "pattern": rf"^\s*({'|'.join(map(any_word, ('open', 'in frame', 'moving')))}"
    rf"|{any_case('beside')}[ _-]+([0-9]{{1,2}}[ _-]+({any_word('other')}[sS]?|({any_word('other')}[ _-]+)?"
    rf"{any_case('lead')}[sS]?)|(?![0-9]{{1,2}}[ _-]+({any_case('other')}|{any_case('lead')}))\S.*))\s*$",
}


NO_GUESS: Json = {"not": {"type": "string", "pattern": r"\?\s*$"}}
NOT_GUESSED = {
    "ride.*.known.air",
    *(field.path for field in FIELDS if field.needed and (kind_of(field) or field.kind == "word")),
}
"""Without these a part means nothing: a guess does not do."""


def assist(field: Field) -> Json:
    """The rider's share of the work."""
    rider = rf"{any_case('rider')} \s*(?!{out_of(field, Kind.POWER)[4:]}){amount(Kind.POWER)}{GUESS}"
    ratio = rf"{any_case('ratio')} {NUMBER[2:]}"
    return {"type": "string", "pattern": rf"^({rider}|{ratio}|{any_case('throttle')})$"}


def value(field: Field) -> Json:
    """How the value of a field may look; a mapping is described by what may stand in it."""
    found = _value(field)
    return {"allOf": [found, NO_GUESS]} if field.path in NOT_GUESSED else found


def _value(field: Field) -> Json:
    kind = kind_of(field)
    if field.kind in ("word", "count", "text"):
        return {"word": word, "count": count, "text": text}[field.kind](field)
    if kind is not None:
        return bounded(field, kind)
    if field.kind in _OR_NONE:
        return _one_of(NONE, bounded(field, _OR_NONE[field.kind]))
    if field.kind == "voltage or isolates only":
        return _one_of(*_words("isolates only"), bounded(field, Kind.VOLTAGE))
    if field.kind == "voltage, may be at current":
        no = {"not": {"pattern": out_of(field, Kind.VOLTAGE)}}
        return {**_one_of(ref("voltage"), ref("voltage_at_current")), **no}
    if field.kind in ("text or voltage", "assist"):
        return assist(field) if field.kind == "assist" else label(field, ref("voltage"))
    if field.kind == "name" and not field.words:
        return ITEM
    if field.kind == "name" and "controllers" in field.words:
        return TARGET
    if field.kind == "mapping or none":
        return NONE_GUESSED if field.words else NONE
    if field.kind == "names" and field.low:
        return {**NAMES, "minItems": int(field.low)}
    special = _SPECIAL.get(field.kind)
    if special is not None:
        return special
    if field.kind == "insulation":
        degrees = {"type": "string", "pattern": rf"^[0-9]+(\.[0-9]+)?{BLANK}({units_in(Kind.TEMPERATURE)}){GUESS}$"}
        return _one_of(*_words(*field.words), degrees)
    return {}


_SPECIAL: dict[str, Json] = {
    "integer": _one_of({"const": 1}, {"const": "1"}),
    "yes/no": YES_NO,
    "date": DAY,
    "month or day": MONTH_OR_DAY,
    "name": NAME,
    "name or none": _one_of(NONE, NAME),
    "path": {
        "type": "string",
        "pattern": rf"^(build|bike|controller|({'|'.join(_SECTIONS)})\.[^.]{{1,40}}(\.[a-zA-Z_]+)?)$",
    },
    "names": NAMES,
    "two names": {**NAMES, "minItems": 2, "maxItems": 2},
    "name or list": _one_of(NAME, {**NAMES, "minItems": 1}),
    "list of names": {"type": "array", "items": {**NAMES, "minItems": 1}},
    "end": ref("end"),
    "ends": ref("ends"),
    "end or list": _one_of(ref("end"), {"type": "array", "items": ref("end"), "minItems": 1}),
    "run": _one_of(_RUN, {"type": "array", "items": _RUN}),
    "rule": {"type": "string", "pattern": "^[a-z][a-z-]+$"},
    "any quantity": ANY_AMOUNT,
    "quantity or yes/no": SCALAR,
    "count or length": _one_of({"type": "integer"}, {"type": "string"}),
    "texts": {"type": "array", "items": {"type": "string"}},
    "yes or mapping": YES_NO,
    "fuse": _one_of(*_INSIDE),
}
