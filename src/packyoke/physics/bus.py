"""What happens on the conductors at the controller: plugging in, braking, coasting down a hill."""

from __future__ import annotations


def inrush_peak_a(bus_v: float, resistance_ohm: float) -> float:
    """Current at the moment when a pack meets the empty capacitors of a controller.

        I = V/R

    Parameters
        bus_v: pack voltage [V]
        resistance_ohm: pack, leads, contacts and capacitors, or the pre-charge resistor [ohm]
    Returns
        peak current [A]
    Valid
        inductance of the leads left out: the true peak is lower.
    Raises
        ValueError: resistance not above zero.
    Reference
        Ohm's law; 54.6 V and 0.15 ohm: 364 A.

    >>> f"{inrush_peak_a(54.6, 0.15):.0f} A"
    '364 A'
    """
    if not resistance_ohm > 0.0:
        raise ValueError("resistance must be above 0")
    return bus_v / resistance_ohm


def inrush_energy_j(bus_v: float, capacitance_farad: float) -> float:
    """Energy that ends up in the capacitors of a controller, and once more as heat in whatever limits the current.

        W = C V^2/2

    Parameters
        bus_v: pack voltage [V]
        capacitance_farad: capacitance of the controller [F]
    Returns
        energy [J]
    Valid
        capacitors empty before.
    Raises
        ValueError: capacitance below zero.
    Reference
        energy of a capacitor; 1000 uF at 54.6 V: 1.491 J.

    >>> f"{inrush_energy_j(54.6, 1e-3):.3f} J"
    '1.491 J'
    """
    if not capacitance_farad >= 0.0:
        raise ValueError("capacitance cannot be below 0")
    return 0.5 * capacitance_farad * bus_v**2


def regen_voltage_rise_time_s(capacitance_farad: float, from_v: float, to_v: float, current_a: float) -> float:
    """How long braking current takes to lift the bus when no pack can accept it.

        t = C (V2 - V1)/I

    Parameters
        capacitance_farad: capacitance of the controller [F]
        from_v: voltage at the start [V]
        to_v: voltage that must not be passed [V]
        current_a: braking current into the bus [A]
    Returns
        time [s]
    Valid
        constant current, nothing else draws from the bus.
    Raises
        ValueError: current not above zero, capacitance below zero, end below start.
    Reference
        charge of a capacitor; 10 A into 1000 uF from 54.6 to 63 V: 0.84 ms.

    >>> f"{regen_voltage_rise_time_s(1e-3, 54.6, 63.0, 10.0) * 1e3:.2f} ms"
    '0.84 ms'
    """
    if not (current_a > 0.0 and capacitance_farad >= 0.0):
        raise ValueError("current must be above 0 and capacitance not below 0")
    if not to_v >= from_v:
        raise ValueError("braking does not lower the bus voltage")
    return capacitance_farad * (to_v - from_v) / current_a


def back_emf_bus_v(no_load_speed_m_s: float, at_v: float, speed_m_s: float) -> float:
    """Voltage to which a direct-drive hub lifts the bus when it is driven by the road.

        V = V0 v/v0

    Parameters
        no_load_speed_m_s: road speed of the free-running wheel at a voltage [m/s]
        at_v: that voltage [V]
        speed_m_s: road speed [m/s]
    Returns
        rectified voltage [V]
    Valid
        motors that always turn with the wheel; freewheeled hubs and mid motors give nothing.
    Raises
        ValueError: no-load speed or its voltage not above zero, speed below zero.
    Reference
        proportionality of speed and back-e.m.f.; 42 km/h at 50 V means 71 V at 60 km/h.

    >>> f"{back_emf_bus_v(42 / 3.6, 50.0, 60 / 3.6):.0f} V"
    '71 V'
    """
    if not (no_load_speed_m_s > 0.0 and at_v > 0.0):
        raise ValueError("no-load speed and its voltage must be above 0")
    if not speed_m_s >= 0.0:
        raise ValueError("speed cannot be below 0")
    return at_v * speed_m_s / no_load_speed_m_s
