"""The words that people use for what a build file calls otherwise, as data. Compared without case, hyphens and dots.

Nothing is decided here that could be decided wrongly: a word that means two things stands in `ASKED` with the question.
The meanings are common practice of the trade.
"""

from __future__ import annotations

import re

DENIED = re.compile(r" (?:not|no|never|without|nor|neither|isn't|isnt|aren't|wasn't|don't|doesn't|instead|or|un\w+) ")
"""With one of these in it, a longer answer may say the opposite of a word that stands in it, or leave it open."""

_NO = (
    "no",
    "nope",
    "nah",
    "without",
    "not fitted",
    "not there",
    "nothing",
    "off",
    "disabled",
    "none fitted",
    "no fuse",
    "no regen",
    "no brake",
    "does not brake",
    "nein",
    "kein",
    "keine",
    "false",
    "0",
)
_YES = ("yes", "y", "ja", "fitted", "true", "on")

_MEMBERS = """austria at belgium be bulgaria bg croatia hr cyprus cy czechia cz denmark dk estonia ee finland fi france
 fr germany de deutschland greece gr hungary hu ireland ie italy it italia latvia lv lithuania lt luxembourg lu malta mt
 netherlands nl holland poland pl polska portugal pt romania ro slovakia sk slovenia si spain es espana sweden se
 sverige"""


def _all(value: str, *words: str) -> dict[str, str]:
    return dict.fromkeys(words, value)


