"""Forms of a line, and lines that need one another: the schema for editors says of each what the reader says."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.api import load
from tests.editors import agrees
from tests.support import edited


@pytest.mark.parametrize(
    ("put", "taken"),
    [
        # Forms that are promised and were marked once.
        *(
            (put, True)
            for put in (
                {"packs.keel.fuse": "None"},
                {"packs.keel.fuse": "Inside, not confirmed"},
                {"packs.keel.fuse": "inside"},
                {"leads.main lead.run": "IN FRAME"},
                {"leads.main lead.run": ["In-Frame", "Beside 2 Others"]},
                {"leads.main lead.run": "beside keel lead"},
                {"ride": {"everyday": {"assist": "RIDER 80 W"}}},
                {
                    "ride": {
                        "everyday": {"known": [{"packs": ["keel"], "from": "100 %", "to": "20 %", "distance": "42 km"}]}
                    }
                },
                {"leads.main lead.gauge": "10\u00a0AWG"},
                {"leads.main lead.gauge": "70 mm2"},
                {"leads.main lead.gauge": "4/0 AWG"},
                {"packs.keel.discharge": {"continuous": "40 A", "peak": "60 A for 10 s"}},
                {"joiners.yoke.inlets": ["XT90 pin", "XT90 pin ?"]},
                {"packs.keel.label": "Freighter 52 V 20 Ah"},
                {"packs.keel.label": "52  V"},
                {"packs.keel.label": "spare"},
                {"joiners.yoke.type": "diode ?"},
                {"leads.main lead.direct": "no"},
                {"measured": [{"date": "2028-02-29", "part": "joiners.Yoke", "what": "blocks", "value": "yes"}]},
                {"measured": [{"date": "2027-05-14", "part": "packs.keel.fuse", "what": "fuse", "value": "40 A"}]},
                {"measured": [{"date": "2027-05-14", "part": "bike", "what": "temperature", "value": "-4 degC"}]},
            )
        ),
        # What the reader refuses.
        *(
            (put, False)
            for put in (
                {"leads.main lead.gauge": "mm2 4"},
                {"leads.main lead.gauge": "60 AWG"},
                {"leads.main lead.gauge": "0.001 AWG"},
                {"leads.main lead.gauge": "120 mm2"},
                {"leads.main lead.gauge": "0.05 mm2"},
                {"leads.main lead.length": "5000 m"},
                {"leads.main lead.to": "+5 A"},
                {"leads.main lead.to": "-"},
                {"leads.main lead.from": "controller"},
                {"leads.main lead.from": "a name of many more letters than forty are"},
                {"leads.main lead.direct": "yes"},
                {"packs.keel.discharge": {"continuous": "40 A", "peak": "60Afor10s"}},
                {"packs.keel.label": "480000 V"},
                {"packs.keel.label": "48_V"},
                {"packs.keel.label": "n/a"},
                {"packs.keel.like": "pannier", "packs.keel.part": "frame pack"},
                {"packs.keel/2": {"label": "52 V"}},
                {"packs.none": {"label": "52 V"}},
                {"packs.keel.place": "seat tube"},
                {"joiners.yoke.inlets": ["XT90 pin"]},
                {"joiners.yoke.inputs": "3", "joiners.yoke.inlets": ["XT90 pin", "XT90 pin"]},
                {"joiners.yoke.type": "diode"},
                {"joiners.yoke.type": "plain"},
                {"joiners.yoke.makes": "break"},
                {"joiners.yoke.drop": "45 mV at 20 A"},
                {"joiners.yoke.like": "yoke"},
                {"joiners.yoke.charge_port": "none ?"},
                {"measured": [{"date": "2027-02-29", "part": "bike", "what": "voltage", "value": "?"}]},
                {"measured": [{"date": "2027-02-30", "part": "bike", "what": "voltage", "value": "54 V"}]},
                {"measured": [{"date": "2027-02-03", "part": "yoke", "what": "voltage", "value": "54 V"}]},
                {"measured": [{"date": "2027-02-03", "part": "racks2.x", "what": "voltage", "value": "54 V"}]},
                {"measured": [{"date": "2027-02-03", "part": "places.x", "what": "voltage", "value": "54 V"}]},
                {"measured": [{"date": "2027-02-03", "part": "bike", "what": "voltage", "value": "54 A"}]},
                {"measured": [{"date": "2027-02-03", "part": "bike", "what": "voltage", "value": "-54 V"}]},
                {"measured": [{"date": "2027-02-03", "part": "joiners.yoke", "what": "blocks", "value": "54 V"}]},
                {"measured": [{"date": "2027-02-03", "part": "bike", "what": "voltage ?", "value": "54 V"}]},
                {"ride": {"everyday": {"hills": "8 m per km", "gpx": "round.gpx"}}},
                {"ride": {"everyday": {"assist": "rider 80 kg"}}},
                {"ride": {"everyday": {"assist": "rider 80000 W"}}},
                {
                    "ride": {
                        "everyday": {"known": {"packs": ["keel"], "from": "100 % ?", "to": "20 %", "distance": "42 km"}}
                    }
                },
            )
        ),
    ],
    ids=str,
)
def test_a_form_and_what_belongs_together_is_said_alike(put: dict[str, Any], taken: bool) -> None:
    text = edited("skerry-long-tail", put)
    assert agrees(text) is taken
    assert (not isinstance(load(text), list)) is taken


PLAIN = {"joiners.yoke.type": "plain"}
RIDDEN = {"packs": ["keel"], "from": "100 %", "to": "20 %", "distance": "42 km"}


@pytest.mark.parametrize(
    ("put", "line"),
    [
        ({"ride": {"everyday": {"known": [RIDDEN | {"distance": "LINE"}]}}}, "42 km"),
        ({"ride": {"everyday": {"known": [RIDDEN | {"from": "LINE"}]}}}, "100 %"),
        ({"ride": {"everyday": {"known": [RIDDEN | {"to": "LINE"}]}}}, "20 %"),
        ({"places": {"tube": {}, "motor": {}}, "runs": [{"between": ["tube", "motor"], "length": "LINE"}]}, "450 mm"),
        (PLAIN | {"joiners.yoke.bonded": {"by": "LINE", "charged": "together"}}, "0.1 V"),
    ],
    ids=["distance", "from", "to", "run", "bond"],
)
def test_what_a_part_means_nothing_without_is_not_guessed(put: dict[str, Any], line: str) -> None:
    """The figure by itself is read, and the same with a question mark is refused, by the reader and by the schema."""
    text = edited("skerry-long-tail", put, ("joiners.yoke.blocks_in",) if PLAIN.items() <= put.items() else ())
    for said, taken in ((line, True), (f"{line} ?", False)):
        found = text.replace("LINE", said)
        assert (not isinstance(load(found), list), agrees(found)) == (taken, taken), said
