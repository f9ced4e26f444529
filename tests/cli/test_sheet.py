"""`packyoke sheet` as somebody types it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from tests.support import EXAMPLES, edited

BUILD = EXAMPLES / "skerry-long-tail.yaml"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(packyoke: Run) -> Run:
    return partial(packyoke, "sheet")


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    file = tmp_path / "packyoke-shop.yaml"
    file.write_text("packyoke-shop: 1\nname: Ropewalk workshop\n", encoding="utf-8")
    return file


def test_html_is_what_one_gets(run: Run) -> None:
    code, out, err = run(BUILD, "--for", "customer", "--today", "2026-11-25")
    assert (code, err) == (0, "")
    assert out.startswith("<!DOCTYPE html>")
    assert "25 November 2026" in out


@pytest.mark.parametrize(("form", "start"), [("text", "Skerry mail"), ("markdown", "# Skerry mail")])
def test_other_forms(run: Run, form: str, start: str) -> None:
    code, out, _ = run(BUILD, "--for", "customer", "--format", form, "--no-shop")
    assert (code, out.startswith(start)) == (0, True)


def test_the_shop_stands_on_it_unless_told_otherwise(run: Run, shop: Path) -> None:
    assert "Ropewalk workshop" in run(BUILD, "--for", "customer", "--shop", shop)[1]
    assert "Ropewalk workshop" not in run(BUILD, "--for", "customer", "--shop", shop, "--no-shop")[1]


def test_the_shop_file_beside_the_build_is_found(run: Run, shop: Path) -> None:
    build = shop.with_name("bike.yaml")
    build.write_bytes(BUILD.read_bytes())
    assert "Ropewalk workshop" in run(build, "--for", "customer")[1]


def test_miles_and_pounds(run: Run) -> None:
    _, out, _ = run(BUILD, "--for", "customer", "--format", "text", "--units", "us")
    assert " mi" in out
    assert " lb" in out
    assert " km" not in out


def test_a_build_at_stop_gets_the_list_instead(run: Run, tmp_path: Path) -> None:
    output = tmp_path / "sheet.html"
    code, out, _ = run(EXAMPLES / "sluice-second-port.yaml", "--for", "customer", "--output", output)
    assert code == 1
    assert not output.exists()
    assert out.startswith("STOP  Sluice")
    assert "no sheet for the customer" in " ".join(out.split())
    assert "STOP  " in out
    assert "TO FIND OUT" in out
    assert max(map(len, out.splitlines())) <= 80


@pytest.mark.parametrize("reader", ["customer", "workshop", "quote", "labels"])
@pytest.mark.parametrize("build", ["quay-plain-trike", "sluice-second-port"])
def test_a_change_that_is_named_above_is_named_above(run: Run, build: str, reader: str) -> None:
    """What rushes through the Y-lead is cured by one change; the port has one stop, which says what to do itself."""
    code, out, _ = run(EXAMPLES / f"{build}.yaml", "--for", reader, "--format", "markdown", "--no-shop")
    assert code == 1
    told = "named above" in out
    assert told == (build == "quay-plain-trike")
    assert ("One change, at " in out.partition("named above")[0]) == told


def test_an_open_build_gets_only_the_list_to_find_out(run: Run, tmp_path: Path) -> None:
    build = tmp_path / "bike.yaml"
    build.write_text(edited("skerry-long-tail", drop=["leads.keel lead.gauge"]), encoding="utf-8")
    code, out, _ = run(build, "--for", "customer")
    assert code == 1
    assert "To find out" in out
    assert "STOP  " not in out


def test_a_file_is_written_whole_and_only_once(run: Run, tmp_path: Path) -> None:
    output = tmp_path / "sheet.html"
    assert run(BUILD, "--for", "customer", "--output", output)[:2] == (0, "")
    before = output.read_text(encoding="utf-8")
    assert before.startswith("<!DOCTYPE html>")
    code, _, err = run(BUILD, "--for", "customer", "--units", "us", "--output", output)
    assert (code, "exists already" in err) == (2, True)
    assert output.read_text(encoding="utf-8") == before
    assert run(BUILD, "--for", "customer", "--units", "us", "--output", output, "--replace")[0] == 0
    assert output.read_text(encoding="utf-8") != before
    assert [each.name for each in tmp_path.iterdir()] == ["sheet.html"]


@pytest.mark.parametrize("given", ["bike.yaml", "packyoke-shop.yaml"])
def test_what_was_given_to_read_is_never_written_over(run: Run, shop: Path, given: str) -> None:
    build = shop.with_name("bike.yaml")
    build.write_bytes(BUILD.read_bytes())
    before = shop.with_name(given).read_bytes()
    code, _, err = run(build, "--for", "customer", "--output", shop.with_name(given), "--replace")
    assert (code, "never written to" in err) == (2, True)
    assert shop.with_name(given).read_bytes() == before


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((BUILD,), "--for"),
        ((BUILD, "--for", "everybody"), "--for"),
        ((BUILD, "--for", "customer", "--today", "tomorrow"), "is not a day"),
        ((BUILD, "--for", "customer", "--format", "pdf"), "--format"),
        ((EXAMPLES / "no-such.yaml", "--for", "customer"), "cannot be opened"),
    ],
)
def test_wrong_input_is_2_with_a_sentence(run: Run, arguments: tuple[str | Path, ...], said: str) -> None:
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


def test_a_file_with_mistakes_is_2_with_the_place(run: Run, tmp_path: Path) -> None:
    build = tmp_path / "bike.yaml"
    build.write_text("packyoke: 1\nname: x\npacks: {a: {serise: 13}}\n", encoding="utf-8")
    code, out, err = run(build, "--for", "customer")
    assert (code, out) == (2, "")
    assert "Did you mean  series ?" in err


def test_a_ride_that_the_drive_cannot_keep_to_says_so(run: Run) -> None:
    more = ("--for", "customer", "--format", "text", "--no-shop")
    _, out, _ = run(EXAMPLES / "slipway-city-dock.yaml", *more)
    assert "about 17 km/h on hills of 4 %" in " ".join(out.split())
    _, out, _ = run(EXAMPLES / "skerry-long-tail.yaml", *more)
    assert "on hills of" not in out
