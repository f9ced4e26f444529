"""How the commands end and what they take: statuses, options that exclude each other, files that are named."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from packyoke.cli.files import _track_below, colour, day_of, printed, shown_in
from packyoke.cli.intake import SUFFIXES, below, builds, take, was_given
from packyoke.cli.streams import _instead, printable, shown_name
from tests.cli.conftest import Run
from tests.support import EXAMPLES, LABELS_ONLY, base_text, edited

GOOD = base_text("skerry-long-tail")
PLAIN = base_text("quay-plain-trike")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "good.yaml").write_text(GOOD, encoding="utf-8")
    (tmp_path / "plain.yaml").write_text(PLAIN, encoding="utf-8")
    (tmp_path / "bad.yaml").write_text("packyoke: 1\npacks: 3\n", encoding="utf-8")
    (tmp_path / "labels.yaml").write_text(LABELS_ONLY, encoding="utf-8")
    return tmp_path


def test_the_status_of_a_check(packyoke: Run, folder: Path) -> None:
    """0 passes, 1 at stop or open, with --strict at a caution, 2 cannot be read."""
    assert packyoke("check", folder / "good.yaml", "--no-shop")[0] == 0
    assert packyoke("check", folder / "plain.yaml", "--no-shop")[0] == 1
    status, _, err = packyoke("check", folder / "bad.yaml", "--no-shop")
    assert (status, "1 could not be read, 0 at stop or open, of 1" in err) == (2, True)
    status, _, err = packyoke("check", folder / "good.yaml", folder / "plain.yaml", "--no-shop")
    assert (status, "1 at stop or open, of 2" in err) == (1, True)
    caution = edited("skerry-long-tail", {"leads.main lead.length": "3 m"})
    (folder / "caution.yaml").write_text(caution, encoding="utf-8")
    plain = packyoke("check", folder / "caution.yaml", "--no-shop", "--format", "json")
    strict = packyoke("check", folder / "caution.yaml", "--no-shop", "--strict", "--format", "json")
    verdict = json.loads(plain[1])["builds"][0]["verdict"]
    assert (plain[0], strict[0]) == ((0, 1) if verdict == "caution" else (strict[0], strict[0]))
    status, _, err = packyoke("check", folder / "good.yaml", folder / "plain.yaml", "--no-shop", "--strict")
    assert "at stop, open or caution, of 2" in err


def test_a_check_of_some_rules(packyoke: Run, folder: Path) -> None:
    status, out, _ = packyoke("check", folder / "plain.yaml", "--no-shop", "--only", "voltage-drop", "--format", "json")
    found = json.loads(out)
    assert found["only"] == ["voltage-drop"]
    build = found["builds"][0]
    assert {each["rule"] for each in build["findings"]} <= {"voltage-drop"}
    assert build["name"].endswith("(only voltage-drop)")
    assert status == (1 if build["verdict"] in ("stop", "open") else 0)
    assert all({*each["findings"]} & {one["fingerprint"] for one in build["findings"]} for each in build["to_find_out"])
    whole = json.loads(packyoke("check", folder / "plain.yaml", "--no-shop", "--format", "json")[1])["builds"][0]
    rule = next(each["rule"] for each in whole["findings"] if each["severity"] == "stop")
    status, out, _ = packyoke("check", folder / "plain.yaml", "--no-shop", "--only", rule, "--format", "json")
    assert (status, json.loads(out)["builds"][0]["verdict"]) == (1, "stop")
    assert packyoke("check", folder / "bad.yaml", "--no-shop", "--only", rule)[0] == 2
    status, _, err = packyoke("check", folder / "good.yaml", "--only", "voltage-drp")
    assert (status, "Did you mean voltage-drop?" in err) == (2, True)
    status, _, err = packyoke("check", folder / "good.yaml", "--only", "zzzz")
    assert (status, "packyoke why" in err) == (2, True)


def test_lines_of_one_s_own_form(packyoke: Run, folder: Path) -> None:
    status, out, _ = packyoke("check", folder / "plain.yaml", "--no-shop", "--lines", "{severity}")
    assert (status, "stop" in out.splitlines()) == (1, True)
    assert packyoke("check", folder / "plain.yaml", "--lines", "{severity}", "--format", "json")[0] == 2
    assert packyoke("check", folder / "plain.yaml", "--lines", "{colour}")[0] == 2
    same = packyoke("check", folder / "plain.yaml", "--no-shop", "--lines", "{severity}", "--format", "lines")
    assert same[1] == out


def test_against_an_earlier_run(packyoke: Run, folder: Path, tmp_path: Path) -> None:
    for name, status in (("good.yaml", 0), ("plain.yaml", 1)):
        code, out, _ = packyoke("check", folder / name, "--no-shop", "--format", "json")
        assert code == status
        (tmp_path / "old.json").write_text(out, encoding="utf-8")
        code, out, _ = packyoke("check", folder / name, "--no-shop", "--against", tmp_path / "old.json")
        assert (code, "0 new, 0 worse" in out) == (0, True)  # nothing is new
        code, out, err = packyoke(
            "check", folder / name, "--no-shop", "--against", tmp_path / "old.json", "--format", "lines"
        )
        assert (code, "against" in err.casefold(), "Against" in out) == (0, True, False)
    assert packyoke("check", folder / "good.yaml", "--against", folder / "good.yaml")[0] == 2
    assert packyoke("check", folder / "good.yaml", "--against", folder / "none.json")[0] == 2


def test_two_that_are_compared(packyoke: Run, folder: Path) -> None:
    good, plain = folder / "good.yaml", folder / "plain.yaml"
    assert packyoke("compare", good, good, "--no-shop")[0] == 0
    assert packyoke("compare", plain, plain, "--no-shop")[0] == 1
    status, _, err = packyoke("compare", good, plain, "--no-shop")
    assert (status, "these are two bikes" in err) == (2, True)
    assert packyoke("compare", "-", "-")[0] == 2
    status, _, err = packyoke("compare", good, folder)
    assert (status, "is a build file" in err, "a folder" in err) == (2, True, True)
    (folder / "empty").mkdir()
    assert packyoke("compare", folder / "empty", folder / "empty")[0] == 2
    out = packyoke("check", good, "--no-shop", "--format", "json")[1]
    (folder / "one.json").write_text(out, encoding="utf-8")
    assert packyoke("compare", folder / "one.json", folder / "one.json")[0] == 0
    for more in (("--no-shop",), ("--today", "2027-05-14"), ("--jobs", "2")):
        status, _, err = packyoke("compare", folder / "one.json", folder / "one.json", *more)
        assert (status, "results are compared as they are" in err) == (2, True)


def test_shop_and_no_shop_say_two_things(packyoke: Run, folder: Path) -> None:
    shop = EXAMPLES / "workshop" / "packyoke-shop.yaml"
    assert packyoke("check", folder / "good.yaml", "--shop", shop, "--no-shop")[0] == 2
    assert packyoke("check", folder / "good.yaml", "--shop", shop)[0] == 0
    assert packyoke("check", folder / "good.yaml", "--shop", folder / "good.yaml")[0] == 2


def test_what_is_due_for_another_look(packyoke: Run, folder: Path) -> None:
    (folder / "due.yaml").write_text(edited("skerry-long-tail", {"recheck": "2027-05-14"}), encoding="utf-8")
    for today, due in (("2027-05-13", False), ("2027-05-14", True), ("2027-05-15", True)):
        err = packyoke("check", folder / "due.yaml", "--no-shop", "--today", today)[2]
        assert ("1 due for a re-check" in err) is due


def test_an_output_is_a_new_file(packyoke: Run, folder: Path) -> None:
    target, good = folder / "out.txt", folder / "good.yaml"
    status, out, _ = packyoke("check", good, "--no-shop", "--output", target)
    assert (status, out, target.exists()) == (0, "", True)
    status, _, err = packyoke("check", good, "--no-shop", "--output", target)
    assert (status, "exists already" in err) == (2, True)
    assert packyoke("check", good, "--no-shop", "--output", target, "--replace")[0] == 0
    status, _, err = packyoke("check", good, "--no-shop", "--output", good, "--replace")
    assert (status, "given to read" in err) == (2, True)
    status, _, err = packyoke("check", good, "--no-shop", "--output", folder / "packyoke-shop.yaml")
    assert (status, "never written to" in err) == (2, True)
    assert packyoke("check", good, "--no-shop", "--output", "-")[1] != ""
    assert printed(None, None, "-") is None  # type: ignore[arg-type]
    assert printed(None, None, "x") == "x"  # type: ignore[arg-type]


def test_files_below_a_folder(folder: Path) -> None:
    (folder / "inner").mkdir()
    (folder / "inner" / "deep.YML").write_text(GOOD, encoding="utf-8")
    (folder / "note.txt").write_text("x", encoding="utf-8")
    (folder / "loop").symlink_to(folder)
    (folder / "gone.yaml").symlink_to(folder / "nowhere.yaml")
    os.mkfifo(folder / "pipe.yaml")
    (folder / "to-pipe.yaml").symlink_to(folder / "pipe.yaml")
    found = {os.path.relpath(each.name, folder): each for each in below(str(folder))}
    assert {*found} == {
        "good.yaml",
        "plain.yaml",
        "bad.yaml",
        "labels.yaml",
        "inner/deep.YML",
        "gone.yaml",
        "pipe.yaml",
        "to-pipe.yaml",
    }
    assert found["gone.yaml"].fault == "a link to nothing"
    assert found["pipe.yaml"].skipped == found["to-pipe.yaml"].skipped == "not a regular file"
    assert (found["good.yaml"].fault, found["good.yaml"].skipped, found["good.yaml"].given) == ("", "", False)
    assert SUFFIXES == (".yaml", ".yml")


def test_what_may_be_named(folder: Path) -> None:
    (folder / "empty").mkdir()
    (one,) = builds((str(folder / "good.yaml"),))
    assert one.given
    (pipe,) = builds(("-",))
    assert (pipe.name, pipe.given) == ("-", True)
    (none,) = builds((str(folder / "empty"),))
    assert none.skipped.startswith("no *.yaml")
    matched = [*builds((str(folder / "g*.yaml"),))]
    assert [(os.path.basename(each.name), each.given) for each in matched] == [("good.yaml", True)]
    (fault,) = builds((str(folder / "z*.yaml"),))
    assert fault.fault == "no file matches this pattern"
    (folder / "odd[1].yaml").write_text(GOOD, encoding="utf-8")
    (odd,) = builds((str(folder / "odd[1].yaml"),))  # a name that is there is no pattern
    assert odd.given
    assert len([*builds((str(folder / "emp*"),))]) == 0


def test_no_more_is_read_than_its_limit(folder: Path) -> None:
    assert len(take(str(folder / "good.yaml"), 10)) == 11
    assert take(str(folder / "good.yaml"), 10_000_000) == GOOD.encode()
    os.mkfifo(folder / "pipe")
    with pytest.raises(OSError, match="not a regular file"):
        take(str(folder / "pipe"), 10, regular=True)
    assert not was_given(str(folder / "plain.yaml"))


def test_a_track_lies_below_the_folder_of_its_build(folder: Path) -> None:
    from packyoke.cli.files import NoTrack

    with pytest.raises(NoTrack, match="lies outside the folder"):
        _track_below(str(folder), "../other.gpx")
    with pytest.raises(NoTrack, match="cannot be opened"):
        _track_below(str(folder), "here.gpx")


def test_colour_and_units_and_days(monkeypatch: pytest.MonkeyPatch, packyoke: Run, folder: Path) -> None:
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    assert not colour()
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert colour()
    assert not colour("file.txt")
    assert [shown_in("us", form) for form in ("text", "html", "svg", "json", "csv")] == [
        "us",
        "us",
        "us",
        "metric",
        "metric",
    ]
    assert day_of("2027-05-14") == "2027-05-14"
    assert len(day_of(None)) == 10
    assert packyoke("check", folder / "good.yaml", "--today", "14.5.2027")[0] == 2


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a\x1b[31m", "a\\x1b[31m"),
        ("a\nb\tc", "a\nb\tc"),
        ("plain", "plain"),
        ("a\udcffb", "a\\xffb"),
        ("a\u00a0b", "a\u00a0b"),
        ("a\u200bb", "a\\u200bb"),
        ("a\rb", "a\\rb"),
    ],
)
def test_what_is_said_shows_what_is_unseen(text: str, shown: str) -> None:
    assert printable(text) == shown
    assert shown_name("a\nb") == "a\\nb"


def test_letters_that_a_terminal_has_not() -> None:
    def said(text: str) -> str:
        return _instead(UnicodeEncodeError("ascii", text, 0, len(text), "x"))[0]

    assert [said(each) for each in ("\u2212", "\u03a9", "\u00b0", "\u00e9", "\u8377")] == ["-", "ohm", "deg ", "e", "?"]
    with pytest.raises(UnicodeDecodeError):
        _instead(UnicodeDecodeError("ascii", b"x", 0, 1, "x"))


def test_why(packyoke: Run) -> None:
    assert packyoke("why", "packs-rush")[0] == 0
    assert packyoke("why", "PACKS-RUSH")[0] == 0
    status, _, err = packyoke("why", "packs-rash")
    assert (status, "packs-rush" in err) == (2, True)
    assert packyoke("why", "packs-rush", "--symptom", "hot")[0] == 2
    assert packyoke("why", "--symptom", "dies on hills")[0] in (0, 1)
    assert packyoke("why", "--symptom", "qqqq zzzz")[0] == 1
    assert "packs-rush" in packyoke("why")[1]
