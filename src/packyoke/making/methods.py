"""How a conductor is joined to a contact, by the kind of connector: common practice."""

from __future__ import annotations

from packyoke.model import End

SOLDERED = ("xt30", "xt60", "xt90", "4 mm bullet", "5.5 mm bullet", "5.5 mm barrel", "joint solder")
CRIMPED = ("6.3 mm blade", "m5 ring", "m6 ring", "genderless", "joint crimp")
CONDUCTORS = 2


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
