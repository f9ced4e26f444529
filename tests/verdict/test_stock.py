"""Mends that can be made from the shelf come before those for which something has to be bought."""

from __future__ import annotations

import pytest

from packyoke.model import Fuse, Gauge, Joiner, Lead, Part
from packyoke.model.shop import ShelfItem, Wire
from packyoke.rules.outcome import Change, Mend
from packyoke.verdict.stock import shelf_first
from tests.support import EXAMPLES
from tests.verdict.test_layout import read

BUILD = read((EXAMPLES / "breakwater-three-packs.yaml").read_text(encoding="utf-8"))
LEAD, PACK_FUSE, JOINER = "leads.link", "packs.north.fuse", "joiners.first"


def part(kind: type[Part], **said: object) -> Part:
    like = {Lead: BUILD.leads["link"], Fuse: BUILD.packs["north"].fuse, Joiner: BUILD.joiners["first"]}
    return like[kind].but(**said) if kind in like else Wire(name="w", path="shelf.wires.w", span=LEAD_SPAN).but(**said)


LEAD_SPAN = BUILD.leads["link"].span
THICKER = Change(LEAD, "gauge", Gauge("AWG", 8))
FUSE = Change(PACK_FUSE, "rating_a", 20.0)


@pytest.mark.parametrize(
    ("change", "item", "there"),
    [
        (THICKER, part(Wire, gauge=Gauge("AWG", 8)), True),
        (THICKER, part(Wire, gauge=Gauge("AWG", 8), insulation="silicone"), True),
        (THICKER, part(Wire, gauge=Gauge("AWG", 8), insulation="PVC"), False),
        (THICKER, part(Wire, gauge=Gauge("AWG", 10)), False),
        (FUSE, part(Fuse, rating_a=20.0), True),
        (FUSE, part(Fuse, rating_a=25.0), False),
        (FUSE, part(Fuse, rating_a=20.0, family="MIDI"), False),
        (FUSE, part(Fuse, rating_a=20.0, voltage_v=None), True),
        (FUSE, part(Fuse, rating_a=20.0, voltage_v=500.0), True),
        (FUSE, part(Fuse, rating_a=20.0, voltage_v=32.0), False),
        (Change(JOINER, "type", "selector"), part(Joiner, type="selector"), True),
        (Change(JOINER, "type", "selector"), part(Joiner, type="diode"), False),
    ],
)
def test_what_is_on_the_shelf_comes_first(change: Change, item: Part, there: bool) -> None:
    build = BUILD.with_value("leads.link", "insulation", "silicone")
    fuse = build.packs["north"].fuse.but(family="ATO blade", voltage_v=58.0, rating_a=30.0, presence="fitted")
    build = build.but(packs={**build.packs, "north": build.packs["north"].but(fuse=fuse)})
    if isinstance(item, Fuse):
        item = item.but(family=item.family if item.family == "MIDI" else "ATO blade")
        if item.voltage_v not in (None, 32.0, 500.0):
            item = item.but(voltage_v=58.0)
    other = Mend("bought", (Change(LEAD, "gauge", Gauge("AWG", 2)),))
    mend = Mend("this", (change,))
    for stock, found in ((None, there), (3.0, there), (0, False)):
        shelf = (ShelfItem(section="wires", part=item, stock=stock),)
        told = [each.text for each in shelf_first(build.but(shelf=shelf), [other, mend])]
        assert told == (["this, on the shelf", "bought"] if found else ["bought", "this"])


def test_what_needs_nothing_bought_keeps_its_place() -> None:
    shelf = (ShelfItem(section="wires", part=part(Wire, gauge=Gauge("AWG", 8))),)
    free = Mend("set it", (Change("controller", "low_voltage_cut_v", 40.0),))
    mends = [Mend("bought", (Change(LEAD, "gauge", Gauge("AWG", 2)),)), free, Mend("this", (THICKER,))]
    build = BUILD.with_value(LEAD, "insulation", "silicone").but(shelf=shelf)
    assert [each.text for each in shelf_first(build, mends)] == ["set it", "this, on the shelf", "bought"]
    assert shelf_first(BUILD.but(shelf=()), mends) == mends
