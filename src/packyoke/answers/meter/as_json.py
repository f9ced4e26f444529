"""What a meter shows as JSON."""

from __future__ import annotations

from typing import Any

from packyoke.analysis.harness.joining import AT_MOST_V
from packyoke.analysis.packs.states import NoState, StateSpan
from packyoke.answers.meter.page import MeterView, because, to_do
from packyoke.answers.meter.tests_page import difference_words
from packyoke.page import strict

SCHEMA = "packyoke/meter/1"


def meter_json(view: MeterView) -> str:
    """Everything, schema `packyoke/meter/1`; numbers in SI units."""
    reading = view.reading
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "file": view.file,
        "name": view.name,
        "answer": view.verdict,
        "because": because(view),
        "do": to_do(view),
        "packs": [
            {"name": name, "rest_v": volts, **_state_data(view.states[name])}
            for name, volts in (reading.volts_v.items() if reading is not None else ())
        ],
        "oddities": [
            {
                "kind": each.kind,
                "pack": each.pack,
                "answer": each.verdict,
                "limit_v": each.limit_v,
                "series_that_fit": [count for count, _ in each.counts],
            }
            for each in (reading.oddities if reading is not None else ())
        ],
        "pairs": [
            {
                "higher": each.higher,
                "lower": each.lower,
                "kind": each.kind,
                "answer": each.verdict,
                "joiner": each.joiner,
                "apart_v": each.difference_v,
                "allowed_v": each.allowed_v if each.kind == "rush" else None,
                "rush_a": each.rush_a if each.kind == "rush" else None,
                "rush_after_10_s_a": each.later_a if each.kind == "rush" else None,
                "limited_by": each.limited_by,
                "asks": view.asks.get(each.asks or ("", "")),
            }
            for each in (reading.crossings if reading is not None else ())
        ],
        "practice_v": AT_MOST_V,
        "levels": [{"time_s": time_s, "pack": pack} for time_s, pack in (view.course.levels if view.course else ())],
        "supplies_first": list(view.course.first or ()) if view.course else [],
        "inlets": [test._asdict() for test in view.inlets],
        "paths": [
            {
                "part": test.part.path,
                "drop_v": test.drop_v,
                "at_a": test.at_a,
                "found": test.found,
                "described_v": test.described_v,
                "like": str(test.like) if test.like is not None else None,
            }
            for test in view.paths
        ],
        "loads": [
            {"pack": test.pack, "resistance_ohm": test.ohm, "found": test.found, "described_ohm": test.described_ohm}
            for test in view.loads
        ],
        "not_as_described": [difference_words(path, each) for path, each in view.differences],
        "check": {"answer": view.check, "because": list(view.check_lines)},
        "readings": [
            {
                "date": each.date,
                "part": each.part,
                "inlet": each.inlet or None,
                "what": each.what,
                "value": each.value,
                "at": each.at or None,
            }
            for each in view.records
        ],
        "left_out": list(view.left_out),
        "assumed": list(view.assumed),
    }
    return strict.written(data)


def _state_data(state: StateSpan | NoState) -> dict[str, Any]:
    if isinstance(state, NoState):
        return {"charged_from": None, "charged_likely": None, "charged_to": None, "why_not": state.reason}
    return {"charged_from": state.low, "charged_likely": state.likely, "charged_to": state.high, "why_not": None}
