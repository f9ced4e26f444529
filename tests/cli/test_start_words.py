"""Answers at `packyoke start` in the words that people have: what is doubted stays a guess."""

from __future__ import annotations

import re
from functools import cache

import pytest

from packyoke.answers.start.answer import file_text, from_options
from packyoke.answers.start.draft import Draft
from packyoke.answers.start.interview import DraftQuestion, Interview
from packyoke.answers.start.taking import Again, take_connectors, take_each
from packyoke.api import Build, load
from packyoke.buildfile.reading.number_words import in_figures

DOUBTS = (
    "{} i think",
    "i believe {}",
    "probably {}",
    "{}, not sure",
    "should be {}",
    "~{}",
    "{}??",
    "{} if i remember",
)
FACTS = {
    "packs.first label": "48V 14Ah 13S NMC",
    "packs.first charger": "54.6V 4A",
    "limit": "25 A",
    "joiner": "diode",
    "packs.chemistry": "NMC",
    "packs.discharge.continuous": "30 A",
    "controller.voltage.max": "63 V",
    "joiners.current.continuous": "40 A",
    "joiners.ceiling": "75 V",
    "packs.bms.data": "none",
    "packs.bms.charge_path": "same",
    "bike.drive.type": "geared hub",
    "controller.low_voltage_cut": "39 V",
}


@cache
def questions() -> dict[str, tuple[DraftQuestion, Draft]]:
    """Every question to somebody who knows only what he must say, with the draft as it is then: worked out once."""
    interview = Interview("bike", "2027-05-14")
    found = {}
    while (asked := interview.next()) is not None:
        found[asked.key] = asked, interview.draft
        reply = {
            "packs.first label": "48V 14Ah",
            "packs": "2",
            "alike": "yes",
            "joiner": "diode",
            "packs.fuse.fuse": "30 A",
        }.get(asked.key, "")
        interview.answer(asked, reply)
    return found


def told(key: str, text: str) -> Draft:
    """The draft after an answer. Raises Again, also where the file could not be read."""
    asked, before = questions()[key]
    interview = Interview("bike", "2027-05-14")
    interview.draft = before
    interview.answer(asked, text)
    return interview.draft


def lines(draft: Draft) -> set[str]:
    """The lines with a value, without remarks."""
    found = {line.partition("  #")[0].rstrip() for line in draft.text().splitlines()}
    return {line for line in found if not line.endswith(":")}


@pytest.mark.parametrize("key", FACTS)
def test_a_word_of_doubt_makes_a_guess_of_every_answer(key: str) -> None:
    """What the plain answer writes is written with a question mark, or asked again; never as a fact."""
    facts = lines(told(key, FACTS[key])) - lines(questions()[key][1])
    assert facts
    for doubt in DOUBTS:
        now = lines(told(key, doubt.format(FACTS[key])))
        assert not facts & now, doubt
        assert sum(line.endswith("?") for line in now) >= len(facts), (doubt, now)


@pytest.mark.parametrize(
    ("key", "typed"),
    [
        ("controller.regen", "yes"),
        ("controller.voltage.max", "48V"),
        ("bike.drive.type", "rear hub"),
        ("packs.fuse.fuse", "thing"),
        ("packs.discharge.continuous", "max 30A"),
        ("packs.bms.data", "yes"),
        ("packs.chemistry", "nm c"),
        ("packs.bms.charge_path", "seperate"),
    ],
)
def test_what_a_refusal_tells_to_write_is_taken(key: str, typed: str) -> None:
    with pytest.raises(Again) as refused:
        told(key, typed)
    said = str(refused.value)
    assert "line out" not in said
    written = re.findall(r"(?:[Ww]rite(?: for example)?|mean|or|:)  (\S(?:.*?\S)??)(?=  |[.] |[.]?$)", said)
    for each in written:
        if "..." not in each:  # a form to fill in
            told(key, each.rstrip("."))


