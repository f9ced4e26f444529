"""Mistakes in a build file: each in its place, with what was found, what is expected and the line to type."""

from __future__ import annotations

from pathlib import Path

import pytest

from packyoke.buildfile import reading
from packyoke.buildfile.reading import other_names
from packyoke.core.findings import Finding, Severity

HEAD = "packyoke: 1\nname: x\n"
PACK = "packs: {keel: {}}\n"
TWO = "packs: {keel: {}, pannier: {}}\njoiners: {yoke: {}, gate: {}}\n"
COMPLETE = (Path(__file__).parent / "complete.yaml").read_text(encoding="utf-8")
SHOP = """packyoke-shop: 1
shelf:
  packs: {long pack: {chemistry: NMC, series: 13}}
"""


def mistakes(text: str, today: str | None = None) -> list[Finding]:
    found = reading.load(text, "bike.yaml", today=today)
    assert isinstance(found, list), "it was read"
    return found


def under(finding: Finding) -> str:
    """The characters over the carets."""
    assert finding.span is not None
    return finding.excerpt[finding.span.column - 1 : finding.span.end_column - 1]


def only(text: str, today: str | None = None) -> Finding:
    found = mistakes(text, today)
    assert len(found) == 1, [(each.field, each.message) for each in found]
    assert found[0].severity is Severity.STOP
    assert found[0].rule == "unreadable"
    return found[0]


