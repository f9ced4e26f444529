"""The Python interface: its page is right, its examples run, and what was promised is still there."""

from __future__ import annotations

import inspect
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from packyoke import api
from packyoke.answers.check.as_json import batch_data
from packyoke.core.findings import Amount
from packyoke.core.unit_names import spellings
from packyoke.core.units import to_si
from packyoke.rules import RULES
from tests.cli.conftest import Run, packyoke  # noqa: F401
from tests.support import EXAMPLES, ROOT

PAGE = (ROOT / "docs" / "api.md").read_text(encoding="utf-8")
PROMISED = json.loads(Path(__file__).with_name("promised.json").read_text(encoding="utf-8"))
TODAY = "2027-05-14"


def reports() -> list[api.Report]:
    return [api.check_file(path, today=TODAY) for path in sorted(EXAMPLES.glob("*.yaml"))]


def test_the_examples_of_the_page_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    blocks = [each for each in re.findall(r"```python\n(.*?)```", PAGE, flags=re.DOTALL) if ">>>" not in each]
    assert blocks
    for block in blocks:
        exec(compile(block, "docs/api.md", "exec"), {})


@pytest.mark.parametrize("name", api.__all__)
def test_every_public_name_is_on_the_page_and_says_what_it_is(name: str) -> None:
    assert f"### `{name}" in PAGE
    assert inspect.getdoc(getattr(api, name))


def test_the_promised_names_and_parameters_are_there() -> None:
    for name, parameters in PROMISED["api"].items():
        found = inspect.signature(getattr(api, name)).parameters
        assert [each for each in parameters if each not in found] == [], name
        fresh = [each for each in found if each not in parameters]
        assert all(found[each].default is not inspect.Parameter.empty for each in fresh), (
            f"{name}: {fresh} need a default"
        )
    for name, values in PROMISED["results"].items():
        assert [each for each in values if not hasattr(getattr(api, name), each)] == [], name


def test_the_promised_rules_are_there() -> None:
    assert set(PROMISED["rules"]) <= {rule.name for rule in RULES}


def keys_of(what: object, way: str = "") -> set[str]:
    if isinstance(what, dict):
        return {f"{way}.{key}" for key in what} | {each for key in what for each in keys_of(what[key], f"{way}.{key}")}
    return {each for one in what for each in keys_of(one, f"{way}[]")} if isinstance(what, list) else set()


def test_the_promised_keys_of_json_are_there() -> None:
    data = batch_data(api.batch(reports(), [("a", "b")]))
    assert data["schema"] == PROMISED["json"]["schema"]
    assert set(PROMISED["json"]["keys"]) <= keys_of(data)


def json_of(run: Run, command: str, tmp_path: Path) -> Any:
    counter = EXAMPLES / "counter"
    one, other = EXAMPLES / "skerry-long-tail.yaml", tmp_path / "other.yaml"
    other.write_text(one.read_text(encoding="utf-8").replace("gauge: 10 AWG", "gauge: 8 AWG", 1), encoding="utf-8")
    arguments: dict[str, tuple[object, ...]] = {
        "plan": (EXAMPLES / "saltpan-planned.yaml",),
        "meter": (EXAMPLES / "breakwater-three-packs.yaml", "--volts", "north=53"),
        "compare": (one, other),
        "quote": (counter / "parcel-bike.yaml", "--shop", counter / "packyoke-shop.yaml", "--reach", "60 km"),
        "find": ("--uses", "XT60", EXAMPLES),
        "shelf": ("XT60",),
        "why": ("packs-rush",),
        "sheet --for workshop": (EXAMPLES / "saltpan-planned.yaml",),
        "sheet --for quote": (counter / "parcel-bike.yaml", "--shop", counter / "packyoke-shop.yaml"),
    }
    return json.loads(run(*command.split(), *arguments.get(command, (one,)), "--format", "json")[1])


@pytest.mark.parametrize("command", PROMISED["json_of_commands"])
def test_the_promised_keys_of_every_command_are_there(command: str, packyoke: Run, tmp_path: Path) -> None:  # noqa: F811
    found, promised = json_of(packyoke, command, tmp_path), PROMISED["json_of_commands"][command]
    assert found["schema"] == promised["schema"]
    assert set(promised["keys"]) <= keys_of(found)
    assert f"`{promised['schema']}`" in PAGE


UNIT = re.compile(r"_(a|v|ohm|w|j|m|s|k|kg|coulomb|m_s|km|wh|j_per_m|share|fraction)\b")
SHARES = {"share_start", "share_end", "fractions", "margin", "charged_from", "charged_to", "charged_likely"}


@pytest.mark.parametrize("command", ["check", *PROMISED["json_of_commands"]])
def test_a_figure_has_its_unit_in_its_key_or_beside_it(command: str, packyoke: Run, tmp_path: Path) -> None:  # noqa: F811
    """In SI, whatever units the person at the screen reads; a share of one has none."""

    def bare(what: object, way: tuple[str, ...] = (), beside: bool = False) -> Iterator[str]:
        if isinstance(what, dict):
            has = beside or bool({"unit", "units", "attr", "currency"} & what.keys())
            for key, value in what.items():
                yield from bare(value, (*way, key), has)
        elif isinstance(what, list):
            for value in what:
                yield from bare(value, way, beside)
        elif isinstance(what, float) and not beside:
            named = any(UNIT.search(f"_{key}") for key in way)
            if not named and not SHARES & set(way) and "charges" not in way:
                yield ".".join(way)

    assert not set(bare(json_of(packyoke, command, tmp_path)))


def test_every_unit_is_a_quantity_of_pint_of_the_same_size() -> None:
    """pint's own factors, held against ours through SI: degrees by their offset, percent as a share."""
    for unit in {each.name for known in spellings().values() for each in known.values()}:
        found = api.quantity(Amount(7.0, unit)).to_base_units()
        scale = 1000.0 if unit in ("g", "kg", "lb", "oz") and str(found.units) == "gram" else 1.0
        assert found.magnitude / scale == pytest.approx(to_si(7.0, unit), rel=1e-9), unit


def test_every_figure_of_a_result_is_a_quantity_or_a_count() -> None:
    counts = {"packs", "leads", "place", "places", "joint", "joints", "percentage points", "V a cell", "AWG"}
    seen = set()
    for report in reports():
        for amount in (each for finding in report.findings for each in (finding.found, finding.limit) if each):
            seen.add(amount.unit)
            if amount.unit in counts:
                with pytest.raises(ValueError, match="no unit"):
                    api.quantity(amount)
            else:
                assert api.quantity(amount).magnitude == pytest.approx(amount.value)
    assert {"A", "V"} <= seen


def test_former_names_are_refused_with_the_new_one() -> None:
    rows = re.findall(
        r"^\| `(\w+)` \| `(\w+)` \|$", PAGE.partition("<!-- former -->")[2].partition("<!-- end -->")[0], re.M
    )
    assert rows
    text = (EXAMPLES / "skerry-long-tail.yaml").read_text(encoding="utf-8")
    for old, new in rows:
        found = api.load(
            text.replace("battery_current: 25 A", f"battery_current: {{limit: 25 A, {old}: 18 A after 60 s}}")
        )
        assert isinstance(found, list)
        assert any(new in f"{each.message} {each.do}" for each in found)
