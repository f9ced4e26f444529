"""The charging card, pair by pair: why a charger may not go on a pack, what is cautioned of, what is left open, and how
packs of chargers in joiners are told; figures by hand."""

from __future__ import annotations

from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.charging.card import ChargingCard, card
from packyoke.analysis.charging.order import Refill, lag_share, plans, times
from packyoke.analysis.charging.plugs import called_family, plug_family, same_plug
from packyoke.buildfile.reading import load
from packyoke.core.findings import Severity
from packyoke.model import Build
from packyoke.verdict.check import check
from tests.support import edited

ZERO_C = 273.15


def case_of(put: dict[str, Any] | None = None, drop: tuple[str, ...] = (), base: str = "skerry-long-tail") -> Case:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    return Case(build)


def reasons(found: ChargingCard, charger: str, pack: str) -> tuple[str, list[tuple[Any, ...]]]:
    """The verdict on a pair, and kind, weight, figure, limit and other part of each reason."""
    pair = next(each for each in found.pairings if (each.charger, each.pack) == (charger, pack))
    figures = [tuple(round(each, 3) if isinstance(each, float) else each for each in why) for why in pair.reasons]
    return pair.verdict, figures


PORT = {"current": "5 A", "blocks": "each pack", "inlet": "XT60 socket"}
THROUGH = {"chargers.counter.through": "yoke"}
AT_PORT = THROUGH | {"joiners.yoke.charge_port": PORT}
OWN = {"packs.keel.charge": "none", "packs.keel.charge_inlet": "5.5 mm barrel socket"}
SEPARATE = {"charge_path": "separate", "data": "none", "wakes": "always"}
OTHER = {"output": "67 V", "current": "2 A", "plug": "5.5 mm barrel", "fits": ["pannier"]}
ONLY_PANNIER = {"chargers.counter.fits": ["pannier"]}
FITS = ("chargers.counter.fits",)
XLR = {"packs.keel.charge_inlet": "XLR 3 socket"}
BIG = {"chargers.counter.plug": "dock plug"}
"""Of which nobody says what it bears."""
OWN_BIG = {"packs.keel.charge": "none", "packs.keel.charge_inlet": "dock plug socket"} | BIG


def barrel(weight: str, amps: float) -> tuple[Any, ...]:
    """What is said of more current than the 5 A of a 5.5 mm barrel."""
    return ("contact", weight, amps, 5.0, "5.5 mm barrel")


