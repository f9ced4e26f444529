"""Names and values that no part has, wherever a file takes one: what is told is on one line, and short."""

import pytest

from packyoke.buildfile.reading import load, load_shop
from packyoke.buildfile.reading.table import TABLES
from packyoke.core.findings import Finding

SECTIONS = ("packs", "joiners", "leads", "controllers", "accessories", "chargers", "sets", "runs", "racks", "places")
ODD = ("keel\\n\\na", "keel\\x1b[31m", "keel\\u2028a", "k" * 3000, "\\t", "keel\\x85b", "\\u202ekeel")
VALUES = ("", "x", "[]", "{}", "{unknown: 1}", "[[1]]", "{like: y}", "{from: {y: 1}, to: z}")
ENTRIES = [f'"{name}": {value}' for name in ODD for value in VALUES]


def told(result: object) -> None:
    assert isinstance(result, list)
    for finding in result:
        assert isinstance(finding, Finding)
        said = finding.message, finding.do, finding.why, finding.field
        assert all(each.isprintable() for each in said), said
        assert all(len(each) <= 1000 for each in said), said


@pytest.mark.parametrize("entry", ENTRIES)
@pytest.mark.parametrize("section", SECTIONS)
def test_an_odd_name_in_a_build(section: str, entry: str) -> None:
    told(load(f"packyoke: 1\nname: a\n{section}:\n  {entry}\n", "a.yaml"))


@pytest.mark.parametrize("entry", ENTRIES)
@pytest.mark.parametrize("inside", ["", "packs: {keel: ", "bike: {", "controller: {", "ride: {every day: "])
def test_an_odd_field(inside: str, entry: str) -> None:
    told(load(f"packyoke: 1\nname: a\n{inside}{{{entry}}}{'}' * inside.count('{')}\n", "a.yaml"))


@pytest.mark.parametrize("entry", ENTRIES)
@pytest.mark.parametrize("section", sorted(TABLES["shop"]["shelf"].children))
def test_an_odd_name_on_the_shelf(section: str, entry: str) -> None:
    told(load_shop(f"packyoke-shop: 1\nname: a\nshelf:\n  {section}:\n    {entry}\n", "shop.yaml"))
