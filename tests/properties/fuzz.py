"""Inputs made by looking at which lines of the readers they reach: nothing may come out but a result or a mistake told.

    python -m tests.properties.fuzz --seconds 60 [TARGET ...]
    python -m tests.properties.fuzz --runs 10000

With a count in place of a time the inputs are the same in every run on one tree: no change is refused by chance.
Needs the package of the extra `fuzz`. Each target runs in a process of its own for its part of the time, from
`tests/data/fuzz/TARGET` and a few inputs made here. What breaks one is written to `--keep FOLDER` and ends it with 1;
put it into `tests/data/fuzz/TARGET` with the mend: `test_fuzz_corpus` tries all of them again, without the package.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
CORPUS = ROOT / "tests" / "data" / "fuzz"
TARGETS = ("build", "shop", "track", "quantity", "typed")
PATIENCE_S = 10
"""For one input; ordinary ones take milliseconds."""


def first_inputs(target: str) -> Iterator[bytes]:
    """Ordinary inputs to begin with."""
    if target == "build":
        yield from (path.read_bytes() for path in sorted((ROOT / "examples").glob("*.yaml")))
        yield (ROOT / "tests" / "reading" / "complete.yaml").read_bytes()
    elif target == "shop":
        yield (ROOT / "tests" / "planning" / "shop.yaml").read_bytes()
        yield from (path.read_bytes() for path in sorted((ROOT / "examples").glob("*/packyoke-shop.yaml")))
    elif target == "track":
        yield (ROOT / "examples" / "skerry-round.gpx").read_bytes()[:3000]
        yield (
            b'<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><name>a</name>'
            b'<trkseg><trkpt lat="50" lon="10"><ele>3</ele><time>2026-01-01T10:00:00Z</time></trkpt>'
            b'<trkpt lat="50.1" lon="10"/></trkseg></trk></gpx>'
        )
    else:
        lines = (ROOT / "tests" / "reading" / "spellings.csv").read_text("utf-8").splitlines()[1:]
        said = [line.split(",")[0] for line in lines]
        yield from (bytes([n % 256]) + each.encode() for n, each in enumerate(said))
        yield from (b"\x00north=51.2,south=60", b"\x00north=1.000 V", b"\x00")


def words(target: str) -> Iterator[str]:
    """What libFuzzer puts in now and then."""
    from packyoke.core.unit_names import spellings
    from packyoke.model.fields import FIELDS

    if target in ("build", "shop"):
        yield from {step for field in FIELDS for step in field.path.split(".") if step.isidentifier()}
        yield from {word for field in FIELDS for word in field.words}
        yield from {field.example for field in FIELDS if field.example}
    elif target == "track":
        yield from ("<trkpt lat='1' lon='2'>", "<trkseg>", "</trkseg>", "<ele>", "<time>", "<!DOCTYPE a [", "&a;")
        yield from ("<!ENTITY a 'b'>", "encoding='utf-16'", "1e999", "-0", "NaN", "<rte>", "<wpt>")
    else:
        yield from {spelling for known in spellings().values() for spelling in known}
        yield from (" for ", " at ", " to ", "1.000", "1,5", "−", "½", "1e9", "north=", "?")


def run(target: str, until: str, seed: int, keep: Path) -> int:
    """One target in a process of its own; its status."""
    with tempfile.TemporaryDirectory() as folder:
        grown, first = Path(folder) / "grown", Path(folder) / "first"
        grown.mkdir()
        first.mkdir()
        for n, data in enumerate(first_inputs(target)):
            (first / f"first-{n}").write_bytes(data)
        known = Path(folder) / "words"
        known.write_text("".join(f"{_quoted(word)}\n" for word in sorted(set(words(target))) if word), encoding="ascii")
        (CORPUS / target).mkdir(parents=True, exist_ok=True)
        return subprocess.run(
            [
                sys.executable,
                "-m",
                "tests.properties.fuzz",
                "--inside",
                target,
                str(grown),
                str(CORPUS / target),
                str(first),
                until,
                f"-timeout={PATIENCE_S}",
                f"-seed={seed}",
                "-rss_limit_mb=1500",
                "-max_len=6000",
                f"-dict={known}",
                f"-artifact_prefix={keep}/{target}-",
                "-verbosity=0",
                "-print_final_stats=1",
            ],
            cwd=ROOT,
            env=os.environ | {"PYTHONHASHSEED": "0"},
            check=False,
        ).returncode


def _quoted(word: str) -> str:
    """A word as a dictionary of libFuzzer takes it."""
    return '"' + "".join(f"\\x{byte:02x}" for byte in word.encode()[:60]) + '"'


def inside(target: str, arguments: list[str]) -> None:
    """The process of one target. Ends the program."""
    import atheris

    with atheris.instrument_imports(include=["packyoke.core", "packyoke.buildfile", "packyoke.answers.typed"]):
        from tests.properties.fuzz_targets import TARGETS as WORK
    atheris.Setup([sys.argv[0], *arguments], lambda data: WORK[target](bytes(data)))
    atheris.Fuzz()


def main() -> None:
    if "--inside" in sys.argv:
        target, *arguments = sys.argv[sys.argv.index("--inside") + 1 :]
        inside(target, arguments)
        return
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("targets", nargs="*", default=TARGETS)
    parser.add_argument("--seconds", type=int, default=60, help="for all targets together")
    parser.add_argument("--runs", type=int, default=0, help="of each target, in place of a time")
    parser.add_argument("--seed", type=int, default=1, help="another number tries other inputs")
    parser.add_argument(
        "--keep", type=Path, default=Path(tempfile.gettempdir()), help="where inputs that break are put"
    )
    asked = parser.parse_args()
    share = max(1, asked.seconds // len(asked.targets))
    until = f"-runs={asked.runs}" if asked.runs else f"-max_total_time={share}"
    asked.keep.mkdir(parents=True, exist_ok=True)
    bad = [target for target in asked.targets if run(target, until, asked.seed, asked.keep)]
    print(
        f"fuzzed {', '.join(asked.targets)}, {f'{asked.runs} inputs' if asked.runs else f'{share} s'} each: "
        + (f"broken: {', '.join(bad)}" if bad else "nothing broke")
    )
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()
