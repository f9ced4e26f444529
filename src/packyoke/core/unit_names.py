"""The kinds of quantities with their closed lists of units and spellings: data for `units`, no arithmetic."""

from __future__ import annotations

from enum import Enum
from typing import NamedTuple


class Kind(Enum):
    """What a number measures. Each kind has its own closed list of spellings."""

    # Kinds are keys of dictionaries that every quantity is looked up in: by identity, not by name.
    __hash__ = object.__hash__

    VOLTAGE = "a voltage"
    CURRENT = "a current"
    CHARGE = "a charge"
    POWER = "a power"
    ENERGY = "an energy"
    RESISTANCE = "a resistance"
    CAPACITANCE = "a capacitance"
    LENGTH = "a length"
    MASS = "a mass"
    SPEED = "a speed"
    TIME = "a time"
    TEMPERATURE = "a temperature"
    FRACTION = "a percentage"
    ENERGY_PER_DISTANCE = "an energy for a distance"
    CLIMB = "a climb for a distance"
    COUNT_PER_DISTANCE = "a count for a distance"
    CURRENT_FOR_TIME = "a current for a time"
    CURRENT_AFTER_TIME = "a current after a time"
    VOLTAGE_AT_CURRENT = "a voltage at a current"
    SPEED_AT_VOLTAGE = "a speed at a voltage"
    GAUGE = "a wire gauge"
    GAUGE_RANGE = "a range of wire gauges"
    MONEY = "a price"  # after the gauges: AWG is a currency too


class Unit(NamedTuple):
    name: str
    expression: str
    power: int = 0
    offset: float = 0.0


_PREFIXES = {
    "p": (-12, "pico", "p"),
    "n": (-9, "nano", "n"),
    "u": (-6, "micro", "u µ"),
    "m": (-3, "milli", "m"),
    "k": (3, "kilo", "k"),
    "M": (6, "mega", "M"),
}

# kind, name shown, pint's unit, prefixes, symbols, words
_PREFIXED = (
    (Kind.VOLTAGE, "V", "volt", "mkM", "V", "volt volts"),
    (Kind.CURRENT, "A", "ampere", "umkM", "A", "amp amps ampere amperes"),
    (Kind.POWER, "W", "watt", "mkM", "W", "watt watts"),
    (Kind.RESISTANCE, "ohm", "ohm", "umkM", "ohm ohms Ω R", "ohm ohms"),
    (Kind.CAPACITANCE, "F", "farad", "pnumM", "F", "farad farads"),
)

# kind, unit, further spellings
_OTHERS = (
    (Kind.VOLTAGE, Unit("V", "volt"), "Vdc|V dc|V d.c.|V=|V⎓"),
    (Kind.CURRENT, Unit("A", "ampere"), "Adc|A dc|A d.c.|A=|A⎓"),
    (Kind.CHARGE, Unit("Ah", "ampere * hour"), "A h|A·h|amp hours|amp-hours|amphours|ampere hours"),
    (Kind.CHARGE, Unit("mAh", "ampere * hour", -3), "mA h|mA·h"),
    (Kind.ENERGY, Unit("Wh", "watt * hour"), "W h|W·h|watt hours|watt-hours"),
    (Kind.ENERGY, Unit("kWh", "watt * hour", 3), "kW h|kW·h"),
    (Kind.ENERGY, Unit("J", "joule"), "joule|joules"),
    (Kind.ENERGY, Unit("kJ", "joule", 3), ""),
    (Kind.LENGTH, Unit("m", "meter"), "metre|metres|meter|meters"),
    (Kind.LENGTH, Unit("mm", "meter", -3), "millimetre|millimetres|millimeter|millimeters"),
    (Kind.LENGTH, Unit("cm", "meter", -2), "centimetre|centimetres|centimeter|centimeters"),
    (Kind.LENGTH, Unit("km", "meter", 3), "kilometre|kilometres|kilometer|kilometers"),
    (Kind.LENGTH, Unit("in", "inch"), "inch|inches"),
    (Kind.LENGTH, Unit("ft", "foot"), "foot|feet"),
    (Kind.LENGTH, Unit("mi", "mile"), "mile|miles"),
    (Kind.MASS, Unit("kg", "kilogram"), "kgs|kilo|kilos|kilogram|kilograms"),
    (Kind.MASS, Unit("g", "kilogram", -3), "gram|grams"),
    (Kind.MASS, Unit("lb", "pound"), "lbs|pound|pounds"),
    (Kind.MASS, Unit("oz", "ounce"), "ounce|ounces"),
    (Kind.SPEED, Unit("km/h", "meter / hour", 3), "kmh|kph|kmph|km / h|km/hr|km per hour"),
    (Kind.SPEED, Unit("mph", "mile / hour"), "mi/h|miles per hour"),
    (Kind.SPEED, Unit("m/s", "meter / second"), "m / s|m per s"),
    (Kind.TIME, Unit("s", "second"), "sec|secs|second|seconds"),
    (Kind.TIME, Unit("ms", "second", -3), ""),
    (Kind.TIME, Unit("min", "minute"), "mins|minute|minutes"),
    (Kind.TIME, Unit("h", "hour"), "hr|hrs|hour|hours"),
    (Kind.TEMPERATURE, Unit("degC", "kelvin", 0, 273.15), "°C|° C|ºC|℃|C|deg C|celsius"),
    (Kind.TEMPERATURE, Unit("degF", "rankine", 0, 459.67 * 5 / 9), "°F|° F|ºF|℉|F|deg F|fahrenheit"),
    (Kind.TEMPERATURE, Unit("K", "kelvin"), "kelvin"),
    (Kind.FRACTION, Unit("%", "", -2), "percent|per cent|pct"),
    (Kind.ENERGY_PER_DISTANCE, Unit("Wh/km", "watt * hour / meter", -3), "Wh per km"),
    (Kind.ENERGY_PER_DISTANCE, Unit("Wh/mi", "watt * hour / mile"), "Wh per mi|Wh/mile|Wh per mile"),
    (Kind.CLIMB, Unit("m per km", "", -3), "m/km"),
    (Kind.CLIMB, Unit("ft per mi", "foot / mile"), "ft/mi|ft per mile|ft/mile"),
    (Kind.COUNT_PER_DISTANCE, Unit("per km", "1 / meter", -3), "/km"),
    (Kind.COUNT_PER_DISTANCE, Unit("per mi", "1 / mile"), "/mi|per mile|/mile"),
)

