"""Figures of a ride in words: what they are called, in which unit, and what is to be said of a ride."""

from __future__ import annotations

from packyoke.analysis.ride.named import SHOP, Input
from packyoke.analysis.ride.reach import Note
from packyoke.answers.inherited import from_shop
from packyoke.core.findings import shown
from packyoke.core.units import Kind, from_si, show
from packyoke.page.page import Verdict

INPUTS: dict[str, tuple[str, Kind | None, str]] = {
    "rider_kg": ("rider", Kind.MASS, ""),
    "bike_kg": ("bike without packs", Kind.MASS, ""),
    "packs_kg": ("packs", Kind.MASS, ""),
    "load_kg": ("load", Kind.MASS, ""),
    "speed_m_s": ("speed on the level", Kind.SPEED, ""),
    "climb_fraction": ("climb", Kind.CLIMB, ""),
    "slope_fraction": ("slope of the hills", Kind.FRACTION, ""),
    "wind_m_s": ("wind", Kind.SPEED, "m/s"),
    "stops_per_m": ("stops", Kind.COUNT_PER_DISTANCE, ""),
    "braked_fraction": ("motion that a stop takes", Kind.FRACTION, ""),
    "rider_w": ("rider gives", Kind.POWER, ""),
    "assist_ratio": ("motor over rider", None, ""),
    "pedalling_fraction": ("time pedalled", Kind.FRACTION, ""),
    "drag_area_m2": ("drag area", None, "m2"),
    "rolling_factor": ("rolling resistance", None, ""),
    "efficiency_fraction": ("battery to wheel at 150 W", Kind.FRACTION, ""),
    "auxiliaries_w": ("display and lights", Kind.POWER, ""),
    "usable": ("packs give of the rundown", Kind.FRACTION, ""),
    "untested": ("capacity left of the marked", Kind.FRACTION, ""),
    "measured": ("as measured", Kind.ENERGY_PER_DISTANCE, ""),
}
"""What a figure is called, its kind, and its unit where that is not the usual one."""


def signed(metres: float, system: str) -> str:
    """A change of range in whole kilometres or miles."""
    return f"{from_si(metres, 'mi' if system == 'us' else 'km'):+.0f}"


def value_words(each: Input, value: float, system: str) -> str:
    """A value of a figure with its unit."""
    _, kind, unit = INPUTS[each.attr]
    if kind is None:
        return f"{shown(value)} {unit}".rstrip()
    metric_unit = unit if unit and system == "metric" else None
    return show(value, kind, system, unit=metric_unit)


def span_words(each: Input, system: str) -> str:
    """The span of a figure, the unit once: `18 to 25 km/h`."""
    low, high = value_words(each, each.low, system), value_words(each, each.high, system)
    _, _, unit = high.partition(" ")
    return f"{low.removesuffix(f' {unit}') if unit else low} to {high}"


def input_words(each: Input, system: str) -> str:
    """A figure with its span: `speed on the level 22 (18 to 25) km/h`."""
    number, _, unit = value_words(each, each.likely, system).partition(" ")
    span = span_words(each, system).removesuffix(f" {unit}" if unit else "")
    told = f"{INPUTS[each.attr][0]} {number}{'' if each.known else f' ({span})'} {unit}".rstrip()
    return from_shop(told) if each.basis == SHOP else told


def note_words(note: Note, system: str) -> str:
    """A note as a sentence."""
    if note.kind == "motor is silent":
        wanted, found = (show(each, Kind.SPEED, system) for each in (note.wanted, note.found))
        return f"the motor gives nothing at {wanted}; counted with {found}, which is what is left of it."
    if note.kind in ("slows on hills", "walks on hills"):
        slope, speed = show(note.wanted, Kind.FRACTION), show(note.found, Kind.SPEED, system)
        more = " Somebody will get off and push." if note.kind == "walks on hills" else ""
        return f"uphill ({slope}) it slows to {speed}, for neither controller nor rider gives more.{more}"
    if note.kind == "beyond the rating":
        return (
            f"the motor gives {note.wanted:.0f} W all the time, its mark says {note.found:.0f} W: it may get too hot."
        )
    if note.kind == "no throttle":
        return "nobody pedals on this ride, but the file knows of no throttle that drives the bike."
    if note.kind == "least counts":
        least, found = (show(each, Kind.ENERGY_PER_DISTANCE, system) for each in note[1:])
        return f"worked out are {found}; counted with {least}, because real rides hardly take less. Measure it."
    if note.kind == "there and back":
        more, climb = (show(each, Kind.CLIMB, system) for each in (abs(note.wanted), note.found))
        way = "climbs {} more than it falls" if note.wanted > 0.0 else "falls {} more than it climbs"
        return f"its track {way.format(more)}: counted there and back, with {climb}. One way only: --route."
    return "how much current the controller lets through is not known; taken as enough for the hills."


def loudness(check: str, answered: bool, title: str, short: str) -> Verdict | None:
    """How loud an answer with figures is; none where it is a yes, which the figures say by themselves. `short`: what
    a no is."""
    if check != "yes":
        return Verdict("open", "OPEN", title)
    return None if answered else Verdict("stop", "NO", f"{title}: {short}")
