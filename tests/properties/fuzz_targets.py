"""What is fuzzed: each target takes any bytes, and lets nothing out but an error of the program."""

from __future__ import annotations

from collections.abc import Callable
from math import isfinite
from pathlib import Path

from packyoke import api
from packyoke.answers.typed import WrongInput, pairs, quantity, resting, states
from packyoke.buildfile.reading import load, load_shop
from packyoke.buildfile.reading.gpx import load_track
from packyoke.core.findings import Finding
from packyoke.core.units import Kind, QuantityError, read
from packyoke.model import Build
from packyoke.page.caret import caret_lines

ROOT = Path(__file__).parents[2]
KINDS = tuple(Kind)


def told(result: object) -> None:
    """Mistakes are sentences with places, whatever was read."""
    if not isinstance(result, list):
        return
    assert result
    for finding in result:
        assert isinstance(finding, Finding)
        assert finding.span is None or min(finding.span) >= 1
        assert finding.message
        assert (finding.message + finding.do + finding.why + finding.field).isprintable()
        assert all(line.isprintable() and len(line) <= 150 for line in caret_lines(finding))


def build(data: bytes) -> None:
    """A build file; one that can be read is checked too."""
    found = load(data, "a.yaml", today="2026-11-20")
    told(found)
    if isinstance(found, Build):
        report = api.check(found, "a.yaml", today="2026-11-20", brief=True)
        assert not any(each.rule == "rule-crashed" for each in report.findings), report.findings


def shop(data: bytes) -> None:
    """A shop file."""
    told(load_shop(data, "shop.yaml"))


def track(data: bytes) -> None:
    """A GPX file."""
    told(load_track(data, "a.gpx"))


def quantity_of_a_kind(data: bytes) -> None:
    """A quantity: the first byte says of which kind."""
    if not data:
        return
    text = data[1:].decode("utf-8", "replace")
    try:
        found = read(text, KINDS[data[0] % len(KINDS)])
    except QuantityError as error:
        assert error.message
        assert 0 <= error.start <= error.end <= max(len(text), 1)
        return
    assert isfinite(found.value)
    assert found.second is None or isfinite(found.second)


def typed(data: bytes) -> None:
    """What stands after `--volts`, `--at` and the like."""
    if not data:
        return
    bike = _bike()
    text = data[1:].decode("utf-8", "replace")
    for work in (
        lambda: resting(bike, text),
        lambda: states(bike, text, "--at"),
        lambda: pairs(bike, text, "--load"),
        lambda: quantity(text, KINDS[data[0] % len(KINDS)], "--load", '"10 A"'),
    ):
        try:
            work()
        except WrongInput as error:
            assert str(error)


def _bike() -> Build:
    if not _KEPT:
        found = load((ROOT / "examples" / "breakwater-three-packs.yaml").read_bytes(), "a.yaml")
        assert isinstance(found, Build)
        _KEPT.append(found)
    return _KEPT[0]


_KEPT: list[Build] = []
TARGETS: dict[str, Callable[[bytes], None]] = {
    "build": build,
    "shop": shop,
    "track": track,
    "quantity": quantity_of_a_kind,
    "typed": typed,
}
