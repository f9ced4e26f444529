"""From a completed build to what is done at the bench: leads to cut, conductors to join."""

from __future__ import annotations

from collections.abc import Iterator

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.core.findings import shown
from packyoke.making.lists import CutPiece, Joint
from packyoke.making.methods import FUSE_BARE_MM, bare_m, method
from packyoke.making.stock import Cable
from packyoke.model import FITTED, Accessory, Build, End, Fuse, Lead
from packyoke.model.shop import ShelfItem, Wire

FUSE_METHOD = "in a holder"


def made_leads(build: Build) -> list[Lead]:
    """The cables of a harness that carry something: those that a pack is behind, and no plug straight into another."""
    behind = harness(Case(build)).packs_behind
    return [lead for lead in build.leads.values() if lead.path in behind and not lead.direct]


def is_made(lead: Lead) -> bool:
    """Whether there is something to cut: a lead of which the file does not give length, gauge and ends."""
    return not lead.direct and (lead.length_m is None or lead.gauge is None or None in lead.ends)


def is_whole_joint(end: End) -> bool:
    """Whether wire goes onto wire there: no connector."""
    return end.plus == "joint"


def planned(given: Build, lead: Lead) -> bool:
    """Whether the file leaves a lead to be chosen."""
    before = given.leads.get(lead.name)
    return before is None or is_made(before)


def piece(given: Build, lead: Lead, cables: tuple[Cable, ...], way: tuple[str, ...]) -> CutPiece:
    """One lead to cut; `way` are the places along it."""
    same = (each for each in cables if (each.gauge, each.insulation) == (lead.gauge, lead.insulation))
    cable = next(same, None)
    plus, minus = (cable.plus, cable.minus) if cable is not None and cable.poles else (None, None)
    return CutPiece(
        lead.name,
        lead.source,
        lead.target,
        lead.gauge,
        lead.insulation,
        lead.length_m,
        f"{lead.name}: {lead.source}",
        f"{lead.name}: {lead.target}",
        _reel(plus),
        _reel(minus),
        way,
        planned(given, lead),
    )


def _reel(item: ShelfItem | None) -> str:
    """What a conductor is cut from, with its colour where its name does not say that."""
    if item is None:
        return ""
    colour = item.part.colour if isinstance(item.part, Wire) else None
    name = item.part.name
    return f"{name}, {colour}" if colour and colour.casefold() not in name.casefold() else name


def joints(given: Build, lead: Lead) -> Iterator[Joint]:
    """Two conductors at each end that the file does not give, and both sides of a fuse that is fitted."""
    before = given.leads.get(lead.name)
    for number, (where, at) in enumerate((("from", lead.source), ("to", lead.target))):
        end = lead.ends[number]
        if end is None or (before is not None and before.ends[number] is not None):
            continue
        for conductor, contact in (("plus", end.plus), ("minus", end.minus)):
            yield Joint(lead.name, conductor, where, at, str(end), contact, method(end), bare_m(end))
    if new_fuse(lead.fuse, before.fuse if before is not None else None):
        yield from fuse_joints(lead, lead.source)


def fuse_joints(part: Lead | Accessory, at: str) -> Iterator[Joint]:
    """Both sides of a fuse in its holder."""
    for side in ("source side", "load side"):
        yield Joint(part.name, "plus", "fuse", at, fuse_words(part.fuse), side, FUSE_METHOD, FUSE_BARE_MM / 1000)


def new_fuse(fuse: Fuse, before: Fuse | None) -> bool:
    """Whether a fuse is fitted where the file had none."""
    return fuse.presence == FITTED and (before is None or before.presence != FITTED)


def fuse_words(fuse: Fuse) -> str:
    """What is printed on a fuse, in the order in which people say it, as far as the file says it."""
    amps = f"{shown(fuse.rating_a)} A" if fuse.rating_a is not None else "rating not in the file"
    volts = f"{shown(fuse.voltage_v)} V d.c." if fuse.voltage_v is not None else ""
    return " ".join(each for each in (fuse.family, amps, volts) if each)
