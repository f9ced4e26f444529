"""What the drive takes from the packs on one piece of road, and for a metre of a whole ride.

A ride is level road, hills and the way down again, and starts after stops. Nothing is won back by braking electrically.
"""

from __future__ import annotations

from math import inf
from typing import NamedTuple

from packyoke.physics.drive import motor_share_fraction, two_loss_input_w, two_loss_shaft_w
from packyoke.physics.road import CHAIN_FRACTION, kinetic_j, resistance_j_per_m, speed_at_power_m_s
from packyoke.shelf.road import REFERENCE_M_S, REFERENCE_W, Drive, figure

RIDER_MOST_W = 200.0
"""What a rider keeps up for long, where the motor follows the rider: Fuchs 2009, 75 to 200 W."""
SLOWEST_M_S = 1.0
"""Somebody walks beside it, and the motor gives what it can."""
NEAR_M_S = 1e-3


class Riding(NamedTuple):
    """How a bike is ridden: one figure for everything.

    `assist_ratio` (motor over rider) above 0 replaces `rider_w`. `cut_m_s`: no help above it; `most_w`: what the
    controller lets the drive take; both infinite where there is no such limit. `rise_fraction`: how much higher its end
    lies than its start, for each metre; below 0 where it lies lower.
    """

    rider_kg: float
    bike_kg: float
    packs_kg: float
    load_kg: float
    speed_m_s: float
    climb_fraction: float
    slope_fraction: float
    wind_m_s: float
    stops_per_m: float
    braked_fraction: float
    rider_w: float
    assist_ratio: float
    pedalling_fraction: float
    drag_area_m2: float
    rolling_factor: float
    efficiency_fraction: float
    auxiliaries_w: float
    air_kg_m3: float
    drive: Drive
    cut_m_s: float = inf
    most_w: float = inf
    accessories_w: float = 0.0
    rise_fraction: float = 0.0

    @property
    def mass_kg(self) -> float:
        return self.rider_kg + self.bike_kg + self.packs_kg + self.load_kg

    @property
    def descent_fraction(self) -> float:
        return max(0.0, self.climb_fraction - self.rise_fraction)

    @property
    def hill_fraction(self) -> float:
        """The slope of its hills: where they take all of the way, as steep as they have to be."""
        return max(self.slope_fraction, self.climb_fraction + self.descent_fraction)

    @property
    def rider_at_wheel_w(self) -> float:
        """What the rider puts on the road over time, unless the motor follows a ratio."""
        return 0.0 if self.assist_ratio else self.rider_w * CHAIN_FRACTION * self.pedalling_fraction


class RoadStretch(NamedTuple):
    """A piece of road as it is ridden: speed, power of the motor at the wheel, power from the packs for everything.

    `held_back`: drive and rider do not hold the speed that is wanted there.
    """

    speed_m_s: float
    motor_w: float
    battery_w: float
    held_back: bool

    @property
    def j_per_m(self) -> float:
        return self.battery_w / self.speed_m_s


class Rate(NamedTuple):
    """What a ride takes for each metre, accessories and all, its time for a metre, and the pieces it is made of."""

    j_per_m: float
    s_per_m: float
    level: RoadStretch
    up: RoadStretch


