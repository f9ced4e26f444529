"""What the customer's sheet says, and what it never says, in all three forms."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import pytest

from packyoke.analysis.case import Case
from packyoke.answers.sheet import customer_words as sheet_words
from packyoke.answers.sheet.called import called, said
from packyoke.answers.sheet.customer import NoSheet, customer_sheet
from packyoke.answers.sheet.customer_fit import BODY, PAGE_HIGH, fitted, heights
from packyoke.answers.sheet.customer_html import customer_html
from packyoke.answers.sheet.customer_page import CustomerSheet, customer_page
from packyoke.answers.sheet.how_far import Distance, ranges
from packyoke.page.drawing import Drawing, DrawnNode, Edge, harness_svg, natural_size
from packyoke.page.markdown import page_markdown
from packyoke.page.text import page_text
from packyoke.rules import RULES
from tests.sheets import TODAY, built, chain_text, example_sheet, sheet_of
from tests.support import base_text, edited


def customer_text(sheet: CustomerSheet) -> str:
    return page_text(customer_page(sheet))


def customer_markdown(sheet: CustomerSheet) -> str:
    return page_markdown(customer_page(sheet))


FORMS = {"html": customer_html, "text": customer_text, "markdown": customer_markdown}
EXAMPLES = ("skerry-long-tail", "breakwater-three-packs", "foghorn-lfp", "slipway-city-dock")
NEVER = re.compile(
    r"\b(safe|certified|guarantee|up to\b|legal\b|AWG\b|mm2\b|ISO\b|CFR\b|ABYC\b|ASTM\b|IEC\b|EN \d)", re.IGNORECASE
)
HOSTILE = "<script>alert('x')</script>&\"|*_`"


class Page(HTMLParser):
    """What a page holds: its tags, and its words outside of style."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.words = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        if self.tags[-1:] != ["style"]:
            self.words += f"{data} "


def bare(text: str, form: str) -> str:
    """Only the words, on one line."""
    words = Page(text).words if form == "html" else text.replace("\\", "")
    return " ".join(words.split())


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", EXAMPLES)
def test_words_that_never_stand_on_it(name: str, form: str) -> None:
    words = bare(FORMS[form](example_sheet(name)), form)
    assert NEVER.search(words) is None
    assert [rule.name for rule in RULES if rule.name in words] == []


@pytest.mark.parametrize("form", FORMS)
def test_everything_that_has_to_stand_on_it(form: str) -> None:
    sheet = example_sheet("skerry-long-tail", shop="Ropewalk workshop", contact="+00 000 000")
    words = bare(FORMS[form](sheet), form)
    for said_there in (
        "Skerry mail, long-tail no. 3",
        "quote 118",
        "25 November 2026",
        "Ropewalk workshop",
        "+00 000 000",
        "keel",
        "pannier",
        "goes to motor",
        "Estimate, not a promise",
        "Charged full",
        "waiting",
        "counter (58.8 V)",
        "27 kg stamped",
        "23 kg is left",
        "set to 25 A",
        "One drops out",
        "browned",
        "Fell or soaked",
        "0 to 40 °C",
        "somebody there, awake",
        "half full",
        "Nothing measured yet",
        "condition (pannier)",
        "check found no caution",
        "Read and agreed",
        "by November 2027",
        "local rules",
        "build",
    ):
        assert said_there in words


def test_the_low_figure_comes_first_and_is_the_bigger_one() -> None:
    sheet = example_sheet("breakwater-three-packs")
    row = re.search(r"<tr><th scope=\"row\">.*?all three.*?</tr>", customer_html(sheet))
    assert row is not None
    figure = sheet.ranges[0].figures[0]
    low, likely = (each.partition(" ")[0] for each in figure[:2])
    assert re.search(rf"<strong>{low}</strong>\u00a0km </span><span>likely {likely}</span>", row[0])
    line = next(line for line in customer_text(sheet).splitlines() if line.startswith("  all three"))
    assert line.index(figure.count_on) < line.rindex(figure.likely)


def test_figures_are_those_of_the_range_model_rounded_down() -> None:
    build = built(base_text("skerry-long-tail"))
    found = ranges(Case(build), "metric")[0].figures["keel",]
    assert isinstance(found, Distance)
    sheet = customer_sheet(build, today=TODAY)
    keel = next(line for line in sheet.ranges if line.packs == "keel alone").figures[0]
    assert (keel.count_on, keel.likely) == (f"{int(found.low_m / 1000)} km", f"{int(found.likely_m / 1000)} km")
    miles = customer_sheet(build, today=TODAY, system="us")
    keel = next(line for line in miles.ranges if line.packs == "keel alone").figures[0]
    assert keel.count_on == f"{int(found.low_m / 1609.344)} mi"
    assert (sheet.unit, miles.unit) == ("km", "miles")


