"""What the program has to say about a build: one type for mistakes of the file, refusals of a solver and rules."""

from __future__ import annotations

import re
from dataclasses import FrozenInstanceError, dataclass
from enum import IntEnum
from hashlib import sha256
from math import isfinite
from typing import Any, ClassVar, Literal, NamedTuple, NoReturn, Self, dataclass_transform

from packyoke.core.paths import PartPath


@dataclass_transform(kw_only_default=True, frozen_default=True)
class Fixed:
    """A frozen dataclass whose values are given by name; two of them are never equal. Other names raise TypeError.

    `dataclass` writes and compiles six methods for each class, and for all kinds of parts that makes a tenth of a
    start-up: here it only counts the fields, and what is not given is found in the class.
    """

    __dataclass_fields__: ClassVar[dict[str, Any]]
    _names: ClassVar[frozenset[str]]

    def __init_subclass__(cls) -> None:
        dataclass(init=False, repr=False, eq=False)(cls)
        cls._names = frozenset(cls.__dataclass_fields__)

    def __init__(self, **values: Any) -> None:
        if not self._names.issuperset(values):
            self._refuse(values)
        object.__setattr__(self, "__dict__", values)

    def but(self, **changes: Any) -> Self:
        """The same with some of its values changed; much faster than `dataclasses.replace`."""
        if not self._names.issuperset(changes):
            self._refuse(changes)
        made = object.__new__(type(self))
        object.__setattr__(made, "__dict__", {**self.__dict__, **changes})
        return made

    def _refuse(self, values: dict[str, Any]) -> NoReturn:
        other = ", ".join(sorted(values.keys() - self._names))
        raise TypeError(f"{type(self).__name__} has no {other}")

    def __setattr__(self, name: str, value: Any) -> NoReturn:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __repr__(self) -> str:
        return f"{type(self).__name__}({', '.join(f'{name}={value!r}' for name, value in vars(self).items())})"


class Span(NamedTuple):
    """A place in a text, counted from 1; `end_column` is the first column that no longer belongs to it."""

    line: int
    column: int
    end_line: int
    end_column: int


class Borrowed(Span):
    """A place where a line of another file was taken over; `origin` is the place of that line, `shop.yaml:14`."""

    origin = ""

    @classmethod
    def of(cls, span: Span, origin: str) -> Borrowed:
        found = cls(*span)
        found.origin = origin
        return found


class Severity(IntEnum):
    """How much a finding weighs. An unknown that may be a stop (`OPEN`) weighs more than a caution."""

    NOTE = 1
    CAUTION = 2
    OPEN = 3
    STOP = 4

    @property
    def word(self) -> Literal["note", "caution", "open", "stop"]:
        return WORDS[self]


WORDS: dict[int, Literal["note", "caution", "open", "stop"]] = {1: "note", 2: "caution", 3: "open", 4: "stop"}


class Amount(NamedTuple):
    """A number with the unit that it is shown in."""

    value: float
    unit: str
    note: str = ""

    def __str__(self) -> str:
        if not isfinite(self.value):
            return f"no limit {self.note}".rstrip()
        return self.bare + (f" {self.note}" if self.note else "")

    @property
    def bare(self) -> str:
        """Number and unit, without the note."""
        return f"{shown(self.value)} {self.unit}".rstrip() if isfinite(self.value) else "no limit"


def one(figure: str, *, first: bool = False) -> str:
    """A thing that begins with a figure, with the article that is spoken before it. `first`: it begins a sentence.

    >>> one("30 A fuse"), one("84 V charger"), one("8.5 A fuse"), one("11 A fuse"), one("110 V lamp"), one("18 A fuse")
    ('a 30 A fuse', 'an 84 V charger', 'an 8.5 A fuse', 'an 11 A fuse', 'a 110 V lamp', 'an 18 A fuse')
    """
    spoken = re.match(r"8|(11|18)(?!\d)", figure)
    return f"{'A' if first else 'a'}{'n' if spoken else ''} {figure}"


def shown(value: float) -> str:
    """A number with three figures that count, without exponent or trailing zeros.

    >>> shown(25.0), shown(0.35299), shown(1470.2), shown(58.8), shown(-1e-9)
    ('25', '0.353', '1470', '58.8', '0')
    """
    if abs(value) < 5e-7:
        return "0"
    if abs(value) >= 100:
        return f"{value:.0f}"
    text = f"{value:.3g}"
    if "e" in text:
        text = f"{value:.6f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def percent(fraction: float) -> str:
    """A share in whole percent, nothing without a sign.

    >>> percent(0.125), percent(-1e-12), percent(1.014)
    ('12 %', '0 %', '101 %')
    """
    return f"{round(100 * fraction)} %"


class Finding(Fixed):
    """One thing to be said. Mistakes in a file carry the rule `unreadable` and the source line in `excerpt`.

    `usual`: a note that stands on nearly every bike, which is no information; pages show it on request.
    """

    rule: str
    severity: Severity
    part: PartPath
    message: str
    span: Span | None = None
    kind: str = "danger"
    field: str = ""
    found: Amount | None = None
    limit: Amount | None = None
    relation: str = ""
    why: str = ""
    do: str = ""
    basis: tuple[str, ...] = ()
    packs_in: tuple[str, ...] = ()
    charges: tuple[tuple[str, float], ...] = ()
    also: tuple[tuple[PartPath, Span | None], ...] = ()
    excerpt: str = ""
    cause: str = ""
    asks: tuple[str, ...] = ()
    ask: str = ""
    passes_if: str = ""
    accepted: str = ""
    usual: bool = False

    @property
    def fingerprint(self) -> str:
        """What makes it the same finding next year: rule, part and kind of cause; no line and no number."""
        return sha256(f"{self.rule}|{self.part}|{self.cause}".encode()).hexdigest()[:12]


def clean(text: str, most: int = 60) -> str:
    """A text that is safe to echo: on one line, nothing unseen in it, cut to `most` characters."""
    cut = text if len(text) <= most else text[: most - 3] + "..."
    return cut if cut.isprintable() else "".join(map(seen, cut))


def seen(character: str) -> str:
    return character if character.isprintable() else " " if character.isspace() else "\ufffd"