def stretch(riding: Riding, grade_fraction: float, start_j_per_m: float = 0.0) -> RoadStretch:
    """Ride one piece of road at a steady speed.

        P_motor = v (F(v) + e) - P_rider

    Parameters
        riding: the bike, the rider, the wanted speed and the weather [-]
        grade_fraction: climb over the way along the ground, negative downhill [-]
        start_j_per_m: what starts after stops take for each metre of this piece [J/m]
    Returns
        speed [m/s], power of the motor, power from the packs with auxiliaries and accessories [W]
    Valid
        above the cut-off speed the motor gives nothing: the bike settles there unless the rider alone holds more, and
        then the motor only helps to start.
        Where drive and rider cannot hold the speed they ride as fast as they can, and not below `SLOWEST_M_S`.
    """
    speed_m_s, cut_m_s = _settled(riding, grade_fraction), riding.cut_m_s
    other_w = riding.auxiliaries_w + riding.accessories_w
    if speed_m_s > cut_m_s * (1 + 1e-9):
        # The rider alone holds it: what is left for the motor is to help up to its cut-off speed after stops.
        starts_w, faster = start_j_per_m * cut_m_s, speed_m_s / cut_m_s
        return RoadStretch(
            speed_m_s, starts_w * faster, motor_input_w(riding, starts_w, cut_m_s) * faster + other_w, False
        )
    motor_w = _asked_w(riding, speed_m_s, grade_fraction, start_j_per_m)
    held_back = motor_w > 0.0 and not _gives(riding, motor_w, speed_m_s)
    if held_back:
        speed_m_s = _fastest(riding, speed_m_s, grade_fraction, start_j_per_m)
        motor_w = min(_asked_w(riding, speed_m_s, grade_fraction, start_j_per_m), _full_w(riding, speed_m_s))
    drawn_w = min(riding.most_w, motor_input_w(riding, motor_w, speed_m_s))
    return RoadStretch(speed_m_s, motor_w, drawn_w + other_w, held_back)


def rate(riding: Riding) -> Rate:
    """What a ride takes for each metre: level road, hills up and down, starts after stops spread over all of it."""
    slope, start_j = riding.hill_fraction, starts_j_per_m(riding)
    uphill, downhill = riding.climb_fraction / slope, riding.descent_fraction / slope
    level, up, down = (stretch(riding, grade, start_j) for grade in (0.0, slope, -slope))
    if riding.rise_fraction == 0.0 and up.j_per_m + down.j_per_m < 2 * level.j_per_m:
        # A motor that works better up and rests on the way down: hills are never counted as easier than level road, but
        # for a way that was really ridden and ends lower or higher than it began.
        uphill = downhill = 0.0
    pieces = ((1 - uphill - downhill, level), (uphill, up), (downhill, down))
    return Rate(
        sum([share * piece.j_per_m for share, piece in pieces]),
        sum([share / piece.speed_m_s for share, piece in pieces]),
        level,
        up,
    )


def starts_j_per_m(riding: Riding) -> float:
    """What getting up to speed after stops takes for each metre of the way, up to where the motor helps [J/m]."""
    speed_m_s = min(stretch(riding, 0.0).speed_m_s, riding.cut_m_s)
    return riding.stops_per_m * riding.braked_fraction * kinetic_j(riding.mass_kg, 0.0, speed_m_s)


def on_route(
    riding: Riding, length_m: float, grade_fraction: float, start_j_per_m: float | None = None
) -> tuple[float, float]:
    """One piece of a route: power that the controller takes from the packs, and how long.

    Parameters
        riding: as of `stretch`; its own hills do not count [-]
        length_m: of the piece, along the ground [m]
        grade_fraction: climb over the way along the ground, negative downhill [-]
        start_j_per_m: of `starts_j_per_m`, from who has it: it is the same on every piece [J/m]
    Returns
        power without accessories, which the circuit draws by itself [W], time [s]
    Valid
        as `stretch`; stops are spread evenly over the way.
    """
    if start_j_per_m is None:
        start_j_per_m = starts_j_per_m(riding)
    found = stretch(riding, grade_fraction, start_j_per_m)
    return found.battery_w - riding.accessories_w, length_m / found.speed_m_s


def motor_input_w(riding: Riding, motor_w: float, speed_m_s: float) -> float:
    """Power from the packs for a power of the motor at the wheel; below the least it helps a part of the time [W].

    The two losses of the drive, scaled so that it has its efficiency at 150 W and 25 km/h.
    """
    if motor_w <= 0.0:
        return 0.0
    least_w = figure("least motor power").likely
    if motor_w < least_w:
        return motor_w / least_w * motor_input_w(riding, least_w, speed_m_s)
    drive = riding.drive
    scale, turns_per_s = _scale(drive, riding.efficiency_fraction), _turns_per_s(drive, speed_m_s)
    input_w = two_loss_input_w(
        motor_w, turns_per_s, drive.friction_j, scale * drive.resistance_ohm, drive.emf_v_s, scale * drive.control_w
    )
    return input_w + (scale - 1) * drive.friction_j * turns_per_s


