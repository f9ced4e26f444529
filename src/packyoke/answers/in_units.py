"""What is shown, in the units that were asked for; what somebody wrote stays as it was written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, TypeVar

from packyoke.core.findings import Fixed
from packyoke.model.build import Stated
from packyoke.shelf.connectors import connector_names

Shown = TypeVar("Shown")


def in_units(what: Shown, system: str, *written: Any) -> Shown:
    """A page or a sheet as it is, or in US units.

    :param system: "metric" or "us"
    :param written: builds and shop files whose names and texts are left alone
    """
    if system == "metric":
        return what
    from packyoke.page.us import in_us
    from packyoke.shelf.wires import awg_words

    return in_us(what, [*connector_names(), *(text for each in written for text in _texts(each))], awg_words)


def _texts(what: Any) -> Iterator[str]:
    """Every text in a build or a shop file, names of parts too."""
    if isinstance(what, Stated):  # our own words for what nobody wrote
        return
    if isinstance(what, str):
        yield what
    elif isinstance(what, Mapping):
        for key, value in what.items():
            yield from _texts(key)
            yield from _texts(value)
    elif isinstance(what, tuple | list):
        for each in what:
            yield from _texts(each)
    elif isinstance(what, Fixed):
        yield from _texts(vars(what))