@pytest.mark.parametrize(
    "typed",
    [
        "idk",
        "don't know",
        "i dont know",
        "dunno",
        "No clue.",
        "sorry, no idea",
        "?",
        "",
        "can\u2019t see it",
        "pass",
        "not that I know of",
        "haven't looked yet",
        "hard to say",
        "maybe",
        "I really don't know",
        "not sure",
    ],
)
def test_not_known_in_many_words(typed: str) -> None:
    assert told("packs.bms.data", typed).text() == questions()["packs.bms.data"][1].text()


@pytest.mark.parametrize("typed", ["no", "none", "nothing", "not fitted"])
def test_looked_and_found_none_is_no_unknown(typed: str) -> None:
    assert told("packs.fuse.fuse", typed).parts["packs.first"]["fuse"] == "none"


@pytest.mark.parametrize(
    ("typed", "output", "amps"),
    [
        ("INPUT 100-240V 1.5A OUTPUT 54.6V 4A", "54.6 V", "4 A"),
        ("54.6V 4A output", "54.6 V", "4 A"),
        ("OUTPUT: 54.6V 4A, input 230V 2A", "54.6 V", "4 A"),
        ("output 54.6 V / 4 A", "54.6 V", "4 A"),
        ("54.6 volts, 4 amperes", "54.6 V", "4 A"),
    ],
)
def test_what_stands_after_output(typed: str, output: str, amps: str) -> None:
    assert told("packs.first charger", typed).parts["chargers.charger"] == {"output": output, "current": amps}


def test_as_many_answers_as_parts_or_one() -> None:
    """`30 A, 40 A` for three packs are not 30 A and a peak of 40 A."""
    interview = Interview("bike", "2027-05-14")
    replies = {"packs": "3", "alike": "no", "inlets": "3", "joiner": "diode"}
    while (asked := interview.next()) is not None and asked.key != "packs.discharge.continuous":
        if asked.key == "packs.third label":
            with pytest.raises(Again, match="same as first"):
                interview.answer(asked, "same")
        interview.answer(asked, replies.get(asked.key, "48V 14Ah" if asked.key.endswith("label") else ""))
    assert asked is not None
    assert len(asked.parts) == 3
    with pytest.raises(Again, match="2 answers for 3 parts"):
        interview.answer(asked, "30 A, 40 A")
    for typed in ("30A, 40A, 50A", "30/40/50", "30 / 40 / 50A"):
        interview.answer(asked, typed)
        given = [interview.draft.parts[pack]["discharge.continuous"] for pack in interview.draft.packs]
        assert given == ["30 A", "40 A", "50 A"], typed
        interview.back()


def test_enter_at_are_they_the_same_model_goes_on_with_no() -> None:
    """Enter is "not known" at every question, and each pack by itself is right for two of one model as well."""
    interview = Interview("bike", "2027-05-14")
    for key, reply in (("name", ""), ("packs", "2"), ("alike", "")):
        asked = interview.next()
        assert asked is not None
        assert asked.key == key
        interview.answer(asked, reply)
    assert not interview.draft.alike
    assert "like" not in interview.draft.text()


@pytest.mark.parametrize(
    ("label", "chemistry"),
    [
        ("36 volts 13 amp hours Li-Ion", "NMC ?"),
        ("Lithium-Ion 36V 13 ampere hours", "NMC ?"),
        ("Li-Ion (NMC) 36V 13Ah", "NMC"),
        ("lithium iron phosphate 36V 13Ah", "LFP"),
        ("lithium 36V 13Ah", None),
        ("Li-Ion 36V 13Ah i think", "NMC ?"),
    ],
)
def test_a_label_that_names_the_cells_is_not_asked_for_them(label: str, chemistry: str | None) -> None:
    draft = told("packs.first label", label)
    assert draft.parts["packs.first"].get("chemistry") == chemistry
    assert draft.parts["packs.first"]["capacity"].startswith("13 Ah")


