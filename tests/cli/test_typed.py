"""What is typed after a command, at both sides of what is taken."""

from __future__ import annotations

import pytest

from packyoke.analysis.unknowns.filled import filled
from packyoke.answers.typed import (
    WrongInput,
    air,
    assumed_words,
    current_or_power,
    health_share,
    pack_name,
    pack_names,
    pairs,
    quantity,
    resting,
    ride_name,
    states,
)
from packyoke.core.units import Kind
from tests.planning.bikes import build_of
from tests.support import edited

BUILD = build_of(edited("skerry-long-tail"))
LFP = build_of(edited("skerry-long-tail", {"packs.keel.chemistry": "LFP"}))


@pytest.mark.parametrize(
    ("text", "kelvin"), [(None, None), ("-50 degC", 223.15), ("-58 degF", 223.15), ("60 degC", 333.15)]
)
def test_air(text: str | None, kelvin: float | None) -> None:
    assert air(text) == (kelvin and pytest.approx(kelvin))


@pytest.mark.parametrize("text", ["-50.1 degC", "60.1 degC"])
def test_air_beyond_what_anybody_rides_in(text: str) -> None:
    with pytest.raises(WrongInput, match="between -50 degC and 60 degC"):
        air(text)


@pytest.mark.parametrize(("text", "share"), [(None, None), ("30 %", 0.3), ("100 %", 1.0)])
def test_health(text: str | None, share: float | None) -> None:
    assert health_share(text) == (share and pytest.approx(share))


@pytest.mark.parametrize("text", ["29.9 %", "100.1 %"])
def test_health_beyond_what_is_sold(text: str) -> None:
    with pytest.raises(WrongInput, match="between 30 % and 100 %"):
        health_share(text)


@pytest.mark.parametrize(
    ("text", "share"), [("0", 0.0), ("1", 0.01), ("60", 0.6), ("60 %", 0.6), ("100", 1.0), ("0.5 %", 0.005)]
)
def test_a_state_of_charge_is_in_per_cent(text: str, share: float) -> None:
    assert states(BUILD, f"keel={text}", "--at") == {"keel": pytest.approx(share)}


@pytest.mark.parametrize("text", ["0.5", ".5", "1.0"])
def test_a_state_between_none_and_one_is_asked_about(text: str) -> None:
    with pytest.raises(WrongInput, match=f'of a hundred or of one. Write  keel="{100 * float(text):g} %"'):
        states(BUILD, f"keel={text}", "--at")


@pytest.mark.parametrize("text", ["-1", "100.1", "101 %"])
def test_a_state_beyond_empty_and_full(text: str) -> None:
    with pytest.raises(WrongInput):
        states(BUILD, f"keel={text}", "--at")


def test_a_voltage_at_rest_is_that_of_the_pack() -> None:
    """14 cells of NMC: 58.8 V full, 42 V empty."""
    found = resting(BUILD, "keel=58.8 V, pannier=42")
    assert found["keel"] == pytest.approx(1.0)
    assert found["pannier"] == pytest.approx(0.0, abs=0.02)
    with pytest.raises(WrongInput, match=r"it shows .* V to .* V at rest"):
        resting(BUILD, "keel=65")


def test_a_voltage_of_lfp_cells_says_no_state() -> None:
    """Their curve is flat between full and empty."""
    with pytest.raises(WrongInput, match="the voltage of LFP cells does not say it closer"):
        resting(LFP, "keel=46")


@pytest.mark.parametrize(
    ("text", "names"),
    [("keel", ("keel",)), ("KEEL, pannier", ("keel", "pannier")), ("pannier,keel", ("pannier", "keel"))],
)
def test_names_of_packs(text: str, names: tuple[str, ...]) -> None:
    assert pack_names(BUILD, text) == names


@pytest.mark.parametrize(
    ("text", "said"),
    [("keel,Keel", "a pack is named twice"), ("kele", "Did you mean keel?"), ("xyz", "Packs: keel, pannier.")],
)
def test_names_of_packs_that_are_none(text: str, said: str) -> None:
    with pytest.raises(WrongInput) as caught:
        pack_names(BUILD, text)
    assert said in str(caught.value)
    assert pack_name(BUILD, "Pannier") == "pannier"


