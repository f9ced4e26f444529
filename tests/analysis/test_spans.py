"""What labels tell of a pack whose cells nobody has counted, against what packs are sold as (hand calculations)."""

import pytest

from packyoke.analysis.unknowns.spans import ends
from packyoke.api import check, load
from packyoke.core.findings import Severity
from packyoke.model import Build


def built(packs: dict[str, str], *, harness: str = "") -> Build:
    lines = ["packyoke: 1", "name: labels alone", "packs:", *(f"  {name}: {{{text}}}" for name, text in packs.items())]
    lines += ["joiners:", "  y: {type: plain}", "leads:"]
    lines += [f"  {name} lead: {{from: {name}, to: y{harness}}}" for name in packs]
    lines += ["  main: {from: y, to: controller}", "controller: {battery_current: 25 A}"]
    build = load("\n".join(lines) + "\n", "labels.yaml")
    assert isinstance(build, Build), build
    return build


@pytest.mark.parametrize(
    ("text", "attr", "expected"),
    [
        # 13 and 14 cells of 4.2 V are sold as 48 V; a label is no count, so one fewer and one more
        ("label: 48 V, chemistry: NMC", "series", (12, 13, 14, 15)),
        ("label: 48 V, chemistry: LFP", "series", (14, 15, 16, 17)),
        ("label: 36 V, chemistry: NMC", "series", (9, 10, 11)),
        # 44.4 V is on no list: 44.4 / 3.6 = 12.3
        ("label: 44.4 V, chemistry: NMC", "series", (11, 12, 13)),
        ("label: 48 V, chemistry: NMC", "full_charge_v", (12 * 4.2, 15 * 4.2)),
        # 54.6 / 13 = 4.20, 54.6 / 15 = 3.64; 19 and 20 cells of 2.8 V are 53.2 and 56 V, 21 are 58.8 V
        ("charger_label: 54.6 V", "chemistry", ("NMC", "NCA", "LMO blend", "LFP")),
        ("charger_label: 58.4 V", "chemistry", ("NMC", "NCA", "LMO blend", "LFP", "LTO")),
        ("charger_label: 42 V", "chemistry", ("NMC", "NCA", "LMO blend", "LTO")),
        # 13 x 2.5 V; 15 x 2.8 V is above 13 x 3.0 V
        ("charger_label: 54.6 V", "cut_off_v", (15 * 2.0, 15 * 2.8)),
        ("charger_label: 54.6 V, chemistry: NMC", "cut_off_v", (13 * 2.5, 13 * 3.0)),
        # 13 x 0.04 / 10 + 0.010 ohm; 15 x 0.20 / 10 + 0.025 ohm
        ("charger_label: 54.6 V, capacity: 10 Ah", "resistance_ohm", (0.062, 0.325)),
    ],
)
def test_what_labels_leave_open(text, attr, expected):
    build = built({"one": text, "two": "label: 48 V"})
    found = ends(build, build.packs["one"], attr)
    assert found == (pytest.approx(expected) if isinstance(expected[0], float) else expected)


@pytest.mark.parametrize("harness", ["", ", gauge: 12 AWG, length: 40 cm", ", length: 1.5 m"])
@pytest.mark.parametrize(
    "packs",
    [
        {"one": "charger_label: 54.6 V, capacity: 17.5 Ah", "two": "charger_label: 54.6 V, capacity: 14 Ah"},
        {"one": "label: 36 V, charger_label: 42 V, capacity: 10 Ah", "two": "charger_label: 42 V, capacity: 10 Ah"},
        dict.fromkeys(("one", "two"), "charger_label: 58.4 V, chemistry: LFP, capacity: 20 Ah"),
        dict.fromkeys(("one", "two", "three"), "label: 52 V, charger_label: 58.8 V, capacity: 20 Ah"),
        dict.fromkeys(("one", "two"), "series: 13, chemistry: NMC, capacity: 17.5 Ah"),
    ],
)
def test_packs_on_a_plain_joiner_are_a_stop_from_their_labels_alone(packs, harness):
    build = built(packs, harness=harness)
    stops = {each.rule for each in check(build).findings if each.severity == Severity.STOP}
    assert "packs-rush" in stops


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # 13 x 2.5 and 13 x 3.3 V
        ("series: 13, chemistry: NMC", (32.5, 42.9)),
        # the same share of the full charge: 2.5 / 4.2 and 3.3 / 4.2 of 16 x 3.65 = 58.4 V, of 20 x 2.8 = 56 V
        ("series: 16, chemistry: LFP", (34.76, 45.89)),
        ("series: 20, chemistry: LTO", (33.33, 44.0)),
        # whatever the cells are, 42 V are 42 V: at most 2 % apart by how many of them make up the voltage
        ("charger_label: 42 V", (25.0, 33.0)),
    ],
)
def test_where_a_controller_stops_follows_the_voltage_of_its_packs(text, expected):
    build = built({"one": text, "two": text})
    found = ends(build, build.controllers["controller"], "low_voltage_cut_v")
    assert found == pytest.approx(expected, rel=0.02 if "charger" in text else 1e-3)
