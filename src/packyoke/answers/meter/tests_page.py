"""What a test of a joiner, a lead or a pack says, in a sentence."""

from __future__ import annotations

from packyoke.analysis.bench.as_built import Difference
from packyoke.analysis.bench.beyond_limits import DEAD_GATE_A
from packyoke.analysis.bench.joiner_tests import InletTest, LoadTest, PathTest
from packyoke.core.findings import shown
from packyoke.core.paths import heading_of, name_of
from packyoke.core.units import Kind, show

INLET_WORDS = {
    "blocks": "it blocks",
    "plain or failed": "it is plain or has failed: current passes from pack to pack",
    "leaks": "it leaks: neither blocking nor plain",
}
POINTS_TO = {
    ("leads", "drop"): "a bad joint or a thinner wire",
    ("leads", "resistance"): "a bad joint or a thinner wire",
    ("joiners", "drop"): "a bad joint in it, or a path that does not switch on",
    ("joiners", "resistance"): "a bad joint in it, or a path that does not switch on",
    ("joiners", "blocks"): "a failed or another joiner than described",
    ("packs", "resistance"): "a tired or cold pack, or a bad contact at its outlet",
    ("packs", "capacity"): "a tired pack",
}

TOO_LITTLE = "one of the two conductors was measured, or the lead is another one than described"


def volts_words(volts_v: float) -> str:
    """A voltage with its unit."""
    return show(volts_v, Kind.VOLTAGE)


def inlet_words(test: InletTest) -> str:
    """The test of a joiner with one pack in."""
    against = {True: " As described.", False: " Not as described.", None: ""}[test.described]
    where = f"the inlet of {test.inlet}" if test.inlet else "an empty inlet"
    return f"{test.joiner}, {test.volts_v:g} V across {where}: {INLET_WORDS[test.found]}.{against}"


def path_words(test: PathTest) -> str:
    """A drop under load."""
    head = f"{test.part.name}, {volts_words(test.drop_v)} at {shown(test.at_a)} A"
    if test.found == "too little current":
        return f"{head}: {DEAD_GATE_A:g} A or more are needed to see whether its gate drive works."
    if test.found == "not described":
        return f"{head}: {shown(1000 * test.drop_v / test.at_a)} mohm; nothing in the file to hold it against."
    described = f"{volts_words(test.described_v or 0.0)} would be right"
    if test.found == "gate drive dead":
        limit = volts_words(test.described_v or 0.0)
        return f"{head}: more than {limit}: its gate drive is dead, the body diode conducts."
    if test.found == "as described":
        return f"{head}: as described ({described} at the most)."
    if test.found == "too little":
        copper = volts_words(test.described_v or 0.0)
        return f"{head}: too little, its copper alone drops {copper}: {TOO_LITTLE}."
    points = POINTS_TO[heading_of(test.part.path), "drop"]
    like = f"; {test.like} would drop as much" if test.like is not None else ""
    return f"{head}: too much, {described} at the most: {points}{like}."


def load_words(test: LoadTest) -> str:
    """A pack under load."""
    head = f"{test.pack}: {shown(1000 * test.ohm)} mohm at its outlet"
    if test.described_ohm is None:
        return f"{head}; nothing in the file to hold it against."
    low, high = (shown(1000 * each) for each in test.described_ohm)
    described = f"described {low} mohm" if low == high else f"new packs of its kind have {low} to {high} mohm"
    return {
        "as described": f"{head}, as expected ({described}).",
        "more": f"{head}, more than expected ({described}): a tired or cold pack, or a bad contact at its outlet.",
        "less": f"{head}, less than expected ({described}): a rush between packs is larger too.",
    }[test.found]


def difference_words(path: str, each: Difference) -> str:
    """A reading that is not as described, and what it points to."""
    words = f"{name_of(path)}: {each.about}"
    if each.unit:
        words += f" {shown(each.reading.value * each.scale)} {each.unit}"
        words += f", described {shown(each.described * each.scale)} {each.unit}"
    fewer = each.relation == "at least" and each.reading.what == "resistance"
    points = "" if fewer else POINTS_TO.get((heading_of(path), each.reading.what), "")
    return f"{words}; points to {points}." if points else f"{words}."
