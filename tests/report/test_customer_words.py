"""The words of the sheet that a customer takes home, each at both sides of what decides it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from packyoke.analysis.case import Case
from packyoke.analysis.charging.card import card
from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.analysis.ride.reach import Note
from packyoke.answers.sheet import charging, customer, how_far
from packyoke.answers.sheet import customer_words as words
from packyoke.answers.sheet.called import called
from packyoke.answers.sheet.charging import ChargeTime
from packyoke.answers.sheet.customer import FirstPacks
from packyoke.answers.sheet.how_far import Distance
from packyoke.core.findings import Finding, Severity
from packyoke.model import Build
from packyoke.verdict.report import Assumed, Report
from tests.planning.bikes import build_of
from tests.report.test_range_words import far
from tests.sheets import chain_text
from tests.support import edited

NAME = "skerry-long-tail"


def built(put: dict[str, Any] | None = None, *drop: str) -> Build:
    return build_of(edited(NAME, put, drop))


BIKE, PLAIN = built(), built({"joiners.yoke.type": "plain"}, "joiners.yoke.blocks_in")
BOND = "{by: 0.1 V, charged: together}"


TWO_CIRCUITS = {
    "controllers": {name: {"battery_current": "10 A"} for name in ("rear", "front")},
    "leads.keel lead.to": "rear",
    "leads.pannier lead.to": "front",
}
"""Each pack drives a motor of its own: the plug of the one that is out is dead."""
ONE_CIRCUIT = ("controller", "joiners", "leads.main lead", "accessories")


def bonded() -> Build:
    """The two packs of one model, joined for good."""
    put = {"joiners.yoke.type": "plain", "joiners.yoke.bonded": BOND, "packs.pannier": "{like: keel}"}
    return built(put, "joiners.yoke.blocks_in")


def to_charge(build: Build) -> list[str]:
    return [*charging.how_to_charge(Case(build))]


@pytest.mark.parametrize(
    ("build", "how"),
    [
        (built(), "Each pack by itself, its own charger only, somebody there"),
        (build_of(chain_text(1)), "Each pack by itself, its own charger only, somebody there"),
        (bonded(), "Their own charger only, somebody there"),
    ],
)
def test_packs_that_are_never_parted_are_not_told_to_be_charged_by_themselves(build: Build, how: str) -> None:
    assert to_charge(build)[-1].startswith(how)


@pytest.mark.parametrize(
    ("seconds", "text"),
    # To half an hour, upwards; never less than one half.
    [
        (1.0, "½ h"),
        (1800.0, "½ h"),
        (1801.0, "1 h"),
        (3600.0, "1 h"),
        (3601.0, "1½ h"),
        (5400.0, "1½ h"),
        (7200.0, "2 h"),
    ],
)
def test_a_charging_time(seconds: float, text: str) -> None:
    assert charging.hours(seconds) == text


def test_few_of_many_names() -> None:
    assert [customer._few(each) for each in (["a"], ["a", "b", "c"], ["a", "b", "c", "d"], [*"abcde"])] == [
        "a",
        "a, b, c",
        "a, b, c, d",
        "a, b, c and 2 more",
    ]


def test_when_to_come_back() -> None:
    day = date(2026, 11, 25)
    for put, due in (
        (None, "November 2027"),
        ({"recheck": "2028-05"}, "May 2028"),
        ({"recheck": "2028-05-14"}, "14 May 2028"),
    ):
        assert customer._recheck(built(put), day) == f"Back to us by {due}, and after any change, fall or soaking."


def test_who_is_on_the_bike() -> None:
    def intro(build: Build) -> str:
        return customer.intro(build, called(build))

    assert intro(build_of(chain_text(1))).startswith("One pack: Pack a.")
    assert intro(BIKE).endswith("Either alone or both together may be plugged in.")
    assert intro(build_of(chain_text(3))).endswith("Any of them, in any mix, may be plugged in.")
    assert intro(built({"sets": "[[keel], [keel, pannier]]"})).endswith("Plug them in as in the table below.")
    assert intro(bonded()).endswith("They are joined for good: always both, as one.")


def test_the_reduced_drawing() -> None:
    found = customer.drawing(BIKE, called(BIKE))
    assert [(each.key, each.kind, each.name) for each in found.nodes] == [
        ("keel", "pack", "keel"),
        ("pannier", "pack", "pannier"),
        ("yoke", "joiner", "yoke"),
        ("controller", "controller", "motor"),
    ]
    assert found.words == "keel goes to yoke; pannier goes to yoke; yoke goes to motor."
    long = BIKE.but(joiners={"y" * 21: BIKE.joiners["yoke"].but(name="y" * 21)}, leads={})
    assert [each.name for each in customer.drawing(long, called(long)).nodes][2] == "joiner 1"
    short = BIKE.but(joiners={"y" * 20: BIKE.joiners["yoke"].but(name="y" * 20)}, leads={})
    assert [each.name for each in customer.drawing(short, called(short)).nodes][2] == "y" * 20
    own = built({"joiners.yoke": "{built_in: yes, inlets: XT90 pin}"}, "leads.main lead")
    assert customer.drawing(own, called(own)).words.endswith("yoke goes to motor.")
    assert len(customer.drawing(BIKE, called(BIKE)).edges) == 3


def together(build: Build) -> list[str]:
    return [*customer._together(Case(build), called(build))]


def test_how_packs_work_together() -> None:
    (waits,) = together(BIKE)
    assert waits.startswith("Charged full, ")
    assert words.WAITING in waits
    assert together(PLAIN) == [words.PLAIN]
    switched = built({"joiners.yoke.type": "selector"}, "joiners.yoke.blocks_in")
    assert together(switched) == [words.SELECTOR]
    (bond,) = together(bonded())
    assert bond.startswith("The packs at yoke are joined for good")


@pytest.mark.parametrize(
    ("put", "said"),
    [
        ({"packs.pannier": "{like: keel}"}, "Charged full, all work at once and go down together."),
        # 15 cells of LFP are full at 54.75 V, 13 of NMC at 54.6 V: half way down one of them carries nearly all.
        (
            {"packs.keel.series": "13", "packs.pannier": "{like: keel, chemistry: LFP, series: 15}"},
            words.UNEVEN,
        ),
        # 13 cells of one are full at 54.6 V, where 14 of the other still stand higher.
        ({}, None),
    ],
)
def test_who_works_first(put: dict[str, Any], said: str | None) -> None:
    build = built(put)
    found = customer._going_down(Case(build), called(build))
    if said is None:
        assert "first" in found or found.startswith("Charged full, all work")
    else:
        assert found == said


@pytest.mark.parametrize(
    ("first", "later", "said"),
    [
        (("a",), ("b",), "Charged full, a works first; b joins in later, level with it."),
        (("a",), ("b", "c"), "Charged full, a works first; b and c join in later, level with it."),
        (("a", "b"), ("c",), "Charged full, a and b work first; c joins in later, level with them."),
    ],
)
def test_one_works_and_two_work(
    first: tuple[str, ...], later: tuple[str, ...], said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(customer, "first_packs", lambda _: FirstPacks(first, later))
    assert customer._going_down(Case(BIKE), called(BIKE)) == said


def plugging(build: Build, *findings: Finding) -> list[str]:
    report = Report(file="f", verdict="caution", findings=findings, labels={})
    return [*customer._plugging(Case(build), called(build), report)]


def test_how_to_plug_in() -> None:
    found = plugging(BIKE)
    assert found[0] == words.SWITCH_OFF.format(order=words.ANY_ORDER)
    assert found[-2:] == [words.LIVE, words.DROPS_OUT]
    assert words.SPARK not in found
    assert plugging(PLAIN)[0] == words.SWITCH_OFF.format(order=words.SHOWN_ORDER)
    spark = Finding(rule="plug-in-spark", severity=Severity.CAUTION, part="controller", message="")
    assert words.SPARK in plugging(BIKE, spark)
    assert words.SPARK not in plugging(BIKE, spark.but(rule="other"))
    alone = plugging(build_of(chain_text(1)))
    assert alone[-2:] == [words.LIVE_ONE, words.GONE]
    for findings in ((), (spark,)):
        assert plugging(bonded(), *findings) == [
            words.STAY,
            "The packs at yoke are joined for good: charge them together, never part them.",
            words.GONE_JOINED,
        ]
    pulled = {"controller.switched_by": "plug", "packs.pannier": "{like: keel}"}
    bond = {"joiners.yoke.type": "plain", "joiners.yoke.bonded": BOND}
    assert words.SPARK in plugging(built(pulled | bond, "joiners.yoke.blocks_in"), spark)
    assert plugging(built(TWO_CIRCUITS, *ONE_CIRCUIT))[-2:] == [words.LIVE_ONE, words.DROPS_OUT]
    switched = built({"joiners.yoke.type": "selector"}, "joiners.yoke.blocks_in")
    assert plugging(switched)[-1] == words.DROPS_SWITCHED
    for wakes, told in words.WAKES.items():
        asleep = plugging(built({"packs.pannier.bms": f"{{charge_path: common, data: none, wakes: {wakes}}}"}))
        assert told.format(packs="pannier") in asleep
        in_order = words.SHOWN_ORDER if wakes in words.IN_ORDER else words.ANY_ORDER
        assert asleep[0] == words.SWITCH_OFF.format(order=in_order)


def rests(build: Build, system: str = "metric") -> list[str]:
    return [*customer._rests_on(Case(build), build, system)]


def test_what_it_rests_on() -> None:
    """27 kg are stamped on the rack, and the pack on it weighs 3.9 kg: 23.1 kg or 50.9 lb are left, rounded down."""
    found = rests(BIKE)
    assert found[0].startswith("The motor controller set to 25 A.")
    assert "23 kg is left for your load" in found[1]
    assert "50 lb is left" in rests(BIKE, "us")[1]
    assert (
        "its packs are not weighed" in rests(BIKE.but(packs={n: p.but(mass_kg=None) for n, p in BIKE.packs.items()}))[1]
    )
    nobody = BIKE.but(packs={name: pack.but(rack=None) for name, pack in BIKE.packs.items()})
    assert rests(nobody)[1].endswith("stamped on it: for your load.")
    bare = BIKE.but(racks={name: rack.but(limit_kg=None) for name, rack in BIKE.racks.items()})
    assert len(rests(bare)) == len(found) - 1
    assert "−5 to 30 °C" in rests(built({"coldest": "-5 degC", "warmest": "30 degC"}))[-1]


def test_what_nobody_measured() -> None:
    def told(build: Build, *assumed: Assumed) -> list[str]:
        return [*customer.unmeasured(build, called(build), assumed)]

    assert told(BIKE) == ["Nothing measured yet at the finished bike."]
    one = Assumed("packs.keel", "resistance", "120 mohm", "typical")
    assert told(BIKE, one)[1].endswith("(keel).")
    assert told(BIKE, one, one._replace(part="packs.pannier"))[1].endswith("(keel, pannier).")
    assert len(told(BIKE, one._replace(part="build"))) == 1
    assert len(told(BIKE, one._replace(field=""))) == 1
    assert told(BIKE, one._replace(field="", basis=words.COPIED))[1] == "Not measured: condition (keel)."
    assert "(motor controller)" in told(BIKE, one._replace(part="controller"))[1]
    many = [one._replace(field=f"field_{n}") for n in range(6)]
    assert told(BIKE, *many)[1].endswith("; and 1 more.")
    assert "more" not in told(BIKE, *many[:5])[1]
    reading = "{date: 2027-05-14, part: leads.main lead, what: drop, value: 48 mV, at: 20 A}"
    measured = built({"measured": f"[{reading}]"})
    assert told(measured)[0] == "1 reading taken at the finished bike, the last on 2027-05-14."
    older = reading.replace("2027", "2026").replace("main", "keel")
    assert told(built({"measured": f"[{reading}, {older}]"}))[0].startswith(
        "2 readings taken at the finished bike, the last on 2027"
    )


def test_every_caution_is_told() -> None:
    one = Finding(rule="r", severity=Severity.CAUTION, part="packs.keel", message="too cold", why="Because.")
    found = (
        one.but(accepted="as told"),
        one,
        one.but(part="packs.pannier"),
        one.but(severity=Severity.NOTE, message="x"),
    )
    report = Report(
        file="f", verdict="caution", findings=found, labels={"packs.pannier": "p" * 61, "packs.keel": "the keel"}
    )
    assert [*customer.agreed(report)] == [
        "the keel, pannier: too cold. Because.",
        "the keel: too cold. Accepted: as told.",
    ]
    whole = report.but(labels={"packs.pannier": "p" * 60})
    assert "p" * 60 in " ".join(customer.agreed(whole))


def charge_lines(*found: ChargeTime, build: Build = BIKE) -> list[tuple[str, str]]:
    return [(each.charger, each.packs) for each in charging.charge_lines(build, called(build), found)]


def test_chargers_and_their_times() -> None:
    keel, pannier = ChargeTime(("keel",), "counter", 7200.0), ChargeTime(("pannier",), "counter", 7200.0)
    assert charge_lines(keel, pannier) == [("counter (58.8 V)", "keel or pannier: about 2 h")]
    apart = charge_lines(keel, pannier._replace(time_s=3600.0))
    assert apart == [("counter (58.8 V)", "keel: about 2 h; pannier: 1 h")]
    unknown = charge_lines(keel._replace(time_s=None), pannier)
    assert unknown == [("counter (58.8 V)", "keel: time not known; pannier: about 2 h")]
    short = charge_lines(keel._replace(short_fraction=0.84), pannier)
    less = "then 84 % charged and not full: it goes less far"
    assert short == [("counter (58.8 V)", f"keel: about 2 h, {less}; pannier: 2 h")]
    assert charge_lines() == []
    assert charge_lines(keel._replace(charger="other")) == []
    assert charge_lines(keel, build=built(None, "chargers.counter.output"))[0][0] == "counter"
    through = built({"chargers.counter.through": "yoke"}, "chargers.counter.fits")
    assert charge_lines(keel, build=through)[0][0] == "counter (58.8 V) at yoke"


def test_how_to_charge() -> None:
    cold, warm = built({"coldest": "-5 degC"}), built({"coldest": "5 degC"})
    assert words.INDOORS.format(least=10) in to_charge(cold)
    assert words.INDOORS.format(least=10) not in to_charge(warm)
    assert words.NO_CHARGER not in to_charge(warm)
    assert words.NO_CHARGER in to_charge(built(None, "chargers"))
    assert words.CHARGED_AS_ONE in to_charge(bonded())
    assert words.CHARGED_AS_ONE not in to_charge(warm)


QUICK = "{{output: 58.8 V, current: {amps} A, plug: 5.5 mm barrel, fits: [{fits}]}}"


@pytest.mark.parametrize(
    ("put", "drop", "least"),
    [
        # Half of 6 A and of 4 A is what they take from 0 to 10 degC: 4 A are too much for either.
        ({}, (), 10),
        ({"chargers.counter.current": "2 A"}, (), 0),
        ({"chargers.counter.current": "2.1 A"}, (), 10),
        ({"chargers.counter.current": "3 A", "chargers.counter.fits": "[keel]"}, (), 0),
        ({"chargers.counter.current": "3.1 A", "chargers.counter.fits": "[keel]"}, (), 10),
        # One of two chargers is enough to be told.
        ({"chargers.counter.current": "2 A", "chargers.quick": QUICK.format(amps=2, fits="keel, pannier")}, (), 0),
        ({"chargers.counter.current": "2 A", "chargers.quick": QUICK.format(amps=4, fits="keel")}, (), 10),
        # What comes nobody knows.
        ({}, ("chargers",), 10),
    ],
)
@pytest.mark.parametrize("coldest", ["-5 degC", "5 degC"])
def test_from_which_temperature_on_packs_are_charged(
    put: dict[str, Any], drop: tuple[str, ...], least: int, coldest: str
) -> None:
    """What the page allows is what `charge` says yes to, at the lower end as in between."""
    build = built({**put, "coldest": coldest}, *drop)
    found = to_charge(build)
    assert f"awake, {least} to 40 °C" in found[-1]
    assert (words.INDOORS.format(least=least) in found) is (coldest == "-5 degC")
    if build.chargers:
        told, cold = (
            {
                (each.charger, each.pack)
                for each in card(Case(build), temperature_k=at_k).pairings
                if each.verdict == "yes"
            }
            for at_k in (293.15, 273.15 + least)
        )
        assert told
        assert told <= cold


@pytest.mark.parametrize(("build", "lines"), [(BIKE, 2), (bonded(), 1)])
@pytest.mark.parametrize(("volts", "short"), [(58.8, False), (58.5, False), (57.0, True)])
def test_a_charger_that_leaves_a_pack_short_of_full_is_told_with_it(
    build: Build, lines: int, volts: float, short: bool
) -> None:
    """14 cells, joined for good or each pack by itself: 57 V are 4.07 V each, of 4.2 V."""
    case = Case(build.with_value(build.chargers["counter"].path, "output_v", volts))
    assert [each.short_fraction is not None for each in charging.charge_times(case)] == [short] * lines


def test_packs_that_are_joined_for_good_are_charged_one_after_the_other_s_charge() -> None:
    both = {each.packs: each.time_s for each in charging.charge_times(Case(BIKE))}
    assert set(both) == {("keel",), ("pannier",)}
    assert all(each is not None and each > 3600.0 for each in both.values())
    (one,) = charging.charge_times(Case(bonded()))
    assert set(one.packs) == {"keel", "pannier"}
    assert one.time_s is not None
    alone = {each.packs: each.time_s for each in charging.charge_times(Case(built({"packs.pannier": "{like: keel}"})))}
    assert one.time_s == pytest.approx(2 * (alone["keel",] or 0.0), rel=0.05)


PORT = {"joiners.yoke.charge_port": "{current: 5 A, blocks: each pack, inlet: XT60 socket}"}
PORCH = "{output: 58.8 V, current: 4 A, through: yoke}"


@pytest.mark.parametrize(
    ("chargers", "together", "in_turn"),
    [
        ({"chargers": f"{{porch: {PORCH}}}"}, {"porch"}, False),
        ({"chargers.porch": PORCH}, {"porch"}, True),
        ({}, set(), True),
    ],
)
def test_a_charger_in_a_joiner_is_told_with_all_that_is_plugged_in_there(
    chargers: dict[str, str], together: set[str], in_turn: bool
) -> None:
    """Who has both packs on the bike waits for both: as long as for one after the other, within half an hour."""
    found = charging.charge_times(Case(built({**PORT, **chargers})))
    assert {each.charger for each in found if len(each.packs) > 1} == together
    for name in together:
        alone = [each.time_s or 0.0 for each in found if each.charger == name and len(each.packs) == 1]
        (both,) = (each.time_s for each in found if each.charger == name and len(each.packs) > 1)
        assert both == pytest.approx(sum(alone), abs=1800.0)
    assert any(words.BY_ITSELF in each for each in to_charge(built({**PORT, **chargers}))) is in_turn


def test_how_far_in_whole_kilometres() -> None:
    assert [how_far._distance(each, "metric") for each in (39_999.0, 40_000.0)] == ["39 km", "40 km"]
    assert [how_far._distance(each, "us") for each in (16_093.0, 16_093.44)] == ["9 mi", "10 mi"]
    assert how_far._reach(NoRundown("no curve", "packs.keel", "")) == words.NOT_KNOWN
    assert how_far._reach(far(ended="cannot deliver")) == words.TOO_WEAK
    assert how_far._reach(far(40.0, 60.0)) == Distance(40_000.0, 60_000.0)
    figure = how_far._figure(Distance(40_000.0, 60_000.0), 100_000.0, "metric")
    assert figure[:2] == ("40 km", "60 km")
    assert figure[2:] == (pytest.approx(0.4), pytest.approx(0.6))
    assert how_far._figure(words.TOO_WEAK, 1.0, "metric")[0] == words.TOO_WEAK


def test_of_many_lines_the_best_of_each_number_and_the_shortest_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seven lines of 15 sets of four packs: five have room, and of the others ten sets are counted."""
    a, b, c, d = packs = ("Pack a", "Pack b", "Pack c", "Pack d")
    km = {packs: 100.0, (a, b, c): 80.0, (a, b, d): 70.0, (a, b): 60.0, (a,): 30.0, (b,): 20.0, (c,): 10.0}
    figures: dict[tuple[str, ...], Distance | str] = {
        names: Distance(1e3 * far, 1e3 * far) for names, far in km.items()
    }
    monkeypatch.setattr(how_far, "ranges", lambda *_: (how_far.RideRange("everyday", "", figures),))
    build = build_of(chain_text(4))
    found = how_far.how_far(Case(build), called(build), "metric")
    assert found.sets == ((packs,), ((a, b, c),), ((a, b),), ((a,),), ((c,),))
    assert any("10 other sets" in note for note in found.notes)


