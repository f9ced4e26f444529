"""The public Python interface, which the command line itself uses: load a build file, check it.

What stands in `__all__` is promised (docs/api.md); everything else may change. Numbers of results are in the unit that
is named beside them, or that their name ends with: `_wh`, `_m`, `_a`, `_v`, `_k`, `_kg`, `_fraction`.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from packyoke import __version__
from packyoke.buildfile.reading import Document, Shop, is_build, is_foreign, is_shop, load_shop, parse, read_build
from packyoke.buildfile.reading import load as _load
from packyoke.core.findings import Amount, Finding, Severity, Span
from packyoke.model import Build
from packyoke.rules import VERSION as RULES_VERSION
from packyoke.shelf import SHELF
from packyoke.verdict.check import check as _check
from packyoke.verdict.check import failed, unreadable
from packyoke.verdict.report import Assumed, Batch, Cure, GoodFor, PackSet, PartLine, Question, Report, TreeLine

if TYPE_CHECKING:
    from packyoke.core.unit_words import Quantity

__all__ = [
    "Amount",
    "Assumed",
    "Batch",
    "Build",
    "Cure",
    "Finding",
    "GoodFor",
    "PackSet",
    "PartLine",
    "Question",
    "Report",
    "Severity",
    "Shop",
    "Span",
    "TreeLine",
    "batch",
    "check",
    "check_file",
    "load",
    "load_found",
    "load_shop",
    "quantity",
]


def load(text: str | bytes, file: str = "-", *, shop: Shop | None = None, today: str = "") -> Build | list[Finding]:
    """Read a build from its text. Gives the build, or every mistake that was found in it.

    :param text: YAML, at most 1 MB; bytes are UTF-8
    :param file: what findings call it
    :param shop: the shop file whose defaults and shelf count; none is looked for
    :param today: the day in ISO 8601 from which acceptances count; empty: dates are not compared

    >>> [each.message for each in load("packyoke: 1\\nname: x\\nvolts: 48 V\\n")]
    ['no field "volts"']
    """
    return _load(text, file, shop=shop, today=today or None)


def load_found(text: bytes, file: str, *, shop: Shop | None = None, today: str = "") -> Build | list[Finding] | str:
    """Read a file that was found in a folder: like `load`, but a file that is no build gives the reason to skip it.

    >>> load_found(b"services: {}\\n", "compose.yaml")
    'no packyoke line'
    """
    document = parse(text, file)
    if not isinstance(document, Document):
        # What cannot be parsed cannot be said to be no build, unless it is plain that it is something else.
        return "YAML of something else" if is_foreign(text) else document
    if is_shop(document):
        return "a shop file; the one that is used without --shop is called packyoke-shop.yaml"
    if not is_build(document):
        return "no packyoke line"
    return read_build(document, shop=shop, today=today or None)


def check(
    build: Build | list[Finding], file: str = "-", *, today: str = "", brief: bool = False, rides: bool = True
) -> Report:
    """Check a build, or report why there is none: never raises for what stands in a build.

    `today` (ISO 8601) decides which acceptances still count; `brief` leaves it at verdict, findings and questions;
    without `rides` it is not worked out how far each set of packs carries the everyday ride.
    """
    if isinstance(build, Build):
        try:
            return _check(build, today=today, brief=brief, rides=rides)
        except Exception as error:
            return failed(build, error)
    return unreadable(file, build)


def check_file(path: Path, *, today: str = "") -> Report:
    """Read and check one file. Raises OSError when it cannot be opened."""
    return check(load(path.read_bytes(), str(path), today=today), str(path), today=today)


def quantity(amount: Amount) -> Quantity:
    """A figure of a result as a quantity of pint, in the unit that it is shown in.

    All come from one registry, so that they add up. Raises ValueError for a count ("2 packs").

    >>> quantity(Amount(45.0, "mV"))
    <Quantity(45.0, 'millivolt')>
    >>> f"{quantity(Amount(86.0, 'degF')).to('degC').magnitude:.1f}"
    '30.0'
    """
    from packyoke.core.unit_words import quantity as of_pint  # pint takes as long to load as a check

    return of_pint(amount.value, amount.unit)


def batch(
    reports: list[Report], skipped: list[tuple[str, str]] | None = None, only: frozenset[str] | None = None
) -> Batch:
    """Reports of one run with the versions that made them, and the rules that it was `only` about."""
    return Batch(
        tool=__version__,
        rules=RULES_VERSION,
        shelf=SHELF,
        reports=tuple(reports),
        skipped=tuple(skipped or ()),
        only=None if only is None else tuple(sorted(only)),
    )
