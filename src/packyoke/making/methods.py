"""How a conductor is joined to a contact, by the kind of connector: common practice."""

from __future__ import annotations

from packyoke.model import End

SOLDERED = ("xt30", "xt60", "xt90", "4 mm bullet", "5.5 mm bullet", "5.5 mm barrel", "joint solder")
CRIMPED = ("6.3 mm blade", "m5 ring", "m6 ring", "genderless", "joint crimp")
CONDUCTORS = 2
BARE_MM = {
    "xt30": 4,
    "xt60": 6,
    "xt90": 7,
    "4 mm bullet": 6,
    "5.5 mm bullet": 8,
    "5.5 mm barrel": 3,
    "6.3 mm blade": 6,
    "m5 ring": 7,
    "m6 ring": 7,
    "joint solder": 15,
    "joint crimp": 10,
}
"""How far a conductor is bared for its contact: judgement, the depth of the cup or of the barrel."""
FUSE_BARE_MM = 8
"""The same for the tails of a fuse holder: judgement."""


def method(end: End) -> str:
    """Solder cup or crimp, where the trade does it one way; else as the maker of the connector says.

    >>> method(End("XT60", "pin", "pin")), method(End("genderless 45 A", "genderless", "genderless"))
    ('solder cup', 'crimp')
    """
    family = end.family.casefold()
    if family == "joint solder":
        return "solder"
    if family in SOLDERED:
        return "solder cup"
    if family in CRIMPED or family.startswith("genderless "):
        return "crimp"
    return "as its maker says"


def solder_joints(end: End) -> int:
    """Joints to solder at one end of a lead: one for each conductor, none where it is crimped."""
    return CONDUCTORS if method(end) in ("solder cup", "solder", "as its maker says") else 0


def bare_m(end: End) -> float | None:
    """How far to bare a conductor for a contact [m]; None where its maker says.

    >>> bare_m(End("XT60", "pin", "pin")), bare_m(End("dock blade", "pin", "pin"))
    (0.006, None)
    """
    millimetres = BARE_MM.get(end.family.casefold())
    return millimetres / 1000 if millimetres is not None else None
