"""From what somebody types after `packyoke meter` to an answer ready to print."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

from packyoke.analysis.bench.as_built import Difference, differences
from packyoke.analysis.bench.joiner_tests import (
    InletTest,
    LoadTest,
    PathTest,
    as_tested,
    inlet_test,
    load_test,
    path_test,
)
from packyoke.analysis.bench.metering import RestingReading, brisk_build, read_voltages
from packyoke.analysis.case import Case
from packyoke.analysis.circuit.curves import NotATree
from packyoke.analysis.discharge.rundown import AS_SET, Draw, NoRundown, rundown
from packyoke.analysis.packs.states import FLAT, NoState, StateSpan, state_of
from packyoke.analysis.packs.voltages import lowest_cut_off_v, series_count
from packyoke.analysis.unknowns.spans import OHMIC_SHARE
from packyoke.answers.checked import checked
from packyoke.answers.inherited import PARTS, inherited
from packyoke.answers.meter.page import Levelling, MeterView, Noted
from packyoke.answers.rundown.page import refusal_text
from packyoke.answers.typed import WrongInput, assumed_words, current_or_power, pairs, quantity
from packyoke.core.paths import BUILD, PartPath, name_of
from packyoke.core.units import Kind, QuantityError, read, show
from packyoke.model import Build, Joiner, Key, Lead, Measured, Unknown, as_found
from packyoke.model.build import NOWHERE
from packyoke.model.fields import field_name
from packyoke.model.found import inlets
from packyoke.model.order import by_name
from packyoke.verdict.layout import only

MOST_V = 120.0
"""No pack of an electric bike shows more: as the build file."""
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Typed:
    """What was typed, as typed; empty where an option was left out."""

    volts: str = ""
    load: str = ""
    across_inlet: str = ""
    drops: tuple[str, ...] = ()
    loaded: str = ""
    today: str = ""


@dataclass(slots=True)
class _Notes:
    """Readings as they go into the file, and the same as the model has them."""

    today: str
    entries: list[Noted] = field(default_factory=list)
    measured: list[Measured] = field(default_factory=list)

    def add(
        self,
        path: PartPath,
        what: str,
        text: str,
        value: float,
        at_text: str = "",
        at_a: float | None = None,
        inlet: str = "",
    ) -> None:
        self.entries.append(Noted(self.today, path, what, text, at_text, inlet))
        self.measured.append(
            Measured(
                name=f"{what} of {path}",
                path=BUILD,
                span=NOWHERE,
                spans={},
                date=self.today,
                part=path,
                what=what,
                value=value,
                at_a=at_a,
                inlet=inlet or None,
            )
        )


def view(build: Build, typed: Typed, assumed: Sequence[str] = ()) -> MeterView:
    """What readings say of a build. Raises WrongInput with a sentence for the person who typed them."""
    if not build.packs:
        raise WrongInput("the file describes no pack")
    if not (typed.volts or typed.across_inlet or typed.drops or typed.loaded):
        raise WrongInput("nothing was measured: give --volts, --across-inlet, --drop or --loaded")
    if typed.load and not typed.volts:
        raise WrongInput("--load says at which load packs level: it needs their voltages, --volts")
    draw = draw_of(typed.load)
    notes = _Notes(typed.today)
    volts_v = _volts(build, typed.volts, notes) if typed.volts else {}
    tests = _inlet_tests(build, typed.across_inlet, volts_v, notes) if typed.across_inlet else []
    paths = [_path_test(build, text, notes) for text in typed.drops]
    loads = _load_tests(build, typed.loaded, volts_v, notes) if typed.loaded else []
    found = as_found(replace(build, measured=(*build.measured, *notes.measured)))
    tested = by_name(as_tested(found))
    check = checked(found, "join", tuple(volts_v))
    reading: RestingReading | None = None
    course: Levelling | None = None
    states: dict[str, StateSpan | NoState] = {}
    filled: tuple[Key, ...] = ()
    if volts_v:
        case = Case(only(tested, tuple(volts_v)))
        reading = read_voltages(case, volts_v)
        states = {name: _state(build, name, volts) for name, volts in volts_v.items()}
        course, filled = _course(Case(tested), reading, states, draw)
    keys, used = _asked(reading), [key for key in filled if key.attr != "cut_off_v"]
    return MeterView(
        build.file,
        build.name,
        reading,
        states,
        course,
        tuple(tests),
        tuple(paths),
        tuple(loads),
        _differences(found, notes),
        {key: f"{name_of(key.path)}: {field_name(key)}" for key in keys},
        (
            *assumed,
            *_rush_assumed(tested, reading),
            *assumed_words(tested, used),
            *inherited(build, PARTS),
        ),
        tuple(notes.entries),
        tuple(name for name in build.packs if name not in volts_v) if volts_v else (),
        check.answer,
        check.lines,
    )


def _rush_assumed(build: Build, reading: RestingReading | None) -> Iterator[str]:
    """What a rush was worked out with, where it is not in the file: the worse end of its span."""
    rushing = [each for each in (reading.crossings if reading else ()) if each.kind == "rush" and each.rush_a > 0.0]
    if not rushing:
        return
    yield f"in the first moment packs have {OHMIC_SHARE:g} of their resistance"
    brisk = brisk_build(build).packs
    for name in dict.fromkeys(name for each in rushing for name in (each.higher, each.lower)):
        ohm, charge_a = brisk[name].resistance_ohm, brisk[name].charge_a
        if build.packs[name].resistance_ohm is None and ohm is not None:
            yield f"{name}: resistance at least {show(ohm / OHMIC_SHARE, Kind.RESISTANCE)}"
        if build.packs[name].charge_a is None and charge_a is not None:
            yield f"{name}: may be charged with {show(charge_a, Kind.CURRENT)}, 0.2 of its capacity an hour"


def _volts(build: Build, text: str, notes: _Notes) -> Mapping[str, float]:
    found = {}
    for name, value in pairs(build, text, "--volts").items():
        found[name] = volts_of(value, f"--volts {name}")
        notes.add(build.packs[name].path, "voltage", show_v(value), found[name])
    return found


def show_v(typed: str) -> str:
    """A voltage as typed, with its unit; one with a question mark stays a guess."""
    return re.sub(r"\A([0-9.]+)( *\??)\Z", r"\1 V\2", typed)


def volts_of(typed: str, option: str) -> float:
    """A voltage with or without its unit, that a pack can show."""
    if typed.lstrip().startswith(("-", "\u2212")):
        raise WrongInput(
            f'{option} "{typed}": below zero. The leads of the meter are the wrong way round, or the poles of the pack '
            "are: find out which before anything is plugged in"
        )
    volts_v = quantity(show_v(typed), Kind.VOLTAGE, option, "57.1")
    if volts_v > MOST_V:
        raise WrongInput(
            f'{option} "{typed}": no pack of a bike shows that; '
            f"above {MOST_V:.0f} V it looks mistyped; check the reading"
        )
    return volts_v


def _state(build: Build, name: str, volts_v: float) -> StateSpan | NoState:
    """The state of charge with its honest width; none for LFP, whose voltage does not say it."""
    pack = build.packs[name]
    found = state_of(pack, volts_v)
    if isinstance(found, StateSpan) and pack.chemistry in FLAT:
        return NoState(f"the voltage of {pack.chemistry} cells does not say it")
    return found


def _asked(reading: RestingReading | None) -> dict[Key, None]:
    if reading is None:
        return {}
    asks = [*(each.asks for each in reading.oddities), *(each.asks for each in reading.crossings)]
    return {key: None for key in asks if key is not None}


def _inlet_tests(build: Build, text: str, volts_v: Mapping[str, float], notes: _Notes) -> list[InletTest]:
    found = []
    for item in text.split(","):
        name, value = _named(item, "--across-inlet", "0.3 V")
        joiner, inlet = _inlet(build, name)
        across_v = volts_of(value, "--across-inlet")
        pack_v = max(volts_v.values(), default=0.0) or _lowest_pack_v(build)
        test = inlet_test(joiner, across_v, pack_v, inlet)
        blocks = test.found == "blocks"
        if blocks and not inlet:
            raise WrongInput(
                f'--across-inlet "{item.strip()}": which inlet? One inlet proves one inlet: write '
                f'"{joiner.name} 1: {show_v(value)}"'
            )
        found.append(test)
        notes.add(joiner.path, "blocks", "yes" if blocks else "no", float(blocks), inlet=inlet)
    return found


def _inlet(build: Build, name: str) -> tuple[Joiner, str]:
    """The joiner, and the inlet by the lead in it or else by its number: `yoke 2`, `yoke keel lead`, `2`, `yoke`."""
    joiners = {each.casefold(): joiner for each, joiner in build.joiners.items()}
    folded = name.casefold()
    starts = [each for each in joiners if folded == each or folded.startswith(f"{each} ")]
    if starts:
        longest = max(starts, key=len)
        joiner, rest = joiners[longest], name[len(longest) :].strip()
    elif len(joiners) == 1:
        joiner, rest = next(iter(joiners.values())), name
    else:
        joiner, rest = _joiner(build, name, "--across-inlet"), ""
    if not rest:
        return joiner, ""
    leads = inlets(build, joiner.name)
    numbers = [str(number) for number in range(1, joiner.inputs + 1)]
    for lead, number in leads:
        if rest.casefold() in (lead.casefold(), str(number)):
            return joiner, lead
    if rest in numbers:
        return joiner, rest
    if not starts and not rest.isdigit():
        return _joiner(build, name, "--across-inlet"), ""
    raise WrongInput(
        f'--across-inlet: {joiner.name} has no inlet "{rest}". Write its number, {numbers[0]} to {numbers[-1]}, or one '
        f"of its leads: {', '.join(lead for lead, _ in leads)}"
    )


def _lowest_pack_v(build: Build) -> float:
    """The least that any pack of the bike shows: a joiner that passes it shows at least about that."""
    found = []
    for pack in build.packs.values():
        try:
            found.append(lowest_cut_off_v(pack, series_count(pack)))
        except Unknown:
            continue
    if not found:
        raise WrongInput("--across-inlet: the voltage of the pack that is plugged in is needed too: --volts NAME=54.1")
    return min(found)


def _joiner(build: Build, name: str, option: str) -> Joiner:
    if not name and len(build.joiners) == 1:
        return next(iter(build.joiners.values()))
    return _one_of({each.casefold(): joiner for each, joiner in build.joiners.items()}, name, option, "joiner")


def _one_of(known: Mapping[str, T], name: str, option: str, kind: str) -> T:
    if name and name.casefold() in known:
        return known[name.casefold()]
    listed = f"Write {option} NAME=..., with one of: {', '.join(known)}." if known else f"The file has no {kind}."
    raise WrongInput((f'no {kind} called "{name}". ' if name else f"{option}: which {kind}? ") + listed)


def _named(item: str, option: str, example: str) -> tuple[str, str]:
    mark = max("=", ":", key=item.rfind)
    name, mark, value = item.rpartition(mark)
    if not value.strip():
        raise WrongInput(f'{option} "{item}": write for example {example}, or NAME={example}')
    return name.strip() if mark else "", value.strip()


def _path_test(build: Build, text: str, notes: _Notes) -> PathTest:
    name, value = _named(text, "--drop", "0.45 V at 20 A")
    drop_v, at_a, at_text = _at_current(value, f'--drop "{text}"', "0.45 V at 20 A")
    if name:
        known: dict[str, Joiner | Lead] = {each.casefold(): lead for each, lead in build.leads.items()}
        known.update((each.casefold(), joiner) for each, joiner in build.joiners.items())
        part = _one_of(known, name, "--drop", "joiner or lead")
    else:
        part = _joiner(build, "", "--drop")
    notes.add(part.path, "drop", show_v(_split(value)[0]), drop_v, at_text, at_a)
    return path_test(Case(build), part, drop_v, at_a)


def _load_tests(build: Build, text: str, volts_v: Mapping[str, float], notes: _Notes) -> list[LoadTest]:
    found = []
    for name, value in pairs(build, text, "--loaded").items():
        if name not in volts_v:
            raise WrongInput(f"--loaded {name}: its voltage at rest is needed too: --volts {name}=57.9")
        load_v, at_a, at_text = _at_current(value, f"--loaded {name}", "55.1 at 20 A")
        if load_v >= volts_v[name]:
            raise WrongInput(
                f"--loaded {name}: {load_v:g} V under load is not below {volts_v[name]:g} V at rest: a pack that gives "
                "current shows less"
            )
        pack = build.packs[name]
        test = load_test(build, pack, volts_v[name], load_v, at_a)
        found.append(test)
        notes.add(pack.path, "voltage under load", show_v(_split(value)[0]), load_v, at_text, at_a)
        notes.add(pack.path, "resistance", show(test.ohm, Kind.RESISTANCE), test.ohm)
    return found


def _split(text: str) -> tuple[str, bool, str]:
    """Before and after the `at`."""
    number, *current = re.split(r"\s*(?:\bat\b|@)\s*", text.strip(), maxsplit=1)
    return number, bool(current), current[0] if current else ""


def _at_current(text: str, option: str, example: str) -> tuple[float, float, str]:
    """`0.45 V at 20 A`, the volt left out or not; both above zero."""
    number, mark, current = _split(text)
    try:
        found = read(f"{show_v(number)} at {current}" if mark else show_v(number), Kind.VOLTAGE_AT_CURRENT)
    except QuantityError as error:
        raise WrongInput(f"{option}: {error.message}. Write for example {example}") from error
    quantity(show_v(number), Kind.VOLTAGE, option, example)
    at_a = quantity(current, Kind.CURRENT, option, example)
    if not (0.0 < found.value <= MOST_V and 0.0 < at_a <= 1000.0):
        raise WrongInput(
            f"{option}: a voltage and a current above zero are needed, at most {MOST_V:.0f} V and 1000 A, for example "
            f"{example}"
        )
    return found.value, at_a, current


def _course(
    case: Case, reading: RestingReading, states: Mapping[str, StateSpan | NoState], draw: Draw
) -> tuple[Levelling | None, tuple[Key, ...]]:
    """Who supplies first and when the packs level: under the load where they block, at rest where they do not."""
    names = tuple(reading.volts_v)
    if len(names) < 2 or reading.verdict != "yes":
        return None, ()
    at_rest = any(each.kind == "rush" and not each.turned for each in reading.crossings)
    unsaid = [f"{name}: {state.reason}" for name, state in states.items() if isinstance(state, NoState)]
    if unsaid:
        return Levelling((), None, "", at_rest, "; ".join(unsaid)), ()
    start = {name: state.likely for name, state in states.items() if isinstance(state, StateSpan)}
    drawn = Draw(current_a=0.0) if at_rest else draw
    try:
        found = rundown(case, names, start=start, load=drawn, series=False)
    except NotATree:
        # Two ways from one pack, or an accessory on two: no tree, and nothing to run down.
        return Levelling((), None, "", at_rest, "the wiring has more than one way for a current"), ()
    if isinstance(found, NoRundown):
        return Levelling((), None, "", at_rest, refusal_text(found)), ()
    levels = tuple((event.time_s, event.pack) for event in found.events if event.kind == "level")
    counted = draw if at_rest else found.draw
    words = show(counted.current_a, Kind.CURRENT) if counted.current_a else ""
    words = words or (show(counted.power_w, Kind.POWER) if counted.power_w else "")
    first = found.phases[0].supplying if found.phases else ()
    return Levelling(levels, first, words, at_rest, ""), found.assumed


def draw_of(load: str) -> Draw:
    if not load:
        return AS_SET
    kind, value = current_or_power(load)
    if value > 0.0:
        return Draw(current_a=value) if kind is Kind.CURRENT else Draw(power_w=value)
    raise WrongInput(f'--load "{load}": write a current or a power above zero, for example "15 A" or "500 W"')


def _differences(build: Build, notes: _Notes) -> tuple[tuple[str, Difference], ...]:
    """Readings that are not as the file describes; voltages of packs at rest are looked at by themselves."""
    case, found = Case(build), []
    for path in dict.fromkeys(each.part for each in notes.measured):
        mine = [each for each in differences(case, build.part(path)) if each.reading in notes.measured]
        found += [(path, each) for each in mine if each.reading.what != "voltage"]
    return tuple(found)