def test_the_longest_set_is_on_top_and_alike_packs_share_a_line() -> None:
    sheet = example_sheet("breakwater-three-packs")
    shares = [line.figures[0].low_share for line in sheet.ranges]
    assert all(above > below for above, below in pairwise(shares))
    assert [line.packs for line in sheet.ranges] == [
        "all three",
        "north + south",
        "north + box or south + box",
        "north or south alone",
        "box alone",
    ]


def test_packs_that_are_all_alike_are_counted_not_named() -> None:
    text = re.sub(r"capacity: \S+ Ah", "capacity: 14 Ah", chain_text(5))
    assert [line.packs for line in sheet_of(text).ranges] == ["all five", "any four", "any two", "any one alone"]


def test_sets_that_are_left_out_are_counted() -> None:
    notes = " ".join(sheet_of(chain_text(6)).range_notes)
    assert "Left out here: 58 other sets" in notes
    narrowed = sheet_of(chain_text(6) + "sets: [[Pack a, Pack b], [Pack c]]\n")
    assert [line.packs for line in narrowed.ranges] == ["A + B", "C alone"]
    assert "Left out" not in " ".join(narrowed.range_notes)


def test_long_names_get_letters() -> None:
    build = built(chain_text(2, long=True))
    first = next(iter(build.packs))
    assert (called(build).short(first), called(build).full(first)) == ("A", f"A ({first})")
    assert called(built(base_text("skerry-long-tail"))).short("keel") == "keel"


@pytest.mark.parametrize("form", FORMS)
def test_hostile_names_are_text(form: str) -> None:
    sheet = replace(example_sheet("skerry-long-tail", shop=HOSTILE, contact=HOSTILE), title=HOSTILE, intro=HOSTILE)
    sheet = replace(sheet, ranges=tuple(line._replace(packs=HOSTILE) for line in sheet.ranges))
    told = FORMS[form](sheet)
    if form == "text":
        assert HOSTILE in told
        return
    assert "<script" not in told
    if form == "html":
        page = Page(told)
        assert "script" not in page.tags
        assert HOSTILE in page.words


def test_nothing_unseen_gets_through_and_right_to_left_stays_apart() -> None:
    assert said("a\u202eb\x07") == "a\ufffdb\ufffd"
    assert said("שם") == "\u2068שם\u2069"
    assert said("keel") == "keel"


def test_no_scripts_and_nothing_from_outside() -> None:
    page = Page(customer_html(example_sheet("breakwater-three-packs")))
    assert not {"script", "link", "img", "iframe", "object", "base"} & {*page.tags}
    assert not {"src", "href", "style"} & {name for name, _ in page.attributes}
    assert not any(name.startswith("on") for name, _ in page.attributes)
    assert "url(" not in customer_html(example_sheet("breakwater-three-packs"))


def test_every_bar_is_drawn_to_one_scale() -> None:
    """As many tenths of a percent of its column as kilometres of the axis: the columns are equally wide."""
    sheet = example_sheet("breakwater-three-packs")
    assert sheet.scale >= max(int(each.likely.split()[0]) for line in sheet.ranges for each in line.figures)
    page = customer_html(sheet)
    bars = re.findall(r'<i class="solid w(\d+)"></i><svg class="hatch w(\d+)"', page)
    figures = [each for line in sheet.ranges for each in line.figures]
    assert len(bars) == len(figures)
    for (low, more), each in zip(bars, figures, strict=True):
        assert abs(int(low) / 1000 * sheet.scale - int(each.count_on.split()[0])) <= 1.0 + sheet.scale / 1000
        assert abs((int(low) + int(more)) / 1000 * sheet.scale - int(each.likely.split()[0])) <= 1.0 + sheet.scale / 500
        assert f".w{low} {{ width: {int(low) / 10:g}%; }}" in page


@pytest.mark.parametrize("name", EXAMPLES)
def test_an_example_is_set_in_letters_of_the_body_on_one_page(name: str) -> None:
    sheet = example_sheet(name, shop="Ropewalk workshop", contact="+00 000 000")
    fit = fitted(sheet)
    assert fit.size >= BODY
    assert sum(heights(sheet, fit).values()) <= PAGE_HIGH


def test_no_caution_is_ever_left_out() -> None:
    """Long texts of many cautions: each stands whole, with a box to tick."""
    told = tuple(f"Caution {at}: {'what was found and why it matters to you. ' * 6}" for at in range(20))
    sheet = replace(example_sheet("skerry-long-tail"), told=told)
    page = customer_html(sheet)
    words = " ".join(Page(page).words.split())
    assert all(each.strip() in words for each in told)
    assert page.count('class="box"') == len(told)


@pytest.mark.parametrize("text", [chain_text(6, long=True, rides=3, chargers=3), base_text("breakwater-three-packs")])
def test_the_text_keeps_to_80_columns(text: str) -> None:
    told = customer_text(sheet_of(text, shop="S" * 80, contact="c" * 120))
    assert max(map(len, told.splitlines())) <= 80


