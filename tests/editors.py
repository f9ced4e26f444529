"""What editors make of a build file before they hold it against the schema: YAML 1.2, and 1.1 where an older one is."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import jsonschema
import yaml

from packyoke.buildfile.schema import schema

SAFE = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _Core(SAFE):  # type: ignore[misc,valid-type]
    """The core schema of YAML 1.2, chapter 10.3: `yes` and days are texts."""

    yaml_implicit_resolvers: dict[str, Any] = {}  # noqa: RUF012


for _tag, _pattern, _first in (
    ("null", r"^(?:~|null|Null|NULL|)$", ["~", "n", "N", ""]),
    ("bool", r"^(?:true|True|TRUE|false|False|FALSE)$", list("tTfF")),
    ("int", r"^[-+]?[0-9]+$", list("-+0123456789")),
    ("float", r"^[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?$", list("-+0123456789.")),
):
    _Core.add_implicit_resolver(f"tag:yaml.org,2002:{_tag}", re.compile(_pattern), _first)
_Core.add_constructor("tag:yaml.org,2002:int", lambda loader, node: int(loader.construct_scalar(node)))


def _keyed(tree: Any) -> Any:
    """A tree as JSON has it: names and days are texts."""
    if isinstance(tree, dict):
        return {_name(key): _keyed(value) for key, value in tree.items()}
    if isinstance(tree, list):
        return [_keyed(value) for value in tree]
    return str(tree) if type(tree).__name__ in ("date", "datetime") else tree


def _name(key: Any) -> str:
    return "null" if key is None else str(key).lower() if isinstance(key, bool) else str(key)


def trees(text: str) -> list[Any]:
    """The tree of a file as an editor of YAML 1.2 has it, and one of YAML 1.1."""
    return [_keyed(yaml.load(text, Loader=loader)) for loader in (_Core, SAFE)]


@cache
def validator() -> jsonschema.Draft202012Validator:
    """The schema as it is now: made when a test asks for it, so that a test notices a change of what makes it."""
    return jsonschema.Draft202012Validator(schema())


def agrees(text: str) -> bool:
    """Whether no editor marks anything in a file."""
    return all(validator().is_valid(tree) for tree in trees(text))
