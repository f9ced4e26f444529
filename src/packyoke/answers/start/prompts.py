"""What is asked at the bike, in the order of a person who stands there, and how to look or to measure.

Fields without a row here are asked for with the words of the field table. How to measure is common practice.
"""

from __future__ import annotations

from typing import NamedTuple

TOPICS = ("label", "look", "tape", "settings", "meter")
"""Where an answer comes from, in the order in which a person goes round the bike. The maker is asked later."""
HEADS = {
    "label": "LABELS",
    "look": "LOOK AT THE BIKE",
    "tape": "TAPE MEASURE",
    "settings": "SETTINGS OF THE CONTROLLER  (display or app)",
    "meter": "VOLTMETER",
}


class Prompt(NamedTuple):
    """One question: what is asked, and how to find the answer."""

    ask: str
    how: str = ""
    example: str = ""


NAME = Prompt("What do you call this bike?", "It stands on every page.", "Mail bike 3")
COUNT = Prompt("How many packs does it carry at once?", "Plugged in together, or may be.")
ALIKE = Prompt("Are they the same model, with the same label?", "Maker's name, volts, Ah. Not sure: no.")
LABEL = Prompt("{part}: what is printed on it?", "Volts and Ah, as they stand there.", "48V 14Ah")
SAME = "One more of the same model?  Write  same as first."
CHARGER = Prompt(
    "{part}: what does the label of its charger say after OUTPUT?",
    "It is what the pack is really charged to.",
    "54.6V 4A",
)
JOINER = Prompt(
    "What joins the packs?",
    "plain (Y-lead, splitter), diode (Schottky), ideal-diode (electronics that block), selector (a switch), built in "
    "(the bike maker's second port).",
)
INLETS = Prompt("How many packs plug into one joiner?", "With 2 for more packs, joiners follow one another.", "2")
CONNECTORS = Prompt(
    "Which connectors join packs, leads and controller?",
    "Several families: write  differ.",
    "XT60",
)
PEAK = Prompt("{part}: for how many seconds may it give {peak} A?", "Beside the figure, in seconds.", "10")
FALLS = Prompt("controller: after how many seconds does it fall from {peak} A to less?", "In its settings.", "60")
TOWARDS = Prompt(
    "At each joint: are the hollow tubes (sockets) on the side of the packs, the solid prongs on the other?",
    "Live parts belong in sockets.",
)