# id, lines below the head, path, message, place, part of the advice
CASES = [
    # from the list of mistakes that the file format promises to tell
    (
        "shop-word-for-contacts",
        "packs:\n  added pack:\n    outlet: XT60 female\n",
        "packs.added pack.outlet",
        '"female"',
        "female",
        "Write  XT60 socket  or  XT60 pin",
    ),
    ("male", "packs: {a: {outlet: XT90 male}}", "packs.a.outlet", '"male"', "male", "XT90 socket"),
    (
        "lead-ends-nowhere",
        "packs: {a: {}}\njoiners: {frame port: {}}\ncontroller: {}\nleads: {rack lead: {from: a, to: frameport}}",
        "leads.rack lead.to",
        'no part called "frameport"',
        "frameport",
        "Parts it can go to: frame port, controller.  Did you mean  frame port ?",
    ),
    (
        "one-name-for-two-parts",
        "packs: {north: {}}\njoiners:\n  north: {}\n",
        "joiners.north",
        "the name is taken",
        "north",
        "different names",
    ),
    (
        "an-inlet-that-is-not-there",
        TWO + "leads: {n: {from: keel, to: yoke, inlet: 3}}",
        "leads.n.inlet",
        "yoke has no inlet 3",
        "3",
        "inputs: 3",
    ),
    (
        "two-ends-in-one-text",
        TWO + "leads:\n  n: {from: keel, to: yoke}\n  m:\n    from: keel\n    to: yoke\n    ends: XT90 pin, XT90 "
        "socket\n",
        "leads.m.ends",
        "a list of two is needed",
        "XT90 pin, XT90 socket",
        "Put brackets round it:  ends: [XT90 pin, XT90 socket]",
    ),
    (
        "unit-of-the-wrong-kind",
        "packs: {north: {capacity: 20 A}}",
        "packs.north.capacity",
        '"20 A" is a current',
        "20 A",
        "20 Ah",
    ),
    (
        "number-without-a-unit",
        "packs:\n  carrier:\n    label: 36\n",
        "packs.carrier.label",
        '"36" has no unit',
        "36",
        "Write  36 V",
    ),
    (
        "contact-kind-missing",
        "packs:\n  carrier:\n    outlet: dock\n",
        "packs.carrier.outlet",
        '"dock" of which kind?',
        "dock",
        "dock pin  or  dock socket",
    ),
    (
        "power-where-a-current-belongs",
        "controller: {battery_current: 5800 W}",
        "controller.battery_current",
        '"5800 W" is a power',
        "5800 W",
        "do not work it out from the power",
    ),
    (
        "a-range",
        "controller: {voltage: 60-90 V}",
        "controller.voltage",
        '"60-90 V" is two numbers',
        "60-90 V",
        "Write  {min: 60 V, max: 90 V}",
    ),
    (
        "mistyped-field",
        "packs: {left: {fuse: {rating: 80 A, voltge: 58 V}}}",
        "packs.left.fuse",
        'no field "voltge"',
        "voltge",
        "Did you mean  voltage ?  Known: family, rating, voltage, dc, breaking, sealed, owner, at",
    ),
    (
        "half-a-field",
        "controller: {power: 1 kW}",
        "controller",
        'no field "power"',
        "power",
        "Did you mean  power_limit ?",
    ),
    (
        "the-first-word-of-a-field",
        "packs: {left: {tested: 9 Ah}}",
        "packs.left",
        'no field "tested"',
        "tested",
        "Did you mean  tested_capacity ?",
    ),
    (
        "a-former-name",
        "controller: {battery_current: {limit: 25 A, rollback: 18 A after 60 s}}",
        "controller.battery_current",
        'no field "rollback"',
        "rollback",
        "Did you mean  falls_to ?",
    ),
    (
        "implausible",
        TWO + "leads: {left lead: {from: keel, to: yoke, length: 450 m}}",
        "leads.left lead.length",
        "450 m is out of bounds",
        "450 m",
        "between 10 mm and 10 m.  Did you mean  450 mm ?",
    ),
    (
        "inch-mark",
        TWO + 'leads: {dock: {from: keel, to: yoke, length: 22"}}',
        "leads.dock.length",
        "the inch mark is not read",
        '22"',
        "Write  22 in  (that is 559 mm)",
    ),
    (
        "found-null",
        "accept: [{rule: voltage-drop, part: build, found: ~, because: b, by: c, until: 2027-12-31}]",
        "accept.1.found",
        "nothing here",
        "~",
        "It cannot be left out. Write for example  found: 3.4 %",
    ),
    (
        "found-unknown",
        "accept: [{rule: voltage-drop, part: build, found: unknown, because: b, by: c, until: 2027-12-31}]",
        "accept.1.found",
        '"unknown" is no answer',
        "unknown",
        "It cannot be left out. Write for example  found: 3.4 %",
    ),
    (
        "lead-from-nothing",
        TWO + "leads: {left lead: {from: ~, to: yoke}}",
        "leads.left lead.from",
        "nothing here",
        "~",
        "It cannot be left out. Write for example  from: keel",
    ),
    (
        "length-null",
        TWO + "leads: {left lead: {from: keel, to: yoke, length: ~}}",
        "leads.left lead.length",
        "nothing here",
        "~",
        "or leave the line out when it is not known",
    ),
    # the file as a whole
    ("units", "units: us", "units", 'no field "units"', "units", "--units us"),
    ("unknown-section", "jioners: {}", "build", 'no field "jioners"', "jioners", "Did you mean  joiners ?"),
    ("shop-file", "packyoke-shop: 1", "packyoke-shop", "this is a shop file", "packyoke-shop", "--shop"),
    ("coldest-above-warmest", "warmest: 5 degC\ncoldest: 20 degC", "coldest", "not below warmest", "20 degC", ""),
    (
        "bad-region",
        "region: Atlantis",
        "region",
        '"Atlantis" is not one of the words here',
        "Atlantis",
        "Known: EU, GB, US",
    ),
    ("bad-date", "recheck: 2028-13", "recheck", '"2028-13" is no date', "2028-13", "recheck: 2028-05"),
    ("empty-section", "packs:", "packs", "nothing here", "", "or leave the line out"),
    (
        "a-list-for-a-section",
        "packs: [keel]",
        "packs",
        "a list, it needs its own indented lines",
        "[keel]",
        "packs: {NAME:",
    ),
    (
        "two-kinds-of-controllers",
        "controller: {}\ncontrollers: {left: {}}",
        "controllers",
        "controller and controllers together",
        "controllers",
        "Put both under",
    ),
    # names
    ("reserved-name", "packs: {all: {}}", "packs.all", '"all" is no name', "all", "controller, none, all"),
    ("bad-name", "packs: {a/b: {}}", "packs.a/b", '"a/b" is no name', "a/b", "1 to 40 letters"),
    ("blank-behind-a-name", 'packs: {"a ": {}}', "packs.a ", '"a " is no name', '"a "', "none at the ends:  a"),
    ("blank-before-a-name", 'packs: {" a": {}}', "packs. a", '" a" is no name', '" a"', "none at the ends:  a"),
    (
        "two-blanks-in-a-name",
        'packs: {"a  b": {}}',
        "packs.a  b",
        '"a  b" is no name',
        '"a  b"',
        "words and none at the ends:  a b",
    ),
    (
        "wrong-kind-of-part",
        PACK + "accessories: {lamp: {from: keel}}\njoiners: {y: {}}\nleads: {l: {from: lamp, to: y}}",
        "leads.l.from",
        '"lamp" is an accessory',
        "lamp",
        "a pack or a joiner is needed",
    ),
    ("from-missing", TWO + "leads: {l: {to: yoke}}", "leads.l.from", "from is missing", "l", "from: keel"),
    (
        "rack-nobody-named",
        "packs: {a: {rack: rear}}",
        "packs.a.rack",
        'no part called "rear"',
        "rear",
        "not yet a rack",
    ),
    (
        "fits-nobody",
        PACK + "chargers: {c: {fits: [keal]}}",
        "chargers.c.fits",
        'no part called "keal"',
        "keal",
        "Did you mean  keel ?",
    ),
    (
        "fits-not-a-list",
        PACK + "chargers: {c: {fits: keel}}",
        "chargers.c.fits",
        '"keel", where a list is needed',
        "keel",
        "fits: [keel]",
    ),
    (
        "fits-twice",
        PACK + "chargers: {c: {fits: [keel, Keel]}}",
        "chargers.c.fits",
        '"keel" is there twice',
        "Keel",
        "once",
    ),
    ("sets-flat", PACK + "sets: [keel]", "sets", "a list of lists is needed", "[keel]", "[[keel]]"),
    (
        "through-a-pack",
        PACK + "chargers: {c: {through: keel}}",
        "chargers.c.through",
        '"keel" is a pack',
        "keel",
        "a joiner",
    ),
    (
        "beside-nobody",
        TWO + "leads: {l: {from: keel, to: yoke, run: beside m}}",
        "leads.l.run",
        'no part called "m"',
        "beside m",
        "",
    ),
    (
        "no-such-path",
        PACK + "measured: [{date: 2027-05-14, part: packs.keal, what: voltage, value: 57 V}]",
        "measured.1.part",
        'no part at "packs.keal"',
        "packs.keal",
        "Did you mean  packs.keel ?",
    ),
    # like and part
    (
        "like-nobody",
        "packs: {a: {}, b: {like: c d e f}}",
        "packs.b.like",
        'no pack called "c d e f"',
        "c d e f",
        "There are: a.",
    ),
    (
        "like-of-like",
        "packs: {a: {}, b: {like: a}, c: {like: b}}",
        "packs.c.like",
        "b is itself like another",
        "b",
        "One level",
    ),
    ("like-itself", "packs: {a: {like: a}}", "packs.a.like", "like itself", "a", ""),
    (
        "like-and-part",
        "packs: {a: {}, b: {like: a, part: x}}",
        "packs.b",
        "like and part together",
        "part",
        "one place",
    ),
    (
        "part-without-shelf",
        "packs: {a: {part: long pack}}",
        "packs.a.part",
        'nothing on the shelf called "long pack"',
        "long pack",
        "No shop file is used",
    ),
    # identity
    (
        "series-and-full-charge",
        "packs: {a: {chemistry: NMC, series: 14, full_charge: 54.6 V}}",
        "packs.a",
        "full_charge 54.6 V does not agree with 14 NMC cells in series on line 3",
        "54.6 V",
        "0.05 V a cell",
    ),
    (
        "full-charge-and-charger-label",
        "packs: {a: {full_charge: 58.8 V, charger_label: 54.6 V}}",
        "packs.a",
        "charger_label 54.6 V does not agree with full_charge 58.8 V on line 3",
        "54.6 V",
        "",
    ),
    (
        "no-full-charge-of-that-kind",
        "packs: {a: {chemistry: NMC, full_charge: 56 V}}",
        "packs.a.full_charge",
        "56 V is no full charge of NMC cells",
        "56 V",
        "13 in series are 54.6 V",
    ),
    # what does not go together
    (
        "direct-with-length",
        TWO + "leads: {l: {from: keel, to: yoke, direct: true, length: 400 mm}}",
        "leads.l.length",
        "no cable, so nothing to say of it",
        "length",
        "outlet straight into inlet",
    ),
    (
        "resistance-and-drop",
        "joiners: {j: {resistance: 2 mohm, drop: 45 mV at 20 A}}",
        "joiners.j.drop",
        "resistance and drop together",
        "drop",
        "",
    ),
    (
        "forward-voltage-of-an-ideal-diode",
        "joiners: {j: {type: ideal-diode, forward_voltage: 0.5 V}}",
        "joiners.j.forward_voltage",
        "not for type ideal-diode",
        "forward_voltage",
        "It is for diode.",
    ),
    (
        "resistance-of-a-diode",
        "joiners: {j: {type: diode, resistance: 2 mohm}}",
        "joiners.j.resistance",
        "not for type diode",
        "resistance",
        "",
    ),
    (
        "bonded-behind-diodes",
        "joiners: {j: {type: diode, bonded: {by: 0.1 V, charged: together}}}",
        "joiners.j.bonded",
        "not for type diode",
        "bonded",
        "plain",
    ),
    (
        "bonded-half-said",
        "joiners: {j: {bonded: {by: 0.1 V}}}",
        "joiners.j.bonded",
        "charged missing",
        "{by: 0.1 V}",
        "charged: together",
    ),
    (
        "inlets-and-inputs",
        "joiners: {j: {inputs: 3, inlets: [XT60 pin, XT60 pin]}}",
        "joiners.j.inlets",
        "2 inlets for 3 inputs",
        "[XT60 pin, XT60 pin]",
        "one for each input",
    ),
    (
        "min-above-max",
        "controller: {voltage: {min: 63 V, max: 39 V}}",
        "controller.voltage.min",
        "min is not below max",
        "63 V",
        "",
    ),
    (
        "open-and-in-frame",
        TWO + "leads: {l: {from: keel, to: yoke, run: [open, in frame]}}",
        "leads.l.run",
        "open and in frame",
        "[open, in frame]",
        "",
    ),
    (
        "hills-and-gpx",
        "ride: {everyday: {hills: 8 m per km, gpx: a.gpx}}",
        "ride.everyday.gpx",
        "hills and gpx together",
        "gpx",
        "",
    ),
    # forms
    (
        "peak-without-a-time",
        "packs: {a: {discharge: {peak: 60 A}}}",
        "packs.a.discharge.peak",
        '"60 A" has no time',
        "60 A",
        "60 A for",
    ),
    (
        "peak-too-long",
        "packs: {a: {discharge: {peak: 60 A for 2 h}}}",
        "packs.a.discharge.peak",
        '"60 A for 2 h" is out of bounds',
        "60 A for 2 h",
        "It is between",
    ),
    (
        "fuse-without-a-key",
        "packs: {a: {fuse: 40 A}}",
        "packs.a.fuse",
        '"40 A" is amps by themselves',
        "40 A",
        "{rating: 40 A}",
    ),
    (
        "unknown-fuse-family",
        "packs: {a: {fuse: {family: blad}}}",
        "packs.a.fuse.family",
        '"blad" is not one of the words here',
        "blad",
        "Did you mean  blade ?",
    ),
    (
        "regen-without-a-key",
        "controller: {regen: 8 A}",
        "controller.regen",
        '"8 A" is a current by itself',
        "8 A",
        "regen: {current: 8 A}",
    ),
    (
        "drop-out-of-bounds",
        "joiners: {j: {drop: 45 V at 20 A}}",
        "joiners.j.drop",
        "45 V at 20 A is out of bounds",
        "45 V at 20 A",
        "",
    ),
    (
        "family-mistyped",
        "packs: {a: {outlet: XT06 pin}}",
        "packs.a.outlet",
        'no connector "XT06"',
        "XT06 pin",
        "Did you mean  XT60 ?",
    ),
    (
        "genderless-without-amps",
        "packs: {a: {outlet: genderless}}",
        "packs.a.outlet",
        '"genderless" has no amps',
        "genderless",
        "genderless 45 A",
    ),
    (
        "pin-of-a-ring",
        "packs: {a: {outlet: M5 ring pin}}",
        "packs.a.outlet",
        "M5 ring has no pins and sockets",
        "M5 ring pin",
        "Write  M5 ring",
    ),
    (
        "half-an-end",
        "packs: {a: {outlet: {family: XT60, plus: pin}}}",
        "packs.a.outlet",
        "minus missing",
        "{family: XT60, plus: pin}",
        "plus: socket, minus: pin",
    ),
    (
        "gauge-out-of-bounds",
        TWO + "leads: {l: {from: keel, to: yoke, gauge: 30 AWG}}",
        "leads.l.gauge",
        "30 AWG is out of bounds",
        "30 AWG",
        "between 24 AWG and 4/0 AWG",
    ),
    (
        "insulation-in-bare-degrees",
        TWO + "leads: {l: {from: keel, to: yoke, insulation: 105}}",
        "leads.l.insulation",
        '"105" has no unit',
        "105",
        "105 degC",
    ),
    (
        "unknown-run",
        TWO + "leads: {l: {from: keel, to: yoke, run: loose}}",
        "leads.l.run",
        '"loose" is not one of the words here',
        "loose",
        "open, in frame",
    ),
    (
        "assist-ratio-too-large",
        "ride: {everyday: {assist: ratio 50}}",
        "ride.everyday.assist",
        '"ratio 50" is no share of the rider',
        "ratio 50",
        "rider 80 W",
    ),
    (
        "drop-below-nothing",
        PACK + "measured: [{date: 2027-05-14, part: packs.keel, what: drop, value: -0.2 V}]",
        "measured.1.value",
        '"-0.2 V" is below 0',
        "-0.2 V",
        "without a minus",
    ),
    (
        "voltage-below-nothing",
        PACK + "measured: [{date: 2027-05-14, part: packs.keel, what: voltage, value: -50 V}]",
        "measured.1.value",
        '"-50 V" is below 0',
        "-50 V",
        "without a minus",
    ),
    (
        "resistance-of-nothing",
        PACK + "measured: [{date: 2027-05-14, part: packs.keel, what: resistance, value: 0 mohm}]",
        "measured.1.value",
        '"0 mohm": a resistance is above 0',
        "0 mohm",
        "Measure again",
    ),
    (
        "capacity-of-nothing",
        PACK + "measured: [{date: 2027-05-14, part: packs.keel, what: capacity, value: 0 Ah}]",
        "measured.1.value",
        '"0 Ah": a capacity is above 0',
        "0 Ah",
        "Measure again",
    ),
    (
        "polarity-in-volts",
        PACK + "measured: [{date: 2027-05-14, part: packs.keel, what: polarity, value: 5 V}]",
        "measured.1.value",
        '"5 V" is neither yes nor no',
        "5 V",
        "yes",
    ),
    (
        "a-reading-of-the-wrong-kind",
        PACK + "measured: [{date: 2027-05-14, part: packs.keel, what: drop, value: 5 A}]",
        "measured.1.value",
        '"5 A" is a current',
        "5 A",
        "",
    ),
    (
        "found-in-words",
        "accept: [{rule: voltage-drop, part: build, found: a lot, because: b, by: c, until: 2027-12-31}]",
        "accept.1.found",
        '"a lot" is no quantity',
        "a lot",
        "3.4 %",
    ),
    (
        "run-without-length",
        "places: {a: {}, b: {}}\nruns: [{between: [a, b]}]",
        "runs.1.length",
        "length is missing",
        "{between: [a, b]}",
        "length: 700 mm",
    ),
    (
        "run-of-guessed-length",
        "places: {a: {}, b: {}}\nruns: [{between: [a, b], length: 700 mm ?}]",
        "runs.1.length",
        "a guess does not do here",
        "{between: [a, b], length: 700 mm ?}",
        "",
    ),
    (
        "twenty-five-packs",
        "packs: {" + ", ".join(f"p{number}: {{}}" for number in range(25)) + "}",
        "packs",
        "25 packs",
        "p24",
        "At most 24",
    ),
]


