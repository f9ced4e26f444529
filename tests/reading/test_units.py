"""Quantities as technicians type them, and every trap of a careless or hostile text."""

from __future__ import annotations

import itertools
import subprocess
import sys

import pint
import pytest

from packyoke.core.unit_factors import FACTORS
from packyoke.core.unit_names import CURRENCIES, EXAMPLES, PAIRS, Unit, spellings, without_case
from packyoke.core.units import Kind, QuantityError, from_si, read, show, show_gauge, show_pair, to_si
from tests.support import ROOT

# NIST Special Publication 811 (2008), appendix B.8, factors as printed there (seven figures, bold ones exact).
NIST_SP_811 = [
    ("inch", "1 in", Kind.LENGTH, 2.54e-2),
    ("foot", "1 ft", Kind.LENGTH, 3.048e-1),
    ("mile", "1 mi", Kind.LENGTH, 1.609344e3),
    ("pound", "1 lb", Kind.MASS, 4.535924e-1),
    ("ounce (avoirdupois)", "1 oz", Kind.MASS, 2.834952e-2),
    ("kilometer per hour", "1 km/h", Kind.SPEED, 2.777778e-1),
    ("mile per hour", "1 mph", Kind.SPEED, 4.4704e-1),
    ("watt hour", "1 Wh", Kind.ENERGY, 3.6e3),
    ("ampere hour", "1 Ah", Kind.CHARGE, 3.6e3),
    ("hour", "1 h", Kind.TIME, 3.6e3),
    ("minute", "1 min", Kind.TIME, 60.0),
]


@pytest.mark.parametrize(
    ("text", "kind", "value_si"),
    [row[1:] for row in NIST_SP_811],
    ids=[f"NIST-SP-811-B8-{row[0]}" for row in NIST_SP_811],
)
def test_published_factor(text: str, kind: Kind, value_si: float) -> None:
    assert read(text, kind).value == pytest.approx(value_si, rel=2e-7)  # half a digit of the seven that are printed


def test_factors_are_those_of_pints_own_definitions() -> None:
    """Ours are generated from a short list of definitions; pint's own list, which we did not write, agrees."""
    registry = pint.UnitRegistry()
    expressions = {unit.expression for known in spellings().values() for unit in known.values()}
    assert set(FACTORS) == expressions
    for expression in expressions - {""}:
        assert registry.Quantity(1.0, expression).to_base_units().magnitude == pytest.approx(
            FACTORS[expression], rel=1e-14
        )


def test_a_sound_file_is_read_without_pint() -> None:
    line = "import sys; from packyoke.api import load; load(open(sys.argv[1]).read()); sys.exit('pint' in sys.modules)"
    example = ROOT / "examples" / "skerry-long-tail.yaml"
    assert subprocess.run([sys.executable, "-c", line, str(example)], check=False).returncode == 0


# ITS-90 in NIST SP 811, section B.8: t/degC = (t/degF - 32) / 1.8; the fixed points of the two scales.
@pytest.mark.parametrize(
    ("text", "kelvin"),
    [("32 degF", 273.15), ("212 degF", 373.15), ("-40 degF", 233.15), ("-40 degC", 233.15), ("0 K", 0.0)],
)
def test_temperature_scales_meet(text: str, kelvin: float) -> None:
    assert read(text, Kind.TEMPERATURE).value == pytest.approx(kelvin, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "kind", "value", "unit"),
    [
        ("48V", Kind.VOLTAGE, 48.0, "V"),
        ("48 VDC", Kind.VOLTAGE, 48.0, "V"),
        ("48\u00a0V", Kind.VOLTAGE, 48.0, "V"),
        ("17Ah", Kind.CHARGE, 61200.0, "Ah"),
        ("17 ah", Kind.CHARGE, 61200.0, "Ah"),
        ("2500 MAH", Kind.CHARGE, 9000.0, "mAh"),
        ("35 mOhm", Kind.RESISTANCE, 0.035, "mohm"),
        ("35 mΩ", Kind.RESISTANCE, 0.035, "mohm"),
        ("35 m\u2126", Kind.RESISTANCE, 0.035, "mohm"),
        ("35 mR", Kind.RESISTANCE, 0.035, "mohm"),
        ("35 MOhm", Kind.RESISTANCE, 35e6, "Mohm"),
        ("25 °C", Kind.TEMPERATURE, 298.15, "degC"),
        ("25 C", Kind.TEMPERATURE, 298.15, "degC"),
        ("77 F", Kind.TEMPERATURE, 298.15, "degF"),
        ("\u22125 degC", Kind.TEMPERATURE, 268.15, "degC"),
        ("22 in", Kind.LENGTH, 0.5588, "in"),
        ("10 ft", Kind.LENGTH, 3.048, "ft"),
        ("850 MM", Kind.LENGTH, 0.85, "mm"),
        ("2 lb", Kind.MASS, 0.90718474, "lb"),
        ("0.5A", Kind.CURRENT, 0.5, "A"),
        (".5 A", Kind.CURRENT, 0.5, "A"),
        ("20 a", Kind.CURRENT, 20.0, "A"),
        ("8 mA", Kind.CURRENT, 0.008, "mA"),
        ("5 MA", Kind.CURRENT, 5e6, "MA"),
        ("470 \u00b5F", Kind.CAPACITANCE, 470e-6, "uF"),
        ("470 \u03bcF", Kind.CAPACITANCE, 470e-6, "uF"),
        ("85 %", Kind.FRACTION, 0.85, "%"),
        ("8 m per km", Kind.CLIMB, 0.008, "m per km"),
        ("2 per km", Kind.COUNT_PER_DISTANCE, 0.002, "per km"),
        ("10 Wh/km", Kind.ENERGY_PER_DISTANCE, 36.0, "Wh/km"),
        ("  36 V  ", Kind.VOLTAGE, 36.0, "V"),
    ],
)
def test_what_technicians_type(text: str, kind: Kind, value: float, unit: str) -> None:
    reading = read(text, kind)
    assert (reading.value, reading.unit, reading.second, reading.guess) == (
        pytest.approx(value, rel=1e-12),
        unit,
        None,
        False,
    )


