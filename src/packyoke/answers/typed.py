"""What somebody types after a command: names of packs, pairs with values, quantities."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from packyoke.analysis.packs.states import FLAT, NoState, state_of
from packyoke.analysis.ride.named import known_rides
from packyoke.analysis.tolerance import between
from packyoke.analysis.unknowns.filled import filled
from packyoke.core.constants import AH_C
from packyoke.core.findings import clean
from packyoke.core.letters import composed, looks
from packyoke.core.paths import name_of
from packyoke.core.units import Kind, QuantityError, read, show, thousands
from packyoke.model import Build, Key
from packyoke.model.fields import field_for, field_name
from packyoke.verdict.wording import value_words

_MOST = {Kind.CURRENT: 1000.0, Kind.POWER: 20e3, Kind.LENGTH: 2e6, Kind.RESISTANCE: 1.0, Kind.CHARGE: 500 * AH_C}
"""The most that anybody types, SI: up to it `1.250 W` may be a bit more than one or more than a thousand. Judgement."""


class WrongInput(Exception):
    """What was typed cannot be used; the text says why and how to write it."""


def pack_names(build: Build, text: str) -> tuple[str, ...]:
    found = tuple(pack_name(build, name.strip()) for name in text.split(","))
    if len(set(found)) < len(found):
        raise WrongInput(f"--packs {text}: a pack is named twice")
    return found


def pack_name(build: Build, name: str) -> str:
    known, name = {pack.casefold(): pack for pack in build.packs}, composed(name)
    if name.casefold() in known:
        return known[name.casefold()]
    near = [each for each in known if looks(each) == looks(name)] or get_close_matches(name.casefold(), known, n=1)
    hint = f" Did you mean {known[near[0]]}?" if near else f" Packs: {', '.join(build.packs)}."
    raise WrongInput(f'no pack called "{name}".{hint}')


def ride_name(build: Build, name: str) -> str:
    """The ride of the file or of the shelf that is meant."""
    known, name = {each.casefold(): each for each in known_rides(build)}, composed(name)
    if name.strip().casefold() in known:
        return known[name.strip().casefold()]
    near = get_close_matches(name.strip().casefold(), known, n=1)
    hint = f"Did you mean {known[near[0]]}?" if near else f"Rides: {', '.join(known.values())}."
    raise WrongInput(f'no ride called "{name}". {hint}')


def pairs(build: Build, text: str, option: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for item in text.split(","):
        name, mark, value = item.partition("=")
        if not mark and found and re.fullmatch(r"[0-9]+", last := [*found.values()][-1]) and re.match("[0-9]", item):
            whole = re.sub(",", ".", f"{last},{item}", count=1)
            raise WrongInput(f'{option} "{item}": a comma starts the next pack. For a decimal write a point: {whole}')
        if not mark or not value.strip():
            raise WrongInput(f'{option} "{item.strip()}": write NAME=VALUE, with commas between packs')
        pack = pack_name(build, name.strip())
        if pack in found:
            raise WrongInput(f"{option}: {pack} is named twice")
        found[pack] = value.strip()
    return found


def air(cold: str | None) -> float | None:
    """The temperature after --cold [K]."""
    if cold is None:
        return None
    air_k = quantity(cold, Kind.TEMPERATURE, "--cold", '"0 degC"')
    if not between(223.15, air_k, 333.15):
        raise WrongInput(f"--cold {cold}: between -50 degC and 60 degC is needed")
    return air_k


def health_share(health: str | None) -> float | None:
    """The share of the capacity after --health; None without it, which is not the same as 100 % [-]."""
    if health is None:
        return None
    fraction = quantity(health, Kind.FRACTION, "--health", '"80 %"')
    if not between(0.3, fraction, 1.0):
        raise WrongInput(f"--health {health}: between 30 % and 100 % is needed")
    return fraction


def states(build: Build, text: str, option: str) -> Mapping[str, float]:
    """States of charge by pack: `keel=100,pannier=60` [-]."""
    found = {}
    for name, value in pairs(build, text, option).items():
        if "%" not in value and re.fullmatch(r"0?\.[0-9]+|1\.0+", value):
            share = f"{100 * float(value):g} %"
            raise WrongInput(
                f'{option} {name}={value}: of a hundred or of one? Write  {name}="{share}"  or  "{value} %"'
            )
        fraction = quantity(value if "%" in value else f"{value} %", Kind.FRACTION, f"{option} {name}", "60")
        if not 0.0 <= fraction <= 1.0:
            raise WrongInput(f"{option} {name}={value}: a state of charge is between 0 and 100 %")
        found[name] = fraction
    return found


def resting(build: Build, text: str) -> Mapping[str, float]:
    found = {}
    for name, value in pairs(build, text, "--volts").items():
        typed = value if value[-1:].lower() == "v" else f"{value} V"
        volts_v = quantity(typed, Kind.VOLTAGE, f"--volts {name}", "57.1")
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


def quantity(text: str, kind: Kind, option: str, example: str) -> float:
    """What is typed after an option, in SI: a fact, for nothing of an answer would tell that it was a guess."""
    try:
        found = read(text, kind)
    except QuantityError as error:
        raise WrongInput(f'{option} "{text}": {error.message}. Write for example {example}') from error
    if found.guess:
        bare = text.strip().removesuffix("?").rstrip()
        raise WrongInput(
            f'{option} "{text}" is a guess, and what is typed here counts as a fact. Write  "{bare}"  to go by it, and '
            "ask again with the other values that it may have"
        )
    whole = thousands(text, kind)
    if whole is not None and abs(whole[0]) <= _MOST.get(kind, 0.0):
        raise WrongInput(f'{option} "{text}" may have a point for its thousands. Write  {"  or  ".join(whole[1])}')
    return found.value


def current_or_power(text: str, option: str = "--load") -> tuple[Kind, float]:
    """What is drawn, as typed: a current or a power that a bike may draw."""
    for kind, attr in ((Kind.CURRENT, "limit_a"), (Kind.POWER, "power_limit_w")):
        try:
            read(text, kind)
        except QuantityError:
            continue
        value, most = quantity(text, kind, option, ""), field_for("controller", attr).high
        if most is not None and value > most:
            raise WrongInput(f'{option} "{clean(text)}": no controller draws that; at most {show(most, kind)} is read')
        return kind, value
    raise WrongInput(f'{option} "{text}": write a current or a power, for example "15 A" or "500 W"')


def assumed_words(build: Build, keys: Iterable[Key]) -> tuple[str, ...]:
    """What was counted with for fields that were filled: one may follow from another that was."""
    counted, _ = filled(build)
    return tuple(
        f"{name_of(path)}: {field_name((path, attr))} "
        + value_words(getattr(counted.part(path), attr), field_for(path, attr).kind)
        for path, attr in keys
    )
