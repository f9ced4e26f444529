"""Items of the shelf of which a line is missing or a guess: a plan, or why there is none, and never a failure."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from packyoke.api import load
from packyoke.buildfile.reading import Shop, load_shop
from packyoke.model import Build
from packyoke.planning.plan import plan
from packyoke.planning.result import NoPlan, Plan, Refusal
from tests.properties.drawn_values import as_text, flow
from tests.support import EXAMPLES

TEXT = (EXAMPLES / "saltpan-planned.yaml").read_text(encoding="utf-8")
SHOP = flow((Path(__file__).parent / "shop.yaml").read_text(encoding="utf-8"))
DIODE = {
    "type": "diode",
    "ceiling": "65 V",
    "current": {"continuous": "30 A"},
    "forward_voltage": "0.5 V",
    "mount": "frame metal",
    "blocks_in": "positive",
    "inlets": "XT60 pin",
    "outlet": "XT60 socket",
    "charge_port": "none",
    "price": "40 EUR",
}
ITEMS = {"wires": "red 14", "fuses": "T25", "connectors": "XT60", "joiners": "small yoke"}


def lines() -> Iterator[tuple[str, str, str]]:
    """Section, item and line of one item of each kind; of joiners a diode as well."""
    for section, name in ITEMS.items():
        yield from ((section, name, key) for key in SHOP["shelf"][section][name])
    yield from (("joiners", "a.b", key) for key in DIODE)


def shelf(section: str, name: str, key: str, guessed: bool) -> dict[str, Any]:
    tree = deepcopy(SHOP)
    items = tree["shelf"][section]
    if section == "joiners":  # the only one, so that it is what a plan is made of
        tree["shelf"][section] = items = {name: deepcopy(items.get(name, DIODE))}
    if guessed:
        items[name][key] += "?"
    else:
        del items[name][key]
    return tree


@pytest.mark.parametrize("guessed", [False, True], ids=["missing", "a guess"])
@pytest.mark.parametrize(("section", "name", "key"), [*lines()])
def test_a_line_of_an_item(section: str, name: str, key: str, guessed: bool) -> None:
    if guessed and not isinstance((SHOP["shelf"][section].get(name) or DIODE)[key], str):
        return
    shop = load_shop(as_text(shelf(section, name, key, guessed)), "shop.yaml")
    if not isinstance(shop, Shop):
        assert all(each.message for each in shop)
        return
    build = load(TEXT, "x.yaml", shop=shop)
    assert isinstance(build, Build)
    assert isinstance(plan(build, shop), Plan | NoPlan | Refusal)