@pytest.mark.parametrize(
    ("put", "drop", "verdict", "why"),
    [
        ({}, (), "yes", []),
        # What it is not for is told once, and nothing more of it is looked at.
        (ONLY_PANNIER | {"chargers.counter.current": "9 A"}, (), "no", [("not listed", "no", 0.0, 0.0, "")]),
        (ONLY_PANNIER, ("chargers.counter.output",), "no", [("not listed", "no", 0.0, 0.0, "")]),
        (ONLY_PANNIER | {"chargers.counter.output": "55.8 V"}, (), "no", [("too low", "no", 55.8, 58.8, "")]),
        (ONLY_PANNIER | {"chargers.counter.output": "55.9 V"}, (), "no", [("not listed", "no", 0.0, 0.0, "")]),
        (ONLY_PANNIER | {"chargers.counter.output": "59.2 V"}, (), "no", [("too high", "no", 59.2, 58.8, "")]),
        # 67 V on 14 cells are 4.786 V each, of at most 4.25 V.
        (
            ONLY_PANNIER | {"chargers.counter.output": "67 V"},
            (),
            "no",
            [("dangerous", "no", 4.786, 4.25, ""), ("not listed", "no", 0.0, 0.0, "")],
        ),
        (XLR, FITS, "no", [("another plug", "no", 0.0, 0.0, "")]),
        (THROUGH, (*FITS, "leads.keel lead"), "no", [("not behind", "no", 0.0, 0.0, "yoke")]),
        ({"packs.keel.condition": "wet"}, (), "no", [("unsound", "no", 0.0, 0.0, "wet")]),
        # Of what it is for, all that stands against it is told.
        (
            {"packs.keel.condition": "wet", "chargers.counter.current": "6.1 A"},
            (),
            "no",
            [("unsound", "no", 0.0, 0.0, "wet"), ("too much current", "no", 6.1, 6.0, ""), barrel("caution", 6.1)],
        ),
        # 0.5 % above full charge is 59.094 V; 4.25 V a cell are 59.5 V.
        ({"chargers.counter.output": "59.0 V"}, (), "yes", []),
        ({"chargers.counter.output": "59.1 V"}, (), "no", [("too high", "no", 59.1, 58.8, "")]),
        ({"chargers.counter.output": "59.5 V"}, (), "no", [("too high", "no", 59.5, 58.8, "")]),
        ({"chargers.counter.output": "59.6 V"}, (), "no", [("dangerous", "no", 4.257, 4.25, "")]),
        # 1 % below is 58.212 V, 5 % below 55.86 V.
        ({"chargers.counter.output": "58.3 V"}, (), "yes", []),
        ({"chargers.counter.output": "58.2 V"}, (), "yes", [("never full", "note", 58.2, 58.8, "")]),
        ({"chargers.counter.output": "55.9 V"}, (), "yes", [("never full", "note", 55.9, 58.8, "")]),
        ({"chargers.counter.output": "55.8 V"}, (), "yes", [("never full", "caution", 55.8, 58.8, "")]),
        # 18 % below is 48.216 V.
        ({"chargers.counter.output": "48.3 V"}, (), "yes", [("never full", "caution", 48.3, 58.8, "")]),
        ({"chargers.counter.output": "48.2 V"}, (), "yes", [("hardly charged", "caution", 48.2, 58.8, "")]),
        ({"chargers.counter.current": "6 A"}, (), "yes", [barrel("caution", 6.0)]),
        (BIG | {"chargers.counter.current": "6 A"}, (), "yes", []),
        (BIG | {"chargers.counter.current": "6.1 A"}, (), "no", [("too much current", "no", 6.1, 6.0, "")]),
        # A barrel carries 5 A; 1.4 x as much is twice the heat.
        (BIG | {"packs.keel.charge": "9 A", "chargers.counter.current": "9 A"}, (), "yes", []),
        ({"packs.keel.charge": "9 A", "chargers.counter.current": "7 A"}, (), "yes", [barrel("caution", 7.0)]),
        ({"packs.keel.charge": "9 A", "chargers.counter.current": "7.1 A"}, (), "no", [barrel("no", 7.1)]),
        # A socket of its own: half of 20 Ah an hour is the most that such packs take.
        (OWN_BIG | {"chargers.counter.current": "10 A"}, (), "yes", [("own socket", "note", 0.0, 0.0, "")]),
        (OWN_BIG | {"chargers.counter.current": "10.1 A"}, (), "yes", [("own socket fast", "caution", 10.1, 10.0, "")]),
        (OWN_BIG, ("chargers.counter.current",), "yes", [("own socket", "note", 0.0, 0.0, "")]),
        (OWN, ("chargers.counter.current",), "not known", [("own socket", "note", 0.0, 0.0, "")]),
        (AT_PORT | {"chargers.counter.current": "5 A"}, (), "yes", []),
        (
            AT_PORT | {"chargers.counter.current": "5.1 A"},
            (),
            "no",
            [("port too small", "no", 5.1, 5.0, "yoke"), barrel("caution", 5.1)],
        ),
        (AT_PORT | {"packs.keel.bms": SEPARATE}, (), "no", [("not at the outlet", "no", 0.0, 0.0, "yoke")]),
        ({"packs.keel.bms": SEPARATE}, (), "yes", []),
        (THROUGH, (), "no", [("blocked", "no", 0.0, 0.0, "yoke")]),
    ],
)
def test_what_is_said_of_the_counter_charger_on_keel(
    put: dict[str, Any], drop: tuple[str, ...], verdict: str, why: list[tuple[Any, ...]]
) -> None:
    """keel: 14 NMC cells, 58.8 V full, 6 A."""
    assert reasons(card(case_of(put, drop)), "counter", "keel") == (verdict, why)


