"""What an answer at `packyoke start` does to the file, answer by answer, at both sides of what decides it."""

from __future__ import annotations

import pytest

from packyoke.answers.start.draft import Draft
from packyoke.answers.start.taking import (
    Again,
    field_example,
    put,
    seconds_of,
    slot_of,
    sure_part,
    take_alike,
    take_connectors,
    take_count,
    take_each,
    take_inlets,
    take_joiner,
    take_towards,
)
from packyoke.buildfile.reading import load
from packyoke.core.units import Kind
from packyoke.model import Build
from tests.report.drafts import FIRST, SECOND, drafted, refused


@pytest.mark.parametrize(
    ("part", "inner", "kind"),
    [
        ("controller", "battery_current.limit", Kind.CURRENT),
        ("packs.first", "capacity", Kind.CHARGE),
        ("joiners.joiner", "ceiling", Kind.VOLTAGE),
        ("build", "warmest", Kind.TEMPERATURE),
    ],
)
def test_how_the_reader_takes_a_field(part: str, inner: str, kind: Kind) -> None:
    slot = slot_of(part, inner)
    assert slot is not None
    assert slot.kind is kind
    assert slot_of(part, "colour") is None
    assert slot_of(part, f"{inner}.colour") is None


def test_an_example_is_that_of_the_field() -> None:
    assert field_example("packs.first", "capacity").endswith("Ah")
    assert field_example("packs.first", "colour") == "..."
    assert field_example("controller", "voltage") == "..." or field_example("controller", "voltage")


@pytest.mark.parametrize(
    ("part", "inner", "text", "value"),
    [
        ("packs.first", "capacity", "14", "14 Ah"),  # the question names the unit
        ("packs.first", "capacity", "14 ?", "14 Ah ?"),
        ("packs.first", "capacity", "capacity: 14 Ah", "14 Ah"),  # as a line of the file
        ("packs.first", "series", "13S", "13"),
        ("packs.first", "series", "13s4p", "13"),
        ("packs.first", "series", "13", "13"),
        ("controller", "battery_current.limit", "20", "20 A"),
        ("controller", "battery_current.limit", "20 amps", "20 A"),
        ("controller", "voltage.max", "36-60 V", "60 V"),
        ("controller", "voltage.max", "36 V to 60 V", "60 V"),
        ("joiners.joiner", "ceiling", "12 to 75V", "75 V"),
        ("joiners.joiner", "ceiling", "75", "75 V"),
        ("controller", "low_voltage_cut", "39", "39 V"),
    ],
)
def test_what_an_answer_writes(part: str, inner: str, text: str, value: str) -> None:
    draft = drafted()
    put(draft, part, inner, text)
    assert draft.parts[part][inner] == value
    assert isinstance(load(draft.text(), "bike"), Build)


def test_a_span_of_currents_is_not_cut_to_its_end() -> None:
    """Only of a voltage that a part takes the upper end is asked for."""
    draft = drafted()
    put(draft, "controller", "battery_current.limit", "15-20 A")
    assert not isinstance(load(draft.text(), "bike"), Build)


@pytest.mark.parametrize(
    ("part", "inner", "text", "asked"),
    [
        ("controller", "voltage.max", "48 V", True),  # what such parts are called
        ("controller", "voltage.max", "36 V", True),
        ("controller", "voltage.max", "48.1 V", False),
        ("joiners.joiner", "ceiling", "48 V", True),
        ("joiners.joiner", "ceiling", "60 V", False),
        ("controller", "low_voltage_cut", "39 V", False),
    ],
)
def test_a_name_for_a_voltage_is_no_limit(part: str, inner: str, text: str, asked: bool) -> None:
    draft = drafted()
    if asked:
        with pytest.raises(Again, match="what such parts are called"):
            put(draft, part, inner, text)
    else:
        put(draft, part, inner, text)
        assert draft.parts[part][inner] == text
    unlabelled = drafted()
    for pack in unlabelled.packs:
        del unlabelled.parts[pack]["label"]
    put(unlabelled, part, inner, text)


def test_a_blank_is_nothing_to_read() -> None:
    for text in ("worn off", "nothing printed"):
        with pytest.raises(Again, match="it stays open"):
            put(drafted(), "packs.first", "capacity", text)


