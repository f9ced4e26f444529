"""From what somebody types after `packyoke quote` to offers ready to print."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from packyoke.analysis.ride.known import Odd
from packyoke.analysis.ride.named import rides_of
from packyoke.answers.inherited import inherited, looked_into, unpriced, with_places
from packyoke.answers.quote.page import QuoteView
from packyoke.answers.range.known import odd_one, typed_ride
from packyoke.answers.typed import WrongInput, quantity, ride_name
from packyoke.core.findings import clean
from packyoke.core.units import Kind
from packyoke.model import Build
from packyoke.model.shop import Stock
from packyoke.planning.quoting.search import MOST_ADDED, Wish, quote
from packyoke.planning.result import Refusal, Stuck

EVERYDAY = "everyday"
_MONEY = re.compile(r"([0-9]{1,9}(?:\.[0-9]{1,2})?) *([A-Za-z]{3})?").fullmatch
_NUMBER = re.compile(r"(?<![^\s€$£¥A-Za-z])[0-9](?:[.,'’\s]?[0-9])*(?![0-9])")
_THOUSANDS = re.compile(r"[0-9]{1,3}(?P<mark>[.,'’\s])[0-9]{3}(?:(?P=mark)[0-9]{3})*(?:[.,][0-9]{1,2})?").fullmatch
_BESIDE = re.compile(r"(?P<code>[A-Za-z]{3})|€|euros?|£|pounds?|¥|yen|\$|dollars?|", re.I).fullmatch
"""What may stand beside the one number of an amount."""
_SIGNS = {"€": "EUR", "e": "EUR", "£": "GBP", "p": "GBP", "¥": "JPY", "y": "JPY"}
"""Whose sign it is, or the first letter of its name; of dollars there are many."""
_COUNTS = re.compile(r"([0-9])(?: *(?:\.\.|-|to) *([0-9]))?").fullmatch


def view(
    build: Build,
    stock: Stock | None,
    *,
    reach: str | None = None,
    ride: str | None = None,
    most: str | None = None,
    add: str | None = None,
    on: str | None = None,
    known: Sequence[str] = (),
    today: str = "",
    system: str = "metric",
    every: bool = False,
) -> QuoteView:
    """Offers as typed. Raises WrongInput with a sentence for the person who typed it."""
    packs = [item for item in stock.items if item.section == "packs"] if stock is not None else []
    if stock is None or not packs:
        raise WrongInput(f"a quote is made from packs on the shop's shelf, and there are none. {looked_into(stock)}")
    if all(item.price is None for item in packs):
        raise WrongInput(
            f"no pack on the shop's shelf has a price{unpriced(packs)}. Write for example  price: 380 EUR  at it. "
            f"{looked_into(stock)}"
        )
    currency = next((item.currency for item in stock.items if item.currency), stock.rates.currency)
    named = ride_name(build, ride) if ride else _usual(build)
    reach_m = quantity(reach, Kind.LENGTH, "--reach", '"80 km"') if reach else None
    if reach_m is not None and not 100.0 <= reach_m < 1e7:
        raise WrongInput(
            f'--reach "{clean(reach or "")}": a way to ride is needed, of 100 m to 9999 km, for example "80 km"'
        )
    wish = Wish(
        ride=named,
        reach_m=reach_m,
        most=_money(most, currency, stock) if most else None,
        add=_counts(add) if add else (0, 2 if reach_m is not None else 1),
        on=on or "",
        known=tuple(typed_ride(build, each) for each in known),
    )
    try:
        found = quote(build, stock, wish, today)
    except Stuck as stuck:
        answer = stuck.answer
        said = f"{answer.text}. {answer.do}" if isinstance(answer, Refusal) else answer.constraint
        raise WrongInput(with_places(said.rstrip(". ") + ".", build)) from None
    if isinstance(found, Odd):
        raise odd_one(found, wish.known, system)
    return QuoteView(build.file, build.name, found, today, system, every, "", inherited(build))


def _usual(build: Build) -> str:
    names = rides_of(build)
    return next((name for name in names if name.casefold() == EVERYDAY), names[0])


def _money(text: str, currency: str, stock: Stock) -> Decimal:
    found = _MONEY(text.strip())
    number, code, mark = (found[1], (found[2] or "").upper(), "") if found else _meant(text)
    if code and code != currency:
        raise WrongInput(f'--most "{clean(text)}": the prices are in {currency}. {looked_into(stock)}')
    if found is None:
        why = f" may have a {mark} for its thousands" if mark else ""
        raise WrongInput(f'--most "{clean(text)}"{why}: write for example "{number or "900"} {currency or "EUR"}"')
    return Decimal(number)


def _meant(text: str) -> tuple[str, str, str]:
    """The number that an amount has in it, its currency, and what may part its thousands; empty where there is no one
    number."""
    numbers = _NUMBER.findall(text)
    beside = _BESIDE(_NUMBER.sub("", text).strip(" .,-"))
    if len(numbers) != 1 or beside is None:
        return "", "", ""
    code = (beside["code"] or _SIGNS.get(beside[0][:1].casefold(), "")).upper()
    parted = _THOUSANDS(numbers[0])
    number = numbers[0].replace(parted["mark"], "") if parted else numbers[0]
    number = number.replace(",", ".")
    mark = {".": "point", ",": "comma"}.get(parted["mark"], "") if parted else ""
    return (number, code, mark) if _MONEY(number) else ("", code, "")


def _counts(text: str) -> tuple[int, int]:
    found = _COUNTS(text.strip())
    if found is None:
        raise WrongInput(f'--add "{clean(text)}": write for example 1, or 1..2')
    least, most = int(found[1]), int(found[2] or found[1])
    if most < least or most > MOST_ADDED:
        raise WrongInput(f'--add "{clean(text)}": from 0 to {MOST_ADDED} packs are added, the smaller number first')
    return least, most
