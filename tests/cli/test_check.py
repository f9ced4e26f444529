"""The command line as somebody types it: exit status, streams, formats, folders, files that cannot be read."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from packyoke import cli
from tests.support import EXAMPLES, edited

Run = Callable[..., tuple[int, str, str]]
CLEAN = EXAMPLES / "skerry-long-tail.yaml"
CAUTIOUS = EXAMPLES / "breakwater-three-packs.yaml"
FAULTY = EXAMPLES / "oakum-draft.yaml"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    def call(*arguments: str | Path) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["packyoke", *map(str, arguments)])
        try:
            cli.main()
            code = 0
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 0
        out, err = capsys.readouterr()
        return code, out, err

    return call


def test_nothing_at_stop_or_open_is_0(run: Run) -> None:
    code, out, _ = run("check", CLEAN)
    assert code == 0
    assert "Skerry mail" in out


def test_a_stop_is_1(run: Run) -> None:
    assert run("check", FAULTY)[0] == 1


def test_an_open_question_is_1(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "open.yaml"
    file.write_text(edited("skerry-long-tail", drop=["leads.main lead.gauge"]), encoding="utf-8")
    code, out, _ = run("check", file)
    assert code == 1
    assert out.startswith("OPEN")
    assert "10 AWG or thicker" in out or "AWG or thicker" in out


def test_a_caution_is_1_only_with_strict(run: Run) -> None:
    _, out, _ = run("check", CAUTIOUS)
    assert out.startswith("CAUTION")
    assert run("check", "--strict", CAUTIOUS)[0] == 1


def test_an_accepted_caution_passes_strict(run: Run, tmp_path: Path) -> None:
    _, out, _ = run("check", "--format", "json", CAUTIOUS)
    cautions = [each for each in json.loads(out)["builds"][0]["findings"] if each["severity"] == "caution"]
    entries = [
        {
            "rule": each["rule"],
            "part": each["part"],
            "because": "said so",
            "by": "workshop lead",
            "found": f"{each['found']['value']:g} {each['found']['unit']}",
            "until": "2027-06-30",
        }
        for each in cautions
    ]
    file = tmp_path / "accepted.yaml"
    file.write_text(edited(CAUTIOUS.stem, {"accept": entries}), encoding="utf-8")
    code, out, _ = run("check", "--strict", "--today", "2026-11-25", file)
    assert code == 0, out
    assert f"{len(cautions)} accepted" in out
    code, out, _ = run("check", "--strict", "--today", "2027-07-01", file)
    assert code == 1
    assert "acceptance-stale" in out


def test_a_file_that_cannot_be_read_is_2_and_hides_nothing(run: Run, tmp_path: Path) -> None:
    broken = tmp_path / "broken.yaml"
    broken.write_text("packyoke: 1\nname: x\npacks:\n  keel: {discharge: {continuous: 22,5 A}}\n", encoding="utf-8")
    code, out, err = run("check", CLEAN, broken, FAULTY)
    assert code == 2
    assert "Skerry mail" in out
    assert "Oakum parcels" in out
    assert "22.5 A" in out
    assert err.splitlines()[-1] == "1 could not be read, 1 at stop or open, of 3"


def test_a_file_that_is_not_there_is_2(run: Run, tmp_path: Path) -> None:
    code, out, _ = run("check", tmp_path / "none.yaml")
    assert code == 2
    assert "cannot be opened" in out
    assert "Traceback" not in out


@pytest.mark.parametrize("content", [b"", b"\x00\xff", b"[1, 2]", b"a: *b", b"{" * 5000, b"packyoke: 1", b"- " * 3000])
def test_hostile_files_are_2_without_a_traceback(run: Run, tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "x.yaml"
    file.write_bytes(content)
    code, out, err = run("check", file)
    assert code == 2
    assert "Traceback" not in out + err


def test_an_empty_bike_does_not_pass(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "empty.yaml"
    file.write_text("packyoke: 1\nname: nothing yet\n", encoding="utf-8")
    code, out, _ = run("check", file)
    assert code == 1
    assert "OPEN" in out
    assert "harness-broken" in out


def test_a_folder_skips_and_counts_what_is_no_build(run: Run, tmp_path: Path) -> None:
    (tmp_path / "deep").mkdir()
    (tmp_path / "deep" / "a.yml").write_text(CLEAN.read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "other.yaml").write_text("services: {web: {image: x}}\n", encoding="utf-8")
    (tmp_path / "anchors.yaml").write_text("a: &x 1\nb: *x\n", encoding="utf-8")
    (tmp_path / "packyoke-shop.yaml").write_text("packyoke-shop: 1\n", encoding="utf-8")
    (tmp_path / "old.yaml").write_text(edited("skerry-long-tail", {"status": "retired"}), encoding="utf-8")
    code, out, err = run("check", "--format", "json", tmp_path)
    data = json.loads(out)
    assert code == 0
    assert [Path(each["file"]).name for each in data["builds"]] == ["a.yml"]
    assert {Path(each["file"]).name for each in data["skipped"]} == {
        "other.yaml",
        "anchors.yaml",
        "packyoke-shop.yaml",
        "old.yaml",
    }
    assert "4 skipped" in err


def test_a_retired_build_given_by_name_is_checked(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "old.yaml"
    file.write_text(edited("skerry-long-tail", {"status": "retired"}), encoding="utf-8")
    assert run("check", file)[0] == 0


def test_a_folder_without_builds_is_2(run: Run, tmp_path: Path) -> None:
    code, out, err = run("check", tmp_path)
    assert code == 2
    assert "no build was found" in err
    assert out == ""


def test_a_file_without_packyoke_given_by_name_is_2(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "other.yaml"
    file.write_text("name: x\n", encoding="utf-8")
    code, out, _ = run("check", file)
    assert code == 2
    assert "packyoke: 1" in out


def test_standard_input(run: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    with CLEAN.open(encoding="utf-8") as file:
        monkeypatch.setattr(sys, "stdin", file)
        code, out, _ = run("check", "-")
    assert code == 0
    assert "Skerry mail" in out


def test_output_is_never_overwritten_unasked(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "report.txt"
    assert run("check", CLEAN, "--output", target)[0] == 0
    before = target.read_text(encoding="utf-8")
    assert "Skerry" in before
    target.write_text("mine", encoding="utf-8")
    code, _, err = run("check", CLEAN, "--output", target)
    assert code == 2
    assert "--replace" in err
    assert target.read_text(encoding="utf-8") == "mine"
    assert run("check", CLEAN, "--output", target, "--replace")[0] == 0
    assert target.read_text(encoding="utf-8") == before
    assert [each.name for each in tmp_path.iterdir()] == ["report.txt"]


def test_output_into_a_folder_that_is_not_there_is_2(run: Run, tmp_path: Path) -> None:
    code, _, err = run("check", CLEAN, "--output", tmp_path / "none" / "x.txt")
    assert code == 2
    assert "cannot be written" in err


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json", "sarif", "junit", "lines"])
def test_every_format_of_every_example(run: Run, form: str) -> None:
    code, out, _ = run("check", "--format", form, "--today", "2026-11-25", EXAMPLES)
    assert code == 1
    assert out
    if form in ("json", "sarif"):
        json.loads(out)
    if form == "junit":
        ET.fromstring(out)
    if form == "text":
        assert all(len(line) <= 80 for line in out.splitlines())


def test_the_shape_of_the_json(run: Run) -> None:
    data = json.loads(run("check", "--format", "json", FAULTY)[1])
    assert data["schema"] == "packyoke/check/1"
    build = data["builds"][0]
    assert set(build) == {
        "file",
        "name",
        "status",
        "fingerprint",
        "verdict",
        "counts",
        "good_for",
        "cure",
        "findings",
        "parts",
        "to_find_out",
        "sets",
        "assumed",
        "sources",
    }
    assert set(build["findings"][0]) == {
        "rule",
        "severity",
        "kind",
        "part",
        "also",
        "line",
        "column",
        "message",
        "why",
        "do",
        "found",
        "limit",
        "ask",
        "passes_if",
        "relation",
        "field",
        "packs_in",
        "charges",
        "basis",
        "fingerprint",
        "accepted",
    }
    assert build["counts"]["stop"] == sum(each["severity"] == "stop" for each in build["findings"])


def test_the_ticket_is_in_the_json_only_when_asked(run: Run) -> None:
    assert "quote 118" not in run("check", "--format", "json", CLEAN)[1]
    assert "quote 118" in run("check", "--format", "json", "--with-ticket", CLEAN)[1]


def test_spelling_and_order_change_no_fingerprint(run: Run, tmp_path: Path) -> None:
    other = tmp_path / "other.yaml"
    text = edited("skerry-long-tail", {"packs.keel.resistance": "0.095 ohm", "leads.main lead.length": "30 cm"})
    other.write_text(text, encoding="utf-8")
    prints = [
        json.loads(run("check", "--format", "json", file)[1])["builds"][0]["fingerprint"] for file in (CLEAN, other)
    ]
    assert prints[0] == prints[1]
    other.write_text(edited("skerry-long-tail", {"leads.main lead.length": "31 cm"}), encoding="utf-8")
    assert json.loads(run("check", "--format", "json", other)[1])["builds"][0]["fingerprint"] != prints[0]


def test_a_mistyped_command_option_and_rule_name_the_nearest(run: Run) -> None:
    code, _, err = run("chek", CLEAN)
    assert (code, "Did you mean check?" in err) == (2, True)
    assert run("check", "--formt", "json", CLEAN)[0] == 2
    code, _, err = run("why", "pack-rush")
    assert (code, "packs-rush" in err) == (2, True)


def test_why(run: Run) -> None:
    code, out, _ = run("why")
    assert code == 0
    assert "lead-overheats" in out
    code, out, _ = run("why", "lead-overheats")
    assert code == 0
    assert "33 CFR 183.425" in out
    code, out, _ = run("why", "--symptom", "dies on hills")
    assert code == 0
    assert "pack-overloaded" in out
    assert run("why", "--symptom", "zzzz")[0] == 1


def test_versions(run: Run) -> None:
    code, out, _ = run("--version")
    assert code == 0
    assert "rules" in out
    assert "shelf" in out


def test_a_wrong_day_is_2(run: Run) -> None:
    code, _, err = run("check", "--today", "tomorrow", CLEAN)
    assert (code, "2027-05-14" in err) == (2, True)


def test_a_shop_file_with_mistakes_is_2(run: Run, tmp_path: Path) -> None:
    (tmp_path / "packyoke-shop.yaml").write_text("packyoke-shop: 1\nnam: x\n", encoding="utf-8")
    file = tmp_path / "a.yaml"
    file.write_text(CLEAN.read_text(encoding="utf-8"), encoding="utf-8")
    code, _, err = run("check", file)
    assert code == 2
    assert "nam" in err
    assert run("check", "--no-shop", file)[0] == 0


def test_the_shop_file_gives_defaults_that_are_listed(run: Run, tmp_path: Path) -> None:
    shop = "packyoke-shop: 1\nname: Ropewalk workshop\ndefaults: {warmest: 41 degC}\n"
    (tmp_path / "packyoke-shop.yaml").write_text(shop, encoding="utf-8")
    file = tmp_path / "a.yaml"
    file.write_text(edited("skerry-long-tail", drop=["warmest"]), encoding="utf-8")
    _, out, _ = run("check", "--format", "json", file)
    assumed = json.loads(out)["builds"][0]["assumed"]
    assert any("41 degC" in each["value"] and each["basis"] == "from the shop file" for each in assumed)


def process(*arguments: str | Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "packyoke", *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, **environment},
    )


def test_piped_output_has_no_colour_unless_forced() -> None:
    assert "\x1b[" not in process("check", CLEAN, FORCE_COLOR="").stdout
    assert "\x1b[" in process("check", CLEAN, FORCE_COLOR="1").stdout


@pytest.mark.parametrize(
    ("no", "force", "coloured"),
    [("", "", False), ("", "1", True), ("1", "", False), ("1", "1", False), ("0", "1", False)],
)
def test_no_colour_counts_where_both_are_set(
    monkeypatch: pytest.MonkeyPatch, packyoke: Run, no: str, force: str, coloured: bool
) -> None:
    """A variable that is set and not empty counts, whatever it says: the convention of NO_COLOR."""
    monkeypatch.setenv("NO_COLOR", no)
    monkeypatch.setenv("FORCE_COLOR", force)
    assert ("\x1b[" in packyoke("check", CLEAN)[1]) is coloured


def test_a_closed_pipe_is_silent() -> None:
    shell = f"{sys.executable} -m packyoke check {FAULTY} {FAULTY} {FAULTY} | head -n 1"
    done = subprocess.run(["bash", "-c", shell], capture_output=True, text=True, check=False)
    assert done.stderr == "" or "Traceback" not in done.stderr


def test_piped_width_does_not_follow_the_terminal() -> None:
    assert process("check", CLEAN, COLUMNS="40").stdout == process("check", CLEAN, COLUMNS="200").stdout


@pytest.mark.parametrize("link", [False, True])
def test_a_file_that_was_given_is_never_written_to(run: Run, tmp_path: Path, link: bool) -> None:
    file = tmp_path / "mine.yaml"
    before = CLEAN.read_text(encoding="utf-8")
    file.write_text(before, encoding="utf-8")
    target = tmp_path / "other.yaml" if link else file
    if link:
        target.symlink_to(file)
    for command in ("check", "rundown"):
        code, _, err = run(command, file, "--output", target, "--replace")
        assert (code, "never written to" in err) == (2, True)
        assert file.read_text(encoding="utf-8") == before


def test_a_broken_build_in_a_folder_is_not_skipped(run: Run, tmp_path: Path) -> None:
    (tmp_path / "good.yaml").write_text(CLEAN.read_text(encoding="utf-8"), encoding="utf-8")
    conflict = "<<<<<<< HEAD\nname: a\n=======\nname: b\n>>>>>>> other\n"
    (tmp_path / "conflict.yaml").write_text(conflict, encoding="utf-8")
    code, out, err = run("check", tmp_path)
    assert code == 2
    assert "Skerry" in out
    assert "1 could not be read" in err
