"""How long a quote takes over a full shelf: 40 packs, 6 chargers, 4 joiners, 12 wires, 20 fuses, 30 connectors."""

from __future__ import annotations

import time

from packyoke.buildfile.reading import Shop, load, load_shop
from packyoke.model import Build
from packyoke.planning.quoting.search import Quote, Wish, quote
from tests.support import EXAMPLES

COUNTER = EXAMPLES / "counter"
JOINER = (
    "{type: diode, inputs: %d, ceiling: 70 V, current: {continuous: 40 A}, forward_voltage: 0.5 V, mount: frame metal, "
    "blocks_in: positive, charge_port: none, inlets: XT60 pin, outlet: XT60 socket, price: %d EUR, minutes: 25 min}"
)


def full_shelf() -> Shop:
    """The example's shelf with everything else there may be on one."""
    text = (COUNTER / "packyoke-shop.yaml").read_text(encoding="utf-8")
    wires = "".join(
        f"    {colour} {size}: {{gauge: {size} AWG, insulation: silicone, pole: {pole}, price: {price} EUR}}\n"
        for size, price in ((16, 0.8), (8, 3.6), (6, 5.2))
        for colour, pole in (("red", "plus"), ("black", "minus"))
    )
    fuses = "".join(
        f"    more {amps} {kind}: {{family: {family}, rating: {amps} A, voltage: {volts} V, price: {price} EUR}}\n"
        for kind, family, volts, price in (("a", "10x38", 1000, 4.1), ("b", "class T", 160, 18.0))
        for amps in (30, 35, 40, 45, 50, 60, 70, 80)
    )
    plugs = "".join(
        f"    dock {number}: {{per_contact: {10 + number} A, contacts: pin and socket, price: {10 + number}.50 EUR}}\n"
        for number in range(28)
    )
    joiners = "".join(f"    diode {number}: {JOINER % (number, 15 * number)}\n" for number in (2, 3))
    for section, more in (("wires", wires), ("fuses", fuses), ("connectors", plugs), ("joiners", joiners)):
        text = text.replace(f"  {section}:\n", f"  {section}:\n{more}", 1)
    found = load_shop(text, "full")
    assert isinstance(found, Shop), found
    return found


def measure() -> dict[str, float]:
    """CPU seconds of a quote with up to two packs added."""
    shop = full_shelf()
    build = load((COUNTER / "parcel-bike.yaml").read_bytes(), "bike", shop=shop)
    assert isinstance(build, Build), build
    found = {}
    for name, reach_m in (("80 km", 80_000.0), ("130 km", 130_000.0)):
        start = time.process_time()
        made = quote(build, shop, Wish(ride="loaded", reach_m=reach_m))
        found[f"quote for {name}, 40 packs, up to two added"] = time.process_time() - start
        assert isinstance(made, Quote)
        assert made.front
    return found


if __name__ == "__main__":
    for line, seconds in measure().items():
        print(f"{line}: {seconds:.2f} s")
