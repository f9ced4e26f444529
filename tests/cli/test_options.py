"""Every option of every command: given twice it adds up or is refused; empty it is refused."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner

from packyoke.cli import COMMANDS, app
from packyoke.cli.options import Command
from tests.support import EXAMPLES

Run = Callable[..., tuple[int, str, str]]
SKERRY = EXAMPLES / "skerry-long-tail.yaml"


def command(name: str) -> click.Command:
    found: click.Command = getattr(import_module(f"packyoke.cli.{name}"), name)
    return found


def parsed(name: str, arguments: list[str]) -> dict[str, Any]:
    # As the group calls it: click keeps the help option that it makes first.
    whole = click.Context(app, help_option_names=app.context_settings["help_option_names"])
    return command(name).make_context(name, arguments, parent=whole).params


def every_option() -> list[Any]:
    return [
        pytest.param(name, param, id=f"{name} {param.opts[0]}")
        for name in COMMANDS
        for param in command(name).params
        if isinstance(param, click.Option) and not param.is_flag
    ]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_refuses_what_it_would_drop(name: str) -> None:
    assert isinstance(command(name), Command)


def value(param: click.Parameter) -> str:
    return str(param.type.choices[0]) if isinstance(param.type, click.Choice) else "5"


@pytest.mark.parametrize(("name", "option"), every_option())
def test_an_option_given_twice_adds_up_or_is_refused(name: str, option: click.Option) -> None:
    """Parsed, not run: what the command gets holds both values, or there is no command to run."""
    builds = ["x.yaml"] * sum(isinstance(each, click.Argument) for each in command(name).params)
    given = [option.opts[0], value(option)] * 2
    needed = [
        text
        for each in command(name).params
        if isinstance(each, click.Option) and each.required and each is not option
        for text in (each.opts[0], value(each))
    ]
    arguments = [*builds, *needed, *given]
    if not option.multiple:
        with pytest.raises(click.UsageError, match="given 2 times"):
            parsed(name, arguments)
        return
    got = parsed(name, arguments)[option.name or ""]
    assert got in (("5", "5"), "5,5")


@pytest.mark.parametrize(("name", "option"), every_option())
@pytest.mark.parametrize("empty", ["", " "])
def test_an_empty_value_is_refused(run_any: Run, name: str, option: click.Option, empty: str) -> None:
    builds = [SKERRY] * sum(isinstance(each, click.Argument) for each in command(name).params)
    needed = ["--for", "customer"] if name == "sheet" and option.name != "reader" else []
    code, out, err = run_any(name, *builds, *needed, option.opts[0], empty)
    assert (code, out) == (2, "")
    assert "Traceback" not in err


@pytest.fixture
def run_any(packyoke: Run) -> Run:
    return packyoke


def test_readings_of_several_options_all_count(packyoke: Run) -> None:
    """4.7 V apart on a plain joiner is a no, whichever way it is typed."""
    plain = EXAMPLES / "quay-plain-trike.yaml"
    one = packyoke("meter", plain, "--volts", "old=53.9,new=49.2")
    assert packyoke("meter", plain, "--volts", "old=53.9", "--volts", "new=49.2") == one
    assert one[0] == 1
    both = packyoke("rundown", SKERRY, "--at", "keel=50", "--at", "pannier=40")
    assert both == packyoke("rundown", SKERRY, "--at", "keel=50,pannier=40")
    twice = packyoke("meter", plain, "--volts", "old=53.9", "--volts", "old=49.2")
    assert (twice[0], "named twice" in twice[2]) == (2, True)


def test_shop_and_no_shop_are_not_both_taken(packyoke: Run, tmp_path: Path) -> None:
    code, _, err = packyoke("check", SKERRY, "--shop", tmp_path / "x.yaml", "--no-shop")
    assert (code, "two things" in err) == (2, True)


@pytest.mark.parametrize(
    "typed",
    [
        ["rundown", "--load", "1.250 W"],
        ["rundown", "--load", "1.000 mA"],
        ["meter", "--volts", "north=51.2,south=51.1", "--load", "1.250 W"],
        ["range", "--need", "1.250 m"],
        ["range", "--need", "60.000 m"],
    ],
)
def test_a_point_that_may_part_thousands_is_asked_about(typed: list[str]) -> None:
    result = CliRunner().invoke(app, [typed[0], str(EXAMPLES / "breakwater-three-packs.yaml"), *typed[1:], "--no-shop"])
    assert result.exit_code == 2, result.output
    assert "point for its thousands" in result.output


@pytest.mark.parametrize(
    "typed", [["rundown", "--load", "10.125 A"], ["meter", "--volts", "north=51.234,south=51.125"]]
)
def test_a_point_that_cannot_part_thousands_is_a_decimal_point(typed: list[str]) -> None:
    result = CliRunner().invoke(app, [typed[0], str(EXAMPLES / "breakwater-three-packs.yaml"), *typed[1:], "--no-shop"])
    assert result.exit_code in (0, 1), result.output
