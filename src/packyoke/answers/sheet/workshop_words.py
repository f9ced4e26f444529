"""What every work sheet says in the same words: the safety steps of the trade, and how each test is done.

Where nothing else is said this is common practice, without a source.
"""

from __future__ import annotations

SHOCK_V = 60.0
"""Above this a d.c. voltage shocks a dry hand; a wet one below it."""

FIRST = (
    "For somebody who has learned to work on packs of this voltage. Where local rules ask for a licence, by somebody "
    "who holds it. The makers' instructions come before this sheet; where they differ, stop and ask.",
    "All packs off the bike and apart before anything is cut or joined. One conductor at a time, never both.",
    "What you find is not as drawn here: stop. This sheet holds for these parts only.",
    "Every box is ticked, every reading written down. A reading outside what is expected: packs out, find out why, do "
    "that test again. What is not tested has not passed.",
)
SHOCK = (
    "{volts} when full: more than 60 V d.c. shocks. Insulated tools and gloves made for it, one hand where you can, a "
    "second person near."
)

NAMES = ("Long names are said by these signs: in the drawing, in all tables and on the labels.",)

PREPARE = (
    "Switch off. Take all packs off and apart, out of reach of the bench, on something that does not burn; cap their "
    "outlets.",
    "Press the on switch once more to empty the controller. Measure at every open plug of the bike: below 2 V. "
    "Unplugging one pack leaves the harness live from the others: that is why all come off.",
    "Rings and watch off, glasses on, insulated tools; a clear way out; what you need against fire at hand.",
    "Look at each pack: not swollen, dented, wet, hot or smelling. Measure its outlet and write it down in the table "
    "above; wake it first if it sleeps (button, key, load, charger). Outside cut-off to full: do not use it, ask.",
    "Hold every part against the list of parts and what is printed on it: wire size and insulation, fuse amps and "
    "volts d.c., the highest voltage of joiners and of the controller.",
)

JOINERS = (
    "Put each joiner where the list says: metal body flat on metal of the frame, or with air on all sides, vents free, "
    "cable entries down. Never in foam, tape, a bag or a closed box: nothing is wrapped closed. It gets warm.",
)

CUT_FIRST = "One unbroken length of fine-stranded wire for each conductor, plus and minus alike; no splices."
MAKE = (
    "Cut and mark both ends of both conductors before the next lead is cut: lead, end, plus or minus.",
    "One lead at a time, one conductor at a time: bare it, join it, insulate it before the other one is bared. Slide "
    "shrink tube on first.",
    "Plus goes to the contact marked +, minus to the one marked −: by the mark on the connector body first, by meter "
    "after. The colour of the wire proves nothing.",
)
SOLDER = (
    "Solder cups: tin the cup and the strands, with the mating half plugged in and connected to nothing, so that the "
    "contacts do not shift. Tin is for solder cups only."
)
CRIMP = "Crimps and screws: bare strands, never tinned; the maker's own tool for this contact and this wire."
OTHER_JOINTS = "Where it says “as its maker says”: by the instructions of the connector's maker."
INSULATE = (
    "Insulate each contact by itself, then the pair. Pull at each conductor, as hard as a dropped bag would: nothing "
    "moves."
)
FRAME = (
    "Through the frame ({leads}): make the first end, beep through both conductors on the bench, pull the lead in, "
    "then make its second end at the bike and beep through again. No plug is forced through a hole."
)
AFTER_PULLING = "once it is pulled in"
BARE = (
    "Bare lengths are judgement, the depth of the usual cup or barrel: hold the wire beside the contact first. No "
    "strand cut, none outside."
)
HOLDER = (
    "Fuse holders: in the plus, at the end where the current comes from; there alone the plus is cut once more. The "
    "fuses go in for test 1, not before."
)
SEALED = "{packs}: the fuse is inside and sealed, not to be opened. The label counts."

LAY = (
    "Fit the leads from the controller back to the packs, in the order of the table. No plug is pushed home yet: all "
    "stay open and capped until tests 1 and 2 say so.",
    "Strain relief at every connector: the cable is held, not the contacts. A clamp at least every 450 mm and near "
    "each end; grommets where it passes metal; no sharp edge, chain, spoke or brake near it.",
    "A drip loop before every connector and joiner: the cable comes from below, so that water runs off it.",
    "Turn the handlebar and work the suspension and the stand from end to end: nothing pulls, nothing is pinched.",
)
MOVING = "Where a lead moves ({leads}): a loose loop that bends, no joint in it, no clamp at the bend."

