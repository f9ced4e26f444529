"""What hangs on a drawn harness, charges it, rides on it, and is written of it: lamps, chargers, rides, records."""

from __future__ import annotations

from typing import Any, Protocol

from tests.properties.drawn_shop import PARTS
from tests.properties.drawn_values import Dice, Tree, family_of, lines, path_row, run, value

TRACK = "round.gpx"
"""A track beside the build; whoever writes the build writes it too."""
TRACK_TEXT = (
    '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>'
    + "".join(f'<trkpt lat="{54 + at / 500}" lon="8.{at:03}"><ele>{at % 7}</ele></trkpt>' for at in range(60))
    + "</trkseg></trk></gpx>"
)
_VALUES = {
    "voltage": ("51.2 V", "28 V", "109 V", "54.6 V", "0 V", "3 V"),
    "voltage under load": ("47 V", "30 V"),
    "resistance": ("90 mohm", "2 ohm", "1 mohm"),
    "drop": ("45 mV", "3 V", "-0.2 V", "0 V"),
    "blocks": ("yes", "no"),
    "polarity": ("yes", "no"),
    "capacity": ("12 Ah", "1 Ah", "40 Ah"),
    "temperature": ("60 degC", "110 degC", "-12 degC"),
    "fuse": ("30 A", "yes", "no"),
}


class Drawn(Protocol):
    """What is known of the build by then."""

    dice: Dice
    family: str
    packs: list[str]
    joiners: list[str]
    controllers: list[str]
    leads: dict[str, Tree]
    shop: int | None

    def full_v(self) -> float: ...

    def _fuse(self, pack: bool) -> Any: ...


def around(drawing: Drawn, tree: Tree, places: list[str], racks: list[str]) -> None:
    """Fill the sections beside the harness."""
    dice = drawing.dice
    _accessories(drawing, tree)
    _chargers(drawing, tree)
    if drawing.family == "dock blade" or dice.one_in(10):
        _connectors(drawing, tree)
    if dice.one_in(8):
        packs = drawing.packs
        tree["sets"] = [dice.sample(packs, dice.randint(1, len(packs))) for _ in range(dice.randint(1, 3))]
    if places:
        tree["places"] = {name: lines(dice, "places", ("rack",)) for name in places}
        for place in tree["places"].values():
            if racks and dice.one_in(4):
                place["rack"] = dice.choice(racks)
        tree["runs"] = [
            {"between": dice.sample(places, 2), "length": f"{dice.randint(40, 1500)} mm"}
            | ({"run": run(dice, [])} if dice.one_in(3) else {})
            for _ in range(dice.randint(0, 5))
        ]
    _rides(drawing, tree)
    _records(drawing, tree)


def _accessories(drawing: Drawn, tree: Tree) -> None:
    dice = drawing.dice
    ties = [*drawing.packs, *drawing.joiners, *drawing.leads]
    count = dice.choice((0, 0, 0, 1, 1, 2, 3, 5)) if not dice.one_in(60) else dice.randint(20, 80)
    for number in range(count):
        tie: Any = dice.choice(ties)
        if dice.one_in(6):
            tie = dice.sample(ties, min(len(ties), dice.choice((1, 2, 3))))
        part = {"from": tie} | lines(dice, "accessories", ("from", "fuse"))
        if dice.one_in(2):
            part["fuse"] = drawing._fuse(False)
        tree.setdefault("accessories", {})[f"lamp {number}"] = part


def _chargers(drawing: Drawn, tree: Tree) -> None:
    """Chargers in every place: on a pack, through a joiner, by a split lead, copied, of the shelf."""
    dice = drawing.dice
    for number in range(dice.choice((0, 1, 1, 1, 2, 3))):
        name = f"brick {number}"
        if number and dice.one_in(4):
            tree["chargers"][name] = {"like": "brick 0"} | ({"current": "9 A"} if dice.one_in(2) else {})
            continue
        if drawing.shop and dice.one_in(4):
            tree.setdefault("chargers", {})[name] = {"part": dice.choice(PARTS["chargers"])}
            continue
        part = lines(dice, "chargers", ("fits", "through", "y_lead", "like", "part", "output"))
        if dice.random() >= dice.left_out:
            usual = f"{drawing.full_v():.1f} V"
            part["output"] = usual if not dice.one_in(5) else value(dice, path_row("chargers.*.output"))
        if dice.one_in(3):
            inlets = [pack.get("charge_inlet") for pack in tree["packs"].values()]
            outlets = [pack.get("outlet") for pack in tree["packs"].values()]
            part["plug"] = family_of(dice.choice([*filter(None, inlets), *filter(None, outlets), "XLR 3"]))
        if dice.one_in(2):
            part["fits"] = dice.sample(drawing.packs, dice.randint(0, len(drawing.packs)))
        if drawing.joiners and dice.one_in(4):
            part["through"] = dice.choice(drawing.joiners)
        if dice.one_in(6):
            part["y_lead"] = dice.sample(drawing.packs, dice.randint(1, len(drawing.packs)))
        tree.setdefault("chargers", {})[name] = part


