"""What pint is asked: the factors of our units, and what a word is that stands on none of our lists. The only importer.

Whole texts never reach pint, which reads `1,5 m` as 15 m and `48 52 V` as 2496 V: only a bare word does, and it is
looked up, not worked out. Loading its registry takes longer than a check, so nothing on the way of a sound file does.
"""

from __future__ import annotations

from functools import cache, lru_cache
from typing import TypeAlias

from pint import UnitRegistry
from pint.facets.plain import PlainQuantity

from packyoke.core.unit_names import Kind, spellings
from packyoke.core.units import UnknownUnit

_DEFINITIONS = """
meter = [length]
second = [time]
kilogram = [mass]
ampere = [current]
kelvin = [temperature]
minute = 60 * second
hour = 60 * minute
inch = 0.0254 * meter
foot = 0.3048 * meter
mile = 1609.344 * meter
pound = 0.45359237 * kilogram
ounce = 0.028349523125 * kilogram
joule = kilogram * meter ** 2 / second ** 2
watt = joule / second
volt = watt / ampere
ohm = volt / ampere
farad = ampere * second / volt
rankine = 5 / 9 * kelvin
"""
"""Our own units, so that a foot is 0.3048 m to the last figure."""

_ASKED = {
    Kind.VOLTAGE: "volt",
    Kind.CURRENT: "ampere",
    Kind.CHARGE: "coulomb",
    Kind.POWER: "watt",
    Kind.ENERGY: "joule",
    Kind.RESISTANCE: "ohm",
    Kind.CAPACITANCE: "farad",
    Kind.LENGTH: "meter",
    Kind.MASS: "kilogram",
    Kind.SPEED: "meter / second",
    Kind.TIME: "second",
}
"""What a word may turn out to measure. Degrees have offsets, and a newton is no energy for a distance."""

_TWO_THINGS = ("ton", "tons", "mil", "mils")
"""Words that pint knows and that mean something else a border further."""

_SMALLEST = 1e-9
"""What is smaller, or as much larger, than one of the SI is of atoms and stars: `3 pcs` are no parsecs. Judgement."""


@cache
def _registry() -> UnitRegistry[float]:
    """Every unit that pint knows."""
    return UnitRegistry()


def factors() -> dict[str, float]:
    """What one of each unit of the closed lists is in SI, by its expression; a fraction has none and is 1."""
    expressions = {unit.expression for known in spellings().values() for unit in known.values()}
    registry: UnitRegistry[float] = UnitRegistry(None)
    registry.load_definitions(_DEFINITIONS.strip().splitlines())
    return {
        each: float(registry.Quantity(1.0, each).to_base_units().magnitude) if each else 1.0
        for each in sorted(expressions)
    }


_MULTIPLES = {-12: "pico", -9: "nano", -6: "micro", -3: "milli", -2: "centi", 3: "kilo", 6: "mega"}
_SHOWN = {"": "", "J": "joule", "mm2": "millimeter ** 2", "%": "percent", "degC": "degC", "degF": "degF"}
"""Units of figures that are on none of the lists, or that pint has with an offset or a name of its own."""


Quantity: TypeAlias = PlainQuantity[float]


def quantity(value: float, unit: str) -> Quantity:
    """A figure as a quantity of pint, in the unit that it is shown in.

    :param unit: as figures have it: "A", "mohm", "degC"; empty for a number without a unit
    :raises UnknownUnit: for what is no unit ("packs", "12 AWG")
    """
    if unit in _SHOWN:
        return _registry().Quantity(value, _SHOWN[unit])
    units = {each.name: each for known in spellings().values() for each in known.values()}
    if unit not in units:
        raise UnknownUnit(f"{unit} is no unit of a quantity")
    known = units[unit]
    if known.power in _MULTIPLES and known.expression.startswith(("meter", "volt", "ampere", "watt", "ohm", "farad")):
        return _registry().Quantity(value, f"{_MULTIPLES[known.power]}{known.expression}")
    return _registry().Quantity(value * 10.0**known.power, known.expression)


@lru_cache(maxsize=256)
def meaning(word: str) -> tuple[Kind, float] | None:
    """What a unit measures and its factor to SI; None for a word that is none, or that could be two.

    :param word: ASCII letters only
    """
    registry = _registry()
    names = {name for prefix, name, _ in registry.parse_unit_name(word) if not prefix}
    if len(names) != 1 or word.lower() in _TWO_THINGS:
        return None
    one = registry.Quantity(1.0, names.pop())
    for kind, unit in _ASKED.items():
        if one.is_compatible_with(unit):
            factor = float(one.to(unit).magnitude)
            return (kind, factor) if _SMALLEST < factor < 1.0 / _SMALLEST else None
    return None
