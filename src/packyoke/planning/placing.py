"""What is put where: outlets at places, kinds of joiners, and joiners at places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

from packyoke.model import End, Joiner
from packyoke.planning.catalogue import Model
from packyoke.planning.changes import differs
from packyoke.planning.topology import Topology


class Spot(NamedTuple):
    """An outlet at a place: that of a pack, of a drawn joiner or of a joiner at a site."""

    place: str
    outlet: End
    name: str
    grown: Any = None
    """For packs that were joined beforehand: the joiner as it was put, and what was joined there."""


class JoinerKind(NamedTuple):
    """Joiners that are alike: those of the file that wait to be placed, and what more of them may come from."""

    joiner: Joiner
    names: tuple[str, ...]
    model: Model | None
    most: int


class PutJoiner(NamedTuple):
    """A joiner of a kind at a place, with the mount that it has there."""

    kind: JoinerKind
    place: str
    joiner: Joiner
    score: int = 0


def kinds(topology: Topology, models: Sequence[Model], count: int) -> list[JoinerKind]:
    """What may be placed to bring so many outlets together: every joiner of the file that waits, and as many more as it
    takes."""
    free = [topology.build.joiners[name] for name in topology.free]
    extra = 0 if topology.drawn else max(0, count - topology.root_slots - len(free))
    found: list[JoinerKind] = []
    for joiner in free:
        same = next((n for n, kind in enumerate(found) if _alike(topology, kind.joiner, joiner)), None)
        if same is None:
            found.append(JoinerKind(joiner, (joiner.name,), None, 1))
        else:
            kind = found[same]
            found[same] = kind._replace(names=(*kind.names, joiner.name), most=kind.most + 1)
    for model in models if extra else ():
        same = next((n for n, kind in enumerate(found) if _alike(topology, kind.joiner, model.joiner)), None)
        if same is None or found[same].model is not None:
            found.append(JoinerKind(model.joiner, (), model, extra))
        else:
            found[same] = found[same]._replace(model=model, most=found[same].most + extra)
    return found


def _alike(topology: Topology, one: Joiner, other: Joiner) -> bool:
    """Whether it makes no difference which of two joiners is put where."""
    if topology.drawn or one.place_name is not None or other.place_name is not None:
        return False
    taps = topology.build.accessories.values()
    if any(name in each.sources for each in taps for name in (one.name, other.name)):
        return False
    return not differs(replace(one, name=other.name, path=other.path), other)
