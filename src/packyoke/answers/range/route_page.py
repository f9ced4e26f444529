"""A route with each set of packs: whether it gets there, what is left, who carries where; as a page and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate
from pathlib import PurePath
from typing import Any, NamedTuple
from xml.etree import ElementTree as ET

from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.analysis.ride.on_route import Along
from packyoke.analysis.ride.pieces import Route
from packyoke.analysis.ride.reach_on_route import Routed
from packyoke.answers.inherited import places_taken
from packyoke.answers.range.words import loudness
from packyoke.answers.rundown.page import LEVELS, clock, refusal_text
from packyoke.core.constants import WH_J
from packyoke.core.findings import clean, percent
from packyoke.core.units import Kind, show
from packyoke.page import strict
from packyoke.page.bars import scale_of
from packyoke.page.cells import WIDTH, cells, isolated, wrapped
from packyoke.page.chart import Axis, Line, line_chart
from packyoke.page.page import Bar, Figure, Lines, Page, Table, Verdict, filled

SCHEMA = "packyoke/route/1"
CHART_COLUMNS = 48
ENDS = {
    "controller cuts": "the controller cuts",
    "no pack left": "the last pack drops out",
    "cannot deliver": "the packs cannot give what the way asks",
}
CAUTION = (
    "An estimate, not a promise: rider, wind, tyres, cold and age decide, and nobody slows down here where the packs "
    "sag. Packs are taken as full, and those of the other sets as left at home. Leads, contacts and joiners are not "
    "judged here: packyoke check does that."
)


class RouteView(NamedTuple):
    """A route with what is printed around it. `system`: metric or us."""

    file: str
    name: str
    ride: str
    route: Route
    sets: tuple[tuple[tuple[str, ...], Routed | NoRundown], ...]
    system: str
    assumed: tuple[str, ...]
    check: str = "yes"
    refused: str = ""
    check_lines: tuple[str, ...] = ()
    """What the check says of riding this bike; at `no` there is nothing of the way."""
    sets_left_out: int = 0

    @property
    def told_by(self) -> Routed:
        """The first set that has figures."""
        return next(found for _, found in self.sets if isinstance(found, Routed))

    @property
    def answered(self) -> bool:
        """Whether some set gets there, counted with the careful figure, on a bike that may be ridden."""
        return self.check == "yes" and any(isinstance(found, Routed) and found.arrives for _, found in self.sets)


def route_page(view: RouteView) -> Page:
    """The way, what is left with each set, who carries where, the profile; at stop only what stands in the way."""
    if view.check == "no":
        return Page(
            title=_title(view),
            verdict=Verdict("stop", "STOP", f"{_title(view)}: how far it gets is not told"),
            lead=(view.refused, *view.check_lines),
            blocks=filled(places_taken(view.assumed)),
            source=view.file,
        )
    told = view.told_by
    assumed = ("; ".join(view.assumed),) if view.assumed else ()
    return Page(
        title=_title(view),
        verdict=loudness(view.check, view.answered, _title(view), _nobody(view)),
        lead=(*([view.refused] if view.refused else []), *_way(view)),
        blocks=filled(
            _table(view),
            Lines("Who carries where", tuple(_stretches(view)), f"likely, with {_plus(told.packs)}"),
            Figure(
                "The way",
                tuple(_chart(view)),
                f"{' '.join(_way(view))} {'; '.join(_stretches(view))}.",
                "in tenths: height, 9 at the top; then the part of each pack",
                _drawings(view),
                alike=True,
            ),
            Lines("Assumed", assumed, "write it in the file and that counts instead"),
        ),
        closing=("What the ride itself is counted with: packyoke range.", CAUTION),
        source=view.file,
    )


def _nobody(view: RouteView) -> str:
    return f"no set of packs {'that was ridden ' if view.sets_left_out else ''}is sure to get there"


def _title(view: RouteView) -> str:
    return f"{clean(view.name, 200)}: {clean(PurePath(view.route.file).name)}, ride {clean(view.ride)}"


def _far(metres: float, system: str) -> str:
    unit, size = ("mi", 1609.344) if system == "us" else ("km", 1000.0)
    return f"{metres / size:.1f} {unit}"


def _plus(packs: Sequence[str]) -> str:
    return " + ".join(clean(name) for name in packs)


def _way(view: RouteView) -> Iterator[str]:
    route, told = view.route, view.told_by
    unit = "ft" if view.system == "us" else "m"
    factor = 1 / 0.3048 if view.system == "us" else 1.0
    if route.climb_m is not None and route.descent_m is not None:
        hills = f"{route.climb_m * factor:.0f} {unit} up and {route.descent_m * factor:.0f} {unit} down"
    else:
        hills = "climb not known"
    yield f"{_far(route.distance_m, view.system)}, {hills}, about {clock(told.likely.duration_s)} on the move."
    taken_wh = (told.likely.energy_to_load_j + told.likely.accessories_j) / WH_J
    if told.likely.ended == "arrived":
        yield f"It takes {taken_wh:.0f} Wh, likely."
    if not told.heights_known:
        share = 100 * route.without_elevation_fraction
        yield f"{share:.0f} % of it has no heights: there the hills of the ride count, 2 to 10 m per km if it has none."
    if route.doubtful_m > 0:
        yield f"{route.doubtful_m:.0f} m of it are steeper than any road: look at the heights of the file."
    if route.between_m > 50:
        yield f"Its {route.segment_count} parts lie {_far(route.between_m, view.system)} apart, which is not counted."


def _table(view: RouteView) -> Table:
    """What is left with each set of packs, with the charge that is left as bars."""
    rows: list[tuple[str, ...]] = []
    bars = {}
    for packs, found in view.sets:
        if isinstance(found, NoRundown):
            rows.append((_plus(packs), "not known", refusal_text(found)))
            continue
        if found.careful.ended == found.likely.ended == "arrived":
            bars[len(rows), 1] = Bar(found.careful.left_fraction, found.likely.left_fraction, 2)
        rows.append((_plus(packs), _outcome(found.careful, view.system), _outcome(found.likely, view.system)))
    heads = ("packs", "count on", "likely")
    more = (f"{view.sets_left_out} more sets of packs: --packs NAMES rides one of them.",)
    notes = more if view.sets_left_out else ()
    return Table("What is left", heads, tuple(rows), "lll", bars=bars, scale=scale_of(100, "%"), notes=notes)


def _outcome(run: Along, system: str) -> str:
    if run.ended == "arrived":
        return f"{percent(run.left_fraction)} left"
    return f"ends at {_far(run.reached_m, system)}: {ENDS[run.ended]}"


def _stretches(view: RouteView) -> Iterator[str]:
    run = view.told_by.likely
    for each in run.stretches:
        names = " + ".join(clean(name) for name in each.packs) or "nobody: downhill"
        yield f"{_far(each.from_m, view.system)} to {_far(each.to_m, view.system)}:  {names}"
    left = ", ".join(f"{clean(pack.name)} {percent(pack.left_fraction)}" for pack in run.packs)
    yield f"left at the end: {left}"


def heights_m(route: Route) -> list[tuple[float, float | None]]:
    """Height above the start along the way; None where it is not known."""
    steps = [(piece.grade_fraction or 0.0) * piece.length_m for piece in route.pieces]
    tops = [0.0, *accumulate(steps)]
    found: list[tuple[float, float | None]] = [(0.0, 0.0)]
    for piece, top_m in zip(route.pieces, tops[1:], strict=True):
        found.append((piece.from_m + piece.length_m, None if piece.grade_fraction is None else top_m))
    return found


def _chart(view: RouteView) -> Iterator[str]:
    run, points = view.told_by.likely, heights_m(view.route)
    names = [_short(clean(pack.name), number) for number, pack in enumerate(run.packs, 1)]
    wide = max(6, *map(cells, names))
    known = [height for _, height in points if height is not None]
    low, high = min(known, default=0.0), max(known, default=0.0)
    span = max(high - low, 1e-9)
    row = ""
    for column in range(CHART_COLUMNS):
        at_m = view.route.distance_m * (column + 0.5) / CHART_COLUMNS
        height = next((height for along_m, height in points if along_m >= at_m), None)
        row += "?" if height is None else LEVELS[round((len(LEVELS) - 1) * (height - low) / span)]
    yield f"  {'height':<{wide}} |{row}| {show(high - low, Kind.LENGTH, view.system)}"
    for index, name in enumerate(names):
        marks = "".join(
            _mark(run, view.route.distance_m * (column + 0.5) / CHART_COLUMNS, index) for column in range(CHART_COLUMNS)
        )
        yield f"  {isolated(name)}{' ' * (wide - cells(name))} |{marks}|"
    yield f"  {'':<{wide}}  0{_far(view.route.distance_m, view.system):>{CHART_COLUMNS - 1}}"
    for pack, name in zip(run.packs, names, strict=True):
        if name != clean(pack.name):
            yield from wrapped(f"{name}: {clean(pack.name)}", 2, 4)


def _short(name: str, number: int) -> str:
    """A name that leaves room for the row behind it; a longer one goes by its number and is written below the rows."""
    return name if cells(name) <= WIDTH - CHART_COLUMNS - 16 else f"pack {number}"


def _mark(run: Along, at_m: float, index: int) -> str:
    column = next((each for each in run.columns if each.from_m <= at_m <= each.to_m), None)
    return " " if column is None else LEVELS[round((len(LEVELS) - 1) * column.shares[index])]


def _drawings(view: RouteView) -> tuple[ET.Element, ...]:
    """The profile, and the state of charge along it."""
    km = Axis("miles" if view.system == "us" else "km", 1 / 1609.344 if view.system == "us" else 1e-3)
    told, points = view.told_by, heights_m(view.route)
    found = []
    if any(height is not None for _, height in points[1:]):
        up = Axis("ft", 1 / 0.3048) if view.system == "us" else Axis("m")
        words = " ".join(_way(view))
        found.append(line_chart("Height above the start", words, km, up, [Line("height", points)]))
    charge = [
        Line(pack.name, [(0.0, pack.start_fraction), *((each.to_m, each.fractions[n]) for each in told.likely.columns)])
        for n, pack in enumerate(told.likely.packs)
    ]
    said = f"{'; '.join(_stretches(view))}."
    found.append(line_chart("State of charge along the way", said, km, Axis("%", 100.0, zero=True), charge))
    return tuple(found)


def route_json(view: RouteView) -> str:
    """The route and the packs along it, schema `packyoke/route/1`; SI units."""
    route = view.route
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "file": view.file,
        "name": view.name,
        "ride": view.ride,
        "answered": view.answered,
        "check": view.refused or None,
        "because": list(view.check_lines),
        "route": {
            "file": route.file,
            "name": route.name,
            "distance_m": route.distance_m,
            "climb_m": route.climb_m,
            "descent_m": route.descent_m,
            "raw_climb_m": route.raw_climb_m,
            "without_elevation_fraction": route.without_elevation_fraction,
            "doubtful_m": route.doubtful_m,
            "between_m": route.between_m,
            "recorded_s": route.recorded_s,
            "moving_s": route.moving_s,
        },
        "sets": [
            {"packs": list(packs), "refused": refusal_text(found)}
            if isinstance(found, NoRundown)
            else {"packs": list(packs), "count_on": _along(found.careful), "likely": _along(found.likely)}
            for packs, found in view.sets
        ],
        "sets_left_out": view.sets_left_out,
        "assumed": list(view.assumed),
    }
    return strict.written(data)


def _along(run: Along) -> dict[str, Any]:
    return {
        "ended": run.ended,
        "reached_m": run.reached_m,
        "duration_s": run.duration_s,
        "level_m": run.level_m,
        "left_fraction": run.left_fraction,
        "energy_to_load_j": run.energy_to_load_j,
        "accessories_j": run.accessories_j,
        "peak_a": run.peak_a,
        "peak_at_m": run.peak_at_m,
        "packs": [pack._asdict() for pack in run.packs],
        "stretches": [each._asdict() for each in run.stretches],
        "columns": [each._asdict() for each in run.columns],
    }
