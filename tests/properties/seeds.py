"""Drawn builds by their numbers, from the command line: what is wrong with each, and how many there were."""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path


def over_seeds(about: str, wrong: Callable[[int, Path, tuple[str, ...]], list[str]], verdict: str) -> None:
    """Print what is wrong with each number asked for, a line each, and end with 1 when anything is.

    :param about: what the help says first
    :param wrong: what is wrong with one number, written in a folder, with the commands asked for
    :param verdict: what is said of those with which something is wrong
    """
    parser = argparse.ArgumentParser(description=about)
    parser.add_argument("--from", dest="first", type=int, default=0)
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--seconds", type=float, default=float("inf"), help="stop after this time")
    parser.add_argument("--only", nargs="*", default=(), help="commands")
    asked = parser.parse_args()
    begun, tried, bad = time.monotonic(), 0, 0
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(asked.first, asked.first + asked.count):
            if time.monotonic() - begun > asked.seconds:
                break
            found = wrong(seed, Path(folder), tuple(asked.only))
            tried, bad = tried + 1, bad + bool(found)
            for line in found:
                print(line, flush=True)
    print(f"{tried} builds in {time.monotonic() - begun:.0f} s, {bad} of them {verdict}")
    sys.exit(1 if bad else 0)
