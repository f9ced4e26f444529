"""The lists of the work sheet: packs, parts, joiners, what to cut, join, fuse, lay, set, accept and stick on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from packyoke.analysis.circuit.load import controller_load
from packyoke.answers.bill import bill_notes, bill_table, sums, valid_until
from packyoke.answers.drawn import wire
from packyoke.answers.inherited import inherited
from packyoke.answers.plan.page import setting_words
from packyoke.answers.sheet import workshop_words as words
from packyoke.answers.sheet.bench import Bench
from packyoke.answers.sheet.called import listed, said
from packyoke.answers.sheet.workshop_page import NAMES, PenTable, Section
from packyoke.answers.sheet.workshop_tests import tests
from packyoke.core.field_paths import joined
from packyoke.core.findings import Severity, clean
from packyoke.core.paths import path_inside, path_to, steps_of
from packyoke.core.units import Kind, show
from packyoke.making.cutting import fuse_words
from packyoke.making.lists import Joint
from packyoke.making.routes import Routes, route_of
from packyoke.model import FITTED, Build, Lead, Run, Unknown
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

    def part(self, path: str) -> str:
        """A part that something was found at: a lead with its ends, else its name."""
        section, name, inside = steps_of(path)
        lead = self.build.leads.get(name) if section == "leads" and not inside else None
        if lead is not None:
            return f"{self.name(name)}, {self.name(lead.source)} to {self.name(lead.target)}"
        if section != "chargers" and name in self.bench.called.signs:
            return joined(self.name(name), inside) if inside else self.name(name)
        return said(self.report.label(path), WHOLE)

    def lead(self, name: str) -> str:
        return self.bench.lead(name)


def sections(work: Work, day: date) -> Iterator[Section]:
    """Everything between the drawing and the signatures, in the order of the work."""
    yield _found(work)
    if rows := tuple(work.bench.called.told()):
        yield Section(NAMES, words.NAMES, table=PenTable(("here", "name in the file"), rows))
    yield _packs(work)
    yield Section("Prepare", steps=words.PREPARE)
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
        yield Section("Taken over", tuple(f"{each}." for each in taken))
    yield from tests(work.bench, work.report)
    yield Section("Last", steps=words.LAST, long=True)


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
        rows.append((work.name(pack.name), pack_about(pack), low, full, outlet, fuse, place))
    heads = ("pack", "what it is", "cut-off", "full", "outlet", "fuse in it", "sits")
    return Section("The packs", table=PenTable(heads, tuple(rows), ("as it came, V",), ("sound",)))


def _parts(work: Work, day: date) -> Section:
    if not work.plan.bill:
        return Section("Parts", (words.NO_PARTS,))
    heads, found = bill_table(work.plan)
    rows = tuple((row[0], clean(row[1], WHOLE), *row[2:]) for row in found)
    notes = [f"{row[1]}: {row[3]}" for row in sums(work.plan)[:-1]]
    notes = [_upper("; ".join(notes))] if notes else []
    notes += bill_notes(work.plan, valid_until(work.plan, day))
    return Section("Parts", (words.PARTS,), table=PenTable(tuple(heads), rows, (), ("there",)), notes=tuple(notes))


def _joiners(work: Work) -> Section:
    rows = []
    for joiner in work.build.joiners.values():
        if joiner.built_in is not None:
            continue
        volts = show(joiner.ceiling_v, Kind.VOLTAGE) if joiner.ceiling_v is not None else "not in the file"
        bears_a = joiner.current_continuous_a
        amps = show(bears_a, Kind.CURRENT) if bears_a is not None else "not in the file"
        blocks = f", blocks in the {joiner.blocks_in}" if joiner.blocks_in and joiner.blocking else ""
        place = work.bench.called.place(joiner.place_name) if joiner.place_name else ""
        where = ", ".join(each for each in (place, joiner.mount or "") if each)
        new = f" ({words.PLANNED})" if any(each.path == joiner.path for each in work.plan.new) else ""
        about = f"{joiner.type or 'type not in the file'}{blocks}{new}"
        rows.append((work.name(joiner.name), about, volts, amps, where or "not in the file"))
    heads = ("joiner", "what it is", "at most", "each path", "where it sits")
    return Section("Joiners", words.JOINERS, table=PenTable(heads, tuple(rows), (), ("fitted", "free")))


def _cut(work: Work) -> Section:
    rows = []
    for piece in work.plan.pieces:
        lead = work.build.leads[piece.lead]
        items = f" ({clean(piece.plus_item, WHOLE)} +, {clean(piece.minus_item, WHOLE)} −)" if piece.plus_item else ""
        length = show(piece.length_m, Kind.LENGTH, work.bench.system) if piece.length_m is not None else "measure it"
        kind = f"{wire(lead)} {piece.insulation}{items}"
        marks = f"{work.name(piece.source)} / {work.name(piece.target)}"
        chosen = words.PLANNED if piece.lead in work.made else words.GIVEN
        rows.append((work.lead(piece.lead), kind, length, marks, chosen))
    heads = ("lead", "wire", "length", "marks at its ends", "chosen")
    table = PenTable(heads, tuple(rows), (), ("plus cut", "minus cut", "marked"))
    return Section(
        "Cut and mark",
        (words.CUT_FIRST, words.MAKE[0]),
        table=table,
        notes=tuple(_upper(each) for each in work.plan.notes),
    )


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
    return Section("Join", steps=tuple(steps), table=table)


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
    rows = tuple(
        (part, where, fuse_words(fuse), words.PLANNED if fuse.path in chosen else words.GIVEN)
        for part, where, fuse in fitted
        if fuse.presence == FITTED
    )
    notes = (words.SEALED.format(packs=listed(sealed)),) if sealed else ()
    if not rows:
        return Section("Fuses", notes) if notes else None
    table = PenTable(("in", "where", "fuse", "chosen"), rows, (), ("in the plus", "print read", "fuse in"))
    return Section("Fuses", (words.HOLDER,), table=table, notes=notes)


def _lay(work: Work) -> Section:
    build = work.build
    leads = work.bench.cables()
    rows = []
    for lead in _from_the_controller(build, leads):
        way = route_of(build, work.ways, lead)
        along = ", ".join(map(work.bench.called.place, way.places)) if way is not None else ""
        laid = "plugged straight in" if lead.direct else _laid(work, lead.run)
        inlet = f", inlet {lead.inlet}" if lead.inlet is not None else ""
        rows.append(
            (
                work.lead(lead.name),
                f"{work.name(lead.source)} to {work.name(lead.target)}{inlet}",
                along or "free",
                laid,
            )
        )
    for accessory in build.accessories.values():
        rows.append(
            (work.name(accessory.name), f"fed from {listed(map(work.name, accessory.sources))}", "free", "by itself")
        )
    moving = [work.name(lead.name) for lead in leads if lead.run.moving]
    steps = words.LAY + ((words.MOVING.format(leads=listed(moving)),) if moving else ())
    heads = ("lead", "from, to", "along", "how it lies")
    table = PenTable(heads, tuple(rows), (), ("fitted", "clamped", "drip loop"))
    return Section("Lay and fit", steps=steps, table=table, signed=True)


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
    rows = tuple((work.name(each.part), each.what, setting_words(each)) for each in work.plan.settings)
    if not rows:
        rows = tuple((work.name(name), "battery current", _asked_a(work, name)) for name in work.build.controllers)
    return Section(
        "Settings of the controller",
        words.SETTINGS,
        table=PenTable(("controller", "setting", "value"), rows, ("read back",), ("set",)),
    )


def _asked_a(work: Work, name: str) -> str:
    try:
        return show(controller_load(work.bench.case, name, tuple(work.build.packs)).most_a, Kind.CURRENT)
    except Unknown:
        return "not in the file"


def _found(work: Work) -> Section:
    rows, notes = [], []
    for each in (each for each in work.report.findings if not each.usual):
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
    )


def _not_known(work: Work) -> Iterator[Section]:
    assumed = tuple(
        (work.part(each.part), each.field.replace("_", " "), each.text) for each in work.report.assumed if each.field
    )
    if assumed:
        yield Section(
            "Not known for sure", words.ASSUMED, table=PenTable(("part", "what", "may be"), assumed, ("measured",))
        )