@pytest.mark.parametrize(
    ("lines", "path", "message", "place", "do"), [case[1:] for case in CASES], ids=[c[0] for c in CASES]
)
def test_mistake(lines: str, path: str, message: str, place: str, do: str) -> None:
    found = only(HEAD + lines)
    assert (found.field, found.message, under(found)) == (path, message, place)
    assert do in found.do


def test_the_earlier_part_of_two_with_one_name_is_said() -> None:
    found = only(HEAD + "packs:\n  north: {}\njoiners:\n  north: {}\n")
    assert found.span is not None
    assert found.span.line == 6
    assert "packs.north is on line 4" in found.why


def test_why_shell_words_are_refused() -> None:
    assert "hollow tubes" in only(HEAD + "packs: {a: {outlet: XT60 female}}").why


def test_format() -> None:
    assert only("name: x").message == "first line packyoke: 1 is missing"
    assert only("packyoke: 2\nname: x").message == "written for a newer format"
    assert only("packyoke: one\nname: x").message == '"one" is no format'
    assert only("packyoke: 1").message == "name is missing"
    assert only(f"packyoke: 1\nname: {'x' * 81}").message == "81 characters"


def test_until_is_at_most_two_years_ahead() -> None:
    text = HEAD + "accept: [{rule: voltage-drop, part: build, found: 3 %, because: b, by: c, until: 2029-05-15}]"
    found = only(text, today="2027-05-14")
    assert (found.field, found.message, under(found)) == ("accept.1.until", "2029-05-15 is too far ahead", "2029-05-15")
    assert not isinstance(reading.load(text, "x", today="2027-05-15"), list)
    assert not isinstance(reading.load(text, "x"), list)


