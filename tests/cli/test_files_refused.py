"""Files and folders that cannot be read or written: which one and why, in one line and in the words of the system."""

from __future__ import annotations

import errno
import io
import os
import sys
from pathlib import Path

import pytest

from packyoke.buildfile.writing import files
from packyoke.cli.intake import FoundFile, below
from tests.cli.conftest import Run
from tests.support import EXAMPLES

CLEAN = EXAMPLES / "skerry-long-tail.yaml"
NONE, FULL = os.strerror(errno.ENOENT), os.strerror(errno.ENOSPC)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("plan", "none.yaml"), f"packyoke: none.yaml cannot be opened: {NONE}\n"),
        (("compare", "none.yaml", "none.yaml"), f"packyoke: none.yaml cannot be opened: {NONE}\n"),
        (("check", CLEAN, "--against", "none.json"), f"packyoke: --against none.json cannot be opened: {NONE}\n"),
        (("charge", CLEAN, "--shop", "none.yaml"), f"packyoke: the shop file none.yaml cannot be read: {NONE}\n"),
        (("find", "--uses", "XT60", "none.yaml"), f"none.yaml: {NONE}\n1 could not be read, 0 read\n"),
        (("charge", CLEAN, "--output", "no/a.txt"), f"packyoke: no/a.txt cannot be written: {NONE}\n"),
        (
            ("start", "--packs", "2", "no/a.yaml"),
            f"packyoke: no/a.yaml cannot be written: {NONE}; what was answered stands above\n",
        ),
    ],
)
def test_what_is_not_there_is_named(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: tuple[str | Path, ...], said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    status, _, err = packyoke(*arguments)
    assert (status, err[-len(said) :]) == (2, said)
    assert [*tmp_path.iterdir()] == []


def test_a_build_that_is_not_there_does_not_hide_the_others(packyoke: Run) -> None:
    status, out, err = packyoke("check", "none.yaml", CLEAN, "--lines", "{file} {message}", "--no-shop")
    assert (status, err) == (2, "1 could not be read, 0 at stop or open, of 2\n")
    assert out.splitlines()[0] == f"none.yaml cannot be opened: {NONE}"


def test_what_lies_in_a_folder_and_cannot_be_read_is_found(tmp_path: Path) -> None:
    (tmp_path / "round.yaml").symlink_to("round.yaml")
    (found,) = below(str(tmp_path))
    assert found == FoundFile(str(tmp_path / "round.yaml"), fault=os.strerror(errno.ELOOP))
    file = tmp_path / "no-folder"
    file.write_text("", encoding="utf-8")
    assert below(str(file)) == [FoundFile(str(file), fault=os.strerror(errno.ENOTDIR))]


class Full(io.StringIO):
    """A stream on a full disk."""

    asked = 0

    def write(self, text: str) -> int:
        self.asked += 1
        raise OSError(errno.ENOSPC, FULL)


def test_an_answer_that_cannot_be_printed_is_no_answer(packyoke: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdout", Full())
    assert packyoke("why", "packs-rush") == (2, "", f"packyoke: the answer cannot be printed: {FULL}\n")


def test_a_message_that_cannot_be_printed_leaves_the_status(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of two builds it is said how many are at stop."""
    other = tmp_path / "other.yaml"
    other.write_bytes(CLEAN.read_bytes())
    full = Full()
    monkeypatch.setattr(sys, "stderr", full)
    assert packyoke("check", CLEAN, other, "--no-shop")[0] == 0
    assert full.asked > 0


def test_a_file_that_cannot_be_put_in_order_on_a_full_disk_stays(
    packyoke: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, FULL)

    monkeypatch.setattr(files, "write_new", full)
    file, text = tmp_path / "a.yaml", "packyoke: 1\npacks: {}\nname: x\n"
    file.write_text(text, encoding="utf-8")
    status, out, err = packyoke("tidy", file, "--replace", "--no-shop")
    assert (status, out, err) == (2, "", f"packyoke: {file} cannot be written: {FULL}\n")
    assert file.read_text("utf-8") == text
