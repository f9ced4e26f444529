"""Leads between the same two parts, and those that lead to one controller by two ways: which of them is followed."""

from __future__ import annotations

from collections.abc import Mapping

from packyoke.model import Build, Lead


def order_of(build: Build, in_use: str = "") -> dict[str, int]:
    """The order in which leads are followed: by name. One that is in use is where the first of those beside it is."""
    place = {name: number for number, name in enumerate(sorted(build.leads))}
    if in_use:
        used = build.leads[in_use]
        first = min(
            name for name, lead in build.leads.items() if (lead.source, lead.target) == (used.source, used.target)
        )
        place[in_use], place[first] = place[first], place[in_use]
    return place


def side_by_side(build: Build, place: Mapping[str, int]) -> list[list[str]]:
    """The leads between the same two parts where there are several: the first of them stands for all."""
    between: dict[tuple[str, str], list[str]] = {}
    for name, lead in build.leads.items():
        between.setdefault((lead.source, lead.target), []).append(name)
    return [sorted(names, key=place.__getitem__) for names in between.values() if len(names) > 1]


def one_way(build: Build, out: dict[str, list[Lead]], place: Mapping[str, int]) -> dict[str, list[Lead]]:
    """Of leads without loops those that leave one way from each part to each controller, and to each joiner that leads
    nowhere: what feeds a part is a tree then. Of two leads that lead to one the first is kept."""
    kept: dict[str, list[Lead]] = {}
    ends: dict[str, set[str]] = {}

    def reached(name: str) -> set[str]:
        found = ends.get(name)
        if found is None:
            found, kept[name] = set(), []
            for lead in sorted(out.get(name, ()), key=lambda lead: place[lead.name]):
                further = reached(lead.target)
                if found.isdisjoint(further):
                    found |= further
                    kept[name].append(lead)
            if not found:
                found.add(fed_inside(build, name) or name)
            ends[name] = found
        return found

    for name in (*build.packs, *build.joiners):
        reached(name)
    return kept


def fed_inside(build: Build, name: str) -> str | None:
    """The controller that the bike maker's joiner feeds by its own wire, where no lead leaves it."""
    joiner = build.joiners.get(name)
    return next(iter(build.controllers)) if joiner and joiner.built_in and len(build.controllers) == 1 else None