@pytest.mark.parametrize(
    ("key", "typed", "field", "value"),
    [
        ("packs.condition", "all fine", "condition", "sound"),
        ("packs.bms.data", "no, live", "bms.data", "optional"),
        ("packs.bms.data", "nope", "bms.data", "none"),
    ],
)
def test_answers_of_people_at_the_bike(key: str, typed: str, field: str, value: str) -> None:
    assert told(key, typed).parts["packs.first"][field] == value


@pytest.mark.parametrize("typed", ["30 amp car blade each", "30A blade, both", "car blade 30 amps"])
def test_a_fuse_in_a_few_words(typed: str) -> None:
    found = told("packs.fuse.fuse", typed).parts["packs.first"]
    assert (found["fuse.family"], found["fuse.rating"]) == ("blade", "30 A")


@pytest.mark.parametrize(
    ("inner", "typed", "value"),
    [
        ("outlet", "XT60 socket for both", "XT60 socket"),
        ("outlet", "XT60 socket, both", "XT60 socket"),
        ("outlet", "both XT60 socket", "XT60 socket"),
        ("outlet", "both are XT60 socket", "XT60 socket"),
        ("outlet", "all of them: XT60 socket", "XT60 socket"),
        ("outlet", "XT60 socket on each of them", "XT60 socket"),
        ("discharge.continuous", "30 A each", "30 A"),
        ("condition", "fine for both packs", "sound"),
        ("condition", "both are fine", "sound"),
    ],
)
def test_one_answer_for_both_is_taken_for_both(inner: str, typed: str, value: str) -> None:
    """`XT60 socket, both` was one for each, and the second of them "both"."""
    draft = Draft("bike")
    draft.set_packs(2)
    draft.set_alike(False)
    parts = ("packs.first", "packs.second")
    take_each(draft, parts, inner, typed)
    assert [draft.parts[part][inner] for part in parts] == [value, value]


@pytest.mark.parametrize(
    "typed",
    ["XT60", "XT60 for both", "both XT60", "XT60 on both ends", "XT60, all of them", "XT60 each", "XT60 everywhere"],
)
def test_one_family_of_connectors_is_taken_for_all(typed: str) -> None:
    draft = Draft("bike")
    take_connectors(draft, typed)
    assert draft.family == "XT60"


@pytest.mark.parametrize(
    "typed", ["XT60 and XT90", "XT60 for both packs, XT90 at the controller", "XT60 for the packs"]
)
def test_several_families_are_asked_about(typed: str) -> None:
    with pytest.raises(Again, match="differ"):
        take_connectors(Draft("bike"), typed)


@pytest.mark.parametrize(
    ("typed", "known"),
    [
        ("rear wheel, spins freely", "geared hub"),
        ("it is in the front wheel and freewheels", "geared hub"),
        ("hub motor, direct drive", "direct-drive hub"),
    ],
)
def test_how_a_motor_turns_says_what_it_is(typed: str, known: str) -> None:
    assert f"type: {known}" in told("bike.drive.type", typed).text()


@pytest.mark.parametrize("typed", ["rear wheel", "front wheel, does not turn freely", "rear wheel, maybe spins freely"])
def test_where_a_motor_sits_does_not(typed: str) -> None:
    with pytest.raises(Again):
        told("bike.drive.type", typed)