PROMPTS: dict[str, Prompt] = {
    # labels
    "packs.chemistry": Prompt("{part}: which cells?", "On the label: NMC, NCA, LiFePO4, Li-ion ..."),
    "packs.capacity": Prompt("{part}: how many Ah?", "On its label; or its Wh divided by its volts.", "14 Ah"),
    "packs.discharge.continuous": Prompt(
        "{part}: how many amps may it give?",
        "Continuous, on its label or data sheet.",
        "25A continuous 50A peak",
    ),
    "packs.charge": Prompt("{part}: with how many amps may it be charged?", "On its label or data sheet.", "4 A"),
    "packs.series": Prompt("{part}: how many cells in series?", "Printed as 13S or 14S4P on many packs.", "13"),
    "controller.battery_current.limit": Prompt(
        "How many amps does the controller draw from the packs?",
        "On it or in its settings. Battery amps, not motor (phase) amps.",
        "20 A",
    ),
    "controller.voltage.max": Prompt(
        "How many volts does the controller take at most?",
        "On its label, said to be its limit; a bare 48 V is only its name.",
        "60 V",
    ),
    "joiners.current.continuous": Prompt("{part}: how many amps is it rated for?", "On its label, one path.", "40 A"),
    "joiners.ceiling": Prompt(
        "{part}: how many volts does it take at most?",
        "On its label, said to be its limit; a bare 48 V is only its name.",
        "75 V",
    ),
    "leads.gauge": Prompt("{part}: which wire?", "Printed along the jacket: AWG, or mm2 of copper.", "12 AWG"),
    "leads.insulation": Prompt(
        "{part}: what is the wire covered with?",
        "Soft and rubbery: silicone; stiff plastic: PVC; or the degrees printed on it: 105 degC.",
    ),
    "chargers.current": Prompt("{part}: how many amps does it give?", "After OUTPUT on its label.", "4 A"),
    "bike.drive.rated_power": Prompt("How many watts is the motor marked with?", "Continuous, on the motor.", "250 W"),
    # look
    "packs.condition": Prompt(
        "{part}: what do you see?",
        "Look for swelling, dents, water, an opened case. Nothing of that: sound.",
    ),
    "packs.fuse.fuse": Prompt(
        "{part}: is there a fuse at its outlet?",
        "In the lead or under a cap: write what is marked on it; no if you looked and there is none; inside if the "
        "maker says so.",
        "30A blade",
    ),
    "packs.fuse.family": Prompt("{part}, fuse: which kind?", "blade, strip, bolt, class T, 10x38, miniature ..."),
    "packs.fuse.voltage": Prompt("{part}, fuse: which volts are marked on it?", "The d.c. figure.", "58 V"),
    "packs.outlet": Prompt(
        "{part}: which connector does it feed through?",
        "Look at the metal: hollow tubes are a socket, solid prongs a pin.",
        "XT60 socket",
    ),
    "packs.bms.data": Prompt(
        "{part}: does it need a data link to give current?",
        "Unplug everything but plus and minus: is its outlet live or dead?",
    ),
    "packs.bms.charge_path": Prompt(
        "{part}: do charger and motor use the same two contacts?",
        "Same: common; a charge socket of its own: separate.",
    ),
    "joiners.mount": Prompt("{part}: where does it sit?", "frame metal (pressed onto it), open air, boxed, wrapped."),
    "bike.drive.type": Prompt(
        "What kind of motor?",
        "In the cranks: mid motor; in a wheel that turns freely backwards: geared hub; one that drags in steps: "
        "direct-drive hub.",
    ),
    "leads.ends": Prompt(
        "{part}: which connectors, at both ends?",
        "First the end towards the packs; hollow tubes are a socket, solid prongs a pin.",
        "[XT60 pin, XT60 socket]",
    ),
    "joiners.inlets": Prompt(
        "{part}: which connector do the packs plug into?", "Hollow tubes: socket; prongs: pin.", "XT60 pin"
    ),
    "joiners.outlet": Prompt(
        "{part}: which connector goes on to the controller?", "Hollow tubes: socket; prongs: pin.", "XT60 socket"
    ),
    "controller.inlet": Prompt(
        "Which connector is the controller fed through?", "Hollow tubes: socket; prongs: pin.", "XT60 pin"
    ),
    "chargers.plug": Prompt("{part}: which plug does it have?", "In your own words.", "5.5 mm barrel"),
    # tape
    "leads.length": Prompt("{part}: how long?", "From connector to connector.", "400 mm"),
    # settings
    "controller.low_voltage_cut": Prompt(
        "At how many volts does the controller stop drawing?", "Low-voltage or under-voltage.", "39 V"
    ),
    "controller.regen": Prompt("Does the controller brake into the packs?", "No, or its amps."),
    # meter
    "joiners.type": Prompt(
        "{part}: does it block?",
        "One pack plugged in, meter and 10 kohm across the other inlet; below 2 V: it blocks (diode or ideal-diode); "
        "near the voltage of the pack: plain.",
    ),
    "joiners.makes": Prompt(
        "{part}: turned slowly, does it touch both packs for a moment?",
        "Meter across two inputs while you turn it; touches both: before break; never: after break.",
    ),
    "packs.full_charge": Prompt(
        "{part}: how many volts does it show when the charger has just finished?", "Meter on plus and minus.", "54.6 V"
    ),
}

ORDER = {key: place for place, key in enumerate(PROMPTS)}
AT_THE_BIKE = {"packs.bms.data": "look", "packs.bms.charge_path": "look", "joiners.ceiling": "label"}
"""What the field table leaves to the maker and a person at the bike may see as well."""
NOT_ASKED = frozenset(("packs.resistance", "joiners.resistance", "joiners.forward_voltage", "bike.mass"))
"""Measured in a second round: the list of things to find out has them, with what passes."""
