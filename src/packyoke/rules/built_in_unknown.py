"""The limits of the bike maker's own joiner are not in the file.

What
    Finds joiners that came with the bike and whose maker's limits are not written down: which
    packs, how many, how many amps.
Why
    A second battery port inside a frame hides its wire, its joiner and their limits. It was made
    for certain packs; what it does with others, or with one more, only its maker knows.
Limit
    none until the maker has answered; then packs, full-charge voltage and current as stated
Do
    Ask the bike maker, and write the answer down:
    built_in: {packs: 2, full_charge: 54.6 V, current: 20 A}
    Until then leave the port empty, or use it as the maker describes.
Rider notices
    nothing
Fails
    in skerry-long-tail
    joiners.yoke.built_in: yes
Passes
    in skerry-long-tail
    joiners.yoke.built_in: {packs: 2, full_charge: 58.8 V, current: 30 A}
Sources
    instructions of the bike maker; common practice
"""

from __future__ import annotations

from packyoke.analysis.case import Case, if_known
from packyoke.analysis.circuit.load import load
from packyoke.analysis.harness.drawing import harness
from packyoke.core.findings import shown
from packyoke.model import Joiner
from packyoke.rules.outcome import PASSED, Outcome, Undecided
from packyoke.rules.rule import Rule, joiners


def check(case: Case, joiner: Joiner) -> Outcome:
    maker = joiner.built_in
    if maker is None:
        return None
    missing = [
        question
        for question, value in (
            ("how many packs", maker.packs_count),
            ("which full charge", maker.full_charge_v),
            ("how many amps", maker.current_a),
        )
        if value is None
    ]
    if not missing:
        return PASSED
    return Undecided(
        message=f"what was it made for: {', '.join(missing)}?",
        asks=((joiner, "built_in"),),
        passes_if=_passing(case, joiner),
        why="Its wire and its limits are inside the bike; only its maker knows them.",
        do="Ask the bike maker, and write it down:  built_in: {packs: .., full_charge: .. V, current: .. A}",
    )


def _passing(case: Case, joiner: Joiner) -> str:
    """What the maker would have to say, as far as the rest of the file tells."""
    names = harness(case).packs_behind.get(joiner.path, ())
    full_v = [v for name in names if (v := case.build.packs[name].full_charge_v) is not None]
    needs = [f"{len(names)} packs"] if names else []
    if full_v:
        needs.append(f"{shown(max(full_v))} V")
    asked = if_known(load, case, joiner.path)
    needs.append(f"{shown(asked.most_a)} A" if asked is not None else "what the controller draws")
    return ", ".join(needs)


RULE = Rule(
    name="built-in-unknown",
    kind="unknown",
    doubt="what the bike maker's joiner was made for",
    page=__doc__ or "",
    basis=("instructions of the bike maker",),
    parts=joiners,
    check=check,
)
