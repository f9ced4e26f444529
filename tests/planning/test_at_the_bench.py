"""Bikes of many kinds, planned and held against what a builder would change: a lead, a name, a note, money."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest

from packyoke.buildfile.reading import Shop
from packyoke.buildfile.writing.complete import completed_text
from packyoke.core.findings import Severity
from packyoke.making.bill import bill
from packyoke.model import FITTED, Build, Lead
from packyoke.planning.catalogue import Catalogue, catalogue
from packyoke.planning.parts import free_name, lead_name
from packyoke.planning.plan import plan
from packyoke.planning.result import Plan
from packyoke.rules import RULES
from packyoke.verdict.judge import judge_build
from tests.planning.bikes import bike, build_of, joiner, pack, random_bike, shop_of
from tests.planning.judging import loss_w

HOLDER_M = 0.25
COIN = 0.005
FRAME = "{holds: 2, mount: frame metal}"
OWN_FUSE = "fuse: {family: 10x38, rating: 30 A, voltage: 1000 V}"
LAMPS = """accessories:
  lamp: {from: y, max: 60 V, current: 1.5 A}
  box heater: {from: y, max: 60 V, current: 6 A}
"""
TRIKE = {"bed": FRAME, "rear": "{holds: 1, mount: open air}", "motor": FRAME}
LONG = {"box": FRAME, "mid": FRAME, "tail": "{holds: 2, mount: open air}", "motor": "{holds: 0}"}
YOKE = """    yoke {n}: {{type: {type}, ceiling: 65 V, current: {{continuous: {amps} A}}, {drop}, blocks_in: positive,
      inputs: {n}, inlets: XT60 pin, outlet: XT60 socket, charge_port: none, price: {price} EUR}}
