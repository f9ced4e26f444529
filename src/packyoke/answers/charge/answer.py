"""From what somebody types after `packyoke charge` to a charging card ready to print."""

from __future__ import annotations

from dataclasses import replace
from difflib import get_close_matches

from packyoke.analysis.case import Case
from packyoke.analysis.charging.card import ChargingCard, card
from packyoke.analysis.charging.pairs import EFFICIENCY
from packyoke.analysis.charging.port import WARM_K
from packyoke.analysis.harness.sets import units
from packyoke.analysis.tolerance import between
from packyoke.answers.charge.page import ChargeView
from packyoke.answers.checked import checked
from packyoke.answers.inherited import PARTS, inherited
from packyoke.answers.typed import WrongInput, assumed_words, pack_names, quantity, states
from packyoke.core.letters import composed
from packyoke.core.paths import name_of
from packyoke.core.units import Kind
from packyoke.model import Build, Key
from packyoke.model.fields import field_name

MAINS_V = {"US": 120.0, "US-NY": 120.0, "CA": 120.0}
OTHER_MAINS_V = 230.0


def view(
    build: Build,
    *,
    packs: str | None = None,
    start: str | None = None,
    chargers: str | None = None,
    cold: str | None = None,
) -> ChargeView:
    """The charging card of a build as typed. Raises WrongInput with a sentence for the person who typed it."""
    if not build.packs:
        raise WrongInput("the file describes no pack")
    if chargers:
        at_hand = _charger_names(build, chargers)
        build = replace(build, chargers={name: build.chargers[name] for name in at_hand})
    chosen = pack_names(build, packs) if packs else tuple(build.packs)
    charges = states(build, start, "--from") if start else {}
    absent = [name for name in charges if name not in chosen]
    if absent:
        raise WrongInput(f"{', '.join(absent)}: a state is given, but --packs leaves it out")
    temperature_k = quantity(cold, Kind.TEMPERATURE, "--cold", "5 degC") if cold else WARM_K
    if not between(223.15, temperature_k, 343.15):
        raise WrongInput(f"--cold {cold}: between -50 degC and 70 degC is needed")
    check = checked(build, "charge", chosen)
    found = card(Case(build), chosen, charges, temperature_k)
    keys = {key for each in found.pairings for key in (*each.asks, *filter(None, (each.missing,)))}
    asks = {key: f"{name_of(key.path)}: {field_name(key)}" for key in keys}
    mains_v = MAINS_V.get(build.region, OTHER_MAINS_V)
    return ChargeView(
        build.file,
        build.name,
        found,
        asks,
        _assumed(build, found, bool(cold)),
        mains_v,
        tuple(each for each in units(build) if len(each) > 1),
        check.answer,
        check.lines,
    )


def _assumed(build: Build, found: ChargingCard, cold: bool) -> tuple[str, ...]:
    said = [] if cold else ["cells at 20 degC"]
    empty = [name for name in found.packs if found.start[name] == 0.0]
    if empty:
        said.append(f"{' and '.join(empty)}: from empty")
    if any(charger.mains_power_w is None for charger in build.chargers.values()):
        said.append(f"chargers: {100 * EFFICIENCY:.0f} % of what they take from the mains reaches the pack")
    needed: tuple[Key, ...] = tuple(key for key in found.assumed if key.attr != "cut_off_v")
    taken = inherited(build, "region", "coldest", PARTS)
    return (*said, *assumed_words(build, needed), *taken)


def _charger_names(build: Build, text: str) -> tuple[str, ...]:
    known = {name.casefold(): name for name in build.chargers}
    found = []
    for typed in text.split(","):
        name = composed(typed).strip().casefold()
        if name not in known:
            near = get_close_matches(name, known, n=1)
            listed = f"Chargers: {', '.join(build.chargers)}." if known else "The file lists no charger."
            raise WrongInput(
                f'no charger called "{typed.strip()}". ' + (f"Did you mean {known[near[0]]}?" if near else listed)
            )
        found.append(known[name])
    return tuple(dict.fromkeys(found))