def test_a_plug_that_goes_into_a_pack_it_is_not_for_is_told_beside_why_not() -> None:
    kept_off = [("dangerous", "no", 4.786, 4.25, ""), ("not listed", "no", 0.0, 0.0, "")]
    assert reasons(card(case_of({"chargers.other": OTHER})), "other", "keel") == (
        "no",
        [*kept_off, ("same plug", "caution", 0.0, 0.0, "")],
    )
    apart = OTHER | {"plug": "XLR 3"}
    assert reasons(card(case_of({"chargers.other": apart})), "other", "keel") == ("no", kept_off)


@pytest.mark.parametrize(
    ("base", "celsius", "put", "why"),
    [
        ("skerry-long-tail", -1, {}, [("too cold", "no", 0.0, 0.0, "")]),
        ("skerry-long-tail", 0, {}, [("cold: half current", "no", 4.0, 3.0, "")]),
        ("skerry-long-tail", 5, {}, [("cold: half current", "no", 4.0, 3.0, "")]),
        # A socket of its own states no limit, and half of nothing stated is no figure; at 4.10 V a cell none is needed.
        ("skerry-long-tail", 5, OWN, [("own socket", "note", 0.0, 0.0, ""), ("cold: own socket", "no", 0.0, 0.0, "")]),
        ("skerry-long-tail", 9.9, {}, [("cold: half current", "no", 4.0, 3.0, "")]),
        ("skerry-long-tail", 10, {}, []),
        ("skerry-long-tail", 44.9, {}, []),
        ("skerry-long-tail", 45, {}, [("warm: less voltage", "no", 4.2, 4.15, "")]),
        ("skerry-long-tail", 49.9, {}, [("warm: less voltage", "no", 4.2, 4.15, "")]),
        ("skerry-long-tail", 50, {}, [("too hot", "no", 0.0, 0.0, "")]),
        # Less voltage is for layered oxides: iron phosphate takes half the current, and has no figure above 45 degC.
        ("foghorn-lfp", 9, {"chargers.quay.current": "3.5 A"}, []),
        ("foghorn-lfp", 9, {"chargers.quay.current": "3.6 A"}, [("cold: half current", "no", 3.6, 3.5, "")]),
        ("foghorn-lfp", 44, {}, []),
        ("foghorn-lfp", 46, {}, [("warm: other cells", "no", 0.0, 0.0, "LFP")]),
    ],
)
def test_what_the_cold_and_the_heat_leave(
    base: str, celsius: float, put: dict[str, Any], why: list[tuple[Any, ...]]
) -> None:
    """0 to 10 degC at half the current, 45 to 50 degC at 4.15 V (JEITA). keel takes 6 A, port 7 A."""
    case = case_of(put, base=base)
    charger, pack = next(iter(case.build.chargers)), next(iter(case.build.packs))
    verdict, said = reasons(card(case, (), None, celsius + ZERO_C), charger, pack)
    assert said == why
    assert (verdict == "no") == any(each[1] == "no" for each in why)


LABEL = {"packs.keel.label": "48 V", "chargers.counter.fits": ["keel"], "packs.pannier.series": "13"}
PLUG_OF_KEEL = {"output": "67.5 V", "current": "2 A", "plug": "5.5 mm barrel", "fits": ["pannier"]}


