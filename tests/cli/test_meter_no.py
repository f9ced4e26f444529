"""`packyoke meter`: what must not pass, and what must not be advised."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.cli.test_meter import BLOCKING, PLAIN, changed, flat


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "meter")


def test_a_lead_that_drops_too_much_is_mended_first(run: Run) -> None:
    code, out, _ = run(BLOCKING, "--drop", "keel lead=300 mV at 10 A")
    assert code == 1
    assert out.startswith("NO ")
    assert "find where keel lead drops so much" in flat(out)


def test_without_a_file_nobody_knows_whether_a_selector_breaks_first(run: Run) -> None:
    code, out, _ = run("--series", "13", "--joiner", "selector", "--volts", "54,44")
    assert (code, out.startswith("NOT YET")) == (1, True)
    assert "makes" in out


def test_packs_joined_for_good_are_held_to_the_difference_of_the_file(run: Run, tmp_path: Path) -> None:
    file = changed(tmp_path, "quay-plain-trike", {"joiners.y.bonded": {"by": "0.05 V", "charged": "together"}})
    # 0.05 V by the file; half a volt is the practice for packs that are not.
    for new, code in (("53.85", 0), ("53.84", 1), ("53.5", 1)):
        assert run(file, "--volts", f"old=53.9,new={new}")[0] == code
    assert "joined for good" in flat(run(file, "--volts", "old=53.9,new=53.5")[1])


@pytest.mark.parametrize(("volts", "empty"), [("40.94", True), ("40.96", False)])
def test_a_pack_that_is_nearly_empty_is_said_to_be(run: Run, volts: str, empty: bool) -> None:
    # 5 % above the 39 V of the file is 40.95 V.
    code, out, _ = run(PLAIN, "--volts", f"old={volts}")
    assert (code, "empty, or nearly" in flat(out)) == (0, empty)


@pytest.mark.parametrize(("volts", "other"), [("55.69", False), ("55.71", True)])
def test_a_little_above_full_is_the_meter_before_it_is_another_pack(run: Run, volts: str, other: bool) -> None:
    # 2 % above 54.6 V is 55.692 V; 14 cells in series are full at 58.8 V.
    code, out, _ = run(PLAIN, "--volts", f"old={volts}")
    assert (code, "14 in series" in flat(out), "a little off" in flat(out)) == (1, other, not other)


def test_what_is_missing_is_called_as_in_the_file(run: Run) -> None:
    _, out, _ = run("--series", "13", "--volts", "54.1,51.3", "--joiner", "diode")
    assert "capacity_coulomb" not in out
    assert "limit_a" not in out


def test_a_selector_that_lets_current_through_has_failed(run: Run, tmp_path: Path) -> None:
    selector = {"joiners.yoke.type": "selector", "joiners.yoke.makes": "after break"}
    file = changed(tmp_path, "skerry-long-tail", selector, ("joiners.yoke.blocks_in",))
    target = tmp_path / "built.yaml"
    code, out, _ = run(file, "--volts", "keel=57.9,pannier=55", "--across-inlet", "57 V", "--record", target)
    assert (code, out.startswith("NO")) == (1, True)
    assert "Charge" not in out  # not before another joiner is in
    assert "what: blocks, value: no" in target.read_text(encoding="utf-8")
    code, out, _ = run(file, "--volts", "keel=57.9,pannier=55", "--across-inlet", "2: 1.9 V")
    assert (code, "it blocks. As described" in out) == (0, True)


def test_a_joiner_that_leaks_blocks_nothing_and_is_recorded(run: Run, packyoke: Run, tmp_path: Path) -> None:
    target = tmp_path / "built.yaml"
    code, out, err = run(BLOCKING, "--volts", "keel=57.9,pannier=57.5", "--across-inlet", "2.01 V", "--record", target)
    assert (code, "as tested" in out, "3 readings" in err) == (1, False, True)
    assert "what: blocks, value: no" in target.read_text(encoding="utf-8")
    code, _, _ = packyoke("check", target, "--no-shop")
    assert code == 1


@pytest.mark.parametrize("volts", ["old=28,new=54", "old=10,new=53.9", "old=56,new=54"])
def test_a_pack_that_is_not_right_is_neither_charged_nor_ridden(run: Run, volts: str) -> None:
    """Below its cut-off, asleep, above full: 39 to 54.6 V is what these packs can show."""
    code, out, _ = run(PLAIN, "--volts", volts)
    assert code == 1
    assert "by itself to" not in flat(out)
    assert "by itself down" not in flat(out)


def test_where_to_is_a_window_between_cut_off_and_full(run: Run) -> None:
    # Half a volt either way of the other pack; full is 54.6 V, the cut-off 39 V.
    out = flat(run(PLAIN, "--volts", "old=54.4,new=45")[1])
    assert "harge new by itself to 53.9 to 54.6 V" in out
    assert "ride old by itself down to 44.5 to 45.5 V" in out
    out = flat(run(PLAIN, "--volts", "old=48,new=39.2")[1])
    assert "ride old by itself down to 39.0 to 39.7 V" in out


def test_one_window_for_a_pack_that_meets_two(run: Run) -> None:
    out = flat(
        run(
            "--series",
            "13",
            "--volts",
            "54.1,53.9,48",
            "--joiner",
            "plain",
            "--charge",
            "4A",
            "--resistance",
            "80 mohm",
        )[1]
    )
    assert out.count("harge pack 3 by itself") == 1
    assert "pack 1 and pack 2 are 0.2 V apart" in out
    assert "That much would be allowed" in out


@pytest.mark.parametrize(
    "dropped",
    [
        "packs.old.bms.charge_path",
        "packs.old.bms.data",
        "packs.old.fuse",
        "packs.old.chemistry",
        "packs.old.series",
        "packs.old.outlet",
        "packs.old.condition",
        "leads.old lead.gauge",
        "leads.old lead.ends",
        "joiners.y.ceiling",
        "joiners.y.inlets",
        "controller.voltage",
    ],
)
def test_a_fact_that_is_missing_beside_a_plain_joiner_is_no_yes(run: Run, tmp_path: Path, dropped: str) -> None:
    # The check of such a bike stops at the joiner and asks for less; who joins the packs all the same needs each.
    assert run(PLAIN, "--volts", "old=50,new=50.01")[0] == 0
    file = changed(tmp_path, "quay-plain-trike", {}, (dropped,))
    code, out, _ = run(file, "--volts", "old=50,new=50.01")
    assert (code, out.startswith("YES")) == (1, False)
