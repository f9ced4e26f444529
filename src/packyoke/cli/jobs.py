"""Many files, one after the other or several at once: what comes of them keeps the order of the files."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Generator, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Generic, NamedTuple, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

    from packyoke.cli.files import Shops
    from packyoke.cli.intake import FoundFile

Made = TypeVar("Made")

PAYS_FROM_FILES = 50
"""So many files for each process make up for what it costs to start one."""


class Read(NamedTuple, Generic[Made]):
    """What came of one file: what was made of it, or why it was passed over; what is to be said of it, and the files
    that were read for it and so are never written to."""

    file: str
    made: Made | None = None
    skipped: str = ""
    told: str = ""
    named: tuple[str, ...] = ()


ReadOne = Callable[["FoundFile", "Shops"], Read[Made]]
NotRead = Callable[["FoundFile", str], Read[Made]]
"""What is made of a file whose process has ended over it, and why that one ended."""


def each_read(
    files: Sequence[FoundFile], shops: Shops, read: ReadOne[Made], not_read: NotRead[Made], jobs: int | None
) -> Generator[Read[Made], None, None]:
    """What comes of each file, in their order.

    A file whose process ends over it (killed, or out of memory) is not tried again: it may end the next one too. A new
    process does what the other had left.

    :param jobs: processes at once; 0 is one on each core, None as many of them as pay. One process reads standard
        input or a single file.
    """
    cores = os.cpu_count() or 1
    jobs = min(cores, len(files) // PAYS_FROM_FILES) if jobs is None else min(jobs or cores, len(files))
    if jobs < 2 or any(each.name == "-" for each in files):
        yield from (read(each, shops) for each in files)
        return
    for each in files:  # here, so that a shop file with mistakes is told once and ends the command
        if not (each.skipped or each.fault):
            shops.for_build(each.name)
    workers: list[tuple[BaseProcess, Connection]] = []
    try:
        try:
            workers += (_started(files[first::jobs], shops, read) for first in range(jobs))
        except OSError:  # the system gives no more processes: this one does it
            yield from (read(each, shops) for each in files)
            return
        for at, file in enumerate(files):
            process, answers = workers[at % jobs]
            try:
                one: Read[Made] | Exception = answers.recv()
            except (EOFError, OSError):  # nothing came, or half of it
                one = not_read(file, _end_of(process))
                if left := files[at + jobs :: jobs]:
                    with suppress(OSError):  # no process is to be had: nothing comes of the next one either
                        workers[at % jobs] = _started(left, shops, read)
            if isinstance(one, Exception):
                raise one
            yield one
    finally:
        for process, _ in workers:
            process.kill()  # it writes no file; a polite signal may be one that our starter had us ignore
        for process, _ in workers:
            process.join()


def _end_of(process: BaseProcess) -> str:
    """How a process ended whose pipe has an end."""
    process.kill()  # it is on its way out, and nothing may make us wait for it
    process.join()
    code = process.exitcode or 0
    with suppress(ValueError):
        return f"its process was ended by {signal.Signals(-code).name}"
    return f"its process ended with {code}"


def _started(files: Sequence[FoundFile], shops: Shops, read: ReadOne[Made]) -> tuple[BaseProcess, Connection]:
    """A process of its own and the pipe that it answers on: no queue is shared, so nothing can wait for one that died.

    Ctrl-C is kept from it: who started it is told, says so and ends it.
    """
    from multiprocessing import Pipe, Process

    ours, theirs = Pipe(duplex=False)
    process = Process(target=_work, args=(ours, theirs, files, shops, read), daemon=True)
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


def _work(
    asker: Connection, answers: Connection, files: Sequence[FoundFile], shops: Shops, read: ReadOne[Made]
) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    asker.close()  # held open here it would look like somebody who still listens
    try:
        for each in files:
            answers.send(read(each, shops))
    except BrokenPipeError:  # nobody is left who asks
        pass
    except Exception as error:  # who asks raises it, so that it is told as one process tells it
        with suppress(Exception):  # else that this one has ended
            from traceback import format_exception

            error.add_note("".join(format_exception(error)))
            answers.send(error)
