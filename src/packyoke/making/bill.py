"""From a completed build to the lists of the bench: what to cut, to join, to buy, to set and to write on it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.core.findings import Amount, shown
from packyoke.making.methods import method
from packyoke.model import FITTED, Accessory, Build, Fuse, Lead
from packyoke.model.shop import ShelfItem
from packyoke.planning.catalogue import Cable, Catalogue, Model
from packyoke.planning.options import is_made
from packyoke.planning.rebuild import Drawn
from packyoke.planning.result import BillLine, Joint, Lists, New, Piece, Setting, Totals

FUSE_METHOD = "in a holder"


def lists(build: Build, given: Build, drawn: Drawn, shelf: Catalogue, ways: dict[str, tuple[str, ...]]) -> Lists:
    """The lists of a completed build. `given` is the build as the file has it, `ways` the places along each lead."""
    behind = harness(Case(build)).packs_behind
    leads = [lead for lead in build.leads.values() if lead.path in behind and not lead.direct]
    pieces = tuple(_piece(given, lead, shelf, ways.get(lead.name, ())) for lead in leads)
    taps = [each for name, each in build.accessories.items() if _new_fuse(each.fuse, given.accessories[name].fuse)]
    joints = tuple(joint for lead in leads for joint in _joints(given, lead))
    joints += tuple(joint for tap in taps for joint in _fuse_joints(tap, tap.sources[0]))
    bill = tuple(_from_stock(_bill(build, given, drawn.new, shelf, pieces)))
    return Lists(
        pieces=pieces,
        joints=joints,
        bill=bill,
        totals=_totals(bill, shelf.currency),
        settings=tuple(_settings(build)),
        labels=tuple(_labels(build, given, leads)),
    )


def _planned(given: Build, lead: Lead) -> bool:
    before = given.leads.get(lead.name)
    return before is None or is_made(before)


def _cable(shelf: Catalogue, lead: Lead) -> Cable | None:
    return next((each for each in shelf.cables if (each.gauge, each.insulation) == (lead.gauge, lead.insulation)), None)


def _piece(given: Build, lead: Lead, shelf: Catalogue, way: tuple[str, ...]) -> Piece:
    cable = _cable(shelf, lead)
    plus, minus = (cable.plus, cable.minus) if cable is not None and cable.poles else (None, None)
    return Piece(
        lead.name,
        lead.source,
        lead.target,
        lead.gauge,
        lead.insulation,
        lead.length_m,
        f"{lead.name}: {lead.source}",
        f"{lead.name}: {lead.target}",
        plus.part.name if plus is not None else "",
        minus.part.name if minus is not None else "",
        way,
        _planned(given, lead),
    )


def _joints(given: Build, lead: Lead) -> Iterator[Joint]:
    """Two conductors at each end that the file does not give, and both sides of a fuse that is fitted."""
    before = given.leads.get(lead.name)
    for number, (where, at) in enumerate((("from", lead.source), ("to", lead.target))):
        end = lead.ends[number]
        if end is None or (before is not None and before.ends[number] is not None):
            continue
        for conductor, contact in (("plus", end.plus), ("minus", end.minus)):
            yield Joint(lead.name, conductor, where, at, str(end), contact, method(end))
    if _new_fuse(lead.fuse, before.fuse if before is not None else None):
        yield from _fuse_joints(lead, lead.source)


def _fuse_joints(part: Lead | Accessory, at: str) -> Iterator[Joint]:
    for side in ("source side", "load side"):
        yield Joint(part.name, "plus", "fuse", at, fuse_words(part.fuse), side, FUSE_METHOD)


def _new_fuse(fuse: Fuse, before: Fuse | None) -> bool:
    return fuse.presence == FITTED and (before is None or before.presence != FITTED)


def fuse_words(fuse: Fuse) -> str:
    """What is printed on a fuse, in the order in which people say it, as far as the file says it."""
    amps = f"{shown(fuse.rating_a)} A" if fuse.rating_a is not None else "rating not in the file"
    volts = f"{shown(fuse.voltage_v)} V d.c." if fuse.voltage_v is not None else ""
    return " ".join(each for each in (fuse.family, amps, volts) if each)


def _bill(
    build: Build, given: Build, new: tuple[New, ...], shelf: Catalogue, pieces: tuple[Piece, ...]
) -> Iterator[BillLine]:
    yield from _joiner_lines(build, new, shelf.models)
    metres: dict[tuple[str, str], tuple[ShelfItem | None, float]] = {}
    for piece in pieces:
        if not piece.planned or piece.length_m is None:
            continue
        cable = _cable(shelf, build.leads[piece.lead])
        about = f"{piece.gauge} {piece.insulation}"
        for colour, item in (("plus", cable.plus if cable else None), ("minus", cable.minus if cable else None)):
            key = (item.part.name, about) if item is not None else (about, colour)
            metres[key] = (item, metres.get(key, (item, 0.0))[1] + piece.length_m)
    for (name, about), (item, length_m) in metres.items():
        yield _line("wires", name, about, round(length_m, 6), "m", item)
    fuses: dict[str, tuple[ShelfItem | None, int]] = {}
    halves: dict[str, tuple[ShelfItem | None, int]] = {}
    for fuse in _new_fuses(build, given):
        name = fuse_words(fuse)
        fuses[name] = (_fuse_item(shelf, fuse), fuses.get(name, (None, 0))[1] + 1)
    for lead in build.leads.values():
        before = given.leads.get(lead.name)
        for number, end in enumerate(lead.ends):
            joint = end is not None and end.plus == "joint"
            if end is not None and not joint and (before is None or before.ends[number] is None) and not lead.direct:
                halves[str(end)] = (shelf.connector(end), halves.get(str(end), (None, 0))[1] + 1)
    for name, (item, count) in fuses.items():
        yield _line("fuses", item.part.name if item else name, name, count, "piece", item)
    for name, (item, count) in halves.items():
        yield _line("connectors", item.part.name if item else name, name, count, "piece", item)


def _from_stock(bill: Iterable[BillLine]) -> Iterator[BillLine]:
    """The lines with what the stock lacks; one that two lines draw on is there once."""
    left: dict[tuple[str, str], float] = {}
    for line in bill:
        if line.stock is None:
            yield line
            continue
        has = left.get((line.section, line.item), line.stock)
        left[line.section, line.item] = max(0.0, has - line.quantity)
        yield line._replace(short=max(0.0, line.quantity - has))


def _joiner_lines(build: Build, new: tuple[New, ...], models: tuple[Model, ...]) -> Iterator[BillLine]:
    counts: dict[str, int] = {}
    for each in new:
        if each.path.startswith("joiners."):
            counts[each.item or each.like] = counts.get(each.item or each.like, 0) + 1
    for name, count in counts.items():
        item = next((model.item for model in models if model.item and model.item.part.name == name), None)
        joiner = next(each for each in build.joiners.values() if each.name == name or item is not None)
        about = joiner.type or "joiner"
        yield _line("joiners", name, f"one more like {name}" if item is None else about, count, "piece", item)


def _new_fuses(build: Build, given: Build) -> Iterator[Fuse]:
    for name, pack in build.packs.items():
        if _new_fuse(pack.fuse, given.packs[name].fuse):
            yield pack.fuse
    for name, lead in build.leads.items():
        if _new_fuse(lead.fuse, given.leads[name].fuse if name in given.leads else None):
            yield lead.fuse
    for name, accessory in build.accessories.items():
        if _new_fuse(accessory.fuse, given.accessories[name].fuse):
            yield accessory.fuse


def _fuse_item(shelf: Catalogue, fuse: Fuse) -> ShelfItem | None:
    key = (fuse.family, fuse.rating_a, fuse.voltage_v)
    return next((kind.item for kind in shelf.fuses if (kind.family, kind.rating_a, kind.voltage_v) == key), None)


def _line(section: str, name: str, about: str, quantity: float, unit: str, item: ShelfItem | None) -> BillLine:
    price = item.price if item is not None else None
    stock = item.stock if item is not None else None
    return BillLine(
        section,
        name,
        about,
        quantity,
        unit,
        price,
        None if price is None else round(price * quantity, 2),
        item.minutes_s if item is not None else None,
        stock,
        0.0,
        item is not None,
    )


def _totals(bill: tuple[BillLine, ...], currency: str) -> Totals:
    timed = [line for line in bill if line.minutes_s is not None]
    return Totals(
        sum(line.amount for line in bill if line.amount is not None),
        currency,
        sum(line.amount is None for line in bill),
        sum((line.minutes_s or 0.0) * line.quantity for line in timed),
        len(bill) - len(timed),
    )


def _settings(build: Build) -> Iterator[Setting]:
    cuts = [pack.cut_off_v for pack in build.packs.values() if pack.cut_off_v is not None]
    for name, each in build.controllers.items():
        if each.limit_a is not None:
            yield Setting(name, "battery current", Amount(each.limit_a, "A"))
        if each.falls_to_a is not None:
            yield Setting(
                name,
                "battery current after a time",
                Amount(each.falls_to_a, "A", f"after {shown(each.falls_after_s or 0.0)} s"),
            )
        if each.low_voltage_cut_v is not None:
            yield Setting(name, "low-voltage cut", Amount(each.low_voltage_cut_v, "V"))
        elif cuts:
            yield Setting(name, "low-voltage cut, above", Amount(max(cuts), "V"))
        if each.regen_a is not None:
            yield Setting(name, "braking current into the packs", Amount(each.regen_a, "A"))


def _labels(build: Build, given: Build, leads: list[Lead]) -> Iterator[str]:
    for lead in leads:
        if _planned(given, lead):
            yield f"{lead.name}: {lead.source}"
            yield f"{lead.name}: {lead.target}"
        if lead.fuse.presence == FITTED:
            yield f"{lead.name}: {fuse_words(lead.fuse)} only"
    for name, tap in build.accessories.items():
        if _new_fuse(tap.fuse, given.accessories[name].fuse):
            yield f"{name}: {fuse_words(tap.fuse)} only"
    for joiner in build.joiners.values():
        bears = [f"at most {shown(joiner.ceiling_v)} V"] if joiner.ceiling_v is not None else []
        bears += [f"{shown(joiner.current_continuous_a)} A a path"] if joiner.current_continuous_a is not None else []
        yield f"{joiner.name}: {', '.join([*bears, 'gets warm: never wrap it'])}"
    for pack in build.packs.values():
        if pack.fuse.presence == FITTED and given.packs[pack.name].fuse.presence != FITTED:
            yield f"{pack.name}: {fuse_words(pack.fuse)} only"
        if pack.full_charge_v is not None:
            amps = f", at most {shown(pack.charge_a)} A" if pack.charge_a is not None else ""
            yield f"{pack.name}: charger {shown(pack.full_charge_v)} V d.c. only{amps}"
    for each in build.controllers.values():
        if each.limit_a is not None:
            yield f"{each.name}: {shown(each.limit_a)} A from the packs, no more"
    for charger in build.chargers.values():
        if charger.output_v is not None and charger.fits:
            yield f"{charger.name}: {shown(charger.output_v)} V d.c., for {', '.join(charger.fits)} only"
