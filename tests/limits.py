"""Every command on builds as large as they may be, each in a process of its own: how long, how much memory.

    python tests/limits.py [--only WORD] [--slow]

Bar: 2 s and 300 MB for every command and format. A process is ended after 20 s of its time or at 3 GB of addresses.
`--slow` prints only what is over the bar. Prints a table; asserts nothing.
"""

from __future__ import annotations

import math
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import yaml

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

from tests.planning.bikes import random_bike  # noqa: E402

BAR_S, BAR_MB = 2.0, 300.0
MOST_S, MOST_BYTES = 20, 3 * 2**30
ENVIRONMENT = {name: said for name, said in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
"""As somebody has it who has run the program before: compiled files are kept."""

COMMANDS = (
    "check",
    "check --format json",
    "check --format html",
    "check --format sarif",
    "plan",
    "plan --format json",
    "rundown",
    "rundown --format html",
    "range",
    "range --format json",
    "charge",
    "meter --volts {volts}",
    "compare {build}",
    "sheet --for customer",
    "sheet --for workshop",
)


class Used(NamedTuple):
    """What a process took: its time [s], its greatest memory [MB], how it ended."""

    time_s: float
    memory_mb: float
    status: int
    error: str


def run(arguments: list[str], most_s: int = MOST_S, most_bytes: int = MOST_BYTES, **options: Any) -> Used:
    """A command in a process with limits; its output is thrown away.

    A small process starts it: what a process took at most is counted with what the one held that started it.
    """
    bounds = (str(most_s), str(most_bytes))
    report, told = os.pipe()
    with tempfile.TemporaryFile() as errors, open(report, encoding="ascii") as answer:
        subprocess.run(
            [sys.executable, "-S", "-c", STARTER, str(told), *bounds, sys.executable, "-m", "packyoke", *arguments],
            stdout=subprocess.DEVNULL,
            stderr=errors,
            env=ENVIRONMENT,
            pass_fds=(told,),
            check=True,
            **{"stdin": subprocess.DEVNULL, **options},
        )
        os.close(told)
        time_s, memory_kb, status = answer.read().split()
        errors.seek(0)
        last = errors.read().decode("utf-8", "replace").strip().splitlines()[-1:]
    return Used(float(time_s), int(memory_kb) / 1024, os.waitstatus_to_exitcode(int(status)), last[0] if last else "")


STARTER = """
import os, resource, sys
told, most_s, most_bytes = map(int, sys.argv[1:4])
child = os.fork()
if child == 0:
    os.close(told)
    resource.setrlimit(resource.RLIMIT_CPU, (most_s, most_s + 1))
    resource.setrlimit(resource.RLIMIT_AS, (most_bytes, most_bytes))
    os.execv(sys.argv[4], sys.argv[4:])
_, status, used = os.wait4(child, 0)
os.write(told, f"{used.ru_utime + used.ru_stime} {used.ru_maxrss} {status}".encode())
"""


def example(name: str) -> dict[str, Any]:
    tree: dict[str, Any] = yaml.load((ROOT / "examples" / f"{name}.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
    return tree


def chain(packs: int, joiners: int | None = None) -> dict[str, Any]:
    """Packs behind a chain of blocking joiners; joiners beyond the packs have one lead in."""
    tree = example("breakwater-three-packs")
    north, first = tree["packs"]["north"], tree["joiners"]["first"]
    tree["packs"] = {f"p{each}": {**north} for each in range(packs)}
    count = packs - 1 if joiners is None else joiners
    tree["joiners"] = {f"j{each}": {**first} for each in range(count)}
    plain = tree["leads"]["north lead"]
    leads = {"pl0": {**plain, "from": "p0", "to": "j0"}}
    for at in range(count):
        if at + 1 < packs:
            leads[f"pl{at + 1}"] = {**plain, "from": f"p{at + 1}", "to": f"j{at}"}
        leads[f"jl{at}"] = {**plain, "from": f"j{at}", "to": f"j{at + 1}" if at < count - 1 else "controller"}
    tree["leads"] = leads
    tree["chargers"]["depot"].pop("fits", None)
    tree["racks"]["bed"] = {"limit": "150 kg", "load": "10 kg"}  # a bike at stop has no range and no customer's sheet
    return tree


def without(tree: dict[str, Any], *fields: str) -> dict[str, Any]:
    """The same with facts that nobody knows: `packs.resistance` is that of every pack."""
    for field in fields:
        section, key = field.split(".")
        for part in tree[section].values():
            part.pop(key, None)
    return tree


def doubled_leads(count: int) -> dict[str, Any]:
    tree = example("breakwater-three-packs")
    names = list(tree["leads"])
    for at in range(count - len(names)):
        name = names[at % len(names)]
        tree["leads"][f"{name} {at}"] = {**tree["leads"][name]}
    return tree


def web(joiners: int, leads: int, turned: bool) -> dict[str, Any]:
    """24 packs and joiners led to each other in every way; some leads run back where `turned`."""
    tree = chain(24, joiners)
    plain = tree["leads"]["pl0"]
    pairs = [(a, b) for step in range(1, joiners) for a in range(joiners - step) for b in (a + step,)]
    for a, b in pairs[: leads - len(tree["leads"])]:
        back = turned and (a + b) % 3 == 0
        source, target = (b, a) if back else (a, b)
        tree["leads"][f"w{a}-{b}"] = {**plain, "from": f"j{source}", "to": f"j{target}"}
    return tree


def many(section: str, count: int, part: dict[str, Any], base: str = "breakwater-three-packs") -> dict[str, Any]:
    tree = example(base)
    tree[section] = {**{f"{section[:3]} {each}": {**part} for each in range(count)}}
    return tree


def places(count: int) -> dict[str, Any]:
    tree = example("saltpan-planned")
    known = list(tree["places"])
    for at in range(count - len(known)):
        tree["places"][f"spot {at}"] = {"holds": "1", "mount": "frame metal"}
        tree["runs"].append({"between": [known[at % len(known)], f"spot {at}"], "length": f"{200 + 10 * at} mm"})
    return tree


def laid_out(seed: int, packs: int, count: int) -> dict[str, Any]:
    """Packs anywhere on a bike, with no joiner at its place and no lead."""
    tree: dict[str, Any] = yaml.safe_load(random_bike(Random(seed), packs, count, holds=4))
    return tree


def rides(count: int) -> dict[str, Any]:
    ride = {"rider": "75 kg", "load": "20 kg", "speed": "22 km/h", "hills": "6 m per km", "stops": "1 per km"}
    return many("ride", count, ride, "skerry-long-tail")


def listed(section: str, count: int, entry: Callable[[int], dict[str, str]]) -> dict[str, Any]:
    tree = example("skerry-long-tail")
    tree[section] = [entry(each) for each in range(count)]
    return tree


LAMP = {"from": "yoke", "max": "60 V", "current": "0.02 A"}
SHAPES: dict[str, Callable[[], dict[str, Any]]] = {
    "3 packs, all known": lambda: example("breakwater-three-packs"),
    "3 packs, resistance and cut-off unknown": lambda: without(chain(3), "packs.resistance", "packs.cut_off"),
    "3 packs, joiners' and leads' facts unknown": lambda: without(
        chain(3), "joiners.resistance", "joiners.ceiling", "joiners.blocks_in", "leads.gauge", "packs.fuse"
    ),
    "6 packs, all known": lambda: chain(6),
    "6 packs, resistance, cut-off, bms unknown": lambda: without(
        chain(6), "packs.resistance", "packs.cut_off", "packs.bms"
    ),
    "12 packs, all known": lambda: chain(12),
    "24 packs, all known": lambda: chain(24),
    "24 packs, resistance unknown": lambda: without(chain(24), "packs.resistance"),
    "3 packs, 64 joiners": lambda: chain(3, 64),
    "3 packs, 40 doubled leads": lambda: doubled_leads(40),
    "3 packs, 200 doubled leads": lambda: doubled_leads(200),
    "24 packs, 200 leads in a web": lambda: web(23, 200, False),
    "24 packs, 200 leads in a web with loops": lambda: web(40, 200, True),
    "100 accessories": lambda: many("accessories", 100, LAMP, "skerry-long-tail"),
    "60 places": lambda: places(60),
    "60 rides": lambda: rides(60),
    "12 packs in a row, gauges open": lambda: without(chain(12), "leads.gauge"),
    "24 packs in a row, gauges, ends and fuses open": lambda: without(
        chain(24), "leads.gauge", "leads.ends", "leads.fuse"
    ),
    "6 packs to be laid out, 8 places": lambda: laid_out(18, 6, 8),
    "7 packs to be laid out, 8 places": lambda: laid_out(0, 7, 8),
    "12 packs to be laid out, 8 places": lambda: laid_out(3, 12, 8),
    "6 packs to be laid out, 20 places": lambda: laid_out(28, 6, 20),
    "60 chargers": lambda: many(
        "chargers", 60, {"output": "58.8 V", "current": "4 A", "plug": "XLR 3"}, "skerry-long-tail"
    ),
    "200 readings": lambda: listed(
        "measured",
        200,
        lambda at: {"date": "2026-11-20", "part": "packs.keel", "what": "voltage", "value": f"{50 + at / 100:.2f} V"},
    ),
    "200 acceptances": lambda: listed(
        "accept",
        200,
        lambda at: {
            "rule": "fuse-missing",
            "part": "packs.keel",
            "because": f"said so {at}",
            "by": "workshop lead",
            "found": f"{at + 1} A",
            "until": "2027-06-30",
        },
    ),
}


class Written(yaml.SafeDumper):
    """Writes out what is the same; a build file has no aliases."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def write(file: Path, tree: dict[str, Any]) -> None:
    file.write_text(yaml.dump(tree, Dumper=Written, sort_keys=False, allow_unicode=True, width=200), encoding="utf-8")


def track(points: int, step_m: float, segments: int = 1) -> str:
    """A GPX track round and round over hills."""
    lines = ['<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>']
    radius_m = 5000.0
    for at in range(points):
        turn = at * step_m / radius_m
        if at and at % max(1, points // segments) == 0:
            lines.append("</trkseg><trkseg>")
        lines.append(
            f'<trkpt lat="{50 + math.degrees(math.cos(turn) * radius_m / 6.371e6):.7f}" '
            f'lon="{10 + math.degrees(math.sin(turn) * radius_m / 6.371e6 / math.cos(math.radians(50))):.7f}">'
            f"<ele>{200 + 40 * math.sin(at * step_m / 400):.1f}</ele></trkpt>"
        )
    return "\n".join([*lines, "</trkseg></trk></gpx>"])


def cases(folder: Path) -> Iterator[tuple[str, list[str]]]:
    """Every command on every shape."""
    for shape, made in SHAPES.items():
        tree = made()
        build = folder / f"{shape.replace(' ', '-').replace(',', '').replace(chr(39), '')}.yaml"
        write(build, tree)
        volts = ",".join(f"{name}={50 + at % 4}" for at, name in enumerate(tree["packs"]))
        for command in COMMANDS:
            first, *rest = command.format(volts=volts, build=build).split()
            yield f"{command.replace(' {volts}', '').replace(' {build}', '')}: {shape}", [first, str(build), *rest]
    build = ROOT / "examples" / "breakwater-three-packs.yaml"
    for points, step_m, segments in ((20_000, 8.0, 1), (20_000, 30.0, 1), (50_000, 12.0, 1), (20_000, 20.0, 500)):
        file = folder / f"{points}-{step_m:.0f}-{segments}.gpx"
        file.write_text(track(points, step_m, segments), encoding="utf-8")
        for form in ("text", "html", "json"):
            name = f"range --route --format {form}: {points} points, {points * step_m / 1000:.0f} km, {segments} parts"
            yield name, ["range", str(build), "--route", str(file), "--format", form]


def main() -> None:
    only = sys.argv[sys.argv.index("--only") + 1] if "--only" in sys.argv else ""
    print(f"{'command and build':78}  time s   MB  status")
    run(["--version"])
    with tempfile.TemporaryDirectory() as folder:
        for name, arguments in cases(Path(folder)):
            if only not in name:
                continue
            used = run(arguments)
            told = used.status in (0, 1) or "harness is broken" in used.error
            over = used.time_s > BAR_S or used.memory_mb > BAR_MB or not told
            if over or "--slow" not in sys.argv:
                mark = f"!  {used.error[:100]}" if over else ""
                print(f"{name:78} {used.time_s:6.2f} {used.memory_mb:5.0f} {used.status:4} {mark}", flush=True)


if __name__ == "__main__":
    main()
