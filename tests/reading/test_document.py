"""The tree of texts with places, what is refused, and the slips that YAML swallows."""

from __future__ import annotations

import pytest
import yaml

from packyoke.buildfile.reading import document
from packyoke.buildfile.reading.document import Document, Mapping, Node, Scalar, Sequence, parse
from packyoke.core.findings import Finding, Severity, Span, clean
from packyoke.page.caret import caret_lines


@pytest.fixture(params=["CSafeLoader", "SafeLoader"])
def _either_loader(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(document, "_Loader", getattr(yaml, request.param))


def findings(text: str | bytes) -> list[Finding]:
    result = parse(text, "a.yaml")
    return result if isinstance(result, list) else result.mistakes


def tree(text: str | bytes) -> Mapping:
    result = parse(text, "a.yaml")
    assert isinstance(result, Document), [finding.message for finding in result]
    assert not result.mistakes
    return result.root


def value(text: str | bytes, *path: str) -> Node:
    node: Node = tree(text)
    for name in path:
        assert isinstance(node, Mapping)
        node = {key.text: below for key, below in node.entries}[name]
    return node


# YAML 1.1 makes booleans, octal, sexagesimal and dates of these; a build file keeps what was typed.
@pytest.mark.parametrize(
    "typed", ["no", "on", "1:30", "012", "1_000", "1e3", "00", "2027-99-99", "~", "null", "9" * 4000]
)
@pytest.mark.usefixtures("_either_loader")
def test_text_stays_as_typed(typed: str) -> None:
    scalar = value(f"a: {typed}\n", "a")
    assert isinstance(scalar, Scalar)
    assert (scalar.text, scalar.plain) == (typed, True)


WHOLE = "Type the character itself:  \U0001f600   Or write it as  \\U0001F600"
HALF, PAIR = "half of a character", "a character in two halves"


@pytest.mark.parametrize(
    ("line", "column", "end", "message", "do"),
    [
        (r'name: "a \ud83d\ude00 b"', 10, 22, PAIR, WHOLE),  # as programs write JSON that know 16 bits
        (r'{"name": "\uD83D\uDE00"}', 11, 23, PAIR, WHOLE),
        (r'"\ud83d\ude00": 1', 2, 14, PAIR, WHOLE),
        (r'name: "a \ud83d b"', 10, 16, HALF, "Type the character itself."),
        (r'name: "\ud83d\u0041"', 8, 14, HALF, "Type the character itself."),
        (r'name: "\ude00"', 8, 14, HALF, "Type the character itself."),
        (r'name: "\ude00\ud83d"', 8, 20, HALF, "Type the character itself."),
    ],
)
@pytest.mark.usefixtures("_either_loader")
def test_half_a_character_is_told_where_it_stands(line: str, column: int, end: int, message: str, do: str) -> None:
    (found,) = findings(f"# a\n{line}\n")
    assert (found.span, found.message, found.do) == (Span(2, column, 2, end), message, do)


@pytest.mark.parametrize(
    ("written", "text"),
    [
        (r'"\U0001F600"', "\U0001f600"),
        ('"\U0001f600"', "\U0001f600"),
        (r'"\u0041\ud7ff\ue000"', "A\ud7ff\ue000"),
        (r'"\\ud83d"', r"\ud83d"),
        (r"'\ud83d\ude00'", r"\ud83d\ude00"),
        (r"\ud83d\ude00", r"\ud83d\ude00"),
    ],
)
@pytest.mark.usefixtures("_either_loader")
def test_what_is_no_half_is_read(written: str, text: str) -> None:
    scalar = value(f"a: {written}\n", "a")
    assert isinstance(scalar, Scalar)
    assert scalar.text == text


@pytest.mark.usefixtures("_either_loader")
def test_what_is_no_character_at_all_is_a_mistake() -> None:
    assert len(findings('a: "\\U00110000"\n')) == 1


@pytest.mark.usefixtures("_either_loader")
def test_places_count_characters_from_one() -> None:
    text = "name: Ünïcode 字\npacks:\n  keel: {mass: 5.6 kg, ends: [a, 'b c']}\n"
    root = tree(text)
    assert root.entries[0][1].span == Span(1, 7, 1, 16)
    packs = root.entries[1][1]
    assert isinstance(packs, Mapping)
    keel = packs.entries[0][1]
    assert isinstance(keel, Mapping)
    assert [key.span for key, _ in keel.entries] == [Span(3, 10, 3, 14), Span(3, 24, 3, 28)]
    ends = keel.entries[1][1]
    assert isinstance(ends, Sequence)
    assert [(item.text, item.plain, item.span) for item in ends.items if isinstance(item, Scalar)] == [
        ("a", True, Span(3, 31, 3, 32)),
        ("b c", False, Span(3, 34, 3, 39)),
    ]
    assert ends.span == Span(3, 30, 3, 40)


def test_lines_are_kept_and_block_text_is_text() -> None:
    result = parse("name: |\n  two\n  lines\nb: 1\r\nc: 2", "a.yaml")
    assert isinstance(result, Document)
    assert (result.lines, result.file) == (["name: |", "  two", "  lines", "b: 1", "c: 2"], "a.yaml")
    first = result.root.entries[0][1]
    assert isinstance(first, Scalar)
    assert first.text == "two\nlines\n"


@pytest.mark.usefixtures("_either_loader")
def test_byte_order_mark_is_passed_over() -> None:
    assert tree("\ufeffa: 1\n".encode()).entries[0][0].span == Span(1, 1, 1, 2)


def test_finding_is_a_stop_on_the_file_itself() -> None:
    (finding,) = findings("a: *x\n")
    assert (finding.rule, finding.severity, finding.part, finding.kind, finding.field) == (
        "unreadable",
        Severity.STOP,
        "build",
        "will-not-work",
        "a",
    )
    assert finding.excerpt == "a: *x"


@pytest.mark.parametrize(
    ("text", "place", "message", "do"),
    [
        ("a: &x 1\n", (1, 4), "anchor", "quotes"),
        ("a: &x {b: 1}\n", (1, 4), "anchor", "again"),
        ("a: *x\n", (1, 4), "alias", '"*x"'),
        ("a: !!python/object:os.system x\n", (1, 4), "tag", "quotes"),
        ("a: !!bool x\n", (1, 4), "tag", "quotes"),
        ("a: !!timestamp x\n", (1, 4), "tag", "quotes"),
        ("a: ! x\n", (1, 4), "tag", "quotes"),
        ("a:\n  <<: {b: 1}\n", (2, 3), "merge key", "like"),
        ("a: 1\nb: 2\na: 3\n", (3, 1), '"a" is there twice', "First on line 1"),
        ("packs:\n  left: 1\n  Left: 2\n", (3, 3), '"Left" is there twice', "First on line 2"),
        ("a: {b: 1, b: 2}\n", (1, 11), "twice", "line 1"),
        ("a: 1\n---\nb: 1\n", (2, 1), "second document", "own"),
        ("", (1, 1), "empty", "packyoke: 1"),
        ("# only this\n", (1, 1), "empty", "packyoke: 1"),
        ("---\n", (1, 1), "empty", "packyoke: 1"),
        ("- a\n- b\n", (1, 1), "a list", "name: value"),
        ("just words\n", (1, 1), "one text", "name: value"),
        ("? [a, b]\n: x\n", (1, 3), "cannot be a name", "name: value"),
        ("{[a]: b}\n", (1, 2), "cannot be a name", "name: value"),
        (b"a: 1\nb: caf\xe9\n", (2, 7), "UTF-8", "UTF-8"),
        ("a: 1\n".encode("utf-16"), (1, 1), "UTF-16", "UTF-8"),
        (b"\xfe\xff" + "a: 1\n".encode("utf-16-be"), (1, 1), "UTF-16", "UTF-8"),
        ("a: 1\n".encode("utf-32"), (1, 1), "UTF-32", "UTF-8"),
        ("a: \ud800\n", (1, 4), "no place", "anew"),
        ("a: 1\nb: \x01\n", (2, 4), "no place", "anew"),
        ("a\0b", (1, 2), "no place", "anew"),
        ("a: 1\n\ufeffb: 1\n", (2, 1), "no place", "anew"),
    ],
)
@pytest.mark.usefixtures("_either_loader")
def test_refused(text: str | bytes, place: tuple[int, int], message: str, do: str) -> None:
    (finding,) = findings(text)
    assert finding.span is not None
    assert finding.span[:2] == place
    assert message in finding.message
    assert do in finding.do


@pytest.mark.parametrize(
    ("text", "place", "message", "do"),
    [
        # a comma, a colon or a number sign that YAML reads otherwise
        ("x: {continuous: 22,5 A}\n", (1, 17), "comma in a number", "22.5 A"),
        ("x: {peak: 60 A for 1,5 s, b: 1}\n", (1, 11), "comma in a number", "60 A for 1.5 s"),
        ("x: {limit: 1,500 kg}\n", (1, 12), "comma in a number", "1500 kg  or"),
        ("x: {continuous:25 A}\n", (1, 5), "no space after the colon", "Write  {continuous: 25 A}"),
        ("ticket: #118\n", (1, 9), "nothing here", 'ticket: 118  or put it in quotes:  ticket: "#118"'),
        ("name: bike #3\n", (1, 12), 'reads as "bike" only', 'name: "bike #3"'),
        ("a:\n  - red #4\n", (2, 9), 'reads as "red" only', '"red #4"'),
        ("volts:48\n", (1, 1), "no space after the colon", "volts: 48"),
        ("a:\n  b: 36 V\n  volts:48\n", (3, 3), "no space after the colon", "volts: 48"),
        ("a:\n  volts:48\n  b: 36 V\n", (2, 3), "no space after the colon", "volts: 48"),
        ("a:\n  volts:48\n", (2, 3), "no space after the colon", "volts: 48"),
        ("a: 3 kg\n   volts:48\n", (2, 4), "no space after the colon", "volts: 48"),
        ("name: Harbour round: city bike\n", (1, 20), "a colon inside a text", 'name: "Harbour round: city bike"'),
        # characters that no text starts with
        ("a: %5\n", (1, 4), "cannot start with %", 'a: "%5"'),
        ("a: @home # x\n", (1, 4), "cannot start with @", 'a: "@home"'),
        ("a: `x`\n", (1, 4), "cannot start with `", 'a: "`x`"'),
        ("a: & x\n", (1, 4), "cannot start with &", '"& x"'),
        ("a:\t48 V\n", (1, 3), "a tab", "spaces"),
        ("a: \t48 V\n", (1, 4), "a tab", "spaces"),
        ("a:\n\tb: 1\n", (2, 1), "a tab", "spaces"),
        ("a:\n  b: 1\n\t\tc: 1\n", (3, 1), "a tab", "spaces"),
        ("a:\n  b:\n  \tc: 1\n  d: 2\n", (3, 3), "a tab", "spaces"),
        # lines that do not line up
        (
            "packs:\n  a:\n    label: 36 V\n    mass: 3 kg\n   series: 10\n",
            (5, 4),
            "this line starts 3 in, its neighbours 4",
            "mass:  on line 4",
        ),
        (
            "packs:\n  a:\n    label: 36 V\n     series: 10\n",
            (4, 6),
            "starts 5 in, its neighbours 4",
            "label:  on line 3",
        ),
        ("packs:\n  a:\n    label: 36 V\n b:\n    c: 1\n", (4, 2), "starts 1 in, its neighbours 2", "a:  on line 2"),
        ("mass 3 kg\nlabel: 36 V\n", (1, 1), "no colon", "Write  mass: 3 kg"),
        ("a:\n-x\n", (2, 1), "no space after the dash", "- x"),
        ("a: 1\n- b\n", (2, 1), "a list item among names", "[a, b]"),
        ("a: - b\n", (1, 4), "a list cannot start here", "brackets"),
        # brackets and quotes
        ("a: {b: 1\nc: 2\n", (1, 4), "the { is never closed", "end of line 1"),
        ("a: {b: 1", (1, 4), "the { is never closed", "end of line 1"),
        ("a: [b, c\nd: 3\n", (1, 4), "the [ is never closed", "end of line 1"),
        ("a: {b: #12, c: 1}\nd: 3\n", (1, 8), "the # takes the } away", "Take the # away"),
        ("a: {b: 1,\n  c: [2 # two, 3]}\nd: 3\n", (2, 9), "the # takes the ] away", "behind the  ]"),
        ("a: {b: 1, # one\n  c: 2\nd: 3\n", (1, 4), "the { is never closed", "end of line 2"),
        ("a: {b: x#1, c: 1\nd: 2\n", (1, 4), "the { is never closed", "end of line 1"),
        ("a: {b: 1]\n", (1, 9), "opened with { but closed with ]", "}"),
        ("a: {b: 1}}\n", (1, 10), "one } too many", "out"),
        ("a: {b: 1 A c: 2}\n", (1, 13), "a comma is missing", "comma"),
        ('a: "xx\nb: 1\n', (1, 4), 'the " is never closed', '"'),
        ("a: 'xx\nb: 1\n", (1, 4), "the ' is never closed", "'"),
        ('a: "x" y\nb: 1\n', (1, 8), "text after the closing quote", "whole text"),
        ("a: {b: 1} x\nb: 2\n", (1, 11), "text after the closing bracket", "inside"),
        ("a: {b: ?, c: 2}\n", (1, 8), "a question mark by itself", "find out"),
    ],
)
@pytest.mark.usefixtures("_either_loader")
def test_slip(text: str, place: tuple[int, int], message: str, do: str) -> None:
    (finding,) = findings(text)
    assert finding.span is not None
    assert finding.span[:2] == place
    assert message in finding.message
    assert do in finding.do


@pytest.mark.parametrize(
    "text",
    [
        "name: bike # 3\n",
        "name: bike  # a comment\nb: {c: 1} #also one\n",
        "name: bike#3\n",
        'name: "bike #3"\nticket: "#118"\n',
        "# x\n  # y\n#z\na: 1\n",
        "a: #only a heading\n  b: 1\n",
        "a: # nothing yet\nb: 1\n",
        "ticket: see\n  https://example.invalid/quote\n",
        "a: 13:45\nb: x:y\n",
        'a: "1,5"\nb: [1,5]\nc: "\t"\n',
        "a: {b, c: 1}\n",
    ],
)
def test_not_a_slip(text: str) -> None:
    tree(text)


def test_every_mistake_is_told_in_the_order_of_the_file() -> None:
    text = "a: *x\nb: {c: 22,5 A}\nd: bike #3\na: !t 1\ne: {f:1}\n"
    told = [(finding.span.line if finding.span else 0, finding.message) for finding in findings(text)]
    assert told == [
        (1, "an alias (*) is not read"),
        (2, "comma in a number"),
        (3, 'reads as "bike" only'),
        (4, '"a" is there twice'),
        (4, "a tag (!) is not read"),
        (5, "no space after the colon"),
    ]


def test_mistakes_before_a_broken_line_are_kept() -> None:
    assert [finding.message for finding in findings("a: *x\nb: %5\n")] == [
        "an alias (*) is not read",
        "a text cannot start with %",
    ]


def test_path_names_the_field() -> None:
    assert [f.field for f in findings("packs:\n  frame pack:\n    discharge: {continuous: 22,5 A}\n")] == [
        "packs.frame pack.discharge"
    ]
    assert [f.field for f in findings("packs:\n  a:\n    label: bike #3\n")] == ["packs.a.label"]


ALIAS_BOMB = "a: &a [x, x]\n" + "".join(
    f"{chr(98 + i)}: &{chr(98 + i)} [*{chr(97 + i)}, *{chr(97 + i)}]\n" for i in range(20)
)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a: " + "[" * 40 + "]" * 40, "nested deeper than 32 levels"),
        ("[" * 1_000_000, ""),
        ("a:\n" + "".join(" " * i + "a:\n" for i in range(1, 60)), "nested deeper than 32 levels"),
        ("- a\n" * 30_000, "more than 20000 values"),
        ("".join(f"k{i}: 1\n" for i in range(15_000)), "more than 20000 values"),
        ("a: " + "x" * 5000, "more than 4096 characters"),
        ("a: " + "x" * 1_000_000, "more than 1 MB"),
        ("é" * 600_000, "more than 1 MB"),
        (b"\xff" * 2_000_000, "more than 1 MB"),
        (ALIAS_BOMB, "an anchor (&) is not read"),
        ("a: &a [*a]\n", "an anchor (&) is not read"),
        ("a: &a {<<: *a}\n", "an anchor (&) is not read"),
        ("a: " + "x: " * 300_000, "a colon inside a text"),
    ],
    ids=lambda text: text[:12].decode(errors="replace") if isinstance(text, bytes) else str(text)[:12],
)
def test_bombs_are_refused(text: str | bytes, message: str) -> None:
    told = findings(text)
    assert message in told[0].message
    assert len(told) <= 100


