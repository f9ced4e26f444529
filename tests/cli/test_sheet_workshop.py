"""`packyoke sheet --for workshop` as somebody types it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.support import EXAMPLES, ROOT, edited

WHOLE, BLANK = EXAMPLES / "skerry-long-tail.yaml", EXAMPLES / "saltpan-planned.yaml"
SHOP = ROOT / "tests" / "planning" / "shop.yaml"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(packyoke: Run) -> Run:
    def call(build: str | Path, *arguments: str | Path) -> tuple[int, str, str]:
        return packyoke("sheet", build, "--for", "workshop", *arguments)

    return call


def written(folder: Path, text: str) -> Path:
    file = folder / "bike.yaml"
    file.write_text(text, encoding="utf-8")
    return file


@pytest.mark.parametrize("build", [WHOLE, BLANK])
def test_html_is_what_one_gets(run: Run, build: Path) -> None:
    code, out, err = run(build, "--today", "2026-11-25", "--no-shop")
    assert (code, err) == (0, "")
    assert out.startswith("<!DOCTYPE html>")
    assert "25 November 2026" in out


@pytest.mark.parametrize(
    ("form", "start"), [("text", "Work sheet: Saltpan mail"), ("markdown", "# Work sheet: Saltpan mail")]
)
def test_other_forms(run: Run, form: str, start: str) -> None:
    code, out, _ = run(BLANK, "--format", form, "--no-shop")
    assert (code, out.startswith(start)) == (0, True)


def test_the_shop_gives_its_name_and_its_prices(run: Run) -> None:
    _, out, _ = run(BLANK, "--format", "text", "--shop", SHOP)
    assert "Harbour bench" in out.splitlines()[1]
    assert "EUR" in out
    _, out, _ = run(BLANK, "--format", "text", "--shop", SHOP, "--no-shop")
    assert "Harbour bench" not in out
    assert "EUR" not in out


def test_inches(run: Run) -> None:
    assert "1 ft 3 3/4 in" in run(WHOLE, "--format", "text", "--units", "us")[1]


@pytest.mark.parametrize(
    ("put", "drop", "row"),
    [
        ({}, (), "75 V 40 A"),
        ({"joiners.yoke.marked": "75 V"}, ("joiners.yoke.ceiling",), "marked 75 V 40 A"),
        # Any joiner carries 1 A, the least that the file may say.
        ({"controller.battery_current": "1 A"}, ("accessories", "joiners.yoke.current"), "75 V not in the file"),
    ],
)
def test_what_a_joiner_bears_as_the_file_has_it(
    run: Run, tmp_path: Path, put: dict[str, str], drop: tuple[str, ...], row: str
) -> None:
    _, out, _ = run(written(tmp_path, edited("skerry-long-tail", put, drop)), "--format", "text", "--no-shop")
    assert f" {row} frame metal" in " ".join(out.split())


def test_a_build_at_stop_gets_what_to_mend(run: Run, tmp_path: Path) -> None:
    output = tmp_path / "sheet.html"
    code, out, _ = run(EXAMPLES / "oakum-draft.yaml", "--output", output)
    assert (code, output.exists()) == (1, False)
    assert out.startswith("STOP  Oakum")
    assert "no sheet for the workshop" in " ".join(out.split())
    assert "STOP  " in out
    assert max(map(len, out.splitlines())) <= 80


def test_an_open_build_gets_the_list_to_find_out(run: Run, tmp_path: Path) -> None:
    code, out, _ = run(written(tmp_path, edited("skerry-long-tail", drop=["joiners.yoke.ceiling"])))
    assert code == 1
    assert "To find out" in out
    assert "STOP  " not in out


def test_blanks_that_nothing_fills_are_1_with_the_reason(run: Run, tmp_path: Path) -> None:
    code, out, err = run(
        written(tmp_path, edited("saltpan-planned", put={"packs.port.discharge": "10 A"})), "--format", "text"
    )
    assert (code, err) == (1, "")
    assert out.startswith("NO PLAN  Saltpan")


def test_what_has_to_be_told_first_is_2(run: Run, tmp_path: Path) -> None:
    code, out, err = run(written(tmp_path, edited("saltpan-planned", drop=["runs"])))
    assert (code, out) == (2, "")
    assert "how far it is from" in err
    assert "Traceback" not in err


def test_a_file_is_written_whole_and_only_once(run: Run, tmp_path: Path) -> None:
    output = tmp_path / "sheet.html"
    assert run(WHOLE, "--output", output)[:2] == (0, "")
    before = output.read_text(encoding="utf-8")
    code, _, err = run(WHOLE, "--units", "us", "--output", output)
    assert (code, "exists already" in err, output.read_text(encoding="utf-8")) == (2, True, before)
    assert run(WHOLE, "--units", "us", "--output", output, "--replace")[0] == 0
    assert output.read_text(encoding="utf-8") != before
    assert [each.name for each in tmp_path.iterdir()] == ["sheet.html"]


def test_the_build_is_never_written_over(run: Run, tmp_path: Path) -> None:
    build = written(tmp_path, WHOLE.read_text(encoding="utf-8"))
    before = build.read_bytes()
    code, _, err = run(build, "--output", build, "--replace")
    assert (code, "never written to" in err, build.read_bytes()) == (2, True, before)
