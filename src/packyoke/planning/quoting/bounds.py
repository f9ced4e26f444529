"""What a choice costs at least, and how far it goes at most, before it is planned."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from packyoke.analysis.circuit.load import cut_off_v, full_charge_v
from packyoke.analysis.discharge.energy import curve_of, cut_of
from packyoke.analysis.harness.taps import counted_capacity_coulomb
from packyoke.analysis.packs.voltages import series_count
from packyoke.analysis.ride.named import packs_kg
from packyoke.analysis.unknowns.filled import filled
from packyoke.making.lists import BillLine
from packyoke.making.money import sold_at, to_coins, totals
from packyoke.model import Build, Unknown
from packyoke.model.shop import ShelfItem, Stock
from packyoke.planning.catalogue import BLOCKING
from packyoke.planning.quoting.offers import Offer

SLACK = 1.01
"""What is taken for each metre hangs on the mass of the packs above all; the rest is less than this."""


def most_energy_j(build: Build) -> float | None:
    """What the packs of a bike give at most: without any resistance, down to where they or the controller cut [J]."""
    counted, _ = filled(build)
    try:
        cut_v = max(cut_of(each) for each in counted.controllers.values())
        whole_j = 0.0
        for pack in counted.packs.values():
            curve = curve_of(pack)
            if curve is None:
                return None
            count = series_count(pack)
            top = curve.charge_at(full_charge_v(pack) / count)
            bottom = curve.charge_at(max(cut_v, cut_off_v(pack)) / count)
            per_charge_v = count * (curve.energy_at(top) - curve.energy_at(bottom))
            whole_j += counted_capacity_coulomb(pack) * max(0.0, per_charge_v)
    except Unknown:
        return None
    return whole_j


def most_reach_m(build: Build, energy_j: float | None, made: Sequence[Offer]) -> float | None:
    """How far it goes at most: no lighter offer of the ride takes more for each metre. None: nothing to say [m]."""
    if energy_j is None:
        return None
    mass_kg = packs_kg(build, tuple(build.packs)).likely
    needed = max((each.needed_j_per_m for each in made if each.mass_kg <= mass_kg + 1e-9), default=0.0)
    return SLACK * energy_j / needed if needed > 0.0 else None


def least_price(added: Sequence[ShelfItem], joined: bool, stock: Stock, currency: str) -> Decimal:
    """What it costs at least: the packs, and the cheapest joiner where one has to come."""
    chosen = list(added)
    if joined:
        joiners = [each for each in stock.items if each.section == "joiners" and _blocks(each)]
        if joiners and all(each.price is not None for each in joiners):
            chosen.append(min(joiners, key=lambda each: (each.price or Decimal(0), each.minutes_s or 0.0)))
    lines = [_line(each, stock, currency) for each in chosen]
    return totals(lines, stock.rates, currency).amount


def _blocks(item: ShelfItem) -> bool:
    return getattr(item.part, "type", None) in BLOCKING


def _line(item: ShelfItem, stock: Stock, currency: str) -> BillLine:
    price = None if item.price is None else sold_at(item.price, stock.rates, currency)
    amount = None if price is None else to_coins(price, currency)
    minutes_s = None if item.section == "joiners" else item.minutes_s
    return BillLine(
        item.section, item.part.name, "", Decimal(1), "piece", price, amount, minutes_s, None, Decimal(0), None, True
    )
