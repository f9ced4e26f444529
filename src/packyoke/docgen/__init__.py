"""Writes the pages that follow from the code: rules, fields, schema, help and real output. `--check` only compares.

Run as `python -m packyoke.docgen` in a checkout.
"""

from __future__ import annotations

import inspect
import json
import re
import shlex
import sys
from collections.abc import Iterator
from enum import Enum
from pathlib import Path

import click
from click.testing import CliRunner

from packyoke import __version__, api
from packyoke.answers.check.page import check_page
from packyoke.api import check, load
from packyoke.buildfile.reading.slips import FORMER
from packyoke.buildfile.schema import schema
from packyoke.cli import COMMANDS, app
from packyoke.core.unit_factors import FACTORS
from packyoke.core.unit_words import factors
from packyoke.model.fields import FIELDS, Field
from packyoke.page.markdown import cell, table
from packyoke.page.text import page_text
from packyoke.rules.pages import RulePage, all_pages
from packyoke.verdict.wording import value_words

MADE_BY = "<!-- Written by packyoke.docgen from the code; change the code, not this page. -->"
TODAY = "2026-11-25"
MARKS = ("<!-- run ", "<!-- file ", "<!-- commands", "<!-- api", "<!-- former")
"""Where a page has a block that is filled: up to the next `<!-- end -->`."""
UNITS = {"wh": "Wh", "m": "m", "a": "A", "v": "V", "k": "K", "kg": "kg", "fraction": "0 to 1"}
"""Units by what a name ends with."""


def pages(root: Path) -> Iterator[tuple[Path, str]]:
    """Every generated file with its content."""
    docs = root / "docs"
    FACTORS.update(factors())  # a unit that was just added to the list is needed by the pages that follow
    yield root / "src" / "packyoke" / "core" / "unit_factors.py", _unit_factors()
    yield docs / "rules" / "README.md", _rule_index()
    for page in all_pages():
        yield docs / "rules" / f"{page.name}.md", _rule_page(page)
    yield docs / "fields.md", _fields()
    yield docs / "build-file.schema.json", json.dumps(schema(), indent=2) + "\n"
    yield docs / "examples.md", _examples(root)
    yield docs / "commands.md", _commands()
    yield docs / "packyoke.1", _manual()
    for path in (root / "README.md", *sorted(docs.glob("*.md")), *sorted((docs / "guides").glob("*.md"))):
        text = path.read_text(encoding="utf-8")
        if any(mark in text for mark in MARKS):
            yield path, _filled(root, text)


def _rule_index() -> str:
    rows = [[page.name, page.kind, page.title] for page in all_pages()]
    lines = ["| rule | kind | says |", "|---|---|---|"]
    lines += [f"| [{name}]({name}.md) | {kind} | {cell(title)} |" for name, kind, title in rows]
    return "\n".join([MADE_BY, "# The rules", "", *lines, ""])


def _rule_page(page: RulePage) -> str:
    lines = [MADE_BY, f"# {page.name}", "", page.title, ""]
    for title, body in page.sections:
        lines += [f"## {title}", ""]
        lines += ["```yaml", body, "```", ""] if title in ("Fails", "Passes") else [body, ""]
    return "\n".join(lines)


def _fields() -> str:
    lines = [MADE_BY, "# The build file, field by field", ""]
    lines += [
        "`must`: needed for a verdict, asked for when missing. `span`: anything between the ends meanwhile. `default`: "
        "the value counts and is listed. `absent`: there is none. `choice`: for people only.",
        "",
    ]
    rows = [
        [field.path, field.need, field.about, field.missing, _bounds(field), field.basis, field.ask, field.example]
        for field in FIELDS
    ]
    heads = ["field", "need", "what it is", "when the line is missing", "allowed", "basis", "where to look", "example"]
    return "\n".join([*lines, *table(heads, rows)])


def _unit_factors() -> str:
    rows = "".join(f'    "{expression}": {factor!r},\n' for expression, factor in factors().items())
    return (
        '"""What one of each unit is in SI. Written by packyoke.docgen; change `unit_words`, not this file."""'
        f"\n\nFACTORS: dict[str, float] = {{\n{rows}}}\n"
    )


