"""Something besides the joiner ties packs together, so that it no longer keeps them apart.

What
    A joiner blocks only what passes through it. A split charging lead, a charge port that keeps
    nothing apart, a lamp wired to two packs, or the minus of a data cable can be a way round it.
Why
    The fuller pack feeds the other through a thin wire that no fuse was chosen for: the wire burns,
    or the lower pack is charged without a limit.
Limit
    No two packs that a joiner keeps apart may be tied by anything else. Where a joiner blocks in
    the negative, a shared minus is such a tie: a data cable to the controller or another pack. An
    accessory on one pack's own lead is a caution there, because its minus usually ends on the
    frame or at the controller with all others. Joiners in a row should block in one conductor.
Do
    Feed accessories from the joiner's outlet, charge each pack by itself, use a port that blocks
    each pack, and choose joiners that block in the positive.
Rider notices
    a thin wire got hot; packs level out by themselves; spark when the charger lead goes on
Fails
    in skerry-long-tail
    accessories.lamp.from: [keel, pannier]
Passes
    in skerry-long-tail
    accessories.lamp.from: yoke
Sources
    Follows from the circuit; behaviour of charging leads and ports: common practice.
"""

from __future__ import annotations

from packyoke.analysis.case import Case
from packyoke.analysis.harness.drawing import harness
from packyoke.analysis.harness.joiners import blocked_conductor, blocks, joiner_type
from packyoke.analysis.harness.joining import blocks_between, tied
from packyoke.core.findings import Severity
from packyoke.model import NONE, Accessory, Charger, Joiner, Pack, Part, known
from packyoke.rules.outcome import PASSED, Change, Failed, Mend, Outcome
from packyoke.rules.rule import Rule

WHY = "The fuller pack feeds the other one past the joiner, through wires and contacts that nobody chose for it."


def parts(case: Case) -> list[Part]:
    """Accessories, split charging leads, joiners, and packs with data lines."""
    build = case.build
    found: list[Part] = [*build.joiners.values(), *build.accessories.values()]
    found += [charger for charger in build.chargers.values() if len(charger.y_lead) > 1]
    found += [pack for pack in build.packs.values() if pack.wired_data != NONE]
    return found


def check(case: Case, part: Part) -> Outcome:
    if isinstance(part, Joiner):
        return _joiner(case, part)
    if isinstance(part, Accessory):
        return _accessory(case, part)
    if isinstance(part, Charger):
        return _split_lead(case, part)
    assert isinstance(part, Pack)
    return _data(case, part)


def _split_lead(case: Case, charger: Charger) -> Outcome:
    pair = tied(case, charger.y_lead)
    if pair is None:
        return PASSED
    return _failed(
        case,
        pair,
        "split lead",
        "y_lead",
        "its split lead ties packs that are kept apart",
        "Charge each pack by itself, or with a charger for each.",
        mends=(
            (
                Mend(
                    "Take the split lead away and charge one pack after the other",
                    (Change(charger.path, "y_lead", ()),),
                ),
            ),
        ),
    )


def _accessory(case: Case, accessory: Accessory) -> Outcome:
    if len(accessory.sources) > 1:
        pair = tied(case, accessory.sources)
        if pair is not None:
            return _failed(
                case,
                pair,
                "accessory",
                "sources",
                "ties packs that are kept apart",
                "Feed it from one place only: the outlet of the joiner.",
                mends=(_from_outlets(case, accessory),),
            )
        return PASSED
    (source,) = accessory.sources
    pack = _one_pack(case, source)
    if pack is None:
        return PASSED
    blocking = _minus_blocked(case, pack)
    if blocking is None:
        return PASSED
    return Failed(
        severity=Severity.CAUTION,
        message="may tie the minus of one pack to all others",
        why=f"Other packs are kept out by {blocking.name}, in the minus only. If this one's minus also ends "
        "on the frame or at the controller, their current gets round the joiner.",
        do="Feed it from the outlet of the joiner, or keep its minus apart from everything else.",
        field="sources",
        kind="danger",
        cause="minus",
        mends=(_from_outlets(case, accessory),),
        also=(blocking,),
    )


def _one_pack(case: Case, source: str) -> str | None:
    """The only pack at a point on the pack side of the joiners; None at a joiner's outlet or where packs meet."""
    if source in case.build.packs:
        return source
    if source in case.build.joiners:
        return None
    packs = harness(case).packs_behind.get(case.build.leads[source].path, ())
    return packs[0] if len(packs) == 1 else None


