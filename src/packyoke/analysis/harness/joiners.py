"""What kind of joiner a joiner is: asked here and nowhere else, so that one of unknown kind is tried as every kind."""

from __future__ import annotations

from packyoke.model import Joiner, known

BLOCKING = ("diode", "ideal-diode")


def joiner_type(joiner: Joiner) -> str:
    """What kind of joiner it is; `unknown` in the file asks as much as a missing line."""
    return known(None if joiner.type == "unknown" else joiner.type, joiner, "type")


def kind_of(joiner: Joiner) -> str | None:
    """What kind of joiner it is, as far as that must be known: of the bike maker's own only what is in the file counts,
    `built-in-unknown` asks for the rest."""
    return joiner.type if joiner.built_in is not None else joiner_type(joiner)


def is_plain(joiner: Joiner) -> bool:
    """Whether nothing in a joiner keeps anything apart."""
    return kind_of(joiner) == "plain"


def keeps_back(joiner: Joiner) -> bool:
    """Whether no current can flow from one input back into another."""
    return kind_of(joiner) in BLOCKING


def blocks(joiner: Joiner) -> bool:
    """Whether no current can flow from one input back into another."""
    return joiner_type(joiner) in BLOCKING


def both_on(joiner: Joiner) -> bool:
    """Whether two inputs can be on at one time: all but those of a selector that breaks before it makes."""
    return joiner_type(joiner) != "selector" or known(joiner.makes, joiner, "makes") == "before break"


def blocked_conductor(joiner: Joiner) -> str:
    """The conductor that it blocks in. Inside the bike maker's own nobody looks: the worse, the negative, counts."""
    if joiner.built_in is not None:
        return joiner.blocks_in or "negative"
    return known(joiner.blocks_in, joiner, "blocks_in")
