"""docs/validation.md shows what the tests hold."""

from __future__ import annotations

from tests.reference.validation import PAGE, page


def test_the_validation_page_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == page()
