"""What is set and what is written on it: figures for the controllers, labels."""

from __future__ import annotations

from collections.abc import Iterator

from packyoke.core.findings import Amount, shown
from packyoke.making.cutting import fuse_words, new_fuse, planned
from packyoke.making.lists import Setting
from packyoke.model import FITTED, Build, Lead


def settings(build: Build) -> Iterator[Setting]:
    """The figures to program into the controllers."""
    cuts = [pack.cut_off_v for pack in build.packs.values() if pack.cut_off_v is not None]
    for name, each in build.controllers.items():
        if each.limit_a is not None:
            yield Setting(name, "battery current", Amount(each.limit_a, "A"))
        if each.falls_to_a is not None:
            yield Setting(
                name,
                "battery current after a time",
                Amount(each.falls_to_a, "A", f"after {shown(each.falls_after_s or 0.0)} s"),
            )
        if each.low_voltage_cut_v is not None:
            yield Setting(name, "low-voltage cut", Amount(each.low_voltage_cut_v, "V"))
        elif cuts:
            yield Setting(name, "low-voltage cut, above", Amount(max(cuts), "V"))
        if each.regen_a is not None:
            yield Setting(name, "braking current into the packs", Amount(each.regen_a, "A"))


def labels(build: Build, given: Build, leads: list[Lead]) -> Iterator[str]:
    """What is written on leads, fuses, joiners, packs, controllers and chargers."""
    for lead in leads:
        if planned(given, lead):
            yield f"{lead.name}: {lead.source}"
            yield f"{lead.name}: {lead.target}"
        if lead.fuse.presence == FITTED:
            yield f"{lead.name}: {fuse_words(lead.fuse)} only"
    for name, tap in build.accessories.items():
        if new_fuse(tap.fuse, given.accessories[name].fuse):
            yield f"{name}: {fuse_words(tap.fuse)} only"
    for joiner in build.joiners.values():
        bears = [f"at most {shown(joiner.ceiling_v)} V"] if joiner.ceiling_v is not None else []
        bears += [f"{shown(joiner.current_continuous_a)} A a path"] if joiner.current_continuous_a is not None else []
        yield f"{joiner.name}: {', '.join([*bears, 'gets warm: never wrap it'])}"
    for pack in build.packs.values():
        if pack.fuse.presence == FITTED and given.packs[pack.name].fuse.presence != FITTED:
            yield f"{pack.name}: {fuse_words(pack.fuse)} only"
        if pack.full_charge_v is not None:
            amps = f", at most {shown(pack.charge_a)} A" if pack.charge_a is not None else ""
            yield f"{pack.name}: charger {shown(pack.full_charge_v)} V d.c. only{amps}"
    for each in build.controllers.values():
        if each.limit_a is not None:
            yield f"{each.name}: {shown(each.limit_a)} A from the packs, no more"
    for charger in build.chargers.values():
        if charger.output_v is not None and charger.fits:
            yield f"{charger.name}: {shown(charger.output_v)} V d.c., for {', '.join(charger.fits)} only"
