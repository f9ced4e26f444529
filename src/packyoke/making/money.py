"""Sums of money: exact decimals, each line of a bill rounded to the smallest coin of its currency."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from packyoke.making.lists import BillLine, Totals
from packyoke.model.shop import WITH_TAX, Rates

PLACES = 2
"""Decimals of most currencies: ISO 4217."""
NO_COINS = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
THOUSANDTHS = "BHD IQD JOD KWD LYD OMR TND"
OTHER_PLACES = {**dict.fromkeys(NO_COINS.split(), 0), **dict.fromkeys(THOUSANDTHS.split(), 3)}
"""Decimals of the currencies that have other than two: ISO 4217, from memory."""
SECONDS_PER_MINUTE = MINUTES_PER_HOUR = Decimal(60)


def to_coins(amount: Decimal, currency: str) -> Decimal:
    """An amount in whole coins, half a coin upwards.

    >>> to_coins(Decimal("2.436"), "EUR"), to_coins(Decimal("1234.5"), "JPY"), to_coins(Decimal("0.125"), "EUR")
    (Decimal('2.44'), Decimal('1235'), Decimal('0.13'))
    """
    places = OTHER_PLACES.get(currency, PLACES)
    return amount.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


def whole_steps(quantity: Decimal, step: Decimal | None) -> Decimal:
    """A quantity in whole steps of what it is sold by, upwards.

    >>> whole_steps(Decimal("1.74"), Decimal("0.5")), whole_steps(Decimal("1.74"), None)
    (Decimal('2.0'), Decimal('1.74'))
    """
    if not step:
        return quantity
    return (quantity / step).to_integral_value(ROUND_CEILING) * step


def sold_at(price: Decimal, rates: Rates, currency: str) -> Decimal:
    """The price of one with the mark-up; without one as it stands on the shelf, to its last figure."""
    return price if rates.mark_up is None else to_coins(price * (1 + rates.mark_up), currency)


def totals(lines: Iterable[BillLine], rates: Rates, currency: str) -> Totals:
    """What the lines come to, with labour, tax and rounding as the shop has them."""
    lines = tuple(lines)
    parts = sum((line.amount for line in lines if line.amount is not None), to_coins(Decimal(0), currency))
    timed = [(line.minutes_s, line.quantity) for line in lines if line.minutes_s is not None]
    work_min = sum((Decimal(str(each)) * quantity for each, quantity in timed), Decimal(0)) / SECONDS_PER_MINUTE
    # Whole minutes are printed, and what is printed adds up.
    work_min = work_min.to_integral_value(ROUND_HALF_UP)
    labour = to_coins(rates.labour * work_min / MINUTES_PER_HOUR, currency) if rates.labour is not None else None
    net = parts + (labour or 0)
    tax = tax_in_it = None
    if rates.tax is not None and rates.prices == WITH_TAX:
        tax_in_it = to_coins(net * rates.tax / (1 + rates.tax), currency)
    elif rates.tax is not None:
        tax = to_coins(net * rates.tax, currency)
    asked = net + (tax or 0)
    whole = asked if not rates.rounding else (asked / rates.rounding).to_integral_value(ROUND_HALF_UP) * rates.rounding
    whole = to_coins(whole, currency)
    return Totals(
        amount=whole,
        currency=currency,
        parts=parts,
        labour=labour,
        tax=tax,
        tax_in_it=tax_in_it,
        rounding=whole - asked,
        unpriced=tuple(line.item for line in lines if line.amount is None),
        minutes=int(work_min),
        untimed_count=len(lines) - len(timed),
    )
