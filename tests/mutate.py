"""Flips every comparison of a room, one at a time, and says which flips no test notices.

    python tests/mutate.py rules [RULE ...]
    python tests/mutate.py planning|making [FILE ...]

Takes some minutes, for a room of files much longer; run by hand after work on it. The bar is 90 % noticed.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
SOURCE = ROOT / "src" / "packyoke"
TESTS = {"planning": ("tests/planning",), "making": ("tests/report/test_workshop.py", "tests/planning/test_prices.py")}
"""What is run for a flip in a room; the cases of the rule for one in a rule."""
SLOW = ("test_properties", "test_any_example")
FLIPS = {
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
    """Flips the comparison with a given number; calls of `above` count as comparisons."""

    def __init__(self, wanted: int) -> None:
        self.wanted, self.seen, self.line = wanted, -1, 0

    def visit_Compare(self, node: ast.Compare) -> ast.AST:
        self.generic_visit(node)
        flip = FLIPS.get(type(node.ops[0]))
        return self._counted(
            node, lambda: ast.Compare(node.left, [flip(), *node.ops[1:]], node.comparators) if flip else node
        )

    def visit_Call(self, node: ast.Call) -> ast.AST:
        self.generic_visit(node)
        if not (isinstance(node.func, ast.Name) and node.func.id == "above"):
            return node
        return self._counted(node, lambda: ast.UnaryOp(ast.Not(), node))

    def _counted(self, node: ast.expr, flipped):  # type: ignore[no-untyped-def]
        self.seen += 1
        if self.seen != self.wanted:
            return node
        self.line = node.lineno
        return ast.copy_location(flipped(), node)


def passes(room: str, name: str) -> bool:
    """Whether the tests of a rule or of a room pass as the code stands."""
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider"]
    if room == "rules":
        command += ["tests/rules/test_cases.py", "-k", f"{name}:"]
    else:
        command += TESTS[room]
        command += ["-k", " and ".join(f"not {each}" for each in SLOW)]
    return subprocess.run(command, cwd=ROOT, capture_output=True, check=False).returncode == 0


def named(room: str) -> list[str]:
    if room == "rules":
        return sorted(path.stem for path in (ROOT / "tests" / "rules" / "cases").glob("*.yaml"))
    return sorted(path.stem for path in (SOURCE / room).glob("*.py"))


def main() -> None:
    room, *names = sys.argv[1:] or ["rules"]
    killed = total = 0
    for name in names or named(room):
        path = SOURCE / room / f"{name.removesuffix('.py').replace('-', '_')}.py"
        text = path.read_text(encoding="utf-8")
        assert passes(room, name), f"the tests of {name} do not pass to begin with"
        count = Flip(-2)
        count.visit(ast.parse(text))
        try:
            for number in range(count.seen + 1):
                flip = Flip(number)
                tree = ast.fix_missing_locations(flip.visit(ast.parse(text)))
                path.write_text(ast.unparse(tree), encoding="utf-8")
                noticed = not passes(room, name)
                total += 1
                killed += noticed
                if not noticed:
                    print(f"{path.name}:{flip.line}: a flipped comparison goes unnoticed", flush=True)
        finally:
            path.write_text(text, encoding="utf-8")
    print(f"{killed} of {total} noticed ({100 * killed / max(1, total):.0f} %)")


if __name__ == "__main__":
    main()