# ISO 4217, alphabetic codes of money in use; from memory.
CURRENCIES = frozenset(
    """AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF
    CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL
    HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD
    MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG
    QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD
    TWD TZS UAH UGX USD UYU UZS VES VND VUV WST XAF XCD XOF XPF YER ZAR ZMW""".split()  # noqa: SIM905
)

PAIRS = {
    Kind.CURRENT_FOR_TIME: (Kind.CURRENT, Kind.TIME, "for"),
    Kind.CURRENT_AFTER_TIME: (Kind.CURRENT, Kind.TIME, "after"),
    Kind.VOLTAGE_AT_CURRENT: (Kind.VOLTAGE, Kind.CURRENT, "at"),
    Kind.SPEED_AT_VOLTAGE: (Kind.SPEED, Kind.VOLTAGE, "at"),
}

EXAMPLES = {
    Kind.VOLTAGE: "36 V",
    Kind.CURRENT: "20 A",
    Kind.CHARGE: "17 Ah",
    Kind.POWER: "250 W",
    Kind.ENERGY: "500 Wh",
    Kind.RESISTANCE: "95 mohm",
    Kind.CAPACITANCE: "1 mF",
    Kind.LENGTH: "400 mm",
    Kind.MASS: "3 kg",
    Kind.SPEED: "25 km/h",
    Kind.TIME: "10 s",
    Kind.TEMPERATURE: "30 degC",
    Kind.FRACTION: "3 %",
    Kind.ENERGY_PER_DISTANCE: "9 Wh/km",
    Kind.CLIMB: "8 m per km",
    Kind.COUNT_PER_DISTANCE: "2 per km",
    Kind.MONEY: "12.50 EUR",
    Kind.CURRENT_FOR_TIME: "60 A for 10 s",
    Kind.CURRENT_AFTER_TIME: "18 A after 60 s",
    Kind.VOLTAGE_AT_CURRENT: "45 mV at 20 A",
    Kind.SPEED_AT_VOLTAGE: "42 km/h at 50 V",
    Kind.GAUGE: "12 AWG",
    Kind.GAUGE_RANGE: "14 to 12 AWG",
}

EITHER = {
    Kind.CHARGE: ("Ah", "mAh"),
    Kind.ENERGY: ("Wh", "kWh"),
    Kind.RESISTANCE: ("mohm", "ohm"),
    Kind.TIME: ("s", "min"),
    Kind.CAPACITANCE: ("uF", "mF"),
    Kind.LENGTH: ("mm", "cm", "m"),
    Kind.MASS: ("kg", "lb"),
    Kind.SPEED: ("km/h", "mph"),
    Kind.TEMPERATURE: ("degC", "degF"),
    Kind.ENERGY_PER_DISTANCE: ("Wh/km", "Wh/mi"),
    Kind.MONEY: ("EUR", "USD"),
    Kind.GAUGE: ("AWG", "mm2"),
}
"""Units that a bare number may be meant in: 17500 of a pack are mAh, 1000 of a capacitor uF."""