def _bounds(field: Field) -> str:
    if field.words:
        return ", ".join(str(word) for word in field.words)
    if field.low is None or field.high is None or field.kind == "money":
        return ""
    if field.kind == "text":
        return f"{field.low:g} to {field.high:g} characters"
    return f"{value_words(field.low, field.kind)} to {value_words(field.high, field.kind)}"


def _examples(root: Path) -> str:
    lines = [MADE_BY, "# The examples and what the check says of them", ""]
    for path in sorted((root / "examples").glob("*.yaml")):
        about = path.read_text(encoding="utf-8").partition("\n")[0].removeprefix("# ")
        lines += [f"## {path.name}", "", about, "", "```text", _output(root, path.name).rstrip(), "```", ""]
    return "\n".join(lines)


def _output(root: Path, name: str) -> str:
    file = f"examples/{name}"
    return page_text(check_page(check(load((root / file).read_bytes(), file, today=TODAY), file, today=TODAY)))


def _commands() -> str:
    lines = [MADE_BY, "# The commands", ""]
    for name in COMMANDS:
        lines += [f"## {name}", "", "```text", _help(name).rstrip(), "```", ""]
    return "\n".join(lines)


def _help(name: str) -> str:
    command = app.get_command(click.Context(app), name)
    assert command is not None
    context = click.Context(
        command,
        info_name=f"packyoke {name}",
        max_content_width=80,
        terminal_width=80,
        help_option_names=app.context_settings["help_option_names"],
    )
    return command.get_help(context)


def _manual() -> str:
    """The manual page for `man`, from the same help: man(7) macros, and every line that starts with a dot escaped."""
    about = " ".join((app.help or "").split())
    lines = [
        '.\\" Written by packyoke.docgen from the code; change the code, not this page.',
        f'.TH PACKYOKE 1 "" "packyoke {__version__}"',
        ".SH NAME",
        f"packyoke \\- {_roff(about[:1].lower() + about[1:].rstrip('.'))}",
        ".SH SYNOPSIS",
        ".B packyoke",
        ".I COMMAND",
        "[OPTIONS] [ARGS]",
        ".br",
        ".B packyoke",
        "\\-\\-version | \\-\\-help | help [COMMAND|RULE|rules]",
        ".SH COMMANDS",
    ]
    for name in COMMANDS:
        lines += [f".SS {name}", ".nf", _roff(_help(name).rstrip()), ".fi"]
    lines += [
        ".SH EXIT STATUS",
        "0 answered, nothing at stop or open; 1 the answer is no; 2 a file or the usage is wrong; 3 the program has",
        "failed; 130 interrupted.",
        ".SH ENVIRONMENT",
        "NO_COLOR and FORCE_COLOR, set and not empty, switch colour off and on; of both NO_COLOR counts.",
        "PACKYOKE_DEBUG=1 shows the trace of a failure.",
        ".SH FILES",
        "packyoke\\-shop.yaml, found upwards from the build: the shelf, prices and defaults of the shop.",
    ]
    return "\n".join(lines) + "\n"


def _roff(text: str) -> str:
    """A text as roff takes it: backslashes and hyphens as they are typed, no line taken for a macro."""
    text = text.replace("\\", "\\e").replace("-", "\\-")
    return "\n".join(f"\\&{line}" if line[:1] in (".", "'") else line for line in text.split("\n"))


