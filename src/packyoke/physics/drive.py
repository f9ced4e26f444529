"""Motor and controller as two losses: what turns takes a torque, what pulls takes its current squared."""

from __future__ import annotations

import math


def two_loss_input_w(
    shaft_w: float,
    shaft_speed_per_s: float,
    friction_j: float,
    resistance_ohm: float,
    emf_v_s: float,
    control_w: float,
) -> float:
    """Battery power that a motor takes for a power at its shaft.

        P_in = P + T_f w + R ((T + T_f)/k)^2 + P_ctrl, T = P/w

    Parameters
        shaft_w: power at the shaft [W]
        shaft_speed_per_s: angular speed of the shaft, in radians a second [1/s]
        friction_j: friction torque, the work that it takes for each radian [J]
        resistance_ohm: of winding and controller [ohm]
        emf_v_s: motor constant, volts for a radian a second and torque for an ampere [V s]
        control_w: what the controller takes by itself [W]
    Returns
        power from the battery [W]
    Valid
        a motor that pulls, below its voltage limit; the constants stay the same when it warms up.
    Raises
        ValueError: a speed or motor constant not above zero, a negative power or loss.
    Reference
        energy balance of a permanent-magnet motor with constant friction torque, own.

    >>> f"{150 / two_loss_input_w(150.0, 25 / 3.6 / 0.34, 0.9, 0.33, 1.2, 4.0):.3f}"
    '0.798'
    """
    if not shaft_speed_per_s > 0.0 or not emf_v_s > 0.0:
        raise ValueError("speed and motor constant are above 0")
    if min(shaft_w, friction_j, resistance_ohm, control_w) < 0.0:
        raise ValueError("power and losses are not below 0")
    current_a = (shaft_w / shaft_speed_per_s + friction_j) / emf_v_s
    return shaft_w + friction_j * shaft_speed_per_s + resistance_ohm * current_a * current_a + control_w


def two_loss_shaft_w(
    input_w: float,
    shaft_speed_per_s: float,
    friction_j: float,
    resistance_ohm: float,
    emf_v_s: float,
    control_w: float,
) -> float:
    """Power at the shaft that a power from the battery gives: `two_loss_input_w` turned round.

        P = w (k I - T_f), w k I + R I^2 = P_in - P_ctrl

    Parameters
        input_w: power from the battery [W]
        shaft_speed_per_s: angular speed of the shaft, in radians a second [1/s]
        friction_j: friction torque, the work that it takes for each radian [J]
        resistance_ohm: of winding and controller [ohm]
        emf_v_s: motor constant, volts for a radian a second and torque for an ampere [V s]
        control_w: what the controller takes by itself [W]
    Returns
        power at the shaft; 0 where it does not overcome its own losses [W]
    Valid
        as `two_loss_input_w`.
    Raises
        ValueError: a speed or motor constant not above zero, a negative loss.
    Reference
        as `two_loss_input_w`.

    >>> round(two_loss_shaft_w(188.0, 25 / 3.6 / 0.34, 0.9, 0.33, 1.2, 4.0))
    150
    """
    if not shaft_speed_per_s > 0.0 or not emf_v_s > 0.0:
        raise ValueError("speed and motor constant are above 0")
    if min(friction_j, resistance_ohm, control_w) < 0.0:
        raise ValueError("losses are not below 0")
    left_w = input_w - control_w
    if left_w <= 0.0:
        return 0.0
    back_v = shaft_speed_per_s * emf_v_s
    # R I^2 + w k I = left, in the form that stays exact for a small resistance.
    current_a = 2.0 * left_w / (back_v + math.sqrt(back_v * back_v + 4.0 * resistance_ohm * left_w))
    return max(0.0, shaft_speed_per_s * (emf_v_s * current_a - friction_j))


def motor_share_fraction(assist_factor: float) -> float:
    """The motor's part of the power at the wheel when it gives a multiple of the rider's.

        R = F/(1 + F)

    Parameters
        assist_factor: motor power over rider power [-]
    Returns
        share of the motor [-]
    Valid
        as long as the motor follows the rider.
    Raises
        ValueError: a negative factor.
    Reference
        Fuchs 2005, Human Power eJournal, article 9.

    >>> round(motor_share_fraction(2.0), 4)
    0.6667
    """
    if assist_factor < 0.0:
        raise ValueError("an assist factor is not below 0")
    return assist_factor / (1.0 + assist_factor)
