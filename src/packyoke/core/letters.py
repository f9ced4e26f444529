"""One spelling of a letter with its marks, however a keyboard or another machine wrote it."""

from __future__ import annotations

from unicodedata import category, name, normalize

_LATIN = dict(
    zip(
        "\u0430\u0435\u043e\u0440\u0441\u0443\u0445\u0455\u0456\u0458\u0501\u04bb\u051b\u051d\u04cf"
        "\u0410\u0412\u0415\u041a\u041c\u041d\u041e\u0420\u0421\u0422\u0423\u0425\u0405\u0406\u0408\u050c\u051a\u051c"
        "\u03bf\u03bd\u03b1\u03b9\u03ba\u03c1\u03c5\u03c7\u03f2\u03b3\u0391\u0392\u0395\u0396\u0397\u0399\u039a\u039c"
        "\u039d\u039f\u03a1\u03a4\u03a5\u03a7",
        "aeopcyxsijdhqwlABEKMHOPCTYXSIJGQWovaikpuxcyABEZHIKMNOPTYX",
        strict=True,
    )
)
"""Letters of the Cyrillic and the Greek script that look like Latin ones in most faces (judgement)."""
_UNSEEN = "\u115f\u1160\u3164\uffa0"
"""Letters that are drawn as nothing: fillers of Hangul syllables."""


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
    return script_of(text) if any(c.isascii() and c.isalpha() for c in text) else ""


def script_of(text: str) -> str:
    """The first letter of a text that may be taken for a Latin one, and of which script it is; empty where there is
    none."""
    if text.isascii():
        return ""
    scripts = ((c, name(c, "").partition(" ")[0]) for c in text)
    return next((f'The "{c}" in it is a {s.title()} letter.' for c, s in scripts if s in ("CYRILLIC", "GREEK")), "")


def looks(text: str) -> str:
    """What a text looks like to somebody who cannot see which script its letters are of, nor signs without a width.

    >>> looks("b\u0430ck") == looks("\u0412ack") == looks("Back") == looks("ba\u200bck\u3164")
    True
    """
    if text.isascii():
        return text.casefold()
    seen = (c for c in compatible(text) if c not in _UNSEEN and category(c) != "Cf")
    return "".join(_LATIN.get(letter, letter) for letter in seen).casefold()
