"""Times of plans, for the benchmark script; nothing here asserts."""

from __future__ import annotations

from random import Random
from time import perf_counter, process_time

from packyoke.planning.plan import plan
from packyoke.planning.result import Plan
from tests.planning.bikes import build_of, random_bike, shop_of
from tests.support import base_text

SEEDS = range(16)
PACKS, PLACES = 6, 8
MANY = (6, 8, 12)


def wide_shelf() -> str:
    """Twelve wires, two for each of six sizes, ten fuses and six joiners, all with invented prices."""
    lines = ["packyoke-shop: 1", "shelf:", "  wires:"]
    for number, size in enumerate((18, 16, 14, 12, 10, 8)):
        for colour, pole, more in (("red", "plus", 0.1), ("black", "minus", 0.0)):
            price = 0.35 * 1.55**number + more
            lines.append(
                f"    {colour} {size}: {{gauge: {size} AWG, insulation: silicone, "
                f"pole: {pole}, price: {price:.2f} EUR}}"
            )
    lines.append("  fuses:")
    for number, rating in enumerate((20, 25, 30, 35, 40)):
        for family, volts, base in (("class T", 160, 8.0), ("blade", 58, 1.1)):
            price = base * (1 + 0.07 * (number - 2) ** 2)
            lines.append(
                f"    {family} {rating}: {{family: {family}, rating: {rating} A, "
                f"voltage: {volts} V, price: {price:.2f} EUR}}"
            )
    lines.append("  joiners:")
    for inputs in (2, 3, 4):
        for family, amps in (("XT60", 30), ("XT90", 45)):
            lines.append(
                f"    yoke {inputs} {family}: {{type: ideal-diode, ceiling: 65 V, current: {{continuous: {amps} A}}, "
                f"resistance: 2 mohm, blocks_in: positive, inputs: {inputs}, inlets: {family} pin, "
                f"outlet: {family} socket, charge_port: none, price: {20 + 14 * inputs + amps / 5:.2f} EUR}}"
            )
    return "\n".join(lines) + "\n"


def measure_wide() -> dict[str, str]:
    """Time [s of the processor] of a plan from the wide shelf, and what it says of itself."""
    shop = shop_of(wide_shelf())
    found = {}
    for packs in MANY:
        build = build_of(random_bike(Random(packs), packs, PLACES, joiner_kinds=0, holds=packs // 2), shop)
        start = process_time()
        made = plan(build, shop)
        spent = process_time() - start
        said = (made.doubt or "proved") if isinstance(made, Plan) else str(made)
        found[f"plan, {packs} packs, {PLACES} places, 12 wires, 10 fuses, 6 joiners"] = f"{spent:.1f} s, {said}"
    return found


def measure() -> dict[str, float]:
    """Times [s] of whole plans, reading left out: six packs, eight places that hold none to two joiners, two families
    of connectors, the median and the longest of sixteen bikes; how many of them were proved best [-]."""
    times, proved = [], 0
    for seed in SEEDS:
        build = build_of(random_bike(Random(seed), PACKS, PLACES, families=("XT60", "XT90"), holds=2))
        start = perf_counter()
        found = plan(build)
        times.append(perf_counter() - start)
        proved += isinstance(found, Plan) and found.proved
    times.sort()
    saltpan = build_of(base_text("saltpan-planned"))
    start = perf_counter()
    plan(saltpan)
    return {
        f"plan, {PACKS} packs, {PLACES} places, median": times[len(times) // 2],
        f"plan, {PACKS} packs, {PLACES} places, longest": times[-1],
        f"plans proved best, of {len(times)}": float(proved),
        "plan, saltpan-planned": perf_counter() - start,
    }


if __name__ == "__main__":
    for what, value in measure().items():
        print(f"{what}: {value:.3g}")
    for what, said in measure_wide().items():
        print(f"{what}: {said}", flush=True)
