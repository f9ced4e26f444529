"""The file that grows at `packyoke start`: how it is written, and which question comes next."""

from __future__ import annotations

import pytest

from packyoke.answers.start.answer import from_options, template_text
from packyoke.answers.start.draft import Draft, Missing
from packyoke.answers.start.interview import Interview
from packyoke.answers.start.taking import Again, take_name
from packyoke.buildfile.reading import load
from packyoke.model import Build

FIRST, SECOND = "packs.first", "packs.second"


def lines(draft: Draft, *missing: Missing) -> list[str]:
    return [line.rstrip() for line in draft.text((), missing).splitlines()]


def test_how_the_file_is_written() -> None:
    draft = Draft("bike")
    draft.set_packs(1)
    draft.region = "EU"
    draft.put(FIRST, "discharge.continuous", "30 A", "said: 30")
    draft.put(FIRST, "fuse", "{family: blade, rating: 30 A}", "said: blade")
    draft.put("controller", "voltage.max", "60 V")
    take_name(draft, "Mail bike")
    found = lines(
        draft,
        Missing("build", "warmest", "30 degC", "a look"),
        Missing(FIRST, "outlet", "XT60 socket", "look"),
        Missing(FIRST, "bms.data", "none", "try"),
        Missing(FIRST, "bms.wakes", "always", "see"),
        Missing("controller", "voltage.min", "36 V", "label"),
        Missing("bike", "mass", "25 kg", "scales"),
    )
    bare = [line.partition("  #")[0].rstrip() if not line.strip().startswith("#") else line for line in found]
    assert found[:4] == ["packyoke: 1", "name: Mail bike", "region: EU", "# warmest: 30 degC".ljust(44) + "  # a look"]
    assert bare[4:6] == ["", "bike:"]
    assert found[6] == "  # mass: 25 kg".ljust(44) + "  # scales"
    at = found.index("packs:")
    assert found[at + 1] == "  first:"
    assert bare[at + 2 : at + 6] == ["    discharge: 30 A", "    fuse:", "      family: blade", "      rating: 30 A"]
    assert found[at + 2].endswith("# said: 30")  # a line of its own keeps its remark
    assert found[at + 4].endswith("# said: blade")
    assert found[at + 5] == "      rating: 30 A"
    assert found[at + 6] == "    # outlet: XT60 socket".ljust(44) + "  # look"
    assert found[at + 7] == "    # bms: {data: none, wakes: always}".ljust(44) + "  # try; see"
    controller = found.index("controller:")
    assert found[controller + 1 : controller + 3] == ["  voltage:", "    max: 60 V"]
    assert found[controller + 3] == "    # min: 36 V".ljust(44) + "  # label"
    bare_draft = Draft("bike")
    bare_draft.set_packs(1)
    assert "region:" not in bare_draft.text()


def test_a_mapping_with_one_line_is_short_only_where_that_is_its_meaning() -> None:
    draft = Draft("bike")
    draft.set_packs(1)
    draft.put(FIRST, "discharge.continuous", "30 A")
    draft.put(FIRST, "bms.data", "none")
    assert "    discharge: 30 A" in lines(draft)
    assert "    bms:" in lines(draft)
    assert "    discharge:" in lines(draft, Missing(FIRST, "discharge.peak", "50 A for 10 s", "label"))
    draft.put(FIRST, "discharge.peak", "50 A for 10 s")
    assert "    discharge:" in lines(draft)
    draft.put("leads.main lead", "ends", "{a: b}")
    assert draft.parts["leads.main lead"]["ends"] == "{a: b}"  # a pair of ends is no mapping


