"""Rides that were really ridden: one mapping or a list of them below a ride."""

from __future__ import annotations

from packyoke.buildfile.reading.document import Node, Scalar, Sequence
from packyoke.buildfile.reading.walk import DraftPart, Reader, Slot, start_of
from packyoke.core.field_paths import line_in
from packyoke.core.findings import percent
from packyoke.core.paths import PartPath, path_inside
from packyoke.model import Key, KnownRide

MOST = 12
"""A rider's habits do not change with the thirteenth ride (judgement); each costs time."""
LEAST_FRACTION = 0.2
"""Two readings of a gauge are a few points off each: over less than this they say nothing (judgement)."""
_MUST = {"packs": "packs", "from_fraction": "from", "to_fraction": "to", "distance_m": "distance"}


def read_known(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """`known: {packs: [keel], from: 100 %, to: 20 %, distance: 42 km}`, or a list of such."""
    path = line_in(where, slot.key)
    items = node.items if isinstance(node, Sequence) else [node]
    if len(items) > MOST:
        reader.tell(start_of(items[MOST]), path, f"{len(items)} rides", f"At most {MOST} are read.")
    found = [_ride(reader, item, slot, path_inside(draft.path, slot.key), path) for item in items[:MOST]]
    reader.keep(draft, slot, node, tuple(each for each in found if each is not None))


def _ride(reader: Reader, node: Node, slot: Slot, path: PartPath, where: str) -> KnownRide | None:
    lines = reader.mapping(node, where, slot.example)
    if lines is None:
        return None
    draft = DraftPart("known ride", path, start_of(lines))
    before = len(reader.findings)
    reader.fill(draft, lines.entries, slot.children, where)
    written = {key.text: value for key, value in lines.entries}
    for key in _MUST.values():
        if key not in written:
            reader.tell(draft.span, line_in(where, key), f"{key} is missing", f"Write for example  {slot.example}")
    for attr in {**_MUST, "air_k": "air"}:
        if reader.guesses.pop(Key(path, attr), None) is not None:
            reader.tell(
                draft.spans[attr].span, where, "a guess does not do here", "Only what was ridden and read counts."
            )
    if len(reader.findings) > before:
        return None
    values = draft.values
    used = values["from_fraction"] - values["to_fraction"]
    if used < LEAST_FRACTION - 1e-9:
        first, last = (_said(written[key]) for key in ("from", "to"))
        do = f"At least {percent(LEAST_FRACTION)} of the charge must go between  from:  and  to:"
        reader.tell(draft.span, where, f"from {first} to {last} says too little", do)
        return None
    return KnownRide(**draft.head(), **values)


def _said(node: Node) -> str:
    return node.text if isinstance(node, Scalar) else "?"