@pytest.mark.parametrize(
    ("put", "charger", "verdict", "why"),
    [
        # 12 to 15 cells of 4.2 V: full at 50.4 to 63 V. 49.5 V are 1.8 % too little for the least of them, 45.1 V 10 %,
        # 41.3 V more than 18 %.
        ({"chargers.counter.output": "49.5 V"}, "counter", "yes", [("never full, whatever", "note", 0.0, 0.0, "")]),
        ({"chargers.counter.output": "45.1 V"}, "counter", "yes", [("never full, whatever", "caution", 0.0, 0.0, "")]),
        (
            {"chargers.counter.output": "41.3 V"},
            "counter",
            "yes",
            [("hardly charged, whatever", "caution", 0.0, 0.0, "")],
        ),
        # It may be too much, or may just do.
        ({"chargers.counter.output": "53.1 V"}, "counter", "not known", []),
        # Too much for each, and its plug goes in whatever they are.
        (
            {"chargers.other": PLUG_OF_KEEL},
            "other",
            "no",
            [("whatever", "no", 0.0, 0.0, ""), ("same plug", "caution", 0.0, 0.0, "")],
        ),
    ],
)
def test_what_is_said_of_a_pack_of_which_only_the_label_is_known(
    put: dict[str, Any], charger: str, verdict: str, why: list[tuple[Any, ...]]
) -> None:
    """No figure rests on a value that was only tried, and what goes on a pack is not said not to fit."""
    found = card(case_of(LABEL | put, ("packs.keel.series",)))
    assert reasons(found, charger, "keel") == (verdict, why)


@pytest.mark.parametrize(
    ("put", "drop", "assumed"),
    [
        ({}, (), set()),
        ({}, ("packs.keel.resistance",), {"packs.keel"}),
        # What is assumed of a pack that nothing may charge, or of anything else, changes no time.
        ({"packs.keel.condition": "wet", "packs.pannier.condition": "sound"}, ("packs.keel.resistance",), set()),
        ({}, ("joiners.yoke.resistance",), set()),
    ],
)
def test_what_times_rest_on(put: dict[str, Any], drop: tuple[str, ...], assumed: set[str]) -> None:
    assert {path for path, _ in card(case_of(put, drop)).assumed} == assumed


@pytest.mark.parametrize(("blocks", "least_h", "most_h"), [("each pack", 1.7, 2.0), ("nothing", 0.0, 0.9)])
def test_a_port_keeps_packs_apart_unless_it_blocks_nothing(blocks: str, least_h: float, most_h: float) -> None:
    """keel (20 Ah) at 20 % takes 4 A alone until it is level with pannier at 60 %: 8 Ah, a little less for what its
    resistance drops. Where nothing is kept apart pannier gives to it meanwhile, and they meet at 36 %."""
    case = case_of(THROUGH | {"joiners.yoke.charge_port": PORT | {"blocks": blocks}})
    (port,) = card(case, (), {"keel": 0.2, "pannier": 0.6}).ports
    assert (port.charger, port.joiner) == ("counter", "yoke")
    assert port.course.phases[0].packs == ("keel",)
    joins_s = next(phase.from_s for phase in port.course.phases if "pannier" in phase.packs)
    assert least_h * 3600 <= joins_s <= most_h * 3600


@pytest.mark.parametrize(
    ("start", "end", "fills"), [(0.0, 0.84, False), (0.8, 0.84, False), (0.9, 0.9, False), (0.98, 0.98, True)]
)
def test_a_pack_that_is_fuller_than_what_its_charger_fills_one_to_stays_so(
    start: float, end: float, fills: bool
) -> None:
    """57 V on 14 cells are 4.07 V each: 84 % of their charge, read off the curve of the shelf."""
    found = card(case_of({"chargers.counter.output": "57 V"}), ("keel",), {"keel": start}).best("keel")
    assert found is not None
    assert found.times is not None
    assert (round(found.times.end_fraction, 2), found.fills) == (end, fills)
    assert (found.times.full_s == 0.0) is (start > 0.84)


@pytest.mark.parametrize(
    ("start", "turns", "changes"),
    [
        ({}, ["keel", "pannier"], 1),
        ({"keel": 0.99}, ["keel", "pannier"], 1),
        ({"keel": 1.0}, ["pannier"], 0),
        ({"keel": 1.0, "pannier": 1.0}, [], 0),
    ],
)
def test_a_full_pack_has_no_turn_and_no_plug_change(start: dict[str, float], turns: list[str], changes: int) -> None:
    found = card(case_of(), (), start)
    assert sorted(turn.pack for plan in found.plans[:1] for turn in plan.turns) == turns
    assert [plan.changes for plan in found.plans[:1]] == [changes] * bool(turns)