"""
IDEAL, DIODE = "resistance: 2 mohm", "forward_voltage: 0.5 V"


def shelf(
    wires: tuple[int, ...], fuses: tuple[tuple[str, int, int, float], ...], coin: str = "EUR", by: int = 1
) -> str:
    """A shop file with wire, fuses with holders, and two joiners; each price is `by` times as much."""
    lines = ["packyoke-shop: 1", "shelf:", "  wires:"]
    for size in wires:
        for colour, pole in (("red", "plus"), ("black", "minus")):
            price = round(0.9 * 1.5 ** ((14 - size) / 2), 2)
            lines.append(
                f"    {colour} {size}: {{gauge: {size} AWG, insulation: silicone, pole: {pole}, price: {price} EUR}}"
            )
    lines.append("  fuses:")
    for family, rating, volts, price in fuses:
        marks = f"family: {family}, rating: {rating} A, voltage: {volts} V"
        lines.append(f"    {family} {rating}: {{{marks}, price: {price} EUR, holder: {family} holder}}")
    lines += ["  connectors:", "    XT60: {price: 1.20 EUR}", "  sundries:", "    tube: {use: sleeve, price: 0.10 EUR}"]
    lines += [
        f"    {each} holder: {{use: holder, price: 3.10 EUR}}" for each in dict.fromkeys(each[0] for each in fuses)
    ]
    lines += [
        "    end cap: {use: cap, price: 0.45 EUR}",
        "    mark sheet: {use: labels, price: 0.99 EUR}",
        "  joiners:\n",
    ]
    text = "\n".join(lines)
    text += YOKE.format(n=2, type="diode", amps=40, drop=DIODE, price=18)
    text += YOKE.format(n=3, type="ideal-diode", amps=30, drop=IDEAL, price=52)
    if by == 1:
        return text
    head, *rest = text.split("price: ")
    scaled = (f"{Decimal(each.split(' EUR')[0]) * by} {coin}{each.partition(' EUR')[2]}" for each in rest)
    return "price: ".join((head, *scaled))


RICH = shelf((16, 14, 12, 10), (("blade", 25, 58, 1.1), ("10x38", 25, 1000, 3.2), ("10x38", 30, 1000, 3.2)))
POOR = shelf((14,), (("10x38", 30, 1000, 3.2),))
ODD = shelf((14, 12, 10), (("10x38", 60, 1000, 4.0), ("10x38", 80, 1000, 4.0)))


def packs(**places: str) -> dict[str, str]:
    return {name: pack(place) for name, place in places.items()}


BIKES: dict[str, tuple[str, str]] = {
    "two packs, short": (
        bike(packs(a="bed", b="bed"), {}, TRIKE, [("bed", "motor", 300), ("rear", "motor", 400)]),
        RICH,
    ),
    "two packs, poor shelf": (
        bike(packs(a="bed", b="bed"), {}, TRIKE, [("bed", "motor", 600), ("rear", "bed", 400)]),
        POOR,
    ),
    "trike": (
        bike(packs(a="bed", b="bed", c="rear"), {}, TRIKE, [("bed", "motor", 900), ("rear", "motor", 500)]),
        RICH,
    ),
    "fuses too large": (
        bike(packs(a="bed", b="bed", c="bed"), {}, TRIKE, [("bed", "motor", 700), ("rear", "bed", 90)]),
        ODD,
    ),
    "long": (
        bike(
            packs(a="box", b="box", c="tail", d="tail"),
            {},
            LONG,
            [("box", "mid", 1200), ("mid", "motor", 200), ("tail", "mid", 1100)],
        ),
        RICH,
    ),
    "fuses in the packs": (
        bike(
            {"a": pack("bed", more=OWN_FUSE), "b": pack("rear", more=OWN_FUSE)},
            {},
            TRIKE,
            [("bed", "motor", 900), ("rear", "bed", 700)],
        ),
        RICH,
    ),
    "lamps": (
        bike(packs(a="bed", b="bed"), {"y": joiner()}, TRIKE, [("bed", "motor", 900), ("rear", "bed", 99)], more=LAMPS),
        RICH,
    ),
    "hot": (
        bike(packs(a="bed", b="bed"), {}, TRIKE, [("bed", "motor", 800), ("rear", "bed", 99)], amps=22).replace(
            "warmest: 30", "warmest: 45"
        ),
        RICH,
    ),
}


def planned(name: str) -> tuple[Build, Shop, Plan]:
    text, stock = BIKES[name]
    shop = shop_of(stock)
    build = build_of(text, shop)
    found = plan(build, shop)
    assert isinstance(found, Plan), found
    return build, shop, found


def value(build: Build, shop: Shop, kg: float) -> float:
    """What a build comes to: the bill, and at the stated rates its loss, the joints of its fuses, fuses and holders
    without a price, notes."""
    fuses = [lead.fuse for lead in build.leads.values() if lead.fuse.presence == FITTED]
    unpriced = [
        line for line in bill(build, shop).lines if line.section in ("fuses", "holders") and line.amount is None
    ]
    exact = sum(
        float(line.price_each * line.quantity) for line in bill(build, shop).lines if line.price_each is not None
    )
    more = 0.1 * sum(float(line.quantity) for line in unpriced) + 0.040 * 2 * len(fuses) + 0.005 * loss_w(build)
    return exact + kg * (more + 0.1 * found_of(build)[1])


def found_of(build: Build) -> tuple[int, int]:
    """Findings, a stop above all others; notes that two fuses are too much for a wire."""
    decisions = judge_build(build, RULES)
    worse = sum(100 if each.severity >= Severity.OPEN else each.severity == Severity.CAUTION for each in decisions)
    noted = [each for each in decisions if each.rule.name == "fuse-oversized" and each.severity == Severity.NOTE]
    return worse, len(noted)


def others(lead: Lead, shelf: Catalogue) -> Iterator[Lead]:
    """The same lead of every wire, with every fuse and with none."""
    for cable in shelf.cables:
        bare = replace(lead, gauge=cable.gauge, insulation=cable.insulation)
        if lead.fuse.presence != FITTED:
            yield bare
        elif lead.source.startswith("yoke"):
            yield replace(bare, fuse=replace(lead.fuse, presence="none", family=None, rating_a=None, voltage_v=None))
        for kind in shelf.fuses:
            fuse = replace(
                lead.fuse, presence=FITTED, family=kind.family, rating_a=kind.rating_a, voltage_v=kind.voltage_v
            )
            yield replace(bare, fuse=fuse, length_m=max(HOLDER_M, lead.length_m or 0.0))


@pytest.mark.parametrize("name", BIKES)
def test_no_other_wire_or_fuse_in_one_lead_is_cheaper_and_passes(name: str) -> None:
    build, shop, found = planned(name)
    shelf_ = catalogue(build, shop)
    kg = shelf_.copper_price
    mine = (found_of(found.build)[0], value(found.build, shop, kg))
    tried = 0
    for lead in found.build.leads.values():
        for other in others(lead, shelf_):
            changed = replace(found.build, leads={**found.build.leads, lead.name: other})
            cost = value(changed, shop, kg) if other != lead else mine[1]
            if cost < mine[1] - 1e-6:
                tried += 1
                assert found_of(changed)[0] > mine[0], (other.name, other.gauge, other.fuse.rating_a, cost, mine)
    assert tried or name == "two packs, poor shelf"


@pytest.mark.parametrize("name", BIKES)
def test_the_parts_chosen_are_the_bill_to_the_last_coin_and_the_file_checks_as_promised(name: str) -> None:
    build, shop, found = planned(name)
    cost = dict(zip(found.objective.names, found.objective.values, strict=True))["cost"]
    assert Decimal(str(cost)) == found.totals.parts - bill(build, shop).totals.parts
    sleeves = next(line.quantity for line in found.bill if line.item == "tube")
    assert sleeves == len(found.joints)
    written = build_of(completed_text(BIKES[name][0], build, found), shop)
    assert found_of(written) == found_of(found.build)
    assert bill(written, shop).totals == found.totals


def test_a_short_lead_is_made_thicker_before_two_fuses_are_too_much_for_it() -> None:
    # Two of 25 A are 50 A. 33 CFR 183.425 table 5, 90 degC: 14 AWG 30 A, 1.5 times 45 A; 12 AWG 40 A, 60 A. 150 mm of
    # the thicker wire are 3 g of copper more, a note weighs 100 g.
    text = bike(packs(a="bed", b="bed"), {"y": joiner()}, {"bed": FRAME, "motor": FRAME}, [("bed", "motor", 300)])
    found = plan(build_of(text))
    assert isinstance(found, Plan), found
    assert str(found.build.leads["main lead"].gauge) == "12 AWG"
    assert found_of(found.build) == (0, 0)


def test_the_long_link_is_thick_and_the_short_leads_are_not() -> None:
    _, _, found = planned("long")
    by_length = sorted(found.build.leads.values(), key=lambda lead: lead.length_m or 0.0)
    assert {str(lead.gauge) for lead in by_length[:3]} == {"14 AWG"}
    assert found_of(found.build) == (0, 0)


TWO_MOTORS = """controllers:
  left: {voltage: {min: 36 V, max: 60 V}, battery_current: 9 A, low_voltage_cut: 40 V, regen: none, inlet: XT60 pin}
  right: {voltage: {min: 36 V, max: 60 V}, battery_current: 9 A, low_voltage_cut: 40 V, regen: none, inlet: XT60 pin}
