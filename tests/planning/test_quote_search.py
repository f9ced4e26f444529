"""What a quote leaves out of its search: the front by tables of price, reach and mass, without a bike behind them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import count
from math import inf
from random import Random
from types import SimpleNamespace
from typing import Any, cast

import pytest

from packyoke.analysis.ride.needs import Band
from packyoke.planning.quoting.bounds import Most, most_reach_m
from packyoke.planning.quoting.candidates import Choice
from packyoke.planning.quoting.offers import Counter, Offer, Refused
from packyoke.planning.quoting.search import Wish, _Search
from tests.planning.test_quote import a_shop

SHOP = a_shop(4)


@dataclass
class Row:
    """A choice: what it costs and at least, how far it goes and at most, what it weighs; `none`: why it is refused."""

    price: int
    reach_m: float
    mass_kg: float = 5.0
    least: int | None = None
    most_m: float | None = None
    farthest_m: float = inf
    none: str = ""
    known: bool = True
    """Whether anybody can say how far it goes at most."""
    number: int = field(default_factory=count().__next__)

    @property
    def choice(self) -> Choice:
        return Choice((f"pack {self.number:05}",))


def offer_of(row: Row, choice: Choice, enough_m: float = inf) -> Offer:
    ride = SimpleNamespace(ride=SimpleNamespace(air_k=293.15), given_j=row.reach_m)
    totals = SimpleNamespace(amount=Decimal(row.price))
    band = Band(row.reach_m, row.reach_m + 1, row.reach_m + 2)
    some = cast(Any, None)
    return Offer(
        choice,
        (),
        some,
        some,
        (),
        cast(Any, totals),
        some,
        band,
        row.reach_m,
        row.mass_kg,
        (),
        (),
        cast(Any, ride),
        enough_m,
    )


class Told(_Search):
    """A search whose choices are rows of a table: one joule takes it one metre."""

    def __init__(self, rows: Sequence[Row], wish: Wish, now: Row) -> None:
        self.rows = {row.choice: row for row in rows}
        self.enough_m = 1.25 * wish.reach_m if wish.reach_m is not None else inf
        self.asked: list[Choice] = []
        self.rider = None
        super().__init__(cast(Counter, self), SHOP, wish, "EUR")
        self.now = self.row_offer(now, Choice())
        self.rows[Choice()] = now

    def row_offer(self, row: Row, choice: Choice) -> Offer | Refused:
        return Refused(choice, row.none) if row.none else offer_of(row, choice, self.enough_m)

    def offer(self, choice: Choice, worth_it: Callable[[Decimal], bool] | None = None) -> Offer | Refused | None:
        self.asked.append(choice)
        row = self.rows[choice]
        if worth_it is not None and not row.none and not worth_it(Decimal(row.price)):
            return None
        return self.row_offer(row, choice)

    def _least(self, choice: Choice) -> Decimal:
        row = self.rows[choice]
        return Decimal(row.least if row.least is not None else row.price)

    def _most(self, choice: Choice) -> Most | None:
        row = self.rows[choice]
        most_m = row.most_m if row.most_m is not None else row.reach_m
        return Most(most_m, row.mass_kg, 48.0, 0.0) if row.known else None

    def _ever_closer(self, choice: Choice, made: Sequence[tuple[Offer, Most]]) -> Iterator[float]:
        far_m = most_reach_m(self._most(choice), made)
        yield far_m
        for more in (1.05, 1.0):
            far_m = min(far_m, more * self.rows[choice].farthest_m)
            yield far_m

    @property
    def open(self) -> list[Choice]:
        return [choice for choice in self.rows if choice.added]


def figures(row: Row, wish: Wish) -> tuple[int, float, float]:
    enough_m = 1.25 * wish.reach_m if wish.reach_m is not None else inf
    return row.price, -min(row.reach_m, enough_m), row.mass_kg


def plain_front(rows: Sequence[Row], wish: Wish) -> set[tuple[int, float, float]]:
    """What nobody would leave for another one, of all that is made and does it."""
    wanted = [
        figures(row, wish)
        for row in rows
        if not row.none
        and (wish.reach_m is None or row.reach_m >= wish.reach_m)
        and (wish.most is None or row.price <= wish.most)
    ]
    return {
        one
        for one in wanted
        if not any(other != one and all(a <= b for a, b in zip(other, one, strict=True)) for other in wanted)
    }


def by_lot(rng: Random) -> list[Row]:
    """Rows of few values each, so that equal figures are common."""
    rows = []
    for _ in range(rng.randint(1, 9)):
        price, reach_m = rng.choice([100, 150, 200, 300]), rng.choice([40.0, 50.0, 60.0, 80.0])
        rows.append(
            Row(
                price,
                reach_m,
                rng.choice([3.0, 4.0, 5.0]),
                rng.choice([price, price - 40, 0]),
                reach_m + rng.choice([0.0, 5.0, 50.0]),
                rng.choice([reach_m, reach_m + 8, inf]),
                rng.choice(["", "", "", "stopped"]),
                rng.random() < 0.9,
            )
        )
    return rows


def a_bike_as_it_is(rng: Random) -> Row:
    return Row(0, rng.choice([30.0, 50.0]), 2.0, none=rng.choice(["", "", "stopped"]), known=rng.random() < 0.8)


@pytest.mark.parametrize("seed", range(60))
def test_the_front_is_that_of_all_rows_and_nothing_is_made_twice(seed: int) -> None:
    rng = Random(seed)
    rows, now = by_lot(rng), a_bike_as_it_is(rng)
    wish = Wish(ride="r", reach_m=rng.choice([None, 50.0, 60.0]), most=rng.choice([None, Decimal(150), Decimal(200)]))
    search = Told(rows, wish, now)
    front, refused = search.front(search.open, search.now)
    assert {(int(each.price), *each.figures[1:]) for each in front} == plain_front([*rows, now], wish)
    assert len(search.asked) == len({*search.asked})
    assert {each.choice for each in refused} <= {row.choice for row in rows if row.none}
    if not front:
        nearest, _ = search.nearest(search.open, search.now, refused)
        assert [(int(each.price), each.reach_m) for each in nearest] == plain_nearest([*rows, now], wish)


def plain_nearest(rows: Sequence[Row], wish: Wish) -> list[tuple[int, float]]:
    """The cheapest that reaches; else the farthest for the money, the first of those as far."""
    made = [row for row in rows if not row.none]
    if wish.most is not None and wish.reach_m is not None:
        reaching = [row for row in made if row.reach_m >= wish.reach_m]
        if reaching:
            least = min(reaching, key=lambda row: figures(row, wish))
            return [(least.price, least.reach_m)]
    paid = [row for row in made if wish.most is None or row.price <= wish.most]
    farthest = max((row.reach_m for row in paid), default=None)
    return [] if farthest is None else [(min(row.price for row in paid if row.reach_m == farthest), farthest)]


@pytest.mark.parametrize(
    ("first", "second", "taken"),
    [
        # Two that go equally far: the one that costs less, whichever comes first.
        (Row(150, 40.0), Row(149, 40.0), 149),
        (Row(149, 40.0), Row(150, 40.0), 149),
        (Row(150, 40.0), Row(120, 39.0), 150),
        (Row(150, 40.0, none="stopped"), Row(150, 39.0), 150),
        (Row(201, 45.0), Row(200, 39.0), 200),
        # More than it may cost, as is seen when it is made only.
        (Row(201, 45.0, least=100), Row(200, 39.0), 200),
    ],
)
def test_where_nothing_reaches_the_farthest_for_the_money_and_of_those_the_cheapest(
    first: Row, second: Row, taken: int
) -> None:
    search = Told([first, second], Wish(ride="r", reach_m=50.0, most=Decimal(200)), Row(0, 30.0))
    (found,), refused = search.nearest(search.open, search.now, [])
    assert found.price == taken
    assert [each.choice for each in refused] == ([first.choice] if first.none else [])


@pytest.mark.parametrize(
    ("most_m", "farthest_m", "asked"), [(30.0, inf, 0), (30.1, inf, 1), (90.0, 30.0, 0), (90.0, 30.1, 1)]
)
def test_what_cannot_get_farther_than_the_bike_as_it_is_is_not_made(
    most_m: float, farthest_m: float, asked: int
) -> None:
    """By what the packs of another offer take, or by its own: 300 choices were planned for a quote of 9999 km."""
    row = Row(100, 30.0, most_m=most_m / 1.005, farthest_m=farthest_m)
    search = Told([row], Wish(ride="r", reach_m=50.0), Row(0, 30.0))
    (found,), _ = search.nearest(search.open, search.now, [])
    assert found.choice == Choice()
    assert len(search.asked) == asked


@pytest.mark.parametrize(
    ("row", "wish", "made"),
    [
        (Row(100, 60.0), {}, True),
        # What costs more at least than there is money for; as much is none too many.
        (Row(100, 60.0, least=101), {"most": Decimal(100)}, False),
        (Row(100, 60.0, least=100), {"most": Decimal(100)}, True),
        # What reaches less at the most than was wished for, by its packs or by what the ride takes with them.
        (Row(100, 60.0, most_m=60.0 / 1.005), {"reach_m": 60.1}, False),
        (Row(100, 60.0, most_m=60.0), {"reach_m": 60.1}, True),
        (Row(100, 60.0, most_m=90.0, farthest_m=60.0), {"reach_m": 60.1}, False),
        (Row(100, 60.0, most_m=90.0, farthest_m=60.0), {"reach_m": 60.0}, True),
        # The bike as it is goes 50 with 2 kg: nothing as far that costs more and is heavier.
        (Row(100, 50.0, most_m=50.0 / 1.005), {}, False),
        (Row(100, 50.0, most_m=50.0 / 1.005, mass_kg=1.9), {}, True),
        (Row(100, 50.0, most_m=50.0 / 1.005, known=False), {}, True),
        # 62.5 are a quarter more than the wish of 50, and no more is worth anything.
        (Row(100, 80.0), {"reach_m": 40.0}, False),
    ],
)
def test_what_is_made_at_all(row: Row, wish: dict[str, Any], made: bool) -> None:
    search = Told([row], Wish(ride="r", **wish), Row(0, 50.0, 2.0))
    search.front(search.open, search.now)
    assert search.asked == ([row.choice] if made else [])
    assert search.planned == {*search.asked}


def test_what_is_not_worth_its_price_is_not_kept_as_made() -> None:
    """Its bill comes to more than its least: beside an offer that goes as far for less it is dropped on the way."""
    good, dear = Row(100, 60.0, 3.0), Row(140, 60.0, 4.0, least=90, most_m=60.0)
    other = Row(95, 55.0, 4.0, least=80)
    search = Told([good, dear, other], Wish(ride="r"), Row(0, 30.0))
    front, _ = search.front(search.open, search.now)
    assert [each.choice for each in front] == [Choice(), other.choice, dear.choice, good.choice] or len(front) == 3
    assert [int(each.price) for each in sorted(front, key=lambda each: each.price)] == [0, 95, 100]
    assert search.planned == {good.choice, dear.choice, other.choice}


def test_the_cheapest_that_reaches_is_told_where_it_costs_too_much() -> None:
    rows = [Row(300, 60.0), Row(250, 60.0), Row(100, 40.0)]
    search = Told(rows, Wish(ride="r", reach_m=60.0, most=Decimal(200)), Row(0, 30.0))
    assert search.front(search.open, search.now)[0] == []
    (found,), _ = search.nearest(search.open, search.now, [])
    assert found.price == 250
    # The wish stays as it was.
    assert search.wish.most == 200
