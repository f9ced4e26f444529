"""What every customer's sheet says in the same words, and words for what the build file calls otherwise."""

from __future__ import annotations

NUMBERS = {1: "One", 2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six", 7: "Seven", 8: "Eight"}

JOINERS = {"ideal-diode": "one-way", "diode": "one-way", "plain": "straight", "selector": "switch"}

FIELDS = {
    "gauge": "wire size",
    "cut_off": "cut-off",
    "low_voltage_cut": "low-voltage cut",
    "bms.wakes": "what wakes it",
}

COPIED = "copied, not looked at"
"""How the reader marks a condition that was taken over from another pack."""

TAKE = "Plan with the big figure, there and back. Take the first row from below that is more than your way."
RANGE_BASIS = "One scale for all bars. Packs full; cold, headwind, age take more. Estimate, not a promise."
NOT_KNOWN, TOO_WEAK = "not known", "not enough power"
NO_RANGE = "How far it goes is not worked out: ask us, and until then find out by short rides."
HILLS = ((0.002, "flat"), (0.0065, "gentle hills"), (0.011, "hills"), (1.0, "steep hills"))
"""How much of a way goes uphill (5 m a km is usual in gentle country, judgement), in a rider's words."""

GOING_DOWN = "The fullest supplies first; the others join in as it comes down to them."
UNEVEN = "Charged full, all work at once, now one harder and now another: one may be empty well before the others."
WAITING = "The fullest pack works alone until the others are level with it. One that seems idle is waiting its turn."
SELECTOR = "One pack works at a time. When it is empty, stop, turn the switch to the next one and ride on."
PLAIN = "These packs are joined straight: plug them together only when all are charged full. In doubt, call us first."

SWITCH_OFF = "Switch off. Push each plug home, {order}. Switch on. Never plug while riding."
ANY_ORDER, SHOWN_ORDER = "in any order", "in the order that we showed you"
STAY = "The packs stay on the bike and joined: switch on to ride, off to park. Never plug while riding."
SPARK = "The first plug may spark a little: push it home in one go."
LIVE = "The wiring is live while any pack is in: cap the empty plug."
LIVE_ONE = "Cap the plug when the pack is out."
DROPS_OUT = (
    "One drops out: ride on gently. All power gone: switch off, unplug all, look at the plugs, go on with one pack."
)
DROPS_SWITCHED = (
    "It stops: turn the switch to the next pack, go on gently. All power gone: switch off, unplug all, look at the "
    "plugs, go on with one pack."
)
GONE_JOINED = "All power gone: stop, switch off, look at plugs and wires but part none, try once more, then call us."
GONE = "All power gone: stop, switch off, unplug, look at the plug, try once more."
IN_ORDER = ("load", "dead bus")
"""Ways to wake that say which pack is plugged in before which."""
WAKES = {
    "load": "Plugs in after it was woken, before the others: {packs}.",
    "button": "Press the button before the ride: {packs}.",
    "key": "Turn the key before the ride: {packs}.",
    "charger": "Sleeps until it was on its charger: {packs}.",
    "dead bus": "Goes in first, before the others: {packs}.",
}

NO_CHARGER = "No charger belongs to this bike yet: ask us which one fits."
CHARGED_AS_ONE = "Packs that are joined for good count as one pack here: they are never parted to be charged."
INDOORS = "Charge indoors, when the pack has warmed up: never below {least} °C."
NOT_FULL = ", then {part} charged and not full: it goes less far"
BY_ITSELF, TOGETHER = "Each pack by itself, its", "Their"
CHARGING = (
    "{how} own charger only, somebody there, awake, {least} to 40 °C, dry, not in your way out. Never one that "
    "fell, got soaked, hurt or hot. A month unused: half full, cool, dry."
)

STOP = (
    "Hot: a plug too hot to hold, smelling or browned; a wire or joiner too hot to touch.",
    "Pack: it swells, smells, hisses or stays hot.",
    "Cuts out uphill more than once.",
    "Fell or soaked: no riding, no charging before we saw it.",
    "Smoke or flames: go away, warn others, call the fire brigade.",
)
NEVER = "add or swap a pack, lead, adapter or charger; wrap the joiners; open a pack; cut a cable."
NEVER_NO_JOINERS = "add or swap a pack, lead, adapter or charger; open a pack; cut a cable."
NOTHING_TOLD = "Nothing to agree on: the check found no caution."

SIGNATURES = ("Read and agreed: customer, day", "Handed over: for the shop, day")
CAUTIONS = (
    "Lithium packs can burn, high current arcs, and voltages shock. This is advice: the makers' instructions, local "
    "rules and a qualified person decide. Adding a pack, joiner or charger is usually outside the bike maker's "
    "instructions and may end certification, warranty and insurance."
)
