"""A label that names cells, or how many in series, is held against what the file says of them."""

from __future__ import annotations

import pytest

from packyoke.buildfile import reading

SAME = {
    "LFP": ("LFP",),
    "LiFePO4": ("LFP",),
    "iron phosphate": ("LFP",),
    "LTO": ("LTO",),
    "NMC": ("NMC", "NCA", "LMO blend"),
}
"""What a label says, and the chemistries that a charger for it fits."""
CHEMISTRIES = ("NMC", "NCA", "LMO blend", "LFP", "LTO")


@pytest.mark.parametrize("said", SAME)
@pytest.mark.parametrize("chemistry", CHEMISTRIES)
def test_cells_on_a_label(said: str, chemistry: str) -> None:
    text = f"packyoke: 1\nname: x\npacks:\n  keel: {{label: 36 V {said}, chemistry: {chemistry}}}\n"
    found = reading.load(text, "bike.yaml")
    told = isinstance(found, list) and any("the label" in str(each) or "label" in each.field for each in found)
    assert told == (chemistry not in SAME[said]), found


@pytest.mark.parametrize(
    ("label", "series", "agrees"), [("48 V 13s4p", 13, True), ("48 V 13s", 14, False), ("36 V", 14, True)]
)
def test_cells_in_series_on_a_label(label: str, series: int, agrees: bool) -> None:
    text = f"packyoke: 1\nname: x\npacks:\n  keel: {{label: {label}, chemistry: NMC, series: {series}}}\n"
    assert isinstance(reading.load(text, "bike.yaml"), list) != agrees


def test_two_kinds_of_cells_on_one_label_name_none() -> None:
    text = "packyoke: 1\nname: x\npacks:\n  keel: {label: 36 V NMC or LFP, chemistry: LTO, series: 15}\n"
    assert not isinstance(reading.load(text, "bike.yaml"), list)
