"""How fast it is, as ratios measured in one run. Prints a table; asserts nothing.

    python tests/bench.py [--quick]

Bars: check on one build at most 0.75 of the bare import of the libraries; 1,000 files at most 1 ms each above
start-up, as whole reports on all cores 3 ms without stops and 15 ms with them; operating point of a six-pack chain
under 50 us; worst currents of 6 packs under 2 ms, of 12 under 50 ms; a plan for 6 packs and 8 places under 2 s; a
quote over 40 packs under 5 s of CPU.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT))

LIBRARIES = "import click, yaml, tabulate, pint; pint.UnitRegistry(None)"
FILES = ("skerry-long-tail", "breakwater-three-packs", "foghorn-lfp")


def process_s(arguments: list[str], runs: int) -> float:
    """Median wall time of a whole process, its output thrown away."""
    times = []
    # As installed: with compiled files beside the sources, whatever the shell says.
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    for _ in range(runs + 1):
        start = time.perf_counter()
        subprocess.run(
            arguments, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False, cwd=ROOT, env=environment
        )
        times.append(time.perf_counter() - start)
    return median(times[1:])


def start_up(runs: int) -> list[tuple[str, str, str]]:
    python = [sys.executable]
    bare = process_s([*python, "-c", "pass"], runs)
    libraries = process_s([*python, "-c", LIBRARIES], runs)
    check = process_s([*python, "-m", "packyoke", "check", "examples/skerry-long-tail.yaml"], runs)
    helps = process_s([*python, "-m", "packyoke", "--help"], runs)
    return [
        ("libraries / python -c pass", f"{libraries / bare:.1f}", "about 14"),
        ("check one build / libraries", f"{check / libraries:.2f}", "0.75"),
        ("check one build", f"{1000 * check:.0f} ms", ""),
        ("--help", f"{1000 * helps:.0f} ms", ""),
    ]


def another(name: str, index: int) -> str:
    """The file of one more bike: an example with leads of other lengths, so that no two files are alike."""
    text = (ROOT / "examples" / f"{name}.yaml").read_text(encoding="utf-8")
    return re.sub(r"\b([0-9]{3}) mm\b", lambda found: f"{int(found[1]) + index} mm", text)


def bulk(count: int) -> list[tuple[str, str, str]]:
    """Reading, circuit and all rules for many files, in this process."""
    from packyoke.answers.check.as_json import batch_json
    from packyoke.api import batch, check, load

    rows = []
    for name in FILES:
        texts = [another(name, index) for index in range(count // len(FILES))]
        check(load(texts[0], "warm.yaml"))
        start = time.perf_counter()
        for text in texts:
            load(text, "bench.yaml")
        read_s = (time.perf_counter() - start) / len(texts)
        start = time.perf_counter()
        for text in texts:
            check(load(text, "bench.yaml"), brief=True)
        total_s = (time.perf_counter() - start) / len(texts)
        start = time.perf_counter()
        some = texts[: max(1, len(texts) // 10)]
        reports = [check(load(text, "bench.yaml"), rides=False) for text in some]
        batch_json(batch(reports))
        whole_s = (time.perf_counter() - start) / len(reports)
        start = time.perf_counter()
        batch_json(batch([check(load(text, "bench.yaml")) for text in some]))
        ridden_s = (time.perf_counter() - start) / len(some)
        rows.append((f"a file of several to JSON, {name}", f"{1000 * whole_s:.1f} ms", "3 ms, 15 ms at stop"))
        rows.append((f"a file to JSON with its rides, {name}", f"{1000 * ridden_s:.1f} ms", ""))
        rows.append((f"a file, {name}", f"{1000 * total_s:.2f} ms (reading {1000 * read_s:.2f})", "1 ms"))
    return rows


def folder(count: int, runs: int) -> list[tuple[str, str, str]]:
    """The whole command on a folder, above its own start-up; whole reports on all cores."""
    stored = [path.stem for path in sorted((ROOT / "examples").glob("*.yaml"))]
    free = [name for name in stored if _verdict(name) in ("none-found", "caution")]
    kinds = [
        ("a file of a folder", FILES, ("--format", "lines"), "1 ms"),
        ("a file of a folder to JSON, all cores, without stops", free, ("--format", "json", "--jobs", "0"), "3 ms"),
        (
            "a file of a folder to JSON, all cores, at stop or open",
            [name for name in stored if _verdict(name) in ("stop", "open")],
            ("--format", "json", "--jobs", "0"),
            "15 ms",
        ),
    ]
    return [(f"{about}, of {count}", _above_start(names, count, runs, more), bar) for about, names, more, bar in kinds]


def _verdict(name: str) -> str:
    from packyoke.api import check, load
    from packyoke.model import Build

    build = load(another(name, 0), "bench.yaml")
    return check(build, brief=True).verdict if isinstance(build, Build) else ""


def _above_start(names: Sequence[str], count: int, runs: int, more: tuple[str, ...]) -> str:
    with tempfile.TemporaryDirectory() as place:
        for index in range(count):
            text = another(names[index % len(names)], index // len(names))
            (Path(place) / f"build-{index:04}.yaml").write_text(text, encoding="utf-8")
        command = [sys.executable, "-m", "packyoke", "check", "--no-shop", *more]
        one = process_s([*command, "examples/skerry-long-tail.yaml"], runs)
        many = process_s([*command, place], 1)
    return f"{1000 * (many - one) / count:.2f} ms"


def circuit() -> list[tuple[str, str, str]]:
    from tests.analysis.bench_circuit import measure

    bars = {"operating point": "50 us", "6": "2 ms", "12": "50 ms"}
    return [
        (name, f"{1e6 * seconds:.1f} us", next((bar for key, bar in bars.items() if key in name), ""))
        for name, seconds in measure().items()
    ]


def rundowns() -> list[tuple[str, str, str]]:
    from tests.analysis.bench_rundown import measure

    bars = {"rundown, 2-pack": "0.01 s", "rundown, 6-pack": "0.1 s", "ngspice / ": "5"}
    return [
        (name, f"{figure:.4g}", next((bar for start, bar in bars.items() if name.startswith(start)), ""))
        for name, figure in measure().items()
    ]


def charging() -> list[tuple[str, str, str]]:
    from tests.analysis.bench_charge import measure

    bars = {"order of 6 packs on 3 chargers": "10 ms"}
    return [(name, f"{1000 * seconds:.2f} ms", bars.get(name, "")) for name, seconds in measure().items()]


def plans() -> list[tuple[str, str, str]]:
    from tests.planning.bench_plan import measure

    bars = {"longest": "2 s"}
    return [
        (
            name,
            f"{figure:.0f}" if "proved" in name else f"{figure:.3f} s",
            next((bar for key, bar in bars.items() if key in name), ""),
        )
        for name, figure in measure().items()
    ]


def quotes() -> list[tuple[str, str, str]]:
    from tests.planning.bench_quote import measure

    return [(name, f"{seconds:.2f} s", "5 s") for name, seconds in measure().items()]


def main() -> None:
    quick = "--quick" in sys.argv
    rows = start_up(3 if quick else 11)
    rows += bulk(90 if quick else 900)
    rows += folder(100 if quick else 1000, 2 if quick else 5)
    rows += circuit()
    rows += quotes()
    rows += rundowns()
    rows += charging()
    rows += plans()
    wide = max(len(name) for name, _, _ in rows)
    for name, value, bar in rows:
        print(f"{name:<{wide}}  {value:<28} {'bar ' + bar if bar else ''}".rstrip())


if __name__ == "__main__":
    main()
