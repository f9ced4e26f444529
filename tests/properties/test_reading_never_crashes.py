"""Whatever is typed: a tree or findings, a quantity or its mistake, and never another exception."""

from __future__ import annotations

import math
from unicodedata import normalize

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from packyoke.buildfile.reading.document import Document, Mapping, Node, Scalar, parse
from packyoke.core.findings import Finding, Severity
from packyoke.core.units import Kind, QuantityError, Reading, read, show, show_gauge, show_pair
from packyoke.page.caret import caret_lines

BUILD = """\
packyoke: 1
name: Skerry mail  # a comment
packs:
  keel:
    label: 52 V
    discharge: {continuous: 40 A, peak: 60 A for 10 s}
    fuse: {family: class T, rating: 40 A, voltage: 160 V}
leads:
  keel lead: {from: keel, to: controller, ends: [XT60 pin, 'XT90 socket'], gauge: "12 AWG"}
controller:
  voltage: {min: 39 V, max: 63 V}
"""
YAML_BITS = st.lists(
    st.sampled_from(
        [
            *"ab1:,-{}[]\n\t #\"'!|>%@`\\=~",
            *(
                "volts",
                ": ",
                ", ",
                "- ",
                "\n  ",
                "\n ",
                " #",
                "&x",
                "*x",
                "!!str ",
                "<<: ",
                "? ",
                "---\n",
                "...\n",
                "22,5 A",
            ),
            *("\r\n", "\x00", "\u2028", "\ufeff", "\u202e", "字", "e\u0301", "\ud800"),
        ]
    ),
    max_size=40,
).map("".join)
QUANTITY_BITS = st.lists(
    st.sampled_from(
        [
            *"0123456789.,-+/ '\"_?@%±–~#eE",
            *("V", "A", "Ah", "mohm", "Ω", "mm2", "AWG", " for ", " at ", " to ", "nan", "inf"),
        ]
    ),
    max_size=14,
).map("".join)
PAIRED = [Kind.CURRENT_FOR_TIME, Kind.CURRENT_AFTER_TIME, Kind.VOLTAGE_AT_CURRENT, Kind.SPEED_AT_VOLTAGE]
SIMPLE = [kind for kind in Kind if kind not in (*PAIRED, Kind.GAUGE, Kind.GAUGE_RANGE, Kind.MONEY)]


def judge(result: Document | list[Finding]) -> None:
    if isinstance(result, Document):
        if not result.mistakes:
            check_places(result.root, result)
            return
        result = result.mistakes
    assert result
    assert len(result) <= 101
    assert result == sorted(result, key=lambda finding: finding.span or (0,))
    for finding in result:
        assert (finding.rule, finding.severity) == ("unreadable", Severity.STOP)
        assert finding.span is not None
        assert min(finding.span) >= 1
        assert finding.message
        assert finding.do
        assert (finding.message + finding.do + finding.why + finding.field).isprintable()
        lines = caret_lines(finding)
        assert len(lines) in (0, 2)
        assert all(line.isprintable() and len(line) <= 150 for line in lines)


def check_places(node: Node, document: Document) -> None:
    """A plain text on one line stands in the file where its span says."""
    if isinstance(node, Scalar):
        span = node.span
        if node.plain and span.line == span.end_line and node.text:
            written = document.lines[span.line - 1][span.column - 1 : span.end_column - 1]
            assert normalize("NFC", written) == node.text  # accents typed in two characters are read as one
    elif isinstance(node, Mapping):
        for key, value in node.entries:
            check_places(key, document)
            check_places(value, document)
    else:
        for item in node.items:
            check_places(item, document)


@given(st.one_of(st.text(max_size=200), YAML_BITS))
@example("a: \ud800")
@example("\ufeff\ufeffa: 1")
@example("a: b\u2028c:d")
@example("'")
def test_any_text(text: str) -> None:
    judge(parse(text, "a.yaml"))


@given(st.binary(max_size=200))
@example(b"\xff\xfea\x00")
@example(b"\xef\xbb\xbf")
@example(b"a: \xc3")
def test_any_bytes(data: bytes) -> None:
    judge(parse(data, "a.yaml"))


