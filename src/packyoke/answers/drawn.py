"""The harness of a build as something to draw: parts with what they are, leads with what they are made of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from xml.etree import ElementTree as ET

from packyoke.answers.sheet.called import Signs, said
from packyoke.core.findings import Severity, shown
from packyoke.core.paths import PartPath, owner_of
from packyoke.core.units import Kind, show, show_gauge
from packyoke.core.words import listed
from packyoke.making.cutting import fuse_words
from packyoke.model import FITTED, Accessory, Build, Charger, Controller, End, Fuse, Joiner, Lead, Pack
from packyoke.page import wiring
from packyoke.page.wired import wiring_svgs
from packyoke.page.wiring import Box, DrawnWire, Half, Plug, Tap, Wiring
from packyoke.verdict.report import Report

PAPER_WIDE = 716.0
"""Between margins of 10 mm on A4 [CSS px]: what is wider is drawn in parts."""
ABOVE, LONGEST = 1e-9, 200
BY_NAME = Signs({})
OTHER: Mapping[str, Half] = {"pin": "socket", "socket": "pin", "genderless": "genderless", "joint": "joint"}
PATHS: Mapping[str | None, wiring.Path] = {
    "diode": "diode",
    "ideal-diode": "diode",
    "selector": "switch",
    "plain": "plain",
}
WAYS = {"diode": "diode", "ideal-diode": "ideal diode", "selector": "one at a time", "plain": "plain: joined straight"}


def numbers(build: Build) -> dict[str, int]:
    """The number by which each lead is called, in the order of the file."""
    return {name: number for number, name in enumerate(build.leads, 1)}


def drawing(
    build: Build, system: str = "metric", over: Mapping[PartPath, str] | None = None, called: Signs = BY_NAME
) -> Wiring:
    """The harness with both conductors of each lead.

    `over`: part paths with what they carry and bear, of parts over a limit. `called`: how long names are said.
    """
    over = over or {}
    number = numbers(build)
    boxes = [_pack(build, pack, over, called) for pack in build.packs.values()]
    boxes += [_joiner(build, joiner, over, called) for joiner in build.joiners.values()]
    boxes += [_controller(each, over, called) for each in build.controllers.values()]
    wires = [_wire(build, lead, str(number[name]), system, over) for name, lead in build.leads.items()]
    told = [_told(lead, number[name], system, called) for name, lead in build.leads.items()]
    if len(build.controllers) == 1:
        to = next(iter(build.controllers))
        own = [each for each in build.joiners.values() if each.built_in and not _leads_on(build, each)]
        wires += [DrawnWire(f"own {each.name}", each.name, to, about=("the bike maker's",)) for each in own]
    taps = [_tap(each, wires, over, called) for each in build.accessories.values()]
    told += [
        f"{called.short(each.name)} fed from {listed(map(called.short, each.sources))}"
        for each in build.accessories.values()
    ]
    return Wiring(
        title="The harness, from the packs to the controller",
        words=f"{'; '.join(told).removesuffix('.')}.",
        boxes=tuple(boxes),
        wires=tuple(wires),
        taps=tuple(each for each in taps if each is not None),
        chargers=tuple(_charger(build, each, called) for each in build.chargers.values()),
    )


def of_report(report: Report, system: str = "metric") -> tuple[ET.Element, ...]:
    """The harness that a report is about, parts over their limit filled; nothing where nothing could be read."""
    build = report.build
    if build is None or not (build.packs and build.leads):
        return ()
    return pictures(drawing(build, system, over_limit(report)), f"harness-{report.fingerprint.replace(' ', '')}")


def pictures(found: Wiring, key: str = "harness") -> tuple[ET.Element, ...]:
    """The drawing for a page, in parts where it is wider than paper."""
    return wiring_svgs(found, key, PAPER_WIDE)


def over_limit(report: Report) -> dict[PartPath, str]:
    """Parts over a limit, with what was found and the limit: by their current, else by a stop of another kind."""
    found = {line.part: f"{line.most.bare}, limit {line.limit.bare}" for line in report.parts if line.margin < -ABOVE}
    for finding in report.findings:
        if finding.severity == Severity.STOP and finding.found and finding.limit and not finding.accepted:
            owner = owner_of(finding.part)
            found.setdefault(owner, f"{finding.found.bare}, limit {finding.limit.bare}")
    return found


def wire(lead: Lead) -> str:
    """The size of a lead's wire."""
    return show_gauge(lead.gauge.family, lead.gauge.size) if lead.gauge is not None else "wire not in the file"


