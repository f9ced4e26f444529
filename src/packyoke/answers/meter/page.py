"""What a meter shows as a page: the answer, the number behind it, the next step."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import ceil, floor
from typing import NamedTuple

from packyoke.analysis.bench.as_built import Difference
from packyoke.analysis.bench.joiner_tests import BLOCKS_BELOW_V, InletTest, LoadTest, PathTest
from packyoke.analysis.bench.metering import Crossing, JoinAnswer, Oddity, RestingReading
from packyoke.analysis.packs.states import NoState, StateSpan
from packyoke.answers.meter.tests_page import (
    INLET_WORDS,
    inlet_words,
    load_words,
    path_words,
    volts_words,
)
from packyoke.answers.rundown.page import clock
from packyoke.core.findings import shown
from packyoke.core.paths import PartPath
from packyoke.core.words import listed
from packyoke.page.bars import scale_of
from packyoke.page.page import Bar, Level, Lines, Page, Table, Verdict, filled

MARKS = {"yes": "YES", "no": "NO", "not yet": "NOT YET"}
LEVELS: dict[JoinAnswer, Level] = {"yes": "good", "no": "stop", "not yet": "open"}
FIND_OUT = (
    f"Plug ONE pack in, put 10 kohm 1 W across another inlet and measure there: below {BLOCKS_BELOW_V:g} V it blocks, "
    "near the voltage of the pack it is plain or has failed. See first that its voltage is there at the outlet of the "
    "joiner: a pack asleep or a loose plug reads as if it blocked. Give what you read, inlet by inlet:  "
    '--across-inlet "2: 0.3 V"'
)
OFF = " A meter or a charger that is a little off shows as much too."
REST = "let both rest for half an hour and measure again."
CAUTION = (
    "Leads, connectors and ceilings are not judged here: packyoke check does that. Lithium packs can burn and high "
    "current arcs; the makers' instructions and a qualified person decide."
)


class Levelling(NamedTuple):
    """When packs level: at which times, who supplies first, at which load (at rest: the one that is left out); or
    `why_not`."""

    levels: tuple[tuple[float, str], ...]
    first: tuple[str, ...] | None
    load: str
    at_rest: bool
    why_not: str


class Noted(NamedTuple):
    """One reading in the words of a build file; `at` and `inlet` are empty where there is none."""

    date: str
    part: PartPath
    what: str
    value: str
    at: str = ""
    inlet: str = ""


class MeterView(NamedTuple):
    """Everything that readings say; `records` are the readings in the words of a build file.

    `check` and `check_lines`: the answer of the check of the same build, readings included, and what stands behind it.
    """

    file: str
    name: str
    reading: RestingReading | None
    states: Mapping[str, StateSpan | NoState]
    course: Levelling | None
    inlets: tuple[InletTest, ...]
    paths: tuple[PathTest, ...]
    loads: tuple[LoadTest, ...]
    differences: tuple[tuple[str, Difference], ...]
    asks: Mapping[tuple[str, str], str]
    assumed: tuple[str, ...]
    records: tuple[Noted, ...]
    left_out: tuple[str, ...]
    check: str = "yes"
    check_lines: tuple[str, ...] = ()

    @property
    def verdict(self) -> JoinAnswer:
        """No for a part that has failed or that the check stops, whatever the voltages say."""
        dead = any(each.found == "gate drive dead" for each in self.paths)
        if self.check == "no" or dead or any(map(_failed, self.inlets)):
            return "no"
        voltages = self.reading.verdict if self.reading is not None else "yes"
        waits = self.check == "not yet" or any(each.found in ("too much", "too little") for each in self.paths)
        return "not yet" if voltages == "yes" and waits else voltages


def meter_page(view: MeterView) -> Page:
    """The answer, the numbers behind it, what to do now, then the packs and what was tested."""
    head, *rest = because(view)
    return Page(
        title=f"{view.name}: measured",
        verdict=Verdict(LEVELS[view.verdict], MARKS[view.verdict], head),
        lead=(*rest, *(f"do: {step}" for step in to_do(view))),
        blocks=filled(*_blocks(view)),
        closing=(CAUTION,),
        source=view.file,
    )


def _failed(test: InletTest) -> bool:
    return test.found == "leaks" or (test.found == "plain or failed" and test.described is False)


def because(view: MeterView) -> list[str]:
    """The answer, then the numbers behind it."""
    said: list[str] = []
    for test in view.inlets:
        if _failed(test):
            said.append(
                f"{test.joiner} has failed: plug nothing into it. {test.volts_v:g} V across its empty inlet: "
                f"{INLET_WORDS[test.found]}."
            )
    for path in view.paths:
        if path.found == "gate drive dead":
            said.append(
                f"{path.part.name}: {shown(path.drop_v)} V at {shown(path.at_a)} A over one path: its gate "
                f"drive is dead, {shown(path.drop_v * path.at_a)} W of heat in it."
            )
    reading = view.reading
    if reading is None:
        fine = "nothing measured forbids it." if view.verdict == "yes" else "not all is as described."
        said = [*said, *view.check_lines]
        return said or [fine, "Whether packs may go together now is said when  --volts  are given."]
    names = tuple(reading.volts_v)
    who = listed(names)
    if len(names) == 1:
        said.append(f"{who} by itself: nothing to join." if view.verdict == "yes" else f"do not plug {who} in yet.")
    elif reading.verdict == "yes" and view.verdict != "yes":
        not_yet = " yet" if view.verdict == "not yet" else ""
        said += [] if said else [f"do not plug {who} together{not_yet}."]
        said.append("The voltages alone would allow it.")
    elif reading.verdict == "yes":
        said.append(f"{who} may be plugged together now.")
    else:
        said.append(f"do not plug {who} together{' yet' if view.verdict == 'not yet' else ''}.")
    said += [oddity_words(each, reading.volts_v[each.pack], view.asks) for each in reading.oddities]
    said += _all_block(view) or [line for each in reading.crossings if (line := crossing_words(each, view))]
    said += view.check_lines
    return list(dict.fromkeys(said))


def oddity_words(odd: Oddity, volts_v: float, asks: Mapping[tuple[str, str], str]) -> str:
    """A reading that does not go with its pack, in a sentence."""
    limit, found = shown(odd.limit_v), shown(volts_v)
    if odd.counts:
        like = " or ".join(f"{count} in series (full at {shown(full)} V)" for count, full in odd.counts[:3])
        like = f" It looks like {like}: its label or the file may be wrong."
    else:
        like = ""
    return {
        "unsound": f"{odd.pack} is {odd.other}: do not use it.",
        "not known": f"{asks.get(odd.asks or ('', ''), odd.pack)} is not known: nothing to hold {found} V against.",
        "nothing there": f"{odd.pack} shows {found} V: asleep, tripped, or its fuse is open; its cells are not what is "
        "measured.",
        "above full": f"{odd.pack} shows {found} V, and {limit} V is full.{like or OFF}",
        "nearly empty": f"{odd.pack} shows {found} V, hardly more than the {limit} V at which its protection opens: it "
        "is empty, or nearly.",
        "below cut-off": f"{odd.pack} shows {found} V, and below {limit} V its protection opens: cells that were so "
        f"low for long can be damaged inside.{like}",
        "one group less": f"{odd.pack} stands one cell ({limit} V) below {odd.other}: if both came off their chargers, "
        "a group of cells may be dead. Charge it and see whether it comes up.",
    }[odd.kind]


def _all_block(view: MeterView) -> list[str]:
    """Three packs and more that all meet in blocking joiners: one sentence instead of one for each two of them."""
    reading = view.reading
    pairs = reading.crossings if reading is not None else ()
    if reading is None or len(pairs) < 3 or any(each.kind != "blocks" for each in pairs):
        return []
    joiners = sorted({each.joiner for each in pairs})
    how = {_how_known(each, view) for each in joiners}
    names = {name for each in pairs for name in (each.higher, each.lower)}
    first, *rest = sorted(names, key=lambda name: (-reading.volts_v[name], name))
    if len(how) > 1 or len(pairs) < len(names) * (len(names) - 1) / 2:
        return []
    top_v = reading.volts_v[first]
    apart = [(name, top_v - reading.volts_v[name]) for name in rest]
    level = [name for name, lower_v in apart if lower_v <= 0.0]
    later = ", ".join(f"{name} ({volts_words(lower_v)} lower)" for name, lower_v in apart if lower_v > 0.0)
    supply = f"{listed([first, *level])} {'supply' if level else 'supplies'} first"
    helps = f"; the others help when it has come down to them: {later}" if later else ""
    return [f"{listed(joiners)} {'block' if len(joiners) > 1 else 'blocks'}{how.pop()}: {supply}{helps}."]


def crossing_words(each: Crossing, view: MeterView) -> str:
    """What happens between two packs, in a sentence; empty where there is nothing to say."""
    if each.kind == "blocks":
        blocks = f"{each.joiner} blocks{_how_known(each.joiner, view)}"
        if each.difference_v <= 0.0:
            return f"{blocks}: {each.higher} and {each.lower} are level and share."
        apart = f"{each.lower}, {volts_words(each.difference_v)} lower, helps when that has come down to it"
        return f"{blocks}: {each.higher} supplies first, {apart}."
    if each.kind == "turns":
        return f"{each.joiner} has one of {each.higher} and {each.lower} on at a time."
    if each.kind == "two ways":
        return f"{each.higher} and {each.lower} are joined in more than one way: how much flows is not worked out."
    if each.kind == "unequal":
        return f"{each.higher} and {each.lower} are not full at the same voltage: they never go together."
    if each.kind == "not known":
        asks = view.asks.get(each.asks or ("", ""), "something")
        return f"{asks} is not known, and on it hangs how {each.higher} and {each.lower} go together."
    if each.kind == "apart":
        return f"{each.higher} and {each.lower} do not meet."
    how = "touches both while it changes over" if each.turned else "is plain"
    apart = f"{each.higher} and {each.lower} are {volts_words(each.difference_v)} apart, {each.joiner} {how}:"
    if each.allowed_v <= 0.0:
        return f"{apart} no current may enter the outlet of {each.lower}."
    amps = f" ({shown(each.limit_a)} A)"
    by = {
        "practice": "good practice",
        "bond": "the file, where they are joined for good",
        each.lower: f"what {each.lower} may be charged with{amps}",
    }.get(each.limited_by, f"what {each.limited_by} bears{amps}")
    words = f"{apart} at most {floor(100 * each.allowed_v) / 100:g} V by {by}."
    if each.rush_a > 0.0:
        words += f" As much as {shown(each.rush_a)} A would rush into {each.lower} in the first moment,"
        words += f" {shown(each.later_a)} A 10 s later."
    if each.verdict == "yes":
        words += " These two may be joined." if view.verdict == "yes" else " That much would be allowed."
    if each.verdict == "yes" and each.slow_a is not None and each.rush_a > each.slow_a:
        words += f" That is more than the {shown(each.slow_a)} A of gentle charging."
    return words


def _how_known(joiner: str, view: MeterView) -> str:
    return ", as tested" if any(test.joiner == joiner for test in view.inlets) else " as described"


def to_do(view: MeterView) -> list[str]:
    """What to do now."""
    return list(dict.fromkeys(_steps(view)))


def _steps(view: MeterView) -> Iterator[str]:
    reading = view.reading
    if any(_failed(each) for each in view.inlets) or any(each.found == "gate drive dead" for each in view.paths):
        yield "Fit another joiner and test it before it is used."
    for path in view.paths:
        if path.found == "too much":
            watts_w = (path.drop_v - (path.described_v or 0.0)) * path.at_a
            yield (
                f"Unplug all packs, find where {path.part.name} drops so much ({shown(watts_w)} W too much at "
                f"{shown(path.at_a)} A): feel along it, pull at each joint, look at the print of the wire. Mend it "
                "and measure again."
            )
        if path.found == "too little":
            yield f"Measure {path.part.name} again, plus and minus from end to end; look at its wire and its length."
    if reading is None:
        return
    kinds = {each.kind for each in reading.oddities}
    if "nothing there" in kinds:
        yield "Wake the pack (button, key, charger), look at its fuse, and measure again."
    if "above full" in kinds:
        yield "Leave it unplugged; find out which pack it is, and hold the meter against another one."
    for odd in reading.oddities:
        if odd.kind == "nearly empty":
            yield f"Charge {odd.pack} by itself before the ride."
    if "below cut-off" in kinds:
        yield "Do not charge it and do not join it: its maker or a qualified person decides."
    for each in reading.crossings:
        if each.kind == "not known":
            unsaid = each.asks is not None and each.asks[1] == "type"
            yield FIND_OUT if unsaid else f"Find out {view.asks.get(each.asks or ('', ''), '')}."
        elif each.kind == "two ways":
            yield "Take all but one of the ways between them out, and measure again."
        elif each.kind == "rush" and each.verdict == "no" and each.allowed_v <= 0.0:
            yield "Fit a selector that breaks before it makes." if each.turned else "Fit a joiner that blocks."
        elif each.turned and view.verdict == "yes":
            yield f"Turn {each.joiner} now, meter in hand: after a ride its packs are further apart."
        elif each.kind == "rush" and view.verdict == "yes":
            yield f"Plug {each.higher} and {each.lower} together now: later these voltages no longer hold."
    if not any(map(_failed, view.inlets)):
        yield from _levelling(reading)
    untested = [each.joiner for each in reading.crossings if each.kind == "blocks"]
    untested = [name for name in dict.fromkeys(untested) if name not in {test.joiner for test in view.inlets}]
    if untested and view.verdict == "yes":
        yield f"Blocking parts fail without a sign. Not tested today: {', '.join(untested)}. {FIND_OUT}"


def _levelling(reading: RestingReading) -> Iterator[str]:
    """How packs that are too far apart get near: one line for each that is too low, none for one that is not right."""
    wrong = {each.pack for each in reading.oddities if each.verdict != "caution"}
    apart = [
        each
        for each in reading.crossings
        if each.kind == "rush"
        and each.verdict == "no"
        and each.allowed_v > 0.0
        and not {each.higher, each.lower} & wrong
    ]
    for name in dict.fromkeys(each.lower for each in apart):
        mine = [each for each in apart if each.lower == name]
        charge = _inside(_common([each.charge_to_v for each in mine]))
        ways = [f"charge {name} by itself to {charge}"] if charge else []
        # One that stays up would still feed it: all that are too high come down, or, to begin with, those that can.
        downs = [f"{each.higher} by itself down to {down}" for each in mine if (down := _inside(each.ride_to_v))]
        if downs and (len(downs) == len(mine) or not charge):
            ways.append(f"ride {' and '.join(downs)}")
        if ways:
            said = ", or ".join(ways)
            yield f"{said[:1].upper()}{said[1:]}; {REST}"


def _common(windows: Sequence[tuple[float, float] | None]) -> tuple[float, float] | None:
    """What lies in all windows, from and to; None where one of them is none."""
    known = [each for each in windows if each is not None]
    if len(known) < len(windows):
        return None
    return max(each[0] for each in known), min(each[1] for each in known)


def _inside(window: tuple[float, float] | None) -> str:
    """The tenths of a volt in a window, the hundredths of a narrow one: `53.9 to 54.1 V`; empty where there is none."""
    for places in (1, 2) if window is not None else ():
        steps = 10**places
        low, high = (round(1e3 * each) * steps / 1e3 for each in window or ())
        low, high = ceil(low - 1e-9), floor(high + 1e-9)
        if low <= high:
            first = f"{low / steps:.{places}f} to " if low < high else ""
            return f"{first}{high / steps:.{places}f} V"
    return ""


def _blocks(view: MeterView) -> Iterator[Table | Lines]:
    if view.reading is not None:
        volts_v = view.reading.volts_v
        # As they were read, to the last digit: how far they are apart is told beside them.
        rows = tuple((name, f"{volts:g} V", _state_words(view.states[name])) for name, volts in volts_v.items())
        left = (f"Not measured, and taken as unplugged: {', '.join(view.left_out)}.",) if view.left_out else ()
        known = [(row, view.states[name]) for row, name in enumerate(volts_v)]
        bars = {(row, 2): Bar(state.low, state.high) for row, state in known if isinstance(state, StateSpan)}
        scale = scale_of(100, "%", "charged at least", "charged at most")
        yield Table("The packs", ("pack", "at rest", "charged"), rows, "lrl", notes=left, bars=bars, scale=scale)
    if view.course is not None:
        yield Lines("When they level", (_course_words(view.course),))
    tests = (*map(inlet_words, view.inlets), *map(path_words, view.paths), *map(load_words, view.loads))
    yield Lines("Tested", tests)
    if view.assumed:
        yield Lines("Assumed", ("; ".join(view.assumed),))


def _state_words(state: StateSpan | NoState) -> str:
    if isinstance(state, NoState):
        return f"not said: {state.reason}"
    return f"{100 * state.low:.0f} to {100 * state.high:.0f} %, likely {100 * state.likely:.0f} %"


def _course_words(course: Levelling) -> str:
    if course.why_not:
        return f"Not worked out: {course.why_not}."
    if course.at_rest:
        level = (
            f"At rest less than 10 mA flows between them after {clock(course.levels[-1][0])}."
            if course.levels
            else "At rest they are level."
        )
        return f"{level} This is with nothing drawn: {course.load} is not counted." if course.load else level
    load = f" at {course.load}" if course.load else ""
    first = " and ".join(course.first or ()) or "nobody"
    later = ", ".join(f"{pack} helps after {clock(time_s)}" for time_s, pack in course.levels if pack)
    return f"Ridden{load}: {first} first{'; ' + later if later else ''}. An estimate from typical cells."