MEANINGS: dict[str, dict[str, str]] = {
    "packs.*.chemistry": {
        **_all("LFP", "lifepo4", "lifepo", "li fepo4", "life po4", "lifep04", "lithium iron", "lithium iron phosphate",
               "iron phosphate", "iron", "ifr"),
        **_all("NMC", "ncm", "li nmc", "linmc", "li ncm", "nickel manganese cobalt", "nmc811", "nmc 811"),
        **_all("NCA", "li nca", "nickel cobalt aluminium", "nickel cobalt aluminum"),
        **_all("LMO blend", "lmo", "imr", "limn2o4", "manganese"),
        **_all("LTO", "titanate", "lithium titanate"),
    },
    "joiners.*.type": {
        **_all("plain", "y", "y kabel", "y adapter", "kabel", "y lead", "y splitter", "y cable",
               "y harness", "y connector", "y joint", "splitter",
               "parallel", "parallel cable", "parallel lead", "parallel harness", "parallel adapter", "busbar",
               "bus bar", "direct", "cable", "just wires", "wires", "soldered together"),
        **_all("diode", "schottky", "schottky diode", "schottky diodes", "dual schottky", "diodes", "blocking diode",
               "blocking diodes", "rectifier"),
        **_all("ideal-diode", "ideal", "ideal diodes", "mosfet", "mosfets", "fet", "fets", "active diode", "oring"),
        **_all("selector", "switch", "changeover", "changeover switch", "change over switch", "a b switch", "ab switch",
               "toggle", "toggle switch", "selector switch", "1 2 switch"),
        **_all("unknown", "box", "black box", "module", "adapter", "combiner", "blender", "dual battery adapter",
               "board",               "don't know", "dont know", "not sure", "not known", "no idea", "tbd", "?", "n/a"),
    },
    "region": {
        **_all("EU", *_MEMBERS.split(), "czech republic", "the netherlands", "europe", "european union", "e u"),
        **_all("GB", "uk", "u k", "united kingdom", "great britain", "britain", "england", "scotland", "wales",
               "northern ireland"),
        **_all("US", "usa", "u s", "u s a", "united states", "united states of america", "america", "california",
               "us ca"),
        **_all("US-NY", "new york", "nyc", "ny", "new york city"),
        **_all("CA", "canada"),
        **_all("AU", "australia"),
        **_all("NZ", "new zealand"),
        **_all("other", "switzerland", "norway", "iceland", "japan", "china", "india", "brazil", "none", "elsewhere"),
    },
    "status": {
        **_all("quoted", "quote", "planned", "plan", "draft", "idea"),
        **_all("built", "finished", "done", "complete", "completed", "ready"),
        **_all("on the road", "in use", "delivered", "sold", "riding", "active"),
        **_all("retired", "scrapped", "dead", "parted out", "broken up"),
    },
    "controller.regen.stops_at": {**_all("none", "never", "no limit", "unlimited", "at no voltage")},
    "bike.drive.type": {
        **_all("mid motor", "mid", "mittelmotor", "mid drive", "middrive", "mid mount",
               "crank", "crank motor", "crank drive",
               "bottom bracket", "middle", "middle drive", "middle motor", "centre motor", "center motor"),
        **_all("geared hub", "clicks", "turns freely or clicks", "freewheel", "free wheel", "getriebemotor",
               "getriebenabenmotor",
               "spins freely",
               "turns freely", "freewheels", "spins freely backwards",
               "turns freely backwards",
               "geared", "geared motor", "geared hub motor", "hub geared", "geared rear hub",
               "geared front hub", "freewheeling hub"),
        **_all("direct-drive hub", "drags", "drags in steps", "direktläufer", "dd",
               "dd hub", "direct drive", "direct drive hub motor", "gearless", "gearless hub",
               "gearless hub motor"),
    },
    "bike.drive.throttle": {
        **_all("none", *_NO),
        **_all("to walking pace", "walk", "walk assist", "6 km/h", "walking"),
        **_all("full", "thumb", "twist", "thumb throttle", "twist throttle"),
    },
    "packs.*.condition": {
        **_all("sound", "ok", "okay", "good", "fine", "new", "perfect", "undamaged", "like new", "no damage", "works",
               "good condition", "gut", "unbeschädigt", "in ordnung",
               "yes", "y", "nothing", "nothing wrong", "none", "no", "none of that", "no swelling",
               "alright", "all right", "as new", "looks ok", "looks okay", "looks good", "looks fine", "looks new",
               "looks sound", "looks alright", "looks all right", "all fine", "all good", "all ok", "all okay",
               "all sound", "everything fine", "everything ok"),
        **_all("swollen", "bulgy", "bulge", "aufgebläht", "geschwollen", "bulging", "bulged",
               "puffed", "puffy", "bloated", "swelling"),
        **_all("wet", "nass", "water", "flooded", "corroded", "water damage", "rusty", "rust", "rusted"),
        **_all("dropped", "fell", "crashed", "dented", "dent", "dents", "cracked",
               "crack"),
        **_all("opened", "open", "opened case"),
        **_all("rebuilt", "recelled", "re celled", "repaired"),
        **_all("recalled", "recall"),
    },
    "packs.*.cells": {
        **_all("power", "high drain", "high power", "high discharge"),
        **_all("energy", "high capacity", "capacity", "low drain"),
    },
    "packs.*.bms.charge_path": {
        **_all("common", "through the outlet", "same contacts", "same two contacts", "same socket", "same plug",
               "same connector", "same", "same port", "common port", "same switch", "one port", "yes", "y"),
        **_all("separate", "charge socket", "charge port", "charging socket", "charging port", "charge inlet",
               "two sockets", "own port", "ladebuchse", "extra",
               "separate port", "two ports", "different", "own", "own socket", "no", "n"),
    },
    "packs.*.bms.data": {
        **_all("none", *_NO, "n", "plus and minus"),
        **_all("optional", "live", "no, live", "no, it is live", "no, it stays live", "live, no",
               "still live", "stays live", "stays on", "it stays live"),
        **_all("needed", "dead", "goes dead", "it goes dead", "required"),
    },
    "packs.*.bms.wakes": {
        **_all("always", "always on", "always live", "live"),
        **_all("button", "switch", "push button", "power button"),
        **_all("key", "key switch"),
    },
    "packs.*.fuse": {
        **_all("none", *_NO, "n"),
        **_all("inside", "inside", "innen", *_YES, "internal", "built in", "in the pack", "in pack", "inside the pack",
               "in bms", "in the bms", "sealed inside"),
    },
    "leads.*.fuse": _all("none", *_NO, "n"),
    "accessories.*.fuse": _all("none", *_NO, "n"),
    "packs.*.rack": _all("none", *_NO, "frame", "on the frame", "in the frame"),
    "packs.*.charge": {},
    "joiners.*.charge_port": _all("none", *_NO, "n"),
    "joiners.*.mount": {
        **_all("frame metal", "frame", "on frame", "on the frame", "metal", "bolted to the frame", "bolted to frame",
               "screwed to the frame"),
        **_all("open air", "air", "free air", "open", "hanging", "outside"),
        **_all("boxed", "box", "in a box", "in box", "enclosure", "case", "in the controller box", "plastic box"),
        **_all("wrapped", "taped", "tape", "heat shrink", "heatshrink", "shrink", "bag", "in a bag", "in bag", "foam",
               "shrink wrapped"),
    },
    "joiners.*.blocks_in": {
        **_all("positive", "plus", "+", "red", "high side"),
        **_all("negative", "minus", "black", "low side"),
        **_all("both", "both sides", "both poles", "plus and minus"),
    },
    "controller.regen": _all("none", *_NO, "n"),
    "controller.precharge": {
        **_all("none", *_NO, "n"),
        **_all("plug", "anti spark", "antispark", "anti spark plug", "anti spark connector"),
        **_all("resistor", "precharge resistor"),
        **_all("switch", "anti spark switch"),
    },
    "leads.*.switch": _all("none", *_NO, "n"),
    "leads.*.insulation": {
        **_all("silicone", "silikon", "silicon", "silicone rubber", "soft silicone", "silicone wire"),
        **_all("PVC", "vinyl", "pvc wire"),
        **_all("200 degC", "ptfe"),
    },
    "leads.*.run": {
        **_all("in frame", "in the frame", "inside frame", "inside the frame", "through the frame", "internal",
               "inside"),
        **_all("open", "outside", "on the frame", "along the frame", "free", "free air", "external", "exposed",
               "alone"),
        **_all("moving", "flexing", "over the steering", "over a hinge"),
    },
    "FUSE.family": {
        **_all("blade", "flachsicherung", "flach", "kfz", "car fuse", "car blade", "car",
               "automotive", "automotive blade", "mini blade", "maxi blade", "blade fuse"),
        **_all("strip", "strip fuse"),
        **_all("bolt", "bolt down", "bolted"),
        **_all("class T", "t", "class t fuse", "t class"),
        **_all("10x38", "10 x 38", "10*38", "10x38 mm", "10 x 38 mm", "midget"),
        **_all("miniature", "feinsicherung", "glas", "glass", "5x20", "5 x 20", "5x20 mm",
               "6x32", "6.3x32", "6x30", "glass tube"),
        **_all("breaker", "circuit breaker", "cb"),
    },
}  # fmt: skip
"""By the path of the field: folded words and the word of the file."""