def _told(lead: Lead, number: int, system: str, called: Signs) -> str:
    made = [*_made_of(lead, system), *([f"fuse {fuse_words(lead.fuse)}"] if lead.fuse.presence == FITTED else [])]
    source, target = called.short(lead.source), called.short(lead.target)
    name = called.signs.get(lead.name) or f"{number} {said(lead.name, LONGEST)}"
    return f"{name} from {source} to {target}: {', '.join(made)}"


def _made_of(lead: Lead, system: str) -> list[str]:
    if lead.direct:
        return ["direct"]
    length = show(lead.length_m, Kind.LENGTH, system) if lead.length_m is not None else "length not in the file"
    into = [f"inlet {lead.inlet}"] if lead.inlet is not None else []
    return [wire(lead), length, *into]


def _leads_on(build: Build, joiner: Joiner) -> bool:
    return any(lead.source == joiner.name for lead in build.leads.values())


def _fuse(fuse: Fuse) -> str:
    """What stands over a fuse: kind, amps, volts."""
    return fuse_words(fuse).replace(" d.c.", "") if fuse.presence == FITTED else ""


def _pack(build: Build, pack: Pack, over: Mapping[PartPath, str], called: Signs) -> Box:
    what = " ".join(each for each in (f"{pack.series}s" if pack.series else "", pack.chemistry or "") if each)
    amount = show(pack.capacity_coulomb, Kind.CHARGE) if pack.capacity_coulomb else ""
    full = f"{show(pack.full_charge_v, Kind.VOLTAGE)} full" if pack.full_charge_v else ""
    fitted = pack.fuse.presence == FITTED
    in_lead = any(each.source == pack.name and each.fuse.presence == FITTED for each in build.leads.values())
    missing = "" if in_lead else "no fuse" if pack.fuse.presence == "none" else "fuse not in the file"
    return Box(
        pack.name,
        "pack",
        called.short(pack.name),
        tuple(each for each in (what, amount, full) if each),
        (called.place(pack.place_name),) if pack.place_name else (),
        fuse=_fuse(pack.fuse) if fitted else missing,
        fitted=fitted,
        port=_port(build, pack, called),
        over=over.get(pack.path, ""),
    )


def _port(build: Build, pack: Pack, called: Signs) -> str:
    """Where a pack is charged, and by which charger."""
    own = [called.charger(each.name) for each in build.chargers.values() if each.fits and pack.name in each.fits]
    inlet = pack.charge_inlet.family if pack.charge_inlet is not None else ""
    return f"{inlet}: {' or '.join(own)}" if inlet and own else inlet or " or ".join(own)


def _joiner(build: Build, joiner: Joiner, over: Mapping[PartPath, str], called: Signs) -> Box:
    volts = f"at most {show(joiner.ceiling_v, Kind.VOLTAGE)}" if joiner.ceiling_v is not None else ""
    amps = f", {shown(joiner.current_continuous_a)} A" if joiner.current_continuous_a is not None else ""
    about = [*(["built in"] if joiner.built_in else []), *(["packs joined for good"] if joiner.bonded else [])]
    about += [called.place(joiner.place_name)] if joiner.place_name else []
    about += [joiner.mount] if joiner.mount else []
    about += [_empty(build, joiner)] if _empty(build, joiner) else []
    port = joiner.charge_port
    return Box(
        joiner.name,
        "joiner",
        called.short(joiner.name),
        (volts,) if volts else (),
        tuple(about),
        path=PATHS.get(joiner.type, "unknown"),
        way=f"{WAYS.get(joiner.type or '', 'type not in the file')}{amps}",
        in_minus=joiner.blocks_in == "negative",
        port=f"charging port {port.inlet.family if port.inlet is not None else ''}".strip() if port else "",
        over=over.get(joiner.path, ""),
    )


def _empty(build: Build, joiner: Joiner) -> str:
    """How many inlets of a joiner no lead goes to, where the file says how many there are."""
    empty = (
        0
        if joiner.built_in
        else (joiner.inputs or 0) - sum(lead.target == joiner.name for lead in build.leads.values())
    )
    return f"{empty} inlet{'s' if empty > 1 else ''} left empty: capped" if empty > 0 else ""


