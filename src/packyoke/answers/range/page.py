"""How far each set of packs carries each ride, as text for one screen, Markdown and JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite
from textwrap import wrap
from typing import Any, NamedTuple

from packyoke.analysis.discharge.rundown import Refusal
from packyoke.analysis.ride.named import Input, RideInputs
from packyoke.analysis.ride.reach import Note, RangeEstimate
from packyoke.answers.range.known import told_words
from packyoke.answers.range.words import INPUTS, far, input_words, note_words, signed, span_words
from packyoke.answers.rundown.page import refusal_text
from packyoke.core.findings import clean, percent
from packyoke.core.units import Kind, from_si, show
from packyoke.page import strict
from packyoke.page.markdown import cell, table

WIDTH = 80
SCHEMA = "packyoke/range/1"
COLUMN, RIDES_A_TABLE, NAME = 18, 3, 24
MOST_SWINGS = 8
CAUTION = (
    "An estimate, not a promise: rider, wind, tyres, cold and age decide. Packs are taken as full, and those of the "
    "other sets as left at home. Leads, contacts and joiners are not judged here: packyoke check does that."
)
ENDED = {"controller cuts": "the controller cuts", "no pack left": "the last pack drops out"}


NO_CUT = "no speed at which the motor stops helping"


class SetRange(NamedTuple):
    """One set of packs, with its range on each ride in the order of the rides."""

    packs: tuple[str, ...]
    found: tuple[RangeEstimate | Refusal, ...]


class RangeView(NamedTuple):
    """Ranges with what is printed around them. `system`: metric or us."""

    file: str
    name: str
    rides: tuple[str, ...]
    lines: tuple[SetRange, ...]
    need_m: float | None
    system: str
    sensitivity: bool
    assumed: tuple[str, ...]
    health_fraction: float | None
    sets_left_out: int
    refused: str = ""
    hills: tuple[str, ...] = ()

    @property
    def told_by(self) -> SetRange:
        """The first set that has figures: what rides take is told with its packs."""
        return next(line for line in self.lines if any(isinstance(each, RangeEstimate) for each in line.found))

    def reaching(self, ride: int) -> tuple[SetRange, ...]:
        """The sets that get as far as is needed, counted with the low figure."""
        return tuple(line for line in self.lines if self._reaches(line.found[ride]))

    def _reaches(self, found: RangeEstimate | Refusal) -> bool:
        return isinstance(found, RangeEstimate) and found.delivers and found.distance_m.low >= (self.need_m or 0.0)

    @property
    def answered(self) -> bool:
        """Whether every ride has a set that delivers, and gets as far as is needed, on a bike that may be ridden."""
        return not self.refused and all(self.reaching(ride) for ride in range(len(self.rides)))


def range_text(view: RangeView) -> str:
    """One screen: how far on each ride, what that takes, what the packs give, what it was counted with."""
    lines = [f"{clean(view.name)}: how far", *_para("Count on the first figure of each pair; the second is likely.")]
    lines += _para(view.refused) if view.refused else []
    lines += _need(view)
    for first in range(0, len(view.rides), RIDES_A_TABLE):
        lines += ["", *_table(view, range(first, min(first + RIDES_A_TABLE, len(view.rides))))]
    if view.sets_left_out > 0:
        lines += _para(f"{view.sets_left_out} more sets of packs: --packs NAMES answers one of them.")
    if told := _told(view):
        lines += ["", "FITTED TO THIS RIDER", *(line for said in told for line in _para(said))]
    lines += ["", *_para(f"WHAT IT TAKES  (out of the packs, with {_plus(view.told_by.packs)})", ""), *_rides(view)]
    lines += ["", *_para(f"WHAT THE PACKS GIVE  (of their label; on the ride {clean(view.rides[0])}{_ends(view)})", "")]
    lines += _packs(view)
    notes = [*_refusals(view), *view.hills, *(line for index in range(len(view.rides)) for line in _notes(view, index))]
    if notes:
        lines += ["", "NOTE", *(line for note in notes for line in _para(note))]
    if view.sensitivity:
        lines += ["", "WHAT IT HANGS ON  (change of what is likely, by one figure)", *_swings(view)]
    lines += ["", "ASSUMED  (write it in the file and that counts instead)"]
    lines += [line for said in _assumed(view) for line in _para(said)]
    lines += ["", *wrap(CAUTION, WIDTH)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _told(view: RangeView) -> list[str]:
    """What known rides told, of every ride that has some."""
    found = {each.ride.name: each.told for line in view.lines for each in line.found if isinstance(each, RangeEstimate)}
    return [f"{clean(name)}: {said}" for name, told in found.items() for said in told_words(told, view.system)]


def _para(text: str, indent: str = "  ") -> list[str]:
    return wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + "  ", break_on_hyphens=False)


def _plus(packs: Sequence[str]) -> str:
    return " + ".join(clean(name) for name in packs)


def _need(view: RangeView) -> list[str]:
    if view.need_m is None:
        return []
    lines = ["", f"FOR {far(view.need_m, view.system)}  (counted with the first figure)"]
    for index, ride in enumerate(view.rides):
        names = [_plus(line.packs) for line in view.reaching(index)]
        said = "; ".join(names) if names else "none of these sets gets there"
        lines += _para(f"{clean(ride)}: {said}")
    return lines


def _table(view: RangeView, rides: range) -> Iterator[str]:
    # clean() first: a hostile name must not move the columns.
    heads = "".join(f"{_cut(view.rides[ride], COLUMN - 2):>{COLUMN}}" for ride in rides)
    yield f"  {'packs':<{NAME}}{heads}"
    yield " " * (NAME + 2) + f"{'count on':>10}{'likely':>8}" * len(rides)
    cells: dict[tuple[int, str], list[SetRange]] = {}
    for line in view.lines:
        pairs = "".join(_pair(view, line.found[ride]) for ride in rides)
        cells.setdefault((len(line.packs), pairs), []).append(line)
    for (_, pairs), same in cells.items():
        for name in _names(same):
            yield f"  {_cut(name, NAME):<{NAME}}{pairs}"


def _pair(view: RangeView, found: RangeEstimate | Refusal) -> str:
    if isinstance(found, Refusal):
        return f"{'not known':>{COLUMN}}"
    if not found.delivers:
        return f"{'cannot deliver':>{COLUMN}}"
    low, likely = (far(each, view.system) for each in found.distance_m[:2])
    return f"{low:>10}{likely:>8}"


def _cut(text: str, most: int) -> str:
    text = clean(text, 200)
    return text if len(text) <= most else f"{text[: most - 2]}.."


def _rides(view: RangeView) -> Iterator[str]:
    yield f"  {'':<{NAME}}{_unit(view):>8}{'from - to':>13}{'speed':>10}{'mean load':>15}"
    for found in view.told_by.found:
        if isinstance(found, Refusal):
            continue
        low, likely, high = (_energy(view, each) for each in found.taken_j_per_m)
        span = "" if low == high else f"{low} - {high}"
        speed = show(found.speed_m_s, Kind.SPEED, view.system)
        load = f"{found.mean_w:.0f} W {found.mean_a:.1f} A"
        yield f"  {_cut(found.ride.name, NAME):<{NAME}}{likely:>8}{span:>13}{speed:>10}{load:>15}"


def _unit(view: RangeView) -> str:
    return "Wh/mi" if view.system == "us" else "Wh/km"


def _energy(view: RangeView, j_per_m: float) -> str:
    number = from_si(j_per_m, _unit(view))
    return f"{number:.0f}" if number >= 9.95 else f"{number:.1f}".removesuffix(".0")


def _packs(view: RangeView) -> Iterator[str]:
    """What each set gives, the sets that give the same in one line."""
    cells: dict[tuple[int, str], list[SetRange]] = {}
    for line in view.lines:
        if isinstance(line.found[0], RangeEstimate):
            cells.setdefault((len(line.packs), _worth(view, line.found[0])), []).append(line)
    for (_, said), same in cells.items():
        for name in _names(same):
            yield f"  {_cut(name, NAME):<{NAME}}{said}"


def _worth(view: RangeView, found: RangeEstimate) -> str:
    usable, label = found.usable_j / 3600, found.label_j / 3600
    said = f"{usable:7.0f} Wh, {percent(found.usable_fraction)} of {label:.0f} Wh"
    if not found.delivers:
        return f"{said}, CANNOT DELIVER"
    if found.extra_kg > 0.0:
        cost = far(max(0.0, found.extra_m), view.system)
        said = f"{said:<26} {show(found.extra_kg, Kind.MASS, view.system)} more cost {cost}"
    return said


def _names(same: Sequence[SetRange]) -> list[str]:
    """Sets with the same figures as one name, where that is short enough."""
    names = [_plus(line.packs) for line in same]
    joined = " or ".join(names)
    return [joined] if len(joined) <= NAME else names


def _ends(view: RangeView) -> str:
    """Why it ends, when it is the same for all."""
    found = {line.found[0].ended for line in view.lines if isinstance(line.found[0], RangeEstimate)}
    return f"; it ends when {ENDED[found.pop()]}" if len(found) == 1 and found <= {*ENDED} else ""


def _refusals(view: RangeView) -> Iterator[str]:
    said = {refusal_text(each) for line in view.lines for each in line.found if isinstance(each, Refusal)}
    yield from sorted(said)


def _notes(view: RangeView, index: int) -> Iterator[str]:
    """What is to be said of a ride, in the words of the first set that has it."""
    told: dict[str, Note] = {}
    for line in view.lines:
        found = line.found[index]
        if isinstance(found, RangeEstimate):
            for note in found.notes:
                told.setdefault(note.kind, note)
    for note in told.values():
        yield f"{clean(view.rides[index])}: {note_words(note, view.system)}"


def _swings(view: RangeView) -> Iterator[str]:
    for found in view.told_by.found:
        if isinstance(found, Refusal):
            continue
        likely_m = found.distance_m.likely
        yield from _para(f"{clean(found.ride.name)}, {_plus(found.packs)}: {far(likely_m, view.system)} likely")
        unit = "mi" if view.system == "us" else "km"
        yield f"    {'':<28}{'from - to':<26}{f'{unit}, from':>9}{'to':>7}"
        for swing in found.swings[:MOST_SWINGS]:
            low, high = (signed(each, view.system) for each in (swing.at_low_m, swing.at_high_m))
            name, ends = INPUTS[swing.figure.attr][0], span_words(swing.figure, view.system)
            yield f"    {name:<28}{ends:<26}{low:>9}{high:>7}"


def _assumed(view: RangeView) -> Iterator[str]:
    """What all rides share once, then what each has of its own, then the fields of the build that nobody has said."""
    rides = [each.ride for each in view.told_by.found if isinstance(each, RangeEstimate)]
    told = [{each.attr: input_words(each, view.system) for each in _counted(ride) if not each.known} for ride in rides]
    worked = [each for each in told if "measured" not in each]
    first = worked[0] if len(worked) > 1 else {}
    common = [attr for attr in first if all(each.get(attr) == first[attr] for each in worked)]
    estimates = [each for each in view.told_by.found if isinstance(each, RangeEstimate)]
    shares = {share.attr: share for each in estimates for share in each.shares}
    packs = [input_words(each, view.system) for each in shares.values()]
    yield "; ".join([*dict.fromkeys(_basis_words(rides, view)), *packs, *(first[attr] for attr in common)])
    for ride, words in zip(rides, told, strict=True):
        own = [ride.about, *(words[attr] for attr in INPUTS if attr in words and attr not in common)]
        if any(own):
            yield f"{clean(ride.name)}: {'; '.join(filter(None, own))}"
    if view.assumed:
        yield "; ".join(view.assumed)


def _counted(ride: RideInputs) -> tuple[Input, ...]:
    """The figures that its range hangs on."""
    return (ride.measured,) if ride.measured else ride.inputs


def _basis_words(rides: Sequence[RideInputs], view: RangeView) -> Iterator[str]:
    for ride in rides:
        yield f"air and cells at {show(ride.air_k, Kind.TEMPERATURE)}"
        cut_m_s, basis = ride.riding.cut_m_s, dict(ride.basis)["cut-off speed"]
        yield f"help up to {show(cut_m_s, Kind.SPEED, view.system)} ({basis})" if isfinite(cut_m_s) else NO_CUT
    aged = "" if view.health_fraction is None else f", with {percent(view.health_fraction)} of their capacity"
    yield f"packs full{aged}"
    yield "nothing won back by braking"
    for shape in dict.fromkeys(ride.riding.drive.shape for ride in rides if not ride.measured):
        yield f"motor losses that change with speed and load as those of a {shape} do (an example, not measured)"


def range_markdown(view: RangeView) -> str:
    """The same content in tables."""
    heads = ["packs", *(f"{ride}: {what}" for ride in view.rides for what in ("count on", "likely"))]
    rows = [[_plus(line.packs), *(each for found in line.found for each in _two(view, found))] for line in view.lines]
    lines = [f"# {cell(view.name)}: how far", "", *([cell(view.refused), ""] if view.refused else [])]
    lines += table(heads, rows)
    if view.need_m is not None:
        lines += [*(f"- {cell(line.strip())}" for line in _need(view)[1:]), ""]
    if told := _told(view):
        lines += ["## Fitted to this rider", "", *(f"- {cell(said)}" for said in told), ""]
    lines += ["## What it takes", ""]
    taken = [
        [
            found.ride.name,
            *(_energy(view, each) for each in found.taken_j_per_m),
            show(found.speed_m_s, Kind.SPEED, view.system),
            f"{found.mean_w:.0f} W",
            f"{found.mean_a:.1f} A",
        ]
        for found in view.told_by.found
        if isinstance(found, RangeEstimate)
    ]
    lines += table(["ride", "least", f"likely {_unit(view)}", "most", "speed", "mean power", "mean current"], taken)
    energy = [
        [
            _plus(line.packs),
            f"{found.usable_j / 3600:.0f} Wh",
            f"{found.label_j / 3600:.0f} Wh",
            ENDED.get(found.ended, found.ended),
            far(max(0.0, found.extra_m), view.system) if found.extra_kg else "",
        ]
        for line in view.lines
        for found in line.found[:1]
        if isinstance(found, RangeEstimate)
    ]
    lines += [f"## What the packs give, on the ride {cell(view.rides[0])}", ""]
    lines += table(["packs", "usable", "on the label", "ends when", "cost of further packs' mass"], energy)
    notes = [*_refusals(view), *view.hills, *(note for index in range(len(view.rides)) for note in _notes(view, index))]
    if notes:
        lines += ["## Note", "", *(f"- {cell(note)}" for note in notes), ""]
    lines += ["## Assumed", "", *(f"- {cell(said)}" for said in _assumed(view)), "", cell(CAUTION)]
    return "\n".join(lines) + "\n"


def _two(view: RangeView, found: RangeEstimate | Refusal) -> list[str]:
    if isinstance(found, Refusal):
        return ["not known", ""]
    return [far(each, view.system) for each in found.distance_m[:2]] if found.delivers else ["cannot deliver", ""]


def range_json(view: RangeView) -> str:
    """Everything, schema `packyoke/range/1`; numbers in SI units."""
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "file": view.file,
        "name": view.name,
        "need_m": view.need_m,
        "answered": view.answered,
        "check": view.refused or None,
        "hills": list(view.hills),
        "health_fraction": view.health_fraction or 1.0,
        "ranges": [
            _estimate(found, view)
            if isinstance(found, RangeEstimate)
            else {"packs": list(line.packs), "ride": ride, "refused": refusal_text(found)}
            for line in view.lines
            for ride, found in zip(view.rides, line.found, strict=True)
        ],
        "assumed": list(view.assumed),
    }
    return strict.written(data)


def _estimate(found: RangeEstimate, view: RangeView) -> dict[str, Any]:
    ride = found.ride
    return {
        "packs": list(found.packs),
        "ride": ride.name,
        "distance_m": found.distance_m._asdict(),
        "taken_j_per_m": found.taken_j_per_m._asdict(),
        "reaches": None if view.need_m is None else found.delivers and found.distance_m.low >= view.need_m,
        "ended": found.ended,
        "usable_j": found.usable_j,
        "rundown_j": found.given_j,
        "label_energy_j": found.label_j,
        "mean_w": found.mean_w,
        "mean_a": found.mean_a,
        "speed_m_s": found.speed_m_s,
        "duration_s": found.duration_s,
        "extra_packs_kg": found.extra_kg,
        "extra_packs_cost_m": found.extra_m,
        "air_k": ride.air_k,
        "measured": ride.measured is not None,
        "inputs": [each._asdict() for each in ride.inputs],
        "basis": dict(ride.basis),
        "swings": [
            {"attr": each.figure.attr, "at_low_m": each.at_low_m, "at_high_m": each.at_high_m} for each in found.swings
        ],
        "known": [
            {
                "packs": list(each.ride.packs),
                "from": each.ride.from_fraction,
                "to": each.ride.to_fraction,
                "distance_m": each.ride.distance_m,
                "anybody_m": each.anybody_m,
                "farther_fraction": each.farther_fraction,
            }
            for each in found.told
        ],
        "notes": [{**note._asdict(), "words": note_words(note, view.system)} for note in found.notes],
    }
