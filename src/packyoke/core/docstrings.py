"""Docstrings that are printed, pages of rules and helps of commands, also where python -OO throws them away."""

from __future__ import annotations

import ast
from functools import cache
from importlib import import_module
from inspect import cleandoc
from pathlib import Path


@cache
def docstring(module: str, function: str = "") -> str:
    """The docstring of a module, or of a function in it, read from its source where Python has dropped it."""
    found = import_module(module)
    owner = getattr(found, function) if function else found
    kept = getattr(owner, "__doc__", None) if not function else None
    if kept:
        return str(kept)
    tree = ast.parse(Path(found.__file__ or "").read_text(encoding="utf-8"))
    node: ast.AST = tree
    if function:
        node = next(each for each in tree.body if isinstance(each, ast.FunctionDef) and each.name == function)
    assert isinstance(node, ast.Module | ast.FunctionDef)
    return cleandoc(ast.get_docstring(node, clean=False) or "")
