"""Writing whole files or nothing: a temporary file beside the target, flushed to disk, then renamed."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


class OutputExists(Exception):
    """The file is there already and nobody said that it may be replaced."""


def write_new(path: Path, text: str, *, replace: bool = False) -> None:
    """Write a text to a file, all of it or nothing.

    Raises OutputExists when the file is there and `replace` is not given, OSError when it cannot be written.
    """
    if path.exists() and not replace:
        raise OutputExists(str(path))
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o644)
        if replace:
            os.replace(temporary, path)
        else:
            # A link fails when somebody made the file meanwhile; a rename would overwrite it.
            os.link(temporary, path)
            os.unlink(temporary)
    except FileExistsError:
        os.unlink(temporary)
        raise OutputExists(str(path)) from None
    except BaseException:
        if os.path.exists(temporary):
            os.unlink(temporary)
        raise
