"""Runs the tests that come past a changed line, in a child process for each change.

The tests are collected once. One child runs them all and tells which lines each of them comes past and how long it
takes. For a change, a child puts the changed code into the functions that are loaded and runs the tests that come past
it, the quickest first, until one fails. A change outside functions happens at import: there the whole room is imported
anew.
"""

from __future__ import annotations

import functools
import gc
import hashlib
import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import os
import pickle
import resource
import signal
import sys
import tempfile
import time
import types
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

import coverage
import hypothesis
import pytest

from tests.mutants.changes import ROOT, SOURCE, Mutant

OPTIONS = ["-q", "-p", "no:cacheprovider", "-p", "no:randomly", "-p", "no:xdist", "-p", "no:warnings", "--capture=sys"]
BROKEN = 99
OUT_OF_TIME = (-signal.SIGXCPU, -signal.SIGKILL)
SLOWER = 3
"""A change is an endless loop if its tests take so many times as long as without it."""
Tell = Callable[[Mutant, str], None]
Touched = dict[str, dict[int, list[str]]]
"""Of a file and a line, the tests that come past it."""


def in_a_child(work: Callable[[], int], seconds: int) -> int:
    """The status of some work in a child without output and with a bound of computing time."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    status = BROKEN
    try:
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
        status = work()
    finally:
        os._exit(status)


class Flipped(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives a changed module in place of the written one."""

    def __init__(self, mutant: Mutant) -> None:
        self.mutant = mutant

    def find_spec(self, name: str, path: object = None, target: object = None) -> importlib.machinery.ModuleSpec | None:
        if name != self.mutant.module:
            return None
        place = self.mutant.path
        inside = [str(place.parent)] if place.name == "__init__.py" else None
        return importlib.util.spec_from_file_location(name, place, loader=self, submodule_search_locations=inside)  # type: ignore[arg-type]

    def exec_module(self, module: types.ModuleType) -> None:
        exec(compile(self.mutant.tree()[0], str(self.mutant.path), "exec", dont_inherit=True), module.__dict__)


def tried_anew(mutant: Mutant, tests: Sequence[str], seconds: int) -> str:
    """Nothing if the tests notice a change when everything is imported anew; else what is to say."""

    def work() -> int:
        sys.meta_path.insert(0, Flipped(mutant))
        return int(pytest.main([*OPTIONS, "-x", *tests]))

    status = in_a_child(work, seconds)
    assert status not in (pytest.ExitCode.USAGE_ERROR, pytest.ExitCode.NO_TESTS_COLLECTED), tests
    if status in OUT_OF_TIME:
        return f"nothing failed in {seconds} s"
    return "" if status else "all tests of the room run with it"


def _codes(code: types.CodeType) -> Iterator[types.CodeType]:
    yield code
    for each in code.co_consts:
        if isinstance(each, types.CodeType):
            yield from _codes(each)


class Loaded:
    """The functions of the program that are loaded, file by file, and what they remember."""

    def __init__(self, files: Iterable[Mutant]) -> None:
        for module in {each.module for each in files}:
            importlib.import_module(module)
        every = gc.get_objects()
        self.functions = [each for each in every if isinstance(each, types.FunctionType)]
        self.caches = [
            each
            for each in every
            if isinstance(each, functools._lru_cache_wrapper) and not each.__module__.startswith("packyoke.shelf")
        ]

    def put_in(self, mutant: Mutant) -> None:
        """Give every function of the file its changed code."""
        name = str(mutant.path)
        old = compile(mutant.path.read_text(encoding="utf-8"), name, "exec", dont_inherit=True)
        new = compile(mutant.tree()[0], name, "exec", dont_inherit=True)
        code = dict(zip(_codes(old), _codes(new), strict=True))
        changed = 0
        for each in self.functions:
            if each.__code__.co_filename == name:
                changed += each.__code__ != code[each.__code__]
                each.__code__ = code[each.__code__]
        assert changed, "the change is in no function that is loaded"
        self.forget()

    def forget(self) -> None:
        """Forget what functions remember, so that every test comes past the lines it needs; the shelf's tables stay."""
        for each in self.caches:
            each.cache_clear()


class Tried(NamedTuple):
    """A change, and the files and folders of the tests that are to notice it."""

    change: Mutant
    tests: tuple[str, ...]


