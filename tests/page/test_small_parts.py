"""Carets, bars, tables, headings and boxes of a page, at both sides of where each of them changes."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any
from xml.etree import ElementTree as ET

import pytest

from packyoke.core.findings import Finding, Severity, Span
from packyoke.page.bars import bar_svg, scale_end, scale_of
from packyoke.page.caret import caret_lines
from packyoke.page.cells import isolated, kept, table, table_rows, wrapped
from packyoke.page.drawing import Drawing, DrawnNode, Edge, harness_svg, natural_size
from packyoke.page.elements import add, add_scroll
from packyoke.page.forms import in_form
from packyoke.page.html import page_html, pages_html
from packyoke.page.letters import broken, wide
from packyoke.page.markdown import page_markdown
from packyoke.page.page import Bar, Fact, Facts, Figure, FindingBlock, Lines, Page, Table, Ticks, Verdict
from packyoke.page.strict import written
from packyoke.page.text import page_text, painted
from packyoke.page.us import in_us


def carets(line: str, span: tuple[int, int, int, int] | None) -> list[str]:
    place = None if span is None else Span(*span)
    return caret_lines(Finding(rule="r", severity=Severity.STOP, part="build", message="", span=place, excerpt=line))


@pytest.mark.parametrize(
    ("line", "span", "shown"),
    [
        ("abc: def", (1, 6, 1, 9), ["abc: def", "     ^^^"]),
        ("abc: def", (1, 6, 1, 6), ["abc: def", "     ^"]),  # an empty place has one caret
        ("abc: def", (1, 6, 2, 1), ["abc: def", "     ^^^"]),  # one that goes on is marked to the end of its line
        ("abc: def", (1, 6, 1, 99), ["abc: def", "     ^^^"]),
        ("abc: def", (1, 99, 1, 99), ["abc: def", "        ^"]),
        ("abc: def", None, []),
        ("   ", (1, 1, 1, 2), []),
        ("荷: def", (1, 4, 1, 7), ["荷: def", "    ^^^"]),  # a wide letter takes two columns
        ("x" * 76, (1, 76, 1, 77), ["x" * 76, " " * 75 + "^"]),
        # A longer one is cut 20 columns before the place, to 70 between dots.
        ("x" * 77, (1, 1, 1, 2), ["x" * 70 + "...", "^"]),
        ("x" * 77, (1, 77, 1, 78), ["..." + "x" * 21, " " * 23 + "^"]),
        ("x" * 200, (1, 51, 1, 53), ["..." + "x" * 70 + "...", " " * 23 + "^^"]),
    ],
)
def test_a_caret_stands_under_its_place(line: str, span: tuple[int, int, int, int] | None, shown: list[str]) -> None:
    assert carets(line, span) == shown


@pytest.mark.parametrize(
    ("longest", "end"),
    [(0.0, 1.0), (0.5, 1.0), (1.0, 1.0), (1.01, 1.2), (61.0, 80.0), (100.0, 100.0), (100.1, 120.0), (85.0, 100.0)],
)
def test_a_scale_ends_at_a_round_figure(longest: float, end: float) -> None:
    assert scale_end(longest) == pytest.approx(end)
    assert scale_of(200.0, "km").ticks == "0, 100 and 200 km"


@pytest.mark.parametrize(
    ("bar", "filled", "hatched"),
    [
        (Bar(0.4, 0.6), "400", True),
        (Bar(0.4, 0.4), "400", False),
        (Bar(0.0, 0.6), None, True),
        (Bar(0.0, 0.0), None, False),
        (Bar(1.5, 2.0), "1000", False),
        (Bar(-1.0, 0.1), None, True),
    ],
)
def test_a_bar_is_filled_and_hatched(bar: Bar, filled: str | None, hatched: bool) -> None:
    svg = bar_svg(bar)
    rect = svg.find("rect")
    assert (None if rect is None else rect.get("width")) == filled
    assert len(svg.findall("path")) == (4 if hatched else 3)


def test_elements_hold_any_text() -> None:
    root = ET.Element("div")
    assert add(root, "p", "a\x07b\nc\td").text == "a?b\nc\td"
    assert add_scroll(root, "a < b").get("aria-label") == "a \u2039 b"


@pytest.mark.parametrize(
    ("text", "most", "lines"),
    [
        ("a pack in the bag", 60.0, ["a pack in", "the bag"]),
        ("a pack in the bag", 1000.0, ["a pack in the bag"]),
        ("", 60.0, []),
        # Ten W of 944 thousandths are 113.3 units of 12: five of them fit in 60.
        ("WWWWWWWWWW", 60.0, ["WWWWW", "WWWWW"]),
        ("WW", 1.0, ["W", "W"]),  # never less than a letter
    ],
)
def test_words_are_broken_where_a_line_cannot_hold_them(text: str, most: float, lines: list[str]) -> None:
    assert broken(text, most) == lines


def test_how_wide_letters_are() -> None:
    # Helvetica: W is 944, bold a 556, an ideograph 1000, a mark that stands over another 0, any other letter 750.
    assert [wide(each, 1000.0) for each in ("W", " ", "\u8377", "e\u0301", "\u2212", "\u05d0")] == [
        944.0,
        278.0,
        1000.0,
        556.0,
        584.0,
        750.0,
    ]
    assert wide("A", 1000.0, bold=True) == 722.0
    assert wide("\u2068A\u2069", 1000.0) == 667.0


@pytest.mark.parametrize(
    ("text", "held"),
    [
        ("25 A", "25\u00a0A"),
        ("7 h 05 min", "7\u00a0h\u00a005\u00a0min"),
        ("12 AWG", "12\u00a0AWG"),
        ("5 Apples", "5 Apples"),
        ("4 mm2", "4\u00a0mm2"),
        ("a 25 A b", "a 25\u00a0A b"),
    ],
)
def test_a_number_stays_with_its_unit(text: str, held: str) -> None:
    assert kept(text) == held


def test_right_to_left_runs_are_set_apart() -> None:
    assert isolated("abc") == "abc"
    assert isolated("\u05d0\u05d1") == "\u2068\u05d0\u05d1\u2069"
    assert isolated("a \u05d0\u05d1 b") == "a \u2068\u05d0\u05d1\u2069 b"
    assert isolated("a \u05d0 \u05d1 b") == "a \u2068\u05d0 \u05d1\u2069 b"
    lines = wrapped("a \u05d0\u05d1\u05d2 \u05d3\u05d4\u05d5 b", 0, 0, 7)
    assert all(line.count("\u2068") == line.count("\u2069") for line in lines)


def test_tables() -> None:
    assert table([["keel", "97 %"], ["pannier", "8 %"]], "lr") == ["  keel     97 %", "  pannier   8 %"]
    assert table([], "lr") == []
    assert table([["a", "b"]], "ll", ["head", "x"]) == ["  head  x", "  a     b"]
    assert table([["a", "b"]], "ll", ["", ""]) == ["  a  b"]
    (lone,) = table_rows([["word " * 40]], "l")
    assert all(len(line) <= 80 for line in lone)
    assert len(lone) == 3
    two = table([["word " * 20, "word " * 20]], "ll")
    assert all(len(line) <= 80 for line in two)
    assert len(two) > 1
    heads = table([["x" * 30, "y"]], "ll", ["a head of two lines or three that is long " * 2, "b"])
    assert heads[-1].startswith("  " + "x" * 30)
    # Where words would have to be parted, a row is a paragraph with its heads.
    parted = table([["x" * 50, "y" * 50]], "ll", ["one", "two"])
    assert parted == ["  one: " + "x" * 50, "      two: " + "y" * 50]
    bare = table([["x" * 50, "", "y" * 50]], "lll")
    assert bare == ["  " + "x" * 50, "      " + "y" * 50]


STOP = Verdict("stop", "STOP", "Skerry: no")
TABLE = Table("T", ("part", "worst"), (("keel", "3 A"),), "lr")


def test_the_forms() -> None:
    page = Page(title="Skerry", verdict=STOP, lead=("one",), closing=("care",))
    assert in_form(page, "html").startswith("<!DOCTYPE html>")
    assert in_form(page, "markdown").startswith("# Skerry")
    assert in_form(page, "text").startswith("STOP  Skerry: no\n      one\n")
    assert "\x1b[31;1mSTOP" in in_form(page, "text", colour=True)
    assert painted("a b", "b", "plain") == "a b"


@pytest.mark.parametrize(
    ("page", "first"),
    [
        (Page(title="Skerry"), ["Skerry"]),
        (Page(title="Skerry: range", verdict=STOP), ["STOP  Skerry: no"]),
        (Page(title="Quay: range", verdict=STOP), ["STOP  Skerry: no", "      Quay: range"]),
        (Page(title="x", verdict=Verdict("good", "", "x: fine")), ["x: fine"]),
        (Page(title="x", verdict=Verdict("open", "NOT YET", "x: wait")), ["NOT YET  x: wait"]),
        (Page(title="x", verdict=Verdict("good", "YES", "x: go")), ["YES   x: go"]),
        (Page(title="x", source="f.yaml"), ["x", "      f.yaml"]),
    ],
)
def test_the_head_of_a_page(page: Page, first: list[str]) -> None:
    assert page_text(page).splitlines() == first


def html(*blocks: Any, **more: Any) -> str:
    return page_html(Page(title="t", blocks=blocks, **more))


def test_headings_facts_and_lists_in_html() -> None:
    assert "<p>one</p>" in html(Lines("L", ("one",)))
    assert "<ul><li>one</li><li>two</li></ul>" in html(Lines("L", ("one", "two")))
    assert '<ul class="ticks"><li>one</li></ul>' in html(Ticks("L", ("one",)))
    assert '<ul class="signatures"><li>me</li></ul>' in html(signatures=("me",))
    assert "<h2>L <small>(about)</small></h2>" in html(Lines("L", ("one",), "about"))
    assert "<h2>" not in html(Lines("", ("one",)))
    assert "<dl><dt>a</dt><dd>b</dd></dl>" in html(Facts("F", (Fact("a", "b"), Fact("c", ""))))
    assert "<dl>" not in html(Facts("F", (Fact("a", ""),)))
    assert '<section class="finding stop"><h2>STOP  hot</h2>' in html(FindingBlock("stop", "STOP", "hot", ()))
    assert '<span class="pen">______</span>' in html(Lines("L", ("name ______ day",)))
    assert "<bdi>\u05d0\u05d1</bdi>" in html(Lines("L", ("a \u05d0\u05d1 b",)))
    assert "a?b" in html(Lines("L", ("a\x07b",)))
    assert "<footer><p>care</p><p>f \u00b7 m</p></footer>" in html(closing=("care",), source="f", made="m")
    assert pages_html([Page(title="a"), Page(title="b")], "both").count("<h1>") == 2


def test_tables_in_html() -> None:
    found = html(TABLE)
    assert '<th scope="col">part</th><th scope="col" class="r">worst</th>' in found
    assert '<tr><td>keel</td><td class="r">3\u00a0A</td></tr>' in found
    assert 'aria-label="T"' in found
    assert 'aria-label="T (2)"' in html(TABLE, TABLE)
    assert 'aria-label="table"' in html(TABLE._replace(heading=""))
    assert "<thead>" not in html(TABLE._replace(heads=("", "")))
    assert '<tr><td></td><th scope="col" class="r">worst' in html(TABLE._replace(heads=("", "worst")))
    assert '<tr class="over">' in html(TABLE._replace(marked=frozenset({0})))
    assert "<p>a note</p>" in html(TABLE._replace(notes=("a note",)))


@pytest.mark.parametrize(
    ("text", "kind"),
    [("x" * 20, ""), ("x" * 21, "long"), ("x" * 10 + " " + "y" * 9, ""), ("x" * 10 + " " + "y" * 10, "name")],
)
def test_long_words_of_a_cell(text: str, kind: str) -> None:
    found = html(TABLE._replace(rows=((text, "3"),)))
    assert (f'<td class="{kind}">{text}' if kind else f"<td>{text}") in found


def barred(*rows: tuple[str, ...], bars: dict[tuple[int, int], Bar], **more: Any) -> str:
    made = Table(
        "T", ("pack", "count on", "likely", "marks"), rows, "lrrl", bars=bars, scale=scale_of(100, "km"), **more
    )
    return html(made)


def test_bars_in_html() -> None:
    row = ("keel", "40 km", "60 km", "====..")
    found = barred(row, bars={(0, 1): Bar(0.4, 0.6, 2)}, plain=frozenset({3}))
    assert "====.." not in found
    assert ">marks<" not in found
    assert "colspan" not in found  # every row has its bar: the columns under it are one
    assert found.count('class="figures"') == 2
    assert "One scale for all bars, ticks at 0, 50 and 100\u00a0km." in found
    assert found.count('class="bar"') == 3
    assert '<td class="short">keel' in found
    assert '<td class="short">' not in barred(
        ("k" * 15, *row[1:]), bars={(0, 1): Bar(0.4, 0.6, 2)}, plain=frozenset({3})
    )
    some = barred(row, ("box", "not known", "", ""), bars={(0, 1): Bar(0.4, 0.6, 2)})
    assert some.count('colspan="2"') == 2
    assert '<td class="r short">not known</td>' in some
    plain = barred(row, bars={}, plain=frozenset({3}))
    assert "====.." in plain
    assert "One scale" not in plain
    two = barred(row, bars={(0, 1): Bar(0.4, 0.4), (0, 2): Bar(0.6, 0.6)})
    assert '<table class="even">' in two
    assert '<table class="even">' not in found
    word = Table("T", ("a", "everyday: count on"), (("k", "4"),), "lr", bars={(0, 1): Bar(0.4, 0.4)}, scale=None)
    assert '<div class="group">everyday:</div>' in html(word)
    assert "hatch" not in html(word)


def test_figures_in_html() -> None:
    one, two = ET.Element("svg"), ET.Element("svg")
    ET.SubElement(one, "title").text = "Height"
    ET.SubElement(two, "title").text = "Charge"
    both = html(Figure("The way", ("drawn",), "w", drawings=(one, two)))
    assert "<figcaption>Height</figcaption>" in both
    assert "<figcaption>" not in html(Figure("The way", ("drawn",), "w", drawings=(one,)))
    assert "<figcaption>Height" not in html(Figure("Height", (), "w", drawings=(one, two)))
    assert '<pre tabindex="0">drawn</pre>' in both
    assert 'aria-label="The way"' in html(Figure("The way", (), "w", drawings=(ET.Element("svg"),)))


def test_markdown() -> None:
    page = Page(
        title="a|b", verdict=Verdict("good", "", "fine"), blocks=(TABLE, Lines("", ("x",)), Figure("f", (), "said"))
    )
    found = page_markdown(page)
    assert found.startswith("# a\\|b\n\nfine\n")
    assert "| part | worst |\n|---|---|\n| keel | 3 A |" in found
    assert "said" in found
    assert "**STOP** Skerry: no" in page_markdown(Page(title="t", verdict=STOP))
    assert "## hot" in page_markdown(Page(title="t", blocks=(FindingBlock("note", "", "hot", ()),)))
    assert "- [ ] x" in page_markdown(Page(title="t", blocks=(Ticks("T", ("x",)),)))


def test_json_is_what_any_parser_reads() -> None:
    import json

    data = {
        "a": [1, 2.5, None, True, False, float("inf"), float("nan")],
        "b": {},
        "c": [],
        "d": Decimal("1.50"),
        "e": "\ud800",
    }
    assert json.loads(written(data)) == {
        "a": [1, 2.5, None, True, False, None, None],
        "b": {},
        "c": [],
        "d": "1.50",
        "e": "?",
    }
    with pytest.raises(TypeError):
        written({"a": object()})


@pytest.mark.parametrize(
    ("metric", "us"),
    [
        # 1 in is 25.4 mm, 1 mi 1609.344 m, 1 lb 0.45359237 kg, degF = 1.8 degC + 32, a step of 10 K 18 degF.
        ("400 mm", "1 ft 3 3/4 in"),
        ("0 m", "0 ft"),
        ("0 km", "0 mi"),
        ("100 km/h", "62.1 mph"),
        ("20 degC", "68 degF"),
        ("20 \u00b0C", "68 \u00b0F"),
        ("10 K above", "18 degF above"),
        ("2 kg", "4.41 lb"),
        ("10 to 20 degC", "50 to 68 degF"),
        ("-10 degC", "14 degF"),
        ("12 Wh/km", "19.3 Wh/mi"),
        ("4 mm2", "4 mm2"),
        ("25 A", "25 A"),
        ("____ mm", "____ in"),
        ("body \u00b0C", "body \u00b0F"),
        ("1 m2", "10.8 ft2"),
        ("1000 km", "621 mi"),
    ],
)
def test_figures_in_us_units(metric: str, us: str) -> None:
    assert in_us(metric) == us


def test_names_stay_as_they_are_and_wire_has_its_awg() -> None:
    assert in_us("4 mm bullet at 400 mm", ["4 mm bullet"]) == "4 mm bullet at 1 ft 3 3/4 in"
    say = "{:g} mm2 in AWG".format
    assert in_us("wire of 4 mm2", (), say) == "wire of 4 mm2 (4 mm2 in AWG)"
    assert in_us("12 AWG, 4 mm2", (), say) == "12 AWG, 4 mm2"
    assert in_us("4 mm2", (), lambda area: "") == "4 mm2"
    picture = ET.Element("svg", {"aria-label": "2 kg"})
    ET.SubElement(picture, "text").text = "20 degC"
    drawn = in_us(picture)
    assert (drawn.get("aria-label"), drawn[0].text, picture.get("aria-label")) == ("4.41 lb", "68 degF", "2 kg")


PACKS = (
    DrawnNode("a", "pack", "keel"),
    DrawnNode("b", "pack", "a long name that is broken"),
    DrawnNode("y", "joiner", "yoke", "blocks"),
)
WHOLE = Drawing(
    title="t",
    words="w",
    nodes=(*PACKS, DrawnNode("c", "controller", "motor")),
    edges=(Edge("a", "y", ("12 AWG", "20 A")), Edge("b", "y"), Edge("y", "c"), Edge("x", "c")),
)


def test_a_reduced_drawing() -> None:
    svg = harness_svg(WHOLE)
    lines, frames = svg.findall("polyline"), svg.findall("rect")
    assert len(lines) == 3  # a lead from nowhere is left out
    texts = [each.text for each in svg.findall("text")]
    assert texts.count("keel") == 1
    assert {"12 AWG", "20 A", "yoke", "blocks", "motor"} <= {*texts}
    bold = {each.text for each in svg.findall("text") if each.get("font-weight") == "bold"}
    assert {"keel", "yoke", "motor"} <= bold
    assert "blocks" not in bold
    assert len(svg.findall("polygon")) == 3 + 1  # a head for each lead, and the joiner
    assert [each.get("stroke-width") for each in frames[1:]].count("4") == 1  # the controller
    assert [each.get("width") for each in frames].count("5") == 2  # the packs have a band
    assert natural_size(WHOLE) == (
        pytest.approx(float(svg.get("width", "0")), abs=0.5),
        pytest.approx(float(svg.get("height", "0")), abs=0.5),
    )
    by_name = {each.text: float(each.get("x", "0")) for each in svg.findall("text")}
    assert by_name["keel"] < by_name["yoke"] < by_name["motor"]
    heights = {each.text: float(each.get("y", "0")) for each in svg.findall("text")}
    assert heights["12 AWG"] < heights["20 A"]
    assert heights["keel"] < heights["yoke"]


def test_leads_end_in_their_boxes_and_do_not_cross() -> None:
    svg = harness_svg(WHOLE)
    ways = [
        [tuple(map(float, point.split(","))) for point in each.get("points", "").split()]
        for each in svg.findall("polyline")
    ]
    first, second, last = ways
    assert first[-1][1] < second[-1][1]  # the upper pack ends above the lower one
    assert first[-1][0] == second[-1][0]
    assert len(last) == 2  # straight, where both stand at one height
    assert first[0][1] < first[-1][1]
    assert all(
        re.fullmatch(r"[0-9.]+", each)
        for point in svg.findall("polyline")
        for each in point.get("points", "").replace(",", " ").split()
    )
    assert natural_size(Drawing(title="t", words="w")) == (1.0, 1.0)
    ring = Drawing(title="t", words="w", nodes=PACKS[:2], edges=(Edge("a", "b"), Edge("b", "a")))
    assert natural_size(ring)[0] > 0.0
