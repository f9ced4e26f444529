"""What several test files need: examples with some lines changed, and what the rules say of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).parent.parent
EXAMPLES = ROOT / "examples"
BASES = Path(__file__).parent / "rules" / "bases"


LABELS_ONLY = """
packyoke: 1
name: labels only
packs:
  his: {label: 36 V, charger_label: 42 V, capacity: 10 Ah}
  hers: {label: 36 V, charger_label: 42 V, capacity: 17 Ah}
joiners: {y: {type: plain}}
leads: {a: {from: his, to: y}, b: {from: hers, to: y}, c: {from: y, to: controller}}
controller: {}
"""
"""What stands on two bought packs, joined plainly."""


def base_text(name: str) -> str:
    """The text of an example, or of a base build that only tests use."""
    for folder in (EXAMPLES, BASES):
        path = folder / f"{name}.yaml"
        if path.exists():
            return path.read_text(encoding="utf-8")
    raise FileNotFoundError(name)


def edited(name: str, put: Mapping[str, Any] | None = None, drop: Sequence[str] = ()) -> str:
    """A base build with fields set (`leads.main lead.gauge: 16 AWG`) and lines left out, as YAML text.

    Values are text as it would stand in the file, or nested mappings and lists of such texts.
    """
    tree: Any = yaml.load(base_text(name), Loader=yaml.BaseLoader)
    for path, value in (put or {}).items():
        *way, last = _steps(path)
        at = tree
        for step in way:
            if isinstance(at, list):
                at = at[int(step)]
                continue
            if not isinstance(at.get(step), dict | list):
                at[step] = {}
            at = at[step]
        at[int(last) if isinstance(at, list) else last] = (
            yaml.load(value, Loader=yaml.BaseLoader) if isinstance(value, str) else value
        )
    for path in drop:
        *way, last = _steps(path)
        at = tree
        for step in way:
            at = at[int(step)] if isinstance(at, list) else at[step]
        del at[last]
    return yaml.dump(tree, Dumper=_Plain, sort_keys=False, allow_unicode=True, width=1000)


class _Plain(yaml.Dumper):
    """Writes a value that stands in two places out twice: a build file has no anchors."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def _steps(path: str) -> list[str]:
    return path.split(".")
