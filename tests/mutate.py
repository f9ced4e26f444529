"""Flips every comparison of the rules, one at a time, and says which flips no case notices.

    python tests/mutate.py [RULE ...]

Takes some minutes; run by hand after work on the rules. The bar is 90 % noticed.
"""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent
RULES = ROOT / "src" / "packyoke" / "rules"
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


def passes(name: str) -> bool:
    """Whether the cases of a rule pass as the code stands."""
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "tests/rules/test_cases.py"]
    return subprocess.run([*command, "-k", f"{name}:"], cwd=ROOT, capture_output=True, check=False).returncode == 0


def main() -> None:
    names = sys.argv[1:] or sorted(path.stem for path in (ROOT / "tests" / "rules" / "cases").glob("*.yaml"))
    killed = total = 0
    for name in names:
        path = RULES / f"{name.replace('-', '_')}.py"
        text = path.read_text(encoding="utf-8")
        assert passes(name), f"the cases of {name} do not pass to begin with"
        count = Flip(-2)
        count.visit(ast.parse(text))
        try:
            for number in range(count.seen + 1):
                flip = Flip(number)
                tree = ast.fix_missing_locations(flip.visit(ast.parse(text)))
                path.write_text(ast.unparse(tree), encoding="utf-8")
                noticed = not passes(name)
                total += 1
                killed += noticed
                if not noticed:
                    print(f"{path.name}:{flip.line}: a flipped comparison goes unnoticed")
        finally:
            path.write_text(text, encoding="utf-8")
    print(f"{killed} of {total} noticed ({100 * killed / max(1, total):.0f} %)")


if __name__ == "__main__":
    main()