def _filled(root: Path, text: str) -> str:
    """A page with its marked blocks filled: what a command prints, what stands in a file, the list of commands."""

    def ran(found: re.Match[str]) -> str:
        line = found.group(1)
        return f"<!-- run {line} -->\n```text\n$ {line}\n{_run(line)}\n```\n<!-- end -->"

    def shown(found: re.Match[str]) -> str:
        inside = (root / found.group(1)).read_text(encoding="utf-8").rstrip()
        return f"<!-- file {found.group(1)} -->\n```yaml\n{inside}\n```\n<!-- end -->"

    def listed(_found: re.Match[str]) -> str:
        rows = [[f"`packyoke {name}`", _help(name).partition("\n\n")[2].partition("\n\n")[0]] for name in COMMANDS]
        lines = [f"| {name} | {' '.join(about.split())} |" for name, about in rows]
        return "\n".join(["<!-- commands -->", "| command | what it does |", "|---|---|", *lines, "<!-- end -->"])

    def interface(_found: re.Match[str]) -> str:
        return "\n".join(["<!-- api -->", *_api(), "<!-- end -->"])

    def former(_found: re.Match[str]) -> str:
        rows = [f"| `{old}` | `{new}` |" for old, new in FORMER.items()]
        return "\n".join(["<!-- former -->", "| name before | name now |", "|---|---|", *rows, "<!-- end -->"])

    for mark, fill in zip(MARKS, (ran, shown, listed, interface, former), strict=True):
        text = re.sub(rf"{mark}(.*?) ?-->\n.*?<!-- end -->", fill, text, flags=re.DOTALL)
    return text


def _api() -> Iterator[str]:
    """Every function with its signature and docstring, every type of a result with its values."""
    public = [(name, getattr(api, name)) for name in api.__all__]
    for name, each in public:
        if not inspect.isclass(each):
            told = re.sub(r"(: |-> )'([^']*)'", r"\1\2", str(inspect.signature(each)))
            yield from ("", f"### `{name}{told}`", "", *_doc(each))
    for name, each in public:
        if inspect.isclass(each):
            yield from ("", f"### `{name}`", "", *_doc(each), "", *_values(each))


def _doc(what: object) -> list[str]:
    """A docstring as Markdown: parameters as points, examples as code."""
    text, _, example = inspect.cleandoc(inspect.getdoc(what) or "").partition("\n>>> ")
    text = re.sub(r"(?m)^:param (\w+): ", r"- `\1`: ", text)
    text = re.sub(r"(?m)^:raises (\w+): ", r"- raises `\1`: ", text)
    return [text.rstrip(), *(["", "```python", f">>> {example}", "```"] if example else [])]


def _values(kind: type) -> list[str]:
    """The values of a type of result, with their units where their names end with one."""
    if issubclass(kind, Enum):
        return [", ".join(f"`{each.name}` {each.value}" for each in kind)]
    types = inspect.get_annotations(kind)
    worked_out = {name: each.fget for name, each in vars(kind).items() if isinstance(each, property)}
    types |= {name: inspect.get_annotations(each)["return"] for name, each in worked_out.items() if each}
    rows = []
    for name, found in types.items():
        if name.startswith("_"):
            continue
        about = getattr(found, "__forward_arg__", str(found)).replace("|", "or")
        about = about.replace("PartPath", "str")  # a text to whoever reads results; only we tell it from a name
        unit = UNITS.get(name.rpartition("_")[2], "") if "_" in name else ""
        rows.append(f"| `{name}` | `{about}` | {unit} |")
    return ["| value | type | unit |", "|---|---|---|", *rows]


def _run(line: str) -> str:
    """What a command prints, as somebody sees it who types it in the top folder of a checkout."""
    return CliRunner().invoke(app, shlex.split(line)[1:], prog_name="packyoke").stdout.rstrip()


def main() -> None:
    """Write the pages, or with --check say which differ."""
    root = Path.cwd()
    if not (root / "examples").is_dir():
        click.echo("run this in the top folder of a checkout", err=True)
        sys.exit(2)
    only_check = "--check" in sys.argv[1:]
    wrong = []
    wanted = set()
    for path, text in pages(root):
        wanted.add(path)
        if path.exists() and path.read_text(encoding="utf-8") == text:
            continue
        wrong.append(path)
        if not only_check:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
    for path in sorted((root / "docs" / "rules").glob("*.md")):
        if path not in wanted:
            wrong.append(path)
            if not only_check:
                path.unlink()
    for path in wrong:
        click.echo(f"{'differs' if only_check else 'written'}: {path.relative_to(root)}")
    sys.exit(1 if only_check and wrong else 0)
