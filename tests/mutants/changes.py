"""Small changes of a program text, one at a time: a comparison turned round, `and` for `or`, the least for the most."""

from __future__ import annotations

import ast
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parent.parent.parent
SOURCE = ROOT / "src" / "packyoke"

OPPOSITE: dict[type[ast.cmpop], type[ast.cmpop]] = {
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


def _flip(node: ast.AST) -> ast.expr | None:
    if isinstance(node, ast.Compare):
        return ast.Compare(node.left, [OPPOSITE[type(node.ops[0])](), *node.ops[1:]], node.comparators)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "above":
        return ast.UnaryOp(ast.Not(), node)
    return None


def _ends(node: ast.AST) -> ast.expr | None:
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("max", "min"):
        other = "min" if node.func.id == "max" else "max"
        return ast.Call(ast.copy_location(ast.Name(other, ast.Load()), node.func), node.args, node.keywords)
    return None


def _joined(node: ast.AST) -> ast.expr | None:
    if isinstance(node, ast.BoolOp):
        return ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
    return None


def _number(node: ast.AST) -> ast.expr | None:
    if isinstance(node, ast.Constant) and type(node.value) in (int, float):
        return ast.Constant(2 * node.value or type(node.value)(1))
    return None


def _order(node: ast.AST) -> ast.expr | None:
    if not isinstance(node, ast.Call):
        return None
    sorts = isinstance(node.func, ast.Name) and node.func.id == "sorted"
    if not (sorts or (isinstance(node.func, ast.Attribute) and node.func.attr == "sort")):
        return None
    kept = [each for each in node.keywords if each.arg != "reverse"]
    was: list[ast.expr] = [each.value for each in node.keywords if each.arg == "reverse"]
    turned = ast.UnaryOp(ast.Not(), was[0]) if was else ast.Constant(True)
    return ast.Call(node.func, node.args, [*kept, ast.keyword("reverse", turned)])


KINDS: dict[str, Callable[[ast.AST], ast.expr | None]] = {
    "flip": _flip,
    "ends": _ends,
    "joined": _joined,
    "number": _number,
    "order": _order,
}
"""A comparison says the opposite (`<` is `>=`; a call of `above` counts); `max` is `min`; `and` is `or`; a number is
twice as much (0 is 1); a sort goes the other way round."""


class Change(ast.NodeTransformer):
    """Makes the change with a given number. Assertions, places in lists (`[0]`) and imports for types stay."""

    def __init__(self, kind: str, wanted: int) -> None:
        self.change, self.wanted, self.seen = KINDS[kind], wanted, -1
        self.lines = range(0)
        self.inside, self.depth = False, 0
        """Whether the change is in the body of a function, and not in what is run when the module is imported."""

    def visit(self, node: ast.AST) -> ast.AST:
        if isinstance(node, ast.Assert) or (self.change is _number and isinstance(node, ast.Subscript)):
            return node
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            return node
        if isinstance(node, ast.FunctionDef | ast.Lambda):
            self._function(node)
        else:
            self.generic_visit(node)
        changed = self.change(node)
        if changed is None:
            return node
        self.seen += 1
        if self.seen != self.wanted:
            return node
        assert isinstance(node, ast.expr)
        self.lines = range(node.lineno, (node.end_lineno or node.lineno) + 1)
        self.inside = self.depth > 0
        return ast.copy_location(changed, node)

    def _function(self, node: ast.FunctionDef | ast.Lambda) -> None:
        node.args = self.visit(node.args)  # type: ignore[assignment]
        if isinstance(node, ast.FunctionDef):
            node.decorator_list = [self.visit(each) for each in node.decorator_list]  # type: ignore[misc]
        self.depth += 1
        if isinstance(node, ast.Lambda):
            node.body = self.visit(node.body)  # type: ignore[assignment]
        else:
            node.body = [self.visit(each) for each in node.body]  # type: ignore[misc]
        self.depth -= 1


class Mutant(NamedTuple):
    path: Path
    kind: str
    number: int

    def tree(self) -> tuple[ast.Module, Change]:
        change = Change(self.kind, self.number)
        return ast.fix_missing_locations(change.visit(ast.parse(self.path.read_text(encoding="utf-8")))), change  # type: ignore[type-var, return-value]

    @property
    def module(self) -> str:
        return "packyoke." + ".".join(self.path.relative_to(SOURCE).with_suffix("").parts).removesuffix(".__init__")

    @property
    def place(self) -> str:
        """`rules/live_pins.py:87: len(a) > 1`: the file, the line and what stood there."""
        text = self.path.read_text(encoding="utf-8")
        lines = self.tree()[1].lines
        old = [ast.unparse(each) for each in ast.walk(ast.parse(text)) if getattr(each, "lineno", 0) == lines.start]
        new = {ast.unparse(each) for each in ast.walk(self.tree()[0]) if getattr(each, "lineno", 0) == lines.start}
        gone = sorted((each for each in old if each not in new), key=len)
        return f"{self.path.relative_to(SOURCE)}:{lines.start}: {gone[0] if gone else '?'}"


def mutants(folder: str, kind: str, names: tuple[str, ...] = ()) -> list[Mutant]:
    """Every change of a kind in a folder, or in some of its files (`live_pins`) and lines (`live_pins:87`)."""
    found = []
    for path in sorted((SOURCE / folder).rglob("*.py")):
        if names and not any(name.partition(":")[0] == path.stem for name in names):
            continue
        count = Change(kind, -2)
        count.visit(ast.parse(path.read_text(encoding="utf-8")))
        every = [Mutant(path, kind, number) for number in range(count.seen + 1)]
        found += [
            each
            for each in every
            if not names or path.stem in names or f"{path.stem}:{each.tree()[1].lines.start}" in names
        ]
    return found
