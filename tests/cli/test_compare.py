"""`packyoke compare` as somebody types it: may I add this pack to that bike?"""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from tests.support import EXAMPLES, edited

OLD = EXAMPLES / "skerry-long-tail.yaml"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "compare")


def changed(tmp_path: Path, put: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> Path:
    path = tmp_path / "new.yaml"
    path.write_text(edited("skerry-long-tail", put, drop), encoding="utf-8")
    return path


THIRD_PACK = {
    "packs.box.like": "keel",
    "packs.box.mass": "3.5 kg",
    "joiners.yoke.inputs": "3",
    "leads.box lead": {
        "from": "box",
        "to": "yoke",
        "length": "500 mm",
        "gauge": "12 AWG",
        "ends": ["XT60 pin", "XT90 socket"],
    },
    "chargers.counter.fits": ["keel", "pannier", "box"],
}


def test_a_third_pack_is_a_difference_in_figures_and_no_new_stop(run: Run, tmp_path: Path) -> None:
    code, out, _ = run(OLD, changed(tmp_path, THIRD_PACK), "--no-shop")
    assert code == 0
    assert out.startswith("No stop and nothing open that was not there before.")
    assert "packs: box, only after" in out
    # 14 x 3.6 V x 20 Ah = 1008 Wh by the label, and 3.5 kg, more than before: arithmetic.
    assert "+1008" in out
    assert "+3.5" in out
    assert all(len(line) <= 80 for line in out.splitlines() if ".yaml" not in line)


def test_a_stop_that_was_not_there_refuses(run: Run, tmp_path: Path) -> None:
    new = changed(tmp_path, {"controller.battery_current": "35 A"})
    code, out, _ = run(OLD, new, "--no-shop", "--format", "json")
    assert code == 1
    data = json.loads(out)
    assert data["schema"] == "packyoke/compare/1"
    assert data["refused"]
    stops = [each for each in data["findings"] if each["rule"] == "pack-overloaded"]
    stop = next(each for each in stops if each["part"] == "packs.pannier")
    assert (stop["change"], stop["severity"], stop["severity_before"]) == ("new", "stop", None)
    # The pannier alone carries the controller's 35 A and the lamp's 0.5 A, of 30 A.
    assert stop["found"]["value"] == pytest.approx(35.5)
    assert [(each["part"], each["field"], each["before"], each["after"]) for each in data["differences"]] == [
        ("controller", "battery_current.limit", "25 A", "35 A")
    ]


def test_the_other_way_round_it_is_gone_and_better(run: Run, tmp_path: Path) -> None:
    code, out, _ = run(changed(tmp_path, {"controller.battery_current": "35 A"}), OLD, "--no-shop", "--format", "json")
    assert code == 0
    kinds = {(each["rule"], each["part"]): each["change"] for each in json.loads(out)["findings"]}
    assert kinds["pack-overloaded", "packs.pannier"] == "gone"
    assert kinds["cells-overworked", "packs.pannier"] == "better"


def test_the_same_build_twice(run: Run) -> None:
    code, out, _ = run(OLD, OLD, "--no-shop")
    assert code == 0
    assert out.startswith("SAME")


def test_an_open_question_that_was_not_there_refuses(run: Run, tmp_path: Path) -> None:
    code, out, _ = run(OLD, changed(tmp_path, drop=("leads.pannier lead.gauge",)), "--no-shop")
    assert code == 1
    assert out.startswith("OPEN")
    assert "pannier lead: gauge 12 AWG -> not known" in out


def test_two_bikes_are_not_compared(run: Run) -> None:
    code, _, err = run(OLD, EXAMPLES / "sluice-second-port.yaml", "--no-shop")
    assert code == 2
    assert "these are two bikes" in err


SHELF = """
packyoke-shop: 1
name: Harbour bench
shelf:
  packs:
    slim: {label: 48 V, chemistry: NMC, series: 14, capacity: 13 Ah, mass: 3.5 kg, price: 390 EUR}
  wires:
    red 12: {gauge: 12 AWG, insulation: silicone, price: 1.40 EUR}
    black 12: {gauge: 12 AWG, insulation: silicone, price: 1.30 EUR}
  connectors:
    XT60: {per_contact: 30 A, price: 1.20 EUR}
    XT90 socket: {per_contact: 45 A, price: 2.00 EUR}
  sundries:
    tube: {use: sleeve, price: 0.10 EUR}
    plug cap: {use: cap, price: 0.80 EUR}
"""
SLIM = {
    **{key: value for key, value in THIRD_PACK.items() if not key.startswith("packs.")},
    "packs.box": {"part": "slim", "outlet": "XT60 socket"},
}


def test_the_price_is_that_of_what_comes(run: Run, tmp_path: Path) -> None:
    shop = tmp_path / "packyoke-shop.yaml"
    shop.write_text(SHELF, encoding="utf-8")
    new = changed(tmp_path, SLIM)
    _, out, _ = run(OLD, new, "--shop", shop)
    # A pack, half a metre of two conductors, two halves of connectors: 390 + 0.5 x (1.40 + 1.30) + 1.20 + 2.00; four
    # sleeves, a cap on the pack and one on the plug of its lead: 4 x 0.10 + 2 x 0.80.
    assert "+396.55 EUR" in out
    _, out, _ = run(new, OLD, "--shop", shop)
    assert "-396.55 EUR" in out
    _, out, _ = run(OLD, new, "--shop", shop, "--format", "json")
    assert json.loads(out)["price"] == {"amount": "396.55", "currency": "EUR", "unpriced": []}


def test_what_has_no_price_is_named_and_not_counted_as_nothing(run: Run, tmp_path: Path) -> None:
    shop = tmp_path / "packyoke-shop.yaml"
    shop.write_text(SHELF.replace("    XT60: {per_contact: 30 A, price: 1.20 EUR}\n", ""), encoding="utf-8")
    _, out, _ = run(OLD, changed(tmp_path, THIRD_PACK), "--shop", shop)
    assert "+5.35 EUR" in out  # the wire, the XT90, sleeves and caps alone
    assert "Without a price on the shelf: +1 XT60 pin, +1 box." in " ".join(out.split())


def test_without_prices_there_is_no_price(run: Run, tmp_path: Path) -> None:
    _, out, _ = run(OLD, changed(tmp_path, THIRD_PACK), "--no-shop", "--format", "json")
    assert json.loads(out)["price"] is None


def test_a_pack_like_one_of_the_shelf_costs_as_much(run: Run, tmp_path: Path) -> None:
    shop = tmp_path / "packyoke-shop.yaml"
    shop.write_text(SHELF, encoding="utf-8")
    one, two = tmp_path / "one.yaml", tmp_path / "two.yaml"
    one.write_text(edited("skerry-long-tail", SLIM), encoding="utf-8")
    two.write_text(edited("skerry-long-tail", {**SLIM, "packs.spare": {"like": "box"}}), encoding="utf-8")
    _, out, _ = run(one, two, "--shop", shop, "--format", "json")
    assert json.loads(out)["price"]["amount"] == "390.00"


def test_ends_that_nobody_has_said_are_not_known(run: Run, tmp_path: Path) -> None:
    _, out, _ = run(OLD, changed(tmp_path, drop=("leads.keel lead.ends",)), "--no-shop")
    assert "ends XT60 pin, XT90 socket -> not known, not known" in " ".join(out.split())
    assert "None" not in out


@pytest.mark.parametrize(
    ("put", "told"),
    [
        (
            {"packs.pannier.discharge": "{continuous: 30 A, peak: 45 A for 10 s}"},
            "discharge.peak not known -> 45 A for 10 s",
        ),
        ({"packs.keel.discharge.peak": "60 A for 20 s"}, "keel: discharge.peak 60 A for 10 s -> 60 A for 20 s"),
        ({"joiners.yoke.current.peak": "50 A for 10 s"}, "yoke: current.peak 60 A for 10 s -> 50 A for 10 s"),
        ({"leads.main lead.run": "in frame"}, "main lead: run open -> in frame"),
        ({"leads.main lead.run": "[moving, beside keel lead]"}, "main lead: run open -> [moving, beside keel lead]"),
        ({"packs.pannier.charge": "none"}, "pannier: charge 4 A -> none"),
        (
            {"controller.battery_current": "{limit: 25 A, falls_to: 20 A after 30 s}"},
            "battery_current.falls_to not known -> 20 A after 30 s",
        ),
        (
            {"bike.drive": "{type: direct-drive hub, no_load_speed: 42 km/h at 50 V}"},
            "drive.no_load_speed not known -> 42 km/h at 50 V",
        ),
        (
            {"joiners.yoke": {"type": "plain", "bonded": {"by": "0.1 V", "charged": "together"}, "ceiling": "75 V"}},
            "yoke: bonded not known -> within 0.1 V, charged together",
        ),
        ({"joiners.yoke.charge_port": "{current: 4 A}"}, "yoke: charge_port not there -> there"),
        ({"packs.pannier.label": "48 V"}, "pannier: label 52 V -> 48 V"),
        ({"sets": [["keel"], ["pannier", "keel"]]}, "build: sets every one -> keel, pannier + keel"),
        ({"places.nook.holds": "2"}, "places: nook, only after"),
        (
            {
                "places": {"nook": {"holds": "1"}, "den": {"holds": "0"}},
                "runs": [{"between": ["nook", "den"], "length": "300 mm"}],
            },
            "runs: den - nook, only after",
        ),
        ({"parts.connectors.lug": "{per_contact: 30 A, contacts: genderless}"}, "parts: connectors.lug, only after"),
    ],
)
def test_a_line_is_told_as_the_file_has_it(run: Run, tmp_path: Path, put: dict[str, Any], told: str) -> None:
    out = " ".join(run(OLD, changed(tmp_path, put), "--no-shop")[1].split())
    assert told in out
    assert "SAME" not in out


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("rider 70 W", "rider 90 W", "assist rider 70 W -> rider 90 W"),
        ("rider 70 W", "ratio 2", "assist rider 70 W -> ratio 2"),
        ("ratio 1.5", "throttle", "assist ratio 1.5 -> throttle"),
    ],
)
def test_how_it_is_ridden_is_told_as_the_file_has_it(
    run: Run, tmp_path: Path, before: str, after: str, told: str
) -> None:
    old = tmp_path / "old.yaml"
    old.write_text(edited("skerry-long-tail", {"ride.everyday.assist": before}), encoding="utf-8")
    out = run(old, changed(tmp_path, {"ride.everyday.assist": after}), "--no-shop")[1]
    assert told in " ".join(out.split())