def test_at_stop_or_open_there_is_no_sheet() -> None:
    for text in (base_text("oakum-draft"), edited("skerry-long-tail", drop=["leads.keel lead.gauge"])):
        with pytest.raises(NoSheet) as none:
            sheet_of(text)
        assert none.value.report.verdict in ("stop", "open")


def test_what_was_accepted_stands_on_it() -> None:
    accept = (
        "accept: [{rule: cells-overworked, part: packs.pannier, found: 25.5 A, because: rides short, by: workshop lead,"
        " until: 2027-05-31}]\n"
    )
    text = edited("skerry-long-tail", {"packs.pannier.capacity": "12.5 Ah"})  # 25.5 A are 2.04 C
    agreed = sheet_of(text + accept)
    assert "Accepted: rides short (by workshop lead, until 2027-05-31)" in agreed.told[0]
    warm = sheet_of(edited("breakwater-three-packs", {"coldest": "0 degC"}))
    assert warm.told == ()
    assert "no caution" in warm.nothing_told


def test_a_pack_without_a_mass_takes_the_figure_off_the_rack() -> None:
    text = edited("skerry-long-tail", put={"racks.rear.limit": "60 kg"}, drop=["packs.pannier.mass", "packs.keel.mass"])
    rests = " ".join(sheet_of(text).rests)
    assert "its packs are not weighed" in rests
    assert "is left for your load" not in rests


def test_the_date_of_the_file_counts() -> None:
    assert "by May 2028" in sheet_of(base_text("skerry-long-tail") + "recheck: 2028-05\n").due


def test_the_shared_words_need_no_build() -> None:
    texts = [each for each in vars(sheet_words).values() if isinstance(each, str | tuple)]
    flat = " ".join(each if isinstance(each, str) else " ".join(map(str, each)) for each in texts)
    assert NEVER.search(flat) is None


def sample(packs: int) -> Drawing:
    nodes = [DrawnNode(f"p{at}", "pack", f"pack {at}", "14s") for at in range(packs)]
    nodes += [DrawnNode("y", "joiner", "yoke"), DrawnNode("c", "controller", "controller")]
    edges = [Edge(f"p{at}", "y", ("12 AWG", "400 mm")) for at in range(packs)] + [Edge("y", "c")]
    return Drawing(title="harness", words="who feeds whom", nodes=tuple(nodes), edges=tuple(edges))


def test_the_drawing_has_every_name_and_words_for_screen_readers() -> None:
    svg = harness_svg(sample(3), "one")
    told = ["".join(text.itertext()) for text in svg.iter("text")]
    assert {"pack 0", "pack 1", "pack 2", "yoke", "controller", "14s", "12 AWG", "400 mm"} <= {*told}
    assert svg.get("role") == "img"
    ids = {each.get("id"): each.text for each in svg.iter() if each.get("id")}
    assert [ids[each] for each in (svg.get("aria-labelledby") or "").split()] == ["harness", "who feeds whom"]


def test_leads_of_a_tree_do_not_cross_and_end_where_they_should() -> None:
    for packs in range(2, 7):
        svg = harness_svg(sample(packs))
        ways = [
            [tuple(map(float, each.split(","))) for each in (line.get("points") or "").split()]
            for line in svg.iter("polyline")
        ]
        assert len(ways) == packs + 1
        pieces = [(way, *ends) for way, line in enumerate(ways) for ends in pairwise(line)]
        for way, start, end in pieces:
            for other, first, last in pieces:
                across = start[1] == end[1] and first[0] == last[0] and way != other
                inside = min(start[0], end[0]) < first[0] < max(start[0], end[0])
                assert not (across and inside and min(first[1], last[1]) < start[1] < max(first[1], last[1]))


def test_a_broken_drawing_is_drawn_all_the_same() -> None:
    nodes = (DrawnNode("a", "joiner", "a"), DrawnNode("b", "joiner", "b"), DrawnNode("c", "controller", ""))
    edges = (Edge("a", "b"), Edge("b", "a"), Edge("a", "a"), Edge("a", "nowhere"))
    assert natural_size(Drawing(title="", words="", nodes=nodes, edges=edges))[0] > 0
    assert harness_svg(Drawing(title="", words="")).tag == "svg"


def test_the_sheet_is_frozen() -> None:
    sheet = example_sheet("skerry-long-tail")
    assert isinstance(sheet, CustomerSheet)
    with pytest.raises(AttributeError):
        sheet.title = "x"  # type: ignore[misc]


def test_the_same_caution_on_several_packs_is_told_once() -> None:
    told = example_sheet("slipway-city-dock").told
    assert len(told) == 1
    assert told[0].startswith("carrier pack, spare: wakes only by its button")
    assert example_sheet("slipway-city-dock").ranges[-1].packs == "either alone"
