"""A folder of stored builds over the years: each fault that was planted is told, and nothing else is."""

from __future__ import annotations

import json
import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
import yaml

from tests.cli.conftest import Run
from tests.properties.stored_builds import (
    TODAY,
    Folder,
    as_text,
    faults,
    harmless,
    plant,
    run,
    told,
    told_wrong,
    weight,
)
from tests.support import edited

COUNT = 36
"""More of them: python -m tests.properties.stored_builds."""


def test_every_kind_of_fault_is_planted() -> None:
    """Those that the rules of the trade expect to be heard are most of them, on each example that has leads."""
    from tests.properties.stored_builds import BASES

    kinds = {}
    for text in BASES.values():
        for fault in faults(yaml.load(text, Loader=yaml.BaseLoader)):
            kinds[fault.name] = kinds.get(fault.name, False) or bool(fault.rule)
    assert len(kinds) >= 25
    assert sum(kinds.values()) >= 18


@pytest.mark.parametrize("seed", [1, 2])
def test_each_fault_is_told_and_nothing_else(tmp_path: Path, seed: int) -> None:
    folder = Folder(tmp_path, COUNT, seed)
    paths = folder.read()
    same = set(paths[: COUNT // 3])
    for path in same:
        made = harmless(folder.trees[path], path.read_text(encoding="utf-8"), folder.dice)
        path.write_bytes(folder.dice.choice([*made.values()]))
    planted = plant(folder, paths[COUNT // 3 :])
    assert len(planted) > COUNT // 3
    assert told_wrong(folder, planted, same) == []


def test_builds_that_are_the_same_in_other_files_are_the_same(tmp_path: Path) -> None:
    folder = Folder(tmp_path, 9, 4)
    for path in folder.read():
        for what, data in harmless(folder.trees[path], as_text(folder.trees[path]), folder.dice).items():
            path.write_bytes(data)
            code, out, _ = folder.check("--against", folder.last)
            assert (code, " 0 new, 0 worse, 0 gone, 0 better," in out) == (0, True), (path, what)
        tidy = path.with_suffix(".txt")
        assert run("tidy", path, "--output", tidy)[0] == 0
        tidy.replace(path)
    assert " 0 new, 0 worse, 0 gone, 0 better," in folder.check("--against", folder.last)[1]


@pytest.fixture(scope="module")
def worse(tmp_path_factory: pytest.TempPathFactory) -> Folder:
    """Faults, a copy, a file that moved, one that was deleted and one that is retired now."""
    folder = Folder(tmp_path_factory.mktemp("stored"), 24, 7)
    paths = folder.read()
    plant(folder, paths[:12])
    (paths[12].with_name("copy.yaml")).write_bytes(paths[12].read_bytes())
    paths[13].rename(paths[13].with_name("moved.yaml"))
    paths[14].unlink()
    paths[15].write_text(as_text(folder.trees[paths[15]] | {"status": "retired"}), encoding="utf-8")
    return folder


@pytest.mark.parametrize("strict", [(), ("--strict",)], ids=["", "strict"])
@pytest.mark.parametrize("form", ["text", "markdown", "html", "json", "sarif", "junit", "lines"])
def test_every_form_ends_alike_and_with_two_jobs(worse: Folder, form: str, strict: tuple[str, ...]) -> None:
    typed = ("--against", worse.last, "--format", form, *strict)
    one = worse.check(*typed)
    assert worse.check(*typed, "--jobs", "2") == one
    code, out, err = one
    plain = worse.check("--against", worse.last, *strict)
    assert (code, err.splitlines()[-1]) == (1, plain[2].splitlines()[-1])
    found = re.match(r"(\d+) at stop(?: or open|, open or caution), new or worse, of (\d+)$", err.splitlines()[-1])
    assert found is not None
    failing, builds = map(int, found.groups())
    (said,) = re.findall(r"(\d+) new, (\d+) worse, (\d+) gone, (\d+) better, (\d+) the same; 1 in another", plain[1])
    new, graver, _, better, same = map(int, said)
    if form == "json":
        data = json.loads(out)
        counts = {kind: len(data["against"][kind]) for kind in ("new", "worse", "better", "same")}
        assert counts == {"new": new, "worse": graver, "better": better, "same": same}
        assert len(data["builds"]) == builds
        assert len(data["against"]["not_checked"]) == 2
    if form == "sarif":
        states = [each["baselineState"] for each in json.loads(out)["runs"][0]["results"]]
        assert (states.count("new"), states.count("unchanged")) == (new, same)
        assert states.count("updated") == graver + better
    if form == "junit":
        suites = [*ET.fromstring(out)]
        assert len(suites) == builds
        assert sum(int(suite.get("failures", "0")) > 0 for suite in suites) == failing
    if form == "lines":
        builds_now = told(json.loads(worse.check("--format", "json")[1])).values()
        accepted = sum(bool(each["accepted"]) for found_in in builds_now for each in found_in.values())
        assert len(out.splitlines()) == new + graver + better + same - accepted


def test_some_rules_say_of_the_folder_what_all_say_of_these(worse: Folder) -> None:
    only = "lead-overheats,pack-unsound,voltage-drop"
    whole = json.loads(worse.check("--against", worse.last, "--format", "json")[1])
    part = json.loads(worse.check("--against", worse.last, "--format", "json", "--only", only)[1])
    prints = {
        (file, key)
        for file, found in told(whole).items()
        for key, each in found.items()
        if each["rule"] in only.split(",")
    }
    for kind in ("new", "worse", "better", "same"):
        all_of = {(each["file"], each["fingerprint"]) for each in whole["against"][kind]}
        assert {(each["file"], each["fingerprint"]) for each in part["against"][kind]} == all_of & prints, kind
    assert part["against"]["moved"] == whole["against"]["moved"]
    assert part["against"]["not_checked"] == whole["against"]["not_checked"]


def test_what_was_accepted_and_is_no_longer_is_worse(tmp_path: Path) -> None:
    """Taken out, run out, or written for less than is found now; --strict fails on it, without it nothing does."""
    folder = Folder(tmp_path, 27, 5)
    assert len(folder.accepted) >= 2
    for path, (rule, part) in folder.accepted.items():
        tree = folder.trees[path]
        (said,) = tree["accept"]
        number, _, unit = said["found"].partition(" ")
        for accept in (
            [],
            [{**said, "until": "2027-05-13"}],
            [{**said, "found": f"{float(number) * 0.9:.6g} {unit}".strip()}],
        ):
            path.write_text(as_text({**tree, "accept": accept}), encoding="utf-8")
            code, text, err = folder.check("--against", folder.last, "--format", "json")
            data = json.loads(text)
            now = told(data)[str(path)]
            worse = [now[each["fingerprint"]] for each in data["against"]["worse"]]
            assert [(each["rule"], each["part"]) for each in worse] == [(rule, part)]
            assert (code, err.splitlines()[-1].split()[0]) == (0, "0")
            assert folder.check("--against", folder.last, "--strict")[0] == 1
        path.write_text(as_text(tree), encoding="utf-8")
        assert folder.check("--against", folder.last, "--strict")[0] == 0


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty", b""),
        ("blank", b"\n\n# nothing\n"),
        ("half", b"packyoke: 1\nname: [\n"),
        ("no text", b"packyoke: 1\nname: x\n\xff\xfe\x00"),
        ("zeros", bytes(500)),
        ("something else", b"services: {web: {image: x}}\n"),
        ("a list", b"- 1\n- 2\n"),
    ],
)
def test_a_stored_build_that_is_none_any_more_fails(tmp_path: Path, name: str, data: bytes) -> None:
    """It was checked and is not now, and nobody took it away: that is no pass."""
    folder = Folder(tmp_path, 9, 6)
    path = folder.read()[0]
    path.write_bytes(data)
    code, out, err = folder.check("--against", folder.last)
    assert code == 2
    assert path.name in out
    assert re.search(rf"new +.*{path.name}:\d+: stop: unreadable", out)
    assert "1 could not be read, 0 at stop or open, new or worse" in err


DUE = [
    ("2027-05-13", "2027-05-12", False),
    ("2027-05-13", "2027-05-13", True),
    ("2027-05-13", "2027-05-14", True),
    ("2027-05", "2027-04-30", False),
    ("2027-05", "2027-05-01", True),
    ("2028-02", "2028-01-31", False),
    ("2028-02-29", "2028-02-28", False),
    ("2028-02-29", "2028-02-29", True),
    ("2027-12-31", "2028-01-01", True),
    ("2031-12", "2030-12-31", False),
    ("2031-12", "2031-12-01", True),
    ("2026", "2027-01-01", None),
    ("2027-02-29", "2027-01-01", None),
]


@pytest.mark.parametrize(("recheck", "today", "due"), DUE)
def test_a_day_to_look_again_comes_on_its_day(tmp_path: Path, recheck: str, today: str, due: bool | None) -> None:
    """A month is due from its first day. What only became due is no stop and not open: it fails --strict alone."""
    path, last = tmp_path / "b" / "bike.yaml", tmp_path / "last.json"
    path.parent.mkdir()
    path.write_text(edited("skerry-long-tail", {"recheck": recheck}), encoding="utf-8")
    code, _, _ = run("check", path, "--no-shop", "--format", "json", "--output", last, "--today", "2025-01-01")
    assert code == (2 if due is None else 0)
    if due is None:
        return
    code, out, err = run("check", path.parent, "--no-shop", "--against", last, "--today", today)
    assert code == 0
    assert ("1 due for a re-check" in err) is due
    assert (re.search(r"new +\S+: caution: recheck-due", out) is not None) is due
    assert run("check", path.parent, "--no-shop", "--against", last, "--today", today, "--strict")[0] == int(due)
    path.write_text(edited("skerry-long-tail", {"recheck": recheck, "status": "retired"}), encoding="utf-8")
    code, out, err = run("check", path.parent, "--no-shop", "--against", last, "--today", today)
    assert "due for a re-check" not in err


def test_another_default_of_the_shop_is_worse_where_it_is_inherited(tmp_path: Path) -> None:
    """Builds that say themselves how warm it gets are as they were; the other ones are told, and where it came from."""
    own, last = {"b1.yaml": "35 degC", "b2.yaml": "20 degC"}, tmp_path / "last.json"
    shop = tmp_path / "packyoke-shop.yaml"
    shop.write_text("packyoke-shop: 1\ndefaults: {warmest: 25 degC}\n", encoding="utf-8")
    (tmp_path / "b").mkdir()
    for number in range(4):
        name = f"b{number}.yaml"
        put = {"controller.battery_current": "38 A", **({"warmest": own[name]} if name in own else {})}
        text = edited("skerry-long-tail", put, drop=[] if name in own else ["warmest"])
        (tmp_path / "b" / name).write_text(text, encoding="utf-8")
    assert run("check", tmp_path / "b", "--format", "json", "--output", last, "--today", TODAY)[0] in (0, 1)
    assert run("check", tmp_path / "b", "--against", last, "--today", TODAY)[0] == 0
    shop.write_text("packyoke-shop: 1\ndefaults: {warmest: 50 degC}\n", encoding="utf-8")
    code, out, _ = run("check", tmp_path / "b", "--against", last, "--today", TODAY, "--format", "json")
    data = json.loads(out)
    worse = {Path(each["file"]).name for kind in ("new", "worse") for each in data["against"][kind]}
    assert (code, worse) == (1, {"b0.yaml", "b3.yaml"})
    for build in data["builds"]:
        inherited = [each["basis"] for each in build["assumed"] if "from the shop file" in each["basis"]]
        assert bool(inherited) is (Path(build["file"]).name not in own)


def test_a_folder_that_is_called_otherwise_is_the_same(packyoke: Run, tmp_path: Path) -> None:
    """Stored from elsewhere: a build is known again by what it is where its file has another name."""
    folder = Folder(tmp_path, 9, 8)
    folder.root.rename(tmp_path / "archive")
    code, out, _ = packyoke("check", tmp_path / "archive", "--no-shop", "--today", TODAY, "--against", folder.last)
    assert (code, " 0 new, 0 worse, 0 gone, 0 better," in out) == (0, True)
    assert f"; {len(folder.before)} in another file" in out
    assert weight({"accepted": "yes", "severity": "caution"}) == 1
