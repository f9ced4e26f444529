"""The schema for editors knows every example, and refuses a field that is not there."""

from __future__ import annotations

import re

import jsonschema
import pytest
import yaml

from packyoke.buildfile.schema import schema
from packyoke.buildfile.schema_values import amount, any_case
from packyoke.core.unit_names import spellings
from packyoke.core.units import Kind, QuantityError, read
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


@pytest.mark.parametrize("kind", [kind for kind in Kind if kind in spellings()], ids=lambda kind: kind.value)
def test_units_in_capitals_and_small_letters_as_the_reader_has_them(kind: Kind) -> None:
    """Of units that differ in the case of a letter (mW and MW) the letter decides; of others case does not matter."""
    pattern = re.compile(f"^{amount(kind)}$")
    for spelling in spellings()[kind]:
        for text in {spelling, spelling.lower(), spelling.upper(), spelling.title(), spelling.swapcase()}:
            said = f"12 {text}"
            try:
                read(said, kind)
            except QuantityError:
                assert not pattern.match(said), said
            else:
                assert pattern.match(said), said
