"""The lists of a build: all that it takes to make it, and what of that is left once the file gives something."""

from __future__ import annotations

from dataclasses import replace

from packyoke.analysis.harness.routes import Routes, route_of
from packyoke.making.bill import bill
from packyoke.making.cutting import fuse_joints, joints, made_leads, new_fuse, piece
from packyoke.making.lists import Lists
from packyoke.making.marks import labels, settings
from packyoke.making.stock import cables
from packyoke.model import CUSTOMER, Build
from packyoke.model.shop import Stock

NO_INSULATION = "(insulation not in the file)"


def lists(build: Build, given: Build, stock: Stock | None, ways: Routes) -> Lists:
    """What is cut, joined, set and labelled of what `given`, the build as the file has it, leaves to be chosen.

    The bill is that of the whole build, whoever chose its parts; without `stock` nothing has a price.
    """
    leads = made_leads(build)
    places = {lead.name: way.places for lead in leads if (way := route_of(build, ways, lead)) is not None}
    wires = cables(stock.items if stock is not None else ())
    taps = [each for name, each in build.accessories.items() if new_fuse(each.fuse, given.accessories[name].fuse)]
    found = [joint for lead in leads for joint in joints(given, lead)]
    found += [joint for tap in taps for joint in fuse_joints(tap, tap.sources[0])]
    lines, sums, terms = bill(build, stock)
    return Lists(
        pieces=tuple(piece(given, lead, wires, places.get(lead.name, ())) for lead in leads),
        joints=tuple(found),
        bill=lines,
        totals=sums,
        terms=terms,
        settings=tuple(settings(build)),
        labels=tuple(labels(build, given, leads)),
    )


def drawn_lists(build: Build, stock: Stock | None, ways: Routes) -> Lists:
    """The lists of every lead of the harness that is not the customer's own, whoever chose it."""
    leads = {name: replace(lead, insulation=lead.insulation or NO_INSULATION) for name, lead in build.leads.items()}
    theirs = {name: lead for name, lead in leads.items() if lead.owner == CUSTOMER}
    build = replace(build, leads=leads)
    found = lists(build, replace(build, leads=theirs), stock, ways)
    return replace(found, pieces=tuple(each for each in found.pieces if each.lead not in theirs))
