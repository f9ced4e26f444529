"""Bikes that somebody builds, with a few lines changed: what a workshop has in hand on most days.

A number gives a bike, always the same one: an example, a base of the rules' cases or a bike to be planned, in which
lines are changed, guessed, forgotten or added, packs are added, and now and then all leads are still to be drawn. Most
pass or nearly do, so plans, quotes and rundowns come to their ends, where drawn builds are mostly refused.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

from packyoke.model.fields import FIELDS, Field
from tests.planning.bikes import random_bike
from tests.properties.drawn_builds import drawn, shop_of
from tests.properties.drawn_shop import shop
from tests.properties.drawn_values import FAMILIES, Dice, Tree, end, flow, value
from tests.support import BASES, EXAMPLES

_BIKES = sorted(path for path in [*EXAMPLES.rglob("*.yaml"), *BASES.glob("*.yaml")] if "shop" not in path.stem)
_SHOPS = (
    *[EXAMPLES / "counter" / "packyoke-shop.yaml"] * 6,  # the one with packs on its shelf
    EXAMPLES / "workshop" / "packyoke-shop.yaml",
    Path(__file__).parents[1] / "planning" / "shop.yaml",
)
_CHANGES = (0, 1, 1, 1, 2, 2, 3, 5)
_TIMES = (0.1, 0.5, 0.7, 0.9, 0.95, 1.05, 1.1, 1.3, 2.0, 5.0)
_NOT_CHANGED = ("packyoke", "packyoke-shop", "gpx", "by", "because")

Way = tuple[str | int, ...]


def _tree(path: Path) -> Tree:
    """What a file says, to be changed."""
    return deepcopy(_read(path))


@cache
def _read(path: Path) -> Tree:
    found: Tree = flow(path.read_text(encoding="utf-8"))
    return found


def known_bike(seed: int) -> Tree:
    """The build of a number, as the tree of its file."""
    dice = _tempered(seed)
    tree: Tree = flow(_drafted(dice)) if dice.one_in(4) else _tree(dice.choice(_BIKES))
    _changed(dice, tree)
    return tree


def shop_beside(seed: int) -> Tree | None:
    """The shop file that lies beside the bike of a number, or none."""
    dice = _tempered(seed + 1_000_003)
    if dice.one_in(6):
        return None
    tree = _tree(dice.choice(_SHOPS))
    if dice.one_in(3):
        _changed(dice, tree)
    return tree


def bike_of(seed: int) -> tuple[Tree, Tree | None]:
    """The build of a number and the shop file beside it: even numbers are drawn, odd ones known bikes with changes."""
    if seed % 2:
        return known_bike(seed), shop_beside(seed)
    number = shop_of(seed)
    return drawn(seed), None if number is None else shop(number)


def _tempered(seed: int) -> Dice:
    """Chance that is mostly even: what is odd comes by the changes."""
    dice = Dice(seed)
    dice.left_out = dice.guessed = dice.odd = dice.respelled = 0.0
    dice.anywhere = dice.choice((0.0, 0.0, 0.1))
    return dice


def _drafted(dice: Dice) -> str:
    """A bike to be planned: nothing drawn yet."""
    return random_bike(
        random.Random(dice.random()),
        dice.choice((1, 2, 2, 3, 4)),
        dice.choice((2, 3, 4)),
        joiner_kinds=dice.choice((1, 1, 2)),
        more_alike=dice.choice((0, 1)),
    )


def _changed(dice: Dice, tree: Tree) -> None:
    """Some changes, each of a kind that is drawn."""
    for _ in range(dice.choice(_CHANGES)):
        change = dice.choice((_other, _other, _other, _forgotten, _forgotten, _guessed, _added, _one_more, _undrawn))
        change(dice, tree)


def _leaves(tree: Any, way: Way = ()) -> Iterator[Way]:
    """The way to each line that has a text."""
    steps = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for step, inside in steps:
        if isinstance(inside, str):
            yield (*way, step)
        else:
            yield from _leaves(inside, (*way, step))


def _at(tree: Any, way: Way) -> Any:
    for step in way:
        tree = tree[step]
    return tree


def _drawn_leaf(dice: Dice, tree: Tree) -> Way | None:
    found = [way for way in _leaves(tree) if isinstance(way[-1], str) and way[-1] not in _NOT_CHANGED]
    return dice.choice(found) if found else None


@cache
def _row(way: tuple[str, ...]) -> Field | None:
    """The row of the field table of a line, whatever the names on its way."""
    if "fuse" in way[:-1]:
        way = ("FUSE", way[-1])
    if way[0] == "controllers":
        way = ("controller", *way[2:])
    for field in FIELDS:
        steps = field.path.removeprefix("shop: ").split(".")
        if len(steps) == len(way) and all(one in ("*", "NAME", other) for one, other in zip(steps, way, strict=True)):
            return field
    return None


def _row_of(way: Way) -> Field | None:
    names = tuple(step for step in way if isinstance(step, str))
    if names[0] == "runs" and len(names) > 1:
        names = ("runs", "*", *names[1:])
    if names[:2] == ("shelf", "packs") or (
        names[:1] == ("shelf",) and names[1:2] and names[1] in ("joiners", "chargers")
    ):
        return _row(names[1:]) or _row(names)
    return _row(names)


def _other(dice: Dice, tree: Tree) -> None:
    """A line says something else: a figure some times as large, another word, another end."""
    way = _drawn_leaf(dice, tree)
    if way is None:
        return
    inside, field = _at(tree, way[:-1]), _row_of(way)
    said = inside[way[-1]]
    figure = re.search(r"\d+(\.\d+)?", said)
    if figure and "date" not in way[-1:] and not dice.one_in(4):
        times = float(figure[0]) * dice.choice(_TIMES)
        shown = f"{round(times)}" if "." not in figure[0] and times >= 1 else f"{times:.4g}"
        inside[way[-1]] = said[: figure.start()] + shown + said[figure.end() :]
    elif field is not None and field.kind == "end":
        inside[way[-1]] = end(dice, dice.choice(FAMILIES), dice.choice(("pin", "socket")))
    elif field is not None and (new := value(dice, field)) is not None:
        inside[way[-1]] = new


def _forgotten(dice: Dice, tree: Tree) -> None:
    """A line is not there; one time in six the part that it belongs to, or the whole section."""
    way = _drawn_leaf(dice, tree)
    if way is None:
        return
    if dice.one_in(6) and len(way) > 1:
        way = way[: dice.randint(1, len(way) - 1)]
    del _at(tree, way[:-1])[way[-1]]


def _guessed(dice: Dice, tree: Tree) -> None:
    way = _drawn_leaf(dice, tree)
    if way is not None:
        _at(tree, way[:-1])[way[-1]] += "?"


def _added(dice: Dice, tree: Tree) -> None:
    """A line that a part of the file may have is there too."""
    sections = [name for name in ("packs", "joiners", "leads", "accessories", "chargers", "ride") if tree.get(name)]
    if not sections:
        return
    section = dice.choice(sections)
    part = dice.choice([*tree[section].values()])
    rows = [field for field in FIELDS if field.path.startswith(f"{section}.*.") and field.path.count(".") == 2]
    field = dice.choice(rows)
    name = field.path.rpartition(".")[2]
    if isinstance(part, dict) and name not in part and (said := value(dice, field)) is not None:
        part[name] = said


def _one_more(dice: Dice, tree: Tree) -> None:
    """One more pack, joiner or charger like one that is there; a pack comes with leads like those of the other."""
    sections = [name for name in ("packs", "packs", "joiners", "chargers") if isinstance(tree.get(name), dict)]
    if not sections:
        return
    section = dice.choice(sections)
    old, new = dice.choice([*tree[section]] or [""]), f"spare {len(tree[section])}"
    if not old:
        return
    alike = tree[section][old].get("like", old) if isinstance(tree[section][old], dict) else old
    tree[section][new] = {"like": alike}
    leads = tree.get("leads")
    if section == "packs" and isinstance(leads, dict):
        for name, lead in [*leads.items()]:
            if isinstance(lead, dict) and lead.get("from") == old:
                leads[f"{name} {new}"] = {key: said for key, said in lead.items() if key not in ("inlet", "fuse")}
                leads[f"{name} {new}"]["from"] = new


def _undrawn(dice: Dice, tree: Tree) -> None:
    """The leads are still to be drawn, all or one of them."""
    leads = tree.get("leads")
    if isinstance(leads, dict) and leads:
        if dice.one_in(2):
            tree.pop("leads")
        else:
            leads.pop(dice.choice([*leads]))
