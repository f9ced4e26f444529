"""The tests of a finished harness under load: drops, warmth, what it draws when off, charging."""

from __future__ import annotations

from collections.abc import Iterator
from math import exp, floor
from typing import Any

from packyoke.analysis.bench.as_built import BAND, VOLTAGE_BAND
from packyoke.analysis.bench.beyond_limits import DEAD_GATE_A, DEAD_GATE_V
from packyoke.analysis.charging.card import card
from packyoke.analysis.circuit.load import accessories_behind, load
from packyoke.analysis.harness.sets import units
from packyoke.analysis.limits.heat import BODY_S, joiner_warmth
from packyoke.analysis.limits.leads import described_ohm
from packyoke.analysis.unknowns.spans import ends
from packyoke.answers.sheet import workshop_words as words
from packyoke.answers.sheet.bench import Bench
from packyoke.answers.sheet.workshop_page import Rows, Section
from packyoke.core.constants import ZERO_C_K
from packyoke.core.findings import shown
from packyoke.core.paths import PartPath, name_of, path_to, steps_of
from packyoke.core.units import Kind, show
from packyoke.core.words import listed
from packyoke.model import FITTED, Joiner, Lead, Unknown
from packyoke.model.found import REGULATED_V, said_of
from packyoke.verdict.report import Report

USUAL_A = 10.0
"""The current at which drops are stated, where the bike draws as much."""
WARM_S = 600.0
NOT_SAID = "write it down"


def _stated_a(bench: Bench) -> float:
    """Ten amps, or what the bike draws all the time where that is less."""
    asked = [load(bench.case, each.path).continuous_a for each in bench.build.controllers.values()]
    least_a = min(asked)
    return USUAL_A if least_a >= USUAL_A else floor(10 * least_a) / 10


def drops(bench: Bench, _report: Report) -> Section | None:
    try:
        amps_a = _stated_a(bench)
    except Unknown:
        return None
    rows = [row for name in bench.drawing.ways for row in _way_rows(bench, name, amps_a)]
    for lead in bench.cables():
        told, expected = _expected(_lead_v(bench, lead, amps_a))
        data = {**bench.between(lead), "packs_in": bench.packs_for(lead.path), "at_a": amps_a, **expected}
        rows.append(((bench.lead(lead.name), bench.pack_for(lead.path), *told), data))
    for joiner in bench.build.joiners.values():
        if joiner.built_in is not None:
            continue
        for lead in bench.drawing.leads_into.get(joiner.name, []):
            what = f"{bench.name(joiner.name)}, from {bench.lead(lead.name)}"
            told, expected = _expected(_joiner_v(bench, joiner, amps_a), _held_v(joiner))
            data = {"joiner": joiner.name, "from_lead": lead.name, "packs_in": bench.packs_for(lead.path)}
            data |= {"at_a": amps_a, **expected}
            rows.append(((what, bench.pack_for(lead.path), *told), data))
    notes = [*words.DROP_NOTES]
    if any(lead.fuse.presence == FITTED for lead in bench.cables()):
        notes.append(words.FUSE_DROP)
    if any(joiner.type == "diode" for joiner in bench.build.joiners.values()):
        notes.append(words.DIODE_DROP)
    if any(len(each) > 1 for each in units(bench.build)):
        notes.append(words.BONDED_DROP)
    if any(joiner.type == "ideal-diode" for joiner in bench.build.joiners.values()):
        notes.append(words.DEAD_GATE.format(volts=f"{1e3 * DEAD_GATE_V:.0f} mV", amps=f"{DEAD_GATE_A:g} A"))
    heads = ("part or way", "pack in", f"mV at {shown(amps_a)} A", "too much above")
    lines = tuple(line.format(amps=f"{shown(amps_a)} A") for line in words.DROP)
    section = Section("millivolts under load", lines, notes=tuple(notes), name="drops")
    return section.with_rows(heads, rows, ("mV", "at A"), ("right",))