@pytest.mark.parametrize(
    ("text", "kind", "value", "second"),
    [
        ("60 A for 10 s", Kind.CURRENT_FOR_TIME, 60.0, 10.0),
        ("60A for 2min", Kind.CURRENT_FOR_TIME, 60.0, 120.0),
        ("18 A AFTER 60 s", Kind.CURRENT_AFTER_TIME, 18.0, 60.0),
        ("45 mV at 20 A", Kind.VOLTAGE_AT_CURRENT, 0.045, 20.0),
        ("45mV@20A", Kind.VOLTAGE_AT_CURRENT, 0.045, 20.0),
        ("36 km/h at 50 V", Kind.SPEED_AT_VOLTAGE, 10.0, 50.0),
    ],
)
def test_pair(text: str, kind: Kind, value: float, second: float) -> None:
    reading = read(text, kind)
    assert reading.value == pytest.approx(value, rel=1e-12)
    assert reading.second == pytest.approx(second, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "family", "size"),
    [
        ("12 AWG", "AWG", 12),
        ("12awg", "AWG", 12),
        ("AWG 12", "AWG", 12),
        ("1/0 AWG", "AWG", 0),
        ("2/0 AWG", "AWG", -1),
        ("4/0 awg", "AWG", -3),
        ("0 AWG", "AWG", 0),
        ("00 AWG", "AWG", -1),
        ("12 SAE", "SAE", 12),
        ("4 mm2", "mm2", 4),
        ("4mm²", "mm2", 4),
        ("0.75 mm^2", "mm2", 0.75),
    ],
)
def test_gauge(text: str, family: str, size: float) -> None:
    reading = read(text, Kind.GAUGE)
    assert (reading.family, reading.value) == (family, size)


@pytest.mark.parametrize(
    ("text", "family", "thin", "thick"),
    [
        ("14 to 12 AWG", "AWG", 14, 12),
        ("12 to 14 AWG", "AWG", 14, 12),
        ("2 AWG to 2/0 AWG", "AWG", 2, -1),
        ("2.5 to 4 mm2", "mm2", 2.5, 4),
        ("14-12 AWG", "AWG", 14, 12),
    ],
)
def test_gauge_range_runs_from_thin_to_thick(text: str, family: str, thin: float, thick: float) -> None:
    reading = read(text, Kind.GAUGE_RANGE)
    assert (reading.family, reading.value, reading.second) == (family, thin, thick)


def test_money_needs_a_currency_code() -> None:
    reading = read("12.50 eur", Kind.MONEY)
    assert (reading.value, reading.family, show(reading.value, Kind.MONEY, unit="EUR")) == (12.5, "EUR", "12.50 EUR")
    with pytest.raises(QuantityError):
        read("12.50 QQQ", Kind.MONEY)
    assert all(len(code) == 3 and code.isupper() for code in CURRENCIES)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("18 A ?", Kind.CURRENT),
        ("18A?", Kind.CURRENT),
        ("60 A for 10 s ?", Kind.CURRENT_FOR_TIME),
        ("12 AWG ?", Kind.GAUGE),
    ],
)
def test_trailing_question_mark_is_a_guess(text: str, kind: Kind) -> None:
    assert read(text, kind).guess
    assert not read(text.rstrip("? "), kind).guess


