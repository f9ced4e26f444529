"""No command says yes where the check has a stop or an open question that touches it; bad readings only take away."""

from __future__ import annotations

import random
from copy import deepcopy
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from packyoke.answers.charge import answer as charging
from packyoke.answers.meter import answer as metering
from packyoke.answers.range import answer as ranging
from packyoke.answers.rundown import answer as running
from packyoke.answers.typed import WrongInput
from packyoke.api import check, load
from packyoke.core.findings import Severity
from packyoke.model import Build
from tests.support import EXAMPLES

DAY = "2026-11-25"
TREES = {
    path.stem: yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    for path in sorted(EXAMPLES.glob("*.yaml"))
}
NAMES = sorted(name for name, tree in TREES.items() if "packs" in tree and 1 < len(tree["packs"]) <= 4)
# What no riding, no joining and no charging hangs on, said here once more and not taken from the program.
PAPER = {"local-law", "label-misleads", "acceptance-stale", "recheck-due", "no-charger"}
AT_PACK = {"pack-unsound", "as-built-differs"}
FAILED: dict[str, tuple[tuple[str, str, str], ...]] = {
    "packs": (
        ("voltage", "28 V", ""),
        ("voltage", "109 V", ""),
        ("temperature", "75 degC", ""),
        ("polarity", "no", ""),
    ),
    "joiners": (
        ("blocks", "no", ""),
        ("temperature", "110 degC", ""),
        ("voltage", "109 V", ""),
        ("polarity", "no", ""),
    ),
    "leads": (
        ("temperature", "210 degC", ""),
        ("voltage", "109 V", ""),
        ("drop", "20 V", "20 A"),
        ("polarity", "no", ""),
    ),
}


def built(tree: dict[str, Any]) -> Build | None:
    found = load(yaml.dump(tree, sort_keys=False, width=1000), "x.yaml", today=DAY)
    return found if isinstance(found, Build) else None


def answers(build: Build) -> dict[str, bool]:
    """Which commands say yes; one that cannot answer says no."""
    volts = ",".join(f"{name}={pack.full_charge_v or 50:g}" for name, pack in build.packs.items())

    def of(ask: Any) -> bool:
        try:
            return bool(ask())
        except WrongInput:
            return False

    return {
        "check": check(build, today=DAY, brief=True).verdict in ("none-found", "caution"),
        "meter": of(lambda: metering.view(build, metering.Typed(volts=volts, today=DAY)).verdict == "yes"),
        "charge": of(lambda: charging.view(build).answered),
        "range": of(lambda: ranging.view(build).answered),
        "rundown": of(lambda: not running.view(build, packs=next(iter(build.packs))).refused),
    }


def changed(tree: dict[str, Any], dice: random.Random, share: float) -> dict[str, Any]:
    """The same build with lines left out at random."""

    def kept(node: Any) -> Any:
        if not isinstance(node, dict):
            return node
        return {key: kept(value) for key, value in node.items() if dice.random() > share}

    return {"packyoke": "1", "name": "x", **kept(tree)}


@settings(max_examples=6, deadline=None)
@given(st.sampled_from(NAMES), st.integers(0, 10**6), st.sampled_from((0.0, 0.01, 0.03)))
def test_a_yes_is_earned(name: str, seed: int, share: float) -> None:
    build = built(changed(TREES[name], random.Random(seed), share))
    if build is None:
        return
    grave = [each for each in check(build, today=DAY, brief=True).findings if each.severity >= Severity.OPEN]
    said = answers(build)
    if any(each.rule not in PAPER for each in grave):
        assert not said["range"], [(each.rule, each.part) for each in grave]
    first = next(iter(build.packs))
    if any(each.rule not in PAPER and each.part in (f"packs.{first}", "controller") for each in grave):
        assert not said["rundown"], [(each.rule, each.part) for each in grave]
    if any(each.rule in AT_PACK for each in grave):
        assert not said["meter"], [(each.rule, each.part) for each in grave]
        assert not said["charge"], [(each.rule, each.part) for each in grave]
    if any(each.rule in ("chemistry-mixed", "packs-unequal", "harness-broken") for each in grave):
        assert not said["meter"], [(each.rule, each.part) for each in grave]


@settings(max_examples=6, deadline=None)
@given(st.sampled_from(NAMES), st.data())
def test_a_failed_reading_never_turns_a_no_into_a_yes(name: str, data: st.DataObject) -> None:
    tree = TREES[name]
    section = data.draw(st.sampled_from([each for each in FAILED if tree.get(each)]))
    part = data.draw(st.sampled_from(sorted(tree[section])))
    what, value, at = data.draw(st.sampled_from(FAILED[section]))
    reading = {"date": "2026-11-20", "part": f"{section}.{part}", "what": what, "value": value} | (
        {"at": at} if at else {}
    )
    before, after = built(tree), built({**tree, "measured": [*tree.get("measured", []), reading]})
    assert before is not None
    assert after is not None
    was, now = answers(before), answers(after)
    assert {each for each in now if now[each]} <= {each for each in was if was[each]}, reading
    plain = section == "joiners" and what == "blocks" and tree[section][part].get("type") in ("plain", "unknown", None)
    if not plain and what != "voltage":
        # One at a pack's rest voltage is followed by what the meter reads today.
        assert not now["check"], reading
        assert not now["meter"], reading


TOUCHED = [
    # What stands against an answer, and the commands that may not say yes then, by what they are asked.
    ("nobody looked at a pack", ("packs", "south", "condition"), None, {"check", "meter", "charge", "range"}),
    ("a swollen pack", ("packs", "south", "condition"), "swollen", {"check", "meter", "charge", "range"}),
    ("the wire of a lead is not known", ("leads", "link", "gauge"), None, {"check", "range"}),
    ("a pack that gives too little", ("packs", "south", "discharge"), "12 A", {"check", "range"}),
    ("a charger for more cells", ("chargers", "depot", "output"), "58.8 V", {"check", "charge", "range"}),
    ("what a charger gives is not known", ("chargers", "depot", "current"), None, {"check", "charge", "range"}),
    ("a joiner that is plain", ("joiners", "first", "type"), "plain", {"check", "range"}),
]


@pytest.mark.parametrize(("name", "way", "value", "no"), TOUCHED, ids=[each[0] for each in TOUCHED])
def test_what_is_found_stands_against_a_yes(
    name: str, way: tuple[str, str, str], value: str | None, no: set[str]
) -> None:
    tree = deepcopy(TREES["breakwater-three-packs"])
    # A part that is like another has lines of its own here.
    section, part, field = way
    parts = tree[section]
    parts[part] = deepcopy({**parts.get(parts[part].get("like", ""), {}), **parts[part]})
    assert parts[part].pop("like", "") != part
    parts[part].pop(field, None)
    if value is not None:
        parts[part][field] = value
    if value == "plain":
        parts[part].pop("blocks_in", None)
    build = built(tree)
    assert build is not None
    said = answers(build)
    assert not {each for each in no if said[each]}, said


def test_and_without_it_they_all_say_yes() -> None:
    build = built(TREES["breakwater-three-packs"])
    assert build is not None
    assert all(answers(build).values()), answers(build)
