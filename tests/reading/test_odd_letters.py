"""Characters that look like others: blanks that are no spaces, wide signs, letters of another script, stray marks.

What is offered instead is put in its place, and then read.
"""

from __future__ import annotations

import pytest

from packyoke.analysis.charging.plugs import same_plug
from packyoke.answers.typed import WrongInput, pack_name
from packyoke.api import Build, Finding, load
from packyoke.buildfile.reading import Shop, load_shop
from packyoke.core.units import Kind, QuantityError, read

BIKE = "packyoke: 1\nname: x\nbike:\n{}\n  drive: {{assist_limit: 25 km/h}}\n"
OTHER_BLANK = "What looks like one is another blank, as pages and phones put it."


def mistakes(text: str) -> list[Finding]:
    found = load(text, "bike.yaml")
    return [] if isinstance(found, Build) else found


@pytest.mark.parametrize(
    ("line", "column", "message", "why", "do"),
    [
        ("  mass:\u00a042 kg", 3, "no space after the colon", OTHER_BLANK, "Write  mass: 42 kg"),
        ("  mass:\u300042 kg", 3, "no space after the colon", OTHER_BLANK, "Write  mass: 42 kg"),
        ("  mass:42 kg", 3, "no space after the colon", "", "Write  mass: 42 kg"),
        ("  mass\uff1a42 kg", 3, "no colon in this line", "", "Write  mass: 42 kg"),
        ("  mass\uff1a 42 kg", 3, "no colon in this line", "", "Write  mass: 42 kg"),
        ("  mass = 42 kg", 3, "no colon in this line", "", "Write  mass: 42 kg"),
        ("  mass=42 kg", 3, "no colon in this line", "", "Write  mass: 42 kg"),
        ("  @mass: 42 kg", 3, "a text cannot start with @", "", "Take it away:  mass: 42 kg"),
        ("  %  mass: 42 kg", 3, "a text cannot start with %", "", "Take it away:  mass: 42 kg"),
        ("  & mass: 42 kg", 3, "a text cannot start with &", "", "Take it away:  mass: 42 kg"),
    ],
)
def test_the_line_that_is_offered_is_read(line: str, column: int, message: str, why: str, do: str) -> None:
    (told,) = mistakes(BIKE.format(line))
    assert told.span is not None
    assert (told.span.line, told.span.column, told.message, told.why, told.do) == (4, column, message, why, do)
    assert not mistakes(BIKE.format("  " + do.split(":  " if do.startswith("Take") else "  ", 1)[1]))


@pytest.mark.parametrize(("indent", "column"), [("\u00a0\u00a0", 1), ("\u3000", 1), ("\u00a0 ", 1), (" \u2009", 2)])
def test_an_indent_of_other_blanks_is_told_where_it_is(indent: str, column: int) -> None:
    """It was told of the sound line below it."""
    (told,) = mistakes(BIKE.format(f"{indent}mass: 42 kg"))
    assert told.span is not None
    assert (told.span.line, told.span.column) == (4, column)
    assert told.message == "indented with a character that is no space"


@pytest.mark.parametrize(
    ("line", "message", "why"),
    [
        ("  m\u0430ss: 42 kg", 'no field "m\u0430ss"', 'The "\u0430" in it is a Cyrillic letter.'),
        ("  m\u03b1ss: 42 kg", 'no field "m\u03b1ss"', 'The "\u03b1" in it is a Greek letter.'),
        ("  massa: 42 kg", 'no field "massa"', ""),
        ("  m\u00e4ss: 42 kg", 'no field "m\u00e4ss"', ""),
    ],
)
def test_a_letter_of_another_script_is_named(line: str, message: str, why: str) -> None:
    (told,) = mistakes(BIKE.format(line))
    assert (told.message, told.why, told.do) == (message, why, "Did you mean  mass ?  Known: mass, drive")


def test_so_is_one_in_a_word_and_in_a_unit() -> None:
    (word,) = mistakes("packyoke: 1\nname: x\npacks:\n  a: {chemistry: NM\u0421}\n")
    assert word.why == 'The "\u0421" in it is a Cyrillic letter.'
    with pytest.raises(QuantityError) as unit:
        read("42 k\u0433", Kind.MASS)
    assert unit.value.advice.startswith('The "\u0433" in it is a Cyrillic letter. Write for example')


@pytest.mark.parametrize(
    ("typed", "advice"),
    [
        ("\uff14\uff12\uff4b\uff47", "Write  42kg"),  # wide digits and letters
        ("\u0664\u0662 kg", "Write  42 kg"),  # Arabic digits
        ("\u0664\u0662", "Write the digits as 0 to 9."),  # 42 alone would not be read either
        ("3 pcs", "Write for example  3 kg  Known: kg, g, lb, oz"),  # pieces: they were offered as parsecs
    ],
)
def test_digits_of_other_scripts_and_words_that_are_no_units(typed: str, advice: str) -> None:
    with pytest.raises(QuantityError) as told:
        read(typed, Kind.MASS)
    assert told.value.advice == advice


