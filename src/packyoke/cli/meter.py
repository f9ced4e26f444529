"""`packyoke meter`."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from packyoke.cli.completing import packs_with_value
from packyoke.cli.files import (
    EXIT_FOUND,
    EXIT_OK,
    FORMS,
    Shops,
    build_text,
    day_of,
    output_options,
    print_out,
    print_page,
    read_one,
    shop_options,
    units_option,
    write_out,
    wrong,
)
from packyoke.cli.intake import FileName, NewFile
from packyoke.cli.options import Adding, Command
from packyoke.cli.streams import say, shown_name

if TYPE_CHECKING:
    from packyoke.answers.meter.page import MeterView
    from packyoke.api import Build

MOST_BY_HAND = 20
"""Readings that anybody would copy by hand: judgement."""
BENCH = ("series", "joiner", "capacity", "chemistry", "resistance", "charge")


@click.command(cls=Command)
@click.argument("build", type=FileName(), metavar="[BUILD]", required=False)
@click.option(
    "--volts",
    cls=Adding,
    shell_complete=packs_with_value,
    metavar="VOLTS",
    help="Voltages at rest: keel=57.9,pannier=55.2; without BUILD 54.1,51.3.",
)
@click.option("--load", metavar="LOAD", help='What is drawn until they level: "15 A"; else what the controller may.')
@click.option(
    "--across-inlet",
    cls=Adding,
    metavar="VOLTS",
    help='Across an inlet with no pack in it, one pack in another: "yoke 2: 0.3 V"; may repeat.',
)
@click.option("--drop", "drops", metavar="DROP", multiple=True, help='Under load: "keel lead=60 mV at 20 A".')
@click.option("--loaded", cls=Adding, metavar="VOLTS", help='A pack under load: "keel=55.1 at 20 A"; with --volts.')
@click.option("--series", type=click.IntRange(3, 30), help="Without BUILD: cells in series of the packs.")
@click.option("--joiner", metavar="KIND", help="Without BUILD: plain, diode, ideal-diode, selector or unknown.")
@click.option("--capacity", metavar="CHARGE", help="Without BUILD: capacity of each pack, for example 14Ah.")
@click.option("--chemistry", metavar="WORD", help="Without BUILD: NMC when left out.")
@click.option("--resistance", metavar="OHM", help='Without BUILD: of each pack, for example "120 mohm".')
@click.option("--charge", metavar="CURRENT", help="Without BUILD: what each pack may be charged with, for example 4A.")
@click.option("--record", type=NewFile(dir_okay=False), help="Write the readings into a new copy of BUILD.")
@click.option("--today", metavar="DATE", default=None, help="The day of the readings (2027-05-14).")
@click.option("--format", "form", type=click.Choice((*FORMS, "json")), default="text", show_default=True)
@units_option
@shop_options
@output_options
def meter(
    build: str | None,
    volts: str | None,
    load: str | None,
    across_inlet: str | None,
    drops: tuple[str, ...],
    loaded: str | None,
    series: int | None,
    joiner: str | None,
    capacity: str | None,
    chemistry: str | None,
    resistance: str | None,
    charge: str | None,
    record: str | None,
    today: str | None,
    form: str,
    system: str,
    shop: str | None,
    no_shop: bool,
    output: str | None,
    replace: bool,
) -> None:
    """Say from measured voltages whether packs may be plugged together now.

    With more readings: whether a joiner blocks, whether a lead or a pack is as described.
    Exit status: 0 yes, 1 no or not yet, 2 wrong input.

    \b
    Example:
        packyoke meter examples/quay-plain-trike.yaml --volts old=53.9,new=49.2
        packyoke meter --series 13 --volts 54.1,51.3 --load 22A --joiner diode
    """
    from packyoke.answers.meter import answer as running
    from packyoke.answers.meter import on_bench
    from packyoke.answers.meter import page as printed
    from packyoke.answers.typed import WrongInput

    bench = {
        "series": series,
        "joiner": joiner,
        "capacity": capacity,
        "chemistry": chemistry,
        "resistance": resistance,
        "charge": charge,
    }
    day, source, shops = day_of(today), b"", Shops(shop, no_shop)
    assumed: tuple[str, ...] = ()
    if build is not None and (given := [name for name in BENCH if bench[name] is not None]):
        wrong(f"--{given[0]} is for packs without a build file; with one it stands in the file")
    if record and build is None:
        wrong("--record writes a copy of a build file: name the file")
    try:
        if build is None:
            if series is None or volts is None:
                wrong("name a build file, or give --series and --volts: --series 13 --volts 54.1,51.3")
            packs = on_bench.PacksOnBench(
                series, volts, joiner or "", load or "", capacity or "", chemistry or "", resistance or "", charge or ""
            )
            text, volts, assumed = on_bench.bench_text(packs)
            model = read_one(text.encode(), "no build file", Shops(None, True), tracks=False)
        else:
            source = build_text(build)
            model = read_one(source, build, shops, tracks=False)
        typed = running.Typed(volts or "", load or "", across_inlet or "", drops, loaded or "", day)
        view = running.view(model, typed, assumed)
    except WrongInput as error:
        wrong(str(error))
    if form == "json":
        from packyoke.answers.meter.as_json import meter_json

        print_out(meter_json(view), output, replace, [build, record, shop])
    else:
        print_page(printed.meter_page(view), form, output, replace, [build, record, shop], system, model)
    if record and build is not None:
        _record(build, source, model, view, record, replace, shops)
    sys.exit(EXIT_OK if view.verdict == "yes" else EXIT_FOUND)


def _record(name: str, source: bytes, before: Build, view: MeterView, record: str, over: bool, shops: Shops) -> None:
    """A copy of the file with the readings, read back before it is written: nothing else may have changed."""
    from dataclasses import replace

    from packyoke.api import load
    from packyoke.buildfile.writing.readings import CannotInsert, Entry, with_readings
    from packyoke.model import as_found
    from packyoke.verdict.fingerprint import fingerprint

    for path in dict.fromkeys(each.part for each in view.records):
        if getattr(before.part(path), "replaced", None) == view.records[0].date:
            wrong(
                f"{name}: the file says that {path} was replaced on this very day, and readings of that day do not "
                "count. Take its  replaced:  out and record again"
            )
    entries = [Entry(*each) for each in view.records]
    by_hand = "nothing was written"
    if len(entries) <= MOST_BY_HAND:
        by_hand += f". By hand:  measured: [{', '.join(map(str, entries))}]"
    try:
        text = with_readings(source.decode("utf-8"), entries)
    except CannotInsert as error:
        wrong(f"{name}: {error}; {by_hand}")
    after = load(text.encode(), record, shop=shops.for_build(name))
    if isinstance(after, list):
        why = ": ".join(filter(None, (after[0].field, after[0].message)))
        wrong(f"{name}: with the readings in it the file is refused ({why}); {by_hand}")
    came = [(each.date, each.part, each.what) for each in after.measured[len(before.measured) :]]
    bare = [fingerprint(as_found(replace(each, measured=()))) for each in (before, after)]
    if came != [each[:3] for each in entries] or bare[0] != bare[1]:
        wrong(f"{name}: the readings could not be put into its  measured:  ; {by_hand}")
    write_out(text, record, over, [name])
    count = len(view.records)
    say(f"{count} reading{'s' if count > 1 else ''} written to {shown_name(record)}", err=True)
