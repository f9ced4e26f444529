"""Sentences as riders say them, each with a rule that has to be among the first three; what is denied is not found."""

from __future__ import annotations

import pytest

from packyoke.rules import pages
from packyoke.rules.symptoms import things

RIDERS = [
    ("case of the battery is splitting", "pack-unsound"),
    ("battery is fat", "pack-unsound"),
    ("battery smokes", "pack-unsound"),
    ("somebody opened the pack", "pack-unsound"),
    ("bike fell into the canal", "pack-unsound"),
    ("used the charger of my other bike", "charger-mixup"),
    ("no power at all", "harness-broken"),
    ("I pull the plug to switch it off", "plug-as-switch"),
    ("there is no switch on the bike", "plug-as-switch"),
    ("battery got wet", "pack-unsound"),
    ("my battery was soaked", "pack-unsound"),
    ("it rained into the pack", "pack-unsound"),
    ("pack fell in the lake", "pack-unsound"),
    ("water inside the battery", "pack-unsound"),
    ("puffy", "pack-unsound"),
    ("battery looks puffy", "pack-unsound"),
    ("swollen battery", "pack-unsound"),
    ("the pack is bloated", "pack-unsound"),
    ("pack is bulging", "pack-unsound"),
    ("battery no longer slides in", "pack-unsound"),
    ("I dropped my battery", "pack-unsound"),
    ("after a crash the battery rattles", "pack-unsound"),
    ("battery hisses", "pack-unsound"),
    ("battery smells sweet", "pack-unsound"),
    ("battery gets hot when it is not used", "pack-unsound"),
    ("won't charge", "charge-blocked"),
    ("battery won't charge", "charge-blocked"),
    ("the pack doesn't charge", "charge-blocked"),
    ("it refuses to charge", "charge-blocked"),
    ("cannot charge my battery", "no-charger"),
    ("charger says full at once", "charge-blocked"),
    ("bike won't turn on", "harness-broken"),
    ("ebike does not switch on", "pack-locked"),
    ("it won't start", "harness-broken"),
    ("motor doesn't power up", "harness-broken"),
    ("bike is dead", "harness-broken"),
    ("won't wake up", "pack-asleep"),
    ("bike does not come on with the new battery", "pack-locked"),
    ("works with one battery and not with two", "pack-locked"),
    ("error code on the display with two packs", "pack-locked"),
    ("bike switches off after a few seconds", "pack-locked"),
    ("shuts off going uphill", "pack-overloaded"),
    ("dies on hills", "pack-overloaded"),
    ("cuts out on steep climbs", "pack-overloaded"),
    ("turns itself off on a hill", "pack-overloaded"),
    ("bike stops at full throttle", "pack-overloaded"),
    ("quits when climbing", "pack-overloaded"),
    ("shuts down on slopes", "fuse-nuisance"),
    ("powers off uphill", "pack-overloaded"),
    ("sparks when I plug in", "plug-in-spark"),
    ("big spark when connecting the battery", "plug-in-spark"),
    ("loud pop when I plug it in", "plug-in-spark"),
    ("it arcs when I connect the pack", "plug-in-spark"),
    ("flash and bang when plugging in", "plug-in-spark"),
    ("black marks on the plug", "plug-in-spark"),
    ("spark when the second battery goes in", "packs-rush"),
    ("one battery charges the other", "packs-rush"),
    ("one battery charges the other", "back-charged"),
    ("packs level out by themselves", "packs-rush"),
    ("drained over the winter", "accessory-tap"),
    ("battery empty after standing a week", "accessory-tap"),
    ("pack was flat after a month in the garage", "accessory-tap"),
    ("goes empty while parked", "accessory-tap"),
    ("battery flat after holidays", "accessory-tap"),
    ("lamp stays dark with one of the packs", "accessory-tap"),
    ("wrong charger", "charger-mixup"),
    ("I used the wrong charger", "charger-mixup"),
    ("plugged in a different charger", "charger-mixup"),
    ("chargers got mixed up, wrong charger on the battery", "charger-mixup"),
    ("charger of another bike fits", "charger-mixup"),
    ("connector is hot", "connector-overloaded"),
    ("hot connector", "connector-overloaded"),
    ("the plug melted", "connector-overloaded"),
    ("plug gets very warm", "connector-overloaded"),
    ("browned socket", "connector-overloaded"),
    ("hard to pull the plug", "connector-overloaded"),
    ("hot wires", "lead-overheats"),
    ("cable is hot", "lead-overheats"),
    ("wire insulation got soft", "lead-overheats"),
    ("smoke from the cable", "lead-overheats"),
    ("melted insulation", "fuse-oversized"),
    ("burning smell", "joiner-overheats"),
    ("box between the batteries is hot", "joiner-overheats"),
    ("joiner too hot to touch", "joiner-overheats"),
    ("got a shock", "shock-voltage"),
    ("tingles when my hands are wet", "shock-voltage"),
    ("I got zapped by the bike", "shock-voltage"),
    ("fuse keeps blowing", "fuse-nuisance"),
    ("blows a fuse on long hills", "fuse-nuisance"),
    ("cuts out over bumps", "spliced-lead"),
    ("cuts out when I steer", "spliced-lead"),
    ("cuts out when braking", "regen-trapped"),
    ("controller died going downhill", "regen-trapped"),
    ("motor brake stopped working", "regen-trapped"),
    ("range is shorter than it says", "controller-window"),
    ("dies early in the cold", "controller-window"),
    ("stops with charge left", "cutoff-order"),
    ("weak on hills when low", "voltage-drop"),
    ("second battery never goes down", "pack-asleep"),
    ("must press a button on the battery", "pack-asleep"),
    ("one pack never empties", "packs-unequal"),
    ("charge socket is hot", "charge-port-overloaded"),
    ("battery gets hot while charging", "charger-current"),
    ("charger light stays red", "charger-voltage"),
    ("never shows full", "charger-voltage"),
    ("rear rack bends", "rack-overloaded"),
    ("bike wobbles at speed", "rack-overloaded"),
    ("switch is stuck", "switch-overloaded"),
    ("key switch does not turn off", "switch-overloaded"),
    ("spark when I touched the contacts with a screwdriver", "live-pins"),
    ("plugs do not fit together", "ends-do-not-mate"),
    ("battery does not spark any more", "pack-asleep"),
    ("no spark any more when I plug it in", "pack-asleep"),
    ("can't unplug it without a spark", "plug-in-spark"),
    ("the plug never goes in without a bang", "plug-in-spark"),
    ("one battery gets warm while the bike is parked", "packs-rush"),
    ("charger light goes green straight away", "charge-blocked"),
    ("the plug fits both ways round", "reversible-plug"),
    ("does not charge in winter", "charged-cold"),
    ("charger gets very hot plug", "charge-port-overloaded"),
    ("48 sticker but the meter reads 58", "label-misleads"),
    ("the plugs don't go together", "ends-do-not-mate"),
    ("range drops every month", "cells-overworked"),
    ("battery does not get hot, but the wire does", "lead-overheats"),
    ("fuse never blew even in a short", "fuse-oversized"),
    ("the wire broke at the solder joint", "spliced-lead"),
    ("loses power downhill when braking", "regen-trapped"),
    ("bike will not turn on after a ride in the rain", "pack-unsound"),
    ("I pull the plug to stop the bike", "plug-as-switch"),
    ("sparks do not happen but the plug melts", "connector-overloaded"),
    ("rack bends with the batteries on it", "rack-overloaded"),
    ("error on the display after I added the second pack", "pack-locked"),
]


