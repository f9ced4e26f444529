"""Shop files, drawn by number from the field table: what builds inherit, and the shelf that plans and quotes draw from.

Names of items are fixed, so that a build may take one over with `part:`.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from packyoke.api import Shop, load_shop
from tests.properties.drawn_agreeing import agreeing
from tests.properties.drawn_values import FAMILIES, ROWS, Dice, Tree, as_text, end, lines, path_row, put, run, value

PARTS = {
    "packs": ("long pack", "short pack"),
    "joiners": ("small yoke", "triple"),
    "chargers": ("slow", "fast"),
    "controllers": ("plain", "strong"),
}
WIRES = ("red 12", "black 12", "red 10", "either 8")
_STOCK = {
    "price": ("1.40 EUR", "0 EUR", "90 EUR"),
    "minutes": ("2 min", "0 min", "1 h", "30 s"),
    "lead_time": ("10 days", "1 day", "2 weeks"),
    "step": ("1", "10"),
    "stock": ("0", "1", "4", "40"),
    "source": ("maker's data sheet", "=1+1"),
    "status": ("read", "derived", "practice", "memory"),
}
_RATES = {
    "labour": ("60 EUR/h", "0 EUR/h"),
    "mark_up": ("25 %", "0 %"),
    "tax": ("20 %", "0 %"),
    "valid": ("14 days",),
    "prices": ("before tax", "with tax"),
    "rounding": ("0.05", "1"),
}
SHOPS = tuple(range(7000, 7010))
"""Numbers of the shop files that drawn builds go with."""


def _stock(dice: Dice, metres: bool = False) -> Tree:
    """Price, stock and the like of an item; a wire is counted in metres."""
    found = {}
    for key, said in _STOCK.items():
        if dice.random() < 0.5:
            text = dice.choice(said)
            found[key] = f"{text} m" if metres and key in ("step", "stock") else text
    return found


def _pack(dice: Dice) -> Tree:
    skip = ("like", "part", "owner", "rack", "place", "outlet", "charge_inlet", "fuse", "full_charge", "charger_label")
    pack = lines(dice, "packs", skip)
    pack |= {"chemistry": "NMC", "series": dice.choice(("13", "13", "14")), "label": "48 V", "cut_off": "39 V"}
    pack["outlet"] = end(dice, "XT60", "socket")
    pack["fuse"] = dice.choice(("none", {"family": "10x38", "rating": "30 A", "voltage": "1000 V"}))
    return pack


def _joiner(dice: Dice, inputs: int) -> Tree:
    kept = ("ceiling", "marked", "current", "mount", "body_limit", "blocks_in")
    return lines(dice, "joiners", only=kept) | {
        "type": "ideal-diode",
        "inputs": str(inputs),
        "resistance": "2 mohm",
        "inlets": "XT60 pin",
        "outlet": "XT60 socket",
        "charge_port": "none",
    }


def _controller(dice: Dice) -> Tree:
    kept = ("power_limit", "low_voltage_cut", "capacitance", "precharge", "switched_by")
    return lines(dice, "controller", only=kept) | {
        "voltage": {"min": "36 V", "max": "63 V"},
        "battery_current": dice.choice(("15 A", "25 A", "60 A")),
        "regen": "none",
        "inlet": "XT60 pin",
    }


def shop(seed: int) -> Tree:
    """The shop file of a number."""
    dice = Dice(seed)
    dice.odd, dice.anywhere, dice.guessed = 0.0, 0.0, 0.0
    shelf: Tree = {
        "packs": {name: _pack(dice) | _stock(dice) for name in PARTS["packs"]},
        "joiners": {name: _joiner(dice, at + 2) | _stock(dice) for at, name in enumerate(PARTS["joiners"])},
        "controllers": {name: _controller(dice) | _stock(dice) for name in PARTS["controllers"]},
        "chargers": {
            name: lines(dice, "chargers", only=("output", "current", "plug", "mains_power")) | _stock(dice)
            for name in PARTS["chargers"]
        },
        "connectors": {
            name: lines(dice, "connectors", ("mates",)) | _stock(dice) for name in dice.sample(FAMILIES[:3], 2)
        },
        "wires": {},
        "fuses": {},
        "sundries": {},
    }
    for name in WIRES:
        colour, gauge = name.split()
        pole = {"red": "plus", "black": "minus"}.get(colour, "either")
        insulation = value(dice, path_row("shop: shelf.wires.NAME.insulation"))
        wire = {"gauge": f"{gauge} AWG", "insulation": insulation, "pole": pole}
        shelf["wires"][name] = wire | ({"colour": colour} if dice.one_in(2) else {}) | _stock(dice, metres=True)
    for use in path_row("shop: shelf.sundries.NAME.use").words:
        shelf["sundries"][f"the {use}"] = {"use": use} | _stock(dice)
    for rating in (20, 25, 30, 40):
        fuse = {"family": dice.choice(("10x38", "class T", "battery link")), "rating": f"{rating} A"}
        more = {"voltage": "160 V"} | ({"holder": "the holder"} if dice.one_in(2) else {})
        shelf["fuses"][f"F{rating}"] = fuse | more | _stock(dice)
    tree: Tree = {"packyoke-shop": "1", "name": "Drawn bench", "contact": "bench@harbour.example"}
    tree["ratings"] = "cautious"
    agreeing(1, shelf)
    tree["shelf"] = {key: shelf[key] for key in shelf if not dice.one_in(9) or key == "wires" or key in PARTS}
    if "sundries" not in tree["shelf"]:
        for fuse in tree["shelf"].get("fuses", {}).values():
            fuse.pop("holder", None)
    tree["rates"] = {key: dice.choice(said) for key, said in _RATES.items() if dice.random() < 0.7}
    tree["defaults"] = _defaults(dice)
    return tree


@lru_cache(maxsize=16)
def shop_file(number: int | None) -> Shop | None:
    """The shop file of a number as it is read. Raises AssertionError when that one has mistakes."""
    if number is None:
        return None
    read = load_shop(as_text(shop(number)), "packyoke-shop.yaml")
    assert isinstance(read, Shop), [each.message for each in read]
    return read


def _defaults(dice: Dice) -> Tree:
    found: Tree = {}
    for way, field in ROWS["shop"]:
        if way[0] == "defaults" and dice.one_in(2):
            name = field.path.rpartition(".")[2]
            said: Any = value(dice, path_row(name)) if name in ("region", "warmest", "coldest") else None
            if name == "all_leads":
                said = {"insulation": dice.choice(("PVC", "silicone")), "run": run(dice, [])}
            elif name == "ride":
                said = {"everyday": lines(dice, "ride", ("gpx", "known"))}
            put(found, [name], said)
    return found