@given(st.integers(0, len(BUILD)), st.integers(0, 30), YAML_BITS)
def test_any_slip_in_a_build(place: int, gone: int, typed: str) -> None:
    judge(parse(BUILD[:place] + typed + BUILD[place + gone :], "a.yaml"))


def test_the_build_itself_reads() -> None:
    assert isinstance(parse(BUILD, "a.yaml"), Document)


def attempt(text: str, kind: Kind) -> Reading | QuantityError:
    try:
        return read(text, kind)
    except QuantityError as error:
        return error


@given(st.one_of(st.text(max_size=70), QUANTITY_BITS), st.sampled_from(Kind))
@example("1/0 V", Kind.VOLTAGE)
@example("9" * 63 + "V", Kind.VOLTAGE)
@example("60 A for  ", Kind.CURRENT_FOR_TIME)
@example("0 mm2", Kind.GAUGE)
@example("²", Kind.VOLTAGE)
@example("①②", Kind.VOLTAGE)
def test_any_quantity(text: str, kind: Kind) -> None:
    result = attempt(text, kind)
    if isinstance(result, QuantityError):
        assert 0 <= result.start < result.end <= max(len(text), 1)
        assert result.advice
        assert (result.message + result.advice).isprintable()
    else:
        assert math.isfinite(result.value)
        assert result.second is None or math.isfinite(result.second)
        assert result.unit


@given(st.floats(1e-3, 1e5), st.sampled_from(SIMPLE), st.sampled_from(["metric", "us"]))
def test_what_is_shown_reads_back(value_si: float, kind: Kind, system: str) -> None:
    # three figures are shown: half of the last is at most 0.5 %; lengths are rounded to 1 mm, on a tape to 1/16 in
    offset = 273.15 if kind is Kind.TEMPERATURE else 0.0
    mark = {"metric": 0.5e-3, "us": 0.0254 / 32}[system] if kind is Kind.LENGTH else 0.0
    back = read(show(value_si + offset, kind, system), kind).value - offset
    if kind is Kind.TEMPERATURE and system == "us":  # of degF three figures are shown, and those begin elsewhere
        value_si, back = 1.8 * value_si + 32.0, 1.8 * back + 32.0
    assert back == pytest.approx(value_si, rel=5.001e-3, abs=mark + 1e-9)


@given(st.integers(1, 500), st.integers(1, 100), st.sampled_from(PAIRED))
def test_pair_reads_back(first: int, second: int, kind: Kind) -> None:
    reading = read(show_pair(float(first), float(second), kind), kind)
    assert reading.value == pytest.approx(first, rel=5.001e-3)
    assert reading.second == pytest.approx(second, rel=5.001e-3)


@given(st.sampled_from(["AWG", "SAE"]), st.integers(-3, 40))
def test_gauge_reads_back(family: str, size: int) -> None:
    reading = read(show_gauge(family, size), Kind.GAUGE)
    assert (reading.family, reading.value) == (family, size)


@given(st.decimals(0, 10_000, places=2, allow_nan=False))
def test_money_reads_back(amount: object) -> None:
    assert read(show(float(str(amount)), Kind.MONEY, unit="EUR"), Kind.MONEY).value == float(str(amount))


@given(
    st.integers(0, 10**6),
    st.sampled_from([("mV", "V"), ("mA", "A"), ("mohm", "ohm"), ("mAh", "Ah"), ("mm", "m"), ("g", "kg")]),
)
def test_a_thousandth_of_a_unit_is_the_same_quantity(thousandths: int, units: tuple[str, str]) -> None:
    kinds = {
        "V": Kind.VOLTAGE,
        "A": Kind.CURRENT,
        "ohm": Kind.RESISTANCE,
        "Ah": Kind.CHARGE,
        "m": Kind.LENGTH,
        "kg": Kind.MASS,
    }
    kind = kinds[units[1]]
    whole = f"{thousandths // 1000}.{thousandths % 1000:03}"
    assert read(f"{thousandths} {units[0]}", kind).value == read(f"{whole} {units[1]}", kind).value
