"""A wiring diagram that is wider than its paper, in parts one under the other: letters keep their size.

It is cut between a joiner and what it feeds. The lead that is cut is drawn whole where it arrives; where it leaves it
runs, with its number, to a box that names the other part.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace

from packyoke.page.laying import columns_of, laid_out
from packyoke.page.wiring import Box, DrawnWire, Wiring

MOST_PARTS = 99


def parts(wiring: Wiring, most: float) -> tuple[Wiring, ...]:
    """The diagram in as few parts as keep to a width of `most`."""
    if laid_out(wiring).width <= most:
        return (wiring,)
    columns = _home_columns(wiring)
    cut: list[list[int]] = []
    for column in sorted({*columns.values()}, reverse=True):
        if cut and laid_out(_part(wiring, columns, [*cut[-1], column], {})).width <= most:
            cut[-1].append(column)
        else:
            cut.append([column])
    if len(cut) == 1:
        return (wiring,)
    number = {column: at for at, each in enumerate(cut, 1) for column in each}
    return tuple(_titled(_part(wiring, columns, each, number), at, len(cut)) for at, each in enumerate(cut, 1))


def _home_columns(wiring: Wiring) -> dict[str, int]:
    """The column of each part that is fed, and of what feeds them: a pack stands with the first part that it feeds."""
    columns = columns_of(wiring)
    fed = {wire.target for wire in wiring.wires if wire.source in columns and wire.target in columns}
    feeds: dict[str, list[int]] = {}
    for wire in wiring.wires:
        if wire.source in columns and wire.target in columns:
            feeds.setdefault(wire.source, []).append(columns[wire.target])
    inner = {key: column for key, column in columns.items() if key in fed}
    last = max(inner.values(), default=0)
    home = {key: inner[key] if key in inner else max(feeds.get(key, [last])) for key in columns}
    dotted = {box.key for box in wiring.boxes if box.kind == "elsewhere"}
    # Where a lead that is cut goes on is said beside what it comes from.
    return home | {wire.target: home[wire.source] for wire in wiring.wires if wire.target in dotted}


def _part(wiring: Wiring, columns: Mapping[str, int], own: Collection[int], number: Mapping[int, int]) -> Wiring:
    here = {key for key, column in columns.items() if column in own}
    wires = [*_wires(wiring, columns, here)]
    keys = {end for wire in wires for end in (wire.source, wire.target)} | here
    drawn = {wire.key for wire in wires}
    return Wiring(
        title=wiring.title,
        words=wiring.words,
        boxes=tuple(_boxes(wiring, columns, keys, number)),
        wires=tuple(wires),
        taps=tuple(tap for tap in wiring.taps if tap.wire in drawn),
        chargers=wiring.chargers if min(own) == min(columns.values()) else (),
    )


def _wires(wiring: Wiring, columns: Mapping[str, int], here: Collection[str]) -> Iterator[DrawnWire]:
    for wire in wiring.wires:
        if wire.source not in columns or wire.target not in columns:
            continue
        if wire.target in here:
            yield wire if wire.source in here else wire._replace(source=_from(wire.source))
        elif wire.source in here:
            onward = _onward(wire.target)
            yield DrawnWire(f"{onward} {wire.key}", wire.source, onward, wire.number)


def _boxes(
    wiring: Wiring, columns: Mapping[str, int], keys: Collection[str], number: Mapping[int, int]
) -> Iterator[Box]:
    for box in wiring.boxes:
        where = f"in part {number.get(columns[box.key], MOST_PARTS)}"
        if box.key in keys:
            yield box
        if _from(box.key) in keys:
            yield Box(_from(box.key), "elsewhere", box.name, (where,))
        if _onward(box.key) in keys:
            yield Box(_onward(box.key), "elsewhere", box.name, (where,))


def _from(key: str) -> str:
    return f"from {key}"


def _onward(key: str) -> str:
    return f"on to {key}"


def _titled(part: Wiring, number: int, count: int) -> Wiring:
    words = part.words if number == 1 else f"Goes on from part {number - 1}; part 1 says it all in words."
    return replace(part, title=f"{part.title}, part {number} of {count}", words=words)