def _controller(each: Controller, over: Mapping[PartPath, str], called: Signs) -> Box:
    told = [f"set to {shown(each.limit_a)} A"] if each.limit_a is not None else []
    told += [f"cuts at {show(each.low_voltage_cut_v, Kind.VOLTAGE)}"] if each.low_voltage_cut_v is not None else []
    told += [f"at most {show(each.voltage_max_v, Kind.VOLTAGE)}"] if each.voltage_max_v is not None else []
    return Box(each.name, "controller", called.short(each.name), tuple(told), over=over.get(each.path, ""))


def _wire(build: Build, lead: Lead, number: str, system: str, over: Mapping[PartPath, str]) -> DrawnWire:
    switch = lead.switch
    return DrawnWire(
        lead.name,
        lead.source,
        lead.target,
        number,
        tuple(_made_of(lead, system)),
        plugs=(_plug(_outlet(build, lead), lead.ends[0]), _plug(lead.ends[1], _inlet(build, lead))),
        fuse=_fuse(lead.fuse),
        switch=f"switch {shown(switch.rating_a)} A" if switch and switch.rating_a else "switch" if switch else "",
        direct=lead.direct,
        over=over.get(lead.path, ""),
    )


def _outlet(build: Build, lead: Lead) -> End | None:
    if lead.source in build.packs:
        return build.packs[lead.source].outlet
    outlets = build.joiners[lead.source].outlets if lead.source in build.joiners else ()
    return next((each for each in outlets if each is not None), None)


def _inlet(build: Build, lead: Lead) -> End | None:
    if lead.target in build.controllers:
        return build.controllers[lead.target].inlet
    inlets = build.joiners[lead.target].inlets if lead.target in build.joiners else ()
    known = [each for each in inlets if each is not None]
    if lead.inlet is not None and 0 < lead.inlet <= len(inlets):
        return inlets[lead.inlet - 1]
    return known[0] if known and len({*known}) == 1 else None


def _plug(live: End | None, other: End | None) -> Plug | None:
    """Where two halves meet, the live one first; a half that nobody has named is the one that fits the other."""
    if live is None and other is None:
        return None
    names = list(dict.fromkeys(each.family for each in (live, other) if each is not None))
    return Plug(
        " / ".join(names),
        _pole(live and live.plus, other and other.plus),
        _pole(live and live.minus, other and other.minus),
    )


def _pole(live: str | None, other: str | None) -> tuple[Half, Half]:
    kind = OTHER.get(other or "", "")
    first: Half = _half(live) or kind
    return first, _half(other) or OTHER.get(first, "")


def _half(word: str | None) -> Half:
    return OTHER.get(OTHER.get(word or "", ""), "")


def _tap(each: Accessory, wires: Iterable[DrawnWire], over: Mapping[PartPath, str], called: Signs) -> Tap | None:
    """An accessory at the lead that feeds it, or at the first lead of the part that does."""
    at = next((found for source in each.sources for found in _feeding(source, wires)), None)
    if at is None:
        return None
    told = [f"{shown(each.current_a)} A"] if each.current_a is not None else []
    told += [f"at most {show(each.max_v, Kind.VOLTAGE)}"] if each.max_v is not None else []
    told += [f"also at {listed(map(called.short, each.sources[1:]))}"] if len(each.sources) > 1 else []
    told += [f"! {over[each.path]}"] if each.path in over else []
    fuse = _fuse(each.fuse) or ("no fuse" if each.fuse.presence == "none" else "fuse not in the file")
    return Tap(at, called.short(each.name), ", ".join(told), fuse, each.fuse.presence == FITTED)


def _feeding(source: str, wires: Iterable[DrawnWire]) -> Iterator[str]:
    wires = [*wires]
    yield from (each.key for each in wires if each.key == source)
    yield from (each.key for each in wires if each.source == source)
    yield from (each.key for each in wires if each.target == source)


def _charger(build: Build, each: Charger, called: Signs) -> wiring.ChargerBox:
    told = [f"{show(each.output_v, Kind.VOLTAGE)} d.c."] if each.output_v is not None else ["voltage not in the file"]
    told += [f"{shown(each.current_a)} A"] if each.current_a is not None else []
    told += [f"plug {each.plug}"] if each.plug else []
    fits = [name for name in each.fits or () if name in build.packs]
    told += [f"for {listed(map(called.short, fits))}"] if fits else []
    told += [f"at {called.short(each.through)}"] if each.through else []
    return wiring.ChargerBox(called.charger(each.name), ", ".join(told))