# what is wanted, what was typed
HINTS = {
    (Kind.CHARGE, Kind.CURRENT): "Capacity is amperes times hours. Did you mean  {} {}Ah ?",
    (Kind.CHARGE, Kind.ENERGY): "Capacity in Ah is the energy in Wh divided by the volts of the label.",
    (Kind.CURRENT, Kind.CHARGE): "A current has no hours in it. Did you mean  {} {}A ?",
    (Kind.CURRENT, Kind.POWER): "The current from the packs is needed, in A. Read it off the label or out of"
    " the settings; do not work it out from the power.",
    (Kind.CURRENT, Kind.TEMPERATURE): "A C-rate is not read. Write the amperes: the C-rate times the capacity in Ah.",
    (Kind.ENERGY, Kind.POWER): "Energy is watts times hours. Did you mean  {} {}Wh ?",
    (Kind.POWER, Kind.ENERGY): "A power has no hours in it. Did you mean  {} {}W ?",
    (Kind.GAUGE, Kind.LENGTH): "A wire is known by its gauge or the area of its copper in mm2, not by a width.",
}

# The unit that people read a kind in: (smallest value, unit), the first that fits; metric, then us.
METRIC: dict[Kind, tuple[tuple[float, str], ...]] = {
    Kind.VOLTAGE: ((0.1, "V"), (1e-9, "mV"), (0, "V")),
    Kind.CURRENT: ((0.1, "A"), (1e-9, "mA"), (0, "A")),
    Kind.CHARGE: ((0, "Ah"),),
    Kind.POWER: ((0, "W"),),
    Kind.ENERGY: ((0, "Wh"),),
    Kind.RESISTANCE: ((1, "ohm"), (0, "mohm")),
    Kind.CAPACITANCE: ((1e-3, "mF"), (0, "uF")),
    Kind.LENGTH: ((1000, "km"), (1, "m"), (0, "mm")),
    Kind.MASS: ((0, "kg"),),
    Kind.SPEED: ((0, "km/h"),),
    Kind.TIME: ((7200, "h"), (120, "min"), (0, "s")),
    Kind.TEMPERATURE: ((0, "degC"),),
    Kind.FRACTION: ((0, "%"),),
    Kind.ENERGY_PER_DISTANCE: ((0, "Wh/km"),),
    Kind.CLIMB: ((0, "m per km"),),
    Kind.COUNT_PER_DISTANCE: ((0, "per km"),),
}
US = METRIC | {
    Kind.LENGTH: ((1609.344, "mi"), (0.9144, "ft"), (0, "in")),
    Kind.MASS: ((0.45359237, "lb"), (1e-9, "oz"), (0, "lb")),
    Kind.SPEED: ((0, "mph"),),
    Kind.TEMPERATURE: ((0, "degF"),),
    Kind.ENERGY_PER_DISTANCE: ((0, "Wh/mi"),),
    Kind.CLIMB: ((0, "ft per mi"),),
    Kind.COUNT_PER_DISTANCE: ((0, "per mi"),),
}


def spellings() -> dict[Kind, dict[str, Unit]]:
    table: dict[Kind, dict[str, Unit]] = {kind: {} for kind in Kind}
    for kind, name, expression, prefixes, symbols, words in _PREFIXED:
        table[kind].update(dict.fromkeys([*symbols.split(), *words.split()], Unit(name, expression)))
        for prefix in prefixes:
            power, prefix_word, marks = _PREFIXES[prefix]
            unit = Unit(prefix + name, expression, power)
            table[kind].update({mark + symbol: unit for mark in marks.split() for symbol in symbols.split()})
            table[kind].update({prefix_word + word: unit for word in words.split()})
    for kind, unit, further in _OTHERS:
        table[kind].update(dict.fromkeys([unit.name, *filter(None, further.split("|"))], unit))
    return table


def without_case(known: dict[str, Unit]) -> dict[str, Unit]:
    """Spellings without case. Where case tells two units apart (mA, MA) the first letter keeps its own."""
    folded: dict[str, set[Unit]] = {}
    for spelling, unit in known.items():
        folded.setdefault(spelling.lower(), set()).add(unit)
    kept = {spelling[0] + spelling[1:].lower(): unit for spelling, unit in known.items()}
    return kept | {spelling: units.pop() for spelling, units in folded.items() if len(units) == 1}
