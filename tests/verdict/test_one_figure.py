"""What flows through a part is one figure, in the findings and in the drawing, also where something is not known."""

from __future__ import annotations

from itertools import combinations

import pytest
import yaml

from packyoke.analysis.case import Case
from packyoke.analysis.limits import good_for
from packyoke.api import check, load
from packyoke.core.findings import Severity
from packyoke.model import Build, Unknown
from packyoke.verdict.report import Report
from tests.support import EXAMPLES, edited

CURRENTS = ("lead-overheats", "connector-overloaded", "switch-overloaded", "joiner-overloaded", "pack-overloaded")
SEVERAL_PACKS = ("breakwater-three-packs", "foghorn-lfp", "quay-plain-trike", "skerry-long-tail")
NOT_KNOWN = ("packs.resistance", "packs.cut_off", "joiners.resistance")


def checked(text: str) -> Report:
    build = load(text, "x.yaml", today="2026-11-25")
    assert isinstance(build, Build), build
    return check(build, today="2026-11-25")


@pytest.mark.parametrize("gone", [each for count in range(4) for each in combinations(NOT_KNOWN, count)])
@pytest.mark.parametrize("name", SEVERAL_PACKS)
def test_what_is_too_much_behind_a_plain_joiner_is_told_alike(name: str, gone: tuple[str, ...]) -> None:
    tree = yaml.load((EXAMPLES / f"{name}.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
    for joiner in tree["joiners"].values():
        joiner["type"] = "plain"
        joiner.pop("blocks_in", None)
    for section, field in (each.split(".") for each in gone):
        for part in tree[section].values():
            part.pop(field, None)
    report = checked(yaml.dump(tree, sort_keys=False))
    drawn = {line.part: line for line in report.parts}
    told = [each for each in report.findings if each.rule in CURRENTS and each.severity == Severity.STOP]
    assert told
    for each in told:
        assert each.found is not None
        line = drawn[each.part]
        assert each.found.value in (pytest.approx(line.worst.value), pytest.approx(line.back.value)), each.part


def worst_of(name: str, cut: str) -> str:
    """What the drawing says of a part of a bike with a power limit, whose cut is as given, or not known."""
    put = {"controller.power_limit": "1000 W", "controller.voltage.min": "36 V"}
    put |= {f"packs.{pack}.cut_off": "35 V" for pack in ("keel", "pannier")}
    gone = ["controller.battery_current"]
    if cut:
        put["controller.low_voltage_cut"] = cut
    else:
        gone.append("controller.low_voltage_cut")
    return {line.name: line.worst for line in checked(edited("skerry-long-tail", put, gone)).tree}[name]


@pytest.mark.parametrize("name", ["main lead", "yoke", "keel lead", "keel"])
def test_a_current_that_hangs_on_what_is_not_known_is_a_bound(name: str) -> None:
    """The findings count with the middle of what the cut may be, and tell less."""
    assert worst_of(name, "") == f"up to {worst_of(name, '36 V')}"  # it stops at 36 V at the latest
    assert float(worst_of(name, "46 V").split()[0]) < float(worst_of(name, "36 V").split()[0])


def test_the_bound_is_the_power_at_the_lowest_voltage() -> None:
    assert worst_of("main lead", "") == "up to 27.8 of 45 A XT90"  # 1000 W / 36 V
    assert worst_of("main lead", "40 V") == "25 of 45 A XT90"  # 1000 W / 40 V


def test_where_more_is_missing_than_is_tried_the_drawing_still_says_what_is_too_much() -> None:
    """Five values are missing for each part behind the joiner: it said that its limit is not known."""
    tree = yaml.load((EXAMPLES / "quay-plain-trike.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
    for part in (*tree["packs"].values(), *tree["joiners"].values()):
        for field in ("resistance", "cut_off"):
            part.pop(field, None)
    report = checked(yaml.dump(tree, sort_keys=False))
    assert not [line.name for line in report.tree if "not known" in line.worst]
    assert {line.name for line in report.tree if line.margin is not None and line.margin < 0} == {
        *tree["packs"],
        *tree["joiners"],
        "old lead",
        "new lead",
    }
    assert report.good_for is not None
    assert report.good_for.continuous is None or report.good_for.continuous.value == 0


@pytest.mark.parametrize("values", [(), (0.05, 0.1)], ids=["without a span", "asked for though it is there"])
def test_what_no_number_stands_in_for_is_left_out(values: tuple[float, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """It neither fails nor goes on for ever."""
    build = load(edited("quay-plain-trike"), "x.yaml", today="2026-11-25")
    assert isinstance(build, Build)

    def asks(case: Case, path: str) -> None:
        raise Unknown(case.build.packs["old"], "resistance_ohm")

    monkeypatch.setattr(good_for, "bearing", asks)
    monkeypatch.setattr(good_for, "ends", lambda *_: values)
    monkeypatch.setattr(good_for, "likely", lambda *_: 0.07)
    assert good_for._counted(Case(build)) == {}
