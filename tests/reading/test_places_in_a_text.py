"""Where something is put into a build file that a person has written."""

from __future__ import annotations

import pytest
import yaml

from packyoke.buildfile.writing.places import Text
from packyoke.buildfile.writing.words import end_words
from packyoke.core.findings import Span
from packyoke.model import End


def key(text: str, name: str) -> Span:
    """Where a key stands."""
    number, line = next((n, line) for n, line in enumerate(text.splitlines(), 1) if line.lstrip().startswith(name))
    column = len(line) - len(line.lstrip()) + 1
    return Span(number, column, number, column + len(name))


@pytest.mark.parametrize(
    ("text", "name", "last"),
    [
        ("packs:\n  a: {}\n  b: {}\njoiners:\n  y: {}\n", "packs", 3),
        ("packs:\n  a:\n    label: 36 V\n\n  # a word on b\n  b: {}\njoiners: {}\n", "a", 3),
        ("packs:\n  a:\n    label: 36 V\njoiners: {}\n", "packs", 3),
        ("measured:\naccept: []\n", "measured", 1),
        ("packs:\n  a:\n  b: {}\n", "a", 2),
        ("packs:\n  a:\njoiners: {}\n", "a", 2),
        ("packs:\n  a:\n    # nothing known\njoiners: {}\n", "a", 2),
        ("packs: {a: {},\n  b: {}}\njoiners: {}\n", "packs", 2),
        ("packs:\n  a: {}", "packs", 2),
    ],
)
def test_the_last_line_of_a_key(text: str, name: str, last: int) -> None:
    assert Text(text).block_end(key(text, name)) == last


@pytest.mark.parametrize(
    ("end", "tree"),
    [
        (End("XT60", "socket", "socket"), "XT60 socket"),
        (End("bullet 4 mm", "socket", "pin"), {"family": "bullet 4 mm", "plus": "socket", "minus": "pin"}),
    ],
)
def test_ends_are_written_as_they_are_read(end: End, tree: object) -> None:
    assert yaml.load(end_words(end), Loader=yaml.BaseLoader) == tree
