"""Formats that other programs read: strict JSON, URIs, spreadsheet cells; pages that are pages; old sheets."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import unquote_to_bytes
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packyoke.answers.check.sarif import uri
from packyoke.core.findings import Amount
from packyoke.page import strict
from tests.support import EXAMPLES, edited

Run = Callable[..., tuple[int, str, str]]
STOP = EXAMPLES / "oakum-draft.yaml"


def strictly(text: str) -> Any:
    def no(word: str) -> None:
        raise AssertionError(word)

    text.encode("utf-8")
    return json.loads(text, parse_constant=no)


@pytest.mark.parametrize(
    "command",
    [
        ["check"],
        ["check", "--format", "sarif"],
        ["range"],
        ["rundown"],
        ["charge"],
        ["meter", "--volts", "keel=50,pannier=50"],
        ["plan"],
        ["sheet", "--for", "customer"],
        ["sheet", "--for", "workshop"],
        ["sheet", "--for", "labels"],
        ["compare", EXAMPLES / "skerry-long-tail.yaml"],
    ],
)
def test_json_without_limits_is_strict(packyoke: Run, tmp_path: Path, command: list[str]) -> None:
    build = tmp_path / "a.yaml"
    build.write_text(edited("skerry-long-tail", {"bike.drive.assist_limit": "none", "region": "EU"}), encoding="utf-8")
    first, *rest = command
    more = [] if "--format" in rest else ["--format", "json"]
    code, out, _ = packyoke(first, build, *rest, *more)
    assert code in (0, 1)
    assert strictly(out)
    for form in ("text", "markdown", "html"):
        _, out, err = packyoke(
            first, build, *[each for each in rest if each not in ("--format", "sarif")], "--format", form
        )
        assert " inf " not in out + err
        assert "nan " not in out + err


def test_what_json_cannot_hold() -> None:
    data = {"a": float("inf"), "b": [float("nan"), 1.0], "c": "\ud800", "d": ("x", None, True)}
    assert strictly(strict.written(data)) == {"a": None, "b": [None, 1.0], "c": "?", "d": ["x", None, True]}
    assert str(Amount(float("inf"), "km/h", "(assisted)")) == "no limit (assisted)"


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
        lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    )
)
def test_json_is_written_as_the_standard_library_writes_it(data: Any) -> None:
    assert strict.written(data) == json.dumps(data, indent=2, ensure_ascii=False) + "\n"


def test_what_is_no_json_is_refused() -> None:
    with pytest.raises(TypeError, match="set"):
        strict.written({"a": {1}})


def test_uris() -> None:
    assert uri("a b#1?.yaml") == "a%20b%231%3F.yaml"
    assert uri("c:x%.yaml") == "c%3Ax%25.yaml"
    assert uri("d/\u00e9.yaml") == "d/%C3%A9.yaml"
    assert uri("/x/#.yaml") == "file:///x/%23.yaml"


@pytest.mark.skipif(os.sep == "\\", reason="names with a backslash or bytes that are no letters")
@pytest.mark.parametrize(
    ("name", "shown", "told"),
    [
        (b"a\x1b[31m.yaml", r"a\x1b[31m.yaml", "a%1B%5B31m.yaml"),
        (rb"a\x1b[31m.yaml", r"a\\x1b[31m.yaml", "a%5Cx1b%5B31m.yaml"),  # these two were shown alike
        (b"a\xff.yaml", r"a\xff.yaml", "a%FF.yaml"),
        (b"a\x80.yaml", r"a\x80.yaml", "a%80.yaml"),
        (b"a\xc2\x80.yaml", r"a\u0080.yaml", "a%C2%80.yaml"),  # and these two
        (b"a\n\t\r.yaml", r"a\n\t\r.yaml", "a%0A%09%0D.yaml"),
        (rb"a\n.yaml", r"a\\n.yaml", "a%5Cn.yaml"),
        (rb"a\\.yaml", r"a\\\\.yaml", "a%5C%5C.yaml"),
        ("a\u202e\U000e0001.yaml".encode(), r"a\u202e\U000e0001.yaml", "a%E2%80%AE%F3%A0%80%81.yaml"),
        ("\u00e9 \u5b57.yaml".encode(), "\u00e9 \u5b57.yaml", "%C3%A9%20%E5%AD%97.yaml"),
    ],
)
def test_a_file_is_found_again_whatever_it_is_called(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: bytes, shown: str, told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    Path(os.fsdecode(name)).write_bytes((EXAMPLES / "oakum-draft.yaml").read_bytes())
    for form in ("json", "sarif"):
        code, out, _ = packyoke("check", os.fsdecode(name), "--no-shop", "--format", form)
        assert code == 1
        data = json.loads(out)
        if form == "json":
            assert data["builds"][0]["file"] == shown
            continue
        places = [each["locations"][0]["physicalLocation"] for each in data["runs"][0]["results"]]
        assert {each["artifactLocation"]["uri"] for each in places} == {told}
        assert unquote_to_bytes(told) == name
    assert uri(f"/x/{shown}") == f"file:///x/{told}"


def test_cells_are_no_formulas(packyoke: Run, tmp_path: Path) -> None:
    build = tmp_path / "a.yaml"
    text = (EXAMPLES / "skerry-long-tail.yaml").read_text("utf-8").replace("keel", "-1 x")
    build.write_text(text, encoding="utf-8")
    code, out, err = packyoke("rundown", build, "--format", "csv", "--no-shop")
    assert code == 0, err
    assert ",'-1 x current_a," in out.splitlines()[0]


def test_no_colour_in_files(packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    packyoke("check", STOP, "--output", tmp_path / "a.txt")
    assert b"\x1b" not in (tmp_path / "a.txt").read_bytes()


@pytest.mark.parametrize("reader", ["customer", "workshop"])
@pytest.mark.parametrize("form", ["html", "markdown", "text"])
def test_an_old_sheet_does_not_stay_as_if_it_were_new(packyoke: Run, tmp_path: Path, reader: str, form: str) -> None:
    old = tmp_path / "sheet"
    sheet = ["sheet", STOP, "--for", reader, "--format", form, "--output", old]
    code, out, _ = packyoke(*sheet, "--replace")
    assert (code, old.exists()) == (1, False)
    assert "no sheet for the" in out
    old.write_text("old", encoding="utf-8")
    code, out, _ = packyoke(*sheet)
    assert (code, old.read_text("utf-8")) == (1, "old")
    code, out, _ = packyoke(*sheet, "--replace")
    written = old.read_text("utf-8")
    assert code == 1
    assert "no sheet for the" in written.replace("\n      ", " ")
    assert (form == "html") == written.startswith("<!DOCTYPE html>")
    assert packyoke("sheet", STOP, "--for", reader, "--format", form)[1].startswith("<!DOCTYPE html>") == (
        form == "html"
    )


@pytest.mark.parametrize("form", ["html", "markdown", "text"])
def test_nor_where_something_has_to_be_told_first(packyoke: Run, tmp_path: Path, form: str) -> None:
    old, build = tmp_path / "sheet", tmp_path / "a.yaml"
    whole = (EXAMPLES / "saltpan-planned.yaml").read_text("utf-8")
    build.write_text(whole[: whole.index("  - {between: [seat tube, motor]")], encoding="utf-8")
    sheet = ["sheet", build, "--for", "workshop", "--format", form, "--output", old]
    code, out, err = packyoke(*sheet, "--replace")
    assert (code, out, old.exists()) == (2, "", False)
    old.write_text("old", encoding="utf-8")
    assert (packyoke(*sheet)[0], old.read_text("utf-8")) == (2, "old")
    assert packyoke(*sheet, "--replace") == (2, "", err)
    written = old.read_text("utf-8")
    assert "no sheet: something has to be told first" in written
    assert "add it to" in written
    assert (form == "html") == written.startswith("<!DOCTYPE html>")


@pytest.mark.parametrize("form", ["html", "svg"])
def test_no_plan_is_a_page_too(packyoke: Run, tmp_path: Path, form: str) -> None:
    build = tmp_path / "a.yaml"
    build.write_text(edited("saltpan-planned", put={"packs.port.discharge": "10 A"}), encoding="utf-8")
    code, out, _ = packyoke("plan", build, "--format", form)
    assert code == 1
    if form == "html":
        assert out.startswith("<!DOCTYPE html>")
    else:
        assert ET.fromstring(out).tag == "{http://www.w3.org/2000/svg}svg"
    assert "NO\u00a0PLAN" in out or "NO PLAN" in out
