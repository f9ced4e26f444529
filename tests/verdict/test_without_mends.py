"""A check without mends, as commands ask for that print none, says of a build what the whole check says."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from packyoke.api import load
from packyoke.model import Build
from packyoke.verdict.check import check
from tests.support import edited

STOPS: dict[str, Any] = {"leads.main lead.gauge": "20 AWG", "packs.keel.fuse.rating": "60 A"}


@pytest.mark.parametrize("brief", [False, True])
@pytest.mark.parametrize(
    ("base", "put", "drop"),
    [
        ("skerry-long-tail", {}, ()),
        ("skerry-long-tail", STOPS, ()),
        ("skerry-long-tail", {}, ("packs.keel.discharge", "joiners.yoke.ceiling")),
        ("skerry-long-tail", STOPS, ("packs.keel.discharge", "joiners.yoke.resistance")),
        ("quay-plain-trike", {}, ()),
    ],
    ids=["sound", "at stop", "open", "at stop and open", "plain"],
)
def test_only_what_to_do_is_left_out(base: str, put: dict[str, Any], drop: tuple[str, ...], brief: bool) -> None:
    build = load(edited(base, put, drop), "case.yaml")
    assert isinstance(build, Build), build
    whole, without = (check(build, brief=brief, mends=mends) for mends in (True, False))
    if put:
        assert [each.do for each in whole.findings] != [each.do for each in without.findings]
    said = [[repr(replace(each, do="")) for each in report.findings] for report in (whole, without)]
    assert said[0] == said[1]
    assert (without.cure, without.verdict) == (None, whole.verdict)
    for kept in ("to_find_out", "good_for", "sets", "parts", "assumed"):
        assert repr(getattr(without, kept)) == repr(getattr(whole, kept)), kept
