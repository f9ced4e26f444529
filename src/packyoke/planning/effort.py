"""How much is worked through for one answer: counted, so that a file has the same answer on every machine."""

from __future__ import annotations

ON_SHELF = 450_000
"""Steps of the search for one plan, of two to four microseconds each: one to two seconds in all."""
BEYOND = 120_000
"""Steps for the same once more with wire that has to be bought."""
AGAIN = 200_000
"""Steps that are left at the least to better what has been found."""
RESERVE = 2_000_000
"""Steps that are left where nothing has been found: a plan comes before quickness."""

RUN = 10
"""Steps that a rule takes as long as on one set of values tried for what nobody knows."""


class Effort:
    """Steps that are left. Whoever finds none left takes what there is, and says that not all was tried.

    again, reserve: how many are left at the least to better what is known, and to find anything
    whole: what these steps are a part of
    """

    def __init__(
        self, steps: int = ON_SHELF, again: int = AGAIN, reserve: int = RESERVE, whole: Effort | None = None
    ) -> None:
        self.left, self.again, self.reserve = steps, again, reserve
        self.spent = 0
        self._whole = whole

    def part(self, least: int, most: int, again: int = AGAIN, reserve: int = RESERVE) -> Effort:
        """What one of several pieces of work may take of the steps that are left for all of them."""
        return Effort(max(least, min(self.left, most)), again, reserve, self)

    def spend(self, steps: int) -> None:
        self.left -= steps
        self.spent += steps
        if self._whole is not None:
            self._whole.spend(steps)

    def allows(self, steps: int) -> bool:
        """Whether so much is left for one piece of work, which it is spent on."""
        if steps > self.left:
            return False
        self.spend(steps)
        return True

    def go_on(self, *, known: bool) -> None:
        """Go on with what has been found, or until something is."""
        self.left = max(self.left, self.again if known else self.reserve)

    def found(self) -> None:
        """What was kept in reserve until something was found is no longer needed."""
        self.left = min(self.left, self.again)

    @property
    def gone(self) -> bool:
        return self.left < 0
