"""Small bikes that press on the planner from every side, and every harness of them, made without the planner."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product
from random import Random

import yaml

from packyoke.analysis.case import Case
from packyoke.analysis.circuit.load import load
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.routes import routes
from packyoke.model import FITTED, Build, Gauge, Joiner, Lead
from packyoke.planning.parts import with_lead
from packyoke.planning.ready import ready
from packyoke.shelf.connectors import connector
from packyoke.shelf.wires import resistance20_ohm_per_m
from tests.planning.bikes import bike, pack
from tests.planning.judging import COPPER_KG_PER_M3, awg_area_m2, missed_v, noted

FUSES = {"T20": (20, 7.5), "T25": (25, 9.5), "T30": (30, 8.0), "T40": (40, 6.0)}
WIRES = {16: 0.75, 14: 0.9, 12: 1.4, 10: 2.2, 8: 3.9}
LAMP = "{from: SOURCE, max: 60 V, current: CURRENT A, fuse: {family: 10x38, rating: 4 A, voltage: 1000 V}}"
YOKE = (
    "{{type: ideal-diode, ceiling: 65 V, current: {{continuous: {amps} A}}, resistance: {mohm} mohm, "
    "blocks_in: positive, inputs: {inputs}, inlets: {family} pin, outlet: {outlet} socket, charge_port: none{price}}}"
)
HOLDER_M = 0.25


@dataclass(frozen=True, slots=True)
class Hard:
    """A bike, the shelf beside it, and what can be chosen from."""

    text: str
    shelf: str
    sizes: tuple[int, ...]
    ratings: tuple[int, ...]
    yokes: tuple[str, ...]
    """Models of the shelf."""


def hard_bike(rng: Random, packs: int) -> Hard:
    """Long ways and short ones, in a warm frame and beside it, mounts that nobody has written, few wires, few fuses."""
    names = tuple("abc"[:packs])
    places = ("bed", "tube", "motor")[: rng.choice([2, 3])]
    priced = rng.random() < 0.6
    sizes = tuple(sorted(rng.sample(sorted(WIRES), rng.choice([1, 2, 3, 4])), reverse=True))
    if not any(size in (12, 14) for size in sizes):
        sizes = (*sizes, 12)
    chosen = sorted(rng.sample(sorted(FUSES), 3))
    families = rng.choice([("XT60",), ("XT90",), ("XT60", "XT90"), ("4 mm bullet", "XT90")])
    held = {
        name: pack(
            rng.choice(places),
            rng.choice([10, 14, 20]),
            rng.choice([each for each in families if each.startswith("XT")]),
            more=rng.choice(["", "fuse: {family: class T, rating: 30 A, voltage: 160 V}"]),
        )
        for name in names
    }
    models = {
        f"yoke {n}": YOKE.format(
            amps=rng.choice([30, 45]),
            mohm=rng.choice([1, 2, 6]),
            inputs=rng.choice([2, 2, 3]),
            family=rng.choice(families),
            outlet=families[-1],
            price=f", price: {rng.randint(30, 60)} EUR" if priced else "",
        )
        for n in range(2)
    }
    mounts = {name: rng.choice(["frame metal", "open air", ""]) for name in places}
    pairs = [(one, other) for n, one in enumerate(places) for other in places[n + 1 :]]
    longest = rng.choice([400, 1500, 5000])
    runs = "".join(
        f"  - {{between: [{one}, {other}], length: {rng.randint(100, longest)} mm"
        f"{', run: in frame' if rng.random() < 0.6 else ''}}}\n"
        for one, other in pairs
    )
    own = {"own": YOKE.format(amps=45, mohm=2, inputs=2, family=families[-1], outlet=families[0], price="")}
    own = own if rng.random() < 0.4 and families[0].startswith("XT") else {}
    lamp = ""
    if rng.random() < 0.5:
        told = LAMP.replace("SOURCE", rng.choice((*names, *own))).replace("CURRENT", str(rng.choice([0.5, 3])))
        lamp = f"accessories:\n  lamp: {told}\n"
    text = bike(
        held,
        own,
        {
            name: f"{{holds: {rng.randint(1, packs)}{f', mount: {mount}' if mount else ''}}}"
            for name, mount in mounts.items()
        },
        [],
        amps=rng.choice([10, 14, 18, 22, 26]),
        inlet=rng.choice([each for each in families if each.startswith("XT")]),
        at=places[-1],
        more=f"runs:\n{runs}{lamp}",
    )
    text = text.replace("warmest: 30", f"warmest: {rng.choice([25, 30, 45])}")
    return Hard(
        text, _shelf(sizes, chosen, models, families, priced), sizes, tuple(FUSES[n][0] for n in chosen), tuple(models)
    )


def _shelf(
    sizes: tuple[int, ...], chosen: list[str], models: Mapping[str, str], families: tuple[str, ...], priced: bool
) -> str:
    def cost(value: float) -> str:
        return f", price: {value:.2f} EUR" if priced else ""

    lines = ["packyoke-shop: 1", "shelf:", "  wires:"]
    for size in sizes:
        for colour, pole, more in (("red", "plus", 0.1), ("black", "minus", 0.0)):
            made = f"gauge: {size} AWG, insulation: silicone, pole: {pole}{cost(WIRES[size] + more)}"
            lines.append(f"    {colour} {size}: {{{made}}}")
    lines.append("  fuses:")
    for name in chosen:
        rating, price = FUSES[name]
        lines.append(f"    {name}: {{family: class T, rating: {rating} A, voltage: 160 V{cost(price)}}}")
    if priced:
        lines.append("  connectors:")
        known = {"XT60": 1.2, "XT90": 2.0, "4 mm bullet": 0.6}
        lines += [f"    {each}: {{price: {known[each]:.2f} EUR}}" for each in families]
    lines.append("  joiners:")
    lines += [f"    {name}: {model}" for name, model in models.items()]
    return "\n".join(lines) + "\n"


Tree = str | tuple["Tree", ...]


def trees(names: tuple[str, ...]) -> Iterator[Tree]:
    """Every way to bring packs together, two or more at a time."""
    if len(names) == 1:
        yield names[0]
        return
    for parts in _splits(names):
        for children in product(*(tuple(trees(part)) for part in parts)):
            yield tuple(children)


def _splits(names: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], ...]]:
    """Every way to divide names into two or more groups."""
    for parts in _parts(names):
        if len(parts) > 1:
            yield parts


def _parts(names: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], ...]]:
    if not names:
        yield ()
        return
    first, *rest = names
    for mask in range(2 ** len(rest)):
        mine = (first, *(name for n, name in enumerate(rest) if mask >> n & 1))
        for others in _parts(tuple(name for name in rest if name not in mine)):
            yield (mine, *others)


def _count(tree: Tree) -> int:
    return 0 if isinstance(tree, str) else 1 + sum(map(_count, tree))


def harnesses(build: Build, models: Mapping[str, Joiner]) -> Iterator[Build]:
    """Every tree with every joiner at every place, its leads with lengths and ends; wires and fuses are open.

    A joiner that the bike has is used once, those of the shelf as often as it takes.
    """
    for tree in trees(tuple(build.packs)):
        count = _count(tree)
        for kinds in product((*build.joiners, *models), repeat=count):
            if any(kinds.count(name) != 1 for name in build.joiners):
                continue
            for spots in product(build.places, repeat=count):
                if any(spots.count(name) > place.holds for name, place in build.places.items()):
                    continue
                choices = [*zip(kinds, spots, strict=True)]
                if _fits(tree, [*choices], {**build.joiners, **models}):
                    yield ready(_drawn(build, tree, choices, models), routes(build))


def _fits(tree: Tree, choices: list[tuple[str, str]], models: Mapping[str, Joiner]) -> bool:
    if isinstance(tree, str):
        return True
    kind, _ = choices.pop(0)
    return len(tree) <= models[kind].inputs and all(_fits(each, choices, models) for each in tree)


def _drawn(build: Build, tree: Tree, choices: list[tuple[str, str]], models: Mapping[str, Joiner]) -> Build:
    waiting = [*choices]

    def draw(build: Build, tree: Tree) -> tuple[Build, str]:
        if isinstance(tree, str):
            return build, tree
        kind, spot = waiting.pop(0)
        name = kind if kind in build.joiners else f"j{len(build.joiners)}"
        put = build.joiners.get(kind) or replace(models[kind], name=name, path=f"joiners.{name}")
        put = replace(put, place_name=spot, mount=build.places[spot].mount or put.mount)
        items = build.items if kind in build.joiners else {**build.items, put.path: kind}
        build = replace(build, joiners={**build.joiners, name: put}, items=items)
        for each in tree:
            build, source = draw(build, each)
            build = with_lead(build, source, name)
        return build, name

    build, last = draw(build, tree)
    return with_lead(build, last, "controller")


def made(lead: Lead, size: float, rating_a: float | None) -> Lead:
    """One lead with a wire, and a fuse in a lead that is long enough for its holder."""
    lead = replace(lead, gauge=Gauge("AWG", float(size)), insulation="silicone")
    if rating_a is None:
        return lead
    fuse = replace(lead.fuse, presence=FITTED, family="class T", rating_a=float(rating_a), voltage_v=160.0)
    return replace(lead, fuse=fuse, length_m=max(HOLDER_M, lead.length_m or 0.0))


class Scale:
    """What a harness weighs, by the rates as they are stated, lead by lead and joiner by joiner.

    5 g of copper a watt, 40 g a joint, 100 g a holder; 100 g a fuse, 30 g half a connector and 900 g a joiner without
    a price; a kilogram of copper costs what it does as wire of the shelf, the middle one of all.
    """

    def __init__(self, shelf: str, given: Build) -> None:
        self.given = given
        read = yaml.safe_load(shelf)["shelf"]
        self.prices = {
            (section, name): float(item["price"].removesuffix(" EUR"))
            for section, items in read.items()
            for name, item in items.items()
            if "price" in item
        }
        sizes = sorted({int(item["gauge"].split()[0]) for item in read["wires"].values()})
        self.priced = bool(self.prices)
        self.metre = {
            size: sum(self.prices.get(("wires", f"{colour} {size}"), 0.0) for colour in ("red", "black"))
            for size in sizes
        }
        kilos = sorted(self.metre[size] / (2 * awg_area_m2(size) * COPPER_KG_PER_M3) for size in sizes)
        self.kg = kilos[len(kilos) // 2] if self.priced else 1.0

    def lead(self, case: Case, lead: Lead) -> float:
        """One lead, what it loses and the path of the joiner that it goes into included."""
        assert lead.gauge is not None
        assert lead.length_m is not None
        halves = solders = 0.0
        ohm = 2 * lead.length_m * resistance20_ohm_per_m(*lead.gauge)
        for end in lead.ends:
            assert end is not None
            found = connector(end.family)
            assert found is not None
            ohm += sum(found.contact_resistance_ohm)
            halves += self.prices.get(("connectors", end.family), 0.030 * self.kg)
            solders += 2
        fuse = 0.0
        if lead.fuse.presence == FITTED:
            solders += 2
            fuse = self.prices.get(("fuses", f"T{lead.fuse.rating_a:g}"), 0.100 * self.kg) + 0.100 * self.kg
        whole = sum(pack.capacity_coulomb or 0.0 for pack in case.build.packs.values())
        behind = harness(case).packs_behind[lead.path]
        share = sum(case.build.packs[each].capacity_coulomb or 0.0 for each in behind) / whole
        loss_w = (load(case, lead.path).continuous_a * share) ** 2 * ohm
        if lead.target in case.build.joiners:
            path_a = load(case, f"joiners.{lead.target}").continuous_a * share
            loss_w += path_a**2 * (case.build.joiners[lead.target].resistance_ohm or 0.0)
        wire = self.metre.get(int(lead.gauge.size), 0.0) * lead.length_m
        if not self.priced:
            wire = 2 * lead.length_m * awg_area_m2(lead.gauge.size) * COPPER_KG_PER_M3
        return wire + halves + fuse + self.kg * (0.005 * loss_w + 0.040 * solders)

    def joiners(self, build: Build) -> float:
        bought = [name for name in build.joiners if name not in self.given.joiners]
        return sum(self.prices.get(("joiners", build.items[f"joiners.{name}"]), 0.9 * self.kg) for name in bought)

    def whole(self, build: Build) -> float:
        """All of a build, volts that are missed too, 10 kg each, and notes of a wire too thin for two fuses, 100 g."""
        case = Case(build)
        leads = sum(self.lead(case, each) for each in build.leads.values())
        return leads + self.joiners(build) + self.kg * (10.0 * missed_v(build) + 0.100 * noted(build))
