"""What is typed of a build: each command that takes one, in a format and with options that are drawn."""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import click

from packyoke.cli import app
from tests.properties.drawn_values import TODAY

NO_BUILD = ("start", "why", "shelf", "schema")
"""Commands that take none."""
READERS = ("customer", "workshop", "quote", "labels")
_OFTEN = 0.3
_SHOP = Path(__file__).parents[1] / "planning" / "shop.yaml"


@cache
def commands() -> dict[str, click.Command]:
    """All commands by name."""
    context = click.Context(app)
    found = {name: app.get_command(context, name) for name in app.list_commands(context)}
    return {name: command for name, command in found.items() if command is not None and name != "help"}


def formats(name: str) -> tuple[str, ...]:
    """All formats of a command, as it says itself."""
    for option in commands()[name].params:
        if option.name == "form" or "--format" in option.opts:
            return tuple(option.type.choices)  # type: ignore[attr-defined]
    return ()


def _of(tree: Mapping[str, Any], section: str, not_in: str = ",=") -> list[str]:
    """Names of a section that an option can carry."""
    names = tree.get(section)
    return [name for name in names if not set(str(name)) & set(not_in)] if isinstance(names, dict) else []


def _options(dice: random.Random, tree: Mapping[str, Any], folder: Path) -> dict[str, list[list[str]]]:
    """Options that a command may go with, by command: each comes now and then, those it cannot go without always."""
    packs, leads, chargers = _of(tree, "packs"), _of(tree, "leads", "="), _of(tree, "chargers")
    some = ["--packs", ",".join(dice.sample(packs, dice.randint(1, len(packs))))] if packs else []
    states = ",".join(f"{name}={dice.choice(('100', '60', '20', '0'))}" for name in packs)
    volts = ",".join(f"{name}={dice.choice(('51.2', '50.9', '47', '54.6', '48.9', '41.5'))}" for name in packs)
    kept = str(folder / dice.choice(("last.json", "own.json")))
    cold, load, us = ["--cold", "-10 degC"], ["--load", dice.choice(("10 A", "500 W", "0 A"))], ["--units", "us"]
    health, known = ["--health", "80 %"], ["--known", f"34 km from 100 % to 20 % with {(packs or ['keel'])[0]}"]
    at_hand = ["--chargers", ",".join(chargers[:2])] if chargers else []
    on = ["--on", dice.choice([*_of(tree, "places"), *_of(tree, "racks"), "rear"])]
    ride = ["--ride", dice.choice([*_of(tree, "ride"), "loaded", "everyday"])]
    return {
        "check": [["--all"], ["--strict"], ["--against", kept], ["--only", "packs-rush,live-pins"], us],
        "plan": [["--prefer", dice.choice(("cost", "copper", "loss", "joints,loss"))], us],
        "rundown": [cold, load, us, some, ["--at", states] if packs else [], health, ride],
        "range": [cold, ["--sensitivity"], ["--need", "30 km"], us, some, health, known, ride],
        "charge": [cold, us, some, ["--from", states] if packs else [], at_hand],
        "meter": [
            ["--drop", f"{dice.choice(leads)}=60 mV at 20 A"] if leads else [],
            ["--loaded", f"{packs[0]}=41 at 20 A"] if packs else [],
            load,
        ],
        "quote": [["--add", dice.choice(("0..2", "1"))], ["--most", "900 EUR"], on, known, us],
        "sheet": [us],
        "compare": [us],
        "tidy": [["--check"]],
        "find": [["--before", "2027-01-01"]],
    } | {
        "must meter": [["--volts", volts]],
        "must compare": [[str(folder / "other.yaml")]],
        "must quote": [["--reach", dice.choice(("15 km", "40 km", "50 km", "80 km"))]],
        "must find": [["--uses", dice.choice(("XT60", "12 AWG", "keel"))]],
    }


def calls(seed: int, file: str, folder: Path, tree: Mapping[str, Any], beside: list[str]) -> Iterator[list[str]]:
    """Each command that takes a build: in a format and with options that are drawn.

    :param seed: number of the build
    :param file: where it is written
    :param folder: where the other files are, and may be written
    :param tree: the build itself, for the names that are typed
    :param beside: the options about the shop file that go with it
    """
    dice = random.Random(seed)
    options = _options(dice, tree, folder)
    for name, command in commands().items():
        if name in NO_BUILD:
            continue
        known = {spelling for option in command.params for spelling in option.opts}
        for reader in READERS if name == "sheet" else ("",):
            call = [name, file, *(word for said in options.get(f"must {name}", ()) for word in said)]
            call += ["--for", reader] if reader else []
            call += [word for said in options[name] if dice.random() < _OFTEN for word in said]
            call += ["--format", dice.choice(formats(name))] if formats(name) else []
            if "--shop" in known:
                call += beside if beside[0] == "--shop" or dice.random() < 0.8 else ["--shop", str(_SHOP)]
            yield call + (["--today", TODAY] if "--today" in known else [])
