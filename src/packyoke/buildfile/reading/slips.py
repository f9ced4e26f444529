"""The wording of what goes wrong while typing YAML: the place, what it reads as, and the line to type instead."""

from __future__ import annotations

import re

from packyoke.core.findings import Finding, Severity, Span, clean
from packyoke.core.paths import BUILD

_KEY = re.compile(r"\s*(?:- +)*([^\s:#\[\]{},\"'][^:#\[\]{},]*?) *:(?: +|$)")
_BARE = re.compile(r"\s*(?:- +)?([A-Za-z_][\w '-]*):(?!//)([^\S \t]*)([^\s:].*)")
_COMMENT = re.compile(r"[ \t]*#(\S.*)")
_ODD_INDENT = re.compile(r"[ \t]*[^\S \t\n\r](?=\s*\S)").match
_TAKEN = re.compile(r"(?<=[ \t])#(.*)")
FORMER = {"rollback": "falls_to"}
"""Fields that had another name before, by that name."""
COUNTS = {
    word: str(number)
    for number, word in enumerate(("none", "one", "two", "three", "four", "five", "six", "seven", "eight"))
}
"""Counts in letters."""
_MOST_FIELD, _MOST_SAID = 120, 1000
"""Letters of what a mistake says, with all that it quotes of a file: judgement."""
_CLOSER = {"{": "}", "[": "]"}


def mistake(lines: list[str], span: Span, message: str, do: str, why: str = "", path: str = "") -> Finding:
    """A finding about the file itself; `path` names the field, the source line goes along for the carets.

    What it quotes of the file is put on one line here, for all who quote.
    """
    return Finding(
        rule="unreadable",
        severity=Severity.STOP,
        part=BUILD,
        message=clean(message, _MOST_SAID),
        span=span,
        kind="will-not-work",
        field=clean(path, _MOST_FIELD),
        why=clean(why, _MOST_SAID),
        do=clean(do, _MOST_SAID),
        excerpt=_line(lines, span.line - 1),
    )


def _line(lines: list[str], index: int) -> str:
    return lines[index] if 0 <= index < len(lines) else ""


def _indent(text: str) -> int:
    return len(text) - len(text.lstrip())


def _from(lines: list[str], line: int, column: int) -> Span:
    """From a place to the end of its line, both counted from 0."""
    return Span(line + 1, column + 1, line + 1, max(len(_line(lines, line).rstrip()), column + 1) + 1)


def _quoted(text: str) -> str:
    if '"' not in text and "\\" not in text:
        return f'"{text}"'
    return "'" + text.replace("'", "''") + "'"


def comma_in_number(lines: list[str], span: Span, head: str, tail: str, path: str) -> Finding:
    """`{continuous: 22,5 A}`: a comma starts the next item."""
    do = f"For a decimal write a point:  {clean(head)}.{clean(tail)}"
    if re.match(r"[0-9]{3}(?![0-9])", tail):
        do = f"Write  {clean(head)}{clean(tail)}  or, for a decimal, a point:  {clean(head)}.{clean(tail)}"
    why = f'A comma starts the next item, so this reads as "{clean(head)}" and then "{clean(tail)}".'
    return mistake(lines, span, "comma in a number", do, why, path)


def no_space(lines: list[str], span: Span, name: str, rest: str, path: str, braces: bool = False) -> Finding:
    """`volts:48`: without a space the colon belongs to the text."""
    line = f"{clean(name)}: {clean(rest.strip())}"
    do = f"Write  {{{line}}}" if braces else f"Write  {line}"
    why = "What looks like one is another blank, as pages and phones put it." if rest[:1].isspace() else ""
    return mistake(lines, span, "no space after the colon", do, why, path)


def bare_line(lines: list[str], line: int, path: str = "") -> Finding | None:
    """A whole line like `volts:48`, if this is one."""
    found = _BARE.match(_line(lines, line))
    if found is None:
        return None
    return no_space(lines, _from(lines, line, found.start(1)), found[1], f"{found[2]}{found[3]}", path)


