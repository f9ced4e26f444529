"""Where PyYAML was built without libyaml its own parser reads: the same trees, the same mistakes told."""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from packyoke.buildfile.reading import document
from packyoke.buildfile.reading.document import Document, parse
from packyoke.core.findings import Finding
from tests.properties.drawn_builds import drawn
from tests.properties.drawn_values import as_text
from tests.properties.fuzz import CORPUS
from tests.properties.test_reading_never_crashes import judge
from tests.reading import test_document
from tests.support import EXAMPLES

GOOD = [*sorted(EXAMPLES.glob("*.yaml")), Path(__file__).parent / "complete.yaml"]


@pytest.fixture(autouse=True)
def _pure(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(document, "_Loader", yaml.SafeLoader)


def same(text: str | bytes, monkeypatch: pytest.MonkeyPatch) -> tuple[object, object]:
    pure = parse(text, "a.yaml")
    with monkeypatch.context() as with_c:
        with_c.setattr(document, "_Loader", yaml.CSafeLoader)
        other = parse(text, "a.yaml")
    return shown(pure), shown(other)


def shown(found: Document | list[Finding]) -> object:
    """What of a reading must be the same: the tree with its places; of mistakes, where the first one is."""
    if isinstance(found, Document) and not found.mistakes:
        return list(_nodes(found.root))
    mistakes = found.mistakes if isinstance(found, Document) else found
    return mistakes[0].span and mistakes[0].span.line


def _nodes(node: object) -> Iterator[object]:
    span = (node.span.line, node.span.column)  # type: ignore[attr-defined]
    if isinstance(node, document.Scalar):
        yield span, node.text, node.plain
    elif isinstance(node, document.Mapping):
        for key, value in node.entries:
            yield from _nodes(key)
            yield from _nodes(value)
    elif isinstance(node, document.Sequence):
        yield span
        for item in node.items:
            yield from _nodes(item)


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.name)
def test_good_files(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pure, other = same(path.read_bytes(), monkeypatch)
    assert isinstance(pure, list)
    assert pure == other


@pytest.mark.parametrize("seed", range(20))
def test_drawn_builds(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    pure, other = same(as_text(drawn(seed)), monkeypatch)
    assert pure == other


@pytest.mark.parametrize("path", sorted((CORPUS / "build").iterdir()), ids=lambda path: path.name)
def test_kept_inputs(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    judge(parse(path.read_bytes(), "a.yaml"))


def test_broken_texts() -> None:
    """One good file with something put in, taken out or doubled: told, never another exception."""
    text = (EXAMPLES / "skerry-long-tail.yaml").read_text("utf-8")
    dice = random.Random(7)
    for _ in range(60):
        at = dice.randrange(len(text))
        put = dice.choice(
            (
                "\t",
                ": ",
                "{",
                "}",
                "[",
                "]",
                "'",
                '"',
                "&a ",
                "*a",
                "!!str ",
                "\n- ",
                "%",
                "@",
                "|",
                "\x00",
                "\u2028",
                "# ",
            )
        )
        judge(parse(text[:at] + put + text[at + dice.choice((0, 0, 1, 5)) :], "a.yaml"))


CASES = [
    (name, work)
    for name, work in vars(test_document).items()
    if name.startswith("test_")
    and callable(work)
    and not getattr(work, "pytestmark", ())
    and not work.__code__.co_argcount
]


@pytest.mark.parametrize("work", [work for _, work in CASES], ids=[name for name, _ in CASES])
def test_what_holds_with_libyaml(work: object) -> None:
    work()  # type: ignore[operator]