def test_a_length_in_parsecs_is_not_offered() -> None:
    with pytest.raises(QuantityError) as told:
        read("3 pcs", Kind.LENGTH)
    assert (told.value.message, told.value.advice.startswith("Write for example")) == ('no unit "pcs"', True)
    with pytest.raises(QuantityError) as told:
        read("3 furlong", Kind.LENGTH)
    assert told.value.advice == "Write  604 m  (that is 3 furlong)"


@pytest.mark.parametrize(
    ("name", "message"),
    [("", "nothing here"), ('""', "nothing here"), ('" "', "0 characters"), ('"\\t \\u00a0"', "0 characters")],
)
def test_a_name_of_blanks_is_none(name: str, message: str) -> None:
    (told,) = mistakes(f"packyoke: 1\nname: {name}\n")
    assert told.message == message


@pytest.mark.parametrize(
    ("part", "line"),
    [
        ("joiners:\n  y: {}", "charge_port: none ?"),
        ("leads:\n  a: {}", "direct: yes ?"),
        ("leads:\n  a: {}", "run: open ?"),
        ("leads:\n  a: {}", "run: open i think"),
    ],
)
def test_where_no_guess_is_read_none_is_advised(part: str, line: str) -> None:
    """The advice was to write what stood there."""
    found = mistakes("packyoke: 1\nname: x\n" + part.format(f"{{{line}}}") + "\n")
    (told,) = [each for each in found if line.partition(":")[0] in each.field]
    assert told.message == f'"{line.partition(": ")[2]}" is a guess'
    assert told.do == "None is read here. Find it out, or leave the line out."


@pytest.mark.parametrize("digits", [19, 20, 21, 60, 61, 62, 63, 64, 65, 400])
@pytest.mark.parametrize(
    "line",
    [
        "packs:\n  a: {{label: {} V}}",
        "packs:\n  a: {{cut_off: {} V}}",
        "packs:\n  a: {{charge: {} A}}",
        "packs:\n  a: {{capacity: {} Ah}}",
        "packs:\n  a: {{mass: {} kg}}",
        "joiners:\n  a: {{ceiling: {} V}}",
        "leads:\n  a: {{length: {} mm}}",
        "chargers:\n  a: {{mains_power: {} W}}",
    ],
)
def test_a_number_of_very_many_figures_is_told(digits: int, line: str) -> None:
    """With a longer unit behind it, it is longer than a quantity is read."""
    text = f"packyoke: 1\nname: b\n{line.format('7' * digits)}\n"
    messages = [each.message for each in mistakes(text)]
    told = ("out of bounds", "too long", "characters")
    assert any(words in each for words in told for each in messages), messages


@pytest.mark.parametrize(
    ("names", "told"),
    [
        (
            "packs: {keel: {label: 48 V}, keel\u3164: {label: 48 V}}",
            "packs.keel\u3164",
        ),  # a letter that is drawn as nothing
        ("packs: {a: {label: 48 V}, \u0430: {label: 48 V}}", "packs.\u0430"),  # these were two packs
        ("packs: {back: {label: 48 V}, B\u0430ck: {label: 48 V}}", "packs.B\u0430ck"),
        ("packs: {\u0412ack: {label: 48 V}, back: {label: 48 V}}", "packs.back"),
        ("packs: {keel: {label: 48 V}}, joiners: {k\u0435el: {type: plain}}", "joiners.k\u0435el"),
        ("racks: {rear: {}, re\u0430r: {}}", "racks.re\u0430r"),
        ("packs: {\u039fne: {label: 48 V}, One: {label: 48 V}}", "packs.One"),
        ("packs: {\uff41: {label: 48 V}, a: {label: 48 V}}", "packs.a"),
        ("packs: {\u0430\u043a\u043a\u0443: {label: 48 V}, \u043f\u0435\u0440: {label: 48 V}}", ""),
        ("packs: {a: {label: 48 V}, \u00e1: {label: 48 V}}", ""),
        ("packs: {keel: {label: 48 V}}, racks: {keel: {}}", ""),
        ("ride: {\u0435veryday: {rider: 80 kg}}", "ride.\u0435veryday"),  # the shelf's was ridden, and this one not
        ("ride: {to town: {rider: 80 kg}, t\u043e town: {rider: 90 kg}}", "ride.t\u043e town"),
        ("ride: {Everyday: {rider: 80 kg}}", ""),
    ],
)
def test_two_parts_do_not_bear_names_that_look_alike(names: str, told: str) -> None:
    found = mistakes(f"{{packyoke: 1, name: x, {names}}}")
    assert [each.field for each in found] == ([told] if told else [])
    assert all("the name looks like that of" in each.message for each in found)