def test_levels_and_values_of_a_build_fit() -> None:
    tree("a: " + "[" * 31 + "]" * 31)
    tree("".join(f"k{i}: 1\n" for i in range(9_000)))


def test_carets_stand_under_the_place() -> None:
    (finding,) = findings("packs:\n  n: {continuous: 22,5 A}\n")
    assert caret_lines(finding) == ["  n: {continuous: 22,5 A}", "                  ^^^^^^"]


def test_long_line_is_cut_round_the_place() -> None:
    (finding,) = findings("a: {" + ", ".join(f"k{i}: 1" for i in range(60)) + ", c: *x, z: 1}\n")
    line, carets = caret_lines(finding)
    assert len(line) <= 76
    assert line[carets.index("^") : carets.index("^") + 2] == "*x"
    assert line.startswith("...")


def test_carets_count_wide_and_clean_unseen_characters() -> None:
    (finding,) = findings('字: "\u202e\u200b" #\n字字: *y\n')
    assert caret_lines(finding)[1] == "      ^^"  # two wide characters take four columns
    (unseen,) = findings('a: ["\u202ex", *y]\n')
    line, carets = caret_lines(unseen)
    assert "\u202e" not in line
    assert line[carets.index("^") : carets.index("^") + 2] == "*y"


@pytest.mark.parametrize(
    ("text", "cleaned"),
    [
        ("plain", "plain"),
        ("a\nb\tc", "a b c"),
        ("\x1b[31mred", "\ufffd[31mred"),
        ("\u202eevil\u200b", "\ufffdevil\ufffd"),
        ("x" * 100, "x" * 57 + "..."),
    ],
)
def test_clean(text: str, cleaned: str) -> None:
    assert clean(text) == cleaned
