"""A draft of `start` as it stands after the packs, for tests of what answers do to it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from packyoke.answers.start.draft import Draft
from packyoke.answers.start.taking import Again

FIRST, SECOND, THIRD = "packs.first", "packs.second", "packs.third"


def drafted(count: int = 2, alike: bool = False, label: str = "48 V") -> Draft:
    draft = Draft("bike")
    draft.set_packs(count)
    draft.put(FIRST, "label", label)
    for pack in draft.packs[1:]:
        draft.put(pack, "label", label)
    if alike:
        draft.set_alike(True)
    return draft


def refused(take: Callable[[Draft, str], str], draft: Draft, text: str, said: str) -> None:
    with pytest.raises(Again, match=said):
        take(draft, text)
