"""Values of the model as a build file writes them, so that reading them gives the same values."""

from __future__ import annotations

import json
import re
from typing import Any

from packyoke.core.units import show_gauge
from packyoke.model import FITTED, End, Fuse, Run

_PLAIN = re.compile(r"\w(?:[\w '.-]*[\w'.])?").fullmatch
_MM_PER_M = 1000.0


def text_word(text: str) -> str:
    """A name or a word, in quotes where YAML would take it for something else."""
    return text if _PLAIN(text) else json.dumps(text, ensure_ascii=False)


def number(value: float) -> str:
    """A number with all its figures and none too many, without an exponent.

    >>> number(25.0), number(7.5), number(0.1)
    ('25', '7.5', '0.1')
    """
    return f"{value:.0f}" if value == round(value) else format(value, "f").rstrip("0")


def length_words(value_m: float) -> str:
    return f"{number(round(value_m * _MM_PER_M, 6))} mm"


def end_words(end: End) -> str:
    if end.plus == end.minus:
        return text_word(str(end))
    return f"{{family: {text_word(end.family)}, plus: {end.plus}, minus: {end.minus}}}"


def fuse_words(fuse: Fuse) -> str:
    if fuse.presence != FITTED:
        return text_word(fuse.presence or "none")
    figures = (("rating", fuse.rating_a, "A"), ("voltage", fuse.voltage_v, "V"), ("breaking", fuse.breaking_a, "A"))
    said = [f"family: {text_word(fuse.family)}"] if fuse.family else []
    said += [f"{key}: {number(value)} {unit}" for key, value, unit in figures if value is not None]
    said += [f"dc: {'yes' if fuse.dc else 'no'}"] if fuse.dc is not None else []
    said += [f"owner: {fuse.owner}"] if fuse.owner is not None else []
    return f"{{{', '.join(said)}}}"


def run_words(run: Run) -> str:
    return run.listed([*map(text_word, run.said)])


def value_words(attr: str, value: Any) -> tuple[str, str]:
    """The key and the value of one planned field, as a line of the file has them."""
    if attr == "length_m":
        return "length", length_words(value)
    if attr == "gauge":
        return "gauge", show_gauge(*value)
    if attr == "ends":
        return "ends", f"[{', '.join(end_words(end) for end in value)}]"
    if attr == "fuse":
        return "fuse", fuse_words(value)
    if attr == "run":
        return "run", run_words(value)
    return {"place_name": "place"}.get(attr, attr), text_word(str(value))
