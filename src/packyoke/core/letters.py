"""One spelling of a letter with its marks, however a keyboard or another machine wrote it."""

from __future__ import annotations

from unicodedata import name, normalize


def composed(text: str) -> str:
    """The text with each letter and its accents as one character (Unicode Standard Annex 15, form C).

    >>> len("e\\u0301"), len(composed("e\\u0301"))
    (2, 1)
    """
    return text if text.isascii() else normalize("NFC", text)


def compatible(text: str) -> str:
    """The text in plain letters and digits where it has wide, raised or squeezed ones (the same, form KC).

    >>> compatible("\uff14\uff12\uff4b\uff47")
    '42kg'
    """
    return normalize("NFKC", text)


def of_another_script(text: str) -> str:
    """What to say of a letter among Latin ones that only looks like one of them; empty where there is none.

    >>> of_another_script("m\\u0430ss"), of_another_script("mass")
    ('The "\u0430" in it is a Cyrillic letter.', '')
    """
    if text.isascii() or not any(c.isascii() and c.isalpha() for c in text):
        return ""
    scripts = ((c, name(c, "").partition(" ")[0]) for c in text)
    return next((f'The "{c}" in it is a {s.title()} letter.' for c, s in scripts if s in ("CYRILLIC", "GREEK")), "")
