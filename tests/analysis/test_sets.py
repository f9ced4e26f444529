"""Packs that are joined for good are one in every set."""

from __future__ import annotations

from packyoke.analysis.harness.sets import every_set, units
from packyoke.buildfile.reading import load
from packyoke.model import Build
from packyoke.verdict.layout import sets_of
from tests.support import base_text, edited

BOND = {"joiners.y.bonded": {"by": "0.05 V", "charged": "together"}}


def build(text: str) -> Build:
    found = load(text, "x.yaml")
    assert isinstance(found, Build), found
    return found


def test_packs_are_units_of_their_own() -> None:
    bike = build(base_text("breakwater-three-packs"))
    assert units(bike) == (("north",), ("south",), ("box",))
    assert len(sets_of(bike)) == 7  # 2^3 - 1


def test_a_bonded_pair_is_one() -> None:
    bike = build(edited("quay-plain-trike", BOND))
    assert units(bike) == (("old", "new"),)
    assert sets_of(bike) == (("old", "new"),)


def test_a_bonded_pair_beside_another_pack() -> None:
    more = {
        **BOND,
        "packs.third.like": "old",
        "joiners.gate": {
            "type": "ideal-diode",
            "ceiling": "65 V",
            "current": "40 A",
            "inlets": "XT60 pin",
            "outlet": "XT60 socket",
            "blocks_in": "positive",
        },
        "leads.main lead.to": "gate",
        "leads.third lead": {"from": "third", "to": "gate", "length": "300 mm", "gauge": "12 AWG"},
        "leads.motor lead": {"from": "gate", "to": "controller", "length": "300 mm", "gauge": "12 AWG"},
    }
    bike = build(edited("quay-plain-trike", more))
    assert units(bike) == (("old", "new"), ("third",))
    assert set(sets_of(bike)) == {("old", "new", "third"), ("old", "new"), ("third",)}
    assert every_set(bike, (1,)) == (("old", "new"), ("third",))


def test_the_sets_of_the_file_count() -> None:
    bike = build(edited("quay-plain-trike", {**BOND, "sets": [["old", "new"]]}))
    assert sets_of(bike) == (("old", "new"),)