def test_options_in_place_of_answers() -> None:
    made = from_options("bike", {"packs": "2", "label": "48V", "joiner": "diode", "region": "Germany"}, "2027-05-14")
    assert made.draft.parts["joiners.joiner"]["type"] == "diode"
    assert made.draft.parts[SECOND] == {"like": "first"}
    assert made.draft.region
    with pytest.raises(Again, match="--packs is needed"):
        from_options("bike", {"label": "48V"}, "2027-05-14")
    with pytest.raises(Again, match="one pack needs no joiner"):
        from_options("bike", {"packs": "1", "joiner": "diode"}, "2027-05-14")
    from_options("bike", {"packs": "1"}, "2027-05-14")
    with pytest.raises(Again, match="--region nowhere land"):
        from_options("bike", {"packs": "1", "region": "nowhere land"}, "2027-05-14")
    with pytest.raises(Again, match="--controller lots"):
        from_options("bike", {"packs": "1", "controller": "lots"}, "2027-05-14")
    with pytest.raises(Again, match="--packs many"):
        from_options("bike", {"packs": "many"}, "2027-05-14")


def test_the_template_has_every_line_that_a_verdict_needs_once() -> None:
    text = template_text("bike.yaml")
    packs = text[text.index("packs:") : text.index("  second:")]
    keys = [line.strip("# ").partition(":")[0] for line in packs.splitlines()[2:]]
    assert "label" in keys
    assert len({*keys}) >= 5
    assert not {"built_in", "bonded", "regen", "series", "full_charge"} & {*keys}
    controller = text[text.index("controller:\n") :]
    assert controller.count("capacitance") == 1
    assert "# voltage: {" in controller
    assert "inputs: 2" in text
    assert text.count("inputs") == 1
    assert isinstance(load(text, "bike"), Build)


def first_questions(replies: dict[str, str], until: str = "limit") -> list[str]:
    """The keys of the opening questions, with these answers and none to the others."""
    interview, asked = Interview("bike", "2027-05-14"), []
    while (one := interview.next()) is not None:
        asked.append(one.key)
        if one.key == until:
            break
        interview.answer(one, replies.get(one.key, ""))
    return asked


@pytest.mark.parametrize(
    ("replies", "asked"),
    [
        ({"packs": "1"}, ["name", "packs", "packs.first label", "packs.first charger", "limit"]),
        (
            {"packs": "2", "alike": "yes"},
            ["name", "packs", "alike", "joiner", "packs.first label", "packs.first charger", "limit"],
        ),
        (
            {"packs": "2", "alike": "no", "packs.second label": "same as first"},
            [
                "name",
                "packs",
                "alike",
                "joiner",
                "packs.first label",
                "packs.first charger",
                "packs.second label",
                "limit",
            ],
        ),
        (
            {"packs": "3", "alike": "yes"},
            ["name", "packs", "alike", "inlets", "joiner", "packs.first label", "packs.first charger", "limit"],
        ),
    ],
)
def test_what_every_bike_is_asked(replies: dict[str, str], asked: list[str]) -> None:
    replies = {"packs.first label": "48V", **replies}
    assert first_questions(replies) == asked


def test_what_is_needed_to_go_on_cannot_be_left_out() -> None:
    interview = Interview("bike", "2027-05-14")
    one = interview.next()
    assert one is not None
    assert not interview.back()
    interview.answer(one, "")
    assert interview.answered == 1
    packs = interview.next()
    assert packs is not None
    with pytest.raises(Again, match="needed to go on"):
        interview.answer(packs, "")
    with pytest.raises(Again, match="needed to go on"):
        interview.answer(packs, "no idea")
    interview.answer(packs, "2")
    alike = interview.next()
    assert alike is not None
    with pytest.raises(Again, match="yes or no"):
        interview.answer(alike, "don't know")
    assert interview.answer(alike, "") == "no, each by itself"
    assert interview.back()
    assert interview.back()
    again = interview.next()
    assert again is not None
    assert again.key == "packs"


def test_a_topic_that_is_skipped_is_not_asked_and_the_two_that_are_needed_are() -> None:
    interview = Interview("bike", "2027-05-14")
    interview.skip("start")
    one = interview.next()
    assert one is not None
    assert one.key == "packs"
    interview.answer(one, "1")
    interview.skip("label")
    assert interview.report is not None
    two = interview.next()
    assert two is None or two.topic != "label"
    assert interview.back()
    assert interview.report is None