def test_all_mistakes_come_in_one_run_in_the_order_of_the_file() -> None:
    text = COMPLETE
    for good, bad in (
        ("series: 14", "series: 140"),
        ("chemistry: NMC", "chemistry: NMV"),
        ("capacity: 13 Ah", "capacity: 13 A"),
        ("type: ideal-diode", "type: idealdiod"),
        ("to: controller", "to: controler"),
        ("mass: 31 kg", "mess: 31 kg"),
        ("output: 58.8 V", "output: 58.8"),
    ):
        assert text.count(good) >= 1
        text = text.replace(good, bad, 1)
    found = mistakes(text)
    assert [each.field for each in found] == [
        "bike",
        "packs.keel.chemistry",
        "packs.keel.series",
        "packs.pannier.capacity",
        "joiners.yoke.type",
        "leads.main lead.to",
        "chargers.counter.output",
    ]
    assert found == sorted(found, key=lambda each: each.span or (0, 0, 0, 0))


def test_a_mistake_in_a_copied_line_is_told_once() -> None:
    assert only(HEAD + "packs:\n  a: {capacity: 20 A}\n  b: {like: a}\n  c: {like: a}\n").field == "packs.a.capacity"


def test_wrong_values_are_cleaned_before_they_are_echoed() -> None:
    found = only(HEAD + 'packs: {a: {condition: "sound\\u202e\\u0007"}}')
    assert found.message.isprintable()
    assert found.field.isprintable()