def test_a_name_with_a_letter_of_another_script_is_known_again() -> None:
    """A line that names a part, and a name after an option."""
    text = (
        "{packyoke: 1, name: x, packs: {keel: {label: 48 V}}, joiners: {y: {}}, leads: {m: {from: k\u0435el, to: y}}}"
    )
    (told,) = mistakes(text)
    assert told.do == "Parts it can come from: keel, y.  Did you mean  keel ?"
    assert told.why == 'The "\u0435" in it is a Cyrillic letter.'
    build = load(text.replace("\u0435", "e"), "bike.yaml")
    assert isinstance(build, Build)
    with pytest.raises(WrongInput, match=r"Did you mean keel\?"):
        pack_name(build, "k\u0435\u0435l")


OWN = "{{packyoke: 1, name: x, parts: {{connectors: {{{}}}}}}}"
WEIGHS = "{per_contact: 15 A, contacts: pin and socket}"


@pytest.mark.parametrize(
    ("names", "told", "of"),
    [
        (("dock blade", "d\u043eck blade"), "d\u043eck blade", "parts.connectors.dock blade on line 1"),
        (("dock blade", "Dock-Blade"), "Dock-Blade", "parts.connectors.dock blade on line 1"),
        (("\u0425\u042260",), "\u0425\u042260", "the connector XT60 of the shelf"),  # its amps were those of no XT60
        (("\uff38T60",), "\uff38T60", "the connector XT60 of the shelf"),
        (("XT-60",), "XT-60", "the connector XT60 of the shelf"),
        (("XT60", "XT90"), "", ""),  # other figures for those of the shelf
        (("xt60",), "", ""),
        (("dock blade", "dock blades"), "", ""),
    ],
)
def test_connectors_of_a_file_do_not_look_like_others(names: tuple[str, ...], told: str, of: str) -> None:
    found = mistakes(OWN.format(", ".join(f'"{name}": {WEIGHS}' for name in names)))
    assert [(each.field, each.message) for each in found] == (
        [(f"parts.connectors.{told}", f"the name looks like that of {of}")] if told else []
    )


@pytest.mark.parametrize(
    ("outlets", "do"),
    [
        (["\u0425\u042260 socket"], "Did you mean  XT60 ?"),  # was a connector of its own, which mated with none
        (["XT60\u200b socket"], "Did you mean  XT60 ?"),
        (["XT\u00ad60 socket"], "Did you mean  XT60 ?"),
        (["{family: \u0425\u042260, plus: socket, minus: pin}"], "Did you mean  XT60 ?"),
        (
            ["quay blade socket", "qu\u0430y blade socket"],
            "Did you mean  quay blade ?  It stands in another line, and looks the same.",
        ),
        (["quay blade socket", "Quay blade pin"], ""),
        (["XT60 s\u043ecket"], ""),  # the metal is one of two words
    ],
)
def test_connectors_that_look_alike_are_asked_about(outlets: list[str], do: str) -> None:
    packs = ", ".join(f"p{number}: {{outlet: {outlet}}}" for number, outlet in enumerate(outlets))
    assert [each.do for each in mistakes(f"{{packyoke: 1, name: x, packs: {{{packs}}}}}")] == ([do] if do else [])


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ("shelf: {wires: {red: {gauge: 12 AWG}, r\u0435d: {gauge: 14 AWG}}}", ["shelf.wires.r\u0435d"]),
        ("shelf: {packs: {deck: {label: 48 V}, Deck\u3164: {label: 48 V}}}", ["shelf.packs.Deck\u3164"]),
        ("shelf: {wires: {red: {gauge: 12 AWG}}, packs: {red: {label: 48 V}}}", []),
        ("defaults: {ride: {\u0435veryday: {rider: 80 kg}}}", ["ride.\u0435veryday"]),
        ("defaults: {ride: {everyday: {rider: 80 kg}}}", []),
    ],
)
def test_what_a_shop_stocks_does_not_look_alike(lines: str, told: list[str]) -> None:
    found = load_shop(f"{{packyoke-shop: 1, {lines}}}", "shop.yaml")
    assert [each.field for each in found if isinstance(each, Finding)] == told


def test_an_item_of_the_shelf_is_known_by_its_looks() -> None:
    shop = load_shop("{packyoke-shop: 1, shelf: {packs: {oca: {label: 48 V}}}}", "shop.yaml")
    assert isinstance(shop, Shop)
    found = load("{packyoke: 1, name: x, packs: {a: {part: \u043e\u0441\u0430}}}", "bike.yaml", shop=shop)
    assert isinstance(found, list)
    assert found[0].do.startswith("Did you mean  oca ?")


def test_a_charger_plug_is_of_the_family_that_it_looks_like() -> None:
    """Typed with Cyrillic letters it went into nothing, and no mix-up was told."""
    assert same_plug("\u0425\u042260", "XT60")
    assert same_plug("5.5 \u0445 2.1 mm", "5.5 mm barrel")
    assert not same_plug("\u0425\u042290", "XT60")
