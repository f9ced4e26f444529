"""Everything that can be asked is asked in the first run: answers bring no new question about what was missing then."""

from __future__ import annotations

import random
from typing import Any

import pytest

from packyoke.analysis.unknowns.spans import ends
from packyoke.api import check
from packyoke.buildfile.reading import load
from packyoke.model import Build, Key, Pack
from packyoke.model.field import MUST
from packyoke.model.fields import field_for, field_name
from packyoke.verdict.questions import UNMADE
from tests.properties.drawn_values import as_text
from tests.properties.test_any_build import TODAY, TREES
from tests.support import LABELS_ONLY

LEFT_OUT = {
    "labels only": {
        "packs": ("chemistry", "series", "discharge", "charge", "outlet", "fuse", "bms", "condition", "resistance"),
        "joiners": ("type", "ceiling", "current", "inlets", "outlet"),
        "controller": ("voltage", "battery_current", "low_voltage_cut", "regen", "inlet"),
    },
    "everything but the joiner": {"joiners": ("type", "ceiling", "current", "resistance", "blocks_in", "inlets")},
    "no chemistry": {"packs": ("chemistry",)},
    "photographs only": {
        "packs": ("chemistry", "series", "discharge", "charge", "bms", "condition"),
        "joiners": ("type", "ceiling", "current"),
        "controller": ("voltage", "battery_current", "low_voltage_cut", "regen"),
    },
    "no main lead": {"leads": ("main lead",), "joiners": ("type", "ceiling"), "packs": ("condition", "chemistry")},
}
"""What a shop has, and what it has not: lines that are left out of every part of a section."""
BASES = ("skerry-long-tail", "foghorn-lfp", "breakwater-three-packs")


def thinned(tree: Any, left_out: dict[str, tuple[str, ...]]) -> Any:
    found = {}
    for section, part in tree.items():
        gone = left_out.get(section, ())
        if section in ("controller", "leads"):
            found[section] = {key: value for key, value in part.items() if key not in gone}
        elif gone:
            found[section] = {
                name: {key: value for key, value in each.items() if key not in gone} for name, each in part.items()
            }
        else:
            found[section] = part
    return found


def asked(build: Build) -> set[tuple[str, str]]:
    return {(each.part, each.field) for each in check(build, "x.yaml", today=TODAY, brief=True).to_find_out}


def answered(build: Build, said: set[tuple[str, str]], dice: random.Random) -> tuple[Build, set[Key]]:
    """The build with every question answered that has a span to draw from."""
    done: set[Key] = set()
    for part in [*build.packs.values(), *build.joiners.values(), *build.controllers.values(), *build.leads.values()]:
        for attr in type(part).__dataclass_fields__:
            if (part.path, attr) in done or getattr(build.part(part.path), attr, 0) is not None:
                continue
            try:
                name = field_name((part.path, attr))
            except KeyError:
                continue
            values = ends(build, build.part(part.path), attr)
            if (part.path, name) in said and values:
                build = build.with_value(part.path, attr, dice.choice(values))
                done.add((part.path, attr))
    return build, done


@pytest.mark.parametrize("name", LEFT_OUT)
@pytest.mark.parametrize("base", BASES)
def test_no_new_question_about_what_was_missing(base: str, name: str) -> None:
    build = load(as_text(thinned(TREES[base], LEFT_OUT[name])), "x.yaml", today=TODAY)
    assert isinstance(build, Build), build
    first = asked(build)
    for seed in range(2):
        then, _ = answered(build, first, random.Random(seed))
        for path, field in asked(then) - first:
            part = build.part(path)
            attr = next(each for each in type(part).__dataclass_fields__ if _named(path, each) == field)
            needed = field_for(path, attr).need == MUST and not (isinstance(part, Pack) and attr == "full_charge_v")
            was_missing = getattr(part, attr) is None
            assert not (needed and was_missing and attr not in UNMADE), (path, field)


def _named(path: str, attr: str) -> str:
    try:
        return field_name((path, attr))
    except KeyError:
        return ""


OF_A_PACK = ("outlet", "fuse", "bms.charge_path", "bms.data", "condition", "chemistry", "discharge.continuous")
OF_THE_CONTROLLER = ("inlet", "voltage.max", "battery_current.limit", "low_voltage_cut", "regen")
OF_A_JOINER = ("inlets", "outlet", "current.continuous", "ceiling")
DRAFTS = {
    "a plain joiner, which goes": (LABELS_ONLY, ()),
    "a joiner that blocks": (LABELS_ONLY.replace("type: plain", "type: ideal-diode"), OF_A_JOINER),
    "a joiner of no known type": (LABELS_ONLY.replace("{type: plain}", "{}"), (*OF_A_JOINER, "type")),
    "no lead to the controller": (
        LABELS_ONLY.replace("type: plain", "type: ideal-diode").replace(", c: {from: y, to: controller}", ""),
        OF_A_JOINER,
    ),
}


@pytest.mark.parametrize(("text", "of_joiner"), DRAFTS.values(), ids=DRAFTS)
def test_the_first_run_asks_what_a_mechanic_would_look_up(text: str, of_joiner: tuple[str, ...]) -> None:
    """Written down by hand, part by part: whatever stops or breaks the drawing hides none of it."""
    build = load(text, "x.yaml", today=TODAY)
    assert isinstance(build, Build)
    told = [(each.part.removesuffix(".fuse"), each.field) for each in check(build, today=TODAY, brief=True).to_find_out]
    assert len(set(told)) == len(told)
    wanted = {("bike", "drive.type"), *(("controller", each) for each in OF_THE_CONTROLLER)}
    wanted |= {(f"packs.{name}", each) for name in ("his", "hers") for each in OF_A_PACK}
    wanted |= {("joiners.y", each) for each in of_joiner}
    assert wanted <= set(told), wanted - set(told)
    # The charger's label and the chemistry say how many cells there are.
    assert not {("packs.his", "series"), ("packs.hers", "series")} & set(told)


def test_cells_are_counted_where_no_charger_tells_them() -> None:
    build = load(LABELS_ONLY.replace(", charger_label: 42 V", ""), "x.yaml", today=TODAY)
    assert isinstance(build, Build)
    told = {(each.part, each.field) for each in check(build, today=TODAY, brief=True).to_find_out}
    assert {("packs.his", "series"), ("packs.hers", "series")} <= told
