"""The labels of a bike: every conductor end marked with its polarity, every plate with the figure that matters."""

from __future__ import annotations

from collections import Counter

import pytest

from packyoke.answers.sheet.labels_page import LIVE, labels_html, labels_page
from packyoke.making.labels import MINUS, PLUS, Labels, labels_of
from packyoke.page.markdown import page_markdown
from packyoke.page.text import page_text
from tests.report.test_sheet import Page
from tests.sheets import built, chain_text
from tests.support import base_text

NAMES = ("skerry-long-tail", "breakwater-three-packs", "foghorn-lfp", "slipway-city-dock")


def example(name: str) -> Labels:
    return labels_of(built(base_text(name)))


@pytest.mark.parametrize("name", NAMES)
def test_every_end_of_every_conductor_has_a_mark(name: str) -> None:
    """Four for each lead that has a cable: plus and minus at either end, with the number of the drawing."""
    build, labels = built(base_text(name)), example(name)
    leads = {at: lead for at, lead in enumerate(build.leads.values(), 1) if not lead.direct}
    assert Counter(sleeve.number for sleeve in labels.sleeves) == dict.fromkeys(leads, 4)
    for number, lead in leads.items():
        ends = {(each.pole, each.at) for each in labels.sleeves if each.number == number}
        assert ends == {(pole, at) for pole in (PLUS, MINUS) for at in (lead.source, lead.target)}
    assert Counter(flag.number for flag in labels.flags) == dict.fromkeys(leads, 2)


def test_plates_carry_the_figure_that_matters() -> None:
    """From the file: keel is full at 58.8 V, the yoke bears 75 V and 40 A, the controller is set to 25 A."""
    plates = {(each.part, each.figure) for each in example("skerry-long-tail").plates}
    assert ("yoke", "75 V, 40 A a path max.") in plates
    assert ("controller", "25 A, no more") in plates
    assert any(part == "keel" and figure.startswith("58.8 V d.c.") for part, figure in plates)
    assert ("lamp", "10x38, 2 A") in plates


def test_each_plug_that_can_stay_empty_is_warned_of() -> None:
    assert example("breakwater-three-packs").empty == ("plug for north", "plug for south", "plug for box")
    assert labels_of(built(chain_text(1))).empty == ()


def labels_text(title: str, labels: Labels, made: str) -> str:
    return page_text(labels_page(title, labels, made))


def labels_markdown(title: str, labels: Labels, made: str) -> str:
    return page_markdown(labels_page(title, labels, made))


@pytest.mark.parametrize("form", [labels_html, labels_text, labels_markdown])
def test_names_stand_whole_in_every_form(form) -> None:  # type: ignore[no-untyped-def]
    labels = labels_of(built(chain_text(3, long=True)))
    told = form("Labels: x", labels, "build x")
    words = " ".join((Page(told).words if form is labels_html else told.replace("\\", "")).split())
    for flag in labels.flags:
        assert " ".join(flag.lead.split()) in words
        assert " ".join(flag.here.split()) in words
    assert LIVE in words
    if form is labels_html:
        assert told.count('class="pole plus"') * 2 == len(labels.sleeves)
