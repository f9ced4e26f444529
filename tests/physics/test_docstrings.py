"""Holds name, signature and docstring of every physics function together."""

import importlib
import inspect
import pkgutil
import re

import pytest

import packyoke.physics

SUFFIXES = (
    "_v",
    "_a",
    "_ohm",
    "_w",
    "_j",
    "_s",
    "_m",
    "_m2",
    "_m_s",
    "_kg",
    "_k",
    "_coulomb",
    "_fraction",
    "_count",
    "_farad",
    "_number",
    "_factor",
    "_nusselt",
    "_a2s",
    "_ohm_m",
    "_per_m",
    "_per_k",
    "_per_w",
    "_per_volt",
    "_per_m2",
    "_pa",
    "_kg_m3",
    "_deg",
)
SECTIONS = ("Parameters", "Returns", "Valid", "Raises", "Reference")
FUNCTIONS = [
    pytest.param(function, id=f"{module.name}.{name}")
    for module in pkgutil.iter_modules(packyoke.physics.__path__)
    for name, function in inspect.getmembers(
        importlib.import_module(f"packyoke.physics.{module.name}"), inspect.isfunction
    )
    if not name.startswith("_") and function.__module__ == f"packyoke.physics.{module.name}"
]


def section(function, name):
    """Lines of one section of a docstring, without its heading."""
    lines = inspect.getdoc(function).splitlines()
    begin = lines.index(name) + 1
    end = begin
    while end < len(lines) and lines[end].startswith("    "):
        end += 1
    return [line.strip() for line in lines[begin:end]]


@pytest.mark.parametrize("function", FUNCTIONS)
def test_sections_stand_in_order(function):
    lines = inspect.getdoc(function).splitlines()
    assert lines[0].endswith(".")
    assert lines[1] == ""
    assert [line for line in lines if line in SECTIONS] == list(SECTIONS)
    assert any(line.startswith("    ") and "=" in line for line in lines[2 : lines.index("Parameters")]), "no formula"
    assert ">>> " in inspect.getdoc(function), "no example"


@pytest.mark.parametrize("function", FUNCTIONS)
def test_parameters_are_those_of_the_signature_each_with_its_unit(function):
    described = {}
    for line in section(function, "Parameters"):
        name, _, rest = line.partition(": ")
        assert re.search(r"\[[^\]]+\]$", rest), f"{name} has no unit"
        described[name] = rest
    assert list(described) == list(inspect.signature(function).parameters)


@pytest.mark.parametrize("function", FUNCTIONS)
def test_result_has_a_unit(function):
    assert re.search(r"\[[^\]]+\]$", section(function, "Returns")[-1])


@pytest.mark.parametrize("function", FUNCTIONS)
def test_errors_are_described(function):
    assert all(re.match(r"\w+: .+\.", line) for line in section(function, "Raises"))


@pytest.mark.parametrize("function", FUNCTIONS)
def test_names_end_with_a_unit(function):
    for name in inspect.signature(function).parameters:
        assert name.endswith(SUFFIXES), f"{name} carries no unit"
    assert function.__name__.endswith(SUFFIXES) or function.__name__ == "air"
