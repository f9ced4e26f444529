"""What goes with a bike as JSON, schema `packyoke/sheet/1`: SI units, names as in the file, money as texts.

Figures are those that the sheets are worded from; sentences are whole, as they are printed.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from packyoke import __version__
from packyoke.answers.bill import bill_json, valid_until
from packyoke.answers.check.as_json import assumed_data, cure_data, finding_data, good_for_data, question_data
from packyoke.answers.inherited import inherited
from packyoke.answers.plan.answer import choices
from packyoke.answers.plan.page import best_data, choice_data, no_plan_data
from packyoke.answers.sheet import customer, quote, workshop
from packyoke.answers.sheet.called import Called, Signs
from packyoke.answers.sheet.customer_page import CustomerSheet
from packyoke.answers.sheet.how_far import Distance, Far, RideRange
from packyoke.answers.sheet.labels_page import CHECK, FOLD, LIVE
from packyoke.answers.sheet.quote_page import QuoteSheet
from packyoke.answers.sheet.workshop_page import Section
from packyoke.core.findings import Severity
from packyoke.making.labels import Labels
from packyoke.model import Build
from packyoke.page import strict
from packyoke.planning.result import NoPlan
from packyoke.verdict.fingerprint import fingerprint
from packyoke.verdict.report import Report

SCHEMA = "packyoke/sheet/1"
TOLD_OF_RIDES = ("motor is silent", "slows on hills", "walks on hills")
"""What the line of a ride says of the drive."""


def customer_json(work: customer.CustomerWork, shop: str = "", contact: str = "") -> str:
    """The customer's page."""
    sheet, build, report = customer.in_words(work, shop=shop, contact=contact), work.case.build, work.report
    first = customer.first_packs(work.case) if customer.packs_wait(build) else None
    data = {
        **_about(build, shop, contact),
        **_bike(build, work.names, sheet),
        **_far(work.far),
        "plugging": {
            "works_first": list(first.first) if first is not None else None,
            "joins_later": list(first.later) if first is not None else None,
            "words": list(sheet.plugging),
        },
        "charging": {
            "chargers": [
                {
                    "charger": each.name,
                    "output_v": each.output_v,
                    "through": each.through,
                    "times": [
                        {"packs": list(time.packs), "full_s": time.time_s, "short_fraction": time.short_fraction}
                        for time in work.charging
                        if time.charger == each.name
                    ],
                }
                for each in build.chargers.values()
            ],
            "words": list(sheet.charging),
        },
        "stop": list(sheet.stop),
        "never": sheet.never,
        "joined": {
            "ways": [{"source": each.source, "target": each.target} for each in sheet.drawing.edges],
            "words": sheet.drawing.words,
        },
        "rests_on": {
            "controllers": [
                {"controller": name, "set_a": most_a} for name, most_a in customer.set_currents(work.case).items()
            ],
            "racks": [
                {"rack": each.rack, "limit_kg": each.limit_kg, "left_kg": each.left_kg}
                for each in customer.rack_loads(build)
            ],
            "coldest_k": build.coldest_k,
            "warmest_k": build.warmest_k,
            **_known(report, build),
            "words": list(sheet.rests),
        },
        "back_by": customer.recheck_by(build, work.day),
        "told": _cautions(report),
        **_foot(sheet.signatures, sheet.cautions),
    }
    return _written("customer", build, work.day.isoformat(), report, data)


def quote_json(work: quote.QuoteWork, shop: str = "", contact: str = "") -> str:
    """The quote."""
    sheet, build, report = quote.in_words(work, shop, contact), work.build, work.report
    data = {
        **_about(build, shop, contact),
        "subject_to": [finding_data(each) for each in work.opens],
        "find_out": [question_data(each) for each in report.to_find_out],
        **_bike(build, work.names, sheet),
        "prices": [
            {"kind": each.kind, "item": each.item, "what": each.what, "amount": each.amount} for each in sheet.prices
        ],
        **bill_json(work.made),
        **_far(work.far),
        "own": [each.path for each in quote.own_parts(build)],
        **_known(report, build),
        "told": _cautions(report),
        "holds_until": work.until.isoformat(),
        "blocks": [{"title": each.title, "lines": list(each.lines)} for each in sheet.told],
        **_foot(sheet.signatures, sheet.cautions),
    }
    return _written("quote", build, work.day.isoformat(), report, data)


