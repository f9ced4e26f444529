"""Every published figure on file against the function that has to give it."""

import runpy
from pathlib import Path

import pytest

REFERENCE = Path(__file__).parents[1] / "reference"
CASES = runpy.run_path(str(REFERENCE / "cases.py"))["CASES"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case.source}, {case.locator}: {case.id}")
def test_published(case):
    ours = case.compute()
    assert abs(ours - case.theirs) <= case.tolerance, f"theirs {case.theirs}, ours {ours} {case.unit}"


def test_every_case_has_its_own_id_and_a_reason():
    assert len({case.id for case in CASES}) == len(CASES) > 100
    assert all(case.tolerance_reason and case.locator and case.source and case.unit for case in CASES)
