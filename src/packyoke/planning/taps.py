"""Small wires to lamps and converters: the fuse and the wire of a tap of which the file says nothing."""

from __future__ import annotations

from dataclasses import replace

from packyoke.analysis.case import Case
from packyoke.analysis.harness.taps import UNKNOWN_INSULATION_C, leads_beside, tap_fuse_limit_a
from packyoke.analysis.limits.contacts import area_m2
from packyoke.analysis.limits.fusing import needed_a
from packyoke.analysis.limits.leads import table_amps_a
from packyoke.analysis.limits.margins import above
from packyoke.model import FITTED, NONE, SHOP, Accessory, Build, Gauge
from packyoke.planning.catalogue import Catalogue, FuseKind, suitable_fuses
from packyoke.planning.dress import fitted
from packyoke.planning.options import Workbench
from packyoke.shelf import fuses, wires

TAP_FAMILY = "10x38"
"""What is fitted in a tap where the shelf has nothing for it: made for d.c. and for few amps."""
SMALL_FUSE_A = 5.0
"""Up to here any wire of a tap will do: judgement, as the check has it."""


def tap_fuses(bench: Workbench) -> dict[str, FuseKind]:
    """The fuse for each accessory whose fuse the file leaves blank."""
    found: dict[str, FuseKind] = {}
    full_v = max(bench.full_v.values(), default=0.0)
    for name, accessory in bench.build.accessories.items():
        least_a = needed_a(Case(bench.build), accessory) if "fuse" not in accessory.spans else None
        kind = _fuse(bench.shelf, full_v, bench.short_a(bench.build.packs), least_a) if least_a is not None else None
        if kind is not None:
            found[name] = kind
    return found


def _fuse(shelf: Catalogue, full_v: float, short_a: float, least_a: float) -> FuseKind | None:
    """The least that bears the load: of the shelf where it is no bigger than it need be, else of the trade."""
    rating_a = next((each for each in wires.standard_fuses_a() if not above(least_a, each)), None)
    family = fuses.fuse_family(TAP_FAMILY)
    assert family is not None
    if rating_a is None:
        return None
    most_a = max(rating_a, SMALL_FUSE_A)
    small = replace(shelf, fuses=tuple(each for each in shelf.fuses if not above(each.rating_a, most_a)))
    kind = suitable_fuses(small, full_v, short_a, least_a)[0]
    if kind.item is None and family.highest_a is not None and not above(rating_a, family.highest_a):
        return FuseKind(TAP_FAMILY, rating_a, family.voltage_v[0])
    return kind


def with_taps(build: Build, kinds: dict[str, FuseKind]) -> Build:
    """A completed build with the fuses of its taps, and the thinnest wire of the trade that does for each."""
    accessories = {
        name: replace(each, fuse=fitted(each.fuse, kinds[name], SHOP)) if name in kinds else each
        for name, each in build.accessories.items()
    }
    fused = replace(build, accessories=accessories)
    case = Case(fused)
    wired = {
        name: replace(each, gauge=_gauge(case, each)) if _asked(each, name in kinds) else each
        for name, each in accessories.items()
    }
    return replace(fused, accessories=wired)


def _asked(accessory: Accessory, chosen: bool) -> bool:
    """Whether its wire is to be planned: where its fuse is, and where the check asks for it."""
    fuse = accessory.fuse
    small = fuse.presence == FITTED and fuse.rating_a is not None and not above(fuse.rating_a, SMALL_FUSE_A)
    return "gauge" not in accessory.spans and (chosen or not small)


def _gauge(case: Case, accessory: Accessory) -> Gauge | None:
    """The thinnest that its fuse guards; without a fuse as thick as the lead that it leaves."""
    beside = [lead.gauge for lead in leads_beside(case, accessory) if lead.gauge is not None]
    fuse, load_a = accessory.fuse, accessory.current_a or 0.0
    if fuse.presence == NONE:
        return max(beside, key=area_m2, default=None)
    if fuse.presence != FITTED or fuse.rating_a is None:
        return None
    for size in wires.standard_sizes("AWG"):
        gauge = Gauge("AWG", size)
        wired = replace(accessory, gauge=gauge)
        # The table begins at 18 AWG, and thinner wire has no figure there.
        if above(max(load_a, min(fuse.rating_a, SMALL_FUSE_A)), table_amps_a(gauge, UNKNOWN_INSULATION_C)):
            continue
        if not above(fuse.rating_a, SMALL_FUSE_A) or not above(fuse.rating_a, tap_fuse_limit_a(case, wired)):
            return gauge
    return None
