"""Drawn builds through the commands under two seeds of hashes: every word must be the same.

    python -m tests.properties.hash_seeds --from 0 --count 60

Prints the number of each build of which a command says something else, and the command; ends with 1 when one did.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from hashlib import sha256
from pathlib import Path

from tests.properties.drawn_values import as_text
from tests.properties.known_bikes import bike_of
from tests.properties.other_order import answers

SEEDS = ("1", "3")


def tell(first: int, count: int) -> None:
    """A line for each build and command: its number, the command, what it said, as a digest."""
    with tempfile.TemporaryDirectory() as name:
        # Under one name in every process: the name of the file is said too.
        os.chdir(name)
        for seed in range(first, first + count):
            tree, _ = bike_of(seed)
            packs = [str(pack) for pack in tree.get("packs") or {} if not set(str(pack)) & set(",=")]
            for command, status, said in answers(as_text(tree), Path("."), packs):
                print(seed, command, status, sha256(said.encode()).hexdigest()[:16])


def differing(first: int, count: int) -> list[str]:
    """The lines of `tell` that are not the same under another seed of hashes."""
    call = [sys.executable, "-m", "tests.properties.hash_seeds", "--tell", "--from", str(first), "--count", str(count)]
    running = [
        subprocess.Popen(call, stdout=subprocess.PIPE, text=True, env={**os.environ, "PYTHONHASHSEED": seed})
        for seed in SEEDS
    ]
    one, other = (process.communicate()[0].splitlines() for process in running)
    if any(process.returncode for process in running):
        raise RuntimeError("a process failed; what it said stands above")
    return [line for line, same in zip(one, other, strict=True) if line != same]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--from", dest="first", type=int, default=0)
    parser.add_argument("--count", type=int, default=60)
    parser.add_argument("--tell", action="store_true", help="in this process, under its own seed")
    asked = parser.parse_args()
    if asked.tell:
        tell(asked.first, asked.count)
        return
    found = differing(asked.first, asked.count)
    for line in found:
        print(line)
    print(f"{asked.count} builds, {len(found)} answers that hang on the seed of hashes")
    sys.exit(1 if found else 0)


if __name__ == "__main__":
    main()