def _way_rows(bench: Bench, pack: str, amps_a: float) -> Iterator[tuple[tuple[str, ...], dict[str, Any]]]:
    """The whole way from a pack to each controller: the sum of its parts."""
    build = bench.build
    for way in bench.drawing.ways[pack]:
        low_v, high_v, held_v = 0.0, 0.0, 0.0
        for path in way[1:-1]:
            section, name, _ = steps_of(path)
            each = (
                _lead_v(bench, build.leads[name], amps_a)
                if section == "leads"
                else _joiner_v(bench, build.joiners[name], amps_a)
            )
            if each is None:
                break
            low_v, high_v = low_v + each[0], high_v + each[1]
            held_v += max(each[1], _held_v(build.joiners[name]) if section == "joiners" else 0.0)
        else:
            to = name_of(way[-1])
            told, expected = _expected((low_v, high_v), held_v)
            data = {"pack": pack, "controller": to, "packs_in": [[*bench.unit(pack)]], "at_a": amps_a, **expected}
            yield (f"whole way, {bench.name(pack)} to {bench.name(to)}", bench.packs_in(pack), *told), data


def _lead_v(bench: Bench, lead: Lead, amps_a: float) -> tuple[float, float] | None:
    """Both conductors at 20 degC with their contacts as new: from, to [V]."""
    try:
        low_ohm, high_ohm = described_ohm(bench.case, bench.case.build.leads[lead.name])
    except Unknown:
        return None
    return low_ohm * amps_a, high_ohm * amps_a


def _joiner_v(bench: Bench, joiner: Joiner, amps_a: float) -> tuple[float, float] | None:
    """One path of a joiner: as the file says, else within the span for its type: from, to [V]."""
    attr = "forward_v" if joiner.type == "diode" else "resistance_ohm"
    given = said_of(bench.build, joiner, attr)
    span = (given, given) if given is not None else ends(bench.build, joiner, attr)
    if joiner.built_in is not None or len(span) < 2:
        return None
    return (min(span), max(span)) if joiner.type == "diode" else (min(span) * amps_a, max(span) * amps_a)


def _held_v(joiner: Joiner) -> float:
    """The drop that an ideal diode holds by itself, however little flows [V]."""
    return REGULATED_V if joiner.type == "ideal-diode" else 0.0


def _expected(span_v: tuple[float, float] | None, least_v: float = 0.0) -> tuple[tuple[str, str], dict[str, Any]]:
    """What to read, and from where on it is more than described, as for readings in the file: in words [mV], and [V].

    `least_v`: below it nothing is too much, for what ideal diodes hold by themselves.
    """
    if span_v is None:
        return (NOT_SAID, ""), {"low_v": None, "high_v": None, "too_much_v": None}
    low, high = (_millivolts(each) for each in span_v)
    too_much_v = max(least_v, (1 + BAND) * span_v[1])
    told = (low if low == high else f"{low} to {high}"), f"{_millivolts(too_much_v)} mV"
    return told, {"low_v": span_v[0], "high_v": span_v[1], "too_much_v": too_much_v}


def _millivolts(volts_v: float) -> str:
    return shown(round(1e3 * volts_v, 1)) if volts_v < 0.1 else f"{1e3 * volts_v:.0f}"


def idle(bench: Bench, _report: Report) -> Section:
    rows: Rows = []
    for name in [each[0] for each in units(bench.build) if each[0] in bench.drawing.ways]:
        behind = accessories_behind(bench.case, path_to("packs", name))
        told = [
            f"{bench.name(each.name)} {show(each.standby_a, Kind.CURRENT)}"
            for each in behind
            if each.standby_a is not None
        ]
        silent = [bench.name(each.name) for each in behind if each.standby_a is None]
        silent += [words.OWN_DRAW]
        row = (bench.packs_in(name), f"{listed(told)}, and {listed(silent)}" if told else listed(silent))
        draws = [{"accessory": each.name, "standby_a": each.standby_a} for each in behind]
        rows.append((row, {"packs_in": [list(bench.unit(name))], "draws": draws}))
    section = Section("what it draws when off", words.IDLE, name="idle")
    return section.with_rows(("pack in", "expected"), rows, ("mA",), ("seen",))


