"""The parts of a bike as frozen values: SI floats, None where it is not in the file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from packyoke.core.findings import Fixed, Span
from packyoke.core.paths import PartPath

NONE = "none"
SHOP, CUSTOMER = "shop", "customer"
OWNERS = (SHOP, CUSTOMER)
"""Whose a part is: what is the customer's is checked and never billed."""
FITTED = "fitted"
INSIDE = "inside, not confirmed"


class Gauge(NamedTuple):
    """A wire size: family `AWG`, `SAE` or `mm2`; AWG and SAE 1/0 is 0, 2/0 is -1, 3/0 is -2, 4/0 is -3."""

    family: str
    size: float

    def __str__(self) -> str:
        if self.family != "mm2" and self.size < 1:
            return f"{1 - self.size:g}/0 {self.family}"
        return f"{self.size:g} {self.family}"


class End(NamedTuple):
    """One end of a lead, an outlet or an inlet: the connector family and the metal of either pole.

    `plus` and `minus` are `pin`, `socket`, `genderless` or `joint`.
    """

    family: str
    plus: str
    minus: str

    def __str__(self) -> str:
        if self.plus == self.minus:
            return self.family if self.plus in ("genderless", "joint") else f"{self.family} {self.plus}"
        return f"{self.family} (plus {self.plus}, minus {self.minus})"


class Part(Fixed):
    """Whatever has a name and a place in the file. `spans` says where each given field stands."""

    name: str
    path: PartPath
    span: Span
    spans: Mapping[str, Span]

    def place(self, attr: str = "") -> Span:
        """Where a field stands, or where the part begins when the field was not written."""
        return self.spans.get(attr, self.span)


class Fuse(Part):
    """A fuse, or the place where one belongs: `presence` is fitted, none, inside (not confirmed), or not known."""

    presence: str | None = None
    family: str | None = None
    rating_a: float | None = None
    voltage_v: float | None = None
    dc: bool | None = None
    breaking_a: float | None = None
    sealed: bool = False
    at_m: float = 0.0
    owner: str | None = None


class Pack(Part):
    """A battery with its own protection circuit and one outlet."""

    label_v: float | None = None
    label: str = ""
    chemistry: str | None = None
    series: int | None = None
    full_charge_v: float | None = None
    charger_label_v: float | None = None
    cut_off_v: float | None = None
    capacity_coulomb: float | None = None
    tested_capacity_coulomb: float | None = None
    cells: str | None = None
    resistance_ohm: float | None = None
    discharge_continuous_a: float | None = None
    discharge_peak_a: float | None = None
    discharge_peak_s: float | None = None
    charge_a: float | None = None
    charges_at_outlet: bool = True
    charge_inlet: End | None = None
    mass_kg: float | None = None
    rack: str | None = None
    outlet: End | None = None
    fuse: Fuse
    charge_path: str | None = None
    data: str | None = None
    wired_data: str = NONE
    wakes: str | None = None
    condition: str | None = None
    place_name: str | None = None
    replaced: str | None = None
    owner: str | None = None


class ChargePort(Part):
    """A socket on a joiner that was made to charge the packs behind it."""

    current_a: float | None = None
    blocks: str | None = None
    reaches: tuple[str, ...] | None = None
    inlet: End | None = None


class BuiltIn(Part):
    """What the bike maker states about a joiner and its wire inside the bike; None where nobody asked yet."""

    packs_count: int | None = None
    full_charge_v: float | None = None
    current_a: float | None = None


class Bonded(NamedTuple):
    """Packs of one model and age that are parted only with a tool and joined within `by_v`."""

    by_v: float
    charged: str


class Joiner(Part):
    """The part that joins pack leads into one lead towards the controller.

    `tested`: every inlet in use was found to block, by a reading.
    """

    type: str | None = None
    inputs: int = 2
    ceiling_v: float | None = None
    marked_v: float | None = None
    current_continuous_a: float | None = None
    current_peak_a: float | None = None
    current_peak_s: float | None = None
    resistance_ohm: float | None = None
    forward_v: float | None = None
    blocks_in: str | None = None
    makes: str | None = None
    inlets: tuple[End | None, ...]
    outlets: tuple[End | None, ...]
    mount: str | None = None
    body_limit_k: float = 358.15
    charge_port: ChargePort | None = None
    built_in: BuiltIn | None = None
    bonded: Bonded | None = None
    place_name: str | None = None
    replaced: str | None = None
    tested: bool = False
    owner: str | None = None

    @property
    def blocking(self) -> bool | None:
        """Whether no current can flow from one input back into another; None while the type is not known."""
        if self.type in (None, "unknown"):
            return None
        return self.type in ("diode", "ideal-diode")


class Switch(Part):
    """A switch in a lead; `isolates_only` when it must not be opened under load."""

    rating_a: float | None = None
    breaks_v: float | None = None
    dc: bool | None = None
    isolates_only: bool = False


class Run(NamedTuple):
    """How a lead is laid. `beside` counts other leads, `beside_leads` names leads of this file."""

    in_frame: bool = False
    moving: bool = False
    beside: int = 0
    beside_leads: tuple[str, ...] = ()

    @property
    def said(self) -> tuple[str, ...]:
        """The words of the file, one for each thing; none of a lead in the open."""
        flags = tuple(word for word, is_so in (("in frame", self.in_frame), ("moving", self.moving)) if is_so)
        others = (f"beside {self.beside} other{'s' if self.beside > 1 else ''}",) if self.beside else ()
        return (*flags, *others, *(f"beside {name}" for name in self.beside_leads))

    def __str__(self) -> str:
        return self.listed(self.said)

    def listed(self, said: Sequence[str]) -> str:
        """Its words as the file has them, a list where there are several or a lead is named."""
        if len(said) > 1 or self.beside_leads:
            return f"[{', '.join(said)}]"
        return said[0] if said else "open"


