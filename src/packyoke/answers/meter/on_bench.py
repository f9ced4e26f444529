"""Packs on the bench without a build file: the same questions, asked of a build of equal packs on one joiner."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from packyoke.analysis.tolerance import between
from packyoke.answers.meter.answer import draw_of
from packyoke.answers.typed import WrongInput, quantity
from packyoke.core.constants import AH_C
from packyoke.core.units import Kind, show
from packyoke.model.fields import field_for


@dataclass(frozen=True, slots=True)
class PacksOnBench:
    """Packs on the bench, without a build file, as typed."""

    series: int
    volts: str
    joiner: str = ""
    load: str = ""
    capacity: str = ""
    chemistry: str = ""
    resistance: str = ""
    charge: str = ""


def bench_text(bench: PacksOnBench) -> tuple[str, str, tuple[str, ...]]:
    """A build file of equal packs on one joiner, the voltages by their names, and what was taken for granted."""
    values = [item.strip() for item in bench.volts.split(",")]
    if any("=" in value for value in values):
        raise WrongInput("--volts: without a build file give the voltages alone, with commas: 54.1,51.3")
    if len(values) < 2 or not all(values):
        raise WrongInput("--volts: without a build file two voltages or more are needed, with commas: 54.1,51.3")
    for volts, digit in pairwise(values):
        if re.fullmatch("[1-9][0-9]+", volts) and re.fullmatch("[1-9]", digit):
            raise WrongInput(
                f'--volts "{volts},{digit}": one voltage or two? A comma starts the next pack. For a decimal write a '
                f"point: {volts}.{digit}; for two packs  {volts},{digit}.0"
            )
    if len(values) > 12:
        raise WrongInput("--volts: at most 12 packs without a build file")
    pack = {"series": str(bench.series), "chemistry": _word(bench.chemistry or "NMC", "packs.a", "chemistry")}
    for key, attr, typed, kind, unit, example in (
        ("capacity", "capacity_coulomb", bench.capacity, Kind.CHARGE, "Ah", "14 Ah"),
        ("resistance", "resistance_ohm", bench.resistance, Kind.RESISTANCE, "ohm", "120 mohm"),
        ("charge", "charge_a", bench.charge, Kind.CURRENT, "A", "4 A"),
    ):
        if typed:
            value, field = quantity(typed, kind, f"--{key}", example), field_for("packs.a", attr)
            if not between(field.low or 0.0, value, field.high or inf):
                bounds = " and ".join(show(bound, kind) for bound in (field.low, field.high) if bound is not None)
                raise WrongInput(f'--{key} "{typed}": between {bounds} is needed')
            pack[key] = f"{value / (AH_C if kind is Kind.CHARGE else 1.0):.9g} {unit}"
    names = [f"pack {n}" for n in range(1, len(values) + 1)]
    joins = {"blocking": "ideal-diode", "": "unknown"}.get(bench.joiner) or _word(bench.joiner, "joiners.a", "type")
    lines = ["packyoke: 1", "name: packs on the bench", "packs:"]
    fields = ", ".join(f"{key}: {value}" for key, value in pack.items())
    taken_for = "condition: sound, fuse: {family: class T, rating: 200 A, voltage: 160 V}, outlet: bench socket"
    bms = "bms: {charge_path: common, data: none, wakes: always}"
    lines += [f"  {name}: {{{fields}, {taken_for}, {bms}}}" for name in names]
    ends = "inlets: bench pin, outlet: bench socket, ceiling: 120 V"
    lines += [f"joiners: {{joiner: {{type: {joins}, inputs: {len(names)}, {ends}}}}}"]
    lines += ["leads:", *(f"  lead {name}: {{from: {name}, to: joiner, direct: yes}}" for name in names)]
    lines += ["  main lead: {from: joiner, to: controller, direct: yes}"]
    amps = ""
    if bench.load:
        drawn = draw_of(bench.load)
        amps = f", battery_current: {drawn.current_a:.9g} A" if drawn.current_a else ""
    lines += [f"controller: {{inlet: bench pin, voltage: {{max: 120 V}}{amps}}}"]
    contacts = "{per_contact: 500 A, contact_resistance: 0.01 mohm, contacts: pin and socket}"
    lines += [f"parts: {{connectors: {{bench: {contacts}}}}}"]
    taken = ["packs alike, sound, fused, and charged through their outlets"]
    taken += [] if bench.chemistry else ["chemistry NMC"]
    volts = ",".join(f"{name}={value}" for name, value in zip(names, values, strict=True))
    return "\n".join([*lines, ""]), volts, tuple(taken)


def _word(typed: str, path: str, attr: str) -> str:
    words = field_for(path, attr).words
    found = next((word for word in words if word.casefold() == typed.casefold()), None)
    if found is None:
        raise WrongInput(f'--{attr if attr != "type" else "joiner"} "{typed}": write one of {", ".join(words)}')
    return found