class Watch:
    """A plugin: collects the tests, and tries changes in place of running them."""

    def __init__(self, tried: Sequence[Tried], seconds: int, tell: Tell, known: Path | None) -> None:
        self.tried, self.seconds, self.tell, self.known = tried, seconds, tell, known
        self.failed = False
        self.items: dict[str, pytest.Item] = {}
        self.took: dict[str, float] = {}
        self.touched: Touched = {}
        self.last: list[str] = []

    @pytest.hookimpl(tryfirst=True)
    def pytest_collection(self) -> None:
        quick = [hypothesis.Phase.explicit, hypothesis.Phase.generate]
        hypothesis.settings.register_profile("mutants", derandomize=True, deadline=None, phases=quick, database=None)
        hypothesis.settings.load_profile("mutants")

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.failed = self.failed or report.failed

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        assert not session.testsfailed, "some tests cannot be collected"
        self.items = {item.nodeid: item for item in session.items}
        self.loaded = Loaded(each.change for each in self.tried)
        files = {str(each.change.path) for each in self.tried}
        key = fingerprint()
        kept = pickle.loads(self.known.read_bytes()) if self.known and self.known.exists() else ("", (), {}, {})
        if kept[0] == key and self.items.keys() <= set(kept[1]) and files <= kept[3].keys():
            self.took, self.touched = kept[2:]
        else:
            self.took, self.touched = self.look(sorted(files))
            if self.known:
                self.known.write_bytes(pickle.dumps((key, list(self.items), self.took, self.touched)))
        for each in self.tried:
            self.tell(each.change, self.attempt(each))
        return True

    def run(self, name: str) -> bool:
        """Whether a test passes."""
        self.failed = False
        item = self.items[name]
        item.config.hook.pytest_runtest_protocol(item=item, nextitem=None)
        return not self.failed

    def look(self, files: list[str]) -> tuple[dict[str, float], Touched]:
        """How long each test takes and which lines it comes past; one that fails to begin with is left out."""
        with tempfile.TemporaryDirectory() as folder:
            found = Path(folder) / "found"

            def work() -> int:
                cover = coverage.Coverage(data_file=None, include=files, config_file=False)
                cover.start()
                took = {}
                for name in self.items:
                    self.loaded.forget()
                    cover.switch_context(name)
                    start = time.process_time()
                    if self.run(name):
                        took[name] = time.process_time() - start
                cover.stop()
                data = cover.get_data()
                touched = {file: data.contexts_by_lineno(file) for file in files}
                found.write_bytes(pickle.dumps((took, touched)))
                return 0

            assert in_a_child(work, 7200) == 0, "the tests cannot be run"
            took, touched = pickle.loads(found.read_bytes())
        for name in self.items.keys() - took.keys():
            print(f"does not pass to begin with and is left out: {name}", file=sys.__stdout__, flush=True)
        return took, touched

    def attempt(self, tried: Tried) -> str:
        """Nothing if a test notices; else what is to say."""
        change, names = tried.change, self._past(tried)
        if not names:
            return "no test comes past it"
        every, names = len(names), within(names, self.took, self.seconds / SLOWER)
        names = [*(name for name in self.last if name in names), *(name for name in names if name not in self.last)]
        reader, writer = os.pipe()

        def work() -> int:
            self.loaded.put_in(change)
            for number, name in enumerate(names):
                if not self.run(name):
                    os.write(writer, str(number).encode())
                    return 1
            return 0

        status = in_a_child(work, self.seconds)
        os.close(writer)
        with os.fdopen(reader) as pipe:
            noticed_by = pipe.read()
        if noticed_by:
            name = names[int(noticed_by)]
            self.last = [name, *(each for each in self.last if each != name)][:8]
        if status == BROKEN:
            return "could not be tried"
        left_out = f", {every - len(names)} more were left out" if every > len(names) else ""
        return "" if status else f"{len(names)} tests come past it{left_out}"

    def _past(self, tried: Tried) -> list[str]:
        touched = self.touched.get(str(tried.change.path), {})
        names = {name for line in tried.change.tree()[1].lines for name in touched.get(line, ())}
        names = {name for name in names & self.took.keys() & self.items.keys() if name.startswith(tried.tests)}
        return sorted(names, key=lambda name: (self.took[name], name))


def within(names: Sequence[str], took: Mapping[str, float], seconds: float) -> list[str]:
    """So many of the tests, the first in any case, as can be run in a time: one that is not run notices nothing."""
    found, spent = list(names[:1]), took[names[0]]
    for name in names[1:]:
        spent += took[name]
        if spent > seconds:
            break
        found.append(name)
    return found


def fingerprint() -> str:
    """Of the program and the tests: what was known of another one is of no use."""
    files = [path for folder in (SOURCE, ROOT / "tests", ROOT / "examples") for path in folder.rglob("*.*")]
    told = hashlib.sha256()
    for path in sorted(files):
        if path.suffix in (".py", ".yaml", ".csv", ".txt"):
            told.update(path.read_bytes())
    return told.hexdigest()


def attempt_all(tried: Sequence[Tried], tests: Sequence[str], seconds: int, tell: Tell, known: Path | None) -> None:
    """Try changes with some tests, and tell of each what came of it: nothing if it was noticed.

    Imports what the tests import: once in a process, or the changes outside functions would find it imported. What is
    known of the tests is kept in the file `known`.
    """
    inside = [each for each in tried if each.change.tree()[1].inside]
    for each in tried:
        if each not in inside:
            tell(each.change, tried_anew(each.change, each.tests if each.tests != ("",) else tests, seconds))
    if inside:
        assert pytest.main([*OPTIONS, *tests], plugins=[Watch(inside, seconds, tell, known)]) == 0, (
            "the tests do not run"
        )
