"""Flips comparisons of a room, one at a time, and says which flips no test notices.

    python tests/mutate.py ROOM [FILE ...]                  every flip
    python tests/mutate.py ROOM --sample 20 [--seed 1]      some of them, always the same
    python tests/mutate.py --all --sample 20

The bar is 90 % noticed in every room. No file is changed: the flipped text is what a child process imports, and it runs
the tests of the room until one fails, or for `--seconds` of computing, which counts as noticed (an endless loop).
"""

from __future__ import annotations

import argparse
import ast
import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import os
import random
import resource
import sys
import types
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import pytest

ROOT = Path(__file__).parent.parent
SOURCE = ROOT / "src" / "packyoke"
RULES = "tests/rules/test_cases.py"
ROOMS: dict[str, tuple[str, tuple[str, ...]]] = {
    "rules": ("rules", (RULES,)),
    "circuit": ("analysis/circuit", ("tests/analysis/test_circuit.py", "tests/analysis/test_worst_case.py", RULES,
                                     "tests/analysis/test_flows_oracle.py")),
    "limits": ("analysis/limits", ("tests/analysis/test_fusing.py", "tests/analysis/test_heat.py",
                                   "tests/analysis/test_weakest_part.py", RULES, "tests/verdict/test_check.py")),
    "packs": ("analysis/packs", ("tests/analysis/test_voltages.py", RULES, "tests/cli/test_meter.py")),
    "discharge": ("analysis/discharge", ("tests/analysis/test_rundown.py", "tests/analysis/test_energy.py",
                                         "tests/analysis/test_rundown_build.py", "tests/cli/test_rundown.py")),
    "ride": ("analysis/ride", ("tests/analysis/test_ranging.py", "tests/analysis/test_along.py",
                               "tests/analysis/test_route.py", "tests/cli/test_range.py")),
    "charging": ("analysis/charging", ("tests/analysis/test_charge_plan.py", RULES, "tests/cli/test_charge.py")),
    "bench": ("analysis/bench", (RULES, "tests/cli/test_meter.py", "tests/cli/test_meter_no.py",
                                 "tests/cli/test_meter_record.py")),
    "verdict": ("verdict", ("tests/verdict", "tests/cli/test_check.py", RULES)),
    "planning": ("planning", ("tests/planning/test_score.py", "tests/planning/test_prices.py",
                              "tests/planning/test_completing.py", "tests/planning/test_no_plan.py",
                              "tests/planning/test_gauges.py", "tests/planning/test_routes.py",
                              "tests/cli/test_plan.py")),
    "making": ("making", ("tests/report/test_workshop.py", "tests/planning/test_prices.py",
                          "tests/cli/test_sheet_workshop.py")),
    "buildfile": ("buildfile", ("tests/reading", "tests/cli/test_shop_file.py", "tests/cli/test_start.py",
                                "tests/cli/test_output_files.py")),
    "answers": ("answers", ("tests/page", "tests/report", "tests/cli/test_meter.py", "tests/cli/test_charge.py",
                            "tests/cli/test_rundown.py", "tests/cli/test_range.py", "tests/cli/test_compare.py",
                            "tests/cli/test_plan.py", "tests/cli/test_one_judge.py")),
}  # fmt: skip
"""Where the files of a room are, and the tests that are to notice a flip in it, the quick ones first."""
FLIPS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Gt: ast.LtE,
    ast.Lt: ast.GtE,
    ast.GtE: ast.Lt,
    ast.LtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}


class Flip(ast.NodeTransformer):
    """Flips the comparison with a given number; calls of `above` count as comparisons, those of assertions do not."""

    def __init__(self, wanted: int) -> None:
        self.wanted, self.seen, self.line = wanted, -1, 0

    def visit_Assert(self, node: ast.Assert) -> ast.AST:
        return node

    def visit_If(self, node: ast.If) -> ast.AST:
        if isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            return node
        self.generic_visit(node)
        return node

    def visit_Compare(self, node: ast.Compare) -> ast.AST:
        self.generic_visit(node)
        flip = FLIPS.get(type(node.ops[0]))
        return self._counted(node, ast.Compare(node.left, [flip(), *node.ops[1:]], node.comparators) if flip else node)

    def visit_Call(self, node: ast.Call) -> ast.AST:
        self.generic_visit(node)
        if not (isinstance(node.func, ast.Name) and node.func.id == "above"):
            return node
        return self._counted(node, ast.UnaryOp(ast.Not(), node))

    def _counted(self, node: ast.expr, flipped: ast.expr) -> ast.expr:
        self.seen += 1
        if self.seen != self.wanted:
            return node
        self.line = node.lineno
        return ast.copy_location(flipped, node)