def comment(lines: list[str], line: int, column: int, name: str, text: str, path: str) -> Finding | None:
    """`bike #3` and `#118`: a number sign takes the rest of the line away. A text, perhaps empty, ends here."""
    found = _COMMENT.match(_line(lines, line), column)
    if found is None:
        return None
    rest = clean(found[1].rstrip())
    label = f"{clean(name)}: " if name else ""
    whole = _quoted(f"{clean(text)} #{rest}".lstrip())
    span = _from(lines, line, found.start(1) - 1)
    if text:
        do = f"Write  {label}{whole}  or, for a comment, leave a space after the #."
        return mistake(lines, span, f'reads as "{clean(text)}" only', do, "Everything after # is a comment.", path)
    do = f"Write  {label}{rest}  or put it in quotes:  {label}{whole}"
    return mistake(lines, span, "nothing here", do, "Everything after # is a comment.", path)


def tab(lines: list[str], line: int, column: int, path: str = "") -> Finding:
    """A tab where YAML wants spaces."""
    span = Span(line + 1, column + 1, line + 1, column + 2)
    return mistake(lines, span, "a tab", "Put spaces in its place; most editors do that by themselves.", "", path)


HALF = re.compile(r"\\u([dD][89a-fA-F][0-9a-fA-F]{2})")
"""Half a character beyond the first 65,536, as JSON writes them."""


def syntax(lines: list[str], problem: str, at: tuple[int, int], opened: tuple[int, int] | None) -> Finding:
    """What the scanner stumbled over, told from the lines. Places are (line, column) from 0."""
    line, column = at
    text = _line(lines, line)
    for index in (line, _above(lines, line)):
        if index is not None and (odd := _ODD_INDENT(_line(lines, index))):
            span = Span(index + 1, odd.end(), index + 1, odd.end() + 1)
            do = "Type spaces in its place: it looks like one and is another blank."
            return mistake(lines, span, "indented with a character that is no space", do)
    if "cannot start any token" in problem:
        return _first_character(lines, line, column)
    if "mapping values" in problem:
        return _colon(lines, line, column)
    if "could not find expected ':'" in problem and opened:
        return _no_colon(lines, *opened)
    if "expected ',' or" in problem and opened:
        return _bracket(lines, line, column, opened)
    if opened and _line(lines, opened[0])[opened[1] : opened[1] + 1] in ('"', "'"):
        return _quote(lines, problem, at, opened)
    if opened and "alphabetic or numeric" in problem:
        return _first_character(lines, *opened)
    if "sequence entries" in problem:
        do = "Put a list on lines of its own below its name, or in brackets:  [a, b]"
        return mistake(lines, _from(lines, line, column), "a list cannot start here", do)
    if any(words in problem for words in ("expected key", "block end", "document start", "'-' indicator")):
        return _stray(lines, line, column)
    if "directive" in problem:
        return _first_character(lines, line, 0)
    if text[column:].startswith("?"):
        do = "Not known? Leave the line out: it then goes on the list of things to find out."
        return mistake(lines, Span(line + 1, column + 1, line + 1, column + 2), "a question mark by itself", do)
    for index in (line, line - 1):
        blank = re.match(r"[ \t]*", _line(lines, index))
        if index >= 0 and blank is not None and "\t" in blank[0]:
            return tab(lines, index, blank[0].index("\t"))
    do = f"Something is missing here, or too much, just before:  {clean(text[column:].strip(), 40) or 'the end'}"
    return mistake(lines, Span(line + 1, column + 1, line + 1, column + 2), "cannot be read from here on", do)


