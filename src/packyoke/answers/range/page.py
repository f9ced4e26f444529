"""How far each set of packs carries each ride, as a page and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from math import isfinite
from typing import Any, NamedTuple, TypeVar

from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.analysis.ride.named import SHOP, Input, RideInputs
from packyoke.analysis.ride.reach import Note, RangeEstimate
from packyoke.answers.inherited import places_taken
from packyoke.answers.range.known import told_words
from packyoke.answers.range.words import INPUTS, input_words, loudness, note_words, signed, span_words
from packyoke.answers.rundown.page import refusal_text
from packyoke.core.constants import WH_J
from packyoke.core.findings import clean, percent
from packyoke.core.tape import far, wanted
from packyoke.core.units import Kind, from_si, show
from packyoke.page import strict
from packyoke.page.bars import scale_end, scale_of
from packyoke.page.page import Bar, Lines, Page, Table, Verdict, filled

SCHEMA = "packyoke/range/1"
RIDES_A_TABLE = 3
MOST_SWINGS, MOST_NAMED = 8, 4
SOLID, HATCHED = "count on", "likely"
COUNT_ON = "Count on the first figure of each pair; the second is likely."
CAUTION = (
    "An estimate, not a promise: rider, wind, tyres, cold and age decide. Packs are taken as full, and those of the "
    "other sets as left at home. Leads, contacts and joiners are not judged here: packyoke check does that."
)
ENDED = {"controller cuts": "the controller cuts", "no pack left": "the last pack drops out"}


NO_CUT = "no speed at which the motor stops helping"

AnyFigures = TypeVar("AnyFigures")


class SetRange(NamedTuple):
    """One set of packs, with its range on each ride in the order of the rides."""

    packs: tuple[str, ...]
    found: tuple[RangeEstimate | NoRundown, ...]


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
    check: str = "yes"
    refused: str = ""
    check_lines: tuple[str, ...] = ()
    """What the check says of riding this bike; at `no` there are no ranges."""
    hills: tuple[str, ...] = ()

    @property
    def told_by(self) -> SetRange:
        """The first set that has figures: what rides take is told with its packs."""
        return next(line for line in self.lines if any(isinstance(each, RangeEstimate) for each in line.found))

    def reaching(self, ride: int) -> tuple[SetRange, ...]:
        """The sets that get as far as is needed, counted with the low figure."""
        return tuple(line for line in self.lines if self._reaches(line.found[ride]))

    def _reaches(self, found: RangeEstimate | NoRundown) -> bool:
        return isinstance(found, RangeEstimate) and found.delivers and found.distance_m.low >= (self.need_m or 0.0)

    @property
    def answered(self) -> bool:
        """Whether every ride has a set that delivers, and gets as far as is needed, on a bike that may be ridden."""
        return self.check == "yes" and all(self.reaching(ride) for ride in range(len(self.rides)))


def range_page(view: RangeView) -> Page:
    """How far on each ride, what that takes, what the packs give, what it was counted with; at stop only what stands
    in the way."""
    if view.check == "no":
        return Page(
            title=_title(view),
            verdict=Verdict("stop", "STOP", f"{_title(view)} it goes is not told"),
            lead=(view.refused, *view.check_lines),
            blocks=filled(places_taken(view.assumed)),
            source=view.file,
        )
    notes = [*_refusals(view), *view.hills, *(line for index in range(len(view.rides)) for line in _notes(view, index))]
    needed = f"{wanted(view.need_m, view.system)}, " if view.need_m is not None else ""
    return Page(
        title=_title(view),
        verdict=loudness(view.check, view.answered, _title(view), _short_of(view)),
        lead=(*([view.refused] if view.refused else []), COUNT_ON),
        blocks=filled(
            Lines("What gets there", tuple(_need(view)), f"{needed}counted with the figure to count on"),
            *_how_far(view),
            Lines("Fitted to this rider", tuple(_told(view))),
            _rides(view),
            _packs(view),
            Lines("Note", tuple(notes)),
            *(_swings(view) if view.sensitivity else ()),
            Lines("Assumed", tuple(_assumed(view)), "write it in the file and that counts instead"),
        ),
        closing=(CAUTION,),
        source=view.file,
    )


def _title(view: RangeView) -> str:
    return f"{clean(view.name, 200)}: how far"


def _short_of(view: RangeView) -> str:
    """On which rides no set of packs gets there."""
    rides = [clean(ride) for at, ride in enumerate(view.rides) if not view.reaching(at)]
    does = "delivers what it takes" if view.need_m is None else f"is sure to go {wanted(view.need_m, view.system)}"
    return f"no set of packs {does} on the ride {' and '.join(rides)}"


def _told(view: RangeView) -> list[str]:
    """What known rides told, of every ride that has some."""
    found = {each.ride.name: each.told for line in view.lines for each in line.found if isinstance(each, RangeEstimate)}
    return [f"{clean(name)}: {said}" for name, told in found.items() for said in told_words(told, view.system)]


def _plus(packs: Sequence[str]) -> str:
    return " + ".join(clean(name) for name in packs)


def _told_with(view: RangeView) -> str:
    """The set that rides are told with: by its names where they are few, else by its place."""
    packs = view.told_by.packs
    return "the first of these sets" if len(packs) > MOST_NAMED and view.told_by == view.lines[0] else _plus(packs)


def _need(view: RangeView) -> Iterator[str]:
    for index, ride in enumerate(view.rides if view.need_m is not None else ()):
        names = [_plus(line.packs) for line in view.reaching(index)]
        short = [_plus(line.packs) for line in view.lines if line not in view.reaching(index)]
        if not names:
            said = "none of these sets gets there"
        elif len(names) > MOST_NAMED and len(short) <= MOST_NAMED:
            said = f"all of these sets but {'; '.join(short)}" if short else "all of these sets"
        else:
            said = "; ".join(names)
        yield f"{clean(ride)}: {said}"


def _how_far(view: RangeView) -> Iterator[Table]:
    """The rides in tables of a few, the sets that get as far in one row; bars of one scale through all tables."""
    more = f"{view.sets_left_out} more sets of packs: --packs NAMES answers one of them."
    found = [each for line in view.lines for each in line.found]
    longest_m = max((each.distance_m.likely for each in found if isinstance(each, RangeEstimate)), default=0.0)
    end = scale_end(from_si(longest_m, _mile(view)))
    for first in range(0, len(view.rides), RIDES_A_TABLE):
        rides = range(first, min(first + RIDES_A_TABLE, len(view.rides)))
        last = rides.stop == len(view.rides)
        together = _together((line, tuple(_two(view, line.found[ride]) for ride in rides)) for line in view.lines)
        yield Table(
            "How far",
            ("packs", *(head for ride in rides for head in (f"{clean(view.rides[ride])}: {SOLID}", HATCHED))),
            tuple((name, *(text for pair in pairs for text in pair)) for name, pairs, _ in together),
            "l" + "rr" * len(rides),
            notes=(more,) if last and view.sets_left_out > 0 else (),
            bars={
                (row, 1 + 2 * at): _bar(view, line.found[ride], end)
                for row, (_, _, line) in enumerate(together)
                for at, ride in enumerate(rides)
            },
            scale=scale_of(end, _mile(view), SOLID, HATCHED),
        )


def _together(lines: Iterable[tuple[SetRange, AnyFigures]]) -> list[tuple[str, AnyFigures, SetRange]]:
    """The sets of as many packs that have the same figures, with all their names, the figures, and one of them."""
    found: dict[tuple[int, AnyFigures], list[SetRange]] = {}
    for line, figures in lines:
        found.setdefault((len(line.packs), figures), []).append(line)
    return [(" or ".join(_plus(line.packs) for line in same), key[1], same[0]) for key, same in found.items()]


def _two(view: RangeView, found: RangeEstimate | NoRundown) -> tuple[str, str]:
    if isinstance(found, NoRundown):
        return "not known", ""
    if not found.delivers:
        return "cannot deliver", ""
    low, likely = (far(each, view.system, view.need_m) for each in found.distance_m[:2])
    return low, likely


def _bar(view: RangeView, found: RangeEstimate | NoRundown, end: float) -> Bar:
    if isinstance(found, NoRundown) or not found.delivers:
        return Bar(0.0, 0.0, 2)
    low, likely = (from_si(each, _mile(view)) / end for each in found.distance_m[:2])
    return Bar(low, likely, 2)


def _rides(view: RangeView) -> Table:
    rows = []
    for found in view.told_by.found:
        if isinstance(found, NoRundown):
            continue
        low, likely, high = (_energy(view, each) for each in found.taken_j_per_m)
        speed = show(found.speed_m_s, Kind.SPEED, view.system)
        span = "" if low == high else f"{low} to {high}"
        rows.append((clean(found.ride.name), likely, span, speed, f"{found.mean_w:.0f} W", f"{found.mean_a:.1f} A"))
    heads = ("ride", f"likely {_unit(view)}", "from - to", "speed", "mean power", "mean current")
    about = f"out of the packs, with {_told_with(view)}"
    return Table("What it takes", heads, tuple(rows), "lrrrrr", about)


def _mile(view: RangeView) -> str:
    return "mi" if view.system == "us" else "km"


def _unit(view: RangeView) -> str:
    return "Wh/mi" if view.system == "us" else "Wh/km"


def _energy(view: RangeView, j_per_m: float) -> str:
    number = from_si(j_per_m, _unit(view))
    return f"{number:.0f}" if number >= 9.95 else f"{number:.1f}".removesuffix(".0")


def _packs(view: RangeView) -> Table:
    """What each set gives, the sets that give the same in one row."""
    known = [(line, line.found[0]) for line in view.lines]
    rows = _together((line, _worth(view, found)) for line, found in known if isinstance(found, RangeEstimate))
    return Table(
        "What the packs give",
        ("packs", "usable", "Wh on label", "of it", "more mass", "costs"),
        tuple((name, *figures) for name, figures, _ in rows),
        "lrrrrr",
        f"on the ride {clean(view.rides[0])}{_ends(view)}",
    )


def _worth(view: RangeView, found: RangeEstimate) -> tuple[str, ...]:
    usable, label = f"{found.usable_j / WH_J:.0f} Wh", f"{found.label_j / WH_J:.0f} Wh"
    if not found.delivers:
        return usable, label, percent(found.usable_fraction), "cannot deliver", ""
    heavier = found.extra_kg > 0.0
    cost = far(max(0.0, found.extra_m), view.system) if heavier else ""
    mass = show(found.extra_kg, Kind.MASS, view.system) if heavier else ""
    return usable, label, percent(found.usable_fraction), mass, cost


def _ends(view: RangeView) -> str:
    """Why it ends, when it is the same for all."""
    found = {line.found[0].ended for line in view.lines if isinstance(line.found[0], RangeEstimate)}
    return f"; it ends when {ENDED[found.pop()]}" if len(found) == 1 and found <= {*ENDED} else ""


def _refusals(view: RangeView) -> Iterator[str]:
    said = {refusal_text(each) for line in view.lines for each in line.found if isinstance(each, NoRundown)}
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


def _swings(view: RangeView) -> Iterator[Table]:
    """What the range of each ride hangs on: what one figure changes of what is likely."""
    for found in view.told_by.found:
        if isinstance(found, NoRundown):
            continue
        rows = []
        for swing in found.swings[:MOST_SWINGS]:
            low, high = (signed(each, view.system) for each in (swing.at_low_m, swing.at_high_m))
            rows.append((INPUTS[swing.figure.attr][0], span_words(swing.figure, view.system), low, high))
        likely = far(found.distance_m.likely, view.system)
        about = f"{clean(found.ride.name)}, {_told_with(view)}: {likely} likely, changed by one figure"
        heads = ("figure", "from - to", f"{_mile(view)}, from", "to")
        yield Table("What it hangs on", heads, tuple(rows), "llrr", about)


def _assumed(view: RangeView) -> Iterator[str]:
    """What all rides share once, then what each has of its own, then the fields that are not in the file."""
    rides = [each.ride for each in view.told_by.found if isinstance(each, RangeEstimate)]
    told = [{each.attr: input_words(each, view.system) for each in _counted(ride) if _to_tell(each)} for ride in rides]
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


def _to_tell(figure: Input) -> bool:
    """What nobody wrote, and what came from the shop's file."""
    return not figure.known or figure.basis == SHOP


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


def range_json(view: RangeView) -> str:
    """Everything, schema `packyoke/range/1`; numbers in SI units."""
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "file": view.file,
        "name": view.name,
        "need_m": view.need_m,
        "answered": view.answered,
        "check": view.refused or None,
        "because": list(view.check_lines),
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
