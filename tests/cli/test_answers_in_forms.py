"""What each command hands over in which form, and with which status: one option at a time."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.support import EXAMPLES, base_text, edited

GOOD = EXAMPLES / "skerry-long-tail.yaml"
NO = "--no-shop"


@pytest.mark.parametrize(
    ("arguments", "schema"),
    [
        (("compare", GOOD, GOOD, NO), "packyoke/compare/1"),
        (("rundown", GOOD, NO, "--load", "10 A"), "packyoke/rundown/1"),
        (("range", GOOD, NO, "--packs", "keel", "--ride", "everyday"), "packyoke/range/1"),
        (("range", GOOD, NO, "--packs", "keel", "--route", EXAMPLES / "skerry-round.gpx"), "packyoke/route/1"),
        (("charge", GOOD, NO), "packyoke/charge/1"),
        (("meter", GOOD, NO, "--volts", "keel=54.1"), "packyoke/meter/1"),
        (("why", "packs-rush"), "packyoke/why/1"),
        (("why", "--symptom", "qqqq zzzz"), "packyoke/why/1"),
        (("shelf", "mounts", NO), "packyoke/shelf/1"),
    ],
)
def test_json_is_printed_where_it_is_asked_for(packyoke: Run, arguments: tuple[str | Path, ...], schema: str) -> None:
    status, out, _ = packyoke(*arguments, "--format", "json")
    assert json.loads(out)["schema"] == schema
    plain, text, _ = packyoke(*arguments)
    assert not text.startswith("{")
    assert plain == status


def test_two_folders_as_json(packyoke: Run, tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(base_text("skerry-long-tail"), encoding="utf-8")
    status, out, _ = packyoke("compare", tmp_path, tmp_path, NO, "--format", "json")
    assert (status, json.loads(out)["schema"]) == (0, "packyoke/compare-many/1")
    assert not packyoke("compare", tmp_path, tmp_path, NO)[1].startswith("{")


@pytest.mark.parametrize(
    ("load", "status"),
    [("10 A", 0), ("0 A", 0), ("400 A", 1), ("45 A", 1)],  # more than protection lets out, more than there is
)
def test_the_status_of_a_rundown(packyoke: Run, load: str, status: int) -> None:
    assert packyoke("rundown", GOOD, NO, "--load", load, "--packs", "keel")[0] == status


def test_a_rundown_that_cannot_be_delivered_is_a_no(packyoke: Run, tmp_path: Path) -> None:
    """A pack may give all that is asked, and cannot: 58.8 V behind 95 mohm are 9.1 kW, and less behind its leads."""
    strong = edited("skerry-long-tail", {"packs.keel.discharge": "300 A"})
    (tmp_path / "strong.yaml").write_text(strong, encoding="utf-8")
    status, out, _ = packyoke("rundown", tmp_path / "strong.yaml", NO, "--load", "9 kW", "--packs", "keel")
    assert (status, "asks for more than there is" in out) == (1, True)


def test_route_answers_by_itself(packyoke: Run) -> None:
    route = EXAMPLES / "skerry-round.gpx"
    for more in (("--need", "5 km"), ("--sensitivity",), ("--known", "42 km from 100 % to 20 % with keel")):
        status, _, err = packyoke("range", GOOD, NO, "--route", route, *more)
        assert (status, "--route answers by itself" in err) == (2, True)


def test_tidy(packyoke: Run, tmp_path: Path) -> None:
    text = base_text("skerry-long-tail")
    path = tmp_path / "a.yaml"
    path.write_text(text, encoding="utf-8")
    _, made, _ = packyoke("tidy", path, NO)
    in_order = made == text
    assert packyoke("tidy", path, NO, "--check")[0] == (0 if in_order else 1)
    path.write_text(made, encoding="utf-8")
    status, _, err = packyoke("tidy", path, NO, "--check")
    assert (status, "in order" in err, "not in order" in err) == (0, True, False)
    first, *rest = made.splitlines(keepends=True)
    region = next(line for line in rest if line.startswith("region:"))
    turned = "".join([first, region, *(line for line in rest if line != region)])
    path.write_text(turned, encoding="utf-8")
    status, _, err = packyoke("tidy", path, NO, "--check")
    assert (status, "not in order" in err) == (1, True)
    assert packyoke("tidy", path, "--check", "--replace")[0] == 2
    assert packyoke("tidy", path, "--check", "--output", tmp_path / "b.yaml")[0] == 2
    assert packyoke("tidy", path, "--replace", "--output", tmp_path / "b.yaml")[0] == 2
    assert packyoke("tidy", "-", "--replace")[0] == 2
    assert packyoke("tidy", path, NO, "--replace")[:2] == (0, "")
    assert path.read_text(encoding="utf-8") != turned
    assert packyoke("tidy", path, NO, "--check")[0] == 0


def test_names_that_a_shell_completes(tmp_path: Path) -> None:
    import click

    from packyoke.cli.completing import _names

    path = tmp_path / "a.yaml"
    path.write_text(base_text("skerry-long-tail"), encoding="utf-8")
    context = click.Context(click.Command("x"))
    context.params = {"build": str(path)}
    assert _names(context, "packs") == ["keel", "pannier"]
    assert _names(context, "joiners") == ["yoke"]
    assert _names(context, "name") == []
    context.params = {"build": str(tmp_path / "none.yaml")}
    assert _names(context, "packs") == []
    context.params = {}
    assert _names(context, "packs") == []


def test_what_held_a_build_and_holds_none_now_is_not_passed_over() -> None:
    from packyoke.answers.results import Result, Stored
    from packyoke.cli.reports import RETIRED, lost

    stored = {"a.yaml": Stored("a.yaml", "a", "stop", {}, "p"), "b.yaml": Stored("b.yaml", "b", "unreadable", {}, "")}
    skipped = [("a.yaml", "YAML of something else"), ("b.yaml", "YAML of something else"), ("c.yaml", "a socket")]
    found = lost(Result("1", "1", "1", None, stored), skipped)
    assert [each.file for each in found] == ["a.yaml"]
    assert [file for file, _ in skipped] == ["b.yaml", "c.yaml"]
    retired = [("a.yaml", RETIRED)]
    assert lost(Result("1", "1", "1", None, stored), retired) == []
    assert retired == [("a.yaml", RETIRED)]
