"""The lists of a harness that the file gives whole: what it takes to make it as drawn."""

from __future__ import annotations

from dataclasses import replace

from packyoke.making.bill import lists
from packyoke.model import Build
from packyoke.planning.catalogue import Stock, catalogue
from packyoke.planning.ready import route_of
from packyoke.planning.rebuild import Drawn
from packyoke.planning.result import Lists
from packyoke.planning.routes import Routes

NO_INSULATION = "(insulation not in the file)"


def drawn_lists(build: Build, stock: Stock | None, ways: Routes) -> Lists:
    """The lists of every lead of the harness, whoever chose it; without `stock` nothing has a price."""
    leads = {name: replace(lead, insulation=lead.insulation or NO_INSULATION) for name, lead in build.leads.items()}
    build = replace(build, leads=leads)
    places = {name: way.places for name, lead in build.leads.items() if (way := route_of(build, ways, lead))}
    return lists(build, replace(build, leads={}), Drawn(build), catalogue(build, stock), places)
