"""Bikes to be planned, as text: packs at places, joiners to be had, runs between places."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from random import Random

from packyoke.buildfile.reading import Shop, load, load_shop
from packyoke.model import Build

PACK = (
    "chemistry: NMC, series: 13, cut_off: 39 V, condition: sound, cells: power, rack: none, "
    "bms: {{charge_path: common, data: none, wakes: always}}, discharge: 40 A, charge: 5 A, "
    "capacity: {capacity} Ah, resistance: {mohm} mohm, outlet: {outlet} socket, place: {place}{more}"
)
JOINER = (
    "type: ideal-diode, ceiling: 65 V, current: {{continuous: {amps} A}}, resistance: {mohm} mohm, "
    "blocks_in: positive, inputs: {inputs}, inlets: {inlets}, outlet: {outlet}, charge_port: none"
)


def pack(place: str, capacity: float = 14, outlet: str = "XT60", mohm: int = 120, more: str = "") -> str:
    text = PACK.format(capacity=capacity, mohm=mohm, outlet=outlet, place=place, more=f", {more}" if more else "")
    return f"{{{text}}}"


def joiner(amps: int = 30, family: str = "XT60", inputs: int = 2, mohm: int = 2, outlet: str = "") -> str:
    text = JOINER.format(
        amps=amps, mohm=mohm, inputs=inputs, inlets=f"{family} pin", outlet=f"{outlet or family} socket"
    )
    return f"{{{text}}}"


def section(name: str, entries: Mapping[str, str]) -> str:
    return f"{name}:\n" + "".join(f"  {key}: {value}\n" for key, value in entries.items()) if entries else ""


def bike(
    packs: Mapping[str, str],
    joiners: Mapping[str, str],
    places: Mapping[str, str],
    runs: Sequence[tuple[str, str, int]],
    *,
    amps: float = 18,
    inlet: str = "XT60",
    at: str = "motor",
    leads: Mapping[str, str] | None = None,
    more: str = "",
) -> str:
    """The text of a build file."""
    controller = (
        f"{{voltage: {{min: 36 V, max: 60 V}}, battery_current: {amps} A, low_voltage_cut: 40 V, regen: none, "
        f"inlet: {inlet} pin, capacitance: 0.5 mF, place: {at}}}"
    )
    listed = "".join(f"  - {{between: [{one}, {other}], length: {mm} mm}}\n" for one, other, mm in runs)
    return (
        "packyoke: 1\nname: a bike to be planned\nregion: EU\nwarmest: 30 degC\ncoldest: 0 degC\n"
        "bike: {mass: 30 kg, drive: {type: mid motor}}\n"
        + section("packs", packs)
        + section("joiners", joiners)
        + section("leads", leads or {})
        + f"controller: {controller}\n"
        + section("places", places)
        + (f"runs:\n{listed}" if runs else "")
        + more
    )


def build_of(text: str, shop: Shop | None = None) -> Build:
    found = load(text, "planned.yaml", shop=shop)
    assert isinstance(found, Build), found
    return found


def shop_of(text: str) -> Shop:
    found = load_shop(text, "packyoke-shop.yaml")
    assert isinstance(found, Shop), found
    return found


def random_bike(
    rng: Random,
    packs: int,
    places: int,
    *,
    joiner_kinds: int = 1,
    families: Sequence[str] = ("XT60",),
    holds: int = 1,
    more_alike: int = 0,
) -> str:
    """Places in a plane with random runs that connect them all; packs and the motor anywhere."""
    names = [f"spot {n}" for n in range(places)]
    at = {name: (rng.uniform(0, 1200), rng.uniform(0, 800)) for name in names}

    def apart(one: str, other: str) -> int:
        (x, y), (u, v) = at[one], at[other]
        return max(30, round(abs(x - u) + abs(y - v)))

    runs = [(names[n], names[rng.randrange(n)]) for n in range(1, places)]
    runs += [tuple(rng.sample(names, 2)) for _ in range(places)]  # type: ignore[misc]
    mounts = [rng.choice(["frame metal", "open air"]) for _ in names]
    return bike(
        {f"p{n}": pack(rng.choice(names), rng.choice([10, 14, 17.5]), rng.choice(families)) for n in range(packs)},
        {f"j{n}": joiner(30 + 10 * n, families[n % len(families)], mohm=2 + n) for n in range(joiner_kinds)}
        | {f"j{joiner_kinds + n}": "{like: j0}" for n in range(more_alike)},
        {
            name: f"{{holds: {rng.randint(0, holds) if n else holds}, mount: {mount}}}"
            for n, (name, mount) in enumerate(zip(names, mounts, strict=True))
        },
        [(one, other, apart(one, other)) for one, other in runs],
        at=rng.choice(names),
        inlet=rng.choice(families),
    )