SHOP_CASES = [
    ("name: x", "packyoke-shop", "first line packyoke-shop: 1 is missing"),
    ("packyoke-shop: 1\nshelf: {bolts: {}}", "shelf", 'no field "bolts"'),
    ("packyoke-shop: 1\ndefaults: {rack: rear}", "defaults", 'no field "rack"'),
    ("packyoke-shop: 1\nshelf: {packs: {a: {capacity: 20 A}}}", "shelf.packs.a.capacity", '"20 A" is a current'),
    ("packyoke-shop: 1\nshelf: {packs: {a: {price: 20}}}", "shelf.packs.a.price", '"20" has no unit'),
    (
        "packyoke-shop: 1\nshelf: {packs: {a: {price: 20 EUR}, b: {price: 20 GBP}}}",
        "shelf.packs.b.price",
        "GBP, where EUR came before",
    ),
    ("packyoke-shop: 1\nratings: bold", "ratings", '"bold" is not one of the words here'),
    ("packyoke-shop: 1\nstock: 3", "shop", 'no field "stock"'),
]


@pytest.mark.parametrize(("text", "path", "message"), SHOP_CASES, ids=[case[2] for case in SHOP_CASES])
def test_mistake_in_a_shop_file(text: str, path: str, message: str) -> None:
    found = reading.load_shop(text, "packyoke-shop.yaml")
    assert isinstance(found, list)
    assert [(each.field, each.message) for each in found] == [(path, message)]


def test_a_mistyped_item_of_the_shelf() -> None:
    shop = reading.load_shop(SHOP, "packyoke-shop.yaml")
    assert isinstance(shop, reading.Shop)
    found = reading.load(HEAD + "packs: {a: {part: longpack}}", "x.yaml", shop)
    assert isinstance(found, list)
    assert "Did you mean  long pack ?" in found[0].do


def test_what_to_type_is_worked_out_for_those_that_are_told_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of thousands looked at all the others: a file of 130 KB took half a minute."""
    asked: list[str] = []

    def counted(name: str, *_: object) -> str:
        asked.append(name)
        return ""

    monkeypatch.setattr(other_names, "instead_of", counted)
    found = mistakes(HEAD + "packs:\n  a:\n" + "".join(f"    none{at}: 1\n" for at in range(900)))
    assert (len(found), len(asked)) == (200, 200)
