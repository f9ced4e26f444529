"""Offers as a page: what gets there, for how much, how far, how heavy; what is on the bill; what is none and why."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Literal, NamedTuple

from packyoke.answers.bill import bill_notes, bill_table, plain, sums, valid_until
from packyoke.answers.inherited import taken_over
from packyoke.answers.range.known import told_words
from packyoke.core.findings import Finding, clean
from packyoke.core.paths import name_of
from packyoke.core.tape import far, wanted
from packyoke.core.units import Kind, from_si, show
from packyoke.page.bars import scale_end, scale_of
from packyoke.page.page import Bar, Block, Lines, Page, Table, Verdict, filled
from packyoke.planning.quoting.candidates import LEAD_M, Choice, takes_all_off
from packyoke.planning.quoting.offers import Offer, Refused
from packyoke.planning.quoting.search import ENOUGH, Quote

BAR = 9
MOST_ROWS = 10
CAUTION = (
    "Ranges are an estimate, not a promise: rider, wind, tyres, cold and age decide. Every offer was planned and "
    "checked; measure before you join. Adding a pack, joiner or charger is usually outside the bike maker's "
    "instructions and may end certification, warranty and insurance."
)


class QuoteView(NamedTuple):
    """Offers with what is printed around them. `chosen`: the file that one of them was written to."""

    file: str
    name: str
    found: Quote
    today: str
    system: str
    every: bool
    chosen: str
    inherited: tuple[str, ...] = ()

    @property
    def answered(self) -> bool:
        """Whether something does what was wished."""
        return bool(self.found.front) and not self.found.short


def quote_page(view: QuoteView) -> Page:
    """The offers by price, the bill of the cheapest, what was left out."""
    found = view.found
    best = found.front[0] if found.front else None
    blocks: list[Block] = []
    if best is not None:
        blocks.append(_table(view))
    if best is not None and best.bill:
        heads, rows = bill_table(best)
        valid = valid_until(best, date.fromisoformat(view.today)) if view.today else ""
        align = "rlrrrl" if len(heads) == 6 else "rll"
        about = (
            f"number {_number(found, best)}; --choose writes it as a build, sheet --for quote makes the customer's page"
        )
        blocks.append(
            Table("What is on the bill", heads, (*rows, *sums(best)), align, about, tuple(bill_notes(best, valid)))
        )
    blocks += filled(
        Lines("Subject to", tuple(_by_number(view, "opens"))),
        Lines("Cautions, to agree on", tuple(_by_number(view, "cautions"))),
        Lines("Fitted to this rider", tuple(told_words(found.rider.told, view.system)) if found.rider else ()),
        Lines("To find out first", tuple(_grouped(_refusals(found.waiting)))),
        Lines("Stopped by the check", tuple(_grouped(_refusals(_known(found.refused, untried=False))))),
        Lines("Not tried", tuple(_grouped(_refusals(_known(found.refused, untried=True))))),
        Lines("Not for this bike", tuple(_grouped(found.out))),
        Lines("Note", tuple(_notes(view))),
        taken_over(view.inherited),
    )
    return Page(
        title=f"{view.name}: {wish_words(view)}",
        verdict=_verdict(view),
        lead=tuple(_lead(view)),
        blocks=blocks,
        closing=(CAUTION,),
        source=view.file,
    )


def wish_words(view: QuoteView) -> str:
    """`80 km on the ride loaded, for at most 900 EUR`."""
    wish = view.found.wish
    way = (
        f"{wanted(wish.reach_m, view.system)} on the ride {clean(wish.ride)}"
        if wish.reach_m
        else f"the ride {clean(wish.ride)}"
    )
    most = f", for at most {plain(wish.most)} {view.found.currency}" if wish.most is not None else ""
    return f"{way}{most}"


def _verdict(view: QuoteView) -> Verdict:
    found = view.found
    title = f"{view.name}: {wish_words(view)}"
    if (found.short or not found.front) and (found.waiting or found.untried):
        return Verdict("open", "OPEN", title)
    if isinstance(found.now, Refused) and not found.front:
        return Verdict("stop", "STOP", title)
    if not found.front or found.short:
        return Verdict("stop", "NO", title)
    return Verdict("open" if found.front[0].opens else "good", "QUOTE", title)


def _lead(view: QuoteView) -> Iterator[str]:
    found, wish = view.found, view.found.wish
    if isinstance(found.now, Refused):
        first = "" if found.front else "; that comes first"
        yield f"The bike as it is: {found.now.reason}. packyoke check says more{first}."
    else:
        low, likely = (far(each, view.system, wish.reach_m) for each in found.now.distance_m[:2])
        yield f"As it is: count on {low}, likely {likely}."
    if found.enough:
        yield "It gets there as it is: nothing is needed."
    shelf = "that was tried" if found.untried or found.waiting else "on the shelf"
    of_those = " of what was tried" if found.untried else ""
    if not found.front:
        yield f"Nothing {shelf} can be offered for this bike as it is."
        if wish.add[0] > 0:
            yield "Packs in place of his own were not looked at: leave out --add."
    elif found.short:
        best = found.front[0]
        if wish.reach_m is not None and best.reach_m >= wish.reach_m:
            tried = " and was tried" if found.untried else ""
            yield f"Nothing that reaches{tried} costs so little; the cheapest is {plain(best.price)} {found.currency}."
        else:
            yield (
                f"Nothing {shelf} gets there. The nearest: {choice_words(best.choice)}, count on "
                f"{far(best.reach_m, view.system, wish.reach_m)}, for {plain(best.price)} {found.currency}."
            )
    elif not found.enough:
        best = found.front[0]
        first = "The cheapest that gets there" if wish.reach_m is not None else "The cheapest"
        yield (
            f"{first}{of_those}: {choice_words(best.choice)}, {plain(best.price)} {found.currency}, count on "
            f"{far(best.reach_m, view.system, wish.reach_m)}."
        )
        if best.opens:
            yield "That is subject to what has still to be found out."
    if found.waiting and not found.enough:
        but = "" if found.short or not found.front else ", and one of them may cost less"
        wait = "waits" if len(found.waiting) == 1 else "wait"
        yield f"{len(found.waiting)} more {wait} for what has to be found out first{but}."


def row_words(choice: Choice) -> str:
    """`rack 48-12`, `2 x rack 48-12`, `box 48-24, keel off`, `box 48-35, both off`: short, for a column."""
    words, _, off = choice_words(choice).removesuffix(" added").partition(" instead of ")
    if len(choice.off) > 1:
        off = "both" if len(choice.off) == 2 else f"all {len(choice.off)}"
    return f"{words}, {off} off" if off else words


def choice_words(choice: Choice) -> str:
    """`rack 48-12 added`, `box 48-24 instead of keel`, `as it is`."""
    if not choice.added:
        return "the bike as it is"
    names: dict[str, int] = {}
    for name in choice.added:
        names[name] = names.get(name, 0) + 1
    said = " and ".join(f"{count} x {clean(name)}" if count > 1 else clean(name) for name, count in names.items())
    return f"{said} instead of {' and '.join(map(clean, choice.off))}" if choice.off else f"{said} added"


def marks(found: Quote, offer: Offer) -> tuple[str, ...]:
    """What an offer is best in."""
    front = found.front
    told = []
    if offer is min(front, key=lambda each: each.price):
        told.append("cheapest")
    if offer is min(front, key=lambda each: (each.mass_kg, each.price)):
        told.append("lightest")
    if offer is max(front, key=lambda each: each.reach_m):
        told.append("farthest")
    return tuple(told)


def _number(found: Quote, offer: Offer) -> int:
    return next(number for number, each in enumerate(found.front, 1) if each is offer)


def rows_shown(view: QuoteView) -> list[tuple[int, Offer]]:
    """Offers with their numbers: all, or the best ones and the cheapest besides."""
    numbered = list(enumerate(view.found.front, 1))
    if view.every or len(numbered) <= MOST_ROWS:
        return numbered
    best = [each for each in numbered if marks(view.found, each[1])]
    rest = [each for each in numbered if not marks(view.found, each[1])]
    return sorted(best + rest[: MOST_ROWS - len(best)], key=lambda each: each[0])


def _table(view: QuoteView) -> Table:
    found, rows = view.found, []
    shown, unit = rows_shown(view), "mi" if view.system == "us" else "km"
    longest = max([each.distance_m.likely for _, each in shown] + [found.wish.reach_m or 0.0])
    for number, each in shown:
        low, likely = (far(metres, view.system, found.wish.reach_m) for metres in each.distance_m[:2])
        worst = "open" if each.opens else "caution" if each.cautions else ""
        told = [*marks(found, each), *([worst] if worst else [])]
        rows.append(
            (
                str(number),
                row_words(each.choice),
                plain(each.price),
                low,
                likely,
                show(round(each.mass_kg, 1), Kind.MASS, view.system),
                _bar(each, longest),
                ", ".join(told),
            )
        )
    heads = ("no", "added", found.currency or "price", "count on", "likely", "packs", "reach", "remark")
    left = len(found.front) - len(rows)
    notes = (*([f"{left} more: --all shows them."] if left else []), *_unpriced(shown))
    heading = "What comes nearest" if found.short else "What gets there" if found.wish.reach_m else "What there is"
    end = scale_end(from_si(longest, unit))
    bars = {
        (row, 3): Bar(from_si(each.distance_m.low, unit) / end, from_si(each.distance_m.likely, unit) / end, 2)
        for row, (_, each) in enumerate(shown)
    }
    scale = scale_of(end, unit)
    plain_bars = frozenset({heads.index("reach")})
    return Table(heading, heads, tuple(rows), "rlrrrrll", notes=notes, bars=bars, scale=scale, plain=plain_bars)


def _unpriced(shown: Sequence[tuple[int, Offer]]) -> Iterator[str]:
    """Which offers have parts without a price: below the table, as what stands in a row is short."""
    found: dict[int, list[str]] = {}
    for number, each in shown:
        found.setdefault(each.totals.unpriced_count, []).append(str(number))
    for count, numbers in found.items():
        if count:
            yield f"number {', '.join(numbers)}: {count} part{'s' if count > 1 else ''} without a price, in no sum."


def _bar(offer: Offer, longest_m: float) -> str:
    """Full up to what is to be counted on, dotted up to what is likely."""
    low, likely = (round(BAR * min(1.0, metres / longest_m)) for metres in offer.distance_m[:2])
    return "=" * max(1, low) + "." * max(0, likely - low)


def _by_number(view: QuoteView, kind: Literal["opens", "cautions"]) -> Iterator[str]:
    """What has to be found out before an offer is certain, or agreed on, once each."""
    said: dict[str, list[str]] = {}
    for number, each in rows_shown(view):
        for finding in each.opens if kind == "opens" else each.cautions:
            said.setdefault(question_words(finding), []).append(str(number))
    for words, numbers in said.items():
        yield f"number {', '.join(numbers)}: {words}"


def question_words(finding: Finding) -> str:
    """An open question in a sentence."""
    where = "" if finding.part == "build" else f"{name_of(finding.part)}: "
    do = f" {finding.do}" if finding.do else ""
    return f"{where}{finding.message}.{do}"


def _known(refused: Sequence[Refused], *, untried: bool) -> list[Refused]:
    return [each for each in refused if each.untried is untried and not each.waits]


def _refusals(refused: Sequence[Refused]) -> list[tuple[str, str]]:
    return [(choice_words(each.choice), each.reason) for each in refused]


def _grouped(pairs: Sequence[tuple[str, str]]) -> Iterator[str]:
    """One line for each reason, with all that it holds for."""
    found: dict[str, list[str]] = {}
    for name, reason in pairs:
        found.setdefault(reason, []).append(name)
    for reason, names in found.items():
        more = f" and {len(names) - 6} more" if len(names) > 6 else ""
        yield f"{clean(reason, 160).rstrip('.')}: {', '.join(clean(each) for each in names[:6])}{more}"


def _notes(view: QuoteView) -> Iterator[str]:
    found, wish = view.found, view.found.wish
    choices, planned = found.counted
    if not choices:
        return
    untried = sum(each.untried or each.waits for each in found.refused)
    but = f"but for the {untried} not tried " if untried else ""
    yield (
        f"{choices} choices of the shelf were looked at, {planned} planned and checked; the others {but}are beaten by "
        "one that is shown, or cannot get there."
    )
    if wish.reach_m is not None:
        yield f"Reach beyond {far(ENOUGH * wish.reach_m, view.system)} counts as no better: nobody asked for it."
    yield "Joiners, leads, fuses and chargers are chosen for each offer; the controller's settings stay."
    if found.bike.assumed and any(each.choice.added for each in found.front):
        yield (
            "Nobody has measured where the leads run: each part is taken to be as far from the joiner as its lead is "
            f"long, or {show(LEAD_M, Kind.LENGTH, view.system)}. Measure them:  places:  and  runs:  in the file."
        )
    if any(each.choice.added for each in found.front):
        yield "Packs of the shelf count as sound: look at each one before it goes on."
    if len(found.bike.build.packs) > 1 and wish.instead and wish.add[0] == 0:
        of_all = (
            "and of all; his joiner stays" if takes_all_off(found.bike) else "not of all: there are several joiners"
        )
        yield f"Larger packs were looked at in place of each of his packs, {of_all}."
