"""Lines of a drawn build that contradict each other: one of the two goes, so that most builds are read.

One build in twelve keeps what it has.
"""

from __future__ import annotations

from typing import Any

from packyoke.core.unit_names import Kind
from packyoke.core.units import QuantityError, read
from tests.properties.drawn_values import Tree

KEEPS = 12


def agreeing(number: int, tree: Tree) -> Tree:
    """The drawn tree of a build, or the shelf of a shop file, with lines that the reader takes together."""
    if number % KEEPS == 0:
        return tree
    places = _dict(tree.get("places"))
    for pack in _parts(tree, "packs"):
        _no_peak_below(pack.get("discharge"))
        marked, tested = _of(pack, "capacity", Kind.CHARGE), _of(pack, "tested_capacity", Kind.CHARGE)
        if None not in (marked, tested) and tested > 1.2 * marked:
            del pack["tested_capacity"]
        whole = {**_dict(tree["packs"].get(str(pack.get("like")))), **pack}
        if _too_light(whole):
            pack.pop("mass", None)
        rack = _dict(places.get(str(pack.get("place")))).get("rack")
        if rack is not None and "rack" in pack and pack["rack"] != rack:
            pack["rack"] = rack
    for joiner in _parts(tree, "joiners"):
        _no_peak_below(joiner.get("current"))
    controllers = {"controller": tree["controller"]} if "controller" in tree else tree.get("controllers", {})
    for controller in _parts({"controllers": controllers}, "controllers"):
        drawn = controller.get("battery_current")
        if isinstance(drawn, dict):
            _no_less(drawn, "limit", "adjustable_to", "adjustable_to")
            _no_less(drawn, "falls_to", "adjustable_to" if "adjustable_to" in drawn else "limit", "falls_to")
    for charger in _parts(tree, "chargers"):
        charger = (_parts(tree, "chargers")[0] if "like" in charger else {}) | charger
        volts, amps = _of(charger, "output", Kind.VOLTAGE), _of(charger, "current", Kind.CURRENT)
        mains = _of(charger, "mains_power", Kind.POWER)
        if None not in (volts, amps, mains) and mains < volts * amps:
            for each in _parts(tree, "chargers"):
                each.pop("mains_power", None)
    for lead in _parts(tree, "leads"):
        if isinstance(lead.get("fuse"), dict):
            at, length = _of(lead["fuse"], "at", Kind.LENGTH), _of(lead, "length", Kind.LENGTH)
            if None not in (at, length) and at > length:
                del lead["fuse"]["at"]
    for name, lead in _dict(tree.get("leads")).items():
        _not_beside_itself(str(name), lead)
    return tree


def _not_beside_itself(name: str, lead: Any) -> None:
    if not isinstance(lead, dict):
        return
    words = lead["run"] if isinstance(lead.get("run"), list) else [lead.get("run")]
    others = [word for word in words if word != f"beside {name}"]
    if len(others) < len(words):
        lead.update(run=others) if others else lead.pop("run")


def _parts(tree: Tree, section: str) -> list[Tree]:
    found = tree.get(section)
    return [each for each in found.values() if isinstance(each, dict)] if isinstance(found, dict) else []


def _dict(found: object) -> Tree:
    return found if isinstance(found, dict) else {}


def _too_light(pack: Tree) -> bool:
    """Whether it holds more than 300 Wh in a kilogram, with the 3.7 V of the cells that have most."""
    mass_kg, coulomb = _of(pack, "mass", Kind.MASS), _of(pack, "capacity", Kind.CHARGE)
    series = str(pack.get("series", "")).rstrip("? ")
    if mass_kg is None or coulomb is None or not series.isdecimal():
        return False
    return bool(3.7 * int(series) * coulomb / 3600 > 300 * mass_kg)


def _no_peak_below(currents: Any) -> None:
    if isinstance(currents, dict):
        _no_less(currents, "continuous", "peak", "peak")


def _no_less(part: Tree, least: str, most: str, goes: str) -> None:
    low, high = _of(part, least, Kind.CURRENT), _of(part, most, Kind.CURRENT)
    if low is not None and high is not None and low > high:
        del part[goes]


def _of(part: Tree, key: str, kind: Kind) -> Any:
    """The first figure of a line, `60 A for 10 s ?` too; None where it is none."""
    text = str(part.get(key, "")).rstrip("? ")
    for word in (" for ", " after "):
        text = text.partition(word)[0]
    try:
        return read(text, kind).value
    except QuantityError:
        return None