@pytest.mark.parametrize(("packs", "rows"), [(1, False), (2, True)])
def test_which_row_to_take_is_said_where_there_are_several(packs: int, rows: bool) -> None:
    found = how_far.how_far(Case(build := build_of(chain_text(packs))), called(build), "metric")
    assert (len(found.lines) > 1) is rows
    assert (words.TAKE in found.notes) is rows


@pytest.mark.parametrize(
    ("packs", "same", "said"),
    [
        (1, [("Pack a",)], "Pack a"),
        (2, [("Pack a", "Pack b")], "both together"),
        (2, [("Pack a",), ("Pack b",)], "either alone"),
        (2, [("Pack b",)], "Pack b alone"),
        (3, [("Pack a", "Pack b", "Pack c")], "all three"),
        (3, [("Pack a",), ("Pack b",), ("Pack c",)], "any one alone"),
        (3, [("Pack a", "Pack b"), ("Pack a", "Pack c"), ("Pack b", "Pack c")], "any two"),
        (3, [("Pack a", "Pack b"), ("Pack a", "Pack c")], "Pack a + Pack b or Pack a + Pack c"),
        (3, [("Pack a",), ("Pack c",)], "Pack a or Pack c alone"),
    ],
)
def test_sets_in_words(packs: int, same: list[tuple[str, ...]], said: str) -> None:
    build = build_of(chain_text(packs))
    assert how_far._set_words(build, called(build), same) == said