def workshop_json(done: workshop.WorkshopWork, shop: str = "", contact: str = "") -> str:
    """The work sheet, its sections in the order of the work."""
    sheet, work = workshop.in_words(done, shop, contact), done.work
    bill = bill_json(work.plan)
    data = {
        **_about(work.build, shop, contact),
        "planned": None
        if done.found is None
        else {**best_data(done.found), "choices": [choice_data(each) for each in choices(done.found)]},
        "good_for": good_for_data(work.report),
        "basis": list(sheet.basis),
        "first": list(sheet.first),
        "harness": sheet.drawing.words,
        "sections": [_section(each) for each in sheet.sections],
        "totals": bill["totals"],
        "terms": bill["terms"],
        "prices_valid_until": valid_until(work.plan, done.day) or None,
        "labels": _labels(work.build, sheet.labels, work.bench.called),
        **_foot(sheet.signatures, sheet.cautions),
    }
    return _written("workshop", work.build, done.day.isoformat(), work.report, data)


def labels_json(done: workshop.WorkshopWork) -> str:
    """The labels alone."""
    sheet, work = workshop.in_words(done), done.work
    data = {"labels": _labels(work.build, sheet.labels, work.bench.called)}
    return _written("labels", work.build, done.day.isoformat(), work.report, data)


def no_sheet_json(reader: str, report: Report, today: str, why: Iterable[str]) -> str:
    """Why there is no sheet: what to mend, and what to find out."""
    assert report.build is not None  # what cannot be read is told before a sheet is asked for
    weights = {word: [each for each in report.findings if each.severity == weight] for word, weight in NO_SHEET}
    data = {
        **{word: [finding_data(each) for each in found] for word, found in weights.items()},
        "find_out": [question_data(each) for each in report.to_find_out],
        "cure": cure_data(report),
        "no_plan": None,
        "inherited": list(inherited(report, places=True)),
    }
    return _none(reader, report.build, today, report.verdict, why, data)


def no_plan_json(reader: str, build: Build, found: NoPlan, today: str, why: Iterable[str]) -> str:
    """Why there is no sheet of a build that leaves something open: nothing passes."""
    plan = no_plan_data(build, found)
    return _none(reader, build, today, "no plan", why, {**NOTHING, "no_plan": plan, "inherited": plan.pop("inherited")})


def untold_json(reader: str, build: Build, today: str, told: str) -> str:
    """Why there is no sheet yet: something has to be told before it can be planned."""
    return _none(reader, build, today, "open", (told,), {**NOTHING, "inherited": list(inherited(build, places=True))})


NO_SHEET = (("mend", Severity.STOP), ("open", Severity.OPEN))
NOTHING: dict[str, Any] = {"mend": [], "open": [], "find_out": [], "cure": None, "no_plan": None}


def _none(reader: str, build: Build, today: str, verdict: str, why: Iterable[str], data: dict[str, Any]) -> str:
    head = _head(reader, build, today, verdict, fingerprint(build))
    return strict.written({**head, "sheet": None, "why": list(why), **data})


def _written(reader: str, build: Build, today: str, report: Report, sheet: dict[str, Any]) -> str:
    return strict.written({**_head(reader, build, today, report.verdict, report.fingerprint), "sheet": sheet})


def _head(reader: str, build: Build, today: str, verdict: str, made_of: str) -> dict[str, Any]:
    return {
        "schema": SCHEMA,
        "tool": __version__,
        "for": reader,
        "file": build.file,
        "name": build.name,
        "today": today,
        "verdict": verdict,
        "fingerprint": made_of,
    }


def _about(build: Build, shop: str, contact: str) -> dict[str, Any]:
    return {"shop": shop or None, "contact": contact or None, "ticket": build.ticket or None}


def _bike(build: Build, names: Called, sheet: CustomerSheet | QuoteSheet) -> dict[str, Any]:
    """What the bike is: its packs, and what the page calls them."""
    return {
        "intro": sheet.intro,
        "packs": [{"pack": name, "called": names.short(name)} for name in build.packs],
        "sets": [list(each) for each in build.sets] if build.sets is not None else None,
    }


