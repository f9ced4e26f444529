"""What a line of a build may say, drawn from its row of the field table: usual, anywhere within bounds, or odd."""

from __future__ import annotations

import math
import random
from functools import lru_cache
from typing import Any

import yaml

from packyoke.core.unit_names import PAIRS, Kind, Unit, spellings
from packyoke.core.units import read, show, show_pair
from packyoke.model.field import ABSENT, DEFAULT, MUST, SPAN, Field
from packyoke.model.fields import FIELDS
from packyoke.rules import RULES as KNOWN_RULES

Tree = dict[str, Any]

TODAY = "2026-11-25"
_KINDS = {kind.name.lower().replace("_", " "): kind for kind in Kind} | {
    "text or voltage": Kind.VOLTAGE,
    "current or none": Kind.CURRENT,
    "speed or none": Kind.SPEED,
    "voltage or none": Kind.VOLTAGE,
    "voltage or isolates only": Kind.VOLTAGE,
    "voltage, may be at current": Kind.VOLTAGE,
    "climb": Kind.CLIMB,
}
_OR_WORD = {
    "current or none": "none",
    "speed or none": "none",
    "voltage or none": "none",
    "voltage or isolates only": "isolates only",
    "text or voltage": "Li-ion 48 V 10 Ah",
}
FAMILIES = (
    "XT60",
    "XT90",
    "XT30",
    "4 mm bullet",
    "genderless 45 A",
    "genderless 75 A",
    "M6 ring",
    "dock blade",
    "joint crimp",
    "5.5 mm barrel",
    "some plug",
)
_NO_GUESS = (
    "yes/no",
    "date",
    "rule",
    "path",
    "month or day",
    "text",
    "assist",
    "money",
    "current or none",
    "speed or none",
    "voltage or none",
)
WHOLE = ("genderless", "joint", "M6 ring")
ODD = (
    "none",
    "unknown",
    "0 V",
    "1 A",
    "99 A",
    "3",
    "0",
    "-1",
    "x",
    "yes",
    "no",
    "?",
    "18 A ?",
    "36-48 V",
    "1.000 uF",
    "51,8 V",
    "plain",
    "selector",
    "inf",
    "1e9 V",
    "keel",
    "XT60 socket",
    "build",
    [],
    {},
    ["a", "b"],
    {"current": "50 A ?"},
    {"a": {"b": "c"}},
    "",
)
_OFTEN = {MUST: 1.0, SPAN: 0.5, DEFAULT: 0.2, ABSENT: 0.12}
RULES = tuple(rule.name for rule in KNOWN_RULES)


def _rows() -> dict[str, list[tuple[list[str], Field]]]:
    """The rows of each section, with the way to the line inside a part; those of a shop file under `shop`."""
    found: dict[str, list[tuple[list[str], Field]]] = {}
    for field in FIELDS:
        section, *way = field.path.split(".")
        if field.path.startswith("shop:"):
            section, way = "shop", field.path.removeprefix("shop: ").split(".")
        elif section == "parts":
            section, way = "connectors", way[1:]
        if way and way[0] in ("*", "NAME"):
            way = way[1:]
        if way or section in ("FUSE",):
            found.setdefault(section, []).append((way, field))
        elif field.attr:
            found.setdefault("file", []).append(([section], field))
    return found


ROWS = _rows()


def path_row(path: str) -> Field:
    return next(field for field in FIELDS if field.path == path)


def put(tree: Tree, way: list[str], said: Any) -> None:
    for step in way[:-1]:
        inside = tree.setdefault(step, {})
        if not isinstance(inside, dict):
            return
        tree = inside
    tree[way[-1]] = said


def lines(dice: Dice, section: str, skip: tuple[str, ...] = (), only: tuple[str, ...] = ()) -> Tree:
    """A part with its lines; a mapping inside is drawn whole or not at all by the names in `skip`."""
    tree: Tree = {}
    for way, field in ROWS[section]:
        if not way or way[0] in skip or (only and way[0] not in only):
            continue
        often = _OFTEN.get(field.need, 0.2)
        chance = often * (1 - dice.left_out) if field.need == MUST else often
        if dice.random() < chance:
            said = value(dice, field)
            if said is not None:
                put(tree, way, said)
    return tree


class Dice(random.Random):
    """Chance with a temper: how much a build leaves out, guesses, gets wrong and gets odd."""

    def __init__(self, seed: int) -> None:
        super().__init__(seed)
        self.left_out = self.choice((0.0, 0.0, 0.05, 0.2, 0.6))
        self.guessed = self.choice((0.0, 0.0, 0.0, 0.05, 0.3))
        self.odd = self.choice((0.0, 0.0, 0.0, 0.0, 0.002, 0.02))
        self.anywhere = self.choice((0.0, 0.0, 0.05, 0.2, 1.0))
        self.respelled = self.choice((0.0, 0.0, 0.0, 0.3, 1.0))

    def one_in(self, count: float) -> bool:
        return self.random() * count < 1


@lru_cache(maxsize=512)
def _kind(field: Field) -> Kind | None:
    return _KINDS.get(field.kind)


