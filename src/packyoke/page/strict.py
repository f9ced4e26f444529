"""JSON that any parser reads: no Infinity, no NaN, no half of a pair of code units."""

from __future__ import annotations

import json
from decimal import Decimal
from math import isfinite
from typing import Any


def written(data: Any) -> str:
    """Data as JSON text in Unicode. What is not a finite number becomes null: it is not known, or there is no end."""
    return json.dumps(_strict(data), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def _strict(data: Any) -> Any:
    if isinstance(data, float):
        return data if isfinite(data) else None
    if isinstance(data, Decimal):
        return f"{data:f}"  # money is a text: to the last coin
    if isinstance(data, str):
        return data if data.isascii() else data.encode("utf-8", "replace").decode("utf-8")
    if isinstance(data, dict):
        return {_strict(key): _strict(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [_strict(each) for each in data]
    return data
