"""Whole builds: how packs, joiners, leads and controllers hang together, real ones and ones that nobody should draw.

A number gives a build, always the same one. What each line says is drawn from its row of the field table.
"""

from __future__ import annotations

from typing import Any

import yaml

from packyoke.model.field import ABSENT, DEFAULT, MUST, SPAN, Field
from packyoke.model.fields import FIELDS
from tests.properties.drawn_values import FAMILIES, RULES, Dice, end, run, value

Tree = dict[str, Any]
_OFTEN = {MUST: 1.0, SPAN: 0.5, DEFAULT: 0.2, ABSENT: 0.12}
_NAMES = ("keel", "bow", "stern", "port", "starboard", "Ost-See", "no 5", "o'mast", "Überholz", "a", "x" * 40, "deck box",  # noqa: E501
          *(f"p{n}" for n in range(12)))  # fmt: skip
_PLACES = ("seat tube", "rear rack", "box", "motor")
_ALONE = ("series", "full_charge", "charger_label")
_BLOCKED_BY_TYPE = {
    "plain": ("forward_voltage", "blocks_in", "makes"),
    "selector": ("forward_voltage", "blocks_in"),
    "diode": ("resistance", "drop", "makes", "bonded"),
    "ideal-diode": ("forward_voltage", "makes", "bonded"),
}


def _rows() -> dict[str, list[tuple[list[str], Field]]]:
    """The rows of each section, with the way to the line inside a part."""
    found: dict[str, list[tuple[list[str], Field]]] = {}
    for field in FIELDS:
        if field.path.startswith("shop:"):
            continue
        section, *way = field.path.split(".")
        if section == "parts":
            section, way = "connectors", way[1:]
        if way and way[0] in ("*", "NAME"):
            way = way[1:]
        if way or section in ("FUSE",):
            found.setdefault(section, []).append((way, field))
        elif field.attr:
            found.setdefault("file", []).append(([section], field))
    return found


ROWS = _rows()


def _put(tree: Tree, way: list[str], said: Any) -> None:
    for step in way[:-1]:
        inside = tree.setdefault(step, {})
        if not isinstance(inside, dict):
            return
        tree = inside
    tree[way[-1]] = said