OPEN_RUN = Run()


class Lead(Part):
    """A two-conductor cable, from source to load. `direct`: outlet straight into inlet, no cable.

    `measured_ohm`: the resistance of both conductors with their contacts, where somebody measured it.
    """

    source: str
    target: str
    inlet: int | None = None
    direct: bool = False
    length_m: float | None = None
    gauge: Gauge | None = None
    insulation: str | None = None
    run: Run = OPEN_RUN
    splices: int = 0
    ends: tuple[End | None, End | None] = (None, None)
    fuse: Fuse
    switch: Switch | None = None
    replaced: str | None = None
    measured_ohm: float | None = None
    owner: str | None = None


class Controller(Part):
    """The motor controller, battery side. `regen_a` is 0 when it does not brake into the packs.

    `falls_to_a` is what its current falls to after a time. It does not brake in air below `regen_not_below_k`, nor
    above `regen_stops_at_v`.
    """

    voltage_min_v: float = 0.0
    voltage_max_v: float | None = None
    limit_a: float | None = None
    falls_to_a: float | None = None
    falls_after_s: float | None = None
    adjustable_a: float | None = None
    power_limit_w: float | None = None
    low_voltage_cut_v: float | None = None
    regen_a: float | None = None
    regen_not_below_k: float | None = None
    regen_stops_at_v: float | None = None
    inlet: End | None = None
    capacitance_f: float | None = None
    precharge: str = NONE
    switched_by: str = "display"
    place_name: str | None = None
    owner: str | None = None


class Accessory(Part):
    """A lamp, a voltage converter, a horn: fed from packs, joiners or leads."""

    sources: tuple[str, ...]
    max_v: float | None = None
    current_a: float | None = None
    standby_a: float | None = None
    fuse: Fuse
    gauge: Gauge | None = None
    owner: str | None = None


class Charger(Part):
    """A charger; `fits` is None when the file leaves it to the voltages."""

    output_v: float | None = None
    current_a: float | None = None
    plug: str | None = None
    fits: tuple[str, ...] | None = None
    through: str | None = None
    y_lead: tuple[str, ...] = ()
    mains_power_w: float | None = None
    owner: str | None = None


class ConnectorPart(Part):
    """A connector the shelf does not know, or knows otherwise, as the file describes it."""

    per_contact_a: float | None = None
    contacts_each_pole: int = 1
    contact_resistance_ohm: float | None = None
    contacts: str | None = None
    ceiling_v: float | None = None
    wire: tuple[Gauge, Gauge] | None = None
    mates: tuple[str, ...] = ()


class Rack(Part):
    """A carrier with the mass that is stamped on it and what it carries besides packs."""

    limit_kg: float | None = None
    load_kg: float = 0.0


class Bike(Part):
    """The bike without packs."""

    mass_kg: float | None = None
    drive_type: str | None = None
    assist_limit_m_s: float | None = None
    rated_power_w: float | None = None
    throttle: str = NONE
    no_load_speed_m_s: float | None = None
    no_load_at_v: float | None = None


class Place(Part):
    """A spot on the bike, for planning: how many joiners fit there and what takes their heat."""

    holds: int = 1
    mount: str | None = None
    rack: str | None = None


class RunBetween(Part):
    """A tape-measured way for a lead between two places."""

    between: tuple[str, str]
    length_m: float
    run: Run = OPEN_RUN


class KnownRide(Part):
    """A ride that was really ridden: how far these packs went from one state of charge to another, full at 1.

    `gpx` is the track that was ridden, `hills_fraction` its climb and `rise_fraction` by how much its end lies higher,
    for each metre; without them it had the hills of its ride.
    """

    packs: tuple[str, ...]
    from_fraction: float
    to_fraction: float
    distance_m: float
    air_k: float | None = None
    gpx: str | None = None
    hills_fraction: float | None = None
    rise_fraction: float = 0.0


class Ride(Part):
    """How the bike is ridden, for the range; `known` is what was really ridden in this way.

    A ride is there and back: `hills_fraction` of a track is its climb that way, `rise_fraction` by how much its end
    lies higher than its start, for each metre.
    """

    rider_kg: float | None = None
    load_kg: float | None = None
    speed_m_s: float | None = None
    hills_fraction: float | None = None
    gpx: str | None = None
    rise_fraction: float = 0.0
    wind_m_s: float | None = None
    stops_per_m: float | None = None
    assist: str | None = None
    rider_w: float | None = None
    assist_ratio: float | None = None
    position: str | None = None
    surface: str | None = None
    air_k: float | None = None
    measured_j_per_m: float | None = None
    known: tuple[KnownRide, ...] = ()

    @property
    def tracks(self) -> tuple[str, ...]:
        """The files of the tracks that it names."""
        return tuple(each for each in (self.gpx, *(known.gpx for known in self.known)) if each)


class Measured(Part):
    """One reading taken at the finished build; `value` is SI, or yes/no as 1/0.

    `inlet`: which inlet of a joiner, by the lead that is plugged into it, or by its number where there is none.
    """

    date: str
    part: PartPath
    inlet: str | None = None
    what: str
    value: float
    at_a: float | None = None


class Acceptance(Part):
    """A caution that was accepted knowingly, by whom and until when; `found` as written, with its unit."""

    rule: str
    part: PartPath
    found: float
    found_unit: str
    because: str
    by: str
    until: str