def test_not_known_and_why_leaves_a_figure_open_and_drops_nothing_that_was_seen() -> None:
    interview = Interview("bike", "2027-05-14")
    replies = {"packs.first label": "48V 14Ah", "packs": "2", "alike": "yes", "joiner": "diode"}
    tried = []
    while (asked := interview.next()) is not None and len(tried) < 2:
        if asked.key == "joiners.current.continuous":
            for typed in ("dont know, black box", "no idea (sealed)", "can't see it; under the seat"):
                before = interview.draft.text()
                assert interview.answer(asked, typed) == ""
                assert interview.draft.text() == before
                interview.back()
            for typed in ("dont know, 40 A each or so", "black box"):
                with pytest.raises(Again):
                    interview.answer(asked, typed)
            tried.append(asked.key)
        if asked.key == "packs.condition":
            interview.answer(asked, "don't know, there is a dent")
            assert "condition: dropped" in interview.draft.text(), "of two packs it is the second that has it"
            interview.back()
            tried.append(asked.key)
        interview.answer(asked, replies.get(asked.key, ""))
    assert len(tried) == 2


def test_each_line_of_parts_that_nobody_knew_can_be_filled_in() -> None:
    """Its number sign away, nothing else: as the head of the file says."""
    interview = from_options("bike", {"packs": "2"}, "2027-05-14")
    lines = file_text(interview, "bike.yaml", "2027-05-14").splitlines()
    marked = [at for at, line in enumerate(lines) if re.match(r" +# [a-z_]+: ", line)]
    assert {lines[at].split()[1] for at in marked} >= {"chemistry:", "ceiling:", "voltage:", "drive:", "bms:"}
    for at in marked:
        one = [*lines[:at], lines[at].replace("# ", "", 1), *lines[at + 1 :]]
        assert isinstance(load("\n".join(one), "bike"), Build), lines[at]
    packs = "\n".join(line.replace("# ", "", 1) if at in marked and at < 25 else line for at, line in enumerate(lines))
    assert isinstance(load(packs, "bike"), Build)


@pytest.mark.parametrize(
    ("key", "typed", "line"),
    [
        ("packs.discharge.continuous", "twenty five", "25 A"),
        ("packs.discharge.continuous", "Twenty-five amps", "25 A"),
        ("packs.discharge.continuous", "about twenty", "20 A ?"),
        ("packs.discharge.continuous", "one hundred and five", "105 A"),
        ("packs.discharge.continuous", "twenty two point five amps", "22.5 A"),
        ("packs.discharge.continuous", "25 A peak, 18 cont", "18 A"),
        ("packs.discharge.continuous", "18 cont 25 peak", "18 A"),
        ("packs.discharge.continuous", "peak 25A, cont 18A", "18 A"),
        ("packs.discharge.continuous", "dauernd 18A, Spitze 25A", "18 A"),
        ("packs.discharge.continuous", "25A Dauer", "25 A"),
        ("controller.low_voltage_cut", "thirty nine volts", "39 V"),
        ("limit", "twenty", "20 A"),
        ("packs.first charger", "fifty four point six volts, four amps", "54.6 V"),
        ("packs.first label", "forty eight volts fourteen amp hours", "48 V"),
        ("packs.condition", "old and swollen", "condition: swollen"),
        ("packs.condition", "scratched and wet", "condition: wet"),
        ("packs.bms.charge_path", "round charge socket", "separate"),
        ("packs.bms.charge_path", "through the outlet", "common"),
        ("packs.bms.data", "only plus and minus", "data: none"),
        ("packs.fuse.fuse", "Flachsicherung 30A", "family: blade"),
        ("packs.fuse.fuse", "inside i think", "fuse: inside ?"),
        ("packs.fuse.fuse", "keine", "fuse: none"),
        ("joiner", "Y-Kabel", "type: plain"),
        ("bike.drive.type", "rear hub, clicks", "type: geared hub"),
        ("bike.drive.type", "Mittelmotor", "type: mid motor"),
        ("controller.regen", "nein", "regen: none"),
    ],
)
def test_what_people_say_of_their_bikes_is_taken(key: str, typed: str, line: str) -> None:
    fresh = lines(told(key, typed)) - lines(questions()[key][1])
    assert any(line in each for each in fresh), fresh