def _full_w(riding: Riding, speed_m_s: float) -> float:
    """What the motor gives at the wheel with all that the controller lets through [W]."""
    drive = riding.drive
    scale, turns_per_s = _scale(drive, riding.efficiency_fraction), _turns_per_s(drive, speed_m_s)
    return two_loss_shaft_w(
        riding.most_w - (scale - 1) * drive.friction_j * turns_per_s,
        turns_per_s,
        drive.friction_j,
        scale * drive.resistance_ohm,
        drive.emf_v_s,
        scale * drive.control_w,
    )


def _scale(drive: Drive, efficiency_fraction: float) -> float:
    """How much larger its losses are than those of its shape."""
    shape_w = two_loss_input_w(
        REFERENCE_W,
        REFERENCE_M_S / drive.wheel_m,
        drive.friction_j,
        drive.resistance_ohm,
        drive.emf_v_s,
        drive.control_w,
    )
    return (REFERENCE_W / efficiency_fraction - REFERENCE_W) / (shape_w - REFERENCE_W)


def _turns_per_s(drive: Drive, speed_m_s: float) -> float:
    return (REFERENCE_M_S if drive.geared else speed_m_s) / drive.wheel_m


def _force_j_per_m(riding: Riding, speed_m_s: float, grade_fraction: float) -> float:
    return resistance_j_per_m(
        speed_m_s,
        riding.mass_kg,
        riding.drag_area_m2,
        riding.rolling_factor,
        riding.air_kg_m3,
        riding.wind_m_s,
        grade_fraction,
    )


def _asked_w(riding: Riding, speed_m_s: float, grade_fraction: float, start_j_per_m: float) -> float:
    """What the motor has to give at the wheel [W]."""
    power_w = speed_m_s * (_force_j_per_m(riding, speed_m_s, grade_fraction) + start_j_per_m)
    if riding.assist_ratio:
        return max(0.0, power_w) * motor_share_fraction(riding.assist_ratio)
    return max(0.0, power_w - riding.rider_at_wheel_w)


def _gives(riding: Riding, asked_w: float, speed_m_s: float) -> bool:
    """Whether the motor, and a rider whom it follows, give so much at the wheel."""
    if riding.assist_ratio and asked_w > RIDER_MOST_W * riding.assist_ratio:
        return False
    return riding.most_w == inf or asked_w <= _full_w(riding, speed_m_s)


def _fastest(riding: Riding, wanted_m_s: float, grade_fraction: float, start_j_per_m: float) -> float:
    """The highest speed below the wanted one that drive and rider hold."""
    low_m_s, high_m_s = SLOWEST_M_S, wanted_m_s
    while high_m_s - low_m_s > NEAR_M_S:
        middle_m_s = (low_m_s + high_m_s) / 2
        if _gives(riding, _asked_w(riding, middle_m_s, grade_fraction, start_j_per_m), middle_m_s):
            low_m_s = middle_m_s
        else:
            high_m_s = middle_m_s
    return low_m_s


def _settled(riding: Riding, grade_fraction: float) -> float:
    """The wanted speed, or what is left of it where the motor no longer helps."""
    if riding.speed_m_s <= riding.cut_m_s:
        return riding.speed_m_s
    if riding.cut_m_s * _force_j_per_m(riding, riding.cut_m_s, grade_fraction) > riding.rider_at_wheel_w:
        return riding.cut_m_s
    alone_m_s = speed_at_power_m_s(
        riding.rider_at_wheel_w,
        riding.mass_kg,
        riding.drag_area_m2,
        riding.rolling_factor,
        riding.air_kg_m3,
        riding.wind_m_s,
        grade_fraction,
    )
    return min(riding.speed_m_s, alone_m_s)
