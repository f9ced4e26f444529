"""What every customer's sheet says in the same words, and words for what the build file calls otherwise."""

from __future__ import annotations

NUMBERS = {1: "One", 2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six", 7: "Seven", 8: "Eight"}

JOINERS = {"ideal-diode": "joins, blocks", "diode": "joins, blocks", "plain": "joins", "selector": "switch"}

FIELDS = {
    "gauge": "wire size",
    "cut_off": "cut-off",
    "low_voltage_cut": "low-voltage cut",
    "bms.wakes": "what wakes it",
}

COPIED = "copied, not looked at"
"""How the reader marks a condition that was taken over from another pack."""

TAKE = "Take the fewest packs whose “count on” figure is more than your way, there and back."
RANGE_BASIS = "Estimate, not a promise: packs full. Cold, headwind, soft tyres, haste and age take more."
NOT_KNOWN, TOO_WEAK = "not known", "not enough power"
NO_RANGE = "How far it goes is not worked out: ask us, and until then find out by short rides."

GOING_DOWN = "The fullest works first; the others join in as it comes down to them."
WAITING = (
    "The fullest works alone until the others are level with it: a pack that seems idle is waiting. The gauge may jump "
    "when one joins in. Both are normal."
)
SELECTOR = "One pack works at a time. When it is empty, stop, turn the switch to the next one and ride on."
PLAIN = "These packs are joined straight: plug them together only when all are charged full. In doubt, call us first."

SWITCH_OFF = "Switch off before you plug or unplug, never under way. Push each plug home, {order}; then switch on."
ANY_ORDER, SHOWN_ORDER = "in any order", "in the order that we showed you"
SPARK = "The first plug may spark a little: push it home in one go."
LIVE = "The wiring stays live while any pack is in: cap the plug that you leave empty."
LIVE_ONE = "Cap the plug when the pack is out."
DROPS_OUT = (
    "One drops out: ride on gently with the others. All power gone: stop, switch off, unplug all, look at the plugs, "
    "go on gently with one pack."
)
DROPS_SWITCHED = (
    "It stops: stop, turn the switch to the next pack and go on gently. All power gone: switch off, unplug all, look "
    "at the plugs, go on gently with one pack."
)
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
INDOORS = "Charge indoors only, when the pack has warmed up: never colder than 0 °C."
CHARGING = (
    "Each pack by itself, with its own charger only, while somebody is there and awake; between 0 and 40 °C, dry, not "
    "in your way out.",
    "Never a pack that fell, got soaked, is hurt or hot. A month unused: leave it half full, cool and dry.",
)

STOP = (
    "a plug is too hot to hold, smells or has browned; a wire or joiner is too hot to touch;",
    "a pack swells, smells, hisses or stays hot; the bike cuts out uphill more than once;",
    "it fell or got soaked: no riding, no charging before we have looked at it.",
    "Smoke or flames: go away from it, warn others, call the fire brigade.",
)
DO_NOT = (
    "add or swap a pack, lead, adapter or charger without asking: all limits here are for these parts only;",
    "wrap or box in the joiners, they get warm; open a pack; cut a cable.",
)
NO_JOINERS = (DO_NOT[0], "open a pack; cut a cable.")

SIGNATURES = ("Read and agreed: customer, day", "Handed over: for the shop, day")
CAUTIONS = (
    "Lithium packs can burn, high current arcs, and voltages shock. This is advice: the makers' instructions, local "
    "rules and a qualified person decide. Adding a pack, joiner or charger is usually outside the bike maker's "
    "instructions and may end certification, warranty and insurance."
)
