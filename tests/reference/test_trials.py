"""Published consumption and cold cells: what is printed has to lie where trials do."""

from __future__ import annotations

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.rundown import Draw, Rundown, rundown
from packyoke.buildfile.reading import load
from packyoke.model import Build
from tests.reference.trials import TRIALS, Trial, counted
from tests.support import edited


@pytest.mark.parametrize("trial", [each for each in TRIALS if each.status != "second hand"], ids=lambda each: each.id)
def test_theirs_lies_between_little_and_much(trial: Trial) -> None:
    assert trial.inside


@pytest.mark.parametrize("watts", [60, 80, 100])
@pytest.mark.parametrize("climb", [5, 10])
@pytest.mark.parametrize("speed", [20, 22, 24])
def test_commuters_take_6_to_13(watts: int, climb: int, speed: int) -> None:
    """Anchors 7.8 and 9 (Lisbon 2014, 2015) and 9.6 to 12.3 (open trips 2024): 6 to 13 is our judgement."""
    assert 6.0 - 1e-9 <= counted(f"rider=75 km_h={speed} climb={climb} watts={watts}").likely <= 13.0


def test_half_the_rider_takes_more_out_of_the_pack() -> None:
    """By hand: 40 W less at 22 km/h are 1.8 Wh/km at the crank, 0.976 x 0.9 of it at the wheel, over 0.78 from the
    pack: 2.05 Wh/km."""
    whole, half = (counted(f"rider=75 km_h=22 climb=10 watts={watts}").likely for watts in (80, 40))
    assert half - whole == pytest.approx(2.05, rel=0.25)


# Usable energy over that at 25 degC at half the capacity an hour: several published cells (NMC and NCA, Kollmeyer 2018
# and 2020 among them); the bands are our judgement of them.
COLD = [(0, 0.85, 0.95), (-10, 0.74, 0.90), (-20, 0.60, 0.80)]


def given_j(celsius: float, rate_per_hour: float) -> float:
    build = load(edited("skerry-long-tail", drop=("accessories",)), "cold")
    assert isinstance(build, Build)
    capacity_coulomb = build.packs["pannier"].capacity_coulomb
    assert capacity_coulomb is not None
    draw = Draw(current_a=rate_per_hour * capacity_coulomb / 3600.0)
    found = rundown(Case(build), ("pannier",), load=draw, temperature_k=273.15 + celsius, series=False)
    assert isinstance(found, Rundown)
    return found.packs[0].energy_out_j


@pytest.mark.parametrize(("celsius", "low", "high"), COLD)
def test_cold_packs_give_what_published_cells_give(celsius: float, low: float, high: float) -> None:
    assert low <= given_j(celsius, 0.5) / given_j(25.0, 0.5) <= high


@pytest.mark.parametrize("celsius", [0, -10, -20])
def test_the_harder_the_load_the_less_of_it(celsius: float) -> None:
    shares = [given_j(celsius, rate) / given_j(25.0, rate) for rate in (0.25, 0.5, 1.0)]
    assert shares == sorted(shares, reverse=True)
