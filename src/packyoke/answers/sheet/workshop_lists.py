"""The lists of the work sheet: packs, parts, joiners, what to cut, join, fuse, lay, set, accept and stick on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from packyoke.analysis.circuit.load import controller_load
from packyoke.analysis.harness.routes import Routes, route_of
from packyoke.answers.bill import bill_json, bill_notes, bill_table, sums, valid_until
from packyoke.answers.check.as_json import assumed_data, finding_data
from packyoke.answers.drawn import wire
from packyoke.answers.inherited import inherited
from packyoke.answers.plan.page import cut_data, setting_data, setting_words
from packyoke.answers.sheet import workshop_words as words
from packyoke.answers.sheet.bench import Bench
from packyoke.answers.sheet.called import said
from packyoke.answers.sheet.workshop_page import NAMES, Data, PenTable, Rows, Section
from packyoke.answers.sheet.workshop_tests import tests
from packyoke.core.field_paths import line_in
from packyoke.core.findings import Amount, Severity, clean
from packyoke.core.paths import PartPath, owner_of, path_inside, path_to, steps_of
from packyoke.core.units import Kind, show
from packyoke.core.words import listed
from packyoke.making.cutting import fuse_words
from packyoke.making.lists import Joint, Setting
from packyoke.model import FITTED, Build, Fuse, Lead, Run, Unknown
from packyoke.planning.result import Plan
from packyoke.verdict.layout import pack_about
from packyoke.verdict.report import Report

WHOLE = 1000
"""Letters of a sentence: none is cut."""


@dataclass(frozen=True, slots=True)
class Work:
    """What the sheet is made of. `made`: leads that the plan chose, none where the file gives the whole harness."""

    bench: Bench
    report: Report
    plan: Plan
    made: frozenset[str]
    ways: Routes

    @property
    def build(self) -> Build:
        return self.bench.build

    def name(self, name: str) -> str:
        return self.bench.name(name)

    def part(self, path: PartPath) -> str:
        """A part that something was found at: a lead with its ends, else its name."""
        section, name, inside = steps_of(path)
        lead = self.build.leads.get(name) if section == "leads" and not inside else None
        if lead is not None:
            return f"{self.name(name)}, {self.name(lead.source)} to {self.name(lead.target)}"
        if section != "chargers" and name in self.bench.called.signs:
            return line_in(self.name(name), inside) if inside else self.name(name)
        return said(self.report.label(path), WHOLE)

    def lead(self, name: str) -> str:
        return self.bench.lead(name)


def sections(work: Work, day: date) -> Iterator[Section]:
    """Everything between the drawing and the signatures, in the order of the work."""
    yield _found(work)
    if work.bench.called.signs:
        rows = (((sign, said(name)), {"sign": sign, "name": name}) for sign, name in work.bench.called.told())
        yield Section(NAMES, words.NAMES, name="names").with_rows(("here", "name in the file"), rows)
    yield _packs(work)
    yield Section("Prepare", steps=words.PREPARE, name="prepare")
    yield _parts(work, day)
    if any(not joiner.built_in for joiner in work.build.joiners.values()):
        yield _joiners(work)
    if work.plan.pieces:
        yield _cut(work)
    if (fuses := _fuses(work)) is not None:
        yield fuses
    if work.plan.joints:
        yield _join(work)
    yield _lay(work)
    yield _settings(work)
    yield from _not_known(work)
    if taken := inherited(work.build):
        yield Section("Taken over", tuple(f"{each}." for each in taken), name="taken over")
    yield from tests(work.bench, work.report)
    yield Section("Last", steps=words.LAST, long=True, name="last")


def _packs(work: Work) -> Section:
    rows = []
    for pack in work.build.packs.values():
        low, full = work.bench.pack_v(pack.name)
        in_lead = any(each.source == pack.name and each.fuse.presence == FITTED for each in work.build.leads.values())
        fuse = "in its lead" if in_lead else pack.fuse.presence or "not in the file"
        fuse = fuse_words(pack.fuse) if pack.fuse.presence == FITTED else fuse
        outlet = str(pack.outlet or "not in the file")
        rack = said(pack.rack) if pack.rack and pack.rack != "none" else ""
        place = work.bench.called.place(pack.place_name) if pack.place_name else rack
        row = (work.name(pack.name), pack_about(pack), low, full, outlet, fuse, place)
        data = {
            "pack": pack.name,
            "chemistry": pack.chemistry,
            "series": pack.series,
            "capacity_coulomb": pack.capacity_coulomb,
            **work.bench.volts(pack.name),
            "outlet": str(pack.outlet) if pack.outlet else None,
            "fuse": _fuse_data(pack.fuse),
            "fuse_in_its_lead": in_lead,
            "place": pack.place_name,
            "rack": pack.rack,
        }
        rows.append((row, data))
    heads = ("pack", "what it is", "cut-off", "full", "outlet", "fuse in it", "sits")
    return Section("The packs", name="packs").with_rows(heads, rows, ("as it came, V",), ("sound",))


def _fuse_data(fuse: Fuse) -> dict[str, Any]:
    return {
        "presence": fuse.presence,
        "family": fuse.family,
        "rating_a": fuse.rating_a,
        "voltage_v": fuse.voltage_v,
        "sealed": fuse.sealed,
    }


def _parts(work: Work, day: date) -> Section:
    if not work.plan.bill:
        return Section("Parts", (words.NO_PARTS,), name="parts")
    heads, found = bill_table(work.plan)
    rows = tuple((row[0], clean(row[1], WHOLE), *row[2:]) for row in found)
    notes = [f"{row[1]}: {row[3]}" for row in sums(work.plan)[:-1]]
    notes = [_upper("; ".join(notes))] if notes else []
    notes += bill_notes(work.plan, valid_until(work.plan, day))
    table = PenTable(tuple(heads), rows, (), ("there",))
    bill = tuple(bill_json(work.plan)["bill"])
    return Section("Parts", (words.PARTS,), table=table, notes=tuple(notes), name="parts", data=bill)


def _joiners(work: Work) -> Section:
    rows = []
    for joiner in work.build.joiners.values():
        if joiner.built_in is not None:
            continue
        marked = f"marked {show(joiner.marked_v, Kind.VOLTAGE)}" if joiner.marked_v is not None else "not in the file"
        volts = show(joiner.ceiling_v, Kind.VOLTAGE) if joiner.ceiling_v is not None else marked
        bears_a = joiner.current_continuous_a
        amps = show(bears_a, Kind.CURRENT) if bears_a is not None else "not in the file"
        blocks = f", blocks in the {joiner.blocks_in}" if joiner.blocks_in and joiner.blocking else ""
        place = work.bench.called.place(joiner.place_name) if joiner.place_name else ""
        where = ", ".join(each for each in (place, joiner.mount or "") if each)
        planned = any(each.path == joiner.path for each in work.plan.new)
        new = f" ({words.PLANNED})" if planned else ""
        about = f"{joiner.type or 'type not in the file'}{blocks}{new}"
        row = (work.name(joiner.name), about, volts, amps, where or "not in the file")
        data = {
            "joiner": joiner.name,
            "type": joiner.type,
            "blocks_in": joiner.blocks_in if joiner.blocking else None,
            "ceiling_v": joiner.ceiling_v,
            "path_a": bears_a,
            "place": joiner.place_name,
            "mount": joiner.mount,
            "planned": planned,
        }
        rows.append((row, data))
    heads = ("joiner", "what it is", "at most", "each path", "where it sits")
    return Section("Joiners", words.JOINERS, name="joiners").with_rows(heads, rows, (), ("fitted", "free"))


def _cut(work: Work) -> Section:
    rows = []
    for piece in work.plan.pieces:
        lead = work.build.leads[piece.lead]
        items = f" ({clean(piece.plus_item, WHOLE)} +, {clean(piece.minus_item, WHOLE)} −)" if piece.plus_item else ""
        length = show(piece.length_m, Kind.LENGTH, work.bench.system) if piece.length_m is not None else "measure it"
        kind = f"{wire(lead)} {piece.insulation}{items}"
        marks = f"{work.name(piece.source)} / {work.name(piece.target)}"
        chosen = words.PLANNED if piece.lead in work.made else words.GIVEN
        data = {"number": work.bench.numbers[piece.lead], **cut_data(piece._replace(planned=piece.lead in work.made))}
        rows.append(((work.lead(piece.lead), kind, length, marks, chosen), data))
    heads = ("lead", "wire", "length", "marks at its ends", "chosen")
    notes = tuple(_upper(each) for each in work.plan.notes)
    section = Section("Cut and mark", (words.CUT_FIRST, words.MAKE[0]), notes=notes, name="cut")
    return section.with_rows(heads, rows, (), ("plus cut", "minus cut", "marked"))


def _upper(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _join(work: Work) -> Section:
    methods = {joint.method for joint in work.plan.joints if joint.end != "fuse"}
    steps = [*words.MAKE[1:]]
    steps += [words.SOLDER] if methods & {"solder cup", "solder", "as its maker says"} else []
    steps += [words.CRIMP] if methods & {"crimp", "as its maker says"} else []
    steps += [words.OTHER_JOINTS] if "as its maker says" in methods else []
    steps.append(words.INSULATE)
    framed = [work.lead(piece.lead) for piece in work.plan.pieces if work.build.leads[piece.lead].run.in_frame]
    steps += [words.FRAME.format(leads=listed(framed))] if framed else []
    steps.append(words.BARE)
    rows = tuple(_joint_rows(work, work.plan.joints))
    table = PenTable(("lead", "at", "onto", "bare", "how"), rows, (), ("plus", "minus", "sleeved", "pulled"))
    data = tuple(joint._asdict() for joint in work.plan.joints)
    return Section("Join", steps=tuple(steps), table=table, name="join", data=data)


def _joint_rows(work: Work, joints: Sequence[Joint]) -> Iterator[tuple[str, ...]]:
    """One row for each end, and one for each holder of a fuse."""
    seen: set[tuple[str, str]] = set()
    for joint in joints:
        if (joint.lead, joint.end) in seen:
            continue
        seen.add((joint.lead, joint.end))
        lead = work.build.leads.get(joint.lead)
        name = work.lead(joint.lead) if lead is not None else work.name(joint.lead)
        bare = show(joint.bare_m, Kind.LENGTH, work.bench.system) if joint.bare_m is not None else "as its maker says"
        onto, how = clean(joint.connector), joint.method
        if joint.end == "fuse":
            onto, how = f"holder for {onto}", "both tails, in the plus only"
        elif joint.end == "to" and lead is not None and lead.run.in_frame:
            how = f"{how}; {words.AFTER_PULLING}"
        yield name, work.name(joint.at), onto, bare, how


def _fuses(work: Work) -> Section | None:
    build = work.build
    sealed = [work.name(pack.name) for pack in build.packs.values() if pack.fuse.sealed]
    fitted = [
        (work.bench.called.signs.get(pack.name) or f"pack {said(pack.name)}", "inside it or at its outlet", pack.fuse)
        for pack in build.packs.values()
        if not pack.fuse.sealed
    ]
    fitted += [(work.lead(lead.name), f"at {work.name(lead.source)}", lead.fuse) for lead in build.leads.values()]
    for each in build.accessories.values():
        fitted.append((work.name(each.name), f"at {listed(map(work.name, each.sources))}", each.fuse))
    chosen = {path_inside(each.path, "fuse") for each in work.plan.filled if each.attr == "fuse"}
    chosen |= {path_inside(path_to("leads", name), "fuse") for name in work.made}
    rows = [
        (
            (part, where, fuse_words(fuse), words.PLANNED if fuse.path in chosen else words.GIVEN),
            {"part": owner_of(fuse.path), **_fuse_data(fuse), "planned": fuse.path in chosen},
        )
        for part, where, fuse in fitted
        if fuse.presence == FITTED
    ]
    notes = (words.SEALED.format(packs=listed(sealed)),) if sealed else ()
    if not rows:
        return Section("Fuses", notes, name="fuses") if notes else None
    section = Section("Fuses", (words.HOLDER,), notes=notes, name="fuses")
    return section.with_rows(("in", "where", "fuse", "chosen"), rows, (), ("in the plus", "print read", "fuse in"))


def _lay(work: Work) -> Section:
    build = work.build
    leads = work.bench.cables()
    rows: Rows = []
    for lead in _from_the_controller(build, leads):
        way = route_of(build, work.ways, lead)
        along = ", ".join(map(work.bench.called.place, way.places)) if way is not None else ""
        laid = "plugged straight in" if lead.direct else _laid(work, lead.run)
        inlet = f", inlet {lead.inlet}" if lead.inlet is not None else ""
        ends = f"{work.name(lead.source)} to {work.name(lead.target)}{inlet}"
        data = {
            "lead": lead.name,
            "number": work.bench.numbers[lead.name],
            "source": lead.source,
            "target": lead.target,
            "inlet": lead.inlet,
            "way": list(way.places) if way is not None else [],
            "direct": lead.direct,
            "in_frame": lead.run.in_frame,
            "moving": lead.run.moving,
            "beside_leads": list(lead.run.beside_leads),
            "beside_others": lead.run.beside,
        }
        rows.append(((work.lead(lead.name), ends, along or "free", laid), data))
    for accessory in build.accessories.values():
        fed = f"fed from {listed(map(work.name, accessory.sources))}"
        row = (work.name(accessory.name), fed, "free", "by itself")
        rows.append((row, {"accessory": accessory.name, "sources": list(accessory.sources)}))
    moving = [work.name(lead.name) for lead in leads if lead.run.moving]
    steps = words.LAY + ((words.MOVING.format(leads=listed(moving)),) if moving else ())
    heads = ("lead", "from, to", "along", "how it lies")
    section = Section("Lay and fit", steps=steps, signed=True, name="lay")
    return section.with_rows(heads, rows, (), ("fitted", "clamped", "drip loop"))


def _from_the_controller(build: Build, leads: Sequence[Lead]) -> Iterator[Lead]:
    """The leads with those first that end at a controller, then what feeds them, the packs' own last."""
    waiting = [*build.controllers]
    left = {lead.name: lead for lead in leads}
    joiners: list[Lead] = []
    packs: list[Lead] = []
    while waiting:
        name = waiting.pop(0)
        for lead in [each for each in left.values() if each.target == name]:
            del left[lead.name]
            (packs if lead.source in build.packs else joiners).append(lead)
            waiting.append(lead.source)
    yield from (*joiners, *packs, *left.values())


