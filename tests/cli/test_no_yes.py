"""What check stops or leaves open no other command answers with a yes: by exit status and by its first words."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.support import edited

Run = Callable[..., tuple[int, str, str]]

BAD = {
    "two voltages on a plain joiner": ("quay-plain-trike", {"packs.new.series": "14"}, ()),
    "a pack that nobody looked at": ("harbour-cargo", {}, ("packs.tube.condition",)),
    "an a.c. mark on a fuse": ("harbour-cargo", {"packs.tube.fuse.voltage": "500 V"}, ()),
    "a joiner that was found not to block": (
        "harbour-cargo",
        {"measured": "[{date: 2026-05-14, part: joiners.yoke, what: blocks, value: no}]"},
        (),
    ),
    "a pack that is swollen": ("commuter-single", {"packs.down.condition": "swollen"}, ()),
    "braking into a joiner that blocks": ("harbour-cargo", {"controller.regen": "{}"}, ()),
    "a charger above full charge": ("commuter-single", {"chargers.home.output": "42.3 V"}, ()),
    "a plug that can be turned round": (
        "commuter-single",
        {"packs.down.outlet": "6.3 mm blade socket", "leads.feed.ends": "[6.3 mm blade pin, XT60 socket]"},
        (),
    ),
    "a maker who has not answered": ("factory-double", {"joiners.maker.built_in": "yes"}, ()),
    "controllers that draw more than one pack gives": ("two-motors", {"packs.n.discharge": "34 A"}, ()),
}
COMMANDS = {
    "plan": ("plan", "X"),
    "compare with itself": ("compare", "X", "X"),
    "customer's page": ("sheet", "X", "--for", "customer"),
    "work sheet": ("sheet", "X", "--for", "workshop"),
    "rundown": ("rundown", "X"),
    "range": ("range", "X"),
}
YES = ("YES", "SAME", "OK", "PASSED", "PLAN ")


@pytest.mark.parametrize("name", BAD)
def test_no_command_says_yes(packyoke: Run, tmp_path: Path, name: str) -> None:
    base, put, drop = BAD[name]
    path = tmp_path / "x.yaml"
    path.write_text(edited(base, put, drop), encoding="utf-8")
    assert packyoke("check", path, "--no-shop")[0] == 1
    for words in COMMANDS.values():
        code, out, _ = packyoke(*(path if word == "X" else word for word in words))
        assert code == 1, words
        assert not out.lstrip().startswith(YES), out[:200]


def test_a_question_that_a_stop_makes_moot_is_still_a_finding(packyoke: Run, tmp_path: Path) -> None:
    """Nobody is asked for the ceiling of a joiner that has to go; but whoever looks at that rule alone has no yes."""
    file = tmp_path / "x.yaml"
    file.write_text(edited("quay-plain-trike", {}, ("joiners.y.ceiling",)), encoding="utf-8")
    code, out, _ = packyoke("check", file, "--only", "ceiling-exceeded", "--format", "lines")
    assert (code, "open: ceiling-exceeded" in out) == (1, True)
    assert "ceiling-exceeded" not in packyoke("check", file)[1]