@pytest.mark.parametrize(
    ("packs", "start"), [(("nobody",), {}), ((), {"nobody": 0.5}), ((), {"keel": 1.1}), ((), {"keel": -0.1})]
)
def test_a_pack_that_is_not_there_and_a_state_that_cannot_be_are_refused(
    packs: tuple[str, ...], start: dict[str, float]
) -> None:
    with pytest.raises(ValueError, match="no packs of this build, or states outside 0 to 1"):
        card(case_of(), packs, start)


def test_a_pack_that_only_the_port_fills_is_planned_by_hand_with_what_there_is() -> None:
    """56.2 V fill 14 cells to 4.01 V each: not full, and the only charger that somebody can plug into keel."""
    low = {"output": "56.2 V", "current": "4 A", "plug": "XLR 3", "fits": ["keel"]}
    (plan,) = card(case_of(AT_PORT | {"chargers.low": low})).plans
    assert [(turn.charger, turn.pack) for turn in plan.turns] == [("low", "keel")]


@pytest.mark.parametrize(
    ("kind", "drop", "verdict", "why", "asks"),
    [
        # Nothing known of it: its own voltage is asked for, whichever of its kind it is, and its own current.
        ({"fits": ["keel"]}, (), "not known", [], {("", "output_v"), ("", "current_a")}),
        ({"output": "58.8 V", "fits": ["keel"]}, (), "not known", [], {("", "current_a")}),
        ({"output": "58.8 V", "current": "4 A", "fits": ["keel"]}, (), "yes", [], set()),
        ({"output": "58.8 V", "current": "5 A", "fits": ["keel"]}, (), "yes", [], set()),
        (
            {"output": "58.8 V", "current": "5.1 A", "fits": ["keel"]},
            (),
            "no",
            [("too much current", "no", 5.1, 5.0, "")],
            set(),
        ),
        (
            {"output": "58.8 V", "current": "4 A", "fits": ["keel"]},
            ("packs.keel.condition",),
            "not known",
            [],
            {("packs.keel", "condition")},
        ),
    ],
)
def test_chargers_of_one_kind_are_each_told_what_is_asked_of_them(
    kind: dict[str, Any], drop: tuple[str, ...], verdict: str, why: list[tuple[Any, ...]], asks: set[tuple[str, str]]
) -> None:
    names = ("one", "two", "three")
    put = {f"chargers.{name}": kind for name in names} | {"packs.keel.charge": "5 A"}
    found = card(case_of(put, drop))
    for name in names:
        assert reasons(found, name, "keel") == (verdict, why)
        pair = next(each for each in found.pairings if (each.charger, each.pack) == (name, "keel"))
        assert {*pair.asks} == {(path or f"chargers.{name}", attr) for path, attr in asks}
        assert (pair.times is not None) == (verdict == "yes")


def test_a_split_lead_ties_only_the_packs_on_it() -> None:
    split = {"output": "54.6 V", "current": "2 A", "plug": "XLR 3", "fits": ["north", "south", "box"]}
    found = card(case_of({"chargers.split": split | {"y_lead": ["north", "south"]}}, base="breakwater-three-packs"))
    told = {pack: [why[0] for why in reasons(found, "split", pack)[1]] for pack in ("north", "box")}
    assert "split lead" in told["north"]
    assert "split lead" not in told["box"]


# Plugs and times


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("XT60", "xt-60 socket", True),
        ("XLR 3", "3-pin XLR plug", True),
        ("XLR 3", "XLR 4", False),
        ("5.5 mm barrel", "5,5 x 2.1 mm", True),
        ("5.5 mm barrel", "6.5 mm barrel", False),
        ("5.5 mm barrel", "DC 5525", True),
        # One that is called less exactly is not known to differ.
        ("barrel", "5.5 mm barrel", True),
        ("XLR", "XLR 3", True),
        ("barrel", "XLR", False),
    ],
)
def test_plugs_of_one_family(one: str, other: str, same: bool) -> None:
    assert same_plug(one, other) is same
    assert same_plug(other, one) is same