def _laid(work: Work, run: Run) -> str:
    beside = [f"beside {work.name(name)}" for name in run.beside_leads]
    beside += [f"beside {run.beside} other{'s' if run.beside > 1 else ''}"] if run.beside else []
    told = [*(["in the frame"] if run.in_frame else []), *(["moves"] if run.moving else []), *beside]
    return ", ".join(told) or "open, by itself"


def _settings(work: Work) -> Section:
    rows: Rows = [
        ((work.name(each.part), each.what, setting_words(each)), setting_data(each)) for each in work.plan.settings
    ]
    rows = rows or [_asked_a(work, name) for name in work.build.controllers]
    section = Section("Settings of the controller", words.SETTINGS, name="settings")
    return section.with_rows(("controller", "setting", "value"), rows, ("read back",), ("set",))


def _asked_a(work: Work, name: str) -> tuple[tuple[str, ...], Data]:
    what = "battery current"
    try:
        most_a = controller_load(work.bench.case, name, tuple(work.build.packs)).most_a
    except Unknown:
        return (work.name(name), what, "not in the file"), {"part": name, "what": what, "value": None, "unit": "A"}
    row = (work.name(name), what, show(most_a, Kind.CURRENT))
    return row, setting_data(Setting(name, what, Amount(most_a, "A")))


