"""Many files, one after the other or several at once: what comes of them keeps the order of the files."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Generator, Sequence
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

    from packyoke.api import Report
    from packyoke.cli.files import Shops
    from packyoke.cli.intake import FoundFile


class Read(NamedTuple):
    """What came of one file: its report, or why it was passed over; what is to be said of it, and the files that were
    read for it and so are never written to."""

    file: str
    report: Report | None = None
    skipped: str = ""
    told: str = ""
    named: tuple[str, ...] = ()


ReadOne = Callable[["FoundFile", "Shops"], Read]


def each_read(files: Sequence[FoundFile], shops: Shops, read: ReadOne, jobs: int) -> Generator[Read, None, None]:
    """What comes of each file, in their order.

    :param jobs: processes at once; 0 is one on each core. One process reads standard input or a single file.
    """
    jobs = min(jobs or os.cpu_count() or 1, len(files))
    if jobs < 2 or any(each.name == "-" for each in files):
        yield from (read(each, shops) for each in files)
        return
    for each in files:  # here, so that a shop file with mistakes is told once and ends the command
        if not (each.skipped or each.fault):
            shops.for_build(each.name)
    workers: list[tuple[BaseProcess, Connection]] = []
    try:
        workers += (_started(files[first::jobs], shops, read) for first in range(jobs))
        for at in range(len(files)):
            try:
                one: Read = workers[at % jobs][1].recv()
            except EOFError:
                raise RuntimeError(f"the process that checked {files[at].name} has ended") from None
            yield one
    finally:
        for process, _ in workers:
            process.terminate()
        for process, _ in workers:
            process.join()


def _started(files: Sequence[FoundFile], shops: Shops, read: ReadOne) -> tuple[BaseProcess, Connection]:
    """A process of its own and the pipe that it answers on: no queue is shared, so nothing can wait for one that died.

    Ctrl-C is kept from it: who started it is told, says so and ends it.
    """
    from multiprocessing import Pipe, Process

    ours, theirs = Pipe(duplex=False)
    process = Process(target=_work, args=(theirs, files, shops, read), daemon=True)
    blocked = hasattr(signal, "pthread_sigmask")
    if blocked:
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        process.start()
    finally:
        if blocked:
            signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
    theirs.close()
    return process, ours


def _work(answers: Connection, files: Sequence[FoundFile], shops: Shops, read: ReadOne) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for each in files:
        answers.send(read(each, shops))