def test_rides_are_known_without_their_capitals() -> None:
    ride = ride_name(BUILD, "everyday")
    assert ride_name(BUILD, f" {ride.upper()} ") == ride
    with pytest.raises(WrongInput, match=f"Did you mean {ride}"):
        ride_name(BUILD, ride[:-1])
    with pytest.raises(WrongInput, match="Rides: "):
        ride_name(BUILD, "xyz")


@pytest.mark.parametrize("text", ["keel", "keel=", "keel= ", "keel=1,Keel=2"])
def test_pairs_that_are_none(text: str) -> None:
    with pytest.raises(WrongInput):
        pairs(BUILD, text, "--at")


@pytest.mark.parametrize(
    ("text", "found"),
    [("15 A", (Kind.CURRENT, 15.0)), ("500 W", (Kind.POWER, 500.0)), ("0.5 kW", (Kind.POWER, 500.0))],
)
def test_a_load_is_a_current_or_a_power(text: str, found: tuple[Kind, float]) -> None:
    assert current_or_power(text) == found


@pytest.mark.parametrize("text", ["15", "15 V", "much"])
def test_a_load_of_another_kind(text: str) -> None:
    with pytest.raises(WrongInput, match="write a current or a power"):
        current_or_power(text)


@pytest.mark.parametrize(("text", "limit"), [("500 A", ""), ("501 A", "500 A"), ("20 kW", ""), ("20.1 kW", "20000 W")])
def test_a_load_is_one_that_a_controller_may_draw(text: str, limit: str) -> None:
    """As in the file. 99999999999 A was answered."""
    if limit:
        with pytest.raises(WrongInput, match=f"no controller draws that; at most {limit} is read"):
            current_or_power(text)
    else:
        assert current_or_power(text)[1] in (500.0, 20_000.0)


@pytest.mark.parametrize(
    ("text", "kind", "bare"),
    [
        ("15 A ?", Kind.CURRENT, "15 A"),
        (" 80 km?", Kind.LENGTH, "80 km"),
        ("5 degC ?", Kind.TEMPERATURE, "5 degC"),
        ("80 % ?", Kind.FRACTION, "80 %"),
        ("120 mohm ?", Kind.RESISTANCE, "120 mohm"),
    ],
)
def test_a_guess_after_an_option_is_none(text: str, kind: Kind, bare: str) -> None:
    with pytest.raises(WrongInput, match=f'is a guess, .* Write  "{bare}"  to go by it'):
        quantity(text, kind, "--x", "")


@pytest.mark.parametrize(
    ("text", "kind", "asked"),
    [
        ("1.250 W", Kind.POWER, True),
        ("20.000 W", Kind.POWER, True),  # 20 kW is the most that a bike draws
        ("20.001 W", Kind.POWER, False),
        ("1.25 W", Kind.POWER, False),
        ("1.000 A", Kind.CURRENT, True),
        ("1.001 A", Kind.CURRENT, False),
        ("1.250 V", Kind.VOLTAGE, False),  # nobody means 1250 V
    ],
)
def test_a_point_that_may_part_thousands_is_asked_about_while_both_can_be(text: str, kind: Kind, asked: bool) -> None:
    if asked:
        with pytest.raises(WrongInput, match="may have a point for its thousands"):
            quantity(text, kind, "--x", "")
    else:
        assert quantity(text, kind, "--x", "") == pytest.approx(float(text.split()[0]))


@pytest.mark.parametrize(
    ("drop", "said"),
    [
        # A 48 V label is most likely 13 cells, and 13 cells of 4.2 V are full at 54.6 V.
        (["series"], {"series 13", "full_charge 54.6 V"}),
        # Its protection opens at 2.5 to 3 V a cell: 35.75 V in the middle.
        (["series", "cut_off"], {"series 13", "full_charge 54.6 V", "cut_off 35.8 V"}),
    ],
)
def test_what_was_counted_with_follows_from_what_else_was(drop: list[str], said: set[str]) -> None:
    build = build_of(edited("skerry-long-tail", {"packs.keel.label": "48 V"}, [f"packs.keel.{each}" for each in drop]))
    keys = [key for key in filled(build)[1] if key.path == "packs.keel"]
    assert {words.removeprefix("keel: ") for words in assumed_words(build, keys)} == said
