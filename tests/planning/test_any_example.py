"""Every example with lines taken out: a plan that passes, a reason, or a question; never a traceback."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.buildfile.reading import load
from packyoke.buildfile.writing.complete import completed_text
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.planning.changes import differs
from packyoke.planning.plan import plan
from packyoke.planning.result import NoPlan, Plan, Refusal
from packyoke.rules import RULES
from packyoke.verdict.judge import judge_build
from tests.properties.test_any_build import without_some
from tests.support import BASES, EXAMPLES

FILES = sorted([*EXAMPLES.glob("*.yaml"), *BASES.glob("*.yaml")])
BLANKS = [(), ("gauge",), ("gauge", "ends"), ("fuse",), ("gauge", "ends", "fuse", "insulation"), ("length",), ("to",)]


def blanked(text: str, keys: tuple[str, ...]) -> str:
    tree: Any = yaml.load(text, Loader=yaml.BaseLoader)
    if "to" in keys:
        tree.pop("leads", None)
    for lead in (tree.get("leads") or {}).values():
        for key in keys:
            lead.pop(key, None)
    for pack in tree["packs"].values() if "fuse" in keys else ():
        pack.pop("fuse", None)
    return yaml.dump(tree, sort_keys=False, allow_unicode=True, width=1000)


@pytest.mark.parametrize("keys", BLANKS, ids="-".join)
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_any_example_with_blanks(path: Any, keys: tuple[str, ...]) -> None:
    text = blanked(path.read_text(encoding="utf-8"), keys)
    build = load(text, path.name)
    if not isinstance(build, Build):
        # An accessory that hangs on a lead goes with it.
        assert "to" in keys
        return
    found = plan(build)
    if isinstance(found, Refusal):
        assert found.missing or found.do
        return
    if isinstance(found, NoPlan):
        assert found.constraint
        return
    assert isinstance(found, Plan)
    assert not [each for each in judge_build(found.build, RULES) if each.severity == Severity.STOP]
    done = load(completed_text(text, build, found), "completed.yaml")
    assert isinstance(done, Build), done
    for name, lead in found.build.leads.items():
        assert not differs(lead, done.leads[name])


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(FILES), st.integers(0, 10**6), st.sampled_from((0.01, 0.05, 0.2)))
def test_a_build_with_lines_left_out_never_makes_a_traceback(path: Any, seed: int, share: float) -> None:
    tree = without_some(yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader), Random(seed), share)
    assert isinstance(tree, dict)
    text = yaml.dump({"packyoke": "1", "name": "x", **tree}, sort_keys=False, width=1000)
    build = load(text, "x.yaml")
    if not isinstance(build, Build):
        return
    found = plan(build)
    assert isinstance(found, Plan | NoPlan | Refusal)
    if isinstance(found, Plan):
        done = load(completed_text(text, build, found), "completed.yaml")
        assert isinstance(done, Build), done
        for section in ("packs", "joiners", "leads"):
            for name, part in getattr(found.build, section).items():
                assert not differs(part, getattr(done, section)[name])
