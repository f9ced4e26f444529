"""Answers at `packyoke start` in the words that people have: what is doubted stays a guess."""

from __future__ import annotations

import re
from functools import cache

import pytest

from packyoke.answers.start.draft import Draft
from packyoke.answers.start.interview import Asked, Interview
from packyoke.answers.start.taking import Again
from packyoke.api import Build, load
from packyoke.buildfile.reading.spoken_words import is_unknown

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
def questions() -> dict[str, tuple[Asked, Draft]]:
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
    draft = before.copy()
    if not is_unknown(text) and text:
        asked.take(draft, text)
    if not isinstance(load(draft.text(), "bike"), Build):
        raise Again("the reader refuses it")
    return draft


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
    ["idk", "don't know", "i dont know", "dunno", "No clue.", "sorry, no idea", "?", "", "can\u2019t see it", "pass",
     "not that I know of", "haven't looked yet", "hard to say", "maybe", "I really don't know", "not sure"],
)  # fmt: skip
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
    interview.answer(asked, "30A, 40A, 50A")
    given = [interview.draft.parts[pack]["discharge.continuous"] for pack in interview.draft.packs]
    assert given == ["30 A", "40 A", "50 A"]
