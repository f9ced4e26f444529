"""Lines that no build takes over from a shop file are facts; the families that connectors go onto are known ones."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from packyoke.buildfile.reading import Shop, load, load_shop
from packyoke.model import Build
from tests.support import edited

HEAD = "packyoke-shop: 1\nname: Pier shed\n"
WIRE: dict[str, Any] = {"gauge": "12 AWG", "insulation": "silicone", "price": "3 EUR"}
FUSE = {"family": "10x38", "rating": "60 A", "voltage": "1000 V"}
BLADE = {"per_contact": "60 A", "contacts": "pin and socket"}
NONE_HERE = "None is read here. Find it out, or leave the line out."


def shop_of(data: dict[str, Any]) -> Any:
    return load_shop(HEAD + yaml.safe_dump(data, allow_unicode=True), "shop")


def shelf_of(section: str, lines: dict[str, Any]) -> dict[str, Any]:
    return {"shelf": {section: {"one": lines}}}


@pytest.mark.parametrize(
    ("data", "field"),
    [
        ({"ratings": "cautious ?"}, "ratings"),
        ({"rates": {"labour": "60 EUR/h", "prices": "with tax ?"}}, "rates.prices"),
        *(
            (shelf_of("wires", WIRE | {key: value}), f"shelf.wires.one.{key}")
            for key, value in (
                ("gauge", "12 AWG ?"),
                ("gauge", "about 12 AWG"),  # with a question mark, as was advised, it was dropped in silence
                ("insulation", "silicone ?"),
                ("price", "3 EUR ?"),
                ("price", "~3 EUR"),
                ("stock", "4 m ?"),
                ("stock", "4 ?"),
                ("step", "4 m ?"),
                ("minutes", "4 min ?"),
                ("lead_time", "4 d ?"),
                ("status", "read ?"),
            )
        ),
        (shelf_of("fuses", FUSE | {"rating": "60 A?"}), "shelf.fuses.one.rating"),
        (shelf_of("fuses", FUSE | {"family": "10x38 ?"}), "shelf.fuses.one.family"),
        (shelf_of("connectors", BLADE | {"ceiling": "60 V ?"}), "shelf.connectors.one.ceiling"),
        (shelf_of("packs", {"label": "48 V", "price": "400 EUR ?"}), "shelf.packs.one.price"),
    ],
)
def test_a_guess_that_nobody_would_ask_for_is_told(data: dict[str, Any], field: str) -> None:
    found = shop_of(data)
    assert [(each.field, each.do) for each in found] == [(field, NONE_HERE)]
    assert found[0].message.endswith("is a guess")


def test_a_guess_that_a_build_takes_over_is_asked_for_there() -> None:
    shop = shop_of(shelf_of("packs", {"label": "48 V", "chemistry": "NMC ?", "charge": "4 A ?"}))
    assert isinstance(shop, Shop), shop
    build = load("packyoke: 1\nname: a\npacks: {keel: {part: one}}\n", "x.yaml", shop=shop)
    assert isinstance(build, Build), build
    assert {key.attr for key in build.guesses} == {"chemistry", "charge_a"}


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ("XT60", ("XT60",)),
        ("xt-60", ("XT60",)),  # went onto nothing, as written
        ("Dock Blade", ("dock blade",)),
        ("harbour plug", ("harbour plug",)),  # of a bike that this file may not describe
        ("XT6O", "Did you mean  XT60 ?"),
        ("dok blade", "Did you mean  dock blade ?"),
        ("\u0425\u042260", "Did you mean  XT60 ?"),
        ("XT60 ?", "None is read here. Find it out, or leave it out."),
        ("XT60 socket", "Write the name alone:  XT60"),
        ("genderless", "Write them with it:  genderless 45 A"),
        ("none", "Leave the line out: a connector goes onto its own kind."),
    ],
)
def test_a_family_that_a_connector_goes_onto(said: str, read: str | tuple[str, ...]) -> None:
    described = {"pier blade": BLADE | {"mates": [said]}, "dock blade": BLADE}
    build: Any = load(edited("skerry-long-tail", {"parts": {"connectors": described}}), "x.yaml")
    shop = shop_of({"shelf": {"connectors": described}})
    if isinstance(read, tuple):
        assert isinstance(shop, Shop), shop
        assert build.connectors["pier blade"].mates == read
    else:
        for place, found in (("parts", build), ("shelf", shop)):
            told = [(each.field, each.do) for each in found]
            assert told == [(f"{place}.connectors.pier blade.mates", read)]