def warm(bench: Bench, _report: Report) -> Section | None:
    found: list[tuple[tuple[str, ...], float, dict[str, Any]]] = []
    try:
        for lead in bench.cables():
            plugs = f"{bench.name(lead.source)} and {bench.name(lead.target)}"
            data = {**bench.between(lead), "packs_in": bench.packs_for(lead.path)}
            told = bench.lead(lead.name), plugs, bench.pack_for(lead.path)
            found.append((told, _drawn_a(bench, lead.path), data))
        for joiner in bench.build.joiners.values():
            if joiner.built_in is None:
                expected, body = _body(bench, joiner)
                data = {"joiner": joiner.name, "packs_in": bench.packs_for(joiner.path), **body}
                told = bench.name(joiner.name), expected, bench.pack_for(joiner.path)
                found.append((told, _drawn_a(bench, joiner.path), data))
    except Unknown:
        return None
    one = {amps_a for _, amps_a, _ in found}
    heads: tuple[str, ...] = ("part", "plugs at, or what to expect", "pack in")
    reads = ("one end °C", "other end °C")
    if len(one) == 1:
        amps = f"{shown(max(one))} A"
        rows: Rows = [(told, {**data, "at_a": amps_a}) for told, amps_a, data in found]
    else:
        amps, heads = words.OF_ITS_ROW, (*heads, "at")
        rows = [((*told, f"{shown(amps_a)} A"), {**data, "at_a": amps_a}) for told, amps_a, data in found]
    lines = tuple(line.format(amps=amps) for line in words.WARM)
    return Section("warmth after ten minutes", lines, name="warmth").with_rows(heads, rows, reads, ("right",))


def _drawn_a(bench: Bench, path: PartPath) -> float:
    """What the controllers that a part feeds draw together all the time [A]."""
    ahead = bench.drawing.controllers_ahead.get(path, ())
    return sum(load(bench.case, bench.build.controllers[name].path).continuous_a for name in ahead)


def _body(bench: Bench, joiner: Joiner) -> tuple[str, dict[str, float | None]]:
    """How warm a body gets above the air, and its limit: in words [K, degC], and [K]."""
    limit = f"at most {joiner.body_limit_k - ZERO_C_K:.0f} °C"
    data: dict[str, float | None] = {"rise_low_k": None, "rise_high_k": None, "limit_k": joiner.body_limit_k}
    try:
        warmth = joiner_warmth(bench.case, joiner.name)
    except Unknown:
        return limit, data
    low_k, high_k = warmth.low_k - bench.build.warmest_k, warmth.middle_k - bench.build.warmest_k
    if high_k > joiner.body_limit_k:
        return limit, data
    share = 1 - exp(-WARM_S / BODY_S)
    data |= {"rise_low_k": share * low_k, "rise_high_k": share * high_k}
    low, high = f"{share * low_k:.0f}", f"{share * high_k:.0f}"
    rise = high if low == high else f"{low} to {high}"
    return f"body {rise} K above the air (estimate); {limit}", data


def chargers(bench: Bench, _report: Report) -> Section:
    rows: Rows = []
    for each in card(bench.case).pairings:
        charger = bench.build.chargers[each.charger]
        if each.verdict != "yes" or charger.output_v is None:
            continue
        low_v, high_v = ((1 + sign * VOLTAGE_BAND) * charger.output_v for sign in (-1, 1))
        amps = f"at most {show(charger.current_a, Kind.CURRENT)}" if charger.current_a is not None else NOT_SAID
        _, ends_at = bench.pack_v(each.pack)
        end_v = bench.volts(each.pack)["full_charge_v"]
        if end_v is not None and charger.output_v < end_v:
            end_v, ends_at = charger.output_v, show(charger.output_v, Kind.VOLTAGE)
        row = (
            bench.called.charger(each.charger),
            f"{low_v:.1f} to {high_v:.1f} V",
            bench.packs_in(each.pack),
            amps,
            ends_at,
        )
        data = {
            "charger": each.charger,
            "packs_in": [list(bench.unit(each.pack))],
            "low_v": low_v,
            "high_v": high_v,
            "most_a": charger.current_a,
            "end_v": end_v,
        }
        rows += [(row, data)] if row not in [told for told, _ in rows] else []
    heads = ("charger", "without a pack", "on pack", "charges with", "ends at")
    section = Section("charging", words.CHARGERS, name="charging")
    return section.with_rows(heads, rows, ("V", "A", "end V"), ("right",))
