"""Parts named by their path, parts inside parts too, and the leads that a shop file has for all builds."""

from __future__ import annotations

import pytest

from packyoke.buildfile import reading
from packyoke.model import Build

BUILD = """
packyoke: 1
name: x
packs: {keel: {fuse: {rating: 30 A}}}
joiners: {yoke: {}}
controller: {}
accept:
  - {rule: fuse-missing, part: PART, found: 3 A, because: said so, by: the lead, until: 2027-06-30}
"""


@pytest.mark.parametrize(
    ("path", "read"),
    [
        ("packs.keel", "packs.keel"),
        ("packs.Keel", "packs.keel"),
        ("packs.keel.fuse", "packs.keel.fuse"),
        ("joiners.yoke", "joiners.yoke"),
        ("build", "build"),
        ("bike", "bike"),
        ("packs.nobody", None),
        ("packs.nobody.fuse", None),
        ("packs.keel.wheel", None),
        ("keel", None),
    ],
)
def test_a_part_by_its_path(path: str, read: str | None) -> None:
    found = reading.load(BUILD.replace("PART", path), "x.yaml", today="2026-11-25")
    if read is None:
        assert isinstance(found, list)
        assert [each.message for each in found] == [f'no part at "{path}"']
    else:
        assert isinstance(found, Build), found
        assert [each.part for each in found.accept] == [read]


@pytest.mark.parametrize(
    ("lines", "fields"),
    [
        ("{insulation: silicone}", []),
        ("{insulation: tin}", ["defaults.all_leads.insulation"]),
        ("{insulation: silicone, run: nowhere}", ["defaults.all_leads.run"]),
        ("{colour: red}", ["defaults.all_leads"]),
    ],
)
def test_what_a_shop_file_has_for_all_leads_is_read_as_in_a_build(lines: str, fields: list[str]) -> None:
    found = reading.load_shop(f"packyoke-shop: 1\ndefaults: {{all_leads: {lines}}}\n", "packyoke-shop.yaml")
    assert [each.field for each in found] == fields if isinstance(found, list) else not fields