def quantity(dice: Dice, field: Field, kind: Kind) -> str:
    """Near the example of the row, or anywhere between its bounds, ends included."""
    first = PAIRS[kind][0] if kind in PAIRS else kind
    typical = read(field.example.partition(" at ")[0] if kind is Kind.VOLTAGE else field.example, kind)
    low, high = field.low or 0.0, field.high or 1.0
    if dice.random() >= dice.anywhere:
        value = min(max(typical.value * dice.choice((0.5, 0.8, 0.9, 1.0, 1.0, 1.1, 1.3, 2.0)), low), high)
    elif dice.one_in(8):
        value = dice.choice((low, high))
    elif low > 0:
        value = math.exp(dice.uniform(math.log(low), math.log(high)))
    else:
        value = dice.uniform(low, high)
    if kind is Kind.TEMPERATURE and dice.random() >= dice.anywhere:
        value = min(max(typical.value + dice.uniform(-20, 20), low), high)
    if kind in PAIRS:
        second = typical.second or 1.0
        if dice.random() < dice.anywhere and field.second:
            second = dice.uniform(*field.second)
        return show_pair(value, second, kind)
    return respelled(dice, show(value, first, dice.choice(("metric", "metric", "metric", "us"))), first)


@lru_cache(maxsize=1)
def _spelled() -> dict[tuple[Kind, Unit], list[str]]:
    found: dict[tuple[Kind, Unit], list[str]] = {}
    for kind, known in spellings().items():
        for spelling, unit in known.items():
            found.setdefault((kind, unit), []).append(spelling)
    return found


def respelled(dice: Dice, said: str, kind: Kind) -> str:
    """The same quantity with another spelling of its unit, with another space or none."""
    if dice.random() >= dice.respelled:
        return said
    number, _, name = said.partition(" ")
    unit = spellings()[kind].get(name)
    ways = _spelled().get((kind, unit), [name]) if unit else [name]
    space = dice.choice((" ", " ", "", "\u00a0"))
    return number + space + dice.choice(ways)


def gauge(dice: Dice) -> str:
    usual = ("14 AWG", "12 AWG", "12 AWG", "10 AWG", "8 AWG", "2.5 mm2", "4 mm2", "12 SAE")
    return dice.choice(
        ("24 AWG", "18 AWG", "4/0 AWG", "0.2 mm2", "70 mm2", "24 SAE", "3.31 mm2")
        if dice.random() < dice.anywhere
        else usual
    )


def family_of(label: Any) -> str:
    """The family of an end as it is drawn: text or a mapping."""
    return str(label.get("family", "") if isinstance(label, dict) else label).rpartition(" ")[0] or str(label)


def end(dice: Dice, family: str, half: str) -> Any:
    """One end; now and then of another family, turned, or with a half for each pole."""
    if dice.random() < dice.anywhere / 4:
        family, half = dice.choice(FAMILIES), dice.choice(("pin", "socket"))
    if family.startswith(WHOLE):
        return family
    if dice.random() < dice.anywhere / 8:
        return {"family": family, "plus": dice.choice(("pin", "socket")), "minus": dice.choice(("pin", "socket"))}
    return f"{family} {half}"


def run(dice: Dice, leads: list[str]) -> Any:
    beside = [f"beside {dice.choice(leads)}" for _ in range(dice.choice((0, 0, 1, 2)))] if leads else []
    words = dice.sample(
        [dice.choice(("open", "in frame")), "moving", "beside 2 others", "beside 1 lead", *beside],
        dice.choice((1, 1, 2, 3)),
    )
    return words[0] if len(words) == 1 else words


def value(dice: Dice, field: Field) -> Any:
    """What a line may say that names no part. None: nothing is drawn for this kind of row here."""
    if dice.random() < dice.odd:
        return dice.choice(ODD)
    said = _plain(dice, field)
    if isinstance(said, str) and field.kind not in _NO_GUESS and dice.random() < dice.guessed:
        return said + dice.choice((" ?", "?"))
    return said


def _plain(dice: Dice, field: Field) -> Any:
    kind = _kind(field)
    word = _OR_WORD.get(field.kind)
    if word and dice.one_in(6):
        return word
    if kind in (Kind.GAUGE, Kind.GAUGE_RANGE):
        return gauge(dice) if kind is Kind.GAUGE else field.example
    if kind is Kind.MONEY:
        return f"{dice.uniform(0, 90):.2f} EUR"
    if field.kind == "path":
        return dice.choice(("build", "controller", "bike"))
    if field.kind == "any quantity":
        return dice.choice(("3.4 %", "2", "12 A", "0.1 V", "85 degC"))
    if field.kind == "rule":
        return dice.choice(RULES)
    if kind is not None:
        return quantity(dice, field, kind)
    if field.kind == "word" or (field.kind == "insulation" and not dice.one_in(4)):
        return dice.choice(field.words)
    if field.kind == "insulation":
        return f"{dice.choice((60, 75, 90, 105, 150, 200))} degC"
    if field.kind == "count":
        if dice.random() < dice.anywhere:
            return str(dice.randint(int(field.low or 0), int(field.high or 9)))
        return field.example
    if field.kind == "yes/no":
        return dice.choice(("yes", "no"))
    if field.kind in ("date", "month or day"):
        return dice.choice(("2026-11-20", "2027-05-14", "2028-02-29", "2026-01-01"))
    if field.kind == "assist":
        return dice.choice(("rider 80 W", "rider 0 W", "ratio 2", "throttle"))
    if field.kind == "text":
        return dice.choice((field.example, "one of ours", "Ünïcode – text", "=1+1", "a: b", "<b>&amp;"))
    return None


def flow(text: str) -> Any:
    """An example of the table as the tree that it is."""
    return yaml.load(text, Loader=yaml.BaseLoader)


class _Plain(yaml.Dumper):
    """Writes everything out: a build file has no anchors."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def as_text(tree: Tree) -> str:
    return yaml.dump(tree, Dumper=_Plain, sort_keys=False, allow_unicode=True, width=1000)
