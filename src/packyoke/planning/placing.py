"""What is put where: outlets at places, kinds of joiners, and joiners at places."""

from __future__ import annotations

from typing import Any, NamedTuple

from packyoke.model import End, Joiner
from packyoke.planning.catalogue import Model


class Spot(NamedTuple):
    """An outlet at a place: that of a pack, of a drawn joiner or of a joiner at a site."""

    place: str
    outlet: End
    name: str
    grown: Any = None
    """For packs that were joined beforehand: the joiner as it was put, and what was joined there."""


class Kind(NamedTuple):
    """Joiners that are alike: those of the file that wait to be placed, and what more of them may come from."""

    joiner: Joiner
    names: tuple[str, ...]
    model: Model | None
    most: int


class Put(NamedTuple):
    """A joiner of a kind at a place, with the mount that it has there."""

    kind: Kind
    place: str
    joiner: Joiner
    score: int = 0
