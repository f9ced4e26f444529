"""Lines about money and days of a shop file: prices, rates, stock, how long something takes."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from packyoke.buildfile.reading.document import Node, Scalar
from packyoke.buildfile.reading.forms import read_count
from packyoke.buildfile.reading.walk import DraftPart, Reader, Slot, guessed, read_quantity
from packyoke.core.field_paths import line_in
from packyoke.core.findings import clean
from packyoke.core.unit_names import CURRENCIES
from packyoke.core.units import Kind, QuantityError, number_in, read

_AMOUNT = re.compile(r"[0-9]+(?:\.[0-9]{1,2})?").fullmatch
"""Three figures behind a point may be thousands, and no coin is a thousandth."""
_AN_HOUR = re.compile(r"(?P<price>.*?)\s*(?:/|per|an|a)\s*(?:h|hr|hour)", re.I).fullmatch
_DAYS = re.compile(r"(?P<number>[0-9]{1,4}) ?(?P<unit>d|days?|w|weeks?)", re.I).fullmatch
_PER_CENT = Decimal(100)
_WEEK = 7


def read_price(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A number and the code of its currency: kept to the last figure."""
    text = reader.scalar(node, line_in(where, slot.key), slot.example)
    if text is None:
        return
    read_quantity(reader, draft, node, slot, where)
    if draft.values.get(slot.attr) is not None and draft.spans[slot.attr] is node:
        draft.values[slot.attr] = _decimal(text.text)
        draft.values["currency"] = read(text.text, Kind.MONEY).family


def no_guess(reader: Reader, text: Scalar, path: str) -> None:
    """A rate that is set apart as a guess would be missing on every bill."""
    reader.tell(text.span, path, f'"{clean(text.text)}" is a guess', "Prices need the number itself.")


def read_labour(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """What an hour costs: `60 EUR/h`."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None:
        return
    found = _AN_HOUR(text.text)
    if found is None:
        reader.tell(
            text.span, path, f'"{clean(text.text)}" is no price of an hour', f"Write for example  {slot.example}"
        )
        return
    try:
        guess = read(found["price"], Kind.MONEY).guess
    except QuantityError as error:
        reader.tell(text.span, path, error.message, f"Write for example  {slot.example}")
        return
    if guess:
        no_guess(reader, text, path)
        return
    asked = Slot(slot.key)
    asked.take(slot.field, read_price, Kind.MONEY)  # type: ignore[arg-type]
    read_price(reader, draft, Scalar(found["price"], text._start, text._end, False), asked, where)


def read_per_cent(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A share of the whole, kept to the last figure: 25 % is 0.25."""
    text = reader.scalar(node, line_in(where, slot.key), slot.example)
    if text is None:
        return
    if guessed(text.text)[1]:
        no_guess(reader, text, line_in(where, slot.key))
        return
    before = dict(draft.values)
    asked = Slot(slot.key)
    asked.take(slot.field, read_quantity, Kind.FRACTION)  # type: ignore[arg-type]
    read_quantity(reader, draft, node, asked, where)
    if draft.values != before:
        draft.values[slot.attr] = _decimal(text.text) / _PER_CENT


def read_amount(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """An amount in the currency of the file, which may be left out."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None:
        return
    number, _, code = text.text.partition(" ")
    if _AMOUNT(number) is None or not slot.low <= float(number) <= slot.high or (code and code not in CURRENCIES):
        reader.tell(text.span, path, f'"{clean(text.text)}" is no amount', f"Write for example  {slot.example}")
        return
    if code and (before := draft.values.setdefault("currency", code)) != code:
        reader.tell(text.span, path, f"{code}, where {before} came before", "One currency in the file.")
        return
    _keep(draft, slot, node, Decimal(number))


def read_days(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A number of days or weeks."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None:
        return
    found = _DAYS(text.text)
    days = int(found["number"]) * (_WEEK if found["unit"][0] in "wW" else 1) if found else 0
    if found is None or not slot.low <= days <= slot.high:
        reader.tell(
            text.span, path, f'"{clean(text.text)}" is not a number of days', f"Write for example  {slot.example}"
        )
    else:
        _keep(draft, slot, node, days)


def read_stock(reader: Reader, draft: DraftPart, node: Node, slot: Slot, where: str) -> None:
    """A count, or metres of wire."""
    path = line_in(where, slot.key)
    text = reader.scalar(node, path, slot.example)
    if text is None:
        return
    if text.text.startswith("-"):
        do = "Write  0  where there is none, or leave the line out."
        reader.tell(text.span, path, f'"{clean(text.text)}" is less than nothing', do)
    elif guessed(text.text)[0].isdigit():
        read_count(reader, draft, node, slot, where)
    else:
        try:
            found = read(text.text, Kind.LENGTH)
        except QuantityError:
            do = "Write how many there are, for example  4 , or of wire how long it is, for example  25 m"
            reader.tell(text.span, path, f'"{clean(text.text)}" is no stock', do)
            return
        reader.keep(draft, slot, node, found.value, found.guess)


def _decimal(text: str) -> Decimal:
    return Decimal(number_in(text)) + 0  # not "-0"


def _keep(draft: DraftPart, slot: Slot, node: Node, value: Any) -> None:
    draft.values[slot.attr] = value
    draft.spans[slot.attr] = node