POLARITY = (
    "Nothing plugged in, no pack; fuses in their holders. First look at the marks on both connector bodies, then beep "
    "through the lead from contact to contact.",
)
LIVE = (
    "Fuses in, one pack in. From the packs towards the controller each far end is measured while it is still open, and "
    "plugged in further only when it is right. Each reads what the pack itself reads at its outlet, less the 0.4 to "
    "0.6 V of each diode on the way. Meter on volts d.c., its red wire on the contact marked +. A minus "
    "sign: wrong way round, take the pack out.",
)
JOINER_TEST = (
    "One pack in, all others out, the controller and all accessories unplugged. First see the whole voltage of the "
    "pack at the outlet of the joiner, and wake the pack if it sleeps: one that sleeps, and a loose plug, read as if "
    "the joiner blocked. Then a resistor of 10 kohm across the inlet that is tested, and the meter across the "
    "resistor: a bare meter shows a voltage where there is none.",
)
JOINER_NOTES = (
    "Blocks: below 2 V. From 80 % of the pack's voltage on it is plain, or has failed short. Between the two it leaks. "
    "A joiner that should block and does not is not used: fit another one and test that.",
    "Blocking parts fail without a sign. This test is done again at each service.",
)
DEAD = (
    "The same way, with 10 kohm, all other packs, controller and accessories unplugged, the pack awake. Dead means "
    "below 2 V.",
)
TOGETHER = (
    "Controller in, driven wheel off the ground or held on a stand. Voltage at the controller's plug, or on its "
    "display where there is no plug, without load; then run it gently; nothing smells, nothing gets hot. A clamp "
    "meter on the pack leads shows who gives.",
)
FULLEST, OWN = "as the fullest", "each its own pack's"
SWITCHED, BETWEEN = "that of the one switched on", "between theirs"
BLOCKS_NOTE = "Behind blocking joiners the fullest pack gives all the current until it is level with the next."
PLAIN_NOTE = (
    "{joiners}: plain. Before packs meet there, measure them; packyoke meter says whether they may be plugged in "
    "together."
)
SELECTOR_NOTE = "{joiners}: one pack at a time, as switched."
BOND = (
    "Before {packs} meet at {joiner}: measure both at rest, and join them only when they stand within {within} of each "
    "other. From here on they stay together: one pack in every test, and in every charge."
)
DIODE_NOTE = "Each diode on the way takes 0.4 to 0.6 V off."
OWN_READING = "as the pack ({span})"
SPARK = (
    "The controller's plug sparks when it is pushed home. Fill its capacitors first through a resistor of 100 ohm, or "
    "by a plug that has one inside."
)
DROP = (
    "One pack in at a time, {amps} drawn: an electronic load at the controller's plug where there is one, or the "
    "driven wheel on a braked roller. Meter on mV d.c. with its own two wires: from plus to plus along the part, then "
    "from minus to minus; write down the sum. Through the backs of the plugs, never into the front of a live one.",
)
DROP_NOTES = (
    "A lead with the contacts at both its ends, from behind one plug to behind the other; a joiner inside its plugs. "
    "Where the back of a plug cannot be reached, the reading is less by that contact.",
    "At another current it is in proportion. More: cold joints, loose crimps, a wire thinner than marked; feel along "
    "the way, mend, measure again. Less: not the whole way, or one conductor only.",
)
FUSE_DROP = (
    "Fuses and their holders are not in these figures: measure before and behind one, or take off what it drops by "
    "itself."
)
DIODE_DROP = "The drop of a diode hardly changes with the current."
BONDED_DROP = (
    "Of packs that are joined for good each lead carries its part: clamp the current of that lead and take the figure "
    "in proportion."
)
DEAD_GATE = "An ideal diode with more than {volts} at {amps} or more conducts beside its switch: fit another one."
IDLE = (
    "Controller off. Fill its capacitors through 100 ohm first; then one pack in through a short adapter whose plus "
    "goes through the meter on its 10 A range. To change to mA bridge the meter with a wire, so that the current "
    "never stops. Never press the on switch while the meter is on mA.",
)
OWN_DRAW = "what joiners, controller and display take (not in the file)"
OF_ITS_ROW = "What its row says, with all that it feeds at work,"
WARM = (
    "{amps} for ten minutes with one pack in, then measure; do not touch. Air of the workshop: ________ °C.",
    "Plugs: at most 30 K above the air (common practice) and 60 °C outside. Wires: at most 60 °C outside. More than "
    "that, or a joiner at the limit of its body: stop at once.",
)
CHARGERS = (
    "Each charger by itself first, then on each of its packs while you stay near. Plus and minus at its plug by meter.",
)
SETTINGS = ("Read it back after writing. A current that the rider can set higher undoes the check.",)

NO_PARTS = "Nothing to buy: no lead is to be made."
PARTS = "To buy or to take from the shelf for this bike: the leads with all that is in them, and parts of the shelf."
TO_ACCEPT = "because\u00a0____________ by\u00a0____________ until\u00a0____________"
ACCEPTED = "Cautions are accepted knowingly, by whoever may, or mended. An empty line is not an acceptance."
NOTHING_FOUND = "Nothing to accept: the check found no caution."
ASSUMED = ("Not in the file. Measure it while the bike is on the bench, and write it there.",)

GIVEN, PLANNED = "in the file", "planned"
LAST = (
    "All packs off again, or all in and switched off; caps on every open plug; labels on.",
    "Put the readings into a copy of the file (packyoke meter --record, or by hand under “measured”), and check it.",
    "Ride it gently near the shop, with each set of packs that will be used; feel the plugs again.",
    "Print the customer's page (packyoke sheet --for customer) and go through it together.",
)
SIGNATURES = ("Built by: name, day", "Looked over by somebody else: name, day", "Handed over by: name, day")
CAUTIONS = (
    "Lithium packs can burn, high current arcs, and voltages shock. This is advice: the makers' instructions, local "
    "rules and a qualified person decide; where work on electric circuits needs a licence, whoever holds it does it. "
    "Adding a pack, joiner or charger is usually outside the bike maker's instructions and may end certification, "
    "warranty and insurance. Expected readings follow from what the file says of the parts, not from the parts."
)
