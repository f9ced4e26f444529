"""A process that is killed, or a build on which the program fails, among many: the others are told, that one is named
as not checked, nothing of it is gone, and the status says so."""

from __future__ import annotations

import json
import os
import signal
from pathlib import Path
from typing import Any

import pytest

from packyoke import api
from packyoke.analysis.case import Case
from packyoke.cli import jobs, reports
from packyoke.cli.files import Shops
from packyoke.cli.intake import FoundFile
from packyoke.cli.jobs import Read, each_read
from packyoke.rules import voltage_drop
from tests.cli.conftest import Run
from tests.support import edited

STOP = edited("oakum-draft")
CHECK = api._check


def ending(build: api.Build, **asked: Any) -> api.Report:
    """The check, but over a file called so: as the system does it that is short of memory."""
    if "killed" in build.file:
        os.kill(os.getpid(), signal.SIGKILL)
    if "fails" in build.file:
        raise ZeroDivisionError("none")
    return CHECK(build, **asked)


def unread(*_: Any, **__: Any) -> Any:
    raise MemoryError("no room")


def folder(path: Path, *names: str) -> Path:
    path.mkdir()
    for name in names:
        (path / f"{name}.yaml").write_text(STOP if "stop" in name else edited("skerry-long-tail"), encoding="utf-8")
    return path


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json", "sarif", "junit", "lines"])
def test_every_form_tells_the_others_and_names_the_one(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, form: str
) -> None:
    """Of two processes the first has a, c and e, the second b and d."""
    builds = folder(tmp_path / "builds", "a", "b", "c-killed", "d-stop", "e-stop")
    monkeypatch.setattr(api, "_check", ending)
    code, out, err = packyoke("check", builds, "--no-shop", "--jobs", "2", "--format", form)
    assert code == 3
    for name in ("d-stop", "e-stop", "c-killed"):
        assert name in out, name
    assert "not checked: the program ended over this file" in out
    assert err.splitlines()[-2:] == [
        f"1 not checked to the end, the program failed: {builds / 'c-killed.yaml'}",
        "3 at stop or open, of 5",
    ]


def verdicts(out: str) -> list[tuple[str, str]]:
    return [(Path(each["file"]).stem, each["verdict"]) for each in json.loads(out)["builds"]]


@pytest.mark.parametrize("processes", [2, 3, 9])
@pytest.mark.parametrize(
    "names",
    [
        ["a-killed", "b", "c", "d"],
        ["a", "b", "c", "d-killed"],
        ["a-killed", "b-killed", "c-killed", "d-killed", "e-killed"],
        ["a-fails", "b-killed", "c", "d", "e-stop"],
    ],
)
def test_whichever_it_is_the_others_have_their_verdicts(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, names: list[str], processes: int
) -> None:
    builds = folder(tmp_path / "builds", *names)
    monkeypatch.setattr(api, "_check", ending)
    code, out, _ = packyoke("check", builds, "--no-shop", "--jobs", str(processes), "--format", "json")
    assert code == 3
    assert verdicts(out) == [(name, "stop" if "-" in name else "none-found") for name in names]
    told = {each["findings"][0]["why"] for each in json.loads(out)["builds"] if "killed" in each["file"]}
    assert told == {"its process was ended by SIGKILL"}


