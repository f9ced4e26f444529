"""Writing whole files or nothing: a temporary file beside the target, flushed to disk, then renamed."""

from __future__ import annotations

import errno
import os
import signal
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from secrets import token_hex

_NO_LINKS = {errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK, errno.EINVAL, errno.EACCES}
"""What a file system answers that has no second names for a file (FAT, exFAT, some shares)."""


class OutputExists(Exception):
    """The file is there already and nobody said that it may be replaced."""


class NotAFile(Exception):
    """A device, a pipe or a folder stands there: nothing that could be replaced."""


def write_new(path: Path, text: str, *, replace: bool = False) -> None:
    """Write a text to a file as UTF-8, all of it or nothing.

    A link is written through to its target. A new file gets the rights that the user's mask leaves; one that is
    replaced keeps its own. Signals wait until the file stands, so that no half of it is left.
    Raises OutputExists when the file is there and `replace` is not given, NotAFile when it is none, OSError when it
    cannot be written.
    """
    target = os.path.realpath(path)
    before = _state(target)
    if before is not None and not stat.S_ISREG(before.st_mode):
        raise NotAFile(str(path))
    if not replace and os.path.lexists(path):
        raise OutputExists(str(path))
    if before is not None and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    with _signals_wait():
        temporary = os.path.join(os.path.dirname(target), f".packyoke-{token_hex(6)}")
        number = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
        try:
            with open(number, "wb") as file:
                file.write(text.encode("utf-8", "replace"))
                file.flush()
                if before is not None:
                    _like(number, before)
                os.fsync(number)
            if replace:
                os.replace(temporary, target)
            else:
                _put_first(temporary, target)
        except FileExistsError:
            raise OutputExists(str(path)) from None
        finally:
            with suppress(OSError):
                os.unlink(temporary)


def _state(target: str) -> os.stat_result | None:
    try:
        return os.stat(target)
    except FileNotFoundError:
        return None


def _like(number: int, before: os.stat_result) -> None:
    """Owner and rights of the file that is replaced, as far as we may give them."""
    if hasattr(os, "fchown"):
        with suppress(OSError):
            os.fchown(number, before.st_uid, before.st_gid)
        with suppress(OSError):
            os.fchmod(number, stat.S_IMODE(before.st_mode))


def _put_first(temporary: str, target: str) -> None:
    """Give a file its name unless somebody took that meanwhile: a rename would overwrite what is there."""
    try:
        os.link(temporary, target)
        return
    except OSError as error:
        if error.errno not in _NO_LINKS:
            raise
    os.close(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
    try:
        os.replace(temporary, target)
    except OSError:
        os.unlink(target)
        raise


@contextmanager
def _signals_wait() -> Iterator[None]:
    """Hold back what would end the process between a file's first byte and its name."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    ending = {signal.SIGINT, signal.SIGTERM, signal.SIGHUP}
    before = signal.pthread_sigmask(signal.SIG_BLOCK, ending)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
