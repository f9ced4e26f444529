"""Figures from outside for road load, drive and range; the figures stand in `road.csv` and `road_shown.csv`.

`CASES` have to agree. `SHOWN` are figures of trade and tests of which too little is known to demand it: they are set
beside ours with what explains the distance.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import cos, hypot, radians

from packyoke.analysis.ride.drive_power import Riding, rate, stretch
from packyoke.core.units import from_si
from packyoke.physics import drive, road
from packyoke.shelf import road as shelf
from tests.reference.case import computed, read, rows

KM_H = 1 / 3.6
WH = 3600.0
G_THEIRS, G_OURS = 9.81, road.GRAVITY_M_S2


def likely(kind: str, item: str = "any") -> float:
    return shelf.figure(kind, item).likely


def riding(
    bike: float,
    packs: float,
    rider: float,
    km_h: float,
    rider_watts: float,
    cargo: float = 0.0,
    area: float = 0.56,
    crr: float = 0.0077,
    efficiency: float = 0.78,
    stops: float = 1.0,
    climb: float = 5.0,
    wind: float = 2.0,
    cut: float = 1e3,
    type: str = "geared hub",
) -> Riding:
    """A ride in the units of the trade; what is not given is the likely figure of the shelf."""
    return Riding(
        rider_kg=rider,
        bike_kg=bike,
        packs_kg=packs,
        load_kg=cargo,
        speed_m_s=km_h * KM_H,
        climb_fraction=climb / 1e3,
        slope_fraction=likely("hill slope"),
        wind_m_s=wind,
        stops_per_m=stops / 1e3,
        braked_fraction=likely("braked share"),
        rider_w=rider_watts,
        assist_ratio=0.0,
        pedalling_fraction=likely("pedalling share"),
        drag_area_m2=area,
        rolling_factor=crr,
        efficiency_fraction=efficiency,
        auxiliaries_w=likely("auxiliaries"),
        air_kg_m3=road.air_density_kg_m3(288.15),
        drive=shelf.drive(type),
        cut_m_s=cut * KM_H,
    )


def taken(wall: float = 1.0, **given: float) -> float:
    """Wh/km out of the packs, or at the wall with the charger's efficiency."""
    return rate(riding(**given)).j_per_m * 1000.0 / WH / wall


def martin(term: str) -> float:
    """The terms of the published example [W]; its total is at the crank."""
    v, mass = 8.36, 90.0
    head = 2.94 * cos(radians(340 - 310))
    terms = {
        "aero": v * road.drag_j_per_m(v, 0.9 * 0.285, 1.2234, head),
        "roll": v * road.rolling_j_per_m(mass, 0.0032, 0.003),
        "bearing": v * road.bearing_j_per_m(v),
        "ke": road.kinetic_j(mass, 8.28, 8.45) / 56.42,
        "pe": v * road.climbing_j_per_m(mass, 0.003),
    }
    return terms[term] if term != "total" else sum(terms.values()) / road.CHAIN_FRACTION


def martin_speed(watts: float) -> float:
    at_wheel_w = watts * road.CHAIN_FRACTION - martin("ke")
    head = 2.94 * cos(radians(30))
    return road.speed_at_power_m_s(at_wheel_w, 90.0, 0.9 * 0.285, 0.0032, 1.2234, 0.0, 0.003, head)


def flat_power(mass: float, area: float, crr: float, km_h: float) -> float:
    """Air and tyres alone [W]: without bearings, and without the spokes, which the drag area does not hold."""
    v = km_h * KM_H
    drag = road.drag_j_per_m(v, area - road.SPOKES_AREA_M2, 1.225)
    return v * (drag + road.rolling_j_per_m(mass, crr))


def wind_drag(ratio: float, factor: float) -> float:
    """Drag in wind over drag in still air."""
    return road.drag_j_per_m(5.0, 0.5, 1.2, 0.0, 5.0 * ratio, factor) / road.drag_j_per_m(5.0, 0.5, 1.2)


def cut_off_speed(cut: float, target: float, watts: float) -> float:
    found = stretch(riding(21, 3, 80, target, watts, cut=cut), 0.0)
    assert found.motor_w > 0.0 or found.speed_m_s > cut * KM_H
    return found.speed_m_s / KM_H


def steep(type: str, slope: float, climb: float, km_h: float, watts: float) -> float:
    """Energy for a metre of a hilly ride on one or the other drive, as good as each other at 150 W and 25 km/h."""
    ride = riding(25, 3, 75, km_h, watts, climb=climb, stops=0, wind=0, efficiency=0.8, type=type)
    return rate(ride._replace(slope_fraction=slope)).j_per_m


QUANTITIES: Mapping[str, Callable[..., float]] = {
    "martin_term": lambda term: martin(term),
    "martin_speed": martin_speed,
    "flat_power": flat_power,
    "motor_share": lambda factor: drive.motor_share_fraction(factor),
    "assisted_energy": lambda rider, factor, km_h: (
        drive.motor_share_fraction(factor) * rider * (1 + factor) / (km_h * KM_H) * 1000.0 / WH
    ),
    "climb_energy": lambda mass, metres: road.climbing_j_per_m(mass, 0.1) * metres * hypot(1.0, 0.1) / 0.1 / WH,
    "start_energy": lambda mass, km_h: road.kinetic_j(mass, 0.0, km_h * KM_H, 0.0) / WH,
    "wind_drag": wind_drag,
    "drive_efficiency": lambda watts, km_h, radius, friction, ohm, constant, control: (
        watts / drive.two_loss_input_w(watts, km_h * KM_H / radius, friction, ohm, constant, control)
    ),
    "air_density": lambda celsius, hectopascal: road.air_density_kg_m3(celsius + 273.15, hectopascal * 100.0),
    "cut_off_speed": cut_off_speed,
    "miles": lambda km: from_si(km * 1000.0, "mi"),
    "taken": taken,
    "hub_over_mid": lambda slope, climb, km_h, watts: (
        steep("geared hub", slope, climb, km_h, watts) / steep("mid motor", slope, climb, km_h, watts)
    ),
}


@dataclass(frozen=True, slots=True)
class Shown:
    """A figure of the trade as a span, ours beside it, and what explains the distance."""

    id: str
    source: str
    locator: str
    low: float
    high: float
    unit: str
    status: str
    note: str
    compute: Callable[[], float]

    @property
    def deviation(self) -> float:
        """How far ours is outside, as a share of the nearer end; 0 inside [-]."""
        ours = self.compute()
        near = min(max(ours, self.low), self.high)
        return (ours - near) / near


def _shown(row: Mapping[str, str]) -> Shown:
    return Shown(
        row["id"],
        row["source"],
        row["locator"],
        float(row["low"]),
        float(row["high"]),
        row["unit"],
        row["status"],
        row["note"],
        computed(row, QUANTITIES),
    )


CASES = read("road.csv", QUANTITIES)
SHOWN = tuple(_shown(row) for row in rows("road_shown.csv"))
