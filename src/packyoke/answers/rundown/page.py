"""A rundown as text for one screen, as JSON and as CSV: who supplies when, what each carries, when it ends and why."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from packyoke.analysis.discharge.course import Event, PackTally, Phase
from packyoke.analysis.discharge.rundown import Draw, NoRundown, Rundown, SetLine
from packyoke.core.constants import WH_J
from packyoke.core.findings import percent, shown
from packyoke.core.units import Kind, show
from packyoke.core.words import listed
from packyoke.page import strict
from packyoke.page.cells import cells, wrapped
from packyoke.page.page import Block, Figure, Lines, Page, Steps, Table, Verdict

SCHEMA = "packyoke/rundown/1"
CHART_COLUMNS = 40
MOST_NAME = 20
LEVELS = "0123456789"
ASSUMED = "write it in the file and that counts instead"
KINDS = {
    "joins in": "{} supplies",
    "level": "{} has come level and helps",
    "waits": "{} waits",
    "drops out": "{} drops out: its protection opens",
    "empty": "{} is empty",
    "controller cuts": "the controller cuts",
    "cannot deliver": "the load is more than {} can deliver",
}
REFUSALS = {
    "not known": "{part}: {attr} is not known, and a rundown needs it",
    "no curve": "{part}: no open-circuit curve of its chemistry is on file",
    "no harness": "{part}: the harness is broken; packyoke check says how",
    "two ways": "{part}: its current has two ways to the controller, and how it parts is not followed here",
    "gives nothing": "{part}: on a ride that is known it gives nothing, by the rundown",
    "fits no rider": "{part}: what is known of it fits no rider; packyoke range says how far it is off",
    "no common way": "{part}: it feeds another controller than the other packs; ask for those of one controller only",
}


class Ridden(NamedTuple):
    """The mean of a ride: what the controller draws, how fast, and the air that the cells take."""

    name: str
    draw: Draw
    speed_m_s: float
    air_k: float


class RundownView(NamedTuple):
    """One rundown with what is printed around it."""

    file: str
    name: str
    found: Rundown
    others: tuple[SetLine | NoRundown, ...]
    assumed: tuple[str, ...]
    beyond: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    ride: Ridden | None = None
    refused: str = ""
    cuts: tuple[tuple[float, str], ...] = ()
    """Voltages at which a controller cuts off [V], with their words."""
    most: tuple[tuple[float, str], ...] = ()
    """Currents that packs and their fuses bear all the time [A], with their words."""

    def when(self, time_s: float) -> str:
        """A moment, and on a ride how far one has come by then."""
        return clock(time_s) if self.ride is None else f"{clock(time_s)}, {self.way(time_s)}"

    def way(self, time_s: float) -> str:
        """How far one has come by then, on the mean of the ride."""
        km = time_s * (self.ride.speed_m_s if self.ride else 0.0) / 1000
        return f"{km:.0f} km" if km >= 10 else f"{km:.1f} km"


def refusal_text(refusal: NoRundown) -> str:
    """Why there is no rundown, in a sentence."""
    return REFUSALS[refusal.reason].format(part=refusal.name, attr=refusal.field)


def rundown_page(view: RundownView) -> Page:
    """The phases, the packs, the shares over time, and every set of packs in a line."""
    found, stops = view.found, _stops(view)
    told = tuple(f"{view.when(time_s)}: {said}" for time_s, said in happenings(found))
    blocks: list[Block] = []
    if told:
        blocks.append(Steps("What happens", told))
    if found.phases and not found.draw.at_rest:
        rows = tuple((clock(phase.from_s), clock(phase.to_s), phase_words(phase)) for phase in found.phases)
        heads, about = ("from", "to", "share of the current"), "at the start and at the end of each phase"
        blocks.append(Table("Who supplies", heads, rows, "rrl", about=about))
    takes = any(pack.depth_fraction <= -MOVED for pack in found.packs)
    blocks.append(
        Table(
            "The packs",
            ("pack", "from", "to", "gave", "of its charge", "at most", "heat"),
            tuple(tuple(pack_row(pack)) for pack in found.packs),
            "lrrrrrr",
            about="below 0: what it took from the others" if takes else "",
        )
    )
    if found.series and found.duration_s:
        blocks.append(_over_time(view))
    if len(view.others) > 1:
        sets = tuple(tuple(set_row(one)) for one in view.others if isinstance(one, SetLine))
        refused = tuple(refusal_text(one) for one in view.others if isinstance(one, NoRundown))
        columns = ("packs", "gives", "Wh on label", "for", "supplies first")
        blocks.append(Table("Pack sets", columns, sets, "lrrrl", notes=refused))
    if view.assumed:
        blocks.append(Lines("Assumed", ("; ".join(view.assumed),), ASSUMED))
    return Page(
        title=title(view),
        verdict=Verdict("stop", "STOP", title(view)) if stops else None,
        lead=(*stops, *headline(view)),
        blocks=blocks,
        closing=(CAUTION,),
        source=view.file,
    )


def title(view: RundownView) -> str:
    """The bike and the packs that are run down."""
    return f"{view.name}: {' + '.join(pack.name for pack in view.found.packs)}"


def _stops(view: RundownView) -> tuple[str, ...]:
    """What makes the answer no: what packs are asked for beyond their limits, and what the check stops."""
    return (*(f"{said}." for said in view.beyond), *((view.refused,) if view.refused else ()))


def _over_time(view: RundownView) -> Figure:
    """The shares as tenths in plain characters; voltage, current and charge as charts."""
    from packyoke.answers.rundown.charts import charts

    back = any(amps < 0.0 for sample in view.found.series for amps in sample.currents_a)
    charged = "; < is charged by the others" if back else ""
    words = "; ".join(f"{clock(time_s)} {said}" for time_s, said in happenings(view.found))
    about = f"share of each pack in tenths, 9 is nearly all or all of it{charged}"
    return Figure("Over time", tuple(_chart(view.found)), words, about, tuple(charts(view)), alike=True)


WORTH_SAYING_J = WH_J
MOVED = 0.005
"""Less of a pack's charge than this rounds to nothing."""
BY_THE_MEAN = "Counted with all that packs like new can give at the mean load; packyoke range says how far to count on."

