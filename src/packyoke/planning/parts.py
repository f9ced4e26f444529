"""New leads and joiners, with names that nothing else in the file has."""

from __future__ import annotations

from dataclasses import replace

from packyoke.model import NONE, Build, Fuse, Joiner, Lead
from packyoke.model.build import NOWHERE
from packyoke.planning.catalogue import Model

MOST_CHARACTERS = 40


def new_lead(name: str, source: str, target: str) -> Lead:
    """A lead of which nothing is known yet but where it goes."""
    path = f"leads.{name}"
    fuse = Fuse(name="fuse", path=f"{path}.fuse", span=NOWHERE, spans={}, presence=NONE)
    return Lead(name=name, path=path, span=NOWHERE, spans={}, source=source, target=target, fuse=fuse)


def lead_name(build: Build, source: str, target: str) -> str:
    """What a workshop would call a lead: after its pack, `main lead` at the controller, else what it links."""
    if target in build.controllers:
        wanted = "main lead" if len(build.packs) > 1 else f"{source} lead"
    else:
        wanted = f"{source} lead" if source in build.packs else f"{source} link"
    return free_name(build, wanted)


def new_joiner(build: Build, model: Model) -> Joiner:
    """One more joiner of a model, placed nowhere yet."""
    name = free_name(build, model.joiner.name)
    return replace(model.joiner, name=name, path=f"joiners.{name}", span=NOWHERE, spans={}, place_name=None)


def free_name(build: Build, wanted: str) -> str:
    """The name, with a number behind it where it is taken, a letter behind a number; a full stop is no part of one."""
    taken = {
        name.casefold()
        for section in (build.packs, build.joiners, build.leads, build.controllers, build.accessories)
        for name in section
    } | {"controller", NONE, "all"}
    wanted = wanted.replace(".", " ")[:MOST_CHARACTERS].rstrip()
    number, name = 1, wanted
    while name.casefold() in taken:
        number += 1
        tail = f" {_letter(number)}" if wanted[-1:].isdigit() else f" {number}"
        name = wanted[: MOST_CHARACTERS - len(tail)].rstrip() + tail
    return name


def _letter(number: int) -> str:
    """b for the second, z for the 26th, aa for the next: "yoke 3 2" is no name that anybody reads once."""
    letters = ""
    while number:
        number, last = divmod(number - 1, 26)
        letters = chr(ord("a") + last) + letters
    return letters


def with_lead(build: Build, source: str, target: str) -> Build:
    lead = new_lead(lead_name(build, source, target), source, target)
    return replace(build, leads={**build.leads, lead.name: lead})


def with_joiner(build: Build, joiner: Joiner) -> Build:
    return replace(build, joiners={**build.joiners, joiner.name: joiner})
