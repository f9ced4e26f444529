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


_BASES: tuple[Any, ...] = (str, float, dict, list, tuple)


class JsonText(str):
    """A value that is JSON text already, of the level that it stands on: it is put in as it is."""

    __slots__ = ()

    @classmethod
    def at(cls, level: int, data: Any) -> JsonText:
        """Data as it stands `level` levels inside a document.

        >>> print(written({"builds": [JsonText.at(2, {"name": "Mail bike"})]}), end="")
        {
          "builds": [
            {
              "name": "Mail bike"
            }
          ]
        }
        """
        return cls(_text(data, "\n" + "  " * level))


def _string(data: str) -> str:
    return encode_basestring(data if data.isascii() else data.encode("utf-8", "replace").decode("utf-8"))


def _text(data: Any, line: str) -> str:
    """One value; `line` begins a new line where the value stands."""
    if data is None:
        return "null"
    kind = data.__class__
    if kind is str:
        return _string(data)
    if kind is float:
        return float.__repr__(data) if isfinite(data) else "null"
    if kind is dict:
        within = f"{line}  "
        entries = [f"{within}{_string(str(key))}: {_text(value, within)}" for key, value in data.items()]
        return f"{{{','.join(entries)}{line}}}" if entries else "{}"
    if kind is list or kind is tuple:
        within = f"{line}  "
        items = [f"{within}{_text(each, within)}" for each in data]
        return f"[{','.join(items)}{line}]" if items else "[]"
    if kind is bool:
        return "true" if data else "false"
    if kind is JsonText:
        return str(data)
    return _of_kin(data, line)


def _of_kin(data: Any, line: str) -> str:
    """A value of a class that is built on one that JSON has, and money."""
    if isinstance(data, Decimal):
        return f'"{data:f}"'  # money is a text: to the last coin
    for base in _BASES:
        if isinstance(data, base):
            return _text(base(data), line)
    if isinstance(data, int):
        return int.__repr__(data)
    raise TypeError(f"no JSON for a {type(data).__name__}")
