"""The tests of a finished harness: what is measured where, and what the parts of the file let one expect."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise
from typing import Any

from packyoke.analysis.bench.joiner_tests import BLOCKS_BELOW_V, PLAIN_SHARE
from packyoke.analysis.harness.sets import units
from packyoke.analysis.limits.leads import inlet_index
from packyoke.answers.sheet import workshop_words as words
from packyoke.answers.sheet.bench import Bench
from packyoke.answers.sheet.loaded_tests import chargers, drops, idle, warm
from packyoke.answers.sheet.workshop_page import Rows, Section
from packyoke.core.findings import shown
from packyoke.core.paths import is_joiner, name_of, path_to
from packyoke.core.units import Kind, show
from packyoke.core.words import listed
from packyoke.model import FITTED, Build, Joiner, Lead
from packyoke.verdict.report import Report

MOST_PAIRED = 6
"""Up to this many packs every pair is tried; above it each pack with the next one of the file."""


def tests(bench: Bench, report: Report) -> Iterator[Section]:
    """Every test in its order, with a line to sign at the end of each phase: dead, live, under load."""
    phases = ((_polarity,), (_live, _joiners, _dead, _together), (drops, warm, idle, chargers))
    number = 0
    for phase in phases:
        found = [section for make in phase if (section := make(bench, report)) and section.table and section.table.rows]
        for section in found:
            number += 1
            yield section._replace(title=f"Test {number}: {section.title}", signed=section is found[-1], test=number)


def _polarity(bench: Bench, _report: Report) -> Section:
    rows: Rows = []
    for lead in bench.cables():
        if lead.direct:
            continue
        ends = _end(lead, 0), bench.name(lead.source), _end(lead, 1), bench.name(lead.target)
        plugs = [str(end) if end is not None else None for end in lead.ends]
        rows.append(((bench.lead(lead.name), *ends), {**bench.between(lead), "ends": plugs}))
    for accessory in bench.build.accessories.values():
        fitted = accessory.fuse.presence == FITTED
        fuse = f"fuse {shown(accessory.fuse.rating_a or 0.0)} A" if fitted else "no fuse"
        at = listed(map(bench.name, accessory.sources))
        fuse_a = accessory.fuse.rating_a if fitted else None
        data = {"accessory": accessory.name, "sources": list(accessory.sources), "fuse_a": fuse_a}
        rows.append(((bench.name(accessory.name), fuse, at, "its own plug", ""), data))
    heads = ("lead", "one end", "one end at", "other end", "other end at")
    ticks = ("marks agree, both", "+ to +", "− to −", "+ to − open")
    return Section("plus is plus at every end", words.POLARITY, name="polarity").with_rows(heads, rows, (), ticks)


def _end(lead: Lead, side: int) -> str:
    end = lead.ends[side]
    return str(end) if end is not None else "its end"


def _live(bench: Bench, _report: Report) -> Section:
    rows: Rows = []
    for lead in bench.cables():
        if lead.direct:
            continue
        pack = bench.drawing.packs_behind[lead.path][0]
        own = words.OWN_READING.format(span=bench.span_v(pack))
        data = {**bench.between(lead), "packs_in": [[pack]], **bench.reads(pack)}
        rows.append(((bench.lead(lead.name), bench.name(pack), bench.name(lead.target), own), data))
    section = Section("voltage and polarity at every far end", words.LIVE, name="live")
    heads = ("lead", "pack in", "far end at", "reads")
    return section.with_rows(heads, rows, ("pack, V", "here, V"), ("right way",))


def _joiners(bench: Bench, _report: Report) -> Section:
    rows: Rows = []
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
                told, expected = _blocks(joiner)
                data = {"joiner": joiner.name, "inlet": inlet + 1, "lead": own.name if own is not None else None}
                data |= {"packs_in": [[others[0]]], **expected}
                rows.append(((bench.name(joiner.name), of, bench.name(others[0]), told), data))
    heads = ("joiner", "across", "pack in", "expected")
    section = Section("every inlet of every joiner", words.JOINER_TEST, notes=words.JOINER_NOTES, name="inlets")
    return section.with_rows(heads, rows, ("V",), ("right",))


def _blocks(joiner: Joiner) -> tuple[str, dict[str, Any]]:
    """What an inlet reads, in words; below how many volts, or from which share of the pack's voltage on."""
    low, share = f"below {BLOCKS_BELOW_V:g} V", f"{100 * PLAIN_SHARE:.0f} % of the pack's voltage or more"
    blocks = {"blocks": True, "below_v": BLOCKS_BELOW_V, "least_share": None}
    if joiner.type == "selector":
        return f"{low}, with the switch on the pack", blocks
    if joiner.blocking:
        return f"{low}: blocks", blocks
    return f"{share}: plain, as drawn", {"blocks": False, "below_v": None, "least_share": PLAIN_SHARE}