ABOVE_LABEL = "A little more than the label: labels count harder loads than this one, and cells like new give it."
NOT_JUDGED = "Leads, contacts and joiners are not judged here: packyoke check does that."


def headline(view: RundownView) -> list[str]:
    """What the set of packs is worth, why it ends, and what makes the answer doubtful."""
    found = view.found
    if found.draw.at_rest:
        return [*_rested(found), *view.doubts, NOT_JUDGED]
    goes = f", goes {view.way(found.duration_s)}" if view.ride and len(found.packs) == 1 else ""
    goes = goes or (f", go {view.way(found.duration_s)}" if view.ride else "")
    usable = f"{shown(found.energy_to_load_j / WH_J)} Wh"
    share = f"{percent(found.usable_fraction)} of the {shown(found.label_energy_j / WH_J)} Wh on the label"
    lasts = f"they last {clock(found.duration_s)}" if len(found.packs) > 1 else f"it lasts {clock(found.duration_s)}"
    gives = "give" if len(found.packs) > 1 else "gives"
    return [
        f"{_at_words(view)} {lasts}{goes} and {gives} {usable}, {share}.",
        *([ABOVE_LABEL] if found.usable_fraction > 1.0 else []),
        f"It ends because {_ended(found)}.",
        *([f"Accessories take {shown(found.taps_j / WH_J)} Wh besides."] if found.taps_j > WORTH_SAYING_J else []),
        *view.doubts,
        *([BY_THE_MEAN] if view.ride else []),
        NOT_JUDGED,
    ]


def _rested(found: Rundown) -> Iterator[str]:
    """What packs do that are plugged in while the controller draws nothing."""
    moved = [pack for pack in found.packs if abs(pack.depth_fraction) >= MOVED]
    went = ", ".join(f"{p.name} from {percent(p.start_fraction)} to {percent(p.end_fraction)}" for p in moved)
    taken = f"Accessories take {shown(found.taps_j / WH_J)} Wh meanwhile: " if found.taps_j > WORTH_SAYING_J else ""
    if not moved:
        yield "At rest, plugged in and the controller drawing nothing, nothing flows from pack to pack."
    elif found.ended == "level":
        yield f"At rest the packs come level in {clock(found.duration_s)}: {went}."
    elif len(found.packs) > 1 and found.ended == "a day has passed" and not taken:
        yield f"At rest the packs are not quite level after a day: {went}."
    else:
        yield f"At rest, the controller drawing nothing, for {clock(found.duration_s)}. {taken}{went}."