def _far(far: Far) -> dict[str, Any]:
    """How far each set of packs goes on each ride, as many as are printed."""
    found = far.found if far.lines else ()
    return {
        "rides": [_ride(each) for each in found],
        "ranges": [
            {"packs": list(packs), "line": line.packs, "ride": ride.ride, **_distance(ride.figures[packs])}
            for line, sets in zip(far.lines, far.sets, strict=True)
            for packs in sets
            for ride in found
        ],
        "range_notes": list(far.notes),
    }


def _ride(found: RideRange) -> dict[str, Any]:
    """How a ride is ridden; without figures where it was measured, or where no set of packs can be worked out."""
    ride = found.told.ride if found.told is not None else None
    riding = ride.riding if ride is not None and not ride.measured else None
    return {
        "ride": found.ride,
        "about": found.about,
        "measured": ride is not None and ride.measured is not None,
        "rider_kg": riding.rider_kg if riding else None,
        "load_kg": riding.load_kg if riding else None,
        "speed_m_s": riding.speed_m_s if riding else None,
        "climb_fraction": riding.climb_fraction if riding else None,
        "throttle": ride.throttle if ride and riding else None,
        "notes": [
            {
                "kind": each.kind,
                "speed_m_s": each.found,
                "slope_fraction": None if each.kind == "motor is silent" else each.wanted,
            }
            for each in (found.told.notes if found.told is not None and riding else ())
            if each.kind in TOLD_OF_RIDES
        ],
    }


def _distance(found: Distance | str) -> dict[str, Any]:
    if isinstance(found, str):
        return {"distance_m": None, "why": found}
    return {"distance_m": {"low": found.low_m, "likely": found.likely_m}, "why": None}


def _known(report: Report, build: Build) -> dict[str, Any]:
    """What was read at the finished bike, and what nobody wrote."""
    return {
        "readings": len(build.measured),
        "last_reading": max((each.date for each in build.measured), default=None),
        "assumed": [assumed_data(each) for each in report.assumed],
        "inherited": list(inherited(build)),
    }


def _cautions(report: Report) -> list[dict[str, Any]]:
    return [finding_data(each) for each in report.findings if each.severity == Severity.CAUTION]


def _foot(signatures: tuple[str, ...], cautions: str) -> dict[str, Any]:
    return {"signatures": list(signatures), "cautions": cautions}


def _section(section: Section) -> dict[str, Any]:
    """Sentences, steps to tick, rows, what is read and ticked in each, and notes."""
    table = section.table
    return {
        "name": section.name,
        "title": section.title,
        "test": section.test,
        "lines": list(section.lines),
        "steps": list(section.steps),
        "rows": [dict(each) for each in section.data],
        "read": list(table.reads) if table is not None else [],
        "tick": list(table.ticks) if table is not None else [],
        "notes": list(section.notes),
        "signed": section.signed,
    }


def _labels(build: Build, labels: Labels, called: Signs) -> dict[str, Any]:
    """Every label with its lines; `called` are signs that stand for long names."""
    leads = [*build.leads]
    return {
        "called": [{"sign": sign, "name": name} for sign, name in called.told()],
        "print": [CHECK, FOLD],
        "flags": [
            {
                "lead": leads[each.number - 1],
                "number": each.number,
                "here": each.here,
                "there": each.there,
                "lines": [f"{each.number} {each.lead}".rstrip(), f"{each.here} to {each.there}"],
            }
            for each in labels.flags
        ],
        "sleeves": [
            {
                "lead": leads[each.number - 1],
                "number": each.number,
                "pole": each.pole,
                "at": each.at,
                "lines": [f"{each.number} {each.at}"],
            }
            for each in labels.sleeves
        ],
        "plates": [
            {
                "part": each.path,
                "called": each.part,
                "lines": [line for line in (each.what, each.figure, each.about) if line],
                "voltage_v": each.voltage_v,
                "current_a": each.current_a,
            }
            for each in labels.plates
        ],
        "empty": [{"at": each, "lines": [LIVE]} for each in labels.empty],
    }
