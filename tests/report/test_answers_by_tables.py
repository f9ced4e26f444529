"""Small answers of the commands, each at both sides of what decides it."""

from __future__ import annotations

import json

import pytest

from packyoke.answers.changes import FindingChange, ToldFinding
from packyoke.answers.compare.differences import akin, compared
from packyoke.answers.compare.many import Folder, Pair, of_folders
from packyoke.answers.inherited import PARTS, inherited
from packyoke.answers.results import NotAResult, is_result, read_result
from packyoke.answers.sheet.called import called
from packyoke.answers.start.taking import as_answer, plain_words, spaced
from packyoke.api import check
from packyoke.buildfile.reading import Shop, load, load_shop
from packyoke.model import Build
from tests.planning.bikes import build_of
from tests.support import edited


@pytest.mark.parametrize(
    ("names", "letters"),
    [
        (["x" * 40], []),  # one pack is never mistaken for another
        (["x" * 20, "y" * 20], []),
        (["x" * 20, "y" * 21], ["A", "B"]),
        (["a", "b", "c"], []),
        (["a", "b", "c", "d"], ["A", "B", "C", "D"]),
    ],
)
def test_packs_get_letters_where_their_names_are_many_or_long(names: list[str], letters: list[str]) -> None:
    build = build_of(edited("skerry-long-tail"))
    packs = dict.fromkeys(names, build.packs["keel"])
    found = called(build.but(packs=packs))
    assert [*found.letters.values()] == letters
    short = found.short(names[0])
    assert short == (letters[0] if letters else names[0])
    assert found.full(names[0]) == (f"{short} ({names[0]})" if letters else short)


@pytest.mark.parametrize(
    ("typed", "file"),
    [
        ("20A", "20 A"),
        ("20 amps", "20 A"),
        ("20 amp", "20 A"),
        ("48 volts", "48 V"),
        ("48v", "48 V"),
        ("12awg", "12 AWG"),
        ("2.5mm2", "2.5 mm2"),
        ("20A ?", "20 A ?"),
        ("95%", "95 %"),
        ("twenty", "twenty"),
        ("20 A 30", "20 A 30"),
    ],
)
def test_an_answer_is_spaced_as_the_file_is_read(typed: str, file: str) -> None:
    assert spaced(typed) == file


@pytest.mark.parametrize(
    ("file", "said"),
    [
        ("Leave the line out.", "Press Enter."),
        ("Look, or leave the line out.", "Look, or press Enter."),
        ("Leave the line out when it is not known: it is asked for.", "Press Enter."),
        ("Write 20 A", "Write 20 A."),
        ("Which?", "Which?"),
    ],
)
def test_whoever_answers_has_no_line_to_leave_out(file: str, said: str) -> None:
    assert as_answer(file) == said


def test_a_value_in_braces_is_said_without_them() -> None:
    assert plain_words("{family: blade, rating: 30 A}") == "blade, 30 A"
    assert plain_words("30 A: as told") == "30 A: as told"


def figures(old: Build, new: Build) -> dict[str, tuple[float | None, float | None]]:
    found = compared(old, new, check(old), check(new))
    return {each.name: (each.before, each.after) for each in found.figures}


def test_a_sum_of_packs_is_none_where_one_of_them_is_not_known() -> None:
    """3.5 kg and 4 kg are 7.5 kg; 3.5 kg and something are no figure."""
    known = build_of(edited("skerry-long-tail", {"packs.keel.mass": "3.5 kg", "packs.pannier.mass": "4 kg"}))
    one = build_of(edited("skerry-long-tail", {"packs.keel.mass": "3.5 kg"}, ["packs.pannier.mass"]))
    one = one.but(packs={**one.packs, "pannier": one.packs["pannier"].but(mass_kg=None)})
    assert figures(known, one)["mass of the packs"] == (pytest.approx(7.5), None)
    less = known.but(packs={**known.packs, "keel": known.packs["keel"].but(capacity_coulomb=None)})
    before, after = figures(known, less)["energy by the labels"]
    assert before is not None
    assert after is None


@pytest.mark.parametrize(
    ("name", "packs", "joiners", "same"),
    [
        ("Skerry", ("keel",), (), True),
        ("other", ("keel",), (), True),
        ("other", (), ("yoke",), True),
        ("Skerry long-tail", (), (), True),
        ("other", ("x",), ("z",), False),
    ],
)
def test_two_builds_can_be_one_bike_by_a_name_a_pack_or_a_joiner(
    name: str, packs: tuple[str, ...], joiners: tuple[str, ...], same: bool
) -> None:
    build = build_of(edited("skerry-long-tail"))
    name = build.name if name.startswith("Skerry") else name
    pack, joiner = build.packs["keel"], build.joiners["yoke"]
    other = build.but(name=name, packs=dict.fromkeys(packs, pack), joiners=dict.fromkeys(joiners, joiner))
    assert akin(build, other) is same


STOP = ToldFinding("rule", "p", "p", "stop", "", None, None, "", False, "x", 1)
CAUTION = STOP._replace(severity="caution")


