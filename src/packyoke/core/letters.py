"""One spelling of a letter with its marks, however a keyboard or another machine wrote it."""

from __future__ import annotations

from unicodedata import normalize


def composed(text: str) -> str:
    """The text with each letter and its accents as one character (Unicode Standard Annex 15, form C).

    >>> len("e\\u0301"), len(composed("e\\u0301"))
    (2, 1)
    """
    return text if text.isascii() else normalize("NFC", text)