CAUTION = (
    "An estimate from typical open-circuit curves and the resistances above; cells differ, and cold and age take more. "
    "Lithium packs can burn; the makers' instructions and a qualified person decide."
)


def clock(seconds: float) -> str:
    """A time for people: `45 s`, `12 min`, `1 h 18 min`.

    >>> clock(45), clock(750), clock(4688)
    ('45 s', '12 min', '1 h 18 min')
    """
    if seconds < 90:
        return f"{seconds:.0f} s"
    hours, minutes = divmod(int(seconds // 60), 60)
    return f"{hours} h {minutes:02} min" if hours else f"{minutes} min"


def _at_words(view: RundownView) -> str:
    if view.ride is None:
        return f"At {_draw_words(view.found)}"
    speed = show(view.ride.speed_m_s, Kind.SPEED)
    return f"On the ride {view.ride.name}, at {_draw_words(view.found)} and {speed} in the mean,"


def _draw_words(found: Rundown) -> str:
    parts = []
    if found.draw.current_a is not None:
        parts.append(show(found.draw.current_a, Kind.CURRENT))
    if found.draw.power_w is not None:
        parts.append(show(found.draw.power_w, Kind.POWER))
    said = " and at most ".join(parts) or "what the controller may draw"
    return f"{said} besides {show(found.draw.besides_a, Kind.CURRENT)}" if found.draw.besides_a else said


def _ended(found: Rundown) -> str:
    if found.refused is not None:
        return f"the load asks for more than there is ({shown(found.refused.most_a)} A at the most)"
    return {
        "controller cuts": "the controller cuts at its low voltage",
        "no pack left": "the last pack has dropped out",
        "cannot deliver": "the load asks for more than there is",
        "level": "the packs are level",
        "a day has passed": "a day has passed",
    }[found.ended]


def happenings(found: Rundown) -> list[tuple[float, str]]:
    """What happens when, from who begins to how it ends [s]."""
    first = found.phases[0].supplying if found.phases else ()
    one, many = ("feeds the others", "feed the others") if found.draw.at_rest else ("supplies", "supply")
    begins = [(0.0, f"{listed(first)} {one if len(first) == 1 else many}")] if first else []
    told = [(each.time_s, _event_words(each)) for each in found.events if each.time_s > 0 or each.pack not in first]
    return list(dict.fromkeys(begins + told))  # of a group behind a selector each pack is told to be cut at once


def _event_words(event: Event) -> str:
    if event.kind == "level" and not event.pack:
        return "the packs are level"
    return KINDS[event.kind].format(event.pack or "what is plugged in")


def phase_words(phase: Phase) -> str:
    """The parts of the current in a phase: `keel 100 to 61 %, pannier 0 to 39 %`."""
    shares = zip(phase.supplying, phase.share_start, phase.share_end, strict=True)
    return ", ".join(f"{name} {round(100 * start)} to {percent(end)}" for name, start, end in shares) or "nothing"


def pack_row(pack: PackTally) -> list[str]:
    """A pack in a line: from, to, what it gave, how deep, at most, heat in it."""
    return [
        pack.name,
        percent(pack.start_fraction),
        percent(pack.end_fraction),
        f"{round(pack.energy_out_j / WH_J)} Wh",
        percent(pack.depth_fraction),
        f"{shown(pack.peak_a)} A",
        f"{round(pack.heat_j / WH_J)} Wh",
    ]


def _chart(found: Rundown) -> Iterator[str]:
    """A row of tenths for each pack, and one for the voltage between its highest and its lowest."""
    wide = max(*(cells(pack.name) for pack in found.packs), 5)
    moments = _spread(found)
    for index, pack in enumerate(found.packs):
        row = "".join(_mark(found.series[at].currents_a, index) for at in moments)
        name, *more = wrapped(pack.name, most=MOST_NAME)
        yield f"  {name}{' ' * (min(wide, MOST_NAME) - cells(name))} |{row}|"
        yield from (f"  {rest}" for rest in more)
    volts = [found.series[at].bus_v for at in moments]
    low, high = min(volts), max(volts)
    span = high - low or 1.0
    row = "".join(LEVELS[min(9, int(10 * (each - low) / span))] for each in volts)
    wide = min(wide, MOST_NAME)
    yield f"  {'volts':<{wide}} |{row}| {high:.1f} to {low:.1f} V"
    yield f"  {'':<{wide}}  0{clock(found.duration_s):>{CHART_COLUMNS - 1}}"


def _spread(found: Rundown) -> list[int]:
    """The moments of the series nearest to evenly spaced times."""
    times = [sample.time_s for sample in found.series]
    wanted = [found.duration_s * (column + 0.5) / CHART_COLUMNS for column in range(CHART_COLUMNS)]
    return [max(0, next((at for at, time in enumerate(times) if time > each), len(times)) - 1) for each in wanted]


def _mark(currents_a: Sequence[float], index: int) -> str:
    total = sum(max(0.0, each) for each in currents_a)
    if currents_a[index] < -1e-3:
        return "<"
    share = max(0.0, currents_a[index]) / total if total else 0.0
    return LEVELS[min(9, int(10 * share + 1e-9))] if share > 0.0 else " "


def set_row(line: SetLine) -> list[str]:
    """A set of packs in a line: what it gives, for how long, who works first and who joins when."""
    first = " + ".join(pack for pack, begin in line.begins if begin < 1.0) or "nobody"
    later = ", ".join(f"{pack} {clock(begin)}" for pack, begin in line.begins if begin >= 1.0)
    works = f"{first}, then {later}" if later else first
    return [
        " + ".join(line.packs),
        f"{round(line.energy_to_load_j / WH_J)} Wh",
        f"{round(line.label_energy_j / WH_J)}",
        clock(line.duration_s),
        f"{works}; STOP, too much for {' and '.join(line.beyond)}" if line.beyond else works,
    ]


def rundown_json(view: RundownView) -> str:
    """The rundown with its full series, schema `packyoke/rundown/1`; numbers in SI units."""
    found = view.found
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "file": view.file,
        "name": view.name,
        "packs": [
            {
                "name": pack.name,
                "start_fraction": pack.start_fraction,
                "end_fraction": pack.end_fraction,
                "depth_fraction": pack.depth_fraction,
                "charge_out_coulomb": pack.charge_out_coulomb,
                "energy_out_j": pack.energy_out_j,
                "heat_j": pack.heat_j,
                "peak_a": pack.peak_a,
                "share": pack.share,
            }
            for pack in found.packs
        ],
        "draw": found.draw._asdict(),
        "ride": view.ride.name if view.ride else None,
        "speed_m_s": view.ride.speed_m_s if view.ride else None,
        "duration_s": found.duration_s,
        "ended": found.ended,
        "energy_to_load_j": found.energy_to_load_j,
        "accessories_j": found.taps_j,
        "label_energy_j": found.label_energy_j,
        "phases": [phase._asdict() for phase in found.phases],
        "events": [event._asdict() for event in found.events],
        "parts": {path: passed._asdict() for path, passed in found.passed.items()},
        "series": [sample._asdict() for sample in found.series],
        "assumed": list(view.assumed),
        "beyond_protection": list(view.beyond),
        "doubts": list(view.doubts),
        "check": view.refused or None,
    }
    return strict.written(data)


def rundown_csv(view: RundownView) -> str:
    """The series, one line a moment; numbers in SI units."""
    found = view.found
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    names = [pack.name for pack in found.packs]
    heads = [f"{name} {what}" for what in ("current_a", "terminal_v", "charge_fraction") for name in names]
    # A cell that starts like a formula would be worked out by a spreadsheet: a name may start with a hyphen.
    writer.writerow(
        ["time_s", "bus_v", "load_a", "load_w", *(f"'{head}" if head[0] in "=+-@" else head for head in heads)]
    )
    for sample in found.series:
        row = (*sample[:4], *sample.currents_a, *sample.terminals_v, *sample.fractions)
        writer.writerow([f"{value:.6g}" for value in row])
    return out.getvalue()