LITHIUM = frozenset(
    (
        "li ion", "liion", "lithium", "lithium ion", "li", "lion", "lithium battery", "lithium ion battery", "lipo",
        "li po", "lithium polymer", "li ion battery", "lithium cells", "li polymer", "18650", "21700",
        "inr", "icr", "inr18650", "icr18650", "ncr18650", "inr21700",
        "ternary", "nmc or nca", "nca or nmc", "nmc nca",
    )
)  # fmt: skip
"""Families, not chemistries: 4.20 V and 3.65 V a cell are both sold under these words."""

OTHER_CELLS = frozenset(
    (
        "lead",
        "lead acid",
        "sla",
        "agm",
        "gel",
        "vrla",
        "nimh",
        "ni mh",
        "nicd",
        "ni cd",
        "sodium",
        "sodium ion",
        "na ion",
    )
)
"""Cells that no table here covers."""

ASKED: dict[str, tuple[frozenset[str], str]] = {
    "controller.precharge": (
        frozenset(("yes", "y", "true", "on", "fitted")),
        "What limits the rush into the capacitors? An anti-spark plug:  plug.  A resistor:  resistor.  An electronic "
        "switch:  switch.",
    ),
    "ride.*.hills": (
        frozenset(("flat", "hilly", "some hills", "rolling", "steep", "mountains", "yes", "no", "none")),
        "How many metres up for each km? Judgement: flat  2 m per km,  rolling  8 m per km,  hilly  15 m per km.",
    ),
    "ride.*.wind": (
        frozenset(("strong", "light", "some", "windy", "calm", "breeze", "fresh", "moderate", "yes", "no", "none")),
        "By the Beaufort scale: light  2 m/s,  gentle  4 m/s,  moderate  7 m/s,  fresh  9 m/s,  strong  12 m/s.",
    ),
    "joiners.*.type": (
        frozenset(("nothing", "none", "no", "no joiner", "they are not joined", "relay", "contactor", "bms")),
        "Packs that are in together meet in something: a lead at least (plain), or electronics that were tested to "
        "block (ideal-diode). Only one at a time? A switch: selector. One plug that is moved over: describe one pack.",
    ),
    "packs.*.condition": (
        frozenset(("used", "old", "worn", "scratch", "scratches", "scratched", "dusty", "dirty", "second hand")),
        "Age and scratches alone do not count. Look for swelling, dents, water, an opened case. Nothing of that: "
        "sound.",
    ),
    "bike.drive.type": (
        frozenset(
            (
                "hub",
                "hub motor",
                "rear hub",
                "front hub",
                "rear",
                "front",
                "wheel motor",
                "rear motor",
                "motor",
                "back",
                "back wheel",
                "rear wheel",
                "front wheel",
                "wheel",
                "in the wheel",
                "hub drive",
                "nabenmotor",
                "hinten",
                "vorne",
                "hinterrad",
                "vorderrad",
            )
        ),
        "Turn the wheel backwards by hand, motor off. Turns freely or clicks:  geared hub.  Drags in steps, with "
        "magnets:  direct-drive hub.",
    ),
    "packs.*.bms.data": (
        frozenset(
            (
                *("yes", "y", "ja", "can", "uart", "data", "communication", "comms", "rs485", "true", "pins", "pin"),
                *("contacts", "thin wires", "thin wire", "yellow wire", "green wire", "white wire", "display"),
            )
        ),
        "Unplug the data contacts. Does the outlet stay live under a lamp?  optional.  Goes dead?  needed.",
    ),
    "bike.drive.throttle": (
        frozenset(("yes", "y", "true", "on")),
        "Does it push the bike at full speed, or only to walking pace?  full  or  to walking pace.",
    ),
    "controller.regen": (
        frozenset(("yes", "y", "true", "on", "regen", "enabled")),
        "With how many amps? They stand in the settings:  regen: {current: 8 A}",
    ),
    "leads.*.insulation": (
        frozenset(("rubber", "plastic", "soft", "thhn", "copper", "cable", "automotive", "speaker wire")),
        "What is marked on the jacket? A material (PVC, XLPE, silicone) or degrees, for example  105 degC",
    ),
    "leads.*.run": (
        frozenset(("bundled", "bundle", "in a bundle", "together", "with others", "in a loom")),
        "Beside how many other leads that carry current? For example  beside 2 others",
    ),
    "joiners.*.mount": (
        frozenset(
            (
                "heatsink",
                "heat sink",
                "with heatsink",
                "glued",
                "cable tie",
                "cable ties",
                "zip tied",
                "bike",
                "rack",
                "on the rack",
                "in the frame",
                "in frame",
                "inside the frame",
                "under the seat",
                "saddle",
            )
        ),
        "What takes its heat away? frame metal (pressed onto bare metal), open air, boxed or wrapped.",
    ),
    "leads.*.switch": (
        frozenset(("yes", "y", "true", "on", "key", "key switch", "fitted")),
        "What is marked on it?  switch: {rating: 40 A, breaks: 60 V}",
    ),
    "joiners.*.charge_port": (
        frozenset(("yes", "y", "true", "fitted")),
        "How many amps may it take?  charge_port: {current: 5 A}",
    ),
    "leads.*.fuse": (
        frozenset(("yes", "y", "true", "fitted", "inline")),
        "What is marked on it?  fuse: {family: blade, rating: 30 A, voltage: 58 V}",
    ),
}
"""Words that mean two things, and what to look at."""

LEAVE_OUT = "Not known? Leave the line out: it then goes on the list of things to find out."


HEARD = (
    "packs.*.chemistry",
    "joiners.*.type",
    "bike.drive.type",
    "packs.*.condition",
    "packs.*.bms.charge_path",
    "packs.*.bms.wakes",
)
"""Fields whose words mean the same wherever they stand in an answer: "slightly swollen" is swollen."""


SETTLED = ("bike.drive.type", "packs.*.condition")
"""Fields whose words that are asked about say less than the others, and nothing against them: where a motor sits is
asked about, how it turns answers that; a pack that is old and swollen is swollen."""


def fold(text: str) -> str:
    """A word as it is compared: without case, hyphens, dots and double blanks."""
    return " ".join(
        text.strip().casefold().replace("-", " ").replace("_", " ").replace(".", " ").replace("/", " ").split()
    )
