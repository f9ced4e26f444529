"""From what somebody types after `packyoke range --route` to a route ready to print; tracks that rides name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from packyoke.analysis.case import Case
from packyoke.analysis.discharge.rundown import NoRundown
from packyoke.analysis.ride.named import rides_of
from packyoke.analysis.ride.pieces import MOST_STRAIGHT_M, Route, route_of
from packyoke.analysis.ride.reach_on_route import Routed, routed
from packyoke.answers.checked import checked
from packyoke.answers.inherited import PARTS, inherited, with_places
from packyoke.answers.range.answer import sets_to_answer
from packyoke.answers.range.route_page import RouteView
from packyoke.answers.rundown.page import refusal_text
from packyoke.answers.typed import WrongInput, air, assumed_words, health_share, pack_names, ride_name
from packyoke.core.field_paths import line_in
from packyoke.model import Build, KnownRide
from packyoke.model.fields import field_for
from packyoke.model.track import Track
from packyoke.verdict.layout import sets_of

MOST_DRIVEN = 50_000
"""Pieces of the way times packs, after which no further set is ridden that nobody asked for by name: 80 km with every
set of three packs that last as far are 38,400 (judgement: a few seconds)."""

LEAST_WAY_M = 500.0
"""A shorter way says nothing of the hills of a day: judgement."""
MOST_DOUBTFUL = 0.1
"""A bridge or a tunnel may stand as a cliff in a good track; more of them are wrong heights: judgement."""


def view(
    build: Build,
    track: Track,
    *,
    rides: Sequence[str] = (),
    packs: Sequence[str] = (),
    cold: str | None = None,
    health: str | None = None,
    system: str = "metric",
) -> RouteView:
    """A route with each set of packs. Raises WrongInput with a sentence for the person who typed it."""
    if not build.packs:
        raise WrongInput("the file describes no pack")
    if len(rides) > 1:
        raise WrongInput("--route takes one --ride")
    route = way(track)
    ride = ride_name(build, rides[0]) if rides else rides_of(build)[0]
    sets = tuple(dict.fromkeys(pack_names(build, each) for each in packs)) or sets_to_answer(build)
    air_k, health_fraction = air(cold), health_share(health)
    check = checked(build, "ride")
    shown: dict[str, Any] = {
        "file": build.file,
        "name": build.name,
        "ride": ride,
        "route": route,
        "system": system,
        "check": check.answer,
        "refused": check.said,
        "check_lines": check.lines,
    }
    if check.answer == "no":
        return RouteView(sets=(), assumed=inherited(build, places=True), **shown)
    case = Case(build)
    found: list[tuple[tuple[str, ...], Routed | NoRundown]] = []
    driven = 0.0
    for each in sets:
        if driven > MOST_DRIVEN and not packs:
            break
        found.append((each, routed(case, each, ride, route, air_k=air_k, health_fraction=health_fraction)))
        driven += _driven(found[-1][1], route)
    if not any(isinstance(each, Routed) for _, each in found):
        said = next(refusal_text(each) for _, each in found if isinstance(each, NoRundown))
        raise WrongInput(with_places(said, build))
    keys = dict.fromkeys(key for _, each in found if isinstance(each, Routed) for key in each.likely.assumed)
    taken = inherited(build, "region", "coldest", "warmest", PARTS)
    assumed = (*assumed_words(build, keys), *taken)
    left_out = 0 if packs else len(sets_of(build)) - len(found)
    return RouteView(sets=tuple(found), assumed=assumed, sets_left_out=left_out, **shown)


def _driven(found: Routed | NoRundown, route: Route) -> float:
    """What riding a set took, in pieces of the way times packs."""
    if isinstance(found, NoRundown):
        return 0.0
    reached_m = found.likely.reached_m + found.careful.reached_m
    return len(found.packs) * len(route.pieces) * reached_m / route.distance_m


def way(track: Track) -> Route:
    """A track as a route. Raises WrongInput where it goes nowhere."""
    route = route_of(track)
    if not route.pieces:
        raise WrongInput(f"{track.file}: all its points are one place")
    return route


def with_tracks(build: Build, read: Callable[[str], Track]) -> Build:
    """The build with the hills of the tracks that its rides name. Raises WrongInput where they have no heights."""
    rides = dict(build.rides)
    for name, ride in build.rides.items():
        if ride.gpx is not None and ride.hills_fraction is None:
            up, down = _hills(read(ride.gpx), ride.gpx, line_in(ride.path, "gpx"), "Write  hills:  instead")
            # How far one gets is told there and back: on the way back up is down.
            ride = rides[name] = replace(ride, hills_fraction=(up + down) / 2, rise_fraction=up - down)
        if any(known.gpx for known in ride.known):
            rides[name] = replace(ride, known=tuple(_on_track(known, read) for known in ride.known))
    return replace(build, rides=rides) if rides != build.rides else build


def _on_track(known: KnownRide, read: Callable[[str], Track]) -> KnownRide:
    """A known ride with the hills of the track that was ridden."""
    if known.gpx is None:
        return known
    up, down = _hills(
        read(known.gpx), known.gpx, line_in(known.path, "on"), "Leave  on:  out, and the hills of the ride count"
    )
    return replace(known, hills_fraction=up, rise_fraction=up - down)


def _hills(track: Track, file: str, where: str, do: str) -> tuple[float, float]:
    """Climb and descent over the way along the ground."""
    route = way(track)
    if wrong := _no_hills(route):
        raise WrongInput(f"{where}: {wrong.format(file=file)}. {do}")
    assert route.climb_m is not None
    assert route.descent_m is not None
    return route.climb_m / route.distance_m, route.descent_m / route.distance_m


def _no_hills(route: Route) -> str:
    """Why nobody knows from a track how hilly a ride is; empty where it tells. A route is told with what is doubtful in
    it; of a ride only this one figure is left, and what was wrong with it could not be seen in an answer."""
    if route.climb_m is None:
        share = f"{100 * route.without_elevation_fraction:.0f} %"
        apart = f"or no points for {MOST_STRAIGHT_M / 1000:.0f} km and more"
        return f"the climb of {{file}} is not known, for it has no heights, {apart}, on {share} of the way"
    if route.distance_m < LEAST_WAY_M:
        least = f"a ride takes its hills from {LEAST_WAY_M:.0f} m at least"
        return f"the way of {{file}} is {route.distance_m:.0f} m long, and {least}"
    doubtful = route.doubtful_m / route.distance_m
    if doubtful > MOST_DOUBTFUL:
        return f"{100 * doubtful:.0f} % of {{file}} is steeper than any road: its heights are wrong"
    climb, most = route.climb_m / route.distance_m, field_for("ride.any", "hills_fraction").high
    if most is not None and climb > most:
        return f"{{file}} climbs {1000 * climb:.0f} m per km, and at most {1000 * most:.0f} are read"
    return ""