class Drawing:
    """One build on its way: the parts so far, and the temper of the whole."""

    def __init__(self, seed: int) -> None:
        self.dice = dice = Dice(seed)
        self.family = dice.choice(FAMILIES[:6])
        self.cells = dice.choice(
            (("NMC", "13"), ("NMC", "14"), ("NMC", "10"), ("LFP", "16"), ("NMC", "20"), ("LTO", "20"))
        )
        names = dice.sample(_NAMES, len(_NAMES))
        self.packs = [names.pop() for _ in range(dice.choice((1, 2, 2, 2, 3, 3, 4, 5, 6)))]
        self.joiners = [f"yoke {n}" for n in range(dice.choice((0, 1, 1, 1, 1, 2, 2, 3, 5)))]
        self.controllers = ["controller"] if not dice.one_in(8) else ["left", "right"]
        self.leads: dict[str, Tree] = {}
        self.inlets: dict[str, int] = {}

    def build(self) -> Tree:
        dice = self.dice
        self._wire()
        tree: Tree = {"packyoke": "1", "name": f"drawn {dice.randint(0, 999)}"}
        tree |= self._part("file", skip=("packyoke", "name", "sets", "runs", "measured", "accept"))
        racks = ["rear", "front"][: dice.choice((0, 0, 1, 2))]
        places = list(_PLACES[: dice.choice((0, 0, 0, 2, 4))])
        if dice.one_in(2):
            tree["bike"] = self._part("bike")
        if racks:
            tree["racks"] = {name: self._part("racks") for name in racks}
        tree["packs"] = {name: self._pack(name, racks, places) for name in self.packs}
        if self.joiners:
            tree["joiners"] = {name: self._joiner(name, places) for name in self.joiners}
        if dice.one_in(4):
            tree["all_leads"] = {"insulation": dice.choice(("PVC", "silicone")), "run": run(dice, [])}
        tree["leads"] = {name: self._lead(lead) for name, lead in self.leads.items()}
        controllers = {name: self._controller(places) for name in self.controllers}
        if self.controllers == ["controller"]:
            tree["controller"] = controllers["controller"]
        else:
            tree["controllers"] = controllers
        self._around(tree, places)
        if dice.random() < dice.left_out / 4:
            del tree[dice.choice([key for key in tree if key not in ("packyoke", "name")])]
        if dice.random() < dice.odd * 5:
            tree[dice.choice(list(tree))] = dice.choice(("x", [], {}, {"x": "y"}))
        return tree

    def _wire(self) -> None:
        """Who feeds whom: trees, chains, straight, nothing at all, and what nobody should draw."""
        dice, packs, joiners, controllers = self.dice, self.packs, self.joiners, self.controllers
        shape = dice.choice(("one", "one", "tree", "tree", "chain", "none", "any"))
        if shape == "none" or not joiners:
            for pack in packs if shape != "none" else ():
                self._feed(pack, dice.choice(controllers))
        elif shape == "any":
            for _ in range(dice.randint(1, 10)):
                self._feed(dice.choice([*packs, *joiners]), dice.choice([*joiners, *joiners, *controllers]))
        else:
            for number, pack in enumerate(packs):
                into = {"one": 0, "tree": dice.randrange(len(joiners)), "chain": max(number - 1, 0)}[shape]
                self._feed(pack, joiners[min(into, len(joiners) - 1)])
            for number, joiner in enumerate(joiners):
                last = number == len(joiners) - 1 or shape == "one"
                self._feed(joiner, dice.choice(controllers) if last else joiners[number + 1])
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

    def _part(self, section: str, skip: tuple[str, ...] = (), only: tuple[str, ...] = ()) -> Tree:
        """A part with its lines; a mapping inside is drawn whole or not at all by the names in `skip`."""
        dice, tree = self.dice, {}
        for way, field in ROWS[section]:
            if not way or way[0] in skip or (only and way[0] not in only):
                continue
            often = _OFTEN.get(field.need, 0.2)
            chance = often * (1 - dice.left_out) if field.need == MUST else often
            if dice.random() < chance:
                said = value(dice, field)
                if said is not None:
                    _put(tree, way, said)
        return tree

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
        if name != first and dice.one_in(3):
            pack = {"like": first} | ({"capacity": "14 Ah"} if dice.one_in(2) else {})
            return pack | ({"bonded": "x"} if dice.random() < dice.odd else {})
        pack = self._part("packs", ("like", "part", "rack", "outlet", "charge_inlet", "fuse", "place", *_ALONE))
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
        skip = ["like", "part", "inputs", "inlets", "outlet", "charge_port", "built_in", "bonded", "place", "drop"]
        joiner = self._part("joiners", tuple(skip))
        kind = str(joiner.get("type", "")).rstrip("? ")
        if not dice.random() < dice.odd:
            for key in _BLOCKED_BY_TYPE.get(kind, ()):
                joiner.pop(key, None)
        fed = self.inlets.get(name, 0)
        inputs = max(fed, 2) if not dice.one_in(12) else dice.randint(2, 4)
        if inputs != 2 or dice.one_in(3):
            joiner["inputs"] = str(inputs)
        if dice.random() >= dice.left_out:
            inlet = end(dice, self.family, "pin")
            joiner["inlets"] = inlet if not dice.one_in(6) else [inlet] * inputs
        if dice.random() >= dice.left_out:
            outlet = end(dice, self.family, "socket")
            joiner["outlet"] = outlet if not dice.one_in(6) else [outlet] * dice.choice((1, 2))
        if dice.one_in(3):
            port = self._part("joiners", only=("charge_port",)).get("charge_port")
            joiner["charge_port"] = port if isinstance(port, dict) and port and dice.one_in(2) else "none"
            if isinstance(joiner["charge_port"], dict) and dice.one_in(2):
                joiner["charge_port"]["reaches"] = dice.sample(self.packs, 1)
        if dice.one_in(8):
            joiner["built_in"] = dice.choice(
                ("yes", {"packs": "2", "full_charge": "54.6 V", "current": "20 A"}, {"packs": "2"})
            )
        if kind == "plain" and dice.one_in(3):
            joiner["bonded"] = {"by": dice.choice(("0.1 V", "0.02 V", "2 V")), "charged": "together"}
        if places and dice.one_in(2):
            joiner["place"] = dice.choice(places)
        return joiner

    def _lead(self, lead: Tree) -> Tree:
        dice = self.dice
        if dice.one_in(25):
            return lead | {"direct": "yes"}
        lead |= self._part("leads", ("from", "to", "inlet", "direct", "ends", "fuse", "switch", "run"))
        to_controller = lead["to"] in self.controllers
        if dice.random() >= dice.left_out:
            lead["ends"] = [
                end(dice, self.family, "pin"),
                end(dice, self.family, "pin" if to_controller and dice.one_in(9) else "socket"),
            ]
        if dice.one_in(3):
            lead["fuse"] = self._fuse(False)
        if dice.one_in(8):
            lead["switch"] = self._part("leads", only=("switch",)).get("switch", "none")
        if dice.one_in(4):
            lead["run"] = run(dice, list(self.leads))
        if not to_controller and dice.one_in(10):
            lead["inlet"] = str(dice.randint(1, 3))
        return lead

    def _controller(self, places: list[str]) -> Tree:
        dice = self.dice
        controller = self._part("controller", ("part", "regen", "inlet", "place"))
        if dice.random() >= dice.anywhere:
            full = int(self.cells[1]) * {"LFP": 3.65, "LTO": 2.8}.get(self.cells[0], 4.2)
            controller["voltage"] = {"max": f"{full + 5:.0f} V"} | (
                {"min": f"{full * 0.66:.0f} V"} if dice.one_in(2) else {}
            )
        limit = controller.get("battery_current")
        if isinstance(limit, dict) and set(limit) == {"limit"} and dice.one_in(2):
            controller["battery_current"] = limit["limit"]
        if dice.random() >= dice.left_out:
            controller["regen"] = dice.choice(
                ("none", "none", "none ?", {}, {"current": value(dice, _row("controller.regen.current"))})
            )
            controller["inlet"] = end(dice, self.family, "pin")
        if places and not dice.one_in(4):
            controller["place"] = dice.choice(places)
        return controller

    def _around(self, tree: Tree, places: list[str]) -> None:
        """What hangs on the harness, charges it, and is written of it."""
        dice = self.dice
        ties = [*self.packs, *self.joiners, *self.leads]
        count = dice.choice((0, 0, 0, 1, 1, 2, 3, 5)) if not dice.one_in(60) else dice.randint(20, 80)
        for number in range(count):
            tie: Any = (
                dice.choice(ties) if not dice.one_in(6) else dice.sample(ties, min(len(ties), dice.choice((1, 2, 3))))
            )
            part = {"from": tie} | self._part("accessories", ("from", "fuse"))
            if dice.one_in(2):
                part["fuse"] = self._fuse(False)
            tree.setdefault("accessories", {})[f"lamp {number}"] = part
        for number in range(dice.choice((0, 1, 1, 1, 2, 3))):
            part = self._part("chargers", ("fits", "through", "y_lead", "like", "part", "output"))
            full = int(self.cells[1]) * {"LFP": 3.65, "LTO": 2.8}.get(self.cells[0], 4.2)
            part["output"] = f"{full:.1f} V" if not dice.one_in(5) else value(dice, _row("chargers.*.output"))
            if dice.one_in(2):
                part["fits"] = dice.sample(self.packs, dice.randint(0, len(self.packs)))
            if self.joiners and dice.one_in(5):
                part["through"] = dice.choice(self.joiners)
            if dice.one_in(8):
                part["y_lead"] = dice.sample(self.packs, dice.randint(1, len(self.packs)))
            tree.setdefault("chargers", {})[f"brick {number}"] = part
        if self.family == "dock blade" or dice.one_in(10):
            tree["parts"] = {
                "connectors": {dice.choice(("dock blade", "some plug", "XT60")): self._part("connectors", ("mates",))}
            }
        if dice.one_in(8):
            tree["sets"] = [
                dice.sample(self.packs, dice.randint(1, len(self.packs))) for _ in range(dice.randint(1, 3))
            ]
        if places:
            tree["places"] = {name: self._part("places", ("rack",)) for name in places}
            tree["runs"] = [{"between": dice.sample(places, 2), "length": f"{dice.randint(40, 1500)} mm"}
                            for _ in range(dice.randint(0, 5))]  # fmt: skip
        for name in dice.sample(("everyday", "loaded", "hill round"), dice.choice((0, 0, 1, 3))):
            ride = self._part("ride", ("gpx", "known"))
            if dice.one_in(4):
                ridden = {"from": f"{dice.randint(50, 100)} %", "to": f"{dice.randint(0, 60)} %"}
                km = dice.choice((5, 18, 40, 70))
                ride["known"] = {"packs": dice.sample(self.packs, 1), "distance": f"{km} km"} | ridden
            tree.setdefault("ride", {})[name] = ride
        parts = [
            "bike",
            "build",
            *(f"packs.{name}" for name in self.packs),
            *(f"joiners.{name}" for name in self.joiners),
            *(f"leads.{name}" for name in self.leads),
            *(f"packs.{name}.fuse" for name in self.packs),
            "controller",
        ]
        readings = {
            "voltage": ("51.2 V", "28 V", "109 V", "54.6 V"),
            "voltage under load": ("47 V", "30 V"),
            "resistance": ("90 mohm", "2 ohm"),
            "drop": ("45 mV", "3 V"),
            "blocks": ("yes", "no"),
            "polarity": ("yes", "no"),
            "capacity": ("12 Ah", "1 Ah"),
            "temperature": ("60 degC", "110 degC"),
            "fuse": ("30 A", "yes", "no"),
        }
        for _ in range(dice.choice((0, 0, 0, 1, 3))):
            what = dice.choice(list(readings))
            reading = {
                "date": "2026-11-20",
                "part": dice.choice(parts),
                "what": what,
                "value": dice.choice(readings[what]),
            }
            tree.setdefault("measured", []).append(reading | ({"at": "20 A"} if dice.one_in(2) else {}))
        for _ in range(dice.choice((0, 0, 0, 1, 3))):
            tree.setdefault("accept", []).append(
                {"rule": dice.choice(RULES), "part": dice.choice(parts), "found": dice.choice(("3.4 %", "2", "12 A", "0.1 V")),  # noqa: E501
                 "because": "frame too long", "by": "workshop lead", "until": dice.choice(("2027-12-31", "2026-01-01"))}
            )  # fmt: skip


def _row(path: str) -> Field:
    return next(field for field in FIELDS if field.path == path)


def drawn(seed: int) -> Tree:
    """The build of a number."""
    return Drawing(seed).build()


class _Plain(yaml.Dumper):
    """Writes everything out: a build file has no anchors."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def as_text(tree: Tree) -> str:
    return yaml.dump(tree, Dumper=_Plain, sort_keys=False, allow_unicode=True, width=1000)
