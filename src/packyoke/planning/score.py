"""What a plan is judged by, as one whole number: findings first, then what it costs, what it wastes, what it asks."""

from __future__ import annotations

from collections.abc import Sequence

from packyoke.planning.result import Objective

PREFERENCES = ("cost", "copper", "loss", "joints")
UNITS = {"findings": "", "cost": "", "copper": "kg", "loss": "W", "joints": ""}
_STEPS = {"findings": 1, "cost": 10_000, "copper": 1_000_000, "loss": 1_000_000, "joints": 1}
"""Each figure is counted in whole steps, so that sums are exact and equal plans stay equal."""
_BITS = 48
"""Room for each figure: none comes near 2^48 steps."""


class Score:
    """The order in which figures count. A score is a sum: adding scores adds each figure, comparing compares in order.

    `prefer` moves figures to the front, behind the findings. Raises ValueError for a word that is none of them.
    """

    def __init__(self, prefer: Sequence[str], priced: bool, currency: str) -> None:
        unknown = [word for word in prefer if word not in PREFERENCES or (word == "cost" and not priced)]
        if unknown:
            raise ValueError(f"{unknown[0]!r} cannot be preferred")
        usual = ("cost" if priced else "copper", "loss", "joints")
        self.names = ("findings", *dict.fromkeys((*prefer, *usual)))
        self.units = tuple(currency if name == "cost" else UNITS[name] for name in self.names)
        self._shifts = {name: _BITS * (len(self.names) - 1 - place) for place, name in enumerate(self.names)}
        self.finding = self.of("findings", 1)

    def of(self, name: str, value: float) -> int:
        """The score of one figure; nothing for one that does not count."""
        shift = self._shifts.get(name)
        return 0 if shift is None else round(value * _STEPS[name]) << shift

    def shown(self, score: int) -> tuple[float, ...]:
        """The figures of a score, in their order."""
        mask = (1 << _BITS) - 1
        return tuple((score >> self._shifts[name] & mask) / _STEPS[name] for name in self.names)

    def raised(self, score: int, fraction: float) -> int:
        """A score whose first figure behind the findings is larger by a fraction."""
        shift = self._shifts[self.names[1]]
        findings, first = divmod(score >> shift, 1 << _BITS)
        return (findings << _BITS) + int(first * (1 + fraction)) + 1 << shift

    def objective(self, score: int) -> Objective:
        return Objective(self.names, self.units, self.shown(score))