def test_the_words_that_tell_a_plug() -> None:
    assert plug_family("DC jack, barrel") == {"barrel"}
    assert plug_family("barrel 5.5 mm") == {"barrel", "5.5"}
    assert plug_family("XT60 socket") == {"xt", "60"}
    assert plug_family("red plug") == {"red", "plug"}
    assert plug_family("16 pin") == {"16"}
    assert called_family("5,5 x 2.1 mm", ["XT60", "5.5 mm barrel"]) == "5.5 mm barrel"
    assert called_family("GX16", ["XT60", "5.5 mm barrel"]) == "GX16"


@pytest.mark.parametrize(
    ("rate", "share"),
    [(0.1, 0.02), (0.2, 0.02), (0.35, 0.09), (0.5, 0.16), (0.75, 0.355), (1.0, 0.55), (2.0, 0.55)],
)
def test_how_much_longer_slow_cells_take(rate: float, share: float) -> None:
    """Straight between 0.02 at a fifth of the capacity an hour, 0.16 at half and 0.55 at all of it; level beyond."""
    assert lag_share(rate) == pytest.approx(share)


def test_slow_cells_take_no_longer_again_than_the_charge_itself() -> None:
    """4 A into 14 Ah are 0.2857 of it an hour: 0.02 + 0.0857/0.3 x 0.14 = 0.06 of 3.5 h. The last bit takes less."""
    whole, last = (
        times(Refill("a", ((0.0, 40.0), (1.0, 54.6)), 14 * 3600.0, 0.15, start), 4.0, 54.6) for start in (0.1, 0.99)
    )
    assert whole.lag_s == pytest.approx(0.06 * 3.5 * 3600)
    assert last.lag_s == last.full_s < whole.lag_s


def test_too_many_ways_are_handed_out_to_so_many_chargers_as_are_told() -> None:
    """3^11 ways are not tried. 11 packs take an hour on a or b, two on c: 11 h one by one, 6 h on a and b; on all three
    a takes 5 of them, b 4 and c 2."""
    times_s = {(charger, f"p{n}"): hours for n in range(11) for charger, hours in (("a", 1.0), ("b", 1.0), ("c", 2.0))}
    found = {plan.chargers: plan.finish_s for plan in plans(times_s)}
    assert found == {1: 11.0, 2: 6.0, 3: 5.0}


CHAIN = """
packyoke: 1
name: a Y-lead before a diode
packs: {PACKS}
joiners:
  guard: {type: diode, ceiling: 60 V, current: 30 A, inlets: XT60 pin, outlet: XT60 socket}
  y: {type: plain, ceiling: 60 V, current: 30 A, inlets: XT60 pin, outlet: XT60 socket}
leads:
  ahead: {from: a, to: guard}
  on: {from: guard, to: y}
  behind: {from: b, to: y}
  last: {from: y, to: controller}
controller: {inlet: XT60 pin}
chargers: {brick: {output: 54.6 V, current: 2 A}, other: {output: 54.6 V, current: 2 A}}
"""


PACK = (
    "{chemistry: NMC, series: 13, capacity: 10 Ah, outlet: XT60 socket, charge: 2 A, cells: energy, condition: sound, "
    "bms: {charge_path: common}}"
)


@pytest.mark.parametrize("packs", [f"a: {PACK}, b: {PACK}", f"b: {PACK}, a: {PACK}"], ids=["a first", "b first"])
def test_the_order_of_packs_in_the_file_changes_no_card(packs: str) -> None:
    """a charges b through the Y-lead, b does not charge a through the diode: in either order that is said. Of packs
    that take equally long the first by name is charged first."""
    build = load(CHAIN.replace("PACKS", packs), "case.yaml")
    assert isinstance(build, Build), build
    found = card(Case(build))
    assert [{*each} for each in found.joined] == [{"a", "b"}]
    assert [(turn.pack, turn.charger) for plan in found.plans for turn in plan.turns] == [
        ("a", "brick"),
        ("b", "brick"),
        ("a", "brick"),
        ("b", "other"),
    ]


