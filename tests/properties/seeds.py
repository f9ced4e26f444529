"""Drawn builds by their numbers, from the command line: what is wrong with each, and how many there were."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

Wrong = Callable[[int, Path, tuple[str, ...]], list[str]]
"""What is wrong with the build of one number, written in a folder, with the commands asked for."""


def over_seeds(about: str, wrong: Wrong, verdict: str) -> None:
    """Print what is wrong with each number asked for, a line each, and end with 1 when anything is.

    :param about: what the help says first
    :param wrong: what is wrong with one number
    :param verdict: what is said of those with which something is wrong
    """
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--from", dest="first", type=int, default=0)
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--seconds", type=float, default=float("inf"), help="stop after this time")
    parser.add_argument("--only", nargs="*", default=(), help="commands")
    parser.add_argument("--processes", type=int, default=os.cpu_count(), help="how many at once, else one a core")
    asked = parser.parse_args()
    begun, tried, bad = time.monotonic(), 0, 0
    numbers = range(asked.first, asked.first + asked.count)
    with tempfile.TemporaryDirectory() as folder, ProcessPoolExecutor(asked.processes) as pool:
        look = partial(_look, wrong, Path(folder), tuple(asked.only), begun + asked.seconds)
        for found in pool.map(look, numbers):
            if found is None:
                pool.shutdown(cancel_futures=True)
                break
            tried, bad = tried + 1, bad + bool(found)
            for line in found:
                print(line, flush=True)
    print(f"{tried} builds in {time.monotonic() - begun:.0f} s, {bad} of them {verdict}")
    sys.exit(1 if bad else 0)


def _look(wrong: Wrong, folder: Path, only: tuple[str, ...], until: float, seed: int) -> list[str] | None:
    """What is wrong with one number, in a folder of this process; nothing is looked at after the time."""
    if time.monotonic() > until:
        return None
    own = folder / str(os.getpid())
    own.mkdir(exist_ok=True)
    return wrong(seed, own, only)
