"""What stands in a page stands in each of its three forms, whatever its words hold."""

from __future__ import annotations

import re
from html.parser import HTMLParser

from hypothesis import given
from hypothesis import strategies as st

from packyoke.page.cells import WIDTH, cells
from packyoke.page.html import page_html
from packyoke.page.markdown import page_markdown
from packyoke.page.page import Fact, Facts, Figure, FindingBlock, Lines, Page, Steps, Table, Verdict
from packyoke.page.text import page_text

WORDS = st.text(st.sampled_from("abcdefgh<>&|*_`[]#\"'荷 "), min_size=1, max_size=30).map(
    lambda text: f"q{' '.join(text.split())}z"
)


@st.composite
def pages(draw: st.DrawFn) -> tuple[Page, list[str]]:
    """A page of every kind of block, and all the words that it was made of."""
    said = draw(st.lists(WORDS, min_size=20, max_size=20, unique=True))
    page = Page(
        title=said[0],
        verdict=Verdict("stop", "STOP", said[0]),
        lead=(said[2],),
        blocks=(
            FindingBlock("caution", "CAUTION", said[3], (Fact("found", said[4]), Fact("do", said[5]))),
            Facts("Facts", (Fact("here", said[6]),)),
            Lines("Lines", (said[7], said[8]), about="about it"),
            Steps("Steps", (said[9], said[10])),
            Table("Table", ("head", "other"), ((said[11], said[12]), (said[13], said[14])), "lr", notes=(said[15],)),
            Figure("Figure", ("`- drawn",), "drawn"),
        ),
        closing=(said[16],),
        source=said[17],
    )
    return page, [said[0], *said[2:18]]


class Seen(HTMLParser):
    """What a browser shows of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.text = ""

    def handle_data(self, data: str) -> None:
        self.text += data


def bare(text: str) -> str:
    return re.sub(r"\s", "", text)


@given(pages())
def test_every_word_stands_in_every_form(drawn: tuple[Page, list[str]]) -> None:
    page, said = drawn
    text = page_text(page)
    assert all(cells(line) <= WIDTH for line in text.splitlines())
    shown = Seen()
    shown.feed(page_html(page))
    marked = page_markdown(page)
    for mark, plain in (("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")):
        marked = marked.replace(mark, plain)
    marked = re.sub(r"\\([\\|*_`\[\]#])", r"\1", marked)
    for word in said:
        assert bare(word) in bare(text)
        assert bare(word) in bare(shown.text)
        assert bare(word) in bare(marked)


def test_colour_is_only_where_it_is_asked_for() -> None:
    page = Page(title="t", verdict=Verdict("stop", "STOP", "t"))
    assert "\x1b" not in page_text(page)
    assert page_text(page, colour=True).startswith("\x1b[31;1mSTOP\x1b[0m  t")


def test_what_is_over_a_limit_has_a_mark_in_every_form() -> None:
    rows = (("keel", "3 A"), ("pannier lead", "9 A"))
    page = Page(title="t", blocks=(Table("T", ("part", "worst"), rows, "lr", marked=frozenset({1})),))
    assert "! pannier lead" in page_text(page)
    assert "| ! pannier lead |" in page_markdown(page)
    assert '<tr class="over"><td>pannier lead' in page_html(page)


def test_a_title_is_not_said_twice_and_a_foot_is_never_empty() -> None:
    verdict = Verdict("stop", "STOP", "Quay baker: how far it goes is not told")
    twice = page_html(Page(title="Quay baker: how far", verdict=verdict))
    assert re.findall(r"<h1[^>]*>", twice) == ['<h1 class="verdict stop">']
    assert "<footer" not in twice
    apart = page_html(Page(title="Quay baker: measured", verdict=Verdict("stop", "NO", "do not plug"), source="x.yaml"))
    assert re.findall(r"<h1[^>]*>|<p class=\"v[^>]*>", apart) == ["<h1>", '<p class="verdict stop">']
    assert "<footer" in apart


def test_words_that_the_drawings_say_are_left_out_on_paper_only() -> None:
    from xml.etree import ElementTree as ET

    drawn = (ET.Element("svg"),)
    alike = page_html(
        Page(title="x", blocks=(Figure("Over time", ("keel |999|",), "", "in tenths", drawn, alike=True),))
    )
    assert re.search(r'<h2>Over time</h2>.*<div class="alike"><p>\(in tenths\)</p><pre[^>]*>keel \|999\|', alike, re.S)
    undrawn = page_html(Page(title="x", blocks=(Figure("Over time", ("keel |999|",), "", "in tenths", alike=True),)))
    assert 'class="alike"' not in undrawn
    assert "(in tenths)" in undrawn
