"""Whole builds: how packs, joiners, leads and controllers hang together, real ones and ones that nobody should draw.

A number gives a build, always the same one. What each line says is drawn from its row of the field table.
"""

from __future__ import annotations

from typing import Any

from packyoke.api import Build, Finding, load
from tests.properties.drawn_agreeing import agreeing
from tests.properties.drawn_shop import PARTS, SHOPS, WIRES, shop_file
from tests.properties.drawn_use import around
from tests.properties.drawn_values import FAMILIES, ROWS, TODAY, Dice, Tree, as_text, end, lines, path_row, run, value

_NAMES = (
    "keel",
    "bow",
    "stern",
    "port",
    "starboard",
    "Ost-See",
    "no 5",
    "o'mast",
    "Überholz",
    "a",
    "x" * 40,
    "deck box",
    *(f"p{n}" for n in range(12)),
)
_PLACES = ("seat tube", "rear rack", "box", "motor")
_ALONE = ("series", "full_charge", "charger_label")
_BLOCKED_BY_TYPE = {
    "plain": ("forward_voltage", "blocks_in", "makes"),
    "selector": ("forward_voltage", "blocks_in"),
    "diode": ("resistance", "drop", "makes", "bonded"),
    "ideal-diode": ("forward_voltage", "makes", "bonded"),
}


def _insulation(dice: Dice) -> Any:
    return value(dice, path_row("leads.*.insulation"))


