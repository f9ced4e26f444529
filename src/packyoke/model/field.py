"""One row of the field table: all that is known about one line of a build file."""

from __future__ import annotations

from typing import Any, NamedTuple

KM = 1000.0
MM = 1e-3
MOHM = 1e-3

MUST, SPAN, DEFAULT, ABSENT, CHOICE = "must", "span", "default", "absent", "choice"


class Field(NamedTuple):
    """A line of the file. Numbers are SI.

    `path` as in the file (`*` or NAME for a name of the user's own), `attr` the attribute of the model part that holds
    it, `also` further attributes that the same line fills; both empty for structure. `need`: `must` (needed for a
    verdict), `span` (anything between the ends meanwhile), `default` (the value counts), `absent` (there is none),
    `choice` (for people only). `ends`: what a missing value may be. `words`: allowed words; for names the sections that
    they may be in. `second`: bounds of the second figure of a pair. `ask`: where to look. `listed`: a default that is
    shown among the assumptions.
    """

    path: str
    attr: str
    kind: str
    need: str
    missing: str
    about: str
    ends: tuple[Any, ...] = ()
    low: float | None = None
    high: float | None = None
    second: tuple[float, float] | None = None
    words: tuple[str, ...] = ()
    default: Any = None
    basis: str = "ours"
    ask: str = ""
    rules: str = ""
    example: str = ""
    also: tuple[str, ...] = ()
    listed: bool = False

    @property
    def needed(self) -> bool:
        """Whether a part means nothing without it."""
        return self.need == MUST and self.missing == "the file is refused"


NO_NUMBER = frozenset(("text", "word", "name", "names", "end", "end or list", "ends", "mapping", "date", "yes/no"))


def row(path: str, attr: str, kind: str, need: str, missing: str, about: str, /, **more: Any) -> Field:
    """A row whose ends are worked out: all words, or the bounds, unless it says something narrower."""
    if need in (MUST, SPAN) and "ends" not in more:
        if kind == "word":
            more["ends"] = more["words"]
        elif kind not in NO_NUMBER and more.get("low") is not None:
            more["ends"] = (more["low"], more["high"])
    return Field(path, attr, kind, need, missing, about, **more)