@pytest.mark.parametrize(("sentence", "rule"), RIDERS)
def test_the_rule_is_among_the_first_three(sentence: str, rule: str) -> None:
    assert rule in [page.name for page, _ in pages.by_symptom(sentence)][:3]


@pytest.mark.parametrize("before", ["my", "help, since yesterday the", "I think that the"])
@pytest.mark.parametrize(("sentence", "rule"), RIDERS[::9])
def test_what_stands_around_it_does_not_matter(before: str, sentence: str, rule: str) -> None:
    assert rule in [page.name for page, _ in pages.by_symptom(f"{before} {sentence} again")][:3]


@pytest.mark.parametrize(
    ("sentence", "fault"),
    [
        ("the plug does not get hot", "hot"),
        ("plug isn't warm", "hot"),
        ("the battery is not swollen", "bulg"),
        ("it never got wet", "wet"),
        ("there is no spark when plugging in", "spark"),
        ("no smoke", "smell"),
        ("nothing melted", "melt"),
    ],
)
def test_what_does_not_happen_is_not_what_happens(sentence: str, fault: str) -> None:
    assert fault not in things(sentence)
    assert f"not {fault}" in things(sentence)
    assert not pages.alarms(sentence)
    for _, symptom in pages.by_symptom(sentence):
        assert fault not in things(symptom)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("won't charge", "does not charge"),
        ("isn't charging", "will not charge"),
        ("can't turn it on", "does not switch on"),
        ("shuts off", "dies"),
        ("puffy battery", "swollen pack"),
        ("soaked pack", "the battery got wet"),
    ],
)
def test_wordings_of_one_thing_are_one(one: str, other: str) -> None:
    assert things(one) - {"pack"} == things(other) - {"pack"}


def test_a_curly_apostrophe_is_one() -> None:
    assert things("my battery won\u2019t charge") == things("my battery won't charge")