def test_a_file_that_cannot_be_read_beside_it_changes_no_status(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    builds = folder(tmp_path / "builds", "a", "b-killed")
    (builds / "c.yaml").write_text("packyoke: 1\nname: [\n", encoding="utf-8")
    monkeypatch.setattr(api, "_check", ending)
    code, _, err = packyoke("check", builds, "--no-shop", "--jobs", "2")
    assert (code, err.splitlines()[-1]) == (3, "1 could not be read, 1 at stop or open, of 3")


@pytest.mark.parametrize("what", ["a-fails", "a-killed"])
def test_nothing_is_gone_from_a_build_that_was_not_checked(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, what: str
) -> None:
    builds, last = folder(tmp_path / "builds", f"{what}-stop", "b"), tmp_path / "last.json"
    packyoke("check", builds, "--no-shop", "--format", "json", "--output", last)
    monkeypatch.setattr(api, "_check", ending)
    code, out, _ = packyoke("check", builds, "--no-shop", "--jobs", "2", "--against", last)
    assert code == 3
    assert "1 new, 0 worse, 0 gone, 0 better" in out
    assert f"not checked now: {builds / what}-stop.yaml (failed in the program)" in out
    other = folder(tmp_path / "other", "b")
    (other / f"{what}-stop.yaml").write_text(STOP, encoding="utf-8")
    for old, new in ((other, builds), (builds, other)):
        code, out, _ = packyoke("compare", old, new, "--no-shop", "--jobs", "2", "--format", "json")
        assert code == 3, "never 1: nobody knows"
        assert '"gone"' not in out


def test_a_file_at_which_the_reader_fails_is_not_checked_and_hides_no_other(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    builds = folder(tmp_path / "builds", "a", "b-stop", "c")
    take = reports.take
    monkeypatch.setattr(
        reports, "take", lambda name, *more, **most: unread() if name.endswith("a.yaml") else take(name, *more, **most)
    )
    code, out, _ = packyoke("check", builds, "--no-shop", "--format", "json")
    assert (code, verdicts(out)) == (3, [("a", "stop"), ("b-stop", "stop"), ("c", "none-found")])
    assert json.loads(out)["builds"][0]["findings"][0]["why"] == "MemoryError: no room"
    monkeypatch.setenv("PACKYOKE_DEBUG", "1")
    code, out, err = packyoke("check", builds, "--no-shop", "--format", "json")
    assert (code, out, "Traceback" in err) == (3, "", True)


def dying(file: FoundFile, _shops: Shops) -> Read[str]:
    if file.name in "cg":
        os.kill(os.getpid(), signal.SIGKILL)
    if file.name == "x":
        os._exit(7)
    return Read(file.name, "read")


def not_read(file: FoundFile, why: str) -> Read[str]:
    return Read(file.name, why)


@pytest.mark.parametrize("more", [True, False])
def test_where_no_other_process_is_to_be_had_what_it_had_left_is_not_read(
    monkeypatch: pytest.MonkeyPatch, more: bool
) -> None:
    """Of two processes the first has a, c, e, g and x. One file is never read twice."""
    started = jobs._started

    def few(*given: Any) -> Any:
        if len(given[0]) < 4 and not more:
            raise BlockingIOError("no process left")
        return started(*given)

    monkeypatch.setattr(jobs, "_started", few)
    done = [*each_read([FoundFile(name) for name in "abcdefghx"], Shops(None, True), dying, not_read, 2)]
    killed = "its process was ended by SIGKILL"
    rest = ("read", "its process ended with 7") if more else (killed, killed)
    made = dict(
        zip("abcdefghx", ["read", "read", killed, "read", rest[0], "read", killed, "read", rest[1]], strict=True)
    )
    assert {each.file: each.made for each in done} == made


def failing(case: Case, _: Any) -> None:
    """A rule that fails on builds with such a ticket."""
    if "fails" in case.build.ticket:
        raise ZeroDivisionError("none")


@pytest.mark.parametrize("kind", ["builds", "folders", "results"])
@pytest.mark.parametrize(
    ("old", "new", "status"),
    [("a", "b", 0), ("a-fails", "b", 3), ("a", "b-fails", 3), ("a-fails", "b-fails", 3), ("a-stop", "b-fails-stop", 3)],
)
def test_where_a_rule_failed_nothing_was_compared(
    packyoke: Run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, kind: str, old: str, new: str, status: int
) -> None:
    """One rule of the old or the new build; the status says that nobody knows what it would have said."""
    monkeypatch.setitem(voltage_drop.RULE.__dict__, "check", failing)
    given = []
    for name in (old, new):
        where = tmp_path / name
        given.append(where)
        where.mkdir()
        base = "oakum-draft" if "stop" in name else "skerry-long-tail"
        (where / "x.yaml").write_text(edited(base, {"ticket": name}), encoding="utf-8")
        if kind == "builds":
            given[-1] = where / "x.yaml"
        if kind == "results":
            monkeypatch.chdir(where)
            packyoke("check", ".", "--no-shop", "--format", "json", "--output", tmp_path / f"{name}.json")
            # The file is called without its folder, alike in both.
            given[-1] = tmp_path / f"{name}.json"
    code, _, err = packyoke("compare", *given, *([] if kind == "results" else ["--no-shop"]))
    assert code == status
    assert ("a rule failed in the program: what is new or gone is not known" in err) is (status == 3)