class Drawing:
    """One build on its way: the parts so far, and the temper of the whole."""

    def __init__(self, seed: int) -> None:
        self.dice = dice = Dice(seed)
        self.family = dice.choice(FAMILIES[:6])
        self.cells = dice.choice(
            (
                ("NMC", "13"),
                ("NMC", "14"),
                ("NMC", "10"),
                ("LFP", "16"),
                ("NMC", "20"),
                ("LTO", "20"),
                ("LMO blend", "13"),
                ("NCA", "13"),
            )
        )
        names = dice.sample(_NAMES, len(_NAMES))
        self.packs = [names.pop() for _ in range(dice.choice((1, 2, 2, 2, 3, 3, 4, 5, 6)))]
        self.joiners = [f"yoke {n}" for n in range(dice.choice((0, 1, 1, 1, 1, 2, 2, 3, 5)))]
        self.controllers = dice.choice((["controller"],) * 8 + (["left", "right"], ["left", "right", "third"]))
        self.nested = dice.one_in(5)
        self.leads: dict[str, Tree] = {}
        self.inlets: dict[str, int] = {}
        self.shop = dice.choice(SHOPS) if dice.one_in(5) else None

    def build(self) -> Tree:
        dice = self.dice
        self._wire()
        tree: Tree = {"packyoke": "1", "name": f"drawn {dice.randint(0, 999)}"}
        tree |= lines(dice, "file", skip=("packyoke", "name", "sets", "runs", "measured", "accept"))
        racks = ["rear", "front"][: dice.choice((0, 0, 1, 2))]
        places = list(_PLACES[: dice.choice((0, 0, 0, 2, 4))])
        if dice.one_in(2):
            tree["bike"] = lines(dice, "bike")
        if racks:
            tree["racks"] = {name: lines(dice, "racks") for name in racks}
        tree["packs"] = {name: self._pack(name, racks, places) for name in self.packs}
        if self.joiners:
            tree["joiners"] = {name: self._joiner(name, places) for name in self.joiners}
        if dice.one_in(4):
            tree["all_leads"] = {"run": run(dice, [])} if dice.one_in(3) else {"insulation": _insulation(dice)}
            if self.shop and dice.one_in(2):
                tree["all_leads"] = {"kind": dice.choice(WIRES)}
        tree["leads"] = {name: self._lead(lead) for name, lead in self.leads.items()}
        controllers = {name: self._controller(places) for name in self.controllers}
        if self.controllers == ["controller"]:
            tree["controller"] = controllers["controller"]
        else:
            tree["controllers"] = controllers
        around(self, tree, places, racks)
        if dice.random() < dice.left_out / 4:
            del tree[dice.choice([key for key in tree if key not in ("packyoke", "name")])]
        if dice.random() < dice.odd * 5:
            tree[dice.choice(list(tree))] = dice.choice(("x", [], {}, {"x": "y"}))
        return tree

    def _wire(self) -> None:
        """Who feeds whom: trees, chains, straight, nothing at all, and what nobody should draw."""
        dice, packs, joiners, controllers = self.dice, self.packs, self.joiners, self.controllers
        shape = dice.choice(("one", "one", "tree", "tree", "chain", "pairs", "none", "any"))
        if shape == "none" or not joiners:
            for pack in packs if shape != "none" else ():
                self._feed(pack, dice.choice(controllers))
        elif shape == "any":
            for _ in range(dice.randint(1, 10)):
                self._feed(dice.choice([*packs, *joiners]), dice.choice([*joiners, *joiners, *controllers]))
        else:
            for number, pack in enumerate(packs):
                into = {
                    "pairs": 1 + number // 2,
                    "one": 0,
                    "tree": dice.randrange(len(joiners)),
                    "chain": max(number - 1, 0),
                }[shape]
                self._feed(pack, joiners[min(into, len(joiners) - 1)])
            for number, joiner in enumerate(joiners):
                last = number == (0 if shape == "pairs" else len(joiners) - 1) or shape == "one"
                after = joiners[0 if shape == "pairs" else min(number + 1, len(joiners) - 1)]
                self._feed(joiner, dice.choice(controllers) if last else after)
            if len(controllers) > 1:
                for controller in controllers:
                    self._feed(joiners[-1], controller)
        for _ in range(dice.choice((0, 0, 0, 0, 1, 2))):  # a lead beside one, back, around, into itself
            if not self.leads:
                break
            other = dice.choice(list(self.leads.values()))
            twist = dice.choice(("beside", "back", "self", "skip", "any"))
            if twist == "beside":
                self._feed(other["from"], other["to"])
            elif twist == "back" and other["to"] in joiners and other["from"] in joiners:
                self._feed(other["to"], other["from"])
            elif twist == "self" and joiners:
                joiner = dice.choice(joiners)
                self._feed(joiner, joiner)
            elif twist == "skip":
                self._feed(dice.choice(packs), dice.choice(controllers))
            else:
                self._feed(dice.choice([*packs, *joiners]), dice.choice([*joiners, *controllers]))
        if self.leads and dice.random() < dice.left_out / 3:
            del self.leads[dice.choice(list(self.leads))]

    def _feed(self, source: str, target: str) -> None:
        self.leads[f"lead {len(self.leads) + 1}"] = {"from": source, "to": target}
        self.inlets[target] = self.inlets.get(target, 0) + 1

    def full_v(self) -> float:
        """Full charge of the usual pack of this build."""
        return int(self.cells[1]) * {"LFP": 3.65, "LTO": 2.8}.get(self.cells[0], 4.2)

    def _fuse(self, pack: bool) -> Any:
        dice = self.dice
        if dice.one_in(3):
            return dice.choice(("none", "none ?", "inside, not confirmed" if pack else "none"))
        fuse = {
            way[0]: said
            for way, field in ROWS["FUSE"]
            if dice.random() < 0.7 and (not pack or way[0] != "at") and (said := value(dice, field)) is not None
        }
        return fuse or "none"

    def _pack(self, name: str, racks: list[str], places: list[str]) -> Tree:
        dice = self.dice
        first = self.packs[0]
        if self.shop and dice.one_in(3):
            return {"part": dice.choice(PARTS["packs"])} | lines(dice, "packs", only=("owner", "condition", "replaced"))
        if name != first and dice.one_in(3):
            pack = {"like": first} | ({"capacity": "14 Ah"} if dice.one_in(2) else {})
            return pack | ({"bonded": "x"} if dice.random() < dice.odd else {})
        pack = lines(dice, "packs", ("like", "part", "rack", "outlet", "charge_inlet", "fuse", "place", *_ALONE))
        chemistry, series = self.cells if not dice.one_in(12) else (dice.choice(("NMC", "LFP", "NCA")), "13")
        if "chemistry" in pack:
            pack["chemistry"] = chemistry
        if dice.random() >= dice.left_out:
            full = int(series) * {"LFP": 3.65, "LTO": 2.8}.get(chemistry, 4.2)
            key = dice.choice(("series", "series", "series", *_ALONE))
            pack[key] = series if key == "series" else f"{full:.1f} V"
        for key in ("label", "cut_off"):
            if key in pack and dice.random() >= dice.anywhere:
                lowest = {"LFP": 2.4, "LTO": 1.6}.get(chemistry, 2.8)
                pack[key] = "48 V" if key == "label" else f"{int(series) * lowest:.0f} V"
        if dice.random() >= dice.left_out:
            pack["outlet"] = end(dice, self.family, "socket")
        if dice.one_in(4):
            pack["charge_inlet"] = end(dice, "5.5 mm barrel", "socket")
        if dice.random() >= dice.left_out:
            pack["fuse"] = self._fuse(True)
        if racks and not dice.one_in(4):
            pack["rack"] = dice.choice([*racks, "none"])
        if places and not dice.one_in(5):
            pack["place"] = dice.choice(places)
        return pack

    def _joiner(self, name: str, places: list[str]) -> Tree:
        dice = self.dice
        fed = self.inlets.get(name, 0)
        inputs = max(fed, 2) if not dice.one_in(12) else dice.randint(2, 4)
        if name != self.joiners[0] and dice.one_in(4):
            return {"like": self.joiners[0], "inputs": str(inputs)}
        if self.shop and dice.one_in(3):
            return {"part": dice.choice(PARTS["joiners"])} | lines(dice, "joiners", only=("owner", "replaced"))
        skip = ["like", "part", "inputs", "inlets", "outlet", "charge_port", "built_in", "bonded", "place", "drop"]
        joiner = lines(dice, "joiners", tuple(skip))
        kind = str(joiner.get("type", "")).rstrip("? ")
        if not dice.random() < dice.odd:
            for key in _BLOCKED_BY_TYPE.get(kind, ()):
                joiner.pop(key, None)
            if kind != "diode" and dice.one_in(5):
                joiner.pop("resistance", None)
                joiner["drop"] = value(dice, path_row("joiners.*.drop"))
        if inputs != 2 or dice.one_in(3):
            joiner["inputs"] = str(inputs)
        if dice.random() >= dice.left_out:
            inlet = end(dice, self.family, "pin")
            joiner["inlets"] = inlet if not dice.one_in(6) else [inlet] * inputs
        if dice.random() >= dice.left_out:
            outlet = end(dice, self.family, "socket")
            joiner["outlet"] = outlet if not dice.one_in(6) else [outlet] * dice.choice((1, 2))
        if dice.one_in(3):
            port = lines(dice, "joiners", only=("charge_port",)).get("charge_port")
            joiner["charge_port"] = port if isinstance(port, dict) and port and dice.one_in(2) else "none"
            if isinstance(joiner["charge_port"], dict) and dice.one_in(2):
                joiner["charge_port"]["reaches"] = dice.sample(self.packs, 1)
            if isinstance(joiner["charge_port"], dict) and dice.random() >= dice.left_out:
                joiner["charge_port"]["inlet"] = end(dice, "5.5 mm barrel", "socket")
        if dice.one_in(8):
            joiner["built_in"] = dice.choice(
                ("yes", {"packs": str(inputs), "full_charge": "54.6 V", "current": "20 A"}, {"packs": "2"})
            )
        if kind in ("plain", "unknown", "") and dice.one_in(2 if self.nested else 3):
            joiner["bonded"] = {"by": dice.choice(("0.1 V", "0.02 V", "2 V")), "charged": "together"}
        if places and dice.one_in(2):
            joiner["place"] = dice.choice(places)
        return joiner

    def _lead(self, lead: Tree) -> Tree:
        dice = self.dice
        if dice.one_in(25):
            return lead | {"direct": "yes"}
        lead |= lines(dice, "leads", ("from", "to", "inlet", "direct", "ends", "fuse", "switch", "run"))
        to_controller = lead["to"] in self.controllers
        if dice.random() >= dice.left_out:
            lead["ends"] = [
                end(dice, self.family, "pin"),
                end(dice, self.family, "pin" if to_controller and dice.one_in(9) else "socket"),
            ]
        if dice.one_in(3):
            lead["fuse"] = self._fuse(False)
        if dice.one_in(8):
            lead["switch"] = lines(dice, "leads", only=("switch",)).get("switch", "none")
        if dice.one_in(4):
            lead["run"] = run(dice, list(self.leads))
        if not to_controller and dice.one_in(10):
            lead["inlet"] = str(dice.choice((1, 1, 2, 2, 2, 3)))
        return lead

    def _controller(self, places: list[str]) -> Tree:
        dice = self.dice
        if self.shop and dice.one_in(3):
            return {"part": dice.choice(PARTS["controllers"])}
        controller = lines(dice, "controller", ("part", "regen", "inlet", "place"))
        if dice.random() >= dice.anywhere:
            full = self.full_v()
            controller["voltage"] = {"max": f"{full + 5:.0f} V"} | (
                {"min": f"{full * 0.66:.0f} V"} if dice.one_in(2) else {}
            )
        limit = controller.get("battery_current")
        if isinstance(limit, dict) and set(limit) == {"limit"} and dice.one_in(2):
            controller["battery_current"] = limit["limit"]
        if dice.random() >= dice.left_out:
            controller["regen"] = dice.choice(
                ("none", "none", "none ?", {}, lines(dice, "controller", only=("regen",)).get("regen", "none"), None)
            )
            if controller["regen"] is None:
                regen = [f"controller.regen.{key}" for key in ("current", "not_below", "stops_at")]
                controller["regen"] = {row.rpartition(".")[2]: value(dice, path_row(row)) for row in regen}
            controller["inlet"] = end(dice, self.family, "pin")
        if places and not dice.one_in(4):
            controller["place"] = dice.choice(places)
        return controller


def drawn(seed: int) -> Tree:
    """The build of a number."""
    return agreeing(seed, Drawing(seed).build())


def read(seed: int, tree: Tree | None = None) -> Build | list[Finding]:
    """The build of a number as it is read, with its shop file; or another one that takes parts from the same shop."""
    text = as_text(drawn(seed) if tree is None else tree)
    return load(text, "x.yaml", shop=shop_file(shop_of(seed)), today=TODAY)


def shop_of(seed: int) -> int | None:
    """The number of the shop file that the build of a number takes parts from; None: it has no such parts."""
    return Drawing(seed).shop