def _first_character(lines: list[str], line: int, column: int) -> Finding:
    text = _line(lines, line)
    if text[column : column + 1] == "\t":
        return tab(lines, line, column)
    key = _KEY.match(text)
    label = f"{clean(key[1])}: " if key and key.end() <= column else ""
    value = clean(re.sub(r"[ \t]#.*", "", text[column:]).strip())
    rest = text[column + 1 :].strip()
    do = f"Put it in quotes:  {label}{_quoted(value)}"
    if not text[:column].strip() and _KEY.match(rest):
        do = f"Take it away:  {clean(rest)}"
    return mistake(lines, _from(lines, line, column), f"a text cannot start with {value[:1]}", do)


def _colon(lines: list[str], line: int, column: int) -> Finding:
    text = _line(lines, line)
    key = _KEY.match(text)
    if key and key.end() <= column:
        name, value = clean(key[1]), clean(re.sub(r"[ \t]#.*", "", text[key.end() :]).strip())
        span = Span(line + 1, column + 1, line + 1, column + 2)
        return mistake(lines, span, "a colon inside a text needs quotes", f"Write  {name}: {_quoted(value)}", "", name)
    above = _above(lines, line)
    if above is not None and not _KEY.match(lines[above]):
        return _no_colon(lines, above, _indent(lines[above]))
    return _uneven(lines, line)


def _above(lines: list[str], line: int) -> int | None:
    """The nearest line above that says something."""
    before = range(min(line, len(lines)) - 1, -1, -1)
    return next((i for i in before if lines[i].strip() and lines[i].lstrip()[0] != "#"), None)


def _uneven(lines: list[str], line: int) -> Finding:
    """A line between two indents: its neighbours are the enclosing keys whose indent comes nearest."""
    own = _indent(_line(lines, line))
    enclosing: list[tuple[int, int]] = []  # (indent, line), from the inside out
    for i in range(min(line, len(lines)) - 1, -1, -1):
        if _KEY.match(lines[i]) and (not enclosing or _indent(lines[i]) < enclosing[-1][0]):
            enclosing.append((_indent(lines[i]), i))
            if enclosing[-1][0] == 0:
                break
    if not enclosing or any(indent == own for indent, _ in enclosing):
        do = "Write each line as  name: value  below its part."
        return mistake(lines, _from(lines, line, own), "does not fit the lines above", do)
    indent, neighbour = min(enclosing, key=lambda place: abs(place[0] - own))
    key = _KEY.match(lines[neighbour])
    do = f"Line it up with  {clean(key[1]) if key else ''}:  on line {neighbour + 1}."
    span = Span(line + 1, own + 1, line + 1, own + 2)
    return mistake(lines, span, f"this line starts {own} in, its neighbours {indent}", do)


def _no_colon(lines: list[str], line: int, column: int) -> Finding:
    text = _line(lines, line)
    bare = bare_line(lines, line)
    if bare:
        return bare
    if re.match(r"\s*-[^\s-]", text):
        do = f"Write  - {clean(text.strip()[1:])}"
        return mistake(lines, _from(lines, line, _indent(text)), "no space after the dash", do)
    sign = re.search(r"[^\s#][ \t]{1,9}(?=#\S)", text)
    if sign:
        do = "Leave the # out of names, and put quotes round a text that has one."
        span = _from(lines, line, sign.end())
        return mistake(lines, span, "ends before its colon", do, "Everything after # is a comment.")
    said = text.strip()
    words = re.match(r"([A-Za-z_][\w-]*)(?: *[=\uff1a]\s*| +)(\S.*)", said)
    do = f"Write  {words[1]}: {clean(words[2])}" if words else "Write  name: value"
    return mistake(lines, _from(lines, line, min(column, len(text))), "no colon in this line", do)


