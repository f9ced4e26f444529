"""`packyoke compare` of two folders of stored builds, and of two results of the check."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Run
from tests.support import EXAMPLES, edited

DAY = ("--no-shop", "--today", "2027-05-14")
LONG_TAIL = "skerry-long-tail"
STRONGER = {"controller.battery_current": "35 A"}
"""The pannier, rated for 30 A, alone carries the 35 A and the lamp's 0.5 A: a stop that was not there."""


@pytest.fixture
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """`old` and `new`, the same: a good build, one below a folder, one at stop; not a build in either."""
    monkeypatch.chdir(tmp_path)
    old = tmp_path / "old"
    (old / "long").mkdir(parents=True)
    (old / "good.yaml").write_text(edited(LONG_TAIL), encoding="utf-8")
    (old / "long" / "tail.yaml").write_text(edited(LONG_TAIL), encoding="utf-8")
    (old / "stop.yaml").write_text((EXAMPLES / "oakum-draft.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    (old / "services.yaml").write_text("services: {}\n", encoding="utf-8")
    shutil.copytree(old, tmp_path / "new")
    return tmp_path


def put(path: Path, values: dict[str, Any] | None = None, drop: tuple[str, ...] = ()) -> None:
    path.write_text(edited(LONG_TAIL, values, drop), encoding="utf-8")


def compared(packyoke: Run, *more: str) -> tuple[int, Any]:
    code, out, _ = packyoke("compare", "old", "new", *DAY, "--format", "json", *more)
    data = json.loads(out)
    assert data["schema"] == "packyoke/compare-many/1"
    return code, data


def result(packyoke: Run, folder: str, name: str, *more: str) -> str:
    """The result of a check of a folder as `builds`, so that both have the same names."""
    Path(folder).rename("builds")
    packyoke("check", "builds", *DAY, "--format", "json", "--output", name, *more)
    Path("builds").rename(folder)
    return name


def test_folders_that_are_alike_have_nothing_new_and_still_say_no_for_what_is_at_stop(
    packyoke: Run, folders: Path
) -> None:
    code, out, err = packyoke("compare", "old", "new", *DAY)
    assert code == 1
    assert out.startswith("STOP  Nothing new stops a build that was there before; 1 of 3 builds at stop or")
    assert "services.yaml: no packyoke line" in err
    for folder in ("old", "new"):
        Path(folder, "stop.yaml").unlink()
    code, out, _ = packyoke("compare", "old", "new", *DAY)
    assert (code, out.splitlines()[0]) == (0, "SAME  2 builds: nothing that counts is different.")
    assert "long/tail.yaml" in out


def test_what_a_change_brings_stands_under_its_build(packyoke: Run, folders: Path) -> None:
    put(Path("new/long/tail.yaml"), STRONGER)
    code, out, _ = packyoke("compare", "old", "new", *DAY)
    assert code == 1
    assert out.startswith("STOP  1 of 3 builds: the change brings what was not there before.")
    block = out.partition("STOP  long/tail.yaml")[2].partition("BUILDS")[0]
    assert "in the file controller: battery_current.limit 25 A -> 35 A" in block
    assert "stop, pannier: load above the pack's limit, 35.5 A (limit 30 A)" in " ".join(block.split())
    _, data = compared(packyoke)
    assert [each["file"] for each in data["builds"]] == ["good.yaml", "long/tail.yaml", "stop.yaml"]
    assert [each["refused"] for each in data["builds"]] == [False, True, False]


def test_a_folder_says_of_a_build_what_two_builds_say(packyoke: Run, folders: Path) -> None:
    put(Path("new/good.yaml"), STRONGER, ("leads.main lead.gauge",))
    _, many = compared(packyoke)
    _, out, _ = packyoke("compare", "old/good.yaml", "new/good.yaml", *DAY, "--format", "json")
    one, pair = json.loads(out), many["builds"][0]
    keys = ("change", "fingerprint", "severity", "severity_before", "found", "found_before", "limit")
    assert [[each[key] for key in keys] for each in pair["findings"]] == [
        [each[key] for key in keys] for each in one["findings"]
    ]
    assert pair["differences"] == one["differences"]
    assert (pair["refused"], pair["before"], pair["after"]) == (
        one["refused"],
        one["old"]["verdict"],
        one["new"]["verdict"],
    )


def test_what_is_only_in_one_is_named_and_a_new_build_at_stop_is_a_no(packyoke: Run, folders: Path) -> None:
    for folder in ("old", "new"):
        Path(folder, "stop.yaml").unlink()
    Path("new/good.yaml").unlink()
    code, out, _ = packyoke("compare", "old", "new", *DAY)
    assert code == 0
    assert "good.yaml: Skerry mail, long-tail no. 3: only before" in out
    put(Path("new/also.yaml"), STRONGER)
    code, data = compared(packyoke)
    assert code == 1
    assert not data["refused"], "nothing was changed: it was not there"
    also = next(each for each in data["builds"] if each["file"] == "also.yaml")
    assert (also["before"], also["after"]) == (None, "stop")
    assert {each["change"] for each in also["findings"]} == {"new"}
    assert "only after" in packyoke("compare", "old", "new", *DAY)[1]


@pytest.mark.parametrize("side", ["old", "new"])
def test_what_cannot_be_read_hides_nothing_and_is_two(packyoke: Run, folders: Path, side: str) -> None:
    Path(side, "good.yaml").write_text("packyoke: 1\nname: [\n", encoding="utf-8")
    put(Path("new/long/tail.yaml"), STRONGER)
    code, out, err = packyoke("compare", "old", "new", *DAY)
    assert code == 2
    assert "1 of 3 builds: the change brings" in out
    assert "UNREADABLE" in out or side == "old"
    assert f"{side}/good.yaml:3:" in err
    assert err.splitlines()[-1] == "1 could not be read, of 3"
    _, data = compared(packyoke)
    assert (data["unreadable"], data["builds"][0]["refused"], data["answered"]) == (1, False, False)


def test_a_build_that_is_none_any_more_is_not_passed_over(packyoke: Run, folders: Path) -> None:
    Path("new/good.yaml").write_text("services: {}\n", encoding="utf-8")
    code, data = compared(packyoke)
    assert (code, data["builds"][0]["after"]) == (2, "no build")


def test_a_build_that_was_retired_is_not_gone(packyoke: Run, folders: Path) -> None:
    put(Path("new/good.yaml"), {"status": "retired"})
    Path("new/stop.yaml").unlink()
    code, data = compared(packyoke)
    assert (code, data["builds"][0]["before"], data["builds"][0]["after"]) == (0, "none-found", "retired")


def test_another_bike_under_an_old_name_is_said_to_be_one(packyoke: Run, folders: Path) -> None:
    shutil.copy(EXAMPLES / "sluice-second-port.yaml", "new/good.yaml")
    _, data = compared(packyoke)
    assert data["builds"][0]["note"].startswith("another bike")


def test_jobs_change_nothing(packyoke: Run, folders: Path) -> None:
    put(Path("new/good.yaml"), STRONGER)
    assert compared(packyoke, "--jobs", "2") == compared(packyoke)


def test_two_results_say_what_the_folders_say(packyoke: Run, folders: Path) -> None:
    put(Path("new/good.yaml"), STRONGER)
    put(Path("new/long/tail.yaml"), None, ("leads.main lead.gauge",))
    Path("new/stop.yaml").unlink()
    was, now = (result(packyoke, each, f"{each}.json") for each in ("old", "new"))
    code, out, _ = packyoke("compare", was, now, "--format", "json")
    results, (_, of_folders) = json.loads(out), compared(packyoke)
    assert code == 1
    assert (results["of"], of_folders["of"]) == ("results", "folders")
    keys = ("name", "before", "after", "refused", "findings")
    assert [[each[key] for key in keys] for each in results["builds"]] == [
        [each[key] for key in keys] for each in of_folders["builds"]
    ]
    assert packyoke("compare", now, now)[0] == 1
    assert packyoke("compare", was, now)[1].startswith("STOP  2 of 3 builds")


def test_two_results_say_what_a_check_against_the_first_says(packyoke: Run, folders: Path) -> None:
    put(Path("old/good.yaml"), {"leads.main lead.gauge": "18 AWG", "controller.battery_current": "20 A"})
    put(Path("new/good.yaml"), {"leads.main lead.gauge": "18 AWG", "controller.battery_current": "25 A"})
    put(Path("new/stop.yaml"))
    was, now = (result(packyoke, each, f"{each}.json") for each in ("old", "new"))
    Path("new").rename("builds")
    against = json.loads(packyoke("check", "builds", *DAY, "--format", "json", "--against", was)[1])["against"]
    data = json.loads(packyoke("compare", was, now, "--format", "json")[1])
    for kind in ("new", "worse", "better", "gone"):
        listed = [(b["file"], f["rule"]) for b in data["builds"] for f in b["findings"] if f["change"] == kind]
        assert len(listed) == len(against[kind]), kind
    assert against["worse"]
    assert against["gone"]


@pytest.mark.parametrize("form", ["text", "markdown", "html"])
def test_every_form_names_every_build(packyoke: Run, folders: Path, form: str) -> None:
    put(Path("new/good.yaml"), STRONGER)
    out = packyoke("compare", "old", "new", *DAY, "--format", form)[1]
    assert all(each in out for each in ("good.yaml", "long/tail.yaml", "stop.yaml", "load above the pack"))


def test_results_of_other_versions_are_compared_and_said_to_be(packyoke: Run, folders: Path) -> None:
    was = result(packyoke, "old", "old.json")
    data = json.loads(Path(was).read_text(encoding="utf-8"))
    Path("other.json").write_text(json.dumps({**data, "rules": "1999.1"}), encoding="utf-8")
    out = " ".join(packyoke("compare", "other.json", was)[1].split())
    assert "Made by other versions: rules 1999.1, now" in out
    assert "other versions" not in packyoke("compare", was, was)[1]


def stored(**put: Any) -> str:
    finding = {"rule": "a", "part": "p", "severity": "stop", "message": "m", "fingerprint": "f", "found": None}
    build = {"file": "f.yaml", "name": "n", "verdict": "stop", "findings": [{**finding, **put}]}
    data = {"schema": "packyoke/check/1", "tool": "1", "rules": "1", "shelf": "1", "builds": [build]}
    return json.dumps({**data, **put.get("top", {})})


REFUSED = {
    "no JSON": ("{", "it is no JSON"),
    "too deep": ("[" * 100_000, "it is no JSON"),
    "a list": ("[]", "it is not of the schema packyoke/check/1"),
    "another command": ('{"schema": "packyoke/range/1"}', "it is the answer of another command (packyoke/range/1)"),
    "another version": (
        '{"schema": "packyoke/check/2"}',
        "in the schema packyoke/check/2; this one reads packyoke/check/1",
    ),
    "no builds": (
        '{"schema": "packyoke/check/1", "tool": "1", "rules": "1", "shelf": "1"}',
        "the result has no builds",
    ),
    "a build of another kind": (stored(top={"builds": [3]}), "builds[0] has no verdict"),
    "a severity of another kind": (stored(severity="bad"), 'builds[0].findings[0] has the severity "bad"'),
    "a fingerprint that is a list": (stored(fingerprint=[]), "builds[0].findings[0] has no fingerprint"),
    "a figure that is a word": (stored(found={"value": "3", "unit": "A"}), "findings[0].found is no figure"),
    "a figure that is yes": (stored(found={"value": True, "unit": "A"}), "findings[0].found is no figure"),
}


@pytest.mark.parametrize("kind", REFUSED)
@pytest.mark.parametrize("command", ["compare", "check"])
def test_what_is_no_result_is_refused_with_what_it_is(packyoke: Run, folders: Path, kind: str, command: str) -> None:
    text, said = REFUSED[kind]
    Path("x.json").write_text(text, encoding="utf-8")
    Path("y.json").write_text(stored(), encoding="utf-8")
    typed = ("compare", "x.json", "y.json") if command == "compare" else ("check", "old", "--against", "x.json")
    code, out, err = packyoke(*typed)
    assert (code, out) == (2, "")
    assert said in err


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("old", "old/good.yaml"), "old is a folder, old/good.yaml a build file"),
        (("old/good.yaml", "x.json"), "old/good.yaml is a build file, x.json a result of the check in JSON"),
        (("x.json", "old"), "x.json is a result of the check in JSON, old a folder"),
        (("x.json", "x.json", "--no-shop"), "results are compared as they are"),
        (("old", "empty"), "no build was found in empty"),
        (("old", "none"), "none cannot be opened"),
        (("x.json", "z.json"), "have no file in common (f.yaml; g.yaml)"),
        (("x.json", "only.json"), "x.json is about all rules, only.json about only a, b"),
        (("-", "-"), "only one of the two"),
    ],
)
def test_what_cannot_be_compared_is_refused(packyoke: Run, folders: Path, typed: tuple[str, ...], said: str) -> None:
    Path("empty").mkdir()
    Path("x.json").write_text(stored(), encoding="utf-8")
    Path("z.json").write_text(stored().replace("f.yaml", "g.yaml"), encoding="utf-8")
    Path("only.json").write_text(stored(top={"only": ["b", "a"]}), encoding="utf-8")
    code, out, err = packyoke("compare", *typed)
    assert (code, out) == (2, "")
    assert said in err


