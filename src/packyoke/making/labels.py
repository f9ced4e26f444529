"""What is stuck on a bike, from any build: flags on leads, sleeves on conductors, plates on parts, warnings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, NamedTuple

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import Harness, harness
from packyoke.analysis.harness.sets import on_wires_of_others, units
from packyoke.core.findings import shown
from packyoke.core.paths import owner_of
from packyoke.making.cutting import fuse_words
from packyoke.model import FITTED, Build, Charger, Controller, Fuse, Joiner, Lead, Pack

Pole = Literal["+", "\u2212"]
PLUS: Pole = "+"
MINUS: Pole = "\u2212"


class Flag(NamedTuple):
    """One end of a lead: its number and name, the part at this end and the one at the other."""

    number: int
    lead: str
    here: str
    there: str


class Sleeve(NamedTuple):
    """One end of one conductor: + or −, the number of its lead and the part at this end."""

    pole: Pole
    number: int
    at: str


class Plate(NamedTuple):
    """A part, what its figure is of, the figure that matters, and what else to heed.

    `path`, and the voltage and current on it, are for programs.
    """

    part: str
    what: str
    figure: str
    about: str
    path: str = ""
    voltage_v: float | None = None
    current_a: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Labels:
    """Every label of a bike. `empty`: each plug that can be left empty while the wiring is live."""

    flags: tuple[Flag, ...] = ()
    sleeves: tuple[Sleeve, ...] = ()
    plates: tuple[Plate, ...] = ()
    empty: tuple[str, ...] = ()


NO_SIGNS: Mapping[str, str] = MappingProxyType({})


def labels_of(build: Build, signs: Mapping[str, str] = NO_SIGNS) -> Labels:
    """The labels of a build, whoever chose its parts; leads by their number in the order of the file.

    `signs`: what long names are called, `pack A`; a plate tells which part that is.
    """
    case = Case(build)
    drawing = harness(case)
    numbers, names = {name: number for number, name in enumerate(build.leads, 1)}, _Names(signs)
    leads = [each for each in build.leads.values() if each.path in drawing.packs_behind and not each.direct]
    return Labels(
        flags=tuple(
            Flag(numbers[lead.name], "" if lead.name in signs else lead.name, names.short(here), names.short(there))
            for lead in leads
            for here, there in ((lead.source, lead.target), (lead.target, lead.source))
        ),
        sleeves=tuple(
            Sleeve(pole, numbers[lead.name], names.short(at))
            for lead in leads
            for at in (lead.source, lead.target)
            for pole in (PLUS, MINUS)
        ),
        plates=tuple(_plates(build, leads, numbers, names)),
        empty=tuple(_empty(case, drawing, names)),
    )


class _Names(NamedTuple):
    """Names with the signs that stand for long ones."""

    signs: Mapping[str, str]

    def short(self, name: str) -> str:
        return self.signs.get(name, name)

    def full(self, name: str, kind: str = "") -> str:
        """What stands on the part itself: its sign and its name."""
        sign = self.signs.get(f"{kind}{name}", "")
        return f"{sign}: {name}" if sign else name


def _plates(build: Build, leads: list[Lead], numbers: dict[str, int], names: _Names) -> Iterator[Plate]:
    for pack in build.packs.values():
        yield from _pack(pack, names.full(pack.name))
    for joiner in build.joiners.values():
        yield from _joiner(joiner, names.full(joiner.name))
    for controller in build.controllers.values():
        yield from _controller(controller, names.full(controller.name))
    for charger in build.chargers.values():
        yield from _charger(charger, names)
    for lead in leads:
        yield from _fuse(names.signs.get(lead.name) or f"{numbers[lead.name]} {lead.name}", lead.fuse)
    for accessory in build.accessories.values():
        yield from _fuse(names.full(accessory.name), accessory.fuse)


def _pack(pack: Pack, name: str) -> Iterator[Plate]:
    fuse = f"fuse: {fuse_words(pack.fuse)} only" if pack.fuse.presence == FITTED and not pack.fuse.sealed else ""
    if pack.full_charge_v is not None:
        most = f", {shown(pack.charge_a)} A max." if pack.charge_a is not None else ""
        figure = f"{shown(pack.full_charge_v)} V d.c.{most}"
        yield Plate(name, "charger", figure, fuse, pack.path, pack.full_charge_v, pack.charge_a)
    elif fuse:
        yield from _fuse(name, pack.fuse)


def _joiner(joiner: Joiner, name: str) -> Iterator[Plate]:
    if joiner.built_in is not None:
        return
    bears = [f"{shown(joiner.ceiling_v)} V"] if joiner.ceiling_v is not None else []
    bears += [f"{shown(joiner.current_continuous_a)} A a path"] if joiner.current_continuous_a is not None else []
    figure, warm = f"{', '.join(bears)} max." if bears else "", "gets warm: never wrap it"
    yield Plate(name, "", figure, warm, joiner.path, joiner.ceiling_v, joiner.current_continuous_a)


def _controller(controller: Controller, name: str) -> Iterator[Plate]:
    if controller.limit_a is not None:
        figure, heed = f"{shown(controller.limit_a)} A, no more", "a higher setting undoes the check"
        yield Plate(name, "battery current", figure, heed, controller.path, current_a=controller.limit_a)


def _charger(charger: Charger, names: _Names) -> Iterator[Plate]:
    if charger.output_v is not None and charger.fits:
        *first, last = map(names.short, charger.fits)
        fits = f"{', '.join(first)} and {last}" if first else last
        name, figure = names.full(charger.name, "chargers."), f"{shown(charger.output_v)} V d.c."
        yield Plate(name, "charger", figure, f"for {fits} only", charger.path, charger.output_v)


def _fuse(part: str, fuse: Fuse) -> Iterator[Plate]:
    if fuse.presence == FITTED:
        amps = f"{shown(fuse.rating_a)} A" if fuse.rating_a is not None else ""
        figure = ", ".join(each for each in (fuse.family or "", amps) if each)
        volts = f"{shown(fuse.voltage_v)} V d.c. only" if fuse.voltage_v is not None else ""
        yield Plate(part, "fuse", figure, volts, owner_of(fuse.path), fuse.voltage_v, fuse.rating_a)


def _empty(case: Case, drawing: Harness, names: _Names) -> Iterator[str]:
    """Plugs of packs that may stay away while others are in on the same wires, and charging ports."""
    build = case.build
    for unit in units(build):
        if len(unit) == 1 and on_wires_of_others(case, unit):
            yield f"plug for {names.short(unit[0])}"
    for joiner in build.joiners.values():
        if joiner.charge_port is not None and drawing.packs_behind.get(joiner.path):
            yield f"charging port of {names.short(joiner.name)}"
