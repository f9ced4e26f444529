"""Many files, one after the other or several at once: what comes of them keeps the order of the files."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Generator, Sequence
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from packyoke.api import Report
    from packyoke.cli.files import Shops
    from packyoke.cli.intake import Found

AT_ONCE = 8
"""Most files that are handed to a process together."""


class Read(NamedTuple):
    """What came of one file: its report, or why it was passed over; what is to be said of it, and the files that were
    read for it and so are never written to."""

    file: str
    report: Report | None = None
    skipped: str = ""
    told: str = ""
    named: tuple[str, ...] = ()


Reader = Callable[["Found", "Shops"], Read]


def each_read(files: Sequence[Found], shops: Shops, read: Reader, jobs: int) -> Generator[Read, None, None]:
    """What comes of each file, in their order.

    :param jobs: processes at once; 0 is one on each core. One process reads standard input or a single file.
    """
    jobs = min(jobs or os.cpu_count() or 1, len(files))
    if jobs < 2 or any(each.name == "-" for each in files):
        yield from (read(each, shops) for each in files)
        return
    from concurrent.futures import ProcessPoolExecutor

    for each in files:  # here, so that a shop file with mistakes is told once and ends the command
        if not (each.skipped or each.fault):
            shops.for_build(each.name)
    pool = ProcessPoolExecutor(jobs, initializer=_start, initargs=(shops, read))
    try:
        yield from pool.map(_read, files, chunksize=max(1, min(AT_ONCE, len(files) // (2 * jobs))))
    finally:
        pool.shutdown(cancel_futures=True)


_with: list[tuple[Shops, Reader]] = []
"""What a process of a pool was started with."""


def _start(shops: Shops, read: Reader) -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # Ctrl-C ends it without a word; who started it says "interrupted"
    _with[:] = [(shops, read)]


def _read(file: Found) -> Read:
    shops, read = _with[0]
    return read(file, shops)
