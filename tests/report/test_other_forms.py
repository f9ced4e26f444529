"""What a check says to other programs, and the pages of `find` and `shelf`: one fact at a time."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from packyoke.answers.changes import ToldFinding, by_print, told_by
from packyoke.answers.check.against import Against, against, against_data, against_text, failing
from packyoke.answers.check.as_json import batch_data, batch_json, build_json, document_json
from packyoke.answers.check.harness import harness_figure
from packyoke.answers.check.junit import batch_junit
from packyoke.answers.check.lines import BadTemplate, batch_lines, build_lines, checked_template
from packyoke.answers.check.sarif import batch_sarif, uri
from packyoke.answers.find.answer import dates_before, hits, pattern
from packyoke.answers.find.page import find_page
from packyoke.answers.inherited import PARTS, inherited, of_both, with_places
from packyoke.answers.results import NotAResult, Result, Stored
from packyoke.answers.shelf.answer import TOPICS, tables
from packyoke.answers.shelf.page import shelf_page
from packyoke.buildfile.reading.document import parse
from packyoke.core.findings import Amount, Finding, Severity, Span
from packyoke.model.build import FROM_SHOP, Stated
from packyoke.page.page import Lines, Table
from packyoke.verdict.report import Assumed, Batch, Report, TreeLine
from tests.planning.bikes import build_of
from tests.report.test_quote_sheet import shop
from tests.support import edited

STOP = Finding(
    rule="lead-overheats",
    severity=Severity.STOP,
    part="leads.a",
    message="too hot",
    do="Thicker.",
    span=Span(4, 3, 4, 9),
    found=Amount(50.0, "A"),
    limit=Amount(30.0, "A"),
)
OPEN, CAUTION, NOTE = (
    STOP.but(severity=each, cause=each.word) for each in (Severity.OPEN, Severity.CAUTION, Severity.NOTE)
)
TAKEN = CAUTION.but(accepted="as told", cause="x")


def report(*findings: Finding, file: str = "f.yaml", verdict: str = "stop", **more: Any) -> Report:
    return Report(file=file, name="Skerry", verdict=verdict, findings=findings, labels={}, **more)


class Printed(Report):
    """A report of a build of which only the fingerprint counts."""

    fingerprint: str = ""  # type: ignore[misc,assignment]


def printed(fingerprint: str) -> Printed:
    return Printed(**vars(report(STOP)), fingerprint=fingerprint)


def batch(*reports: Report, **more: Any) -> Batch:
    return Batch("1", "2", "3", reports, **more)


@pytest.mark.parametrize(
    ("finding", "line"),
    [
        (STOP, "f.yaml:4:3: stop: lead-overheats: leads.a: too hot (50 A, limit 30 A)\n"),
        (STOP.but(span=None), "f.yaml:1:1: stop: lead-overheats: leads.a: too hot (50 A, limit 30 A)\n"),
        (STOP.but(part="build"), "f.yaml:4:3: stop: lead-overheats: too hot (50 A, limit 30 A)\n"),
        (STOP.but(found=None), "f.yaml:4:3: stop: lead-overheats: leads.a: too hot\n"),
        (STOP.but(limit=None), "f.yaml:4:3: stop: lead-overheats: leads.a: too hot\n"),
        (TAKEN, ""),
    ],
)
def test_a_line_a_finding(finding: Finding, line: str) -> None:
    assert batch_lines(batch(report(finding))) == line


def test_a_template_of_one_s_own() -> None:
    one = batch(report(STOP.but(message="a {file}\nb")))
    assert batch_lines(one, "{file}:{line}:{column}:{end_column} {message} {found} {limit}") == (
        "f.yaml:4:3:9 a {file} b 50 A 30 A\n"
    )
    bare = batch(report(STOP.but(span=None, found=None)))
    assert batch_lines(bare, "{line} {end_line} [{found}] {severity}") == "1 1 [] stop\n"
    assert checked_template("{rule}: {do}") == "{rule}: {do}"
    with pytest.raises(BadTemplate, match=r"\{colour\} is not known"):
        checked_template("{colour}")


def sarif(*findings: Finding, made: Against | None = None) -> list[dict[str, Any]]:
    return list(json.loads(batch_sarif(batch(report(*findings)), made))["runs"][0]["results"])


def test_sarif() -> None:
    (one,) = sarif(STOP)
    assert one["message"]["text"] == "leads.a: too hot. Found 50 A, limit 30 A. Thicker."
    assert one["locations"][0]["physicalLocation"]["region"] == {
        "startLine": 4,
        "startColumn": 3,
        "endLine": 4,
        "endColumn": 9,
    }
    assert not {"relatedLocations", "suppressions", "baselineState"} & {*one}
    (bare,) = sarif(STOP.but(part="build", span=None, limit=None))
    assert bare["message"]["text"] == "too hot. Thicker."
    assert bare["locations"][0]["physicalLocation"]["region"] == {"startLine": 1}
    (also,) = sarif(STOP.but(also=(("leads.b", Span(7, 1, 7, 2)), ("leads.c", None))))
    assert [each["message"]["text"] for each in also["relatedLocations"]] == ["leads.b"]
    (taken,) = sarif(TAKEN)
    assert taken["suppressions"][0]["justification"] == "as told"
    rules = json.loads(batch_sarif(batch(report(STOP, STOP.but(rule="no-such-rule")))))["runs"][0]["tool"]["driver"][
        "rules"
    ]
    assert [each["id"] for each in rules] == ["lead-overheats", "no-such-rule"]
    assert "help" in rules[0]
    assert rules[1]["shortDescription"]["text"] == "no such rule"
    assert "help" not in rules[1]
    assert uri("a b.yaml") == "a%20b.yaml"
    assert uri("/x/a.yaml") == "file:///x/a.yaml"


def before(*findings: Finding, file: str = "f.yaml", name: str = "Skerry", print_: str = "") -> Result:
    told = told_by(report(*findings))
    return Result("1", "2", "3", None, {file: Stored(file, name, "stop", told, print_)})


def held(old: Result, *reports: Report, **more: Any) -> Against:
    return against("old.json", old, [*reports], **more)


def test_against_an_earlier_check() -> None:
    found = held(before(STOP, CAUTION), report(STOP, OPEN))
    assert found.said == "against old.json: 1 new, 0 worse, 1 gone, 0 better, 1 the same"
    assert (found.state("f.yaml", STOP), found.state("f.yaml", OPEN)) == ("same", "new")
    assert [each["baselineState"] for each in sarif(STOP, OPEN, made=found)] == ["unchanged", "new"]
    text = against_text(found)
    assert "new    f.yaml:4: open: lead-overheats: leads.a: too hot" in text
    assert "gone   f.yaml: caution: lead-overheats: leads.a: too hot" in text
    assert "moved" not in text
    assert failing(found, frozenset(("open",))) == {"f.yaml"}
    assert failing(found, frozenset(("stop",))) == set()
    taken = held(before(), report(TAKEN, STOP.but(rule="unreadable")))
    assert failing(taken, frozenset(("caution", "stop"))) == set()
    data = against_data(found)
    assert [each["rule"] for each in data["gone"]] == ["lead-overheats"]
    assert len(data["new"]) == 1
    build = held(before(), report(STOP.but(part="build")))
    assert ": too hot" in against_text(build)
    assert "build: " not in against_text(build)


def test_files_that_moved_or_were_not_checked() -> None:
    moved = held(before(STOP, file="old.yaml", print_="p"), printed("p"))
    assert (moved.moved, moved.not_checked) == ({"f.yaml": "old.yaml"}, {})
    assert moved.state("f.yaml", STOP) == "same"
    assert moved.said.endswith("; 1 in another file")
    assert "  moved  f.yaml: was old.yaml" in against_text(moved)
    for other in (printed("q"), report(STOP)):
        found = held(before(STOP, file="old.yaml", print_="p"), other)
        assert (found.moved, [*found.not_checked]) == ({}, ["old.yaml"])
    nobody = held(before(STOP, file="old.yaml"), printed(""))
    assert nobody.moved == {}
    unread = held(before(STOP), report(verdict="unreadable"))
    assert unread.not_checked == {"f.yaml": "cannot be read"}
    assert unread.of("gone") == []
    why = held(before(STOP, file="a.yaml"), report(STOP), skipped=[("a.yaml", "retired")])
    assert "not checked now: a.yaml (retired)" in against_text(why)


def test_a_check_of_some_rules_is_held_against_as_many() -> None:
    old = before(STOP, CAUTION.but(rule="other"))
    some = held(old, report(STOP), only=frozenset(("lead-overheats",)))
    assert [each.told.rule for _, each in some.of("gone")] == []
    few = old._replace(only=frozenset(("lead-overheats",)))
    held(few, report(STOP), only=frozenset(("lead-overheats",)))
    for only in (None, frozenset(("other",))):
        with pytest.raises(NotAResult, match="it holds only lead-overheats"):
            held(few, report(STOP), only=only)


def suite(*findings: Finding, verdict: str = "stop", **more: Any) -> ET.Element:
    (found,) = ET.fromstring(batch_junit(batch(report(*findings, verdict=verdict)), **more))
    return found


def test_junit() -> None:
    def counts(found: ET.Element) -> tuple[str | None, ...]:
        return tuple(found.get(each) for each in ("tests", "failures", "errors", "skipped"))

    assert counts(suite(STOP, OPEN, CAUTION, TAKEN, NOTE)) == ("4", "2", "0", "2")
    assert counts(suite(STOP, OPEN, CAUTION, TAKEN, NOTE, strict=True)) == ("4", "3", "0", "1")
    assert counts(suite(STOP, verdict="unreadable")) == ("1", "0", "1", "0")
    assert counts(suite(NOTE, verdict="none-found")) == ("1", "0", "0", "0")
    assert suite(NOTE, verdict="none-found")[0].get("name") == "no fault found in what was described"
    made = held(before(STOP), report(STOP, OPEN))
    assert counts(suite(STOP, OPEN, against=made)) == ("2", "1", "0", "1")
    failure = suite(STOP)[0][0]
    assert (failure.tag, failure.text) == ("failure", "f.yaml:4\nfound 50 A\nlimit 30 A\nThicker.")
    assert suite(STOP.but(span=None))[0][0].text.startswith("f.yaml:1\n")
    skipped = suite(CAUTION, TAKEN)
    assert [each[0].get("message") for each in skipped] == ["caution: too hot", "as told"]
    assert suite(STOP.but(message="a\x07\ud800b\u00e9\t"))[0][0].get("message") == "a??b\u00e9\t"


def test_json_of_a_run() -> None:
    data = batch_data(batch(report(STOP, OPEN, CAUTION, TAKEN, NOTE)))
    assert data["builds"][0]["counts"] == {"stop": 1, "open": 1, "caution": 1, "note": 1, "accepted": 1}
    assert "only" not in data
    assert batch_data(batch(only=("x",)))["only"] == ["x"]
    assert data["builds"][0]["good_for"] is None
    assert (data["builds"][0]["findings"][0]["line"], data["builds"][0]["findings"][0]["found"]) == (
        4,
        {"value": 50.0, "unit": "A"},
    )
    assert batch_data(batch(report(STOP.but(span=None))))["builds"][0]["findings"][0]["line"] is None
    assert "ticket" not in data["builds"][0]
    assert batch_data(batch(report(ticket="t")), with_ticket=True)["builds"][0]["ticket"] == "t"


@pytest.mark.parametrize("with_ticket", [False, True])
@pytest.mark.parametrize(
    "reports", [(), (report(STOP, ticket="t"),), (report(NOTE), report(rides=False), report(OPEN))]
)
def test_a_document_written_build_by_build_is_the_one_written_at_once(
    reports: tuple[Report, ...], with_ticket: bool
) -> None:
    run = batch(*reports, only=("x",))
    texts = [build_json(each, with_ticket=with_ticket) for each in reports]
    rides = all(each.rides for each in reports)
    apart = document_json(run._replace(reports=()), texts, rides=rides)
    assert apart == batch_json(run, with_ticket=with_ticket)
    assert json.loads(apart)["builds"] == json.loads(json.dumps(batch_data(run, with_ticket=with_ticket)))["builds"]
    assert "".join(map(build_lines, reports)) == batch_lines(run)


def test_a_part_over_its_limit_is_marked_in_the_tree() -> None:
    lines = [
        TreeLine((), "motor", "", "", None),
        TreeLine((False,), "a", "12 AWG", "50 of 40 A", -0.25),
        TreeLine((True,), "b", "", "40 of 40 A", 0.0),
        TreeLine((True, True), "c", "", "", 0.5),
    ]
    figure = harness_figure(lines)
    assert figure.marked == {1}
    assert [line[:6] for line in figure.text] == ["  moto", "! |- a", "  `- b", "     `"]
    assert "! is over a limit" in figure.about
    assert "over" not in harness_figure(lines[2:]).about
    assert figure.text[1].endswith("50 of 40 A")
    assert {len(line) for line in figure.text[1:3]} == {80}


TEXT = """packyoke: 1
name: XT60 bike
recheck: 2027-05
packs:
  XT-60 pack: {outlet: xt60 socket}
  other: {like: XT-60 pack}
  third: {outlet: XT600 socket, mass: 0.60 kg}