@pytest.mark.parametrize(
    ("key", "typed", "asks"),
    [
        ("packs.discharge.continuous", "22,5 A", "22.5 A"),
        ("packs.discharge.continuous", "two twenty", "Write a number"),
        ("packs.discharge.continuous", "cont 40A, 20A", "Write a number"),
        ("packs.discharge.continuous", "40A cont, 20A peak", "two"),
        ("packs.discharge.continuous", "twenty or thirty", "two numbers"),
        ("packs.fuse.fuse", "30", "30 A"),
        ("packs.fuse.fuse", "yes 30", "30 A"),
        ("packs.bms.data", "5 pins", "Unplug the data contacts"),
        ("packs.bms.charge_path", "the charge port is the same as the outlet", "separate"),
        ("joiner", "y-kable", "type: plain"),
        ("connectors", "xt 60s and bullets", "differ"),
        ("packs.condition", "old", "Look for swelling"),
        ("bike.drive.type", "hinten", "Turn the wheel"),
    ],
)
def test_what_may_be_two_things_is_asked(key: str, typed: str, asks: str) -> None:
    with pytest.raises(Again, match=re.escape(asks)):
        told(key, typed)


@pytest.mark.parametrize(
    "typed",
    [
        "can't tell from the photo",
        "not visible on the picture",
        "too blurry",
        "weiß nicht",
        "keine Ahnung",
        "not on it",
    ],
)
@pytest.mark.parametrize(
    "key", ["packs.discharge.continuous", "packs.condition", "packs.fuse.fuse", "packs.first label"]
)
def test_what_cannot_be_seen_is_not_known(key: str, typed: str) -> None:
    assert told(key, typed).text() == questions()[key][1].text()


@pytest.mark.parametrize("key", ["packs.first label", "packs.first charger", "limit", "packs.discharge.continuous"])
@pytest.mark.parametrize("typed", ["dont know, black box", "no idea (worn off)"])
def test_a_figure_that_nobody_knows_is_not_taken_for_a_text(key: str, typed: str) -> None:
    """A label is text as well: "dont know, black box" was written down as what stands on it."""
    assert told(key, typed).text() == questions()[key][1].text()


@pytest.mark.parametrize("typed", ["22,5", "22,5 A", "1,5A, 2,5A"])
def test_a_tight_comma_is_no_list_of_two_answers(typed: str) -> None:
    """For two packs "22,5" was 22 A and 5 A."""
    interview = Interview("bike", "2027-05-14")
    replies = {"packs": "2", "alike": "no", "joiner": "diode"}
    while (asked := interview.next()) is not None and asked.key != "packs.discharge.continuous":
        interview.answer(asked, replies.get(asked.key, "48V 14Ah" if asked.key.endswith("label") else ""))
    assert asked is not None
    assert len(asked.parts) == 2
    before = interview.draft.text()
    with pytest.raises(Again, match="write a point"):
        interview.answer(asked, typed)
    assert interview.draft.text() == before
    interview.answer(asked, "22 A, 5 A")
    assert [interview.draft.parts[pack]["discharge.continuous"] for pack in interview.draft.packs] == ["22 A", "5 A"]


@pytest.mark.parametrize(
    ("typed", "figures"),
    [
        *(
            (f"{ten} {one}", f"{tens}{ones}")
            for ten, tens in (("twenty", 2), ("ninety", 9))
            for one, ones in (("one", 1), ("nine", 9))
        ),
        ("a hundred", "100"),
        ("five hundred", "500"),
        ("two hundred and forty", "240"),
        ("four and a half A", "4.5 A"),
        ("half a metre", "0.5 metre"),
        ("none", "none"),
        ("anyone", "anyone"),
        ("a few", "a few"),
        ("48V, two of them", "48V, 2 of them"),
        ("two twenty five", "two twenty five"),
        ("twenty. thirty", "20. 30"),
    ],
)
def test_numbers_in_letters(typed: str, figures: str) -> None:
    assert in_figures(typed) == figures