def test_a_way_of_another_length_is_a_difference(run: Run, tmp_path: Path) -> None:
    old = tmp_path / "old.yaml"
    places = {"nook": {"holds": "1"}, "den": {"holds": "0"}}
    ways = {mm: [{"between": ["nook", "den"], "length": f"{mm} mm"}] for mm in (300, 400)}
    old.write_text(edited("skerry-long-tail", {"places": places, "runs": ways[300]}), encoding="utf-8")
    out = run(old, changed(tmp_path, {"places": places, "runs": ways[400]}), "--no-shop")[1]
    assert "den - nook: length 300 mm -> 400 mm" in " ".join(out.split())


def test_what_a_harness_carries_is_not_known_where_a_part_is_left_out(run: Run, tmp_path: Path) -> None:
    """keel without what it gives: 30 A are what the others bear, and 15 A are no step down from that."""
    _, out, _ = run(changed(tmp_path, drop=("packs.keel.discharge",)), OLD, "--no-shop")
    assert "carries, continuous ? 29.5 A " in " ".join(out.split())


def test_another_ride_is_not_the_packs_doing(run: Run, tmp_path: Path) -> None:
    ride = {"ride.everyday": {"rider": "60 kg", "speed": "15 km/h"}}
    _, out, _ = run(OLD, changed(tmp_path, ride), "--no-shop")
    assert "everyday ride is not the same" in " ".join(out.split())
    _, out, _ = run(OLD, changed(tmp_path, THIRD_PACK), "--no-shop")
    assert "everyday ride is not the same" not in " ".join(out.split())


@pytest.mark.parametrize(("count", "told"), [(5, False), (6, True), (8, True)])
def test_of_many_packs_it_says_who_knows_how_far(run: Run, tmp_path: Path, count: int, told: bool) -> None:
    """Without that a question mark in the new bike's column reads as if nobody knew."""
    lead = "to: yoke, length: 400 mm, gauge: 12 AWG, ends: [XT60 pin, XT90 socket]"
    more: dict[str, Any] = {"joiners.yoke.inputs": str(count)}
    for n in range(count - 2):
        more |= {f"packs.more {n}": "{like: keel}", f"leads.lead {n}": f"{{from: more {n}, {lead}}}"}
    file = tmp_path / "more.yaml"
    file.write_text(edited("skerry-long-tail", more), encoding="utf-8")
    _, out, _ = run(EXAMPLES / "skerry-long-tail.yaml", file, "--format", "json")
    data = json.loads(out)
    assert any("packyoke range says how far" in each for each in data["notes"]) is told
    ways = [each for each in data["figures"] if each["name"] == "count on, everyday"]
    assert [each["after"] is None for each in ways] == [told]
