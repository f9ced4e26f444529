"""What `packyoke start` writes: the file of an interview, of a few options, or an empty one to fill in."""

from __future__ import annotations

import re

from packyoke.answers.start.draft import NAMES
from packyoke.answers.start.interview import Interview, first_sentence
from packyoke.answers.start.prompts import PROMPTS
from packyoke.answers.start.taking import Again
from packyoke.core.field_paths import keys_of, line_in
from packyoke.core.findings import clean
from packyoke.core.paths import path_to
from packyoke.model.field import MUST
from packyoke.model.fields import FIELDS, Field

GUIDE = (
    "Lines behind a # are not known yet. Fill one in, take its # away, and run:",
    "  packyoke check {file}",
    "A missing line means not known, never all right. none means: looked, there is none.",
    "A question mark behind a value (18 A ?) marks a guess.",
)


def file_text(interview: Interview, file: str, day: str, *, unfinished: bool = False) -> str:
    """The file of an interview, with what is not known yet as lines behind a number sign."""
    draft = "A draft: the questions were stopped before their end. " if unfinished else ""
    head = [f"{draft}Written by packyoke start, {day}.", *(line.format(file=file) for line in GUIDE)]
    return interview.draft.text(head, interview.missing())


def from_options(name: str, options: dict[str, str | None], today: str) -> Interview:
    """An interview that is answered by options: packs, label, charger, controller, joiner, region. Raises Again."""
    interview = Interview(name, today)
    given = {key: text for key, text in options.items() if text is not None}
    if "packs" not in given:
        raise Again("--packs is needed, for example  --packs 2")
    first = path_to("packs", NAMES[0])
    answers = {
        "name": name,
        "packs": given["packs"],
        "alike": "yes",
        f"{first} label": given.get("label", ""),
        f"{first} charger": given.get("charger", ""),
        "limit": given.get("controller", ""),
        "joiner": given.get("joiner", ""),
        "inlets": "",
        f"{first} peak": "",
        "controller peak": "",
    }
    if "region" in given:
        try:
            interview.set_region(given["region"])
        except Again as again:
            raise Again(f"--region {given['region']}: {again}") from None
    while (asked := interview.next()) is not None and asked.key in answers:
        text = answers[asked.key]
        try:
            interview.answer(asked, text)
        except Again as again:
            raise Again(
                f"--{asked.key.rpartition(' ')[2].replace('limit', 'controller')} {clean(text)}: {again}"
            ) from None
    if "joiner" in given and interview.draft.count == 1:
        raise Again("--joiner: one pack needs no joiner")
    return interview


def template_text(file: str) -> str:
    """A build of two packs to fill in: every line that has no default, with what it is and where to look."""
    head = [
        "# A build of two packs on one joiner. Fill in what you know and take the # in front of it away;",
        "# leave the rest: what is missing is asked for by",
        f"#   packyoke check {file}",
        "# Every quantity is a number and a unit: 25 A, 0.9 m, 12 AWG. none means: looked, there is none.",
        "packyoke: 1",
        "name: my bike",
    ]
    body = [
        *_block("bike", "", (), "bike"),
        "packs:",
        "  first:",
        "    label: 48 V",
        *_lines("packs", "    ", ("label",)),
        "  second: {like: first}                     # only what differs is written",
        "joiners:",
        "  joiner:",
        "    inputs: 2",
        *_lines("joiners", "    ", ("inputs",)),
        "leads:",
        *(
            line
            for name, ends in (
                ("first lead", ("first", "joiner")),
                ("second lead", ("second", "joiner")),
                ("main lead", ("joiner", "controller")),
            )
            for line in (f"  {name}:", f"    from: {ends[0]}", f"    to: {ends[1]}", *_lines("leads", "    ", ()))
        ),
        "controller:",
        "  capacitance: 1 mF ?                       # its input capacitors, a guess",
        *_lines("controller", "  ", ("capacitance",)),
        "# chargers:",
        "#   charger: {output: 54.6 V, current: 4 A}   # label: what stands after OUTPUT",
    ]
    return "\n".join([*head, *body]) + "\n"


def _block(section: str, indent: str, known: tuple[str, ...], name: str) -> list[str]:
    inner = [f"#   {line.strip()[2:]}" for line in _lines(section, indent, known)]
    return [f"# {name}:", *inner] if inner else []


def _lines(section: str, indent: str, known: tuple[str, ...]) -> list[str]:
    """Every field of a section that is needed for a verdict and has no default, as a line behind a number sign."""
    found = []
    for field in FIELDS:
        top, *rest = keys_of(field.path)
        keys = rest if section in ("controller", "bike") else rest[1:]
        if top != section or not keys or field.need != MUST or line_in("", *keys) in known:
            continue
        if keys[0] in ("built_in", "bonded", "charge_port", "switch", "from", "to", "regen", "series", "full_charge"):
            continue
        found.append(_line(indent, keys, field))
    return found


def _line(indent: str, keys: list[str], field: Field) -> str:
    example = field.example
    for key in reversed(keys[1:]):
        example = f"{{{key}: {example}}}"
    key = line_in(keys_of(field.path)[0], *keys)
    prompt = PROMPTS.get(line_in(key, "fuse") if keys == ["fuse"] else key)
    how = first_sentence(prompt.how) if prompt and prompt.how else re.sub(r"\s+", " ", field.about)
    about = f"{field.ask}: {how}" if field.ask else how
    return f"{f'{indent}# {keys[0]}: {example}'.ljust(44)}  # {about}"