def _minus_blocked(case: Case, receiver: str, *, data: bool = False) -> Joiner | None:
    """A joiner that keeps other packs out of this one in the minus only; None when there is none.

    The bike maker laid the data wires of a bike beside his own joiner: they do not go round it.
    """
    for giver in case.build.packs:
        if giver == receiver:
            continue
        for blocking in blocks_between(case, giver, receiver):
            if data and all(each.built_in is not None for each in blocking):
                continue
            if blocking and all(blocked_conductor(each) == "negative" for each in blocking):
                return blocking[-1]
    return None


def _from_outlets(case: Case, accessory: Accessory) -> tuple[Mend, ...]:
    return tuple(
        Mend(f"Feed it from {joiner.name}", (Change(accessory.path, "sources", (joiner.name,)),))
        for joiner in case.build.joiners.values()
        if len(harness(case).packs_behind.get(joiner.path, ())) > 1
    )


def _joiner(case: Case, joiner: Joiner) -> Outcome:
    port = joiner.charge_port
    if port is not None:
        packs = port.reaches if port.reaches is not None else harness(case).packs_behind.get(joiner.path, ())
        pair = tied(case, packs) if len(packs) > 1 else None
        if pair is not None and joiner_type(joiner) != "plain" and known(port.blocks, port, "blocks") == "nothing":
            return _failed(
                case,
                pair,
                "port",
                "charge_port",
                "its charge port ties packs that it keeps apart",
                "Use a joiner whose charge port blocks each pack, or charge each pack by itself.",
                mends=(
                    (
                        Mend(
                            "Close the charge port for good and charge each pack by itself",
                            (Change(joiner.path, "charge_port", None),),
                        ),
                    ),
                ),
            )
    return _row(case, joiner)


def _row(case: Case, joiner: Joiner) -> Outcome:
    """Joiners that feed a blocking joiner should block in the same conductor."""
    for lead in harness(case).leads_into.get(joiner.name, ()):
        before = case.build.joiners.get(lead.source)
        if before is None or not blocks(joiner) or not blocks(before):
            continue
        # Of the bike maker's own, too, only what is in the file is told.
        mine, theirs = (known(each.blocks_in, each, "blocks_in") for each in (joiner, before))
        if mine != theirs:
            return Failed(
                severity=Severity.CAUTION,
                message=f"blocks in another conductor than {before.name} before it",
                why=f"It blocks in the {mine}, {before.name} in the {theirs}: neither plus nor minus runs "
                "through, and one shared minus or plus takes a whole joiner out.",
                do="Use joiners that block in one conductor, the positive if there is a choice.",
                field="blocks_in",
                kind="damage",
                cause="row",
                mends=(_one_conductor(joiner, before),),
                also=(before,),
            )
    return PASSED


def _one_conductor(joiner: Joiner, before: Joiner) -> tuple[Mend, ...]:
    return tuple(
        Mend(
            f"A joiner that blocks in the positive in place of {each.name}",
            (Change(each.path, "blocks_in", "positive"),),
        )
        for each in (joiner, before)
        if each.blocks_in != "positive"
    )


def _data(case: Case, pack: Pack) -> Outcome:
    blocking = _minus_blocked(case, pack.name, data=True)
    if blocking is None:
        return PASSED
    return Failed(
        severity=Severity.STOP,
        message="the minus of its data cable goes round the joiner",
        why=f"Other packs are kept out by {blocking.name}, in the minus only. {WHY}",
        do="Cut the minus of the data cable and use an isolator, or a joiner that blocks in the positive.",
        field="wired_data",
        cause="data",
        mends=(
            (
                Mend(
                    f"A joiner that blocks in the positive in place of {blocking.name}",
                    (Change(blocking.path, "blocks_in", "positive"),),
                ),
            ),
        ),
        also=(blocking,),
    )


def _failed(
    case: Case,
    pair: tuple[str, str],
    cause: str,
    field: str,
    message: str,
    do: str,
    mends: tuple[tuple[Mend, ...], ...],
) -> Failed:
    giver, receiver = pair
    return Failed(
        severity=Severity.STOP,
        message=message,
        why=f"Current can flow from {giver} to {receiver}. {WHY}",
        do=do,
        field=field,
        cause=cause,
        mends=mends,
        also=(case.build.packs[giver], case.build.packs[receiver]),
    )


RULE = Rule(
    name="bypassed-joiner",
    kind="danger",
    doubt="whether something ties the packs besides the joiner",
    page=__doc__ or "",
    basis=("circuit theory", "common practice"),
    parts=parts,
    check=check,
    takes_two=True,
)