def _bracket(lines: list[str], line: int, column: int, opened: tuple[int, int]) -> Finding:
    text = _line(lines, line)
    opener = _line(lines, opened[0])[opened[1] : opened[1] + 1]
    closer = _CLOSER.get(opener, "}")
    met = text[column : column + 1]
    here = Span(line + 1, column + 1, line + 1, column + 2)
    if met in ("]", "}") and met != closer:
        return mistake(lines, here, f"opened with {opener} but closed with {met}", f"Write  {closer}  here.")
    closes, opens = text.find(closer), text.find(opener)
    if met and closes >= 0 and (line == opened[0] or opens < 0 or closes < opens):
        do = "Put a comma between two entries, and quotes round a text with a colon or a bracket in it."
        return mistake(lines, here, "a comma is missing before this", do)
    for at in range(opened[0], line + 1):
        sign = _TAKEN.search(_line(lines, at), opened[1] if at == opened[0] else 0)
        if sign and closer in sign[1]:
            do = f"Take the # away, or put quotes round the text with it. A comment comes behind the  {closer} ."
            span = _from(lines, at, sign.start())
            return mistake(lines, span, f"the # takes the {closer} away", do, "Everything after # is a comment.")
    last = _above(lines, line) if line > opened[0] else line
    span = Span(opened[0] + 1, opened[1] + 1, opened[0] + 1, opened[1] + 2)
    do = f"Put  {closer}  where it ends, perhaps at the end of line {max(last or 0, opened[0]) + 1}."
    return mistake(lines, span, f"the {opener} is never closed", do)


def half(lines: list[str], line: int, column: int) -> Finding:
    """A character as JSON writes it that knows only 16 bits: two halves, or only one of them. Places are from 0."""
    text = _line(lines, line)
    first = HALF.match(text, column)
    assert first is not None
    second = HALF.match(text, first.end())
    both = b"".join(bytes.fromhex(each[1]) for each in (first, second) if each).decode("utf-16-be", "replace")
    span = Span(line + 1, column + 1, line + 1, (second or first).end() + 1)
    if second is None or len(both) != 1:
        return mistake(lines, span, "half of a character", "Type the character itself.")
    do = f"Type the character itself:  {both}   Or write it as  \\U{ord(both):08X}"
    return mistake(lines, span, "a character in two halves", do)


def _quote(lines: list[str], problem: str, at: tuple[int, int], opened: tuple[int, int]) -> Finding:
    mark = _line(lines, opened[0])[opened[1] : opened[1] + 1]
    if HALF.match(_line(lines, at[0]), max(at[1] - 2, 0)):
        return half(lines, at[0], at[1] - 2)
    if "escape" in problem or "hexdecimal" in problem:
        span = Span(at[0] + 1, at[1] + 1, at[0] + 1, at[1] + 2)
        return mistake(lines, span, "a backslash inside double quotes", "Use single quotes round this text.")
    span = Span(opened[0] + 1, opened[1] + 1, opened[0] + 1, opened[1] + 2)
    do = f"Put  {mark}  where the text ends. An inch mark is not read: write  in"
    return mistake(lines, span, f"the {mark} is never closed", do)


def _stray(lines: list[str], line: int, column: int) -> Finding:
    text = _line(lines, line)
    met, before = text[column : column + 1], text[:column].rstrip()
    span = _from(lines, line, column)
    if met in ("]", "}"):
        one = Span(line + 1, column + 1, line + 1, column + 2)
        return mistake(lines, one, f"one {met} too many", "Take it out, or add the bracket that it should close.")
    if before.endswith(("'", '"')):
        do = "Put the quotes round the whole text, or leave them out."
        return mistake(lines, span, "text after the closing quote", do)
    if before.endswith(("]", "}")):
        do = "Put it inside, on a line of its own, or behind a # and a space."
        return mistake(lines, span, "text after the closing bracket", do)
    if met == "-" and not before:
        do = "Indent the list below its name, or put it in brackets behind the name:  name: [a, b]"
        return mistake(lines, span, "a list item among names", do)
    if met == ":" and not before:
        return mistake(lines, span, "a value without its name", "Write  name: value")
    above = _above(lines, line)
    if above is not None and not _KEY.match(lines[above]) and not before:
        return _no_colon(lines, above, _indent(lines[above]))
    return _uneven(lines, line)
