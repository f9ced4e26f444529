"""What a plan is judged by, as one whole number: findings first, then cost weighed against loss and work."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Decimal
from math import ceil

from packyoke.planning.result import Objective

PREFERENCES = ("cost", "copper", "loss", "joints")
UNITS = {"findings": "", "weighed": "kg of copper", "cost": "", "copper": "kg", "loss": "W", "joints": ""}
_FINE = 100_000_000
_STEPS = {"findings": 1, "weighed": _FINE, "cost": _FINE, "copper": 1_000_000, "loss": 1_000_000, "joints": 1}
"""Each figure is counted in whole steps, so that sums are exact and equal plans stay equal."""
_BITS = 64
"""Room for each figure: 1000 parts of 1,000,000 each, the most that a shop file takes, are 2^57 steps."""

LOSS_KG_PER_W = 0.005
"""One watt lost at continuous current weighs as much as 5 g of copper: judgement. A ride loses about a quarter of it
on the mean, since that goes with the square of the current."""
JOINT_KG = 0.040
"""One conductor soldered to one contact, some minutes of work: judgement."""
MISSED_KG_PER_V = 10.0
"""Each volt beyond what a way may lose: judgement, more than any wire that it could save."""
NOTED_KG = 0.100
"""Two fuses that are together too much for a wire are a note. It weighs as much as a holder (judgement): a thicker wire
on a short way is taken for it, another fuse is not."""
NOMINAL_KG = {"fuse": 0.100, "holder": 0.100, "joiner": 0.900, "half": 0.030, "bought wire": 0.300}
"""A fuse, its holder, a joiner and half a connector that have no price; wire for a lead that is not on the shelf, where
the shelf has other wire: judgement."""


class Score:
    """The order in which figures count. A score is a sum: adding scores adds each figure, comparing compares in order.

    Behind the findings counts one figure that everything is weighed in: kilograms of copper, or money where all has a
    price. `prefer` puts figures before it. Raises ValueError for a word that is none of them.
    `copper_price`: of a kilogram of copper, as wire of the shelf [currency/kg].
    """

    def __init__(self, prefer: Sequence[str], priced: bool, currency: str, copper_price: float = 1.0) -> None:
        unknown = [word for word in prefer if word not in PREFERENCES or (word == "cost" and not priced)]
        if unknown:
            raise ValueError(f"{unknown[0]!r} cannot be preferred")
        self.priced, self._kg_costs = priced, copper_price if priced else 1.0
        usual = ("weighed", "cost" if priced else "copper", "loss", "joints")
        self.names = ("findings", *dict.fromkeys((*prefer, *usual)))
        money = {"cost", "weighed"} if priced else set()
        self.units = tuple(currency if name in money else UNITS[name] for name in self.names)
        self._shifts = {name: _BITS * (len(self.names) - 1 - place) for place, name in enumerate(self.names)}
        self.finding = self.of("findings", 1)
        self.noted = self._weighed(NOTED_KG * self._kg_costs)

    def of(self, name: str, value: float) -> int:
        """The score of one figure, with what it weighs; nothing for one that does not count."""
        shift = self._shifts.get(name)
        own = 0 if shift is None else round(value * _STEPS[name]) << shift
        return own + self._weighed(value * self._weight(name))

    def money(self, amount: Decimal) -> int:
        """The score of a price, exact to the last step; nothing where not everything has one."""
        if not self.priced:
            return 0
        steps = int((amount * _FINE).to_integral_value(ROUND_HALF_EVEN))
        return (steps << self._shifts["cost"]) + (steps << self._shifts["weighed"])

    def item(self, what: str, price: Decimal | None) -> int:
        """What one piece costs; one without a price, a word of `NOMINAL_KG`, weighs what is usual."""
        if self.priced and price is not None:
            return self.money(price)
        return self._weighed(NOMINAL_KG[what] * self._kg_costs)

    def missed(self, over_v: float) -> int:
        """A way that loses too many volts: a finding, and the more weight the more it misses."""
        return self.finding + self._weighed(over_v * MISSED_KG_PER_V * self._kg_costs)

    def _weight(self, name: str) -> float:
        if name == "copper":
            return 0.0 if self.priced else 1.0
        return {"loss": LOSS_KG_PER_W, "joints": JOINT_KG}.get(name, 0.0) * self._kg_costs

    def _weighed(self, value: float) -> int:
        return round(value * _STEPS["weighed"]) << self._shifts["weighed"]

    def shown(self, score: int) -> tuple[float, ...]:
        """The figures of a score, in their order."""
        mask = (1 << _BITS) - 1
        return tuple((score >> self._shifts[name] & mask) / _STEPS[name] for name in self.names)

    def raised(self, score: int, fraction: float) -> int:
        """A score whose first figure behind the findings is larger by a fraction."""
        shift = self._shifts[self.names[1]]
        findings, first = divmod(score >> shift, 1 << _BITS)
        return (findings << _BITS) + int(first * (1 + fraction)) + 1 << shift

    def first(self, score: int) -> int:
        """The first figure behind the findings, in steps."""
        return score >> self._shifts[self.names[1]] & (1 << _BITS) - 1

    def of_first(self, steps: float) -> int:
        """The score of so many steps of the first figure behind the findings."""
        return round(steps) << self._shifts[self.names[1]]

    def at_most_above(self, score: int, least: int) -> str:
        """By how much the first figure behind the findings can lie above the best possible, in words."""
        mine, bound = self.shown(score), self.shown(least)
        if mine[0] > bound[0] or not bound[1]:
            return ""
        above = 100 * max(0.0, mine[1] / bound[1] - 1)
        return f"; at most {max(1, ceil(above))} % above the best possible"

    def objective(self, score: int) -> Objective:
        return Objective(self.names, self.units, self.shown(score))
