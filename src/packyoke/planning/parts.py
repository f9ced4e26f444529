"""New leads and joiners, with names that nothing else in the file has."""

from __future__ import annotations

from dataclasses import replace

from packyoke.core.paths import path_inside, path_to
from packyoke.model import NONE, Build, Fuse, Joiner, Lead
from packyoke.model.build import NOWHERE
from packyoke.planning.catalogue import Model

MOST_CHARACTERS = 40


def new_lead(name: str, source: str, target: str, insulation: str | None = None) -> Lead:
    """A lead of which nothing is known yet but where it goes, and what the file says of all leads."""
    path = path_to("leads", name)
    fuse = Fuse(name="fuse", path=path_inside(path, "fuse"), span=NOWHERE, spans={}, presence=NONE)
    lead = Lead(name=name, path=path, span=NOWHERE, spans={}, source=source, target=target, fuse=fuse)
    return replace(lead, insulation=insulation)


def lead_name(build: Build, source: str, target: str) -> str:
    """What a workshop would call a lead: after its pack, `main lead` at the controller, else what it links."""
    if target in build.controllers and len(build.packs) > 1:
        return free_name(build, "main lead")
    return free_name(build, _named_after(build, source, "lead" if source in build.packs else "link"))


def _named_after(build: Build, source: str, kind: str) -> str:
    """A part's name with what the lead is behind it. Of a long name the first words, where they are no other part's
    too; else its place in the file: `pack 3 lead`."""
    section, what = (build.packs, "pack") if source in build.packs else (build.joiners, "joiner")
    begins = _within(source, MOST_CHARACTERS - len(kind) - 1)
    if begins and not any(name.startswith(begins) for name in section if name != source):
        return f"{begins} {kind}"
    return f"{source} {kind}" if begins == source else f"{what} {[*section].index(source) + 1} {kind}"


def _within(text: str, most: int) -> str:
    """The first whole words of a text, as many as there is room for; empty where the first is longer than that."""
    words = text.split(" ")
    while words and len(" ".join(words)) > most:
        words.pop()
    return " ".join(words)


def new_joiner(build: Build, model: Model) -> Joiner:
    """One more joiner of a model, placed nowhere yet."""
    name = free_name(build, model.joiner.name)
    return replace(model.joiner, name=name, path=path_to("joiners", name), span=NOWHERE, spans={}, place_name=None)


def free_name(build: Build, wanted: str) -> str:
    """The name, with a number behind it where it is taken, a letter behind a number; a full stop is no part of one."""
    taken = {
        name.casefold()
        for section in (build.packs, build.joiners, build.leads, build.controllers, build.accessories)
        for name in section
    } | {"controller", NONE, "all"}
    wanted = wanted.replace(".", " ").rstrip()
    wanted = _within(wanted, MOST_CHARACTERS) or wanted[:MOST_CHARACTERS]
    number, name = 1, wanted
    while name.casefold() in taken:
        number += 1
        tail = f" {_letter(number)}" if wanted[-1:].isdigit() else f" {number}"
        room = MOST_CHARACTERS - len(tail)
        name = (_within(wanted, room) or wanted[:room]) + tail
    return name


def _letter(number: int) -> str:
    """b for the second, z for the 26th, aa for the next: "yoke 3 2" is no name that anybody reads once."""
    letters = ""
    while number:
        number, last = divmod(number - 1, 26)
        letters = chr(ord("a") + last) + letters
    return letters


def with_lead(build: Build, source: str, target: str) -> Build:
    lead = new_lead(lead_name(build, source, target), source, target, build.lead_insulation)
    return replace(build, leads={**build.leads, lead.name: lead})


def with_joiner(build: Build, joiner: Joiner) -> Build:
    return replace(build, joiners={**build.joiners, joiner.name: joiner})


def with_joiners_alone(build: Build, joiners: dict[str, Joiner]) -> Build:
    """A build to try a part in: no joiners but these, and no charger that works through another one."""
    chargers = {name: each for name, each in build.chargers.items() if each.through is None or each.through in joiners}
    return replace(build, joiners=joiners, chargers=chargers)