@pytest.mark.parametrize(("packs", "sets"), [(1, 1), (3, 7), (4, 7), (5, 5)])
def test_which_sets_have_a_line(packs: int, sets: int) -> None:
    """All of three packs; of four all, one of three, one of two and each alone; of five two alone."""
    build = build_of(chain_text(packs))
    chosen = how_far._chosen(Case(build))
    assert len(chosen) == sets
    assert tuple(build.packs) in {tuple(each) for each in chosen}


LEAD = {"length": "300 mm", "gauge": "12 AWG", "ends": ["XT60 pin", "XT60 socket"]}
FORK = {
    "type": "ideal-diode",
    "ceiling": "65 V",
    "current": "40 A",
    "resistance": "2 mohm",
    "blocks_in": "positive",
    "inlets": "XT60 pin",
    "outlet": "XT60 socket",
    "mount": "frame metal",
}
SECOND_PORT = {
    "packs.stern": {"like": "port"},
    "joiners.fork": FORK,
    "leads.port lead": {**LEAD, "from": "port", "to": "fork"},
    "leads.stern lead": {**LEAD, "from": "stern", "to": "fork"},
    "leads.main": {**LEAD, "from": "fork", "to": "left"},
}


def lows(base: str, put: dict[str, Any]) -> dict[str, float | None]:
    """How far each set of packs goes, to be counted on [m]; None where that is not known."""
    found = how_far.ranges(Case(build_of(edited(base, put))), "metric")[0].figures
    return {" + ".join(packs): None if isinstance(each, str) else each.low_m for packs, each in found.items()}


