"""The schema for editors knows every example, and refuses a field that is not there."""

from __future__ import annotations

import re

import jsonschema
import pytest
import yaml

from packyoke.buildfile.schema import schema
from packyoke.buildfile.schema_values import any_case
from packyoke.model.fields import FIELDS
from tests.support import EXAMPLES, edited


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
def test_examples_agree_with_the_schema(path) -> None:  # type: ignore[no-untyped-def]
    jsonschema.validate(yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader), schema())


@pytest.mark.parametrize("field", ["packs.keel.colour", "leads.main lead.thickness", "controller.volts", "owner"])
def test_a_field_that_is_not_there_is_refused(field: str) -> None:
    tree = yaml.load(edited("skerry-long-tail", {field: "x"}), Loader=yaml.BaseLoader)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(tree, schema())


WORDS = [field for field in FIELDS if field.kind == "word" and not field.path.startswith("shop")]


@pytest.mark.parametrize("field", WORDS, ids=lambda field: field.path)
def test_words_of_the_table_are_in_the_schema(field) -> None:  # type: ignore[no-untyped-def]
    assert all(f'"{word}"' in str(schema()).replace("'", '"') for word in field.words)


@pytest.mark.parametrize(
    ("word", "same", "other"),
    [
        ("LFP", ("lfp", "Lfp", "LFP"), ("LFQ",)),
        ("maß", ("MAß", "maß"), ("maSS", "mas")),
        ("a.c.", ("A.C.",), ("axc.",)),
    ],
)
def test_a_word_in_whatever_case(word: str, same: tuple[str, ...], other: tuple[str, ...]) -> None:
    """The upper case of ß is two letters: it stands for itself."""
    assert all(re.fullmatch(any_case(word), each) for each in same)
    assert not any(re.fullmatch(any_case(word), each) for each in other)
