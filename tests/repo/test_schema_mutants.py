"""The schema for editors and the reader say the same of files that are changed at random, typed or as texts.

The schema cannot know what a name refers to, nor bounds: so much may pass it and fail the reader, and no more. What
the reader takes is never marked by an editor.
"""

from __future__ import annotations

import copy
import random
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest
import yaml

from packyoke.api import load
from packyoke.buildfile.schema import schema
from packyoke.model.fields import FIELDS
from tests.support import EXAMPLES

COUNT = 600
MOST_PASSED_BY = 0.05
FILES = [*sorted(EXAMPLES.glob("*.yaml")), *sorted(EXAMPLES.glob("first-steps/*.yaml"))]
WORDS = (
    *("none", "yes", "no", "NMC", "silicone", "XT60", "XT60 pin", "keel", "controller", "mid motor", "unknown", "50"),
    *("20 A", "48 V", "12 AWG", "0.9 m", "3 kg", "25 km/h", "30 degC", "14 Ah", "2 mohm", "1 mF", "10 s", "5 %"),
    *("1000 W", "60 A for 10 s", "45 mV at 20 A", "2027-05-14", "2028-05", "8 m per km", "built", "EU", "22,5 A"),
    *("30 amps", "25/50A"),
)


def typed(tree: Any) -> Any:
    """A tree as an editor has it: days are texts."""
    if isinstance(tree, dict):
        return {str(key): typed(value) for key, value in tree.items()}
    if isinstance(tree, list):
        return [typed(value) for value in tree]
    return str(tree) if type(tree).__name__ == "date" else tree


def both(text: str) -> list[Any]:
    return [yaml.load(text, Loader=yaml.BaseLoader), typed(yaml.load(text, Loader=yaml.SafeLoader))]


def places(tree: Any, way: tuple[Any, ...] = ()) -> Iterator[tuple[Any, Any, tuple[Any, ...]]]:
    """Every entry below a tree: its container and its key."""
    entries = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, value in entries:
        yield tree, key, way
        yield from places(value, (*way, key))


def mutants(count: int, files: list[Any]) -> Iterator[tuple[str, Any]]:
    dice = random.Random(20270514)
    trees = [yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader) for path in files]
    for _ in range(count):
        tree = copy.deepcopy(dice.choice(trees))
        box, key, way = dice.choice([*places(tree)])
        old = box[key]
        kind = dice.randrange(9)
        if kind == 0:
            del box[key]
        elif kind == 1 and isinstance(box, dict):
            name = str(key)
            at = dice.randrange(len(name))
            box[name[:at] + name[at + 1 :] or "x"] = box.pop(key)
        elif kind == 2:
            box[key] = dice.choice(WORDS)
        elif kind == 3:
            box[key] = [old]
        elif kind == 4:
            box[key] = {"value": old}
        elif kind == 5 and isinstance(old, str):
            box[key] = old.upper() if dice.random() < 0.5 else old.replace(" ", "")
        elif kind == 6 and isinstance(old, str):
            box[key] = old + dice.choice((" ?", "?", "x", " V", "  "))
        elif kind == 7 and isinstance(old, str) and " " in old:
            box[key] = old.partition(" ")[0]
        elif isinstance(box, dict):
            box[dice.choice(("colour", "volts", "length", "like", "type", "label", "note"))] = dice.choice(WORDS)
        text = yaml.dump(tree, sort_keys=False, allow_unicode=True, width=1000, default_style=None)
        yield text, (way, key, kind, box.get(key) if isinstance(box, dict) else "")


VALIDATOR = jsonschema.Draft202012Validator(schema())


def agrees(text: str) -> bool:
    return all(VALIDATOR.is_valid(tree) for tree in both(text))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_example_agrees_typed_and_as_texts(path: Any) -> None:
    assert agrees(path.read_text(encoding="utf-8"))


def test_the_schema_and_the_reader_agree_on_mutants() -> None:
    passed_by, refused = [], []
    read = 0
    for text, what in mutants(COUNT, FILES):
        good = not isinstance(load(text), list)
        read += good
        if agrees(text) and not good:
            passed_by.append(what)
        if good and not agrees(text):
            refused.append(what)
    assert not refused
    assert len(passed_by) <= MOST_PASSED_BY * COUNT, passed_by
    assert 0.1 * COUNT < read < 0.9 * COUNT, "the mutants are no test"


@pytest.mark.cross
def test_another_validator_says_the_same() -> None:
    other = pytest.importorskip("jsonschema_rs", reason="jsonschema-rs is not installed").validator_for(schema())
    for text, what in mutants(200, FILES):
        for tree in both(text):
            assert other.is_valid(tree) == VALIDATOR.is_valid(tree), what


def described(node: dict[str, Any], path: str) -> Iterator[tuple[str, dict[str, Any]]]:
    for key, inner in node.get("properties", {}).items():
        yield f"{path}.{key}", inner
        for each in (inner, *inner.get("anyOf", [])):
            yield from described(each, f"{path}.{key}")
            for more in (each.get("additionalProperties"), each.get("items")):
                if isinstance(more, dict):
                    yield from described(more, f"{path}.{key}.*")


def test_every_line_is_described() -> None:
    lines = [*described(schema(), "")]
    assert len(lines) >= len([field for field in FIELDS if not field.path.startswith(("shop", "FUSE"))])
    assert [path for path, inner in lines if "family" not in path and not inner.get("description")] == []
    assert schema()["$id"]


@pytest.mark.parametrize(
    "field", [f for f in FIELDS if f.example and not f.path.startswith(("shop", "FUSE"))], ids=lambda field: field.path
)
def test_the_example_of_every_field_agrees(field: Any) -> None:
    """As the field table has it, read as YAML: the schema takes the example at its place."""
    steps = field.path.split(".")
    tree: Any = yaml.load(field.example, Loader=yaml.BaseLoader)
    for step in reversed(steps):
        tree = [tree] if step == "*" and steps[0] in ("runs", "measured", "accept") else {step: tree}
    whole = {"packyoke": "1", "name": "x"} | (tree if isinstance(tree, dict) else {})
    errors = [each for each in VALIDATOR.iter_errors(whole) if each.validator != "required"]
    assert not [each.message for each in errors if each.validator == "pattern" or each.validator == "enum"]