def test_a_build_written_as_json_is_a_build(packyoke: Run, folders: Path) -> None:
    import yaml

    tree = yaml.load(edited(LONG_TAIL), Loader=yaml.BaseLoader)
    Path("one.yaml").write_text(json.dumps(tree), encoding="utf-8")
    code, out, _ = packyoke("compare", "one.yaml", "old/good.yaml", *DAY)
    assert (code, out[:4]) == (0, "SAME")


def test_a_result_of_some_rules_is_not_held_against_all(packyoke: Run, folders: Path) -> None:
    some = result(packyoke, "old", "some.json", "--only", "packs-rush,lead-overheats")
    assert json.loads(Path(some).read_text(encoding="utf-8"))["only"] == ["lead-overheats", "packs-rush"]
    Path("old").rename("builds")
    code, _, err = packyoke("check", "builds", *DAY, "--against", some)
    assert (code, "holds only lead-overheats, packs-rush" in err) == (2, True)
    code, out, _ = packyoke("check", "builds", *DAY, "--against", some, "--only", "lead-overheats")
    assert "0 new, 0 worse, 0 gone" in out


def test_of_a_file_that_cannot_be_read_now_nothing_is_gone(packyoke: Run, folders: Path) -> None:
    was = result(packyoke, "old", "was.json")
    Path("old").rename("builds")
    Path("builds/stop.yaml").write_text("packyoke: 1\nname: [\n", encoding="utf-8")
    code, out, _ = packyoke("check", "builds", *DAY, "--against", was)
    assert code == 2
    assert "0 gone" in out
    assert "not checked now: builds/stop.yaml" in out
