"""From what somebody types after `packyoke rundown` to a rundown ready to print."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches

from packyoke.analysis.case import Case
from packyoke.analysis.limits import above
from packyoke.analysis.rundown import AS_SET, WARM_K, Draw, Refusal, Rundown, SetLine, rundown, summary
from packyoke.analysis.spans import likely
from packyoke.analysis.states import FLAT, NoState, state_of
from packyoke.model import Build, Key
from packyoke.model.fields import field_for
from packyoke.report.rundown import RundownView, refusal_text
from packyoke.units import Kind, QuantityError, read, show
from packyoke.verdict.layout import sets_of
from packyoke.verdict.wording import field_name, value_words

MOST_SETS_PACKS = 5
"""Up to this many packs every set is run down; above it only the set that was asked for."""


class WrongInput(Exception):
    """What was typed cannot be used; the text says why and how to write it."""


def view(
    build: Build, *, packs: str | None = None, at: str | None = None, volts: str | None = None,
    load: str | None = None, cold: str | None = None, health: str | None = None,
) -> RundownView:  # fmt: skip
    """Run down a build as typed. Raises WrongInput with a sentence for the person who typed it."""
    if not build.packs:
        raise WrongInput("the file describes no pack")
    if at and volts:
        raise WrongInput("--at and --volts both say how full the packs are; give one of them")
    chosen = _names(build, packs) if packs else tuple(build.packs)
    start = _states(build, at) if at else _resting(build, volts) if volts else {}
    absent = [name for name in start if name not in chosen]
    if absent:
        raise WrongInput(f"{', '.join(absent)}: a state is given, but --packs leaves it out")
    draw = _draw(load) if load else AS_SET
    temperature_k = _quantity(cold, Kind.TEMPERATURE, "--cold", "0 degC") if cold else WARM_K
    fraction = _quantity(health, Kind.FRACTION, "--health", "80 %") if health else 1.0
    if not 0.3 <= fraction <= 1.0:
        raise WrongInput(f"--health {health}: between 30 % and 100 % is needed")
    if not 223.15 <= temperature_k <= 333.15:
        raise WrongInput(f"--cold {cold}: between -50 degC and 60 degC is needed")
    case = Case(build)
    found = rundown(case, chosen, start=start, load=draw, temperature_k=temperature_k, health_fraction=fraction)
    if isinstance(found, Refusal):
        raise WrongInput(refusal_text(found))
    others: tuple[SetLine | Refusal, ...] = ()
    if packs is None and len(build.packs) <= MOST_SETS_PACKS:
        others = summary(
            case, sets_of(build), start=start, load=draw, temperature_k=temperature_k, health_fraction=fraction
        )
    assumed = tuple(_assumed(build, key) for key in found.assumed)
    return RundownView(build.file, build.name, found, others, assumed, _beyond(build, found))


def _beyond(build: Build, found: Rundown) -> tuple[str, ...]:
    """Packs that would give more than their protection lets out all the time: on the bike it may open first."""
    said = []
    for pack in found.packs:
        limit_a = build.packs[pack.name].discharge_continuous_a
        if limit_a is None:
            said.append(f"{pack.name}: what its protection allows is not known")
        elif above(pack.peak_a, limit_a):
            said.append(
                f"{pack.name} gives {show(pack.peak_a, Kind.CURRENT)} here; its protection allows "
                f"{show(limit_a, Kind.CURRENT)} all the time and may open, which is not counted"
            )
    return tuple(said)


def _assumed(build: Build, key: Key) -> str:
    value = likely(build, build.part(key[0]), key[1])
    return f"{key[0].partition('.')[2] or key[0]}: {field_name(key)} {value_words(value, field_for(*key).kind)}"


def _names(build: Build, text: str) -> tuple[str, ...]:
    found = tuple(_name(build, name.strip()) for name in text.split(","))
    if len(set(found)) < len(found):
        raise WrongInput(f"--packs {text}: a pack is named twice")
    return found


def _name(build: Build, name: str) -> str:
    known = {pack.casefold(): pack for pack in build.packs}
    if name.casefold() in known:
        return known[name.casefold()]
    near = get_close_matches(name.casefold(), known, n=1)
    hint = f" Did you mean {known[near[0]]}?" if near else f" Packs: {', '.join(build.packs)}."
    raise WrongInput(f'no pack called "{name}".{hint}')


def _pairs(build: Build, text: str, option: str) -> dict[str, str]:
    found = {}
    for item in text.split(","):
        name, mark, value = item.partition("=")
        if not mark or not value.strip():
            raise WrongInput(f'{option} "{item.strip()}": write NAME=VALUE, with commas between packs')
        found[_name(build, name.strip())] = value.strip()
    return found


def _states(build: Build, text: str) -> Mapping[str, float]:
    found = {}
    for name, value in _pairs(build, text, "--at").items():
        fraction = _quantity(value if "%" in value else f"{value} %", Kind.FRACTION, f"--at {name}", "60")
        if not 0.0 <= fraction <= 1.0:
            raise WrongInput(f"--at {name}={value}: a state of charge is between 0 and 100 %")
        found[name] = fraction
    return found


def _resting(build: Build, text: str) -> Mapping[str, float]:
    found = {}
    for name, value in _pairs(build, text, "--volts").items():
        typed = value if value[-1:].lower() == "v" else f"{value} V"
        volts_v = _quantity(typed, Kind.VOLTAGE, f"--volts {name}", "57.1")
        state = state_of(build.packs[name], volts_v)
        if isinstance(state, NoState):
            bounds = ""
            if state.high_v:
                bounds = f": it shows {show(state.low_v, Kind.VOLTAGE)} to {show(state.high_v, Kind.VOLTAGE)} at rest"
            raise WrongInput(f"--volts {name}={value}: {state.reason}{bounds}")
        if build.packs[name].chemistry in FLAT:
            raise WrongInput(
                f"--volts {name}={value}: {100 * state.low:.0f} to {100 * state.high:.0f} % charged; the voltage of "
                f"LFP cells does not say it closer. Give the state itself: --at {name}=60"
            )
        found[name] = state.likely
    return found


def _draw(text: str) -> Draw:
    try:
        return Draw(current_a=_positive(read(text, Kind.CURRENT).value, text))
    except QuantityError:
        pass
    try:
        return Draw(power_w=_positive(read(text, Kind.POWER).value, text))
    except QuantityError as error:
        raise WrongInput(f'--load "{text}": write a current or a power, for example "15 A" or "500 W"') from error


def _positive(value: float, text: str) -> float:
    if value <= 0:
        raise WrongInput(f'--load "{text}": more than nothing has to be drawn')
    return value


def _quantity(text: str, kind: Kind, option: str, example: str) -> float:
    try:
        return read(text, kind).value
    except QuantityError as error:
        raise WrongInput(f'{option} "{text}": {error.message}. Write for example {example}') from error