@pytest.mark.parametrize(
    ("chargers", "first"),
    [
        ("brick: {}, other: {}", "brick"),
        ("other: {}, brick: {}", "brick"),
        ("no 9: {}, no 10: {}", "no 9"),
        ("no 10: {}, no 9: {}", "no 9"),
    ],
)
def test_of_equally_quick_chargers_the_first_by_name_is_named(chargers: str, first: str) -> None:
    head, _, _ = CHAIN.replace("PACKS", f"a: {PACK}, b: {PACK}").partition("chargers:")
    build = load(f"{head}chargers: {{{chargers}}}\n".replace("{}", "{output: 54.6 V, current: 2 A}"), "case.yaml")
    assert isinstance(build, Build), build
    found = card(Case(build))
    best = found.best("a")
    assert best is not None
    assert best.charger == first
    assert [plan.turns[0].charger for plan in found.plans] == [first, first]


BOND = {
    "chargers.c": "{output: 54.6 V, current: 5 A, plug: XLR 3, fits: [p1]}",
    "chargers.other": "{output: 54.6 V, current: 5 A, plug: XLR 3, fits: [p2]}",
}


@pytest.mark.parametrize(
    ("put", "packs", "start"),
    [
        (BOND, (), {}),
        (BOND, ("p1",), {}),
        (BOND | {"chargers.other.fits": []}, (), {}),
        (BOND, (), {"p1": 0.3, "p2": 0.5}),
    ],
)
def test_packs_that_are_joined_for_good_are_charged_as_one(
    put: dict[str, Any], packs: tuple[str, ...], start: dict[str, float]
) -> None:
    """30 Ah with 5 A are 6 h, at the end a little less flows; half of it where 0.4 are in them on the whole. One
    charger, one turn, never two at once."""
    found = card(case_of(put, base="bonded-front-load"), packs, start)
    best = found.best("p1")
    assert found.units == (("p1", "p2"),)
    assert found.unserved == ()
    assert best is not None
    assert best == found.best("p2")
    assert best.times is not None
    assert best.times.full_s / 3600.0 == pytest.approx(6.0 * (0.6 if start else 1.0), rel=0.02)
    ((turn,),) = [plan.turns for plan in found.plans]
    assert (turn.pack, turn.charger, turn.ends_s) == ("p1", "c", best.times.full_s)


def test_of_packs_joined_for_good_and_one_more_two_are_charged_in_turn() -> None:
    """As one pack of their sum beside the third."""
    third = {
        "packs.third": {"like": "p1"},
        "joiners.y": {"type": "ideal-diode"},
        "leads.m.to": "y",
        "leads.t": {"from": "third", "to": "y"},
        "leads.n": {"from": "y", "to": "controller"},
    }
    found = card(case_of(BOND | third | {"chargers.c.fits": ["p1", "third"]}, base="bonded-front-load"))
    assert found.units == (("p1", "p2"), ("third",))
    one, two = found.plans
    assert [turn.pack for turn in one.turns] == ["third", "p1"]
    assert one.finish_s / 3600.0 == pytest.approx(9.0, rel=0.02)
    assert {(turn.pack, turn.charger) for turn in two.turns} == {("p2", "other"), ("third", "c")}
    assert two.finish_s / 3600.0 == pytest.approx(6.0, rel=0.02)


AT_SOCKET = {"output": "54.6 V", "current": "4 A", "plug": "XLR 3", "fits": ["p1", "p2"]}