measured:
  - {date: 2027-05-14, part: packs.other, what: voltage, value: 50 V}
  - {date: 2028-01-01, part: packs.other, what: voltage, value: 50 V}
"""


def test_which_lines_name_a_part() -> None:
    document = parse(TEXT, "x.yaml")
    assert not isinstance(document, list), document
    found = [(hit.line, hit.path, hit.text) for hit in hits(document, ("XT60",))]
    assert found == [
        (2, "name", "XT60 bike"),
        (5, "packs.XT-60 pack", "XT-60 pack"),
        (5, "packs.XT-60 pack.outlet", "xt60 socket"),
        (6, "packs.other.like", "XT-60 pack"),
    ]
    assert not any("third" in path for _, path, _ in found)
    socket = [(hit.path, hit.text) for hit in hits(document, ("xt60 socket",))]
    assert socket == [("packs.XT-60 pack.outlet", "xt60 socket"), ("packs.other.like", "like XT-60 pack")]
    old = [(hit.path, hit.text) for hit in dates_before(document, "2028-01-01")]
    assert old == [("recheck", "2027-05"), ("measured.1.date", "2027-05-14")]
    assert [hit.text for hit in dates_before(document, "2027-05-14")] == ["2027-05"]


@pytest.mark.parametrize(
    ("word", "text", "named"),
    [
        ("XT60", "an XT60 socket", True),
        ("XT60", "XT 60", True),
        ("XT60", "xt-60", True),
        ("XT 60", "XT60", True),
        ("XT60", "XT600", False),
        ("XT60", "AXT60", False),
        ("XT60", "XT60.5", False),
        ("XT60", "XT60.", True),
    ],
)
def test_a_word_as_people_spell_it(word: str, text: str, named: bool) -> None:
    assert (pattern(word).search(text) is not None) is named


def test_the_page_of_find() -> None:
    document = parse(TEXT, "x.yaml")
    assert not isinstance(document, list)
    found = hits(document, ("xt60 socket",))
    page = find_page(found, "xt60", 1, [])
    assert page.title == "xt60: in 1 of 1 build"
    assert [each.heading for each in page.blocks if isinstance(each, Table)] == ["Lines"]
    two = find_page([*found, found[0]._replace(file="y.yaml")], "xt60", 3, ["z.yaml"])
    assert two.title == "xt60: in 2 of 3 builds"
    (builds,) = (each for each in two.blocks if isinstance(each, Table) and each.heading == "Builds")
    assert builds.rows == (("x.yaml", "2"), ("y.yaml", "1"))
    none = find_page([], "xt60", 2, [])
    assert (none.lead, none.blocks) == (("No line of a file that was read says so.",), ())


def test_tables_of_the_shelf() -> None:
    assert [each.name for each in tables("")] == [*TOPICS]
    assert [each.name for each in tables("wire")] == ["wires"] == [each.name for each in tables("Wires")]
    assert [each.name for each in tables("chemistries")] == ["chemistry"]
    (xt60,) = tables("xt-60")
    assert (xt60.name, [row[0] for row in xt60.rows]) == ("connectors", ["XT60"])
    assert tables("nothing of that") == []
    items = shop().items
    own = tables("shop", items)
    assert own[-1].name == "shop"
    assert len(own[-1].rows) == len(items)
    packs = tables("packs", items)[-1]
    assert {row[0] for row in packs.rows} == {"packs"}
    assert [row[1] for row in tables("pannier 14", items)[-1].rows] == ["pannier 14"]
    assert "shop" in {each.name for each in tables("", items)}
    priced = {row[1]: row[2] for row in own[-1].rows}
    known = {item.part.name: "-" if item.price is None else f"{item.price:.2f} {item.currency}" for item in items}
    assert priced == known
    assert Decimal(priced["pannier 14"].split()[0]) > 0
    metres = {row[1]: row[3] for row in own[-1].rows if row[0] == "wires" and row[3] != "-"}
    assert all(each.endswith(" m") for each in metres.values())
    assert not any(row[3].endswith(" m") for row in own[-1].rows if row[0] != "wires")


def test_the_page_of_the_shelf() -> None:
    page = shelf_page(tables("mounts"), "7")
    assert page.title == "The shelf, version 7"
    table, sources = page.blocks
    assert isinstance(table, Table)
    assert isinstance(sources, Lines)
    heads = table.heads
    assert table.align[heads.index("value")] == "r"
    assert table.align[0] == "l"
    us = shelf_page(tables("mounts"), "7", "us").blocks[0]
    assert isinstance(us, Table)
    at, unit = heads.index("value"), heads.index("unit")
    for metric, other in zip(table.rows, us.rows, strict=True):
        if metric[unit] == "K/W":  # a step of 1 K is one of 1.8 degF
            assert other[unit] == "degF/W"
            assert float(other[at]) == pytest.approx(1.8 * float(metric[at]), rel=0.01)
        elif metric[unit] not in ("degC", "kg"):
            assert other[unit] == metric[unit]


def test_what_came_from_the_shop_s_file() -> None:
    region = Stated("build", "region EU", FROM_SHOP, "shop.yaml:3")
    pack, own = (
        Stated("packs.keel", "a 14", FROM_SHOP, "shop.yaml:9"),
        Stated("build", "warmest 30 degC", "assumed", ""),
    )
    build = build_of(edited("skerry-long-tail")).but(stated=(region, pack, own))
    told = (f"region EU ({FROM_SHOP})", f"keel: a 14 ({FROM_SHOP})")
    assert inherited(build) == told
    assert inherited(build, "region") == told[:1]
    assert inherited(build, PARTS) == told[1:]
    assert inherited(build, "warmest") == ()
    said = with_places("no answer", build)
    assert said.splitlines()[0] == "no answer"
    assert said.splitlines()[2:] == [
        f"  region EU ({FROM_SHOP}, shop.yaml:3)",
        f"  keel: a 14 ({FROM_SHOP}, shop.yaml:9)",
    ]
    assert with_places("no answer", build.but(stated=(own,))) == "no answer"
    assumed = tuple(Assumed(each.part, "", each.text, each.basis, origin=each.origin) for each in (region, own))
    assert inherited(report(assumed=assumed)) == told[:1]
    places = f"region EU ({FROM_SHOP}, shop.yaml:3)", f"keel: a 14 ({FROM_SHOP}, shop.yaml:9)"
    other = build.but(stated=(region,))
    assert of_both(build, other) == (places[0], f"before: {places[1]}")
    assert of_both(other, build) == (places[0], f"after: {places[1]}")
    assert of_both(None, build) == tuple(f"after: {each}" for each in places)


def test_findings_by_their_prints() -> None:
    one = ToldFinding("r", "p", "p", "stop", "m", None, None, "", False, "x", 1)
    assert [*by_print([one, one._replace(fingerprint="y")])] == ["x", "y"]
