"""What is printed on packs and chargers, as somebody types it at `packyoke start`: which lines are made of it."""

from __future__ import annotations

import pytest

from packyoke.answers.start.draft import Draft
from packyoke.answers.start.labels import charger_of, label_of
from packyoke.answers.start.taking import Again
from tests.report.drafts import FIRST, SECOND, THIRD, drafted, refused


@pytest.mark.parametrize(
    ("text", "lines", "told"),
    [
        ("48 V", {"label": "48 V"}, ""),
        ("48V", {"label": "48 V"}, ""),
        ("48V 14Ah", {"label": "48 V", "capacity": "14 Ah"}, "48 V, 14 Ah"),
        ("48V14Ah", {"label": "48 V", "capacity": "14 Ah"}, "48 V, 14 Ah"),
        ("36 volts 13000 mAh", {"label": "36 V", "capacity": "13000 mAh"}, "36 V, 13000 mAh"),
        ("36 VDC 13 amp hours", {"label": "36 V", "capacity": "13 Ah"}, "36 V, 13 Ah"),
        ("48V 13S4P", {"label": "48 V", "series": "13"}, "48 V, 13S"),
        ("48V 13S 14S", {"label": "48 V"}, "48 V"),  # two counts are none
        ("48V NCA", {"label": "48 V", "chemistry": "NCA"}, "48 V, NCA"),
        ("48V Li-Ion", {"label": "48 V", "chemistry": "NMC ?"}, "48 V, NMC ?"),
        ("48V 14Ah maybe", {"label": "48 V ?", "capacity": "14 Ah ?"}, "48 V, 14 Ah, a guess"),
        # two voltages, a span, or two capacities: what is written stays, and one capacity is still one
        ("48V 54.6V 14Ah", {"label": "48V 54.6V 14Ah", "capacity": "14 Ah"}, "14 Ah; the rest stays as it was written"),
        (
            "36-42 V 14 mAh",
            {"label": "36-42 V 14 mAh", "capacity": "14 mAh"},
            "14 mAh; the rest stays as it was written",
        ),
        ("14Ah", {"label": "14 Ah", "capacity": "14 Ah"}, "14 Ah; the rest stays as it was written"),
        ("48V 14Ah 12Ah", {"label": "48V 14Ah 12Ah"}, ""),
        ("a red one", {"label": "a red one"}, ""),
        ("worn off", {}, "nothing printed"),
    ],
)
def test_what_is_printed_on_a_pack(text: str, lines: dict[str, str], told: str) -> None:
    draft = Draft("bike")
    draft.set_packs(1)
    assert label_of(FIRST)(draft, text) == told
    assert draft.parts[FIRST] == lines
    remarked = told.startswith(("48 V", "36 V")) and text != "36-42 V 14 mAh"
    assert ((FIRST, "label") in draft.remarks) is remarked  # what was printed stays beside what was made of it


def test_a_decimal_comma_is_asked_about() -> None:
    refused(label_of(FIRST), drafted(), "48V 14,5Ah", r"write a point:  14\.5")
    refused(charger_of(FIRST), drafted(), "54,6V", r"write a point:  54\.6")


def test_one_more_of_a_model_that_was_described() -> None:
    draft = drafted(3)
    assert label_of(SECOND)(draft, "same as first") == "like first"
    assert draft.parts[SECOND] == {"like": "first"}
    assert label_of(THIRD)(draft, "like the second one") == "like first"  # which is like the first
    assert label_of(SECOND)(drafted(3), "the same") == "like first"
    refused(label_of(THIRD), drafted(3), "same", "same as first")  # of two that were described
    refused(label_of(FIRST), drafted(3), "same", "The same as which")
    for text in ("same as third", "same as second", "same as fourth"):
        refused(label_of(SECOND), drafted(3), text, "described before this one")
    shared = drafted(3)
    charger_of(FIRST)(shared, "54.6V 4A")
    label_of(SECOND)(shared, "same as first")
    assert shared.parts["chargers.first charger"]["fits"] == "[first, second]"


@pytest.mark.parametrize(
    ("text", "output", "current", "told"),
    [
        ("54.6V 4A", "54.6 V", "4 A", ""),
        ("54.6 V, 4 A", "54.6 V", "4 A", ""),
        ("54.6V", "54.6 V", None, ""),
        ("54.6V 4000mA", "54.6 V", "4000 mA", ""),
        ("54.6 volts 4 amps", "54.6 V", "4 A", "54.6 V, 4 A"),
        ("54.6V 4A probably", "54.6 V ?", "4 A ?", "54.6 V, 4 A ?"),
        ("INPUT 230V 1A OUTPUT 54.6V 4A", "54.6 V", "4 A", "54.6 V, 4 A"),
    ],
)
def test_what_a_charger_puts_out(text: str, output: str, current: str | None, told: str) -> None:
    draft = drafted()
    assert charger_of(FIRST)(draft, text) == told
    assert draft.parts["chargers.first charger"].get("output") == output
    assert draft.parts["chargers.first charger"].get("current") == current
    assert draft.parts["chargers.first charger"]["fits"] == "[first]"
    assert draft.parts[FIRST]["charger_label"] == output


def test_what_is_not_clear_on_a_charger_is_not_taken() -> None:
    refused(charger_of(FIRST), drafted(), "{54.6 V}", "Only what stands on the label")
    refused(charger_of(FIRST), drafted(), "[54.6 V]", "Only what stands on the label")
    for text in ("54.6V 42V 4A", "54.6V 4A 2A", "54.6V 10"):
        try:
            told = charger_of(FIRST)(draft := drafted(), text)
        except Again:
            continue
        assert "nothing else was understood" in told
        assert "current" not in draft.parts["chargers.first charger"]


def test_one_charger_for_packs_that_are_alike() -> None:
    for draft in (drafted(1), drafted(2, alike=True)):
        charger_of(FIRST)(draft, "54.6V 4A")
        assert draft.parts["chargers.charger"] == {"output": "54.6 V", "current": "4 A"}
    draft = drafted(3)
    refused(charger_of(SECOND), draft, "same", "No charger was named before")
    charger_of(FIRST)(draft, "54.6V 4A")
    assert charger_of(SECOND)(draft, "same") == "the charger of first, 54.6 V"
    assert charger_of(THIRD)(draft, "ditto") == "the charger of second, 54.6 V"
    assert draft.parts["chargers.first charger"]["fits"] == "[first, second, third]"
    assert draft.parts[THIRD]["charger_label"] == "54.6 V"
    other = drafted(3)
    charger_of(FIRST)(other, "54.6V")
    charger_of(SECOND)(other, "42V")
    charger_of(THIRD)(other, "same")
    assert [other.parts[f"chargers.{each} charger"]["fits"] for each in ("first", "second")] == [
        "[first]",
        "[second, third]",
    ]