@pytest.mark.parametrize(
    ("text", "sure", "doubt"),
    [
        ("30 A", "30 A", ""),
        ("30 A ?", "30 A", " ?"),
        ("30 A??", "30 A", " ?"),
        ("about 30 A", "30 A", " ?"),
        ("?", "", " ?"),
    ],
)
def test_a_word_of_doubt_is_a_question_mark(text: str, sure: str, doubt: str) -> None:
    assert sure_part(text) == (sure, doubt)


@pytest.mark.parametrize(
    ("text", "time"),
    [
        ("10", "10 s"),
        ("10 s", "10 s"),
        ("10 seconds", "10 s"),
        ("2 min", "2 min"),
        ("2 minutes", "2 min"),
        ("1.5", "1.5 s"),
    ],
)
def test_a_peak_has_its_time(text: str, time: str) -> None:
    draft = drafted()
    draft.falls = "18"
    seconds_of("controller", "battery_current.limit", "30")(draft, text)
    assert draft.parts["controller"]["battery_current.falls_to"] == f"18 A after {time}"
    assert seconds_of(FIRST, "discharge.continuous", "50")(draft, text) == ""
    assert draft.parts[FIRST]["discharge.peak"] == f"50 A for {time}"


def test_a_peak_without_a_number_is_asked_again() -> None:
    for text in ("a while", "10 h", "ten"):
        refused(seconds_of(FIRST, "discharge.continuous", "50"), drafted(), text, "A number of seconds")


@pytest.mark.parametrize(
    ("part", "inner", "text", "peak", "falls"),
    [
        (FIRST, "discharge.continuous", "25A continuous 50A peak", ("discharge.continuous", "50"), ""),
        (FIRST, "discharge.continuous", "25 A", None, ""),
    ],
)
def test_a_peak_in_an_answer_is_kept_for_its_time(
    part: str, inner: str, text: str, peak: tuple[str, str] | None, falls: str
) -> None:
    draft = drafted()
    put(draft, part, inner, text)
    assert (draft.peaks.get(part), draft.falls) == (peak, falls)
    assert draft.parts[part][inner] == "25 A"
    assert ((part, inner) in draft.remarks) is (peak is not None)


@pytest.mark.parametrize(
    ("count", "text", "given"),
    [
        (2, "20 A", ["20 A", "20 A"]),
        (2, "20, 30", ["20 A", "30 A"]),
        (2, "20; 30 A", ["20 A", "30 A"]),
        (2, "20, ?", ["20 A", None]),
        (3, "20/30/40 A", ["20 A", "30 A", "40 A"]),
        (3, "20/30/40", ["20 A", "30 A", "40 A"]),
        (3, "20A/30A/40A", ["20 A", "30 A", "40 A"]),
    ],
)
def test_one_answer_for_all_or_one_for_each(count: int, text: str, given: list[str | None]) -> None:
    draft = drafted(count)
    take_each(draft, tuple(draft.packs), "discharge.continuous", text)
    assert [draft.parts[pack].get("discharge.continuous") for pack in draft.packs] == given


def test_fewer_answers_than_parts_are_asked_again() -> None:
    draft = drafted(3)
    with pytest.raises(Again, match=r"2 answers for 3 parts\..*first, second, third"):
        take_each(draft, tuple(draft.packs), "discharge.continuous", "20, 30")
    with pytest.raises(Again, match="4 answers for 3 parts"):
        take_each(draft, tuple(draft.packs), "discharge.continuous", "20, 30, 40, 50")
    one = drafted(1)
    take_each(one, (FIRST,), "outlet", "XT60 socket")
    assert one.parts[FIRST]["outlet"] == "XT60 socket"


@pytest.mark.parametrize(
    ("text", "count", "told"),
    [
        ("2", 2, ""),
        ("2 packs", 2, "2"),
        ("both", 2, "2"),
        ("two of them", 2, "2"),
        ("one", 1, "1"),
        ("8", 8, ""),
        ("a couple", 2, "2"),
    ],
)
def test_how_many_packs(text: str, count: int, told: str) -> None:
    draft = Draft("bike")
    assert take_count(draft, text) == told
    assert draft.count == count


@pytest.mark.parametrize("text", ["0", "9", "many", "2 or 3", "2-3", "1.5", "2,5"])
def test_no_number_of_packs(text: str) -> None:
    refused(take_count, Draft("bike"), text, "from 1 to 8 is needed")


