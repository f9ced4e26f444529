"""A rundown as one HTML page with its charts."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from packyoke.analysis.discharge.course import Sample
from packyoke.analysis.discharge.rundown import SetLine
from packyoke.answers.rundown.page import (
    CAUTION,
    RundownView,
    clock,
    happenings,
    headline,
    pack_row,
    phase_words,
    refusal_text,
    set_row,
)
from packyoke.page.chart import Axis, Line, Moment, line_chart
from packyoke.page.elements import add, add_table, new_page, written

HOUR_S, MINUTE_S, LONG_S = 3600.0, 60.0, 5400.0


def rundown_html(view: RundownView) -> str:
    """The page: what the packs are worth, what happens, who supplies, the charts, every set of packs."""
    found = view.found
    html, main = new_page(f"{view.name}: rundown")
    add(main, "h1", f"{view.name}: {' + '.join(pack.name for pack in found.packs)}")
    for said in headline(view):
        add(main, "p", said)
    add(main, "h2", "What happens")
    happens = ET.SubElement(main, "ol")
    for time_s, said in happenings(found):
        add(happens, "li", f"{view.when(time_s)}: {said}")
    if len(found.series) > 1:
        _charts(main, view)
    add_table(
        main,
        "Who supplies",
        ["from", "to", "part of the current, at the start and at the end"],
        [[clock(phase.from_s), clock(phase.to_s), phase_words(phase)] for phase in found.phases],
    )
    add_table(
        main,
        "The packs",
        ["pack", "from", "to", "gave", "of its charge", "at most", "heat"],
        [pack_row(pack) for pack in found.packs],
    )
    add_table(
        main,
        "Every set of packs",
        ["packs", "gives", "for", "who works"],
        [
            set_row(each) if isinstance(each, SetLine) else [each.part, refusal_text(each), "", ""]
            for each in (view.others if len(view.others) > 1 else ())
        ],
    )
    if view.assumed:
        add(main, "h2", "Assumed (write it in the file and that counts instead)")
        add(main, "p", "; ".join(view.assumed))
    add(main, "p", CAUTION)
    return written(html)


def _charts(main: ET.Element, view: RundownView) -> None:
    found = view.found
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
    for title, up, lines in (
        ("Voltage at each pack's outlet", Axis("V"), volts),
        ("Current out of each pack", Axis("A", zero=min(_lows(amps)) >= 0.0), amps),
        ("State of charge", Axis("%", 100.0, zero=True), charge),
    ):
        add(main, "h2", title)
        main.append(line_chart(title, f"Over {clock(found.duration_s)}. {words}.", across, up, lines, marks))
    add(main, "p", "The numbers over the charts are those of the list above.")


def _of(series: Sequence[Sample], what: str, index: int) -> list[tuple[float, float | None]]:
    return [(sample.time_s, getattr(sample, what)[index]) for sample in series]


def _lows(lines: Sequence[Line]) -> list[float]:
    return [y for line in lines for _, y in line.points if y is not None]