@pytest.mark.parametrize(
    ("before", "after", "turns", "refused", "answered"),
    [
        ("none-found", "stop", (FindingChange("new", STOP, None),), True, False),
        ("none-found", "caution", (FindingChange("new", CAUTION, None),), False, True),
        ("", "stop", (FindingChange("new", STOP, None),), False, False),  # a new file was not made worse
        ("", "none-found", (), False, True),
        ("stop", "stop", (), False, False),
        ("open", "open", (), False, False),
        ("stop", "", (), False, True),  # it is not there any more
        ("stop", "none-found", (FindingChange("gone", STOP, STOP),), False, True),
    ],
)
def test_a_build_of_many_is_refused_for_what_was_not_there_before(
    before: str, after: str, turns: tuple[FindingChange, ...], refused: bool, answered: bool
) -> None:
    pair = Pair("x.yaml", "x", before, after, turns)
    assert (pair.refused, pair.answered) == (refused, answered)
    assert pair.changed is (bool(turns) or before != after)


@pytest.mark.parametrize(
    ("before", "after", "unreadable"),
    [("stop", "open", False), ("unreadable", "open", True), ("open", "no build", True), ("", "retired", False)],
)
def test_what_could_not_be_read_is_counted(before: str, after: str, unreadable: bool) -> None:
    assert Pair("x", "x", before, after).unreadable is unreadable


def test_of_two_folders_each_build_is_known_by_its_path() -> None:
    report = check(build_of(edited("skerry-long-tail")))
    old = Folder("old", {"a.yaml": report, "b.yaml": report}, {"c.yaml": "retired", "d.yaml": "YAML of something else"})
    new = Folder("new", {"a.yaml": report, "c.yaml": report, "d.yaml": report}, {"b.yaml": "retired"})
    found = {each.file: (each.before, each.after) for each in of_folders(old, new).pairs}
    verdict = report.verdict
    assert found == {
        "a.yaml": (verdict, verdict),
        "b.yaml": (verdict, "retired"),
        "c.yaml": ("retired", verdict),
        "d.yaml": ("no build", verdict),
    }
    assert of_folders(old, new).unreadable == 1


@pytest.mark.parametrize(
    ("text", "result"),
    [
        (b' {"schema": "x"}', True),
        (b"[1]", True),
        (b"packyoke: 1", False),
        (b'{"packyoke": 1}', False),
        (b"{packyoke: 1}", False),
        (b"", False),
    ],
)
def test_a_result_is_told_from_a_build(text: bytes, result: bool) -> None:
    assert is_result(text) is result


FINDING = {"rule": "r", "part": "packs.a", "severity": "stop", "message": "m", "fingerprint": "f"}
BUILD = {"file": "a.yaml", "name": "a", "verdict": "stop", "findings": [FINDING]}
RESULT = {"schema": "packyoke/check/1", "tool": "1", "rules": "1", "shelf": "1", "builds": [BUILD]}


def read(**changed: object) -> object:
    return read_result(json.dumps({**RESULT, **changed}).encode())


def test_a_stored_result_is_read_with_what_may_be_missing() -> None:
    found = read_result(json.dumps(RESULT).encode())
    (told,) = found.builds["a.yaml"].findings.values()
    assert (told.label, told.line, told.relation, told.accepted, told.found) == ("a", 1, "", False, None)
    assert (found.only, found.builds["a.yaml"].fingerprint) == (None, "")
    endless = {**FINDING, "found": {"value": None, "unit": "A"}, "limit": {"value": 2, "unit": "A"}, "line": 7}
    found = read_result(json.dumps({**RESULT, "only": ["r"], "builds": [{**BUILD, "findings": [endless]}]}).encode())
    (told,) = found.builds["a.yaml"].findings.values()
    assert (told.found, str(told.limit), told.line) == (None, "2 A", 7)
    assert found.only == frozenset({"r"})


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"schema": "packyoke/check/0"}, "written by another packyoke"),
        ({"schema": "packyoke/plan/1"}, "the answer of another command"),
        ({"schema": 1}, "it is not of the schema"),
        ({"builds": [BUILD, BUILD]}, "stands in it twice"),
        ({"builds": {}}, "the result has no builds"),
        ({"tool": None}, "the result has no tool"),
        ({"builds": [{**BUILD, "verdict": "good"}]}, 'the verdict "good"'),
        ({"builds": [{**BUILD, "findings": [{**FINDING, "severity": "bad"}]}]}, 'the severity "bad"'),
        ({"builds": [{**BUILD, "findings": [{**FINDING, "found": 3}]}]}, "found is no figure"),
        ({"builds": [{**BUILD, "findings": [{**FINDING, "found": {"value": True, "unit": "A"}}]}]}, "is no figure"),
        ({"builds": [{**BUILD, "findings": [{**FINDING, "found": {"value": 3}}]}]}, "has no unit"),
    ],
)
def test_a_stored_result_that_is_none_is_said_to_be_none(changed: dict[str, object], said: str) -> None:
    with pytest.raises(NotAResult, match=said):
        read(**changed)


def test_what_came_from_the_shop_file_is_named_as_far_as_it_is_asked_for() -> None:
    shop = load_shop(
        "packyoke-shop: 1\ndefaults: {region: EU, warmest: 35 degC}\n"
        "shelf:\n  packs:\n    long 20: {chemistry: NMC, series: 13}\n",
        "shop",
    )
    text = "packyoke: 1\nname: x\npacks:\n  a: {part: long 20}\n  b: {chemistry: NMC, series: 13}\n"
    assert isinstance(shop, Shop), shop
    build = load(text, "x", shop=shop)
    assert isinstance(build, Build), build
    every, parts, region = inherited(build), inherited(build, PARTS), inherited(build, "region")
    assert len(every) == len(parts) + 2
    assert parts
    assert all(each.startswith("a: ") for each in parts)
    assert len(region) == 1
    assert region[0].startswith("region")