def _found(work: Work) -> Section:
    rows, notes = [], []
    told = [each for each in work.report.findings if not each.usual]
    for each in told:
        if each.severity != Severity.CAUTION:
            notes.append(f"{work.part(each.part)}: {clean(each.message, WHOLE)}. {clean(each.do, WHOLE)}")
            continue
        figure = f" Found {each.found}, limit {each.limit}." if each.found and each.limit else ""
        what = f"{_upper(clean(each.message, WHOLE))}{figure} {clean(each.why, WHOLE)}"
        rows.append((work.part(each.part), what, clean(each.accepted, WHOLE) or words.TO_ACCEPT))
    table = PenTable(("part", "caution", "accepted"), tuple(rows)) if rows else None
    return Section(
        "What the check found",
        (words.ACCEPTED if rows else words.NOTHING_FOUND,),
        table=table,
        notes=tuple(notes),
        long=True,
        name="found",
        data=tuple(map(finding_data, told)),
    )


def _not_known(work: Work) -> Iterator[Section]:
    assumed = [
        ((work.part(each.part), each.field.replace("_", " "), each.text), assumed_data(each))
        for each in work.report.assumed
        if each.field
    ]
    if assumed:
        section = Section("Not known for sure", words.ASSUMED, name="not known")
        yield section.with_rows(("part", "what", "may be"), assumed, ("measured",))
