"""The charts of a rundown: voltage, current and charge over time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree import ElementTree as ET

from packyoke.analysis.discharge.course import Sample
from packyoke.answers.rundown.page import RundownView, clock, happenings
from packyoke.core.constants import HOUR_S
from packyoke.page.chart import Axis, LimitLine, Line, Moment, line_chart

MINUTE_S, LONG_S = 60.0, 5400.0


def charts(view: RundownView) -> Iterator[ET.Element]:
    """Three charts over one time axis; what happens is marked with the numbers of the list."""
    found = view.found
    if len(found.series) < 2:
        return
    hours = found.duration_s > LONG_S
    across = Axis("hours" if hours else "minutes", 1 / HOUR_S if hours else 1 / MINUTE_S)
    told = happenings(found)
    marks = [Moment(time_s, str(number)) for number, (time_s, _) in enumerate(told, 1)]
    names = [pack.name for pack in found.packs]
    volts = [Line(name, _of(found.series, "terminals_v", index)) for index, name in enumerate(names)]
    if len(names) > 1:
        volts.append(Line("at the load", [(sample.time_s, sample.bus_v) for sample in found.series]))
    amps = [Line(name, _of(found.series, "currents_a", index)) for index, name in enumerate(names)]
    charge = [Line(name, _of(found.series, "fractions", index)) for index, name in enumerate(names)]
    words = "; ".join(f"{clock(time_s)} {said}" for time_s, said in told)
    cuts, most = (tuple(LimitLine(y, told_) for y, told_ in each) for each in (view.cuts, view.most))
    for title, up, lines, limits in (
        ("Voltage at each pack's outlet", Axis("V"), volts, cuts),
        ("Current out of each pack", Axis("A", zero=min(_lows(amps)) >= 0.0), amps, most),
        ("State of charge", Axis("%", 100.0, zero=True), charge, ()),
    ):
        said = f"Over {clock(found.duration_s)}. {words}."
        yield line_chart(title, said, across, up, lines, marks, limits, below="being charged")


def _of(series: Sequence[Sample], what: str, index: int) -> list[tuple[float, float | None]]:
    return [(sample.time_s, getattr(sample, what)[index]) for sample in series]


def _lows(lines: Sequence[Line]) -> list[float]:
    return [y for line in lines for _, y in line.points if y is not None]