class Mutant(NamedTuple):
    room: str
    path: Path
    number: int

    @property
    def module(self) -> str:
        return "packyoke." + ".".join(self.path.relative_to(SOURCE).with_suffix("").parts).removesuffix(".__init__")

    def tree(self) -> tuple[ast.Module, int]:
        """The flipped module and the line of the flip."""
        flip = Flip(self.number)
        tree = ast.fix_missing_locations(flip.visit(ast.parse(self.path.read_text(encoding="utf-8"))))
        return tree, flip.line

    def tests(self) -> list[str]:
        tests = [test for test in ROOMS[self.room][1] if (ROOT / test).exists()]
        if self.room == "rules" and (ROOT / "tests/rules/cases" / f"{self.path.stem.replace('_', '-')}.yaml").exists():
            return [*tests, "-k", f"{self.path.stem.replace('_', '-')}:"]
        return tests


def mutants(room: str, names: Sequence[str] = ()) -> list[Mutant]:
    found = []
    for path in sorted((SOURCE / ROOMS[room][0]).rglob("*.py")):
        if names and path.stem not in {name.removesuffix(".py").replace("-", "_") for name in names}:
            continue
        count = Flip(-2)
        count.visit(ast.parse(path.read_text(encoding="utf-8")))
        found += [Mutant(room, path, number) for number in range(count.seen + 1)]
    return found


class Flipped(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives a flipped module in place of the written one."""

    def __init__(self, mutant: Mutant | None) -> None:
        self.mutant = mutant

    def find_spec(self, name: str, path: object = None, target: object = None) -> importlib.machinery.ModuleSpec | None:
        if self.mutant is None or name != self.mutant.module:
            return None
        place = self.mutant.path
        inside = [str(place.parent)] if place.name == "__init__.py" else None
        return importlib.util.spec_from_file_location(name, place, loader=self, submodule_search_locations=inside)  # type: ignore[arg-type]

    def exec_module(self, module: types.ModuleType) -> None:
        assert self.mutant is not None
        exec(compile(self.mutant.tree()[0], str(self.mutant.path), "exec"), module.__dict__)


def passes(mutant: Mutant | None, tests: Sequence[str], seconds: int) -> bool:
    """Whether the tests pass with a flip, in a child: what is imported there is gone with it."""
    child = os.fork()
    if child:
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        assert status not in (pytest.ExitCode.USAGE_ERROR, pytest.ExitCode.NO_TESTS_COLLECTED), tests
        return status == 0
    status = 1
    try:
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
        sys.meta_path.insert(0, Flipped(mutant))
        status = int(pytest.main(["-q", "-x", "-p", "no:cacheprovider", "-p", "no:randomly", *tests]))
    finally:
        os._exit(status)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("room", nargs="?", choices=list(ROOMS), default="rules")
    parser.add_argument("names", nargs="*", help="files of the room, else all")
    parser.add_argument("--all", action="store_true", help="every room")
    parser.add_argument("--sample", type=int, default=0, help="so many flips of a room, drawn")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=int, default=240, help="of computing for one flip")
    asked = parser.parse_args()
    os.chdir(ROOT)
    sys.path.insert(0, str(ROOT))
    for each in ("hypothesis", "yaml", "click", "tabulate", "jsonschema", "_pytest.assertion.rewrite"):
        importlib.import_module(each)
    for room in ROOMS if asked.all else [asked.room]:
        every = mutants(room, asked.names)
        chosen = random.Random(asked.seed).sample(every, min(asked.sample or len(every), len(every)))
        killed = 0
        for tests in {tuple(mutant.tests()) for mutant in chosen}:
            assert passes(None, tests, 10 * asked.seconds), f"{' '.join(tests)} do not pass to begin with"
        for mutant in sorted(chosen):
            noticed = not passes(mutant, mutant.tests(), asked.seconds)
            killed += noticed
            if not noticed:
                print(f"{mutant.path.relative_to(SOURCE)}:{mutant.tree()[1]}: a flip goes unnoticed", flush=True)
        share = 100 * killed / max(1, len(chosen))
        print(f"{room}: {killed} of {len(chosen)} noticed ({share:.0f} %), of {len(every)} there are", flush=True)


if __name__ == "__main__":
    main()