def _dead(bench: Bench, _report: Report) -> Section:
    rows: Rows = []
    notes = []
    for lead in bench.cables():
        others = [name for name in bench.build.packs if name != lead.source and name in bench.drawing.ways]
        if lead.source in bench.build.packs and len(bench.unit(lead.source)) > 1:
            continue  # joined for good: its plug is never open
        if lead.source not in bench.build.packs or not others:
            continue
        plug = "" if lead.direct else f" ({_end(lead, 0)})"
        live = _fed_back(bench, lead.source)
        told, expected = _dead_or_live(dead=not live)
        pack = live or others[0]
        data = {"plug_for": lead.source, "charging_port_of": None, "packs_in": [[pack]], **expected}
        rows.append(((f"plug for {bench.name(lead.source)}{plug}", bench.name(pack), told), data))
    for joiner in bench.build.joiners.values():
        behind = bench.drawing.packs_behind.get(joiner.path, ())
        if joiner.charge_port is not None and behind:
            told, expected = _dead_or_live(dead=joiner.charge_port.blocks == "each pack")
            data = {"plug_for": None, "charging_port_of": joiner.name, "packs_in": [[behind[0]]], **expected}
            rows.append(((f"charging port of {bench.name(joiner.name)}", bench.name(behind[0]), told), data))
    found = [end for lead in bench.cables() for end in lead.ends] + [each.outlet for each in bench.build.packs.values()]
    if any(end is not None and end.family.casefold().startswith("dock") for end in found):
        notes.append("Unused contacts of a dock: measure each against plus and minus before anything is bridged.")
    if any(joiner.blocking and joiner.blocks_in == "negative" for joiner in bench.build.joiners.values()):
        notes.append("A joiner that blocks in the negative leaves plus connected: cap the inlet that is left empty.")
    section = Section("nothing live that should be dead", words.DEAD, notes=tuple(notes), name="dead")
    return section.with_rows(("open contact", "pack in", "expected"), rows, ("V",), ("right",))


def _dead_or_live(dead: bool) -> tuple[str, dict[str, Any]]:
    told = f"dead: below {BLOCKS_BELOW_V:g} V" if dead else "live by nature: capped, no bare pins"
    return told, {"dead": dead, "below_v": BLOCKS_BELOW_V if dead else None}


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
    rows: Rows = []
    notes = []
    for names in _sets(bench.build):
        who = (
            " + ".join(map(bench.name, names))
            if len(names) < len(bench.build.packs) or len(names) < 3
            else "all of them"
        )
        told, data = bench.span_v(names[0]), {"reads": words.OWN, **bench.reads(names[0])}
        if names != bench.unit(names[0]):
            told = _shared_v(bench, names)
            data = {"reads": told, "low_v": None, "high_v": None, "assumed": False}
        rows.append(((who, told), {"packs_in": [list(names)], **data}))
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
    section = Section("each pack alone, each pair, all", tuple(lines), notes=tuple(notes), name="together")
    return section.with_rows(("packs in", "at the controller"), rows, ("V", "who gives"), ("runs", "not hot"))
