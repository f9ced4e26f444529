"""What is typed for a quantity is read as what it means or refused; what is offered instead is that quantity."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest

from packyoke.api import load
from packyoke.core.findings import Finding
from packyoke.core.unit_names import PAIRS, spellings
from packyoke.core.units import Kind, QuantityError, Reading, read
from packyoke.model import Build

TABLE = Path(__file__).with_name("spellings.csv")
ROWS = [
    tuple(line.split("|")[:3])
    for line in TABLE.read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("# ")
]
SIMPLE = [kind for kind in Kind if kind not in PAIRS and kind not in (Kind.GAUGE, Kind.GAUGE_RANGE, Kind.MONEY)]
_LINE = re.compile(r"(?:Write|point:|decimal,|mean|or)  (.*?)(?=  |\Z| \?)")


def attempt(text: str, kind: Kind) -> Reading | QuantityError:
    try:
        return read(text, kind)
    except QuantityError as error:
        return error


def offered(advice: str) -> list[str]:
    """The lines of an advice that somebody would type; an example of another quantity is none."""
    if "for example" in advice:
        return []
    return [line.strip() for line in _LINE.findall(advice) if re.search("[0-9]", line)]


@pytest.mark.parametrize(("text", "kind", "meant"), ROWS, ids=[f"{kind}: {text}" for text, kind, _ in ROWS])
def test_spelling(text: str, kind: str, meant: str) -> None:
    found = attempt(text, Kind[kind])
    if isinstance(found, QuantityError):
        assert meant[0] in "!?", f"{found.message}: {found.advice}"
        assert meant == "?" or meant[1:] in f"{found.message} {found.advice}"
        for line in offered(found.advice):
            assert read(line, Kind[kind]), line
    else:
        assert meant[0] not in "!?", found
        assert found.value == pytest.approx(float(meant), rel=1e-8, abs=1e-18)


DECORATIONS = (
    lambda n, u: f"{n}{u}",
    lambda n, u: f"{n}  {u}",
    lambda n, u: f" {n} {u} ?",
    lambda n, u: f"+{n} {u}",
    lambda n, u: f"0{n} {u}",
    lambda n, u: f"{n}. {u}",
    lambda n, u: f"{n.replace('.', ',')} {u}",
    lambda n, u: f"{u} {n}",
    lambda n, u: f"{n} {u} ± 5 %",
    lambda n, u: f"{n}±1 {u}",
    lambda n, u: f"~{n} {u}",
    lambda n, u: f"{n}-{n}5 {u}",
    lambda n, u: f"{n}/{n}5 {u}",
    lambda n, u: f"2x{n} {u}",
    lambda n, u: f"{n} {u} max",
    lambda n, u: f"{n} {u}/{n}5 {u}",
    lambda n, u: f"<{n} {u}",
    lambda n, u: f"{n}e3 {u}",
    lambda n, u: f"{n}_0 {u}",
    lambda n, u: f"{n} 000 {u}",
    lambda n, u: f"{n},000 {u}",
    lambda n, u: f"{n}'000 {u}",
    lambda n, u: f"{n}{u}5",
    lambda n, u: f"({n} {u})",
    lambda n, u: f"{n} {u}.",
    lambda n, u: f"{n} {u} {n} {u}",
    lambda n, u: f"{n}",
    lambda n, u: f"{n} {u.upper()}",
    lambda n, u: f"{n} {u.lower()}",
    lambda n, u: f"{n}\u00a0{u}",
)


@pytest.mark.parametrize("kind", SIMPLE)
def test_decorated_quantities(kind: Kind) -> None:
    """The same quantity or a refusal; and what is offered has the digits that were typed, in their order."""
    dice = random.Random(kind.name)
    units = [name for name in spellings()[kind] if len(name) < 12]
    for _ in range(600):
        unit, number = dice.choice(units), dice.choice(("7", "12", "48", "3.5", "0.95", "250", "51.8"))
        plain = read(f"{number} {unit}", kind).value
        text = dice.choice(DECORATIONS)(number, unit)
        found = attempt(text, kind)
        if isinstance(found, QuantityError):
            for line in offered(found.advice):
                read(line, kind)
                digits = re.sub("[^0-9]", "", re.split(r"[^0-9.,]", line.strip("-"))[0])
                assert digits.strip("0") in re.sub("[^0-9]", "", text), (text, found.advice)
        else:
            shouted = text in (f"{number} {unit.upper()}", f"{number} {unit.lower()}")  # mA and MA are two units
            assert found.value == pytest.approx(plain, rel=1e-12) or shouted, text


def build(pack: str = "", controller: str = "") -> Build | list[Finding]:
    return load(f"packyoke: 1\nname: x\npacks:\n  keel: {{{pack}}}\ncontroller: {{{controller}}}\n")


@pytest.mark.parametrize(
    ("label", "volts"),
    [
        ("48 V", 48),
        ("48V", 48),
        ("48v", 48),
        ("Li-ion 52v", 52),
        ("Li-ion 52 V 20 Ah", 52),
        ("DC 48V", 48),
        ("36 volt pack", 36),
        ("E-36V", 36),
        ("13S4P 48 V", 48),
        ("48 V 960 Wh", 48),
        ("48 Vdc", 48),
        ("51.8 V", 51.8),
        ("Akku 51.8V 17Ah", 51.8),
        ("48V 48 V", 48),
        ("52000 mV", 52),
        ("no label", None),
        ("13S4P", "refused"),
        ("51,80 V", "51.80 V"),
        ("Li-ion 51,80 V", "51.80 V"),
        ("36-48 V", "36 V"),
        ("36/48V", "36 V"),
        ("36 – 48 V", "36 V"),
        ("36 to 48 V", "36 V"),
        ("36V/48V", "36 V"),
        ("48 V (54.6 V full)", "48 V"),
        ("Li-ion 36/48V", "36 V"),
        ("1.000.5 V", "refused"),
        ("048 V", "refused"),
        ("Li-ion 480 V", "refused"),
        ("48", "48 V"),
        ("48 VA", "refused"),
        ("Li-ion 48,0 V 17,5 Ah", "48.0 V"),
    ],
)
def test_label(label: str, volts: float | str | None) -> None:
    """A label says one voltage, none, or is asked about; never half of what is printed."""
    found = build(f"label: '{label}'")
    if isinstance(volts, str):
        assert isinstance(found, list), found.packs["keel"].label_v
        assert volts == "refused" or volts in found[0].do
    else:
        assert isinstance(found, Build)
        assert found.packs["keel"].label_v == volts


def test_a_guessed_label_is_a_guess() -> None:
    found = build("label: '48 V?'")
    assert isinstance(found, Build)
    assert found.packs["keel"].label_v is None
    assert found.guesses["packs.keel", "label_v"] == 48.0


@pytest.mark.parametrize(
    ("field", "text", "lines"),
    [
        ("capacitance", "1.000 uF", ["1000 uF", "1 uF"]),
        ("capacitance", "1.250 uF ?", ["1250 uF", "1.25 uF"]),
        ("capacitance", "1.234 uF", ["1234 uF", "1.2340 uF"]),
        ("capacitance", "1.000 mF", None),  # a farad is out of bounds
        ("battery_current", "25.000 A", None),
        ("power_limit", "1.000 W", ["1000 W"]),
    ],
)
def test_points_for_thousands(field: str, text: str, lines: list[str] | None) -> None:
    found = build(controller=f"{field}: {text}")
    assert isinstance(found, Build) == (lines is None)
    for line in lines or ():
        assert isinstance(found, list)
        assert line in found[0].do
        again = build(controller=f"{field}: {line}")
        assert isinstance(again, Build)
