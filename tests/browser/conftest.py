"""One browser for all tests of a file."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.browser.session import Browser


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with Browser(tmp_path_factory.mktemp("browser")) as one:
        yield one