# Each mistake has a message and a line to type of its own.
@pytest.mark.parametrize(
    ("text", "kind", "message", "advice"),
    [
        ("22,5 A", Kind.CURRENT, "comma", "22.5 A"),
        ("1,5 m", Kind.LENGTH, "comma", "1.5 m"),
        ("1,500 mm", Kind.LENGTH, "comma", "Write  1500 mm  or, for a decimal,  1.5 mm"),
        ("1.500,5 mm", Kind.LENGTH, "comma", "one point"),
        ("1 500 mm", Kind.LENGTH, "a space", "Write  1500 mm"),
        ("1\u202f500 mm", Kind.LENGTH, "a space", "Write  1500 mm"),
        ("1'500 mm", Kind.LENGTH, "a mark", "Write  1500 mm"),
        ("60-90 V", Kind.VOLTAGE, '"60-90 V" is two numbers', "Write  60 V  or  90 V"),
        ("48–52 V", Kind.VOLTAGE, "two numbers", "48 V  or  52 V"),
        ("48 52 V", Kind.VOLTAGE, "two numbers", "48 V  or  52 V"),
        ("48 to 52 V", Kind.VOLTAGE, "two numbers", "48 V  or  52 V"),
        ("60 V - 90 V", Kind.VOLTAGE, "two numbers", "60 V  or  90 V"),
        ("48 ± 2 V", Kind.VOLTAGE, "tolerance", "48 V"),
        ("36 V +- 1 V", Kind.VOLTAGE, "tolerance", "36 V"),
        ("36 V 20 A", Kind.VOLTAGE, "two quantities", "one unit"),
        ("5 ft 13 in", Kind.LENGTH, "two quantities", "One number and one unit"),
        ("5 ft, 3 in", Kind.LENGTH, "two quantities", "Write  63 in"),
        ("48 V A", Kind.VOLTAGE, 'no unit "V A"', "36 V"),
        ("36", Kind.VOLTAGE, '"36" has no unit', "Write  36 V"),
        ("12", Kind.GAUGE, "no unit", "12 AWG"),
        ("20 A", Kind.CHARGE, '"20 A" is a current', "Did you mean  20 Ah ?"),
        ("5800 W", Kind.CURRENT, '"5800 W" is a power', "do not work it out from the power"),
        ("12 mm", Kind.GAUGE, "is a length", "area of its copper in mm2"),
        ("12 AWG", Kind.LENGTH, "is a wire gauge", "400 mm"),
        ("0.5 C", Kind.CURRENT, "is a temperature", "C-rate"),
        ("12 EUR", Kind.VOLTAGE, "is a price", "36 V"),
        ('22"', Kind.LENGTH, "inch mark", "Write  22 in  (that is 559 mm)"),
        ("22''", Kind.LENGTH, "inch mark", "22 in"),
        ("5'", Kind.LENGTH, "foot mark", "5 ft"),
        ("V", Kind.VOLTAGE, "no number", "36 V"),
        ("V 48", Kind.VOLTAGE, "in front", "48 V"),
        ("36 vots", Kind.VOLTAGE, 'no unit "vots"', "Did you mean  36 V ?"),
        ("36 folts", Kind.VOLTAGE, 'no unit "folts"', "Write for example  36 V"),  # 36 of something else, perhaps
        ("250 V AC", Kind.VOLTAGE, "alternating", "d.c."),
        ("nan V", Kind.VOLTAGE, "not a number", "number"),
        ("inf A", Kind.CURRENT, "not a number", "number"),
        ("-Infinity A", Kind.CURRENT, "not a number", "number"),
        ("1e400 A", Kind.CURRENT, "exponent", "number"),
        ("18E5 A", Kind.CURRENT, "exponent", "number"),
        ("48/2 V", Kind.VOLTAGE, "two numbers", "Write  48 V  or  2 V"),
        ("1/0 V", Kind.VOLTAGE, "two numbers", "number"),
        ("048 V", Kind.VOLTAGE, "zero", "Write  48 V"),
        ("1.2.3 V", Kind.VOLTAGE, "two points", "one point"),
        ("5. A", Kind.CURRENT, "point", "5 A"),
        ("+5 A", Kind.CURRENT, "plus", "5 A"),
        ("４８ V", Kind.VOLTAGE, "another script", "48 V"),
        ("1_000 V", Kind.VOLTAGE, "underscore", "1000 V"),
        ("48\x07 V", Kind.VOLTAGE, "cannot be seen", "anew"),
        ("48\u202e V", Kind.VOLTAGE, "cannot be seen", "anew"),
        ("48\u200b V", Kind.VOLTAGE, "cannot be seen", "anew"),
        ("9**9**9 V", Kind.VOLTAGE, "two quantities", "one unit"),
        ("0x10 V", Kind.VOLTAGE, "two quantities", "one unit"),
        ("", Kind.VOLTAGE, "nothing", "36 V"),
        (" ", Kind.VOLTAGE, "nothing", "36 V"),
        ("?", Kind.VOLTAGE, "nothing", "36 V"),
        ("unknown", Kind.VOLTAGE, "is not a voltage", "36 V"),
        ("#12", Kind.GAUGE, "is not a wire gauge", "12 AWG"),
        ("12.5 AWG", Kind.GAUGE, "scale", "whole numbers"),
        ("5/0 AWG", Kind.GAUGE, "scale", "4/0"),
        ("14-12 AWG", Kind.GAUGE, "two numbers", "14 AWG  or  12 AWG"),
        # 1 yd is 0.9144 m, an international nautical mile 1852 m, a day 86400 s: NIST SP 811, appendix B.
        ("1.5 yd", Kind.LENGTH, 'no unit "yd"', "Write  1.37 m  (that is 1.5 yd)"),
        ("10 nmi", Kind.LENGTH, "no unit", "Write  18.5 km"),
        ("3 days", Kind.TIME, "no unit", "Write  72 h"),
        ("5 stone", Kind.LENGTH, '"5 stone" is a mass', "A length is needed"),
        ("5 lb", Kind.LENGTH, '"5 lb" is a mass', "A length is needed"),
        ("2 thou", Kind.LENGTH, 'no unit "thou"', "Write for example  400 mm"),  # 0.05 mm would be shown as 0 mm
        ("1 ton", Kind.MASS, 'no unit "ton"', "Write for example  3 kg"),  # of 907, 1000 or 1016 kg
        ("4 mV@", Kind.VOLTAGE_AT_CURRENT, 'nothing after "@"', "45 mV at 20 A"),
        ("at 20 A", Kind.VOLTAGE_AT_CURRENT, 'nothing before "at"', "45 mV at 20 A"),
        ("60 A for ?", Kind.CURRENT_FOR_TIME, 'nothing after "for"', "60 A for 10 s"),
        ("5 xyzzy", Kind.MASS, 'no unit "xyzzy"', "Write for example  3 kg"),
        ("60 A", Kind.CURRENT_FOR_TIME, "no time", "60 A for 10 s"),
        ("60 A after 10 s", Kind.CURRENT_FOR_TIME, "not a current for a time", "60 A for 10 s"),
        ("60 A for 10 s", Kind.CURRENT, "second figure", "60 A"),
        ("60,5 A for 10 s", Kind.CURRENT_FOR_TIME, "comma", "60.5 A"),
        ("60 A for 10", Kind.CURRENT_FOR_TIME, '"10" has no unit', "10 s"),
    ],
)
def test_mistake_has_its_own_words(text: str, kind: Kind, message: str, advice: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read(text, kind)
    assert message in caught.value.message
    assert advice in caught.value.advice


@pytest.mark.parametrize(
    ("text", "kind", "marked"),
    [
        (" 36 ", Kind.VOLTAGE, "36"),
        ("60 A for 10 V", Kind.CURRENT_FOR_TIME, "10 V"),
        ("60,5 A for 10 s", Kind.CURRENT_FOR_TIME, "60,5 A"),
        ("48\x07 V", Kind.VOLTAGE, "\x07"),
    ],
)
def test_caret_marks_the_part_that_is_wrong(text: str, kind: Kind, marked: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read(text, kind)
    assert text[caught.value.start : caught.value.end] == marked


@pytest.mark.parametrize(
    "text", ["9" * 65 + " V", "9" * 100_000, "V" * 1_000_000], ids=["65", "100k-digits", "1M-letters"]
)
def test_longer_than_64_characters_is_refused_unread(text: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read(text, Kind.VOLTAGE)
    assert caught.value.end <= 64


@pytest.mark.parametrize("kind", list(Kind))
def test_example_of_every_kind_reads(kind: Kind) -> None:
    read(EXAMPLES[kind], kind)


def test_prefix_moves_the_point_exactly() -> None:
    assert read("35 mohm", Kind.RESISTANCE).value == read("0.035 ohm", Kind.RESISTANCE).value
    assert read("900 mm", Kind.LENGTH).value == read("0.9 m", Kind.LENGTH).value == read("90 cm", Kind.LENGTH).value


def test_where_case_tells_two_units_apart_the_first_letter_keeps_its_own() -> None:
    milli, mega, one = Unit("mA", "ampere", -3), Unit("MA", "ampere", 6), Unit("A", "ampere")
    folded = without_case({"mA": milli, "MA": mega, "A": one, "Amps": one})
    assert folded == {"ma": milli, "Ma": mega, "A": one, "a": one, "Amps": one, "amps": one}


def test_spelling_without_case_never_joins_two_units() -> None:
    for kind, known in spellings().items():
        for spelling, unit in known.items():
            assert read(f"1 {spelling}", kind).unit == unit.name
        for one, other in itertools.combinations(known, 2):
            if one[0] == other[0] and one.lower() == other.lower():
                assert known[one] is known[other]


@pytest.mark.parametrize(
    ("value_si", "kind", "system", "text"),
    [
        (58.8, Kind.VOLTAGE, "metric", "58.8 V"),
        (0.045, Kind.VOLTAGE, "metric", "45 mV"),
        (0.5, Kind.CURRENT, "metric", "0.5 A"),
        (0.008, Kind.CURRENT, "metric", "8 mA"),
        (0.114, Kind.RESISTANCE, "metric", "114 mohm"),
        (1e-3, Kind.CAPACITANCE, "metric", "1 mF"),
        (470e-6, Kind.CAPACITANCE, "metric", "470 uF"),
        (0.5588, Kind.LENGTH, "metric", "559 mm"),
        (0.9, Kind.LENGTH, "metric", "900 mm"),
        (1.25, Kind.LENGTH, "metric", "1.25 m"),
        (75e3, Kind.LENGTH, "metric", "75 km"),
        (2671 * 3600.0, Kind.ENERGY, "metric", "2671 Wh"),
        (17 * 3600.0, Kind.CHARGE, "metric", "17 Ah"),
        (303.15, Kind.TEMPERATURE, "us", "86 degF"),
        (0.034, Kind.FRACTION, "metric", "3.4 %"),
        (4.5 * 3600, Kind.TIME, "metric", "4.5 h"),
        (30.0, Kind.TIME, "metric", "30 s"),
        (0.5588, Kind.LENGTH, "us", "1 ft 10 in"),
        (0.0889, Kind.LENGTH, "us", "3 1/2 in"),
        (1.62, Kind.LENGTH, "us", "5 ft 3 3/4 in"),
        (0.0002, Kind.LENGTH, "us", "0.00787 in"),
        (40.0, Kind.LENGTH, "us", "131 ft"),
        (0.1, Kind.MASS, "us", "3.53 oz"),
        (3.048, Kind.LENGTH, "us", "10 ft"),
        (16093.44, Kind.LENGTH, "us", "10 mi"),
        (0.90718474, Kind.MASS, "us", "2 lb"),
        (0.44704 * 20, Kind.SPEED, "us", "20 mph"),
        (0.0, Kind.CURRENT, "metric", "0 A"),
        (1e-8, Kind.CURRENT, "metric", "0.00001 mA"),
    ],
)
def test_shown_for_people(value_si: float, kind: Kind, system: str, text: str) -> None:
    assert show(value_si, kind, system) == text


def test_shown_pairs_and_gauges() -> None:
    assert show_pair(60.0, 10.0, Kind.CURRENT_FOR_TIME) == "60 A for 10 s"
    assert [show_gauge("AWG", 12), show_gauge("AWG", -1), show_gauge("mm2", 0.75)] == ["12 AWG", "2/0 AWG", "0.75 mm2"]
    for kind in PAIRS:
        with pytest.raises(ValueError, match="cannot show"):
            show(1.0, kind)


def test_known_units_only() -> None:
    assert from_si(to_si(25.0, "degC"), "degC") == pytest.approx(25.0, abs=1e-12)
    with pytest.raises(ValueError, match="unknown unit"):
        to_si(1.0, "furlong")
    with pytest.raises(ValueError, match="unknown unit"):
        show(1.0, Kind.LENGTH, unit="furlong")
    with pytest.raises(ValueError, match="cannot show"):
        show(1.0, Kind.LENGTH, "imperial")


@pytest.mark.parametrize(("value", "unit", "si"), [(9.0, "mohm", 0.009), (43.0, "mV", 0.043), (71.0, "mm", 0.071)])
def test_a_figure_is_the_same_to_the_last_place_in_whichever_unit_it_is_written(
    value: float, unit: str, si: float
) -> None:
    """A limit in millivolts and the same in volts are equal: divided by 1000, for 43 times 0.001 is a little more."""
    assert to_si(value, unit) == si
    assert from_si(si, unit) == value
