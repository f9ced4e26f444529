"""What is printed to: letters that a terminal has not, streams that are full or closed, readers that have gone."""

from __future__ import annotations

import codecs
import os
import sys
from typing import NoReturn, TextIO

_INSTEAD = {
    "\u2212": "-",
    "\u2013": "-",
    "\u2014": "-",
    "\u2026": "...",
    "\u03a9": "ohm",
    "\u2126": "ohm",
    "\u00b5": "u",
    "\u03bc": "u",
    "\u00b0": "deg ",
    "\u00d7": "x",
    "\u00b7": "*",
    "\u00b1": "+-",
    "\u2264": "<=",
    "\u2265": ">=",
    "\u2248": "~",
    "\u2192": "->",
    "\u2190": "<-",
    "\u00b2": "2",
    "\u00b3": "3",
    "\u00bd": " 1/2",
    "\u2018": "'",
    "\u2019": "'",
    "\u201c": '"',
    "\u201d": '"',
}
"""A minus that turns into a question mark would be another number."""


class CannotPrint(Exception):
    """The answer could not be printed; the text says why."""


def ready() -> None:
    """Prepare the streams of this process: files get UTF-8 whatever the locale, a terminal what it can show."""
    codecs.register_error("instead", _instead)
    for number, stream in enumerate((sys.stdin, sys.stdout, sys.stderr)):
        if stream is None:
            _occupy(number)
        elif number and hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding=stream.encoding if stream.isatty() else "utf-8", errors="instead")


def say(text: str, *, err: bool = False, nl: bool = True) -> None:
    """Print a text. To the other stream: messages, with whatever would act on a terminal made visible.

    A reader that has gone, or a stream that was closed from the start, changes nothing: the status is the answer.
    Raises CannotPrint where an answer is lost, on a full disk for example.
    """
    stream = sys.stderr if err else sys.stdout
    if stream is None:
        return
    try:
        stream.write((printable(text) if err else text) + ("\n" if nl else ""))
        stream.flush()
    except BrokenPipeError:
        hush(stream)
    except OSError as error:
        hush(stream)
        if not err:
            raise CannotPrint(reason(error)) from None


def reason(error: OSError) -> str:
    """Why the system did not do it, in its own words, without its number; the name of the file we say ourselves."""
    return error.strerror or str(error)


def hush(stream: TextIO | None) -> None:
    """Let what is left in a stream go nowhere, so that the end of the process has nothing to complain about."""
    try:
        if stream is not None:
            null = os.open(os.devnull, os.O_WRONLY)
            os.dup2(null, stream.fileno())
            os.close(null)
    except (OSError, ValueError):
        pass


def leave(status: int) -> NoReturn:
    """End the process at once: taking every module and object apart one by one takes as long as a tenth of a check."""
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None:
                stream.flush()
        except (OSError, ValueError):
            pass  # whoever read has gone, and what could not be printed was said before
    os._exit(status)


def printable(text: str, keep: str = "\n\t") -> str:
    """A text in which control characters, unseen ones and bytes that are no letters stand as `\\x1b`.

    >>> printable("a\\x1b[31m.yaml")
    'a\\\\x1b[31m.yaml'
    """
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() or c in keep or _blank(c) else _escape(c) for c in text)


def _blank(character: str) -> bool:
    """Whether it is a blank as others are, such as one that no line ends at; not one that starts a line."""
    return character >= "\xa0" and character.isspace() and character not in "\u2028\u2029"


def shown_name(name: str) -> str:
    """A file name as it is printed: on one line, whatever it holds, and so that it leads back to the file.

    A backslash of the name itself is doubled. `answers/check/sarif.py` turns it round.
    """
    return printable(name if os.sep == "\\" else name.replace("\\", r"\\"), keep="")


def _escape(character: str) -> str:
    code = ord(character)
    if 0xDC80 <= code <= 0xDCFF:  # a byte of a file name that is not UTF-8
        return f"\\x{code - 0xDC00:02x}"
    if 0x80 <= code <= 0xFF:  # `\x80` is a byte
        return f"\\u{code:04x}"
    return character.encode("unicode_escape").decode("ascii")


def _instead(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    from unicodedata import normalize

    text = error.object[error.start : error.end]
    shown = (_INSTEAD.get(c) or normalize("NFKD", c).encode("ascii", "ignore").decode() or "?" for c in text)
    return "".join(shown), error.end


def _occupy(number: int) -> None:
    """Keep the number of a stream that was closed, so that no file of ours gets it."""
    try:
        os.fstat(number)
    except OSError:
        null = os.open(os.devnull, os.O_RDWR)
        if null != number:
            os.dup2(null, number)
            os.close(null)
