"""The command line in this process, as somebody types it."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from packyoke import cli

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def packyoke(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Exit status, what was printed, and what went to the other stream."""

    def call(*arguments: str | Path) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["packyoke", *map(str, arguments)])
        with pytest.raises(SystemExit) as end:
            cli.main()
        out, err = capsys.readouterr()
        return int(end.value.code or 0), out, err

    return call
