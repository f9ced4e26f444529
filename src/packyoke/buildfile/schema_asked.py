"""Values that could be read and that the reader asks about all the same, as patterns for the JSON Schema: labels of
two voltages, a charger of 48 V, a pack of 200 Ah, a point that may part thousands."""

from __future__ import annotations

from decimal import ROUND_CEILING
from math import ceil, floor
from typing import Any

from packyoke.buildfile.reading.doubted import CAPACITY, FULL_CHARGES, MAINS, MOST_AH, named_by
from packyoke.buildfile.schema_bounds import above, below, digits, scales
from packyoke.buildfile.schema_patterns import GUESS, out_of, spelled
from packyoke.core.constants import AH_C
from packyoke.core.units import Kind
from packyoke.model.field import Field

Json = dict[str, Any]

_FIGURE = r"[0-9]+(\.[0-9]+)?"
_V = r" ?[vV]([oO][lL][tT][sS]?)?( ?[dD]\.?[cC]\.?)?($|[^A-Za-z0-9])"
_BEFORE = r"(^|[^0-9.,])"
_LABEL_VOLTS = rf"{_BEFORE}[0-9]+([.,][0-9]+)*{_V}"
_TIED = r" ?[vV]? ?(-|–|—|/|~|\.\.+|…|[tT][oO]|[oO][rR]) ?"
_TWO_VOLTS = rf"{_BEFORE}({_FIGURE})({_TIED}|{_V}(.*[^0-9.,])?)(?!\2 ?[vV]){_FIGURE}{_V}"
_NO_PLAIN_VOLTS = rf"[0-9],[0-9]+([.,][0-9]+)*{_V}|{_BEFORE}(0[0-9]+(\.[0-9]+)*|[0-9]+\.[0-9]+\.[0-9.]+){_V}"
_SIGNED = r"^\s*[-+\u2212] ?[0-9.]"
_PEOPLE = r"^\s*(\?+|-+|[nN]/?[aA]|[tT][bB][cCdD]|[uU]nknown|UNKNOWN|([dD]on't|[nN]ot) know(n)?|[nN]ull|NULL)\s*$"
"""The commonest ways to say that something is not known; the reader knows more of them."""


def label(field: Field, voltage: Json) -> Json:
    """Words with or without volts in them; what begins with a figure names volts, as `voltage` has them."""
    low, high = (str(round(bound)) for bound in (field.low or 0.0, field.high or 0.0))
    far = rf"{_BEFORE}({above(high)}|{below(low)}){_V}"
    no = [_PEOPLE, _SIGNED, _NO_PLAIN_VOLTS, _TWO_VOLTS, far, out_of(field, Kind.VOLTAGE)]
    found: Json = {"type": "string", "minLength": 1, "maxLength": 80}
    volts = {"anyOf": [{"pattern": _LABEL_VOLTS}, voltage]}
    return {**found, "not": {"anyOf": [{"pattern": each} for each in no]}, "if": {"pattern": "^[0-9]"}, "then": volts}


def asked(field: Field, kind: Kind) -> list[str]:
    """Texts of a quantity that the reader asks about."""
    found = _thousands(field, kind)
    if field.path in FULL_CHARGES:
        nominal = "|".join(f"{volts:g}" for volts in named_by())
        found += [
            rf"^\s*({'|'.join(MAINS)})(?![0-9.])",
            rf"^\s*({nominal}) ?[vV]([oO][lL][tT][sS]?| ?[dD]\.?[cC]\.?)?{GUESS}$",
        ]
    if field.path == CAPACITY:
        found.append(_whole(Kind.CHARGE, MOST_AH * AH_C))
    return found


def _whole(kind: Kind, most: float) -> str:
    """Whole numbers of more than `most`, which is SI."""
    figures = [
        above(digits(most / factor, ROUND_CEILING)) + spelled(kind, names)
        for (_, factor), names in scales(kind).items()
    ]
    return rf"^\s*(?![0-9]*\.)({'|'.join(figures)}){GUESS}$"


def _thousands(field: Field, kind: Kind) -> list[str]:
    """`1.250 W` where the field may be a bit more than one and more than a thousand as well."""
    figures = []
    for (zero, factor), names in scales(kind).items():
        low, high = (((bound or 0.0) - zero) / factor for bound in (field.low, field.high))
        least, most = ceil(low / 1000), floor(high / 1000 - 1)
        if most >= max(least, 1):
            few = rf"(?!({below(f'{least}')})\.)" if least > 1 else ""
            figures.append(rf"{few}(?!{above(f'{most}')}\.)[1-9][0-9]{{0,2}}\.[0-9]{{3}}{spelled(kind, names)}")
    return [rf"^\s*({'|'.join(figures)})(?=\s*(\?|$))"] if figures else []
