"""`packyoke quote` as the owner of a shop types it."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from tests.support import EXAMPLES

BIKE, SHOP = EXAMPLES / "counter" / "parcel-bike.yaml", EXAMPLES / "counter" / "packyoke-shop.yaml"
TODAY = ("--today", "2026-11-28")
WISH = ("--reach", "80 km", "--ride", "loaded", *TODAY)
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "quote")


def test_the_screen_answers_the_question_first(run: Run) -> None:
    code, out, _ = run(BIKE, *WISH)
    assert code == 0
    head = out.splitlines()[:4]
    assert head[0].startswith("QUOTE Parcel bike no. 5: 80 km on the ride loaded")
    assert "count on" in head[2]
    assert "EUR" in head[2]
    assert all(len(line) <= 80 for line in out.splitlines())
    for word in ("cheapest", "lightest", "farthest", "Prices hold until 2026-12-28"):
        assert word in out


def test_json_is_exact_and_says_what_the_screen_says(run: Run) -> None:
    data: dict[str, Any] = json.loads(run(BIKE, *WISH, "--format", "json")[1])
    assert data["schema"] == "packyoke/quote/1"
    assert data["answered"]
    assert not data["enough"]
    _, out, _ = run(BIKE, *WISH, "--all")
    for each in data["offers"]:
        amounts = [Decimal(line["amount"]) for line in each["bill"] if line["amount"] is not None]
        totals = each["totals"]
        assert sum(amounts) == Decimal(totals["parts"])
        parts = [Decimal(totals[name] or 0) for name in ("parts", "labour", "tax", "rounding")]
        assert sum(parts) == Decimal(totals["amount"]) == Decimal(each["price"])
        assert each["distance_m"]["low"] >= 80_000
        assert each["price"] in out
    prices = [Decimal(each["price"]) for each in data["offers"]]
    assert prices == sorted(prices)


@pytest.mark.parametrize("number", [1, 6])
def test_what_is_chosen_is_written_and_is_what_was_promised(
    run: Run, packyoke: Run, tmp_path: Path, number: int
) -> None:
    """Number 1 is added, number 6 replaces keel: both files pass the check and go as far as the table says."""
    new = tmp_path / "offer.yaml"
    code, out, err = run(BIKE, *WISH, "--format", "json", "--choose", str(number), "--write", new)
    assert code == 0, err
    offer = json.loads(out)["offers"][number - 1]
    code, checked, _ = packyoke("check", new, "--shop", SHOP, "--format", "json")
    assert code == 0
    assert json.loads(checked)["builds"][0]["verdict"] in ("none-found", "caution")
    packs = ",".join(offer["packs"])
    ranged = json.loads(packyoke("range", new, "--shop", SHOP, "--packs", packs, "--format", "json")[1])
    assert ranged["ranges"][0]["distance_m"]["low"] == pytest.approx(offer["distance_m"]["low"])
    planned = json.loads(packyoke("plan", new, "--shop", SHOP, "--format", "json", *TODAY)[1])
    assert planned["totals"]["amount"] == offer["price"], "the bill is the same after it was written"
    again, _, err = run(BIKE, *WISH, "--choose", str(number), "--write", new)
    assert again == 2
    assert "exists already" in err


@pytest.mark.parametrize(
    ("number", "at", "lost"), [(1, "  keel:", False), (1, "  keel lead:", True), (6, "  keel:", True)]
)
def test_comments_in_lines_that_are_taken_out_are_told(
    run: Run, tmp_path: Path, number: int, at: str, lost: bool
) -> None:
    """Number 1 leads keel to a joiner, by another lead; number 6 takes keel off. What stands elsewhere stays."""
    file, new = tmp_path / "bike.yaml", tmp_path / "offer.yaml"
    told, kept = '# mind the "rear" strap', "# photographed"
    text = BIKE.read_text(encoding="utf-8")
    head = next(line for line in text.splitlines() if line.startswith(at))
    text = text.replace(f"{head}\n", f"{head}   {told}\n").replace("controller:\n", f"controller:   {kept}\n")
    file.write_text(text, encoding="utf-8")
    code, _, err = run(file, *WISH, "--shop", SHOP, "--choose", str(number), "--write", new)
    assert code == 0, err
    assert (f"comments that went with the lines taken out: {told}\n" in err) is lost
    assert ("comments that went" in err) is lost
    written = new.read_text(encoding="utf-8")
    assert (kept in written, told in written) == (True, not lost)


def test_what_the_customer_has_ridden_counts(run: Run) -> None:
    """He gets farther than most: 48 km on 80 points of a pack that carries anybody 63 km."""
    plain = json.loads(run(BIKE, *WISH, "--format", "json")[1])
    known = json.loads(run(BIKE, *WISH, "--known", "52 km from 100 % to 20 % with keel", "--format", "json")[1])
    assert known["now"]["distance_m"]["low"] > plain["now"]["distance_m"]["low"]
    assert Decimal(known["offers"][0]["price"]) <= Decimal(plain["offers"][0]["price"])
    code, _, err = run(BIKE, *WISH, "--known", "6 km from 100 % to 20 % with keel")
    assert code == 2
    assert "fits no rider" in err


def test_what_it_does_already_costs_nothing(run: Run) -> None:
    code, out, _ = run(BIKE, "--reach", "30 km", "--ride", "loaded", *TODAY)
    assert code == 0
    assert "It gets there as it is: nothing is needed." in out


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        (("--reach", "900 km"), "Nothing on the shelf gets there. The nearest:"),
        (("--reach", "80 km", "--most", "300 EUR"), "Nothing that reaches costs so little; the cheapest is"),
    ],
)
def test_a_wish_that_nothing_fulfils_says_what_comes_nearest(run: Run, wish: tuple[str, ...], said: str) -> None:
    code, out, _ = run(BIKE, *wish, "--ride", "loaded", "--add", "0..1", *TODAY)
    assert code == 1
    assert out.startswith("NO ")
    assert said in " ".join(out.split())


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        (("--reach", "80"), "--reach"),
        (("--reach", "80 kg"), "--reach"),
        (("--reach", "-5 km"), "--reach"),
        (("--ride", "laoded"), "Did you mean loaded?"),
        (("--most", "900 USD"), "in EUR"),
        (("--most", "cheap"), "write for example"),
        (("--add", "2..1"), "smaller number first"),
        (("--add", "7"), "smaller number first"),
        (("--add", "two"), "write for example"),
        (("--on", "saddle"), "no place or rack called"),
        (("--choose", "1"), "go together"),
        (("--choose", "99", "--write", "new.yaml", "--reach", "80 km", "--ride", "loaded"), "there are offers 1 to"),
        (("--no-shop",), "--shop"),
    ],
)
def test_what_cannot_be_used_is_refused_with_a_sentence(run: Run, wish: tuple[str, ...], said: str) -> None:
    code, out, err = run(BIKE, *wish, *TODAY)
    assert code == 2
    assert said in err
    assert out == ""
    assert "Traceback" not in err


SHELVES = [
    ("price: 260 EUR", "price: 260 USD", 2, "USD, where EUR came before"),
    ("stock: 3, minutes", "stock: -3, minutes", 2, "stock"),
    ("price: 260 EUR", "price: -260 EUR", 2, "price"),
]


@pytest.mark.parametrize(("old", "new", "status", "said"), SHELVES)
def test_a_shelf_with_a_mistake_is_refused_with_its_line(
    run: Run, tmp_path: Path, old: str, new: str, status: int, said: str
) -> None:
    text = SHOP.read_text(encoding="utf-8")
    assert old in text
    shop = tmp_path / "shop.yaml"
    shop.write_text(text.replace(old, new, 1), encoding="utf-8")
    code, _, err = run(BIKE, *WISH, "--shop", shop)
    assert code == status
    assert said in err
    assert "Traceback" not in err


def test_a_shelf_without_prices_is_refused_and_one_pack_without_is_left_out(run: Run, tmp_path: Path) -> None:
    text = SHOP.read_text(encoding="utf-8")
    shop = tmp_path / "shop.yaml"
    head, tail = text.split("  joiners:", 1)
    shop.write_text(re.sub(r" price: [0-9.]+ EUR,", "", head) + "  joiners:" + tail, encoding="utf-8")
    code, _, err = run(BIKE, *WISH, "--shop", shop)
    assert code == 2
    assert "no pack on the shop's shelf has a price" in err
    shop.write_text(re.sub(r" price: [0-9.]+ EUR,", "", text, count=1), encoding="utf-8")
    data = json.loads(run(BIKE, *WISH, "--shop", shop, "--format", "json")[1])
    assert {"pack": "rack 48-8", "reason": "no price in the shop file"} in data["left_out"]


def test_packs_that_may_not_be_joined_say_why(run: Run) -> None:
    data = json.loads(run(BIKE, *WISH, "--format", "json")[1])
    reasons = {each["pack"]: each["reason"] for each in data["left_out"]}
    assert reasons["rack 52-10"] == "14 cells in series, keel has 13: not the same voltage"
    assert reasons["box 51-20"] == "LFP, keel is NMC: two chemistries are not joined"
    assert "rack 48-12" not in reasons


@pytest.mark.parametrize("like", [False, True])
def test_all_packs_of_a_bike_are_changed_for_one_larger_and_written(
    run: Run, packyoke: Run, tmp_path: Path, like: bool
) -> None:
    """Two small packs on a joiner of his own; the second may be written as `like` the first, and goes with it."""
    text = BIKE.read_text(encoding="utf-8")
    start, end = text.index("  keel:\n"), text.index("leads:\n")
    small = text[start:end].replace("capacity: 14 Ah", "capacity: 4 Ah").replace("cells: energy", "cells: power")
    other = "  hull: {like: keel, place: seat tube}\n" if like else small.replace("keel:", "hull:")
    yoke = (
        "joiners:\n  own yoke: {type: ideal-diode, inputs: 2, ceiling: 65 V, current: {continuous: 30 A}, "
        "resistance: 2 mohm, blocks_in: positive, charge_port: none, inlets: XT60 pin, outlet: XT60 socket, "
        "place: seat tube, mount: frame metal}\n"
    )
    cable = "length: 350 mm, gauge: 12 AWG, ends: [XT60 pin, XT60 socket]}\n"
    leads = "leads:\n" + "".join(
        f"  {name} lead: {{from: {source}, to: {target}, {cable}"
        for name, source, target in (
            ("keel", "keel", "own yoke"),
            ("hull", "hull", "own yoke"),
            ("main", "own yoke", "controller"),
        )
    )
    rest = text[text.index("controller:\n") :]
    file, new = tmp_path / "two.yaml", tmp_path / "new.yaml"
    file.write_text(text[:start] + small + other + yoke + leads + rest, encoding="utf-8")
    wish = ("--reach", "90 km", "--ride", "loaded", "--add", "0..1", "--shop", SHOP, *TODAY)
    offers = json.loads(run(file, *wish, "--format", "json")[1])["offers"]
    offer = next(each for each in offers if each["off"] == ["keel", "hull"])
    assert f"{offer['added'][0]}, both off" in run(file, *wish, "--all")[1]
    code, out, err = run(file, *wish, "--choose", str(offer["number"]), "--write", new)
    assert code == 0, err
    assert "in place of each of his packs, and of all" in " ".join(out.split())
    written = new.read_text(encoding="utf-8")
    assert "keel" not in written
    assert "hull" not in written
    assert json.loads(packyoke("check", new, "--shop", SHOP, "--format", "json")[1])["builds"][0]["verdict"] != "stop"
    ranged = json.loads(packyoke("range", new, "--shop", SHOP, "--format", "json")[1])
    assert ranged["ranges"][0]["distance_m"]["low"] == pytest.approx(offer["distance_m"]["low"])
    planned = json.loads(packyoke("plan", new, "--shop", SHOP, "--format", "json", *TODAY)[1])
    assert planned["totals"]["amount"] == offer["price"]


def test_a_file_in_one_pair_of_braces_is_not_written_into(run: Run, tmp_path: Path) -> None:
    file, new = tmp_path / "bike.yaml", tmp_path / "new.yaml"
    text = BIKE.read_text(encoding="utf-8")
    lead = next(line for line in text.splitlines() if line.startswith("  keel lead:"))
    text = text.replace(f"leads:\n{lead}", f"leads: {{{lead.strip()}}}")
    file.write_text(text, encoding="utf-8")
    code, _, err = run(file, *WISH, "--shop", SHOP, "--choose", "1", "--write", new)
    assert code == 2
    assert "nothing was written" in err
    assert not new.exists()


def test_markdown_and_html_have_the_same_offers(run: Run) -> None:
    _, markdown, _ = run(BIKE, *WISH, "--format", "markdown")
    _, html, _ = run(BIKE, *WISH, "--format", "html")
    for text in (markdown, html):
        assert "592.85" in text
        assert "frame 48-11" in text


@pytest.mark.parametrize("name", ["skerry-long-tail", "first-steps/bike"])
def test_a_bike_without_measured_ways_is_written_with_the_assumed_ones(
    run: Run, packyoke: Run, tmp_path: Path, name: str
) -> None:
    new = tmp_path / "offer.yaml"
    wish = ("--reach", "100 km", "--add", "1", "--shop", SHOP, *TODAY)
    code, out, err = run(EXAMPLES / f"{name}.yaml", *wish, "--format", "json", "--choose", "1", "--write", new)
    assert code == 0, err
    assert json.loads(out)["leads_assumed"]
    assert packyoke("check", new, "--shop", SHOP)[0] == 0
    code, page, err = packyoke("sheet", new, "--for", "quote", "--shop", SHOP, "--format", "text", *TODAY)
    assert code == 0, err
    assert json.loads(out)["offers"][0]["price"] in page
    assert "we measure them before we cut" in " ".join(page.split())


def test_a_bike_that_the_check_stops_is_told_that_first(run: Run) -> None:
    code, out, _ = run(EXAMPLES / "quay-plain-trike.yaml", "--reach", "60 km", "--shop", SHOP, *TODAY)
    assert code == 1
    assert out.startswith("STOP ")
    assert "that comes first" in out


def test_what_an_offer_is_best_in_stands_in_its_row(run: Run, tmp_path: Path) -> None:
    shop = tmp_path / "shop.yaml"
    text = SHOP.read_text(encoding="utf-8")
    sleeves = next(line for line in text.splitlines() if "use: sleeve" in line)
    assert "price:" in sleeves
    shop.write_text(text.replace(sleeves, sleeves.partition(", price:")[0] + "}"), encoding="utf-8")
    _, out, _ = run(BIKE, *WISH, "--shop", shop)
    table = out.partition("WHAT GETS THERE")[2].partition("WHAT IS ON THE BILL")[0]
    rows = [line for line in table.splitlines() if re.match(r" *[0-9]+  ", line)]
    for word in ("cheapest", "lightest", "farthest"):
        assert len([line for line in rows if word in line]) == 1
    # Only names go on below: nothing stands beside them.
    below = [line for line in table.splitlines()[2:] if line.startswith("    ") and line.strip() and line not in rows]
    assert all(len(line) < 32 for line in below), below
    # The sleeves have no price, in any offer.
    assert re.search(r"number 1, 2, 3, [0-9, ]+: 1 part without a price, in no sum", " ".join(table.split()))


def test_what_takes_too_long_to_plan_is_named_and_never_called_beaten(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With no steps left not one of the shelf's packs is planned, and nobody says that none of them gets there."""
    monkeypatch.setattr("packyoke.planning.quoting.offers.FOR_ALL", -600_000)
    code, out, _ = run(BIKE, *WISH, "--add", "0..1")
    said = " ".join(out.split())
    assert code == 1
    assert "Nothing that was tried gets there." in said
    assert "NOT TRIED not planned: packs that feed each other take long to plan" in said
    assert ", 0 planned and checked; the others but for the " in said
    assert "Nothing on the shelf" not in said
    assert said.startswith("OPEN"), "nobody knows that nothing gets there"
    refused = json.loads(run(BIKE, *WISH, "--add", "0..1", "--format", "json")[1])["refused"]
    assert any(each["untried"] for each in refused)


@pytest.mark.parametrize("steps", [1_000_000, -499_000])
def test_the_cheapest_is_that_of_what_was_tried(run: Run, monkeypatch: pytest.MonkeyPatch, steps: int) -> None:
    """With steps left for a few choices only, none of those that are left is said to be dearer."""
    monkeypatch.setattr("packyoke.planning.quoting.offers.FOR_ALL", steps)
    code, out, _ = run(BIKE, "--ride", "loaded", "--add", "1..2")
    said = " ".join(out.split())
    assert code == 0
    assert ("The cheapest of what was tried: " in said) == ("NOT TRIED" in said) == (steps < 0)
    assert ("The cheapest: " in said) == (steps > 0)
