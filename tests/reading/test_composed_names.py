"""A name is one name, whether its accents were typed as one character or as a letter and a mark behind it."""

from __future__ import annotations

from unicodedata import normalize

import pytest

from packyoke.answers.typed import pack_name, ride_name
from packyoke.api import load
from packyoke.model import Build
from packyoke.verdict.check import check
from tests.sheets import TODAY
from tests.support import base_text

TEXT = base_text("skerry-long-tail")
NAMES = ("k\u00e9el", "\u00c5land", "Gro\u00dfe T\u00fcr", "nh\u00e0 Vi\u1ec7t", "\u304c\u3093", "\ud55c\uae00")
"""Each of another block, written in form C."""


def named(name: str, others: str) -> str:
    """The example with `name` where its pack `keel` is described and `others` wherever it is spoken of."""
    first, rest = TEXT.split("  keel:", 1)
    return f"{first}  {name}:{rest.replace('keel', others)}"


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("forms", [("NFD", "NFD"), ("NFC", "NFD"), ("NFD", "NFC")])
def test_a_name_is_the_same_however_its_accents_were_typed(name: str, forms: tuple[str, str]) -> None:
    assert normalize("NFD", name) != name
    found = load(named(*(normalize(form, name) for form in forms)), "bike.yaml", today=TODAY)
    assert isinstance(found, Build), found
    assert next(iter(found.packs)) == name
    other = load(named(name, name), "bike.yaml", today=TODAY)
    assert isinstance(other, Build)
    assert check(found, today=TODAY).fingerprint == check(other, today=TODAY).fingerprint
    assert pack_name(found, normalize("NFD", name)) == name


def test_two_parts_of_one_name_in_two_forms_are_one_too_many() -> None:
    text = TEXT.replace("  pannier:", "  ke\u0301el:", 1).replace("  keel:", "  k\u00e9el:", 1)
    found = load(text, "bike.yaml", today=TODAY)
    assert not isinstance(found, Build)


def test_a_ride_is_found_in_either_form() -> None:
    ride = "ride:\n  caf\u00e9: {rider: 80 kg, speed: 20 km/h}\n"
    found = load(TEXT.partition("ride:")[0] + ride, "bike.yaml", today=TODAY)
    assert isinstance(found, Build), found
    assert ride_name(found, "cafe\u0301") == "caf\u00e9"


@pytest.mark.parametrize("sign", [*"\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c"])
def test_signs_that_turn_text_round_are_no_part_of_a_name(sign: str) -> None:
    found = load(named(f"ke{sign}el", f"ke{sign}el"), "bike.yaml", today=TODAY)
    assert not isinstance(found, Build)


@pytest.mark.parametrize("mark", ["\u0301", "q\u0301"])
def test_a_mark_without_its_own_character_is_refused_as_before(mark: str) -> None:
    """There is no one character for a q with an accent, nor for an accent by itself."""
    assert not isinstance(load(named(mark, mark), "bike.yaml", today=TODAY), Build)
