"""The charging card as text for one screen, as Markdown and as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from packyoke.analysis.charging.bands import BANDS
from packyoke.analysis.charging.card import ChargingCard
from packyoke.analysis.charging.order import ChargeOrder
from packyoke.analysis.charging.pairs import HARDLY, Pairing, Reason
from packyoke.analysis.charging.port import PortLine
from packyoke.answers.rundown.page import clock
from packyoke.core.constants import HOUR_S, WH_J, ZERO_C_K
from packyoke.core.findings import percent, shown
from packyoke.model import Key
from packyoke.model.order import natural
from packyoke.page import strict
from packyoke.page.bars import scale_end, scale_of
from packyoke.page.page import Bar, Lines, Page, Table, Verdict, filled

SCHEMA = "packyoke/charge/1"
WORDS = {
    "dangerous": "{found} V a cell, and {limit} V is the most a cell bears: it can burn",
    "too high": "puts out {found} V, the pack is full at {limit} V",
    "too low": "puts out {found} V, the pack is full at {limit} V",
    "never full": "puts out {found} V, the pack is full at {limit} V: it never gets full",
    "never full, whatever": "it never gets full, whatever is not known yet turns out to be",
    "hardly charged, whatever": "it hardly charges it, whatever is not known yet turns out to be",
    "hardly charged": "puts out {found} V, the pack is full at {limit} V: it hardly charges it",
    "not listed": "it is not for this pack",
    "another plug": "its plug does not go into this pack",
    "never": "it must not be charged: charge: none, and no charging socket of it is in the file",
    "discharge outlet": "its plug goes into the discharge outlet, where the pack's protection cannot stop it",
    "not behind": "the pack is not behind {other}",
    "blocked": "{other} lets nothing back to the pack",
    "not reached": "the charge port of {other} was not made for the pack",
    "too much current": "gives {found} A, the pack takes {limit} A",
    "port too small": "gives {found} A, the charge port of {other} carries {limit} A",
    "contact": "gives {found} A, one {other} contact carries {limit} A",
    "contact, whatever": "gives more than one {other} contact carries",
    "not together": "with {other} plugged in as well the pack gets {found} A, and takes {limit} A: one at a time",
    "not together, whatever": "with {other} plugged in as well the pack gets more than it takes: one at a time",
    "not beside": "with {other} plugged in as well {found} A come in, above the {limit} A that may: one at a time",
    "not beside, whatever": "with {other} plugged in as well more comes in than may: one at a time",
    "not at the outlet": "{other} leads to an outlet where the pack's protection cannot stop it",
    "split lead": "its split lead ties {other} together",
    "own socket fast": "at the pack's own charging socket; what that takes is not stated, and {found} A is more than "
    "the {limit} A that such packs usually take at the most: look at its label",
    "own socket": "at the pack's own charging socket; what that takes is not stated",
    "same plug": "its plug goes in all the same: change one of the plugs",
    "whatever": "it does not fit, whatever is not known yet turns out to be",
    "unsound": "the pack is {other}: do not charge it, take it out of use",
    "too cold": "below 0 degC cells must not be charged: let the pack warm up indoors first",
    "too hot": "from 50 degC on cells must not be charged: let the pack cool down first",
    "cold: half current": "gives {found} A, at 0 to 10 degC the pack takes half of its limit: {limit} A",
    "cold: own socket": "at 0 to 10 degC a pack takes half of its limit, which its own charging socket does not state: "
    "let it warm up first",
    "warm: other cells": "from 45 degC on nothing on file says that {other} cells may be charged: let the pack cool "
    "down first",
    "warm: less voltage": "{found} V a cell, at 45 to 50 degC {limit} V is the most",
}
ADVICE = (
    "Stay near while a pack charges, and pull the plug when you leave or sleep: nothing here is a plan for the night.",
    "The maker's charger, or one that the maker names; never one that only fits the plug.",
    "One pack at a time, unless the shop has its own rule for more; on stone, away from the way out.",
    "Not below 0 degC, not above 40 degC, not when wet, swollen or after a fall; let a pack that comes in from the "
    "cold warm up first.",
)
CAUTION = (
    "Times are estimates from typical cells. Lithium packs can burn; the makers' instructions, local rules and a "
    "qualified person decide."
)


class ChargeView(NamedTuple):
    """A charging card with what is printed around it; `asks` has the fields on which something hangs, in words."""

    file: str
    name: str
    card: ChargingCard
    asks: Mapping[Key, str]
    assumed: tuple[str, ...]
    mains_v: float
    bonded: tuple[tuple[str, ...], ...] = ()
    check: str = "yes"
    check_lines: tuple[str, ...] = ()

    @property
    def answered(self) -> bool:
        """Whether every pack has a charger that may go on it, no charger at hand can burn one, and nothing that the
        check found stands against charging."""
        return not self.card.unserved and not self.can_burn and self.check == "yes"

    @property
    def can_burn(self) -> bool:
        """Whether a charger goes above what the cells of a pack bear, and nothing keeps it off that pack: what it is
        meant for is not listed, or its plug goes in all the same."""
        return any(
            "dangerous" in kinds and ("same plug" in kinds or "not listed" not in kinds)
            for kinds in ({reason.kind for reason in each.reasons} for each in self.card.pairings)
        )


def charge_page(view: ChargeView) -> Page:
    """The answer for each pack, then every pair, the order, the port, the cautions."""
    about = f"{view.name}: charging, cells at {view.card.temperature_k - ZERO_C_K:.0f} degC"
    return Page(
        title=f"{view.name}: charging",
        verdict=_verdict(view, about),
        lead=tuple(_answer(view)),
        blocks=filled(*_blocks(view)),
        closing=(CAUTION,),
        source=view.file,
    )


def _verdict(view: ChargeView, about: str) -> Verdict:
    if view.answered:
        return Verdict("good", "YES", about)
    undecided = {each.pack for each in view.card.pairings if each.verdict == "not known"}
    stops = view.check == "no" or view.can_burn or any(pack not in undecided for pack in view.card.unserved)
    return Verdict("stop", "NO", about) if stops else Verdict("open", "NOT YET", about)


def reason_words(reason: Reason) -> str:
    """Why a charger may not go on a pack, or what is to be known about it."""
    found, limit = (
        f"{each:.2f}" if "a cell" in WORDS[reason.kind] else shown(each) for each in (reason.found, reason.limit)
    )
    return WORDS[reason.kind].format(found=found, limit=limit, other=reason.other)


def _answer(view: ChargeView) -> Iterator[str]:
    card = view.card
    if view.check != "yes":
        yield from (
            f"{'NO   ' if view.check == 'no' else 'NOT YET  '}{line}" if not n else line
            for n, line in enumerate(view.check_lines)
        )
        yield "Charge nothing before that is settled; what follows holds for afterwards."
    yes = "YES  " if view.check == "yes" else "LATER  "
    for unit in dict.fromkeys(map(card.unit, card.packs)):
        pack, best = " and ".join(unit), card.best(unit[0])
        if best is None:
            unsure = (each for each in card.pairings if each.pack in unit and each.verdict == "not known")
            undecided = dict.fromkeys(each.charger for each in unsure)
            if undecided:
                yield f"NOT YET  {pack}: whether {' or '.join(undecided)} may go on it is not known."
            else:
                yield f"NO   {pack}: no charger of this bike may go on it."
        elif any(each.kind.startswith(HARDLY) for each in best.reasons):
            yield f"{yes}{pack}: {best.charger} may go on it, and hardly charges it. It needs another charger."
        elif best.times is None:
            yield f"{yes}{pack}: {best.charger}; how long it takes is not known."
        else:
            part = percent(best.times.end_fraction)
            short = "" if best.fills else f", then it is {part} charged and not full"
            if best.is_done:
                yield f"{yes}{pack}: {'full already' if best.fills else f'{best.charger} charges it no further'}."
                continue
            yield f"{yes}{pack}: {best.charger}, about {clock(best.times.full_s)}{short}."
    if len(card.plans) and _several(card):
        plan = card.plans[0]
        # A charger in a joiner is in no such order: it has a line of its own, and may be the quicker one.
        by = f" with {' and '.join(sorted({turn.charger for turn in plan.turns}, key=natural))}" if card.ports else ""
        yield f"One pack at a time{by}: {clock(plan.finish_s)} in all{_without(view, plan)}, {_changes(plan)}."
    for line in card.ports:
        packs = [pack for pack, _ in line.course.full_s]
        if len({*map(card.unit, packs)}) > 1 and line.course.finish_s > 0.0:
            done = clock(line.course.finish_s)
            yield f"{line.charger} in {line.joiner}, {' and '.join(packs)} plugged in: {done} in all."


def _several(card: ChargingCard) -> bool:
    """Whether there is an order: packs that are joined for good are charged as one."""
    return len({card.unit(pack) for pack in card.packs}) > 1


def _blocks(view: ChargeView) -> list[Table | Lines]:
    card = view.card
    found: list[Table | Lines] = [_pairs(view)]
    said: dict[tuple[str, str], list[str]] = {}
    for each in card.pairings:
        if words := "; ".join(_about(view, each)):
            said.setdefault((each.charger, words), []).append(each.pack)
    if said:
        lines = tuple(f"{charger} on {' and '.join(packs)}: {words}." for (charger, words), packs in said.items())
        found.append(Lines("Why", lines))
    if _several(card) and card.plans:
        found.append(_order(view))
    found += [_port(line) for line in card.ports]
    found.append(Lines("Advice", (*_limits(card, view.bonded), *ADVICE)))
    if view.assumed:
        found.append(Lines("Assumed", ("; ".join(view.assumed),)))
    return found


def _pairs(view: ChargeView) -> Table:
    rows: list[tuple[str, ...]] = []
    timed = [each.times for each in view.card.pairings if each.times is not None]
    end_h = scale_end(max((each.full_s for each in timed), default=HOUR_S) / HOUR_S)
    bars = {}
    for each in view.card.pairings:
        mostly = full = lag = energy = ""
        if each.times is not None:
            times = each.times
            mostly = clock(times.mostly_s) if times.mostly_s is not None else "never"
            full, lags = clock(times.full_s), [times.mostly_lag_s] if times.mostly_s else []
            lag = ", ".join(f"+{clock(lag_s)}" for lag_s in (*lags, times.lag_s))
            energy = f"{(each.wall_j or 0.0) / WH_J:.0f} Wh"
            solid_s = times.full_s if times.mostly_s is None else times.mostly_s
            bars[len(rows), 3] = Bar(solid_s / HOUR_S / end_h, times.full_s / HOUR_S / end_h, 2)
        word = "LATER" if each.verdict == "yes" and view.check != "yes" else each.verdict.upper()
        rows.append((each.charger, each.pack, word, mostly, full, lag, energy))
    heads = ("charger", "pack", "may it", "80 %", "done", "with slow cells", "mains")
    notes = () if rows else ("The file lists no charger.",)
    scale = scale_of(end_h, "h", "to 80 %", "until it is done")
    about = "Which charger goes on which pack"
    return Table(about, heads, tuple(rows), "lllrrrr", notes=notes, bars=bars, scale=scale)


def _about(view: ChargeView, pairing: Pairing) -> list[str]:
    words = [reason_words(each) for each in pairing.reasons]
    if pairing.asks:
        words.append(f"not known: {', '.join(view.asks[key] for key in pairing.asks)}")
    if pairing.times is not None and not pairing.fills:
        words.append(f"done at {percent(pairing.times.end_fraction)} of its charge, not full")
    if pairing.missing is not None:
        words.append(f"for the time {view.asks[pairing.missing]} is needed")
    return words


def _order(view: ChargeView) -> Table:
    rows = []
    for plan in view.card.plans:
        label = "one at a time" if plan.chargers == 1 else f"{plan.chargers} at once"
        rows.append((label, clock(plan.finish_s), str(plan.changes), _who(plan)))
    lines = []
    if without := _without(view, view.card.plans[0]):
        lines.append(f"These are{without}.")
    most = max(view.card.plans, key=lambda plan: plan.chargers)
    if most.chargers > 1:
        watts = sum(view.card.mains_w.get(name, 0.0) for name in most.at_once)
        lines.append(
            f"{most.chargers} at once take {watts:.0f} W from the mains, {watts / view.mains_v:.1f} A at "
            f"{view.mains_v:.0f} V: one socket, not a chain of extension leads, and more than the advice below allows."
        )
    if not all(plan.exact for plan in view.card.plans):
        lines.append("There are too many ways to try them all: the best that was found.")
    lines.append("No pack is moved to another charger half way.")
    return Table(
        "In what order", ("how", "all done", "plug changes", "which, in turn"), tuple(rows), "lrrl", notes=tuple(lines)
    )


def _without(view: ChargeView, plan: ChargeOrder) -> str:
    """Packs that have a charger, are not full yet and not in a plan: they are charged through a joiner."""
    done = {each.pack for each in view.card.pairings if each.is_done}
    planned = {turn.pack for turn in plan.turns} | done
    rest = [name for name in view.card.packs if name not in planned and name not in view.card.unserved]
    return f" without {' and '.join(rest)} (through the joiner)" if rest else ""


def _changes(plan: ChargeOrder) -> str:
    return f"{plan.changes} plug change{'' if plan.changes == 1 else 's'}"


def _who(plan: ChargeOrder) -> str:
    """`counter: pannier, then keel; depot: box`."""
    chargers = dict.fromkeys(turn.charger for turn in plan.turns)
    if plan.chargers == 1 and len(chargers) > 1:
        return ", then ".join(f"{turn.pack} on {turn.charger}" for turn in plan.turns)
    return "; ".join(
        f"{name}: " + ", then ".join(turn.pack for turn in plan.turns if turn.charger == name) for name in chargers
    )


def _port(line: PortLine) -> Table:
    rows = tuple(
        (f"{clock(phase.from_s)} to {clock(phase.to_s)}", " and ".join(phase.packs)) for phase in line.course.phases
    )
    full = ", ".join(f"{pack} after {clock(each_s)}" for pack, each_s in line.course.full_s)
    lines = (
        f"{line.charger} in {line.joiner}, all packs plugged in: the lowest takes all the current until it has caught "
        "up with the next.",
        f"Done: {full}; {line.wall_j / WH_J:.0f} Wh from the mains.",
    )
    return Table("Through the joiner", ("when", "takes current"), rows, "ll", notes=lines)


def _limits(card: ChargingCard, bonded: Sequence[Sequence[str]]) -> Iterator[str]:
    for names in bonded:
        yield (
            f"{' and '.join(names)} are joined for good: one charger on any of them fills them all, in the time that "
            "is told. Never two at once, and never part them for it."
        )
    for first, second in card.joined:
        if any({first, second} <= {*names} for names in bonded):
            continue
        yield (
            f"{first} and {second} are plainly joined: a charger on one feeds both while both are plugged in, and "
            "takes longer. Charged apart they stand apart: measure both before they go together again."
        )
    celsius = card.temperature_k - ZERO_C_K
    if celsius > 40.0:
        yield f"At {celsius:.0f} degC public advice is not to charge: 40 degC is its limit."
    yield "At 0 to 10 degC charge with half the current that the pack takes, from 10 to 40 degC with all of it."


def charge_json(view: ChargeView) -> str:
    """The card with everything worked out, schema `packyoke/charge/1`; numbers in SI units."""
    card = view.card
    data: dict[str, Any] = {
        "schema": SCHEMA,
        "file": view.file,
        "name": view.name,
        "answered": view.answered,
        "check": {"answer": view.check, "because": list(view.check_lines)},
        "temperature_k": card.temperature_k,
        "limits": [
            {
                "from_k": max(0.0, each.from_k),
                "to_k": each.to_k if each.to_k < 1e9 else None,
                "current_share": each.share,
                "cell_v": each.cell_v,
            }
            for each in BANDS
        ],
        "packs": [
            {
                "name": name,
                "start_fraction": card.start[name],
                "charger": best.charger if (best := card.best(name)) is not None else None,
            }
            for name in card.packs
        ],
        "pairs": [_pair_data(view, each) for each in card.pairings],
        "plans": [
            {
                "chargers_at_once": plan.chargers,
                "plug_changes": plan.changes,
                "finish_s": plan.finish_s,
                "mains_w": sum(card.mains_w.get(name, 0.0) for name in plan.at_once),
                "exact": plan.exact,
                "turns": [turn._asdict() for turn in plan.turns],
            }
            for plan in card.plans
        ],
        "ports": [
            {
                "charger": each.charger,
                "joiner": each.joiner,
                "phases": [phase._asdict() for phase in each.course.phases],
                "constant_s": each.course.constant_s,
                "full_s": dict(each.course.full_s),
                "finish_s": each.course.finish_s,
                "wall_j": each.wall_j,
            }
            for each in card.ports
        ],
        "unserved": list(card.unserved),
        "plainly_joined": [list(each) for each in card.joined],
        "advice": list(ADVICE),
        "assumed": list(view.assumed),
    }
    return strict.written(data)


def _pair_data(view: ChargeView, each: Pairing) -> dict[str, Any]:
    return {
        "charger": each.charger,
        "pack": each.pack,
        "verdict": each.verdict,
        "reasons": [
            {"kind": reason.kind, "weight": reason.weight, "text": reason_words(reason)} for reason in each.reasons
        ],
        "asks": [view.asks[key] for key in each.asks],
        "to_80_s": each.times.mostly_s if each.times else None,
        "full_s": each.times.full_s if each.times else None,
        "slow_cells_to_80_s": each.times.mostly_lag_s if each.times else None,
        "slow_cells_s": each.times.lag_s if each.times else None,
        "constant_current_to_fraction": each.times.knee_fraction if each.times else None,
        "end_fraction": each.times.end_fraction if each.times else None,
        "into_pack_j": each.times.energy_j if each.times else None,
        "wall_j": each.wall_j,
    }
