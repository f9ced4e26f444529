"""JSON that any parser reads: no Infinity, no NaN, no half of a pair of code units."""

from __future__ import annotations

from decimal import Decimal
from json.encoder import encode_basestring
from math import isfinite
from typing import Any


def written(data: Any) -> str:
    """Data as JSON text in Unicode, two spaces a level. What is not a finite number becomes null: it is not known, or
    there is no end.

    Written here and not by the standard library, which lays out in lines by a generator for every level: for folders
    of stored builds that and a copy of the data took longer than the rules.

    >>> print(written({"name": "Mail bike", "a": [1.5, float("inf")], "no": []}), end="")
    {
      "name": "Mail bike",
      "a": [
        1.5,
        null
      ],
      "no": []
    }
    """
    return f"{_text(data, chr(10))}\n"


def _text(data: Any, line: str) -> str:
    """One value; `line` begins a new line where the value stands."""
    if isinstance(data, str):
        return encode_basestring(data if data.isascii() else data.encode("utf-8", "replace").decode("utf-8"))
    if data is None:
        return "null"
    if isinstance(data, bool):
        return "true" if data else "false"
    if isinstance(data, float):
        return float.__repr__(data) if isfinite(data) else "null"
    if isinstance(data, int):
        return int.__repr__(data)
    if isinstance(data, Decimal):
        return f'"{data:f}"'  # money is a text: to the last coin
    within = f"{line}  "
    if isinstance(data, dict):
        entries = [f"{within}{_text(str(key), within)}: {_text(value, within)}" for key, value in data.items()]
        return f"{{{','.join(entries)}{line}}}" if entries else "{}"
    if isinstance(data, list | tuple):
        items = [f"{within}{_text(each, within)}" for each in data]
        return f"[{','.join(items)}{line}]" if items else "[]"
    raise TypeError(f"no JSON for a {type(data).__name__}")