@pytest.mark.parametrize(
    ("more", "said"),
    [
        # c gives 5 A through the joiner, and the packs take 7 A.
        ({"d": AT_SOCKET}, {"c": [(9.0, 7.0, "d")], "d": [(9.0, 7.0, "c")]}),
        ({"d": AT_SOCKET | {"current": "2 A"}}, {}),
        ({"d": AT_SOCKET | {"current": "2.01 A"}}, {"c": [(7.01, 7.0, "d")], "d": [(7.01, 7.0, "c")]}),
        # Nothing flows from 37 V into a pack that is empty at 37 V.
        ({"d": AT_SOCKET | {"output": "37.0 V"}}, {}),
        ({"d": AT_SOCKET | {"output": "37.1 V"}}, {"c": [(9.0, 7.0, "d")], "d": [(9.0, 7.0, "c")]}),
        # Three sockets, and of chargers of one kind each is told of another one.
        (
            {each: AT_SOCKET | {"current": "1.5 A"} for each in "de"},
            {"c": [(8.0, 7.0, "d and e")], "d": [(8.0, 7.0, "c and e")], "e": [(8.0, 7.0, "c and d")]},
        ),
    ],
)
def test_chargers_that_are_only_together_too_much_are_told_on_both(
    more: dict[str, Any], said: dict[str, list[tuple[float, float, str]]]
) -> None:
    case = case_of({f"chargers.{name}": lines for name, lines in more.items()}, base="bonded-front-load")
    found = card(case)
    for name in case.build.chargers:
        for pack in ("p1", "p2"):
            verdict, why = reasons(found, name, pack)
            assert verdict == "yes"
            assert [each[2:] for each in why if each[0] == "not beside"] == said.get(name, [])
    cautioned = [each for each in check(case.build).findings if each.rule == "charger-current"]
    assert bool(cautioned) == bool(said), "the check says the same"


@pytest.mark.parametrize(
    ("lines", "verdict"),
    [
        ({"current": "4 A", "plug": "XLR 3"}, "not known"),
        ({"current": "4 A"}, "not known"),
        ({"output": "36.5 V", "current": "4 A", "plug": "XLR 3"}, "no"),
        ({"current": "4 A", "plug": "XLR 3", "fits": []}, "no"),
        ({"current": "7.1 A", "plug": "XLR 3"}, "no"),  # whatever its output: both take 7 A
    ],
)
def test_a_charger_of_which_nobody_knows_the_output_may_be_a_packs_own(lines: dict[str, Any], verdict: str) -> None:
    """At both ends of what it may be it suits none; between them it may."""
    found = card(case_of({"chargers.d": lines}, base="bonded-front-load"))
    assert {reasons(found, "d", pack)[0] for pack in ("p1", "p2")} == {verdict}


NEVER = {"packs.keel.charge": "none"}
XT60 = {"chargers.counter.plug": "XT60 pin"}


@pytest.mark.parametrize(
    ("put", "drop", "verdict", "kinds"),
    [
        (NEVER, (), "no", ["never"]),
        (NEVER | {"packs.keel.charge_inlet": "5.5 mm barrel socket"}, (), "yes", ["own socket"]),
        (XLR, (), "no", ["another plug"]),
        (XLR, ("chargers.counter.plug",), "yes", []),
        (XLR | XT60, (), "yes", []),  # common: it may as well go into the outlet
        (XLR | XT60 | {"packs.keel.bms": SEPARATE}, (), "no", ["discharge outlet"]),
        (XT60 | {"packs.keel.bms": SEPARATE}, (), "no", ["discharge outlet"]),
        (XT60, ("packs.keel.bms",), "not known", []),
        ({"packs.keel.bms": SEPARATE}, ("chargers.counter.plug",), "not known", []),
        ({"packs.keel.bms": SEPARATE}, (), "yes", []),
    ],
)
def test_a_charger_goes_into_a_socket_that_may_be_charged_or_not_at_all(
    put: dict[str, Any], drop: tuple[str, ...], verdict: str, kinds: list[str]
) -> None:
    case = case_of(put, drop)
    found, why = reasons(card(case), "counter", "keel")
    assert (found, [each[0] for each in why]) == (verdict, kinds)
    rules = ("charger-in-outlet", "ends-do-not-mate")
    told = [
        each.severity for each in check(case.build).findings if each.rule in rules and each.part == "chargers.counter"
    ]
    assert told == {"no": [Severity.STOP], "not known": [Severity.OPEN], "yes": []}[verdict], "the check says the same"
