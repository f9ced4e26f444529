"""What is weighed against what, by the rates as they are stated."""

from __future__ import annotations

from decimal import Decimal

import pytest

from packyoke.planning.score import Score


def weighed(score: Score, value: int) -> float:
    return score.shown(value)[score.names.index("weighed")]


def test_findings_come_before_everything_and_what_is_preferred_next() -> None:
    plain, joints = Score((), False, ""), Score(("joints",), False, "")
    assert plain.names == ("findings", "weighed", "copper", "loss", "joints")
    assert joints.names == ("findings", "joints", "weighed", "copper", "loss")
    assert Score(("copper",), True, "EUR").names == ("findings", "copper", "weighed", "cost", "loss", "joints")
    # 100 joints are 4 kg of copper; a finding is more than any of it.
    assert plain.finding > plain.of("joints", 100) > plain.of("copper", 3.99)
    # One joint less goes before 10 kg of copper, where joints are preferred.
    assert joints.of("joints", 2) > joints.of("joints", 1) + joints.of("copper", 10)
    assert plain.of("joints", 2) < plain.of("joints", 1) + plain.of("copper", 10)


@pytest.mark.parametrize("word", ["time", "weighed", "findings", "cost"])
def test_what_cannot_be_preferred_is_refused(word: str) -> None:
    # Cost counts only where everything has a price.
    with pytest.raises(ValueError, match=word):
        Score((word,), False, "")


def test_cost_is_preferred_where_all_has_a_price() -> None:
    assert Score(("cost",), True, "EUR").names[:2] == ("findings", "cost")


@pytest.mark.parametrize(("name", "value", "kg"), [("copper", 0.2, 0.2), ("loss", 3.0, 0.015), ("joints", 2.0, 0.08)])
def test_rates_without_prices(name: str, value: float, kg: float) -> None:
    score = Score((), False, "")
    assert weighed(score, score.of(name, value)) == pytest.approx(kg, abs=1e-8)


@pytest.mark.parametrize(("name", "value", "euros"), [("copper", 0.2, 0.0), ("loss", 3.0, 0.6), ("joints", 2.0, 3.2)])
def test_rates_with_prices(name: str, value: float, euros: float) -> None:
    # Copper as wire costs 40 EUR/kg: 3 W are 15 g of it, two joints 80 g; the wire itself is in the cost.
    score = Score((), True, "EUR", 40.0)
    assert weighed(score, score.of(name, value)) == pytest.approx(euros, abs=1e-8)
    assert score.units[1:3] == ("EUR", "EUR")


def test_a_piece_costs_its_price_or_what_is_usual() -> None:
    priced, plain = Score((), True, "EUR", 40.0), Score((), False, "")
    assert weighed(priced, priced.item("fuse", Decimal(8))) == pytest.approx(8.0)
    assert weighed(priced, priced.item("holder", None)) == pytest.approx(4.0)
    # Where not everything has a price, no price counts.
    assert weighed(plain, plain.item("fuse", Decimal(8))) == pytest.approx(0.1)
    assert weighed(plain, plain.item("joiner", None)) == pytest.approx(0.9)
    assert weighed(plain, plain.item("half", None)) == pytest.approx(0.03)


def test_missing_a_limit_is_a_finding_and_the_more_the_worse() -> None:
    score = Score((), False, "")
    findings, kg, *_ = score.shown(score.missed(0.25))
    assert (findings, kg) == (1.0, pytest.approx(2.5))
    assert score.missed(0.3) > score.missed(0.25) > score.finding


def test_a_score_is_raised_in_its_first_figure_only() -> None:
    score = Score((), False, "")
    value = score.finding + score.of("copper", 2.0)
    findings, kg, *_ = score.shown(score.raised(value, 0.1))
    assert (findings, kg) == (1.0, pytest.approx(2.2))
    assert score.raised(value, 0.0) > value


@pytest.mark.parametrize(
    ("mine", "bound", "said"),
    [
        # 1.5 over 1.2 is 25 % more; 1.201 over 1.2 is less than one, and said as one; 10.8 % is said as 11.
        (1.5, 1.2, "; at most 25 % above the best possible"),
        (1.201, 1.2, "; at most 1 % above the best possible"),
        (1.33, 1.2, "; at most 11 % above the best possible"),
        (1.0, 1.2, "; at most 1 % above the best possible"),
        (1.5, 0.0, ""),
    ],
)
def test_how_far_from_the_best_it_can_be(mine: float, bound: float, said: str) -> None:
    score = Score((), False, "")
    assert score.at_most_above(score.of("copper", mine), score.of("copper", bound)) == said


def test_nothing_is_said_of_a_bound_with_fewer_findings() -> None:
    score = Score((), False, "")
    assert score.at_most_above(score.finding + score.of("copper", 1.0), score.of("copper", 1.0)) == ""
    both = score.finding
    assert "above the best" in score.at_most_above(both + score.of("copper", 1.0), both + score.of("copper", 1.0))


def test_money_is_exact_where_floats_are_not() -> None:
    score = Score(("cost",), True, "VND", 40.0)
    # 0.1 + 0.2 > 0.3 and 90071992.54740993 == 90071992.54740992, as floats.
    assert score.money(Decimal("0.1")) + score.money(Decimal("0.2")) == score.money(Decimal("0.3"))
    assert score.money(Decimal("90071992.54740993")) > score.money(Decimal("90071992.54740992"))
    # 1,000 of the dearest things that a shop file takes stay behind one finding.
    assert 1000 * score.money(Decimal(1_000_000)) < score.finding
    assert weighed(score, 1000 * score.money(Decimal(1_000_000))) == 1e9
    assert Score((), False, "").money(Decimal(8)) == 0


def test_a_wire_too_thin_for_two_fuses_weighs_as_much_as_a_holder() -> None:
    for score in (Score((), False, ""), Score((), True, "EUR", 40.0)):
        assert score.noted == score.item("holder", None)
