"""The tests of a finished harness: what is measured where, and what the parts of the file let one expect."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise
from math import exp, floor

from packyoke.analysis.bench.as_built import BAND, VOLTAGE_BAND
from packyoke.analysis.bench.beyond_limits import DEAD_GATE_A, DEAD_GATE_V
from packyoke.analysis.bench.joiner_tests import BLOCKS_BELOW_V, PLAIN_SHARE
from packyoke.analysis.charging.card import card
from packyoke.analysis.circuit.load import accessories_behind, load
from packyoke.analysis.harness.sets import units
from packyoke.analysis.limits.heat import BODY_S, joiner_warmth
from packyoke.analysis.limits.leads import inlet_index, lead_resistance_ohm
from packyoke.analysis.unknowns.spans import ends
from packyoke.answers.sheet import workshop_words as words
from packyoke.answers.sheet.bench import Bench
from packyoke.answers.sheet.called import listed
from packyoke.answers.sheet.workshop_page import PenTable, Section
from packyoke.core.constants import ZERO_C_K
from packyoke.core.findings import shown
from packyoke.core.paths import is_joiner, name_of, path_to, steps_of
from packyoke.core.units import Kind, show
from packyoke.model import FITTED, Build, Joiner, Lead, Unknown
from packyoke.model.found import REGULATED_V
from packyoke.verdict.report import Report

USUAL_A = 10.0
"""The current at which drops are stated, where the bike draws as much."""
WARM_S = 600.0
MOST_PAIRED = 6
"""Up to this many packs every pair is tried; above it each pack with the next one of the file."""
NOT_SAID = "write it down"


def tests(bench: Bench, report: Report) -> Iterator[Section]:
    """Every test in its order, with a line to sign at the end of each phase: dead, live, under load."""
    phases = ((_polarity,), (_live, _joiners, _dead, _together), (_drops, _warm, _idle, _chargers))
    number = 0
    for phase in phases:
        found = [section for make in phase if (section := make(bench, report)) and section.table and section.table.rows]
        for section in found:
            number += 1
            yield section._replace(title=f"Test {number}: {section.title}", signed=section is found[-1])


def _polarity(bench: Bench, _report: Report) -> Section:
    rows = [
        (
            bench.lead(lead.name),
            _end(lead, 0),
            bench.name(lead.source),
            _end(lead, 1),
            bench.name(lead.target),
        )
        for lead in bench.cables()
        if not lead.direct
    ]
    for accessory in bench.build.accessories.values():
        fuse = f"fuse {shown(accessory.fuse.rating_a or 0.0)} A" if accessory.fuse.presence == FITTED else "no fuse"
        rows.append(
            (
                bench.name(accessory.name),
                fuse,
                listed(map(bench.name, accessory.sources)),
                "its own plug",
                "",
            )
        )
    ticks = ("marks agree, both", "+ to +", "− to −", "+ to − open")
    table = PenTable(("lead", "one end", "one end at", "other end", "other end at"), tuple(rows), (), ticks)
    return Section("plus is plus at every end", words.POLARITY, table=table)


def _end(lead: Lead, side: int) -> str:
    end = lead.ends[side]
    return str(end) if end is not None else "its end"


def _live(bench: Bench, _report: Report) -> Section:
    rows = []
    for lead in bench.cables():
        if lead.direct:
            continue
        pack = bench.drawing.packs_behind[lead.path][0]
        own = words.OWN_READING.format(span=bench.span_v(pack))
        rows.append((bench.lead(lead.name), bench.name(pack), bench.name(lead.target), own))
    table = PenTable(("lead", "pack in", "far end at", "reads"), tuple(rows), ("pack, V", "here, V"), ("right way",))
    return Section("voltage and polarity at every far end", words.LIVE, table=table)


def _joiners(bench: Bench, _report: Report) -> Section:
    rows = []
    for joiner in bench.build.joiners.values():
        into = bench.drawing.leads_into.get(joiner.name, [])
        if joiner.bonded is not None:
            continue
        by_inlet = {inlet_index(bench.case, lead): lead for lead in into}
        for inlet in range(joiner.inputs):
            own = by_inlet.get(inlet)
            rest = (lead for lead in into if lead is not own)
            others = [pack for lead in rest for pack in bench.drawing.packs_behind.get(lead.path, ())]
            if others:
                of = f"inlet of {bench.lead(own.name)}" if own is not None else f"inlet {inlet + 1}, left empty"
                rows.append((bench.name(joiner.name), of, bench.name(others[0]), _blocks(joiner)))
    table = PenTable(("joiner", "across", "pack in", "expected"), tuple(rows), ("V",), ("right",))
    return Section("every inlet of every joiner", words.JOINER_TEST, table=table, notes=words.JOINER_NOTES)


def _blocks(joiner: Joiner) -> str:
    low, share = f"below {BLOCKS_BELOW_V:g} V", f"{100 * PLAIN_SHARE:.0f} % of the pack's voltage or more"
    if joiner.type == "selector":
        return f"{low}, with the switch on the pack"
    return f"{low}: blocks" if joiner.blocking else f"{share}: plain, as drawn"


def _dead(bench: Bench, _report: Report) -> Section:
    rows, notes = [], []
    for lead in bench.cables():
        others = [name for name in bench.build.packs if name != lead.source and name in bench.drawing.ways]
        if lead.source in bench.build.packs and len(bench.unit(lead.source)) > 1:
            continue  # joined for good: its plug is never open
        if lead.source not in bench.build.packs or not others:
            continue
        plug = "" if lead.direct else f" ({_end(lead, 0)})"
        live = _fed_back(bench, lead.source)
        expected = "live by nature: capped, no bare pins" if live else f"dead: below {BLOCKS_BELOW_V:g} V"
        rows.append((f"plug for {bench.name(lead.source)}{plug}", bench.name(live or others[0]), expected))
    for joiner in bench.build.joiners.values():
        behind = bench.drawing.packs_behind.get(joiner.path, ())
        if joiner.charge_port is not None and behind:
            dead = joiner.charge_port.blocks == "each pack"
            expected = f"dead: below {BLOCKS_BELOW_V:g} V" if dead else "live by nature: capped, no bare pins"
            rows.append((f"charging port of {bench.name(joiner.name)}", bench.name(behind[0]), expected))
    found = [end for lead in bench.cables() for end in lead.ends] + [each.outlet for each in bench.build.packs.values()]
    if any(end is not None and end.family.casefold().startswith("dock") for end in found):
        notes.append("Unused contacts of a dock: measure each against plus and minus before anything is bridged.")
    if any(joiner.blocking and joiner.blocks_in == "negative" for joiner in bench.build.joiners.values()):
        notes.append("A joiner that blocks in the negative leaves plus connected: cap the inlet that is left empty.")
    table = PenTable(("open contact", "pack in", "expected"), tuple(rows), ("V",), ("right",))
    return Section("nothing live that should be dead", words.DEAD, table=table, notes=tuple(notes))


def _fed_back(bench: Bench, pack: str) -> str:
    """Another pack whose voltage reaches the open plug of this one: through plain joiners only; empty: none."""
    for way in bench.drawing.ways.get(pack, ()):
        for path in way:
            joiner = bench.build.joiners.get(name_of(path)) if is_joiner(path) else None
            if joiner is None:
                continue
            if joiner.type != "plain":
                break
            plain = [other for other in bench.drawing.packs_behind[path] if other != pack]
            if plain:
                return plain[0]
    return ""


def _sets(build: Build) -> list[tuple[str, ...]]:
    """Each pack alone, each pair, all; or the sets of the file."""
    if build.sets is not None:
        return sorted(build.sets, key=len)
    parts = units(build)
    pairs = combinations(parts, 2) if len(parts) <= MOST_PAIRED else pairwise(parts)
    found = [*parts, *((*one, *other) for one, other in pairs)]
    return found + ([tuple(build.packs)] if len(parts) > 2 else [])


def _shared_v(bench: Bench, names: tuple[str, ...]) -> str:
    """What stands at the controller with several packs in."""
    fed = [set(bench.drawing.controllers_ahead.get(path_to("packs", name), ())) for name in names]
    if not set.intersection(*fed):
        return words.OWN
    meet = [
        joiner.type
        for joiner in bench.build.joiners.values()
        if len({*names} & {*bench.drawing.packs_behind.get(joiner.path, ())}) > 1
    ]
    return words.SWITCHED if "selector" in meet else words.BETWEEN if "plain" in meet else words.FULLEST


def _together(bench: Bench, report: Report) -> Section:
    rows, notes = [], []
    for names in _sets(bench.build):
        who = (
            " + ".join(map(bench.name, names))
            if len(names) < len(bench.build.packs) or len(names) < 3
            else "all of them"
        )
        alone = names == bench.unit(names[0])
        rows.append((who, bench.span_v(names[0]) if alone else _shared_v(bench, names)))
    joiners = bench.build.joiners.values()
    if len(bench.build.packs) > 1 and any(joiner.blocking for joiner in joiners):
        notes.append(words.BLOCKS_NOTE)
    for kind, told in (("plain", words.PLAIN_NOTE), ("selector", words.SELECTOR_NOTE)):
        named = [bench.name(joiner.name) for joiner in joiners if joiner.type == kind and joiner.bonded is None]
        notes += [told.format(joiners=listed(named))] if named else []
    lines = [*words.TOGETHER]
    for joiner in joiners:
        if joiner.bonded is not None:
            packs = listed(map(bench.name, bench.drawing.packs_behind.get(joiner.path, ())))
            within = show(joiner.bonded.by_v, Kind.VOLTAGE)
            lines.insert(0, words.BOND.format(packs=packs, joiner=bench.name(joiner.name), within=within))
    notes += [words.DIODE_NOTE] if any(joiner.type == "diode" for joiner in joiners) else []
    notes += [words.SPARK] if any(each.rule == "plug-in-spark" for each in report.findings) else []
    if bench.build.sets is None and len(bench.build.packs) > MOST_PAIRED:
        notes.append(f"More than {MOST_PAIRED} packs: each is paired with the next one only.")
    table = PenTable(("packs in", "at the controller"), tuple(rows), ("V", "who gives"), ("runs", "not hot"))
    return Section("each pack alone, each pair, all", tuple(lines), table=table, notes=tuple(notes))


def _stated_a(bench: Bench) -> float:
    """Ten amps, or what the bike draws all the time where that is less."""
    asked = [load(bench.case, each.path).continuous_a for each in bench.build.controllers.values()]
    least_a = min(asked)
    return USUAL_A if least_a >= USUAL_A else floor(10 * least_a) / 10


def _drops(bench: Bench, _report: Report) -> Section | None:
    try:
        amps_a = _stated_a(bench)
    except Unknown:
        return None
    rows = [row for name in bench.drawing.ways for row in _way_rows(bench, name, amps_a)]
    for lead in bench.cables():
        rows.append((bench.lead(lead.name), _pack_for(bench, lead.path), *_expected(_lead_v(bench, lead, amps_a))))
    for joiner in bench.build.joiners.values():
        if joiner.built_in is not None:
            continue
        for lead in bench.drawing.leads_into.get(joiner.name, []):
            what = f"{bench.name(joiner.name)}, from {bench.lead(lead.name)}"
            least_v = REGULATED_V if joiner.type == "ideal-diode" else 0.0
            rows.append((what, _pack_for(bench, lead.path), *_expected(_joiner_v(bench, joiner, amps_a), least_v)))
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
    return Section(
        "millivolts under load",
        lines,
        table=PenTable(heads, tuple(rows), ("mV", "at A"), ("right",)),
        notes=tuple(notes),
    )


def _way_rows(bench: Bench, pack: str, amps_a: float) -> Iterator[tuple[str, ...]]:
    """The whole way from a pack to each controller: the sum of its parts."""
    build = bench.build
    for way in bench.drawing.ways[pack]:
        low_v, high_v = 0.0, 0.0
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
        else:
            to = name_of(way[-1])
            yield (
                f"whole way, {bench.name(pack)} to {bench.name(to)}",
                bench.packs_in(pack),
                *_expected((low_v, high_v)),
            )


def _pack_for(bench: Bench, path: str) -> str:
    behind = bench.drawing.packs_behind[path]
    return bench.packs_in(behind[0]) if behind[0] and {*behind} <= {*bench.unit(behind[0])} else "any behind it"


def _lead_v(bench: Bench, lead: Lead, amps_a: float) -> tuple[float, float] | None:
    """Both conductors at 20 degC with their contacts as new: from, to [V]."""
    try:
        low_ohm, high_ohm = lead_resistance_ohm(bench.case, bench.case.build.leads[lead.name])
    except Unknown:
        return None
    return low_ohm * amps_a, high_ohm * amps_a


def _joiner_v(bench: Bench, joiner: Joiner, amps_a: float) -> tuple[float, float] | None:
    """One path of a joiner: as the file says, else within the span for its type: from, to [V]."""
    attr = "forward_v" if joiner.type == "diode" else "resistance_ohm"
    given = getattr(joiner, attr)
    span = (given, given) if given is not None else ends(bench.build, joiner, attr)
    if joiner.built_in is not None or len(span) < 2:
        return None
    return (min(span), max(span)) if joiner.type == "diode" else (min(span) * amps_a, max(span) * amps_a)


def _expected(span_v: tuple[float, float] | None, least_v: float = 0.0) -> tuple[str, str]:
    """What to read, and from where on it is more than described, as for readings in the file [mV].

    `least_v`: below it nothing is too much, as the drop that an ideal diode holds by itself.
    """
    if span_v is None:
        return NOT_SAID, ""
    low, high = (_millivolts(each) for each in span_v)
    return (low if low == high else f"{low} to {high}"), f"{_millivolts(max(least_v, (1 + BAND) * span_v[1]))} mV"


def _millivolts(volts_v: float) -> str:
    return shown(round(1e3 * volts_v, 1)) if volts_v < 0.1 else f"{1e3 * volts_v:.0f}"


def _idle(bench: Bench, _report: Report) -> Section:
    rows = []
    for name in [each[0] for each in units(bench.build) if each[0] in bench.drawing.ways]:
        behind = accessories_behind(bench.case, path_to("packs", name))
        told = [
            f"{bench.name(each.name)} {show(each.standby_a, Kind.CURRENT)}"
            for each in behind
            if each.standby_a is not None
        ]
        silent = [bench.name(each.name) for each in behind if each.standby_a is None]
        silent += [words.OWN_DRAW]
        rows.append((bench.packs_in(name), f"{listed(told)}, and {listed(silent)}" if told else listed(silent)))
    return Section(
        "what it draws when off", words.IDLE, table=PenTable(("pack in", "expected"), tuple(rows), ("mA",), ("seen",))
    )


def _warm(bench: Bench, _report: Report) -> Section | None:
    try:
        amps = shown(max(load(bench.case, each.path).continuous_a for each in bench.build.controllers.values()))
    except Unknown:
        return None
    rows = [
        (
            bench.lead(lead.name),
            f"{bench.name(lead.source)} and {bench.name(lead.target)}",
            _pack_for(bench, lead.path),
        )
        for lead in bench.cables()
    ]
    for joiner in bench.build.joiners.values():
        if joiner.built_in is None:
            rows.append((bench.name(joiner.name), _body(bench, joiner), _pack_for(bench, joiner.path)))
    lines = tuple(line.format(amps=f"{amps} A") for line in words.WARM)
    heads, reads = ("part", "plugs at, or what to expect", "pack in"), ("one end °C", "other end °C")
    table = PenTable(heads, tuple(rows), reads, ("right",))
    return Section("warmth after ten minutes", lines, table=table)


def _body(bench: Bench, joiner: Joiner) -> str:
    limit = f"at most {joiner.body_limit_k - ZERO_C_K:.0f} °C"
    try:
        warmth = joiner_warmth(bench.case, joiner.name)
    except Unknown:
        return limit
    low_k, high_k = warmth.low_k - bench.build.warmest_k, warmth.middle_k - bench.build.warmest_k
    if high_k > joiner.body_limit_k:
        return limit
    share = 1 - exp(-WARM_S / BODY_S)
    low, high = f"{share * low_k:.0f}", f"{share * high_k:.0f}"
    rise = high if low == high else f"{low} to {high}"
    return f"body {rise} K above the air (estimate); {limit}"


def _chargers(bench: Bench, _report: Report) -> Section:
    rows: list[tuple[str, ...]] = []
    for each in card(bench.case).pairings:
        charger = bench.build.chargers[each.charger]
        if each.verdict != "yes" or charger.output_v is None:
            continue
        low_v, high_v = ((1 + sign * VOLTAGE_BAND) * charger.output_v for sign in (-1, 1))
        amps = f"at most {show(charger.current_a, Kind.CURRENT)}" if charger.current_a is not None else NOT_SAID
        _, full = bench.pack_v(each.pack)
        row = (
            bench.called.charger(each.charger),
            f"{low_v:.1f} to {high_v:.1f} V",
            bench.packs_in(each.pack),
            amps,
            full,
        )
        rows += [row] if row not in rows else []
    heads = ("charger", "without a pack", "on pack", "charges with", "ends at")
    return Section("charging", words.CHARGERS, table=PenTable(heads, tuple(rows), ("V", "A", "end V"), ("right",)))
