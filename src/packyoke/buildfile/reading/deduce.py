"""What follows from what was written: series count and full charge of a pack."""

from __future__ import annotations

import re

from packyoke.buildfile.reading.walk import DraftPart, Reader
from packyoke.core.field_paths import line_in
from packyoke.core.findings import Borrowed, Span
from packyoke.core.units import Kind, show
from packyoke.model import Stated
from packyoke.shelf.chemistry import AGREE_V, chemistry

_HAIR_V = 1e-9
_KINDS = (
    (re.compile(r"lifepo|li-?fe-?po|\blfp\b|iron.?phosphate", re.I), ("LFP",)),
    (re.compile(r"\blto\b|titanate", re.I), ("LTO",)),
    (re.compile(r"\bnmc\b|\bnca\b|\blmo\b", re.I), ("NMC", "NCA", "LMO blend")),
)
"""What labels call the cells, and the chemistries that charge alike under that name."""
_SERIES = re.compile(r"(?<![\w.])([1-9]\d?) ?s(?: ?\d+ ?p)?\b", re.I)
_VOLTAGES = (("full_charge_v", "full_charge"), ("charger_label_v", "charger_label"))


def identity(reader: Reader, draft: DraftPart) -> None:
    """Work out series count and full charge from the one that was given and the chemistry; more than one must agree."""
    values, spans = draft.values, draft.spans
    series: int | None = values.get("series")
    given = [(values[attr], attr, key) for attr, key in _VOLTAGES if values.get(attr) is not None]
    kind = chemistry(values["chemistry"]) if values.get("chemistry") else None
    if len(given) == 2 and not _agree(given[0][0], given[1][0], series or given[0][0] / 4.2):
        (full_v, _, _), (label_v, _, _) = given
        said = f"full_charge {_volts(full_v)}", f"charger_label {_volts(label_v)}"
        _disagree(reader, draft, said[0], "full_charge_v", said[1], "charger_label_v")
        return
    if kind is None or not _label_agrees(reader, draft, kind.name):
        return
    cell_v, name = kind.full_v, kind.name
    basis = f"{cell_v:.2f} V a cell when full"
    for volts, attr, key in given:
        count = series or max(1, round(volts / cell_v))
        if _agree(volts, count * cell_v, count):
            continue
        if series:
            _disagree(reader, draft, f"{key} {_volts(volts)}", attr, f"{series} {name} cells in series", "series")
        else:
            below = int(volts / cell_v)
            message = f"{_volts(volts)} is no full charge of {name} cells"
            do = f"{below} in series are {_volts(below * cell_v)}, one more is {_volts(cell_v)} more."
            reader.tell(spans[attr].span, line_in(draft.path, key), message, do)
        return
    if series is None and given:
        volts, attr, _ = given[0]
        values["series"] = series = max(1, round(volts / cell_v))
        reader.stated.append(Stated(draft.path, f"{series} cells in series, from {_volts(volts)} and {name}", basis))
    if series is not None and values.get("full_charge_v") is None:
        values["full_charge_v"] = round(series * cell_v, 9)
        text = f"full charge {_volts(series * cell_v)}, from {series} cells in series and {name}"
        reader.stated.append(Stated(draft.path, text, basis))
    cut_off_v, full_v = values.get("cut_off_v"), values.get("full_charge_v")
    if cut_off_v is not None and full_v is not None and cut_off_v >= full_v:
        message = f"{_volts(cut_off_v)} is not below the full charge"
        do = f"Full is {_volts(full_v)}; the protection opens far below that."
        reader.tell(spans["cut_off_v"].span, line_in(draft.path, "cut_off"), message, do)


def _label_agrees(reader: Reader, draft: DraftPart, name: str) -> bool:
    """Whether a label that names cells names those of the file: a charger is bought by it."""
    label = draft.values.get("label") or ""
    named = [names for words, names in _KINDS if words.search(label)]
    other = named[0][0] if len(named) == 1 and name not in named[0] else ""
    count = _SERIES.search(label)
    series = draft.values.get("series")
    if other:
        said, attr = f"{name} cells", "chemistry"
    elif count is not None and series is not None and int(count[1]) != series:
        said, attr = f"{series} cells in series", "series"
    else:
        return True
    if attr not in draft.spans or "label" not in draft.spans:
        return True
    places = [(draft.spans["label"].span, "the label"), (draft.spans[attr].span, said)]
    (first, one), (later, also) = sorted(places, key=lambda place: (place[0].line, place[0].column))
    do = "Look at the pack and its charger: what is printed on the charger tells full charge. Write what is right."
    reader.tell(later, draft.path, f"{also} does not agree with {one} {_at(first)}", do)
    return False


def _at(span: Span) -> str:
    return f"in {span.origin}" if isinstance(span, Borrowed) else f"on line {span.line}"


def _agree(one_v: float, other_v: float, cells_count: float) -> bool:
    return abs(one_v - other_v) <= AGREE_V * cells_count + _HAIR_V


def _disagree(reader: Reader, draft: DraftPart, one: str, attr: str, other: str, other_attr: str) -> None:
    places = [(draft.spans[attr].span, one), (draft.spans[other_attr].span, other)]
    (first, said), (later, also) = sorted(places, key=lambda place: (place[0].line, place[0].column))
    reader.tell(
        later,
        draft.path,
        f"{also} does not agree with {said} {_at(first)}",
        f"They may lie {AGREE_V} V a cell apart. One of the two is enough.",
    )


def _volts(value_v: float) -> str:
    return show(value_v, Kind.VOLTAGE)
