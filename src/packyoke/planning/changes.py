"""From a build that was planned at the worse ends of what is not known back to the user's own, completed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from packyoke.model import SHOP, Build, Joiner, Part
from packyoke.planning.catalogue import Catalogue
from packyoke.planning.result import Filled, NewPart, Refusal, Stuck

LEAD_ATTRS = ("length_m", "gauge", "insulation", "run", "ends", "fuse")
JOINER_ATTRS = ("place_name", "mount")
PACK_ATTRS = ("fuse",)
TAP_ATTRS = ("fuse", "gauge")


def completed(build: Build, planned: Build, new: tuple[NewPart, ...], shelf: Catalogue) -> Build:
    """The user's build with what was planned, and nothing of what was only assumed while planning."""
    added = {each.path: each for each in new}
    joiners = {}
    for name, joiner in planned.joiners.items():
        base = build.joiners.get(name) or _template(build, added[joiner.path], shelf)
        joiners[name] = replace(base, name=name, path=joiner.path, place_name=joiner.place_name, mount=joiner.mount)
        if joiner.path in added:
            # One more like another one is bought, whoever owns that one; an item of the shelf is billed as such.
            owner = SHOP if added[joiner.path].like else None
            joiners[name] = replace(joiners[name], span=joiner.span, spans=joiner.spans, owner=owner)
    packs = {name: replace(pack, fuse=planned.packs[name].fuse) for name, pack in build.packs.items()}
    items = {**build.items, **{each.path: each.item for each in new if each.item}}
    return replace(build, joiners=joiners, packs=packs, leads=planned.leads, items=items)


def told_by_copies(build: Build, done: Build) -> None:
    """Refuse what cannot be written: a line at a part that another one is `like`, and that is not meant for that one.

    Raises Stuck with a question.
    """
    for parts, planned, attr in ((build.packs, done.packs, "fuse"), (build.joiners, done.joiners, "mount")):
        assert isinstance(parts, dict)
        for name, part in parts.items():
            if not differs(getattr(part, attr), getattr(planned[name], attr)):
                continue
            for other, copy in parts.items():
                same = not differs(getattr(planned[other], attr), getattr(planned[name], attr))
                filled_too = differs(getattr(copy, attr), getattr(planned[other], attr))
                given = attr in copy.spans
                if other != name and not (same or filled_too or given) and _lines_of(part, copy, parts):
                    text = f"{other} is like {name}, and a {attr} written at {name} would count for it"
                    do = f"Write  {attr}:  at {other} as well."
                    raise Stuck(Refusal(kind="drawing", text=text, do=do, missing=((copy.path, attr),)))
    mounted = any(each.mount is None and done.joiners[name].mount for name, each in build.joiners.items())
    for name, joiner in done.joiners.items():
        if mounted and name not in build.joiners and joiner.mount is None and joiner.place_name is not None:
            place = build.places[joiner.place_name]
            text = f"not in the file: what takes a joiner's heat at {place.name}"
            raise Stuck(
                Refusal(kind="fact", text=text, do=f"Write  mount:  at {place.name}.", missing=((place.path, "mount"),))
            )


def _lines_of(part: Part, copy: Part, parts: dict[str, Part]) -> bool:
    """Whether a part has lines that stand below the name of another one."""
    shared = {span for span in copy.spans.values() if span in set(part.spans.values())}
    owners = (
        max((each for each in parts.values() if each.span <= span), key=lambda each: each.span, default=None)
        for span in shared
    )
    return any(owner is part for owner in owners)


def _template(build: Build, new: NewPart, shelf: Catalogue) -> Joiner:
    if new.like:
        return build.joiners[new.like]
    return next(each.joiner for each in shelf.models if each.item is not None and each.item.part.name == new.item)


def filled(build: Build, done: Build) -> tuple[Filled, ...]:
    """Every field of the file's own parts that differs now."""
    found: list[Filled] = []
    for before, after, attrs in (
        (build.packs, done.packs, PACK_ATTRS),
        (build.joiners, done.joiners, JOINER_ATTRS),
        (build.leads, done.leads, LEAD_ATTRS),
        (build.accessories, done.accessories, TAP_ATTRS),
    ):
        assert isinstance(before, dict)
        for name, part in before.items():
            found += [
                Filled(part.path, attr, getattr(after[name], attr))
                for attr in attrs
                if differs(getattr(part, attr), getattr(after[name], attr))
            ]
    return tuple(found)


def differs(one: Any, other: Any) -> bool:
    """Whether two values differ in more than where they stand in a file."""
    if not isinstance(one, Part) or not isinstance(other, Part):
        return bool(one != other)
    names = (name for name in one.__dataclass_fields__ if name not in ("span", "spans"))
    return any(differs(getattr(one, name), getattr(other, name)) for name in names)