def _connectors(drawing: Drawn, tree: Tree) -> None:
    dice = drawing.dice
    part = lines(dice, "connectors", ("mates",))
    if dice.one_in(3):
        part["mates"] = dice.sample(["XT60", "XT90", "dock blade"], dice.choice((1, 2)))
    tree["parts"] = {"connectors": {dice.choice(("dock blade", "some plug", "XT60")): part}}


def _rides(drawing: Drawn, tree: Tree) -> None:
    dice = drawing.dice
    for name in dice.sample(("everyday", "loaded", "hill round"), dice.choice((0, 0, 1, 3))):
        ride = lines(dice, "ride", ("gpx", "known"))
        if dice.one_in(5):
            ride["gpx"] = TRACK
            if not dice.one_in(9):
                ride.pop("hills", None)
        if dice.one_in(4):
            known = [_known(drawing) for _ in range(dice.choice((1, 2)))]
            ride["known"] = known[0] if dice.one_in(2) else known
        tree.setdefault("ride", {})[name] = ride


def _known(drawing: Drawn) -> Tree:
    """One ride that was ridden."""
    dice = drawing.dice
    packs = drawing.packs
    known: Tree = {
        "packs": dice.sample(packs, dice.randint(1, len(packs))),
        "from": f"{dice.randint(75, 100)} %",
        "to": f"{dice.randint(0, 60)} %",
        "distance": f"{dice.choice((5, 18, 40, 70))} km",
    }
    if dice.one_in(3):
        known["air"] = f"{dice.randint(-10, 30)} degC"
    if dice.one_in(5):
        known["on"] = TRACK
    return known


def _records(drawing: Drawn, tree: Tree) -> None:
    """Readings, good and bad, of every kind on every kind of part; acceptances, some out of date."""
    dice = drawing.dice
    parts = ["bike", "build", "controller" if drawing.controllers == ["controller"] else "controllers.left"]
    for section, names in (("packs", drawing.packs), ("joiners", drawing.joiners), ("leads", list(drawing.leads))):
        parts += [f"{section}.{name}" for name in names]
        parts += [f"{section}.{name}.fuse" for name in names if "fuse" in tree.get(section, {}).get(name, {})]
    fitting = {
        "drop": "leads.",
        "blocks": "joiners.",
        "polarity": "leads.",
        "capacity": "packs.",
        "voltage": "packs.",
        "resistance": "packs.",
        "voltage under load": "packs.",
        "fuse": "packs.",
    }
    for _ in range(dice.choice((0, 0, 0, 1, 3, 8))):
        what = dice.choice(list(_VALUES))
        usual = [part for part in parts if part.startswith(fitting.get(what, ""))]
        part = dice.choice(usual if usual and not dice.one_in(4) else parts)
        said = dice.choice(_VALUES[what])
        reading = {"date": "2026-11-20", "part": part, "what": what, "value": said}
        if part.startswith("joiners.") and dice.one_in(2):
            leads = [name for name, lead in drawing.leads.items() if f"joiners.{lead['to']}" == part]
            reading["inlet"] = dice.choice([*leads, "1"])
        tree.setdefault("measured", []).append(reading | ({"at": "20 A"} if dice.one_in(2) else {}))
    for _ in range(dice.choice((0, 0, 0, 1, 3))):
        said = {key: value(dice, path_row(f"accept.*.{key}")) for key in ("rule", "found", "because", "by")}
        said |= {"part": dice.choice(parts), "until": dice.choice(("2027-12-31", "2026-01-01"))}
        if dice.random() < dice.odd * 5:
            del said[dice.choice(list(said))]
        tree.setdefault("accept", []).append(said)