@pytest.mark.parametrize(
    ("text", "alike"),
    [
        ("yes", True),
        ("Yes.", True),
        ("the same", True),
        ("no", False),
        ("not the same", False),
        ("no, different", False),
        ("same", True),
        ("n", False),
        ("nope", False),
    ],
)
def test_yes_or_no(text: str, alike: bool) -> None:
    draft = drafted(2)
    assert take_alike(draft, text) == ""
    assert draft.alike is alike
    assert ("like" in draft.parts[SECOND]) is alike


@pytest.mark.parametrize(
    "text",
    ["yes but older", "yes, i think", "yes, not quite", "no, yes", "perhaps", "", "yes they aren't", "the"],
)
def test_neither_yes_nor_no(text: str) -> None:
    refused(take_alike, drafted(2), text, "Answer yes or no")


def test_how_many_go_into_one_joiner() -> None:
    draft = drafted(3)
    take_inlets(draft, "3")
    assert [path for path in draft.parts if path.startswith("joiners.")] == ["joiners.joiner"]
    assert draft.parts["joiners.joiner"] == {"inputs": "3"}
    take_inlets(draft, "2")
    assert [path for path in draft.parts if path.startswith("joiners.")] == ["joiners.joiner 1", "joiners.joiner 2"]
    assert draft.parts["joiners.joiner 1"] == {}  # two is what a joiner has
    assert [draft.parts[f"leads.{each}"] for each in ("third lead", "joiner 1 lead", "main lead")] == [
        {"from": "third", "to": "joiner 2"},
        {"from": "joiner 1", "to": "joiner 2"},
        {"from": "joiner 2", "to": "controller"},
    ]
    for text in ("1", "4"):
        refused(take_inlets, draft, text, "from 2 to 3 is needed")
    one = drafted(1)
    assert [path for path in one.parts if path.startswith(("joiners.", "leads."))] == ["leads.main lead"]


@pytest.mark.parametrize(
    ("text", "kind", "built_in"),
    [
        ("diode", "diode", False),
        ("ideal-diode", "ideal-diode", False),
        ("plain", "plain", False),
        ("built in", None, True),
        ("second port", None, True),
        ("it is in the controller", None, True),
        ("schottky in the controller", "diode", False),
    ],
)
def test_what_joins_the_packs(text: str, kind: str | None, built_in: bool) -> None:
    draft = drafted(2)
    take_joiner(draft, text)
    assert draft.parts["joiners.joiner"].get("type") == kind
    assert draft.built_in is built_in
    assert ("leads.main lead" in draft.parts) is not built_in
    assert draft.parts["joiners.joiner"].get("built_in") == ("yes" if built_in else None)


@pytest.mark.parametrize(
    ("text", "family", "seen", "told"),
    [
        ("XT60", "XT60", "", ""),
        ("xt60", "XT60", "", "XT60"),
        ("yellow XT60 plugs", "XT60", "", "XT60"),
        ("XT60-H", "XT60", "", "XT60"),
        ("XT60 i think", "", "XT60", "perhaps XT60: asked for again until its name was read"),
        ("differ", "", "", "each one is asked"),
    ],
)
def test_which_connectors(text: str, family: str, seen: str, told: str) -> None:
    draft = drafted(2)
    assert take_connectors(draft, text) == told
    assert (draft.family, draft.seen) == (family, seen)
    assert draft.like_seen("ends", "[XT90 pin, XT90 socket]") == (
        "[XT60 pin, XT60 socket]" if family or seen else "[XT90 pin, XT90 socket]"
    )


def test_a_connector_that_nobody_knows_is_asked_again() -> None:
    for text in ("a white one", "thing, maybe"):
        refused(take_connectors, drafted(2), text, "is not on the shelf")


@pytest.mark.parametrize("built_in", [False, True])
def test_sockets_towards_the_packs(built_in: bool) -> None:
    draft = drafted(2, alike=True)
    draft.family = "XT60"
    if built_in:
        draft.set_built_in()
    assert take_towards(draft, "no") == "then each one is asked"
    assert "outlet" not in draft.parts[FIRST]
    assert take_towards(draft, "yes") == ""
    assert draft.parts[FIRST]["outlet"] == "XT60 socket"
    assert "outlet" not in draft.parts[SECOND]  # it is like the first
    joiner = draft.parts["joiners.joiner"]
    assert (joiner["inlets"], joiner.get("outlet")) == ("XT60 pin", None if built_in else "XT60 socket")
    assert draft.parts["leads.first lead"]["ends"] == "[XT60 pin, XT60 socket]"
    assert draft.parts["controller"]["inlet"] == "XT60 pin"