def test_packs_that_are_alike_and_feed_other_motors_are_not_one_set() -> None:
    """Port and stern drive the left motor together; starboard the right one, which nobody follows with theirs."""
    told = lows("jetty-two-drives", SECOND_PORT)
    pair = told["port + stern"]
    assert pair is not None
    assert told["port + starboard"] is told["starboard + stern"] is told["port + starboard + stern"] is None


def test_of_packs_that_are_alike_the_one_with_a_lamp_goes_less_far() -> None:
    """25 W beside some 200 W of the motor."""
    told = lows("skerry-long-tail", {"packs.pannier": {"like": "keel"}, "accessories.lamp.from": "keel"})
    keel, pannier = told["keel"], told["pannier"]
    assert keel is not None
    assert pannier is not None
    assert 0.75 * pannier < keel < 0.95 * pannier


def ride_words(notes: tuple[Note, ...] = (), system: str = "metric", **riding: Any) -> str:
    made = far(notes=notes)
    ride = made.ride._replace(riding=made.ride.riding._replace(**riding), throttle=False)
    return how_far._ride_words(made._replace(ride=ride), system)


def test_how_a_ride_is_ridden() -> None:
    plain = ride_words(rider_kg=80.0, load_kg=0.0, speed_m_s=5.0)
    assert plain.startswith("80 kg rider, 18 km/h, ")
    assert "load" not in plain
    assert ", 10 kg load, " in ride_words(rider_kg=80.0, load_kg=10.0)
    hills = [ride_words(climb_fraction=most).split(", ")[-1] for most, _ in words.HILLS]
    assert hills == [word for _, word in words.HILLS]
    first = words.HILLS[0][0]
    assert ride_words(climb_fraction=first * 1.001).split(", ")[-1] == words.HILLS[1][1]
    assert "no pedalling" not in plain
    made = far()
    throttle = made._replace(ride=made.ride._replace(throttle=True))
    assert how_far._ride_words(throttle, "metric").endswith("no pedalling")
    measured = made._replace(ride=made.ride._replace(measured=made.ride.inputs[0]))
    assert how_far._ride_words(measured, "metric") == "as measured on your rides"
    assert ride_words((Note("motor is silent", 8.0, 5.0),)).endswith(
        "the motor helps to about 18 km/h only, counted with that"
    )
    assert ride_words((Note("slows on hills", 0.05, 5.0),)).endswith("about 18 km/h on hills of 5 %")
    assert ride_words((Note("walks on hills", 0.05, 1.0),)).endswith("pushed on hills of 5 %")
    assert "mph" in ride_words((Note("slows on hills", 0.05, 5.0),), "us")
    assert ride_words((Note("no throttle"),)) == ride_words()
