"""The generator of known bikes: most are read, each kind of change comes up, and commands come to their ends."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from packyoke.api import load
from packyoke.buildfile.reading import Shop, load_shop
from packyoke.model import Build
from tests.properties.drawn_values import TODAY, as_text
from tests.properties.every_command import broken
from tests.properties.known_bikes import bike_of, known_bike, shop_beside

FIRST = 100


def read(seed: int) -> Build | None:
    shelf = shop_beside(seed)
    shop = load_shop(as_text(shelf), "shop.yaml") if shelf is not None else None
    if shop is not None and not isinstance(shop, Shop):
        return None
    found = load(as_text(known_bike(seed)), "x.yaml", shop=shop, today=TODAY)
    return found if isinstance(found, Build) else None


def test_most_are_read_and_each_number_is_one_bike() -> None:
    builds = [read(seed) for seed in range(FIRST)]
    assert 0.7 * FIRST < sum(each is not None for each in builds) < FIRST
    assert [known_bike(seed) for seed in range(5)] == [known_bike(seed) for seed in range(5)]
    assert known_bike(7) == bike_of(7)[0]
    assert bike_of(8)[0]["name"].startswith("drawn ")


def test_what_is_changed() -> None:
    """Packs added, leads to be drawn, guesses, files without a shop: each in several."""
    seen: Counter[str] = Counter()
    for seed in range(FIRST):
        text = as_text(known_bike(seed))
        seen["one more"] += "spare " in text
        seen["nothing drawn"] += "leads:" not in text
        seen["guessed"] += "?\n" in text or "?'\n" in text
        seen["no shop"] += shop_beside(seed) is None
    assert all(seen[each] > 4 for each in ("one more", "nothing drawn", "guessed", "no shop")), seen


@pytest.mark.parametrize("seed", range(301, 313, 2))
def test_a_known_bike_through_every_command(seed: int, tmp_path: Path) -> None:
    assert not broken(seed, tmp_path)
