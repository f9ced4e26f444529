"""What is different between two builds, and between what the check says of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from packyoke.analysis.unknowns.spans import nominal_energy_j
from packyoke.answers.changes import changes, told_by
from packyoke.answers.compare.page import CompareView, FigurePair, FileDifference, Margin
from packyoke.core.constants import WH_J
from packyoke.core.findings import shown
from packyoke.core.paths import BIKE, BUILD, PartPath, path_inside, path_to
from packyoke.core.units import Kind, show
from packyoke.model import Build, Part
from packyoke.model.fields import Field, field_for, file_name, has_field
from packyoke.model.found import said_of
from packyoke.model.parts import Bonded
from packyoke.rules.ride_fits_nobody import ride_words
from packyoke.verdict.layout import EVERYDAY, MOST_RIDDEN_PACKS
from packyoke.verdict.report import PackSet, PartLine, Report
from packyoke.verdict.wording import value_words

SECTIONS = ("packs", "joiners", "leads", "controllers", "accessories", "chargers", "racks", "connectors", "places",
            "rides")  # fmt: skip
PAIRS = {
    "speed at voltage": ("at", Kind.VOLTAGE),
    "current for time": ("for", Kind.TIME),
    "current after time": ("after", Kind.TIME),
}
"""Lines with a second figure: what stands before it, and its kind."""
OTHER_RIDE = "The everyday ride is not the same in the two files: part of the step in kilometres is the ride's."
MANY = f"packyoke range says how far a bike of more than {MOST_RIDDEN_PACKS} packs goes, set by set."
MATTERS = 0.005
"""A figure that moves by less, of itself, has not moved."""


def akin(old: Build, new: Build) -> bool:
    """Whether two builds can be one bike: the name, a pack or a joiner is in both."""
    return old.name == new.name or bool({*old.packs} & {*new.packs} or {*old.joiners} & {*new.joiners})


def compared(old: Build, new: Build, old_report: Report, new_report: Report) -> CompareView:
    """The second build against the first."""
    turns = tuple(each for each in changes(told_by(old_report), told_by(new_report)) if each.kind != "same")
    differences = tuple(_differences(old, new))
    other_ride = any(each.part == path_to("ride", EVERYDAY) for each in differences)
    many = max(len(old.packs), len(new.packs)) > MOST_RIDDEN_PACKS
    return CompareView(
        old=old_report,
        new=new_report,
        refused=any(each.grave for each in turns),
        differences=differences,
        turns=turns,
        margins=tuple(_margins(old_report, new_report)),
        figures=tuple(_figures(old, new, old_report, new_report)),
        notes=(*([OTHER_RIDE] if other_ride else []), *([MANY] if many else [])),
    )


def _figures(old: Build, new: Build, old_report: Report, new_report: Report) -> Iterator[FigurePair]:
    for name, unit, better, of in (
        ("energy by the labels", "Wh", "more", lambda build, _: _label_wh(build)),
        ("likely to give", "Wh", "more", lambda _, report: _usable_wh(report)),
        ("count on, everyday", "km", "more", lambda _, report: _way_km(report, 0)),
        ("likely, everyday", "km", "more", lambda _, report: _way_km(report, 1)),
        ("mass of the packs", "kg", "less", lambda build, _: _mass_kg(build)),
        ("carries, continuous", "A", "more", lambda _, report: _good_for_a(report)),
        ("controller draws", "A", "", lambda _, report: _asked_a(report)),
    ):
        yield FigurePair(name, unit, of(old, old_report), of(new, new_report), better)


def _whole(report: Report) -> PackSet | None:
    """The line of all packs together; None for a bike without packs."""
    return max(report.sets, key=lambda each: len(each.packs), default=None)


def _usable_wh(report: Report) -> float | None:
    whole = _whole(report)
    return whole.usable_wh if whole else None


def _way_km(report: Report, place: int) -> float | None:
    """In whole kilometres, rounded down as everywhere."""
    whole = _whole(report)
    return None if whole is None or whole.range_m is None else float(whole.range_m[place] // 1000)


def _label_wh(build: Build) -> float | None:
    found = [nominal_energy_j(pack) for pack in build.packs.values()]
    known = [each for each in found if each is not None]
    return sum(known) / WH_J if known and len(known) == len(found) else None


def _mass_kg(build: Build) -> float | None:
    found = [pack.mass_kg for pack in build.packs.values()]
    known = [each for each in found if each is not None]
    return sum(known) if known and len(known) == len(found) else None


def _good_for_a(report: Report) -> float | None:
    """Not known where a part is left out of it of which nobody knows what it bears."""
    good = report.good_for
    return good.continuous.value if good and good.continuous and not good.open_parts else None


def _asked_a(report: Report) -> float | None:
    return report.good_for.asked.value if report.good_for and report.good_for.asked else None


def _differences(old: Build, new: Build) -> Iterator[FileDifference]:
    yield from _fields(old, new, BUILD, ("region", "warmest_k", "coldest_k", "sets", "lead_insulation", "lead_run"))
    yield from _fields(old.bike, new.bike, BIKE)
    sections = ((getattr(old, each), getattr(new, each)) for each in SECTIONS)
    for before, after in (*sections, (_runs(old), _runs(new))):
        for name in dict.fromkeys([*before, *after]):
            path = (after.get(name) or before.get(name)).path
            if name not in before or name not in after:
                yield FileDifference(
                    path, "", "" if name not in before else "there", "" if name not in after else "there"
                )
            else:
                yield from _fields(before[name], after[name], path)
    yield from _beside_readings(old, new)


def _beside_readings(old: Build, new: Build) -> Iterator[FileDifference]:
    """Lines of the file that differ where a reading counts instead, and hides it."""
    for path, attr in dict.fromkeys(key for build in (old, new) for key, _ in build.described):
        parts = _part_at(old, path), _part_at(new, path)
        if None in parts or not has_field(path, attr):
            continue
        field = field_for(path, attr)
        before, after = (
            _words(part.but(**{attr: said_of(build, part, attr)}), field)
            for build, part in zip((old, new), parts, strict=True)
            if part is not None
        )
        if before != after:
            yield FileDifference(path, f"{file_name(field)} as described", before, after)


def _part_at(build: Build, path: PartPath) -> Part | None:
    try:
        return build.part(path)
    except KeyError:
        return None


def _runs(build: Build) -> dict[str, Part]:
    """Measured ways by the places that they lead between."""
    found = {" - ".join(sorted(each.between)): each for each in build.runs}
    return {name: run.but(path=path_to("runs", name), between=()) for name, run in found.items()}


def _fields(old: Part, new: Part, path: PartPath, attrs: tuple[str, ...] = ()) -> Iterator[FileDifference]:
    lines: dict[Field, None] = {}
    for attr in attrs or old.__dataclass_fields__:
        before, after = getattr(old, attr), getattr(new, attr)
        if attr in ("name", "path", "span", "spans") or before == after:
            continue
        if isinstance(before, Part) and isinstance(after, Part):
            yield from _fields(before, after, path_inside(path, attr))
        elif isinstance(before, Part) or isinstance(after, Part):
            words = ("there" if isinstance(each, Part) else "not there" for each in (before, after))
            yield FileDifference(path, file_name(field_for(path, attr)), *words)
        elif has_field(path, attr):
            lines[field_for(path, attr)] = None
    for field in lines:
        before, after = _words(old, field), _words(new, field)
        if before != after:
            yield FileDifference(path, file_name(field), before, after)


def _words(part: Any, field: Field) -> str:
    """What the file says in a line, all of it: `60 A for 10 s`."""
    value = getattr(part, field.attr)
    if field.kind in PAIRS and value is not None:
        between, kind = PAIRS[field.kind]
        second = getattr(part, field.also[0]) if field.also else None
        return value_words(value, field.kind) + (f" {between} {show(second, kind)}" if second is not None else "")
    if field.kind == "current or none" and not part.charges_at_outlet:
        return "none"
    if field.kind == "voltage or isolates only" and part.isolates_only:
        return "isolates only"
    if field.kind == "text or voltage":
        value = part.label
    if field.kind == "assist":
        given = show(part.rider_w, Kind.POWER) if part.rider_w is not None else ""
        return f"{part.assist or 'not known'} {shown(part.assist_ratio) if part.assist_ratio else given}".rstrip()
    if field.kind == "list of names":
        return "every one" if value is None else ", ".join(" + ".join(each) for each in value)
    if value is None:
        return "not known"
    if isinstance(value, Bonded):
        return f"within {show(value.by_v, Kind.VOLTAGE)}, charged {value.charged}"
    if field.kind == "mapping or list":
        return "; ".join(ride_words(each, "metric") for each in value) or "none"
    return value_words(value, field.kind)


def _margins(old: Report, new: Report) -> Iterator[Margin]:
    before, after = ({each.part: each for each in report.parts} for report in (old, new))
    for part in dict.fromkeys([*before, *after]):
        first, second = before.get(part), after.get(part)
        if first is None or second is None or _moved(first, second):
            yield Margin(part, first, second)


def _moved(first: PartLine, second: PartLine) -> bool:
    pairs = ((first.worst, second.worst), (first.limit, second.limit), (first.back, second.back))
    return any(abs(a.value - b.value) > MATTERS * max(abs(a.value), abs(b.value)) for a, b in pairs)