"""


def test_two_controllers_get_no_wire_that_is_too_thin_for_its_plug() -> None:
    # Thin wire was taken because the thickest, with which it began, does not go into an XT60 either.
    head, _, rest = bike(
        {each: pack("bed").replace(", place: bed", "") for each in "ab"},
        {"y": joiner().replace("XT60 socket", "[XT60 socket, XT60 socket]").replace("none}", "none, mount: open air}")},
        {},
        [],
        leads={
            "a lead": "{from: a, to: y, length: 300 mm}",
            "b lead": "{from: b, to: y, length: 300 mm}",
            "left lead": "{from: y, to: left, length: 900 mm}",
            "right lead": "{from: y, to: right, length: 900 mm}",
        },
    ).partition("controller:")
    found = plan(build_of(head + TWO_MOTORS + rest.partition("\n")[2]))
    assert isinstance(found, Plan), found
    assert not found.left
    # XT60: no thinner than 14 AWG. Nothing thicker is asked for, and 14 AWG costs the least.
    assert {str(lead.gauge) for lead in found.build.leads.values()} == {"14 AWG"}


def test_a_second_one_of_a_name_with_a_number_gets_a_letter() -> None:
    build = build_of(bike(packs(a="bed"), {"yoke 3": joiner(), "yoke": joiner()}, {"bed": FRAME}, [], at="bed"))
    assert free_name(build, "yoke") == "yoke 2"
    assert free_name(build, "yoke 3") == "yoke 3 b"
    joiners = {**build.joiners, **{f"yoke 3 {chr(98 + n)}": build.joiners["yoke"] for n in range(25)}}
    assert free_name(replace(build, joiners=joiners), "yoke 3") == "yoke 3 aa"


@pytest.mark.parametrize("seed", [2, 5])
def test_dear_coins_choose_what_cheap_ones_do(seed: int) -> None:
    # A price may be up to 1,000,000: six joiners and more of nearly that went beyond the room for a figure.
    text = random_bike(Random(seed), 5, 5, joiner_kinds=0, holds=3)
    fuses = (("blade", 25, 58, 1.1), ("10x38", 25, 1000, 3.2), ("10x38", 30, 1000, 3.2))
    made = []
    for coin, by in (("EUR", 1), ("VND", 19_000)):
        shop = shop_of(shelf((14, 12), fuses, coin, by))
        found = plan(build_of(text, shop), shop)
        assert isinstance(found, Plan), found
        figures = dict(zip(found.objective.names, found.objective.values, strict=True))
        made.append((found.build, figures["weighed"] / by))
    assert made[0][1] == pytest.approx(made[1][1], rel=1e-6)
    assert [(lead.name, lead.gauge, lead.fuse.rating_a) for lead in made[0][0].leads.values()] == [
        (lead.name, lead.gauge, lead.fuse.rating_a) for lead in made[1][0].leads.values()
    ]


LONG = "Fährhafen parcel box behind the seat"
UNBROKEN = "Fährhafenpaketkastenhinterdemsattelrohrx"


@pytest.mark.parametrize(
    ("names", "leads"),
    [
        (("a", "b"), ("a lead", "b lead")),
        (("x" * 35, "b"), (f"{'x' * 35} lead", "b lead")),  # 40 letters, as many as a name may have
        (("x" * 36, "b"), ("pack 1 lead", "b lead")),
        ((LONG, "b"), ("Fährhafen parcel box behind the lead", "b lead")),
        ((f"{LONG}", f"{LONG} 2"), ("pack 1 lead", "pack 2 lead")),  # their first words are the same
        ((UNBROKEN, "b"), ("pack 1 lead", "b lead")),
        (("b", "صندوق البريد خلف المقعد الأيمن في الجزيرة"[:40]), ("b lead", "صندوق البريد خلف المقعد الأيمن في lead")),
    ],
)
def test_a_lead_is_called_after_its_pack_in_whole_words(names: tuple[str, str], leads: tuple[str, str]) -> None:
    build = build_of(bike(packs(a="bed", b="bed"), {"yoke": joiner()}, {"bed": FRAME}, [], at="bed"))
    one, other = build.packs.values()
    build = replace(build, packs={names[0]: one.but(name=names[0]), names[1]: other.but(name=names[1])})
    found = tuple(lead_name(build, name, "yoke") for name in names)
    assert found == leads
    assert all(len(each) <= 40 for each in found)


def test_a_taken_long_name_loses_whole_words_for_its_number() -> None:
    build = build_of(bike(packs(a="bed"), {"yoke": joiner()}, {"bed": FRAME}, [], at="bed"))
    name = "Fährhafen parcel box behind the seat pos"
    assert len(name) == 40
    taken = replace(build, joiners={name: build.joiners["yoke"]})
    assert free_name(taken, name) == "Fährhafen parcel box behind the seat 2"
