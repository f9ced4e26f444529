"""The report for a person at a terminal: 80 columns, the verdict first, nothing said twice."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import groupby
from textwrap import wrap

from packyoke.core.findings import Finding, Severity
from packyoke.page.caret import caret_lines
from packyoke.page.wrapping import WIDTH, hanging
from packyoke.verdict.report import Assumed, Batch, GoodFor, PackSet, Report, TreeLine

INDENT = 6
COLOURS = {"STOP": "31;1", "OPEN": "35;1", "CAUTION": "33;1", "NOTE": "36", "good": "32;1"}

Paint = Callable[[str, str], str]

CAUTIONS = (
    "Lithium packs can burn, high current arcs, and voltages shock; measure before you join. This is advice: the "
    "makers' instructions, local rules and a qualified person decide. Adding a pack, joiner or charger is usually "
    "outside the bike maker's instructions and may end certification, warranty and insurance."
)

MOST_SETS = 31
"""Up to this many sets of packs have a line; of more the one of all packs and each alone."""


def batch_text(batch: Batch, *, colour: bool = False) -> str:
    """All reports of a run, one after the other."""
    blocks = [report_text(report, colour=colour) for report in batch.reports]
    return ("\n" + "=" * WIDTH + "\n\n").join(blocks)


def report_text(report: Report, *, colour: bool = False) -> str:
    """One build for a person to read."""
    if report.verdict == "unreadable":
        return mistakes_text(report.file, report.findings)
    paint = _painter(colour)
    lines = list(_head(report, paint))
    lines += _section("THE HARNESS", "worst current, of what the part bears", tree_text(report.tree))
    for block in _blocks(report):
        lines += ["", *_finding(report, block, paint)]
    lines += _section("TO FIND OUT", "nothing here has passed", to_find_out_text(report))
    lines += _section("WHICH PACKS ARE IN", "", _sets(report))
    lines += _section("ASSUMED", "write it in the file and that counts instead", _assumed(report.assumed))
    lines += ["", *hanging(CAUTIONS, 0, 0)]
    return "\n".join(lines) + "\n"


def _painter(colour: bool) -> Paint:
    def paint(text: str, word: str) -> str:
        return f"\x1b[{COLOURS[word]}m{text}\x1b[0m" if colour and word in COLOURS else text

    return paint


def _head(report: Report, paint: Paint) -> Iterator[str]:
    word = report.verdict.upper()
    if word == "NONE-FOUND":
        yield from hanging(f"{report.name}: no fault found in what was described", 0, 6)
    else:
        yield from _first_painted(hanging(f"{_padded(word)}{report.name}", 0, INDENT), word, paint)
    counts = counts_text(report)
    facts = [f"{counts}.  {_advice(report)}".rstrip() if counts else _advice(report)]
    if report.good_for is not None:
        facts += good_for_text(report.good_for, report)
    if report.cure is not None:
        facts.append(cure_text(report))
    facts.append(report.file)
    for fact in facts:
        if fact:
            yield from hanging(fact, INDENT, INDENT)


def _padded(word: str) -> str:
    return f"{word:<{INDENT}}" if len(word) < INDENT else f"{word}  "


def counts_text(report: Report) -> str:
    """How many findings of each weight: `2 stops, 1 to find out, 1 caution, 3 notes`."""
    words = [
        (report.count(Severity.STOP), "stop", "stops"),
        (len(report.to_find_out), "to find out", "to find out"),
        (report.count(Severity.CAUTION), "caution", "cautions"),
        (report.count(Severity.NOTE), "note", "notes"),
        (report.accepted, "accepted", "accepted"),
    ]
    return ", ".join(f"{count} {one if count == 1 else many}" for count, one, many in words if count)


def _advice(report: Report) -> str:
    if report.verdict == "stop":
        return f"Do not build it like this.  {report.meanwhile}".rstrip()
    return report.meanwhile


def cure_text(report: Report) -> str:
    """The one change that goes furthest."""
    if report.cure is None:
        return ""
    where = report.cure.part.partition(".")[2] or report.cure.part
    return f"One change, at {where}, settles {len(report.cure.settles)} of these: {report.cure.do.rstrip('.')}."


def good_for_text(good: GoodFor, report: Report) -> list[str]:
    """What it is good for as drawn, what is asked, and the weakest parts."""
    if good.continuous is None:
        return ["What it is good for is not decided: a current or a limit is not known."]
    if good.continuous.value == 0:
        return ["As drawn it is good for no current at all.", *_weakest(good)]
    words = f"As drawn it is good for {good.continuous} continuous"
    words += f", {good.peak}" if good.peak else ""
    if good.asked is not None:
        words += f"; asked are {good.asked}"
        words += f", and {good.asked_peak}" if good.asked_peak else ""
    if good.open_parts:
        words += f" (without {', '.join(_name(path) for path in good.open_parts[:3])}, not known)"
    return [f"{words}.", *_weakest(good)]


def _weakest(good: GoodFor) -> list[str]:
    weakest = ", then ".join(f"{_name(path)} ({by})" if by else _name(path) for path, by in good.weakest)
    return [f"Weakest: {weakest}."] if weakest else []


def _name(path: str) -> str:
    return path.partition(".")[2] or path


def _section(title: str, about: str, lines: Iterable[str]) -> list[str]:
    body = list(lines)
    return ["", f"{title}  ({about})" if about else title, *body] if body else []


def tree_text(lines: tuple[TreeLine, ...]) -> Iterator[str]:
    for line in lines:
        if not line.last:
            yield f"  {line.name}"
            continue
        stem = "".join("   " if last else "|  " for last in line.last[:-1])
        branch = "`- " if line.last[-1] else "|- "
        left = f"  {stem}{branch}{line.name}"
        left += f"  {line.about}" if line.about else ""
        right = line.worst
        room = WIDTH - len(right) - 1
        if len(left) > room:
            left = left[: room - 2] + ".."
        yield f"{left:<{room}} {right}".rstrip()


Block = list[Finding]


def _blocks(report: Report) -> list[Block]:
    """The findings, worst first; what is the same on several parts in one block, the worst of it first."""
    merged: dict[tuple[object, ...], Block] = {}
    for finding in report.findings:
        found = finding.found and (finding.found.unit, finding.relation)
        key = (
            finding.rule,
            finding.severity,
            finding.message,
            found,
            finding.limit,
            finding.why,
            finding.do,
            finding.accepted,
        )
        merged.setdefault(key, []).append(finding)
    return list(merged.values())


def _worst(block: Block) -> Finding:
    sign = -1 if block[0].relation == "at least" else 1
    return max(block, key=lambda each: sign * each.found.value if each.found else 0.0)


def _finding(report: Report, block: Block, paint: Paint) -> Iterator[str]:
    finding = _worst(block)
    word = finding.severity.word.upper()
    names = [report.label(each.part) for each in block] if len(block) == 1 else [_name(each.part) for each in block]
    who = ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")
    who = "" if names == ["the build"] else f"{who}: "
    yield from _first_painted(hanging(f"{_padded(word)}{who}{finding.message}", 0, INDENT), word, paint)
    found = str(finding.found) if finding.found else ""
    limit = str(finding.limit) if finding.limit else ""
    if found and len({str(each.found) for each in block}) > 1:
        found += f"; {_name(finding.part)} is the worst"
    if found and len(finding.packs_in) > 1:
        found += f", with {' + '.join(finding.packs_in)} in"
    if found and limit and len(found) + len(limit) < 44:
        found, limit = f"{found}; limit {limit}", ""
    # A note is for knowing, not for acting: its page says why.
    why = finding.why if finding.severity > Severity.NOTE or not finding.do else ""
    cured = report.cure is not None and finding.do.rstrip(".") == report.cure.do.rstrip(".")
    for label, text in (
        ("found", found),
        ("limit", limit),
        ("why", why),
        ("do", "The one change named above." if cured else finding.do),
        ("taken", f"accepted: {finding.accepted}" if finding.accepted else ""),
    ):
        if text:
            yield from _labelled(label, text)
    yield from _labelled("rule", _rule(block))


def _rule(block: Block) -> str:
    finding = block[0]
    lines = sorted({each.span.line for each in block if each.span})
    also = sorted({span.line for each in block for _, span in each.also if span} - set(lines))
    text = finding.rule
    if lines:
        text += f", line{'s' if len(lines) > 1 else ''} {', '.join(map(str, lines))}"
    if also:
        text += f", with line{'s' if len(also) > 1 else ''} {', '.join(map(str, also))}"
    basis = "; ".join(each for each in finding.basis if each != "common practice")
    return f"{text}; {basis}" if basis and finding.severity >= Severity.CAUTION else text


def to_find_out_text(report: Report) -> Iterator[str]:
    order = list(dict.fromkeys(question.ask for question in report.to_find_out))
    for ask in order:
        questions = [each for each in report.to_find_out if each.ask == ask]
        for same, group in groupby(questions, key=lambda each: (each.field, each.passes_if, each.question)):
            each = list(group)
            who = ", ".join(_name(question.part) for question in each)
            passes = f" Passes: {same[1]}." if same[1] else ""
            lines = sorted({question.span.line for question in each if question.span})
            where = f" (line {', '.join(map(str, lines))})" if lines else ""
            yield from _columns(ask or "ask", f"{who}: {same[0]}. {same[2][:1].upper()}{same[2][1:]}.{passes}{where}")


def _columns(label: str, text: str) -> Iterator[str]:
    yield from wrap(text, WIDTH, initial_indent=f"  {label:<9} ", subsequent_indent=" " * 12)


def _sets(report: Report) -> Iterator[str]:
    """What each set gives and how far that carries; where something stops the build, its weakest part instead."""
    if not report.sets:
        return
    sets = report.sets
    if len(sets) > MOST_SETS:
        sizes = (max(len(each.packs) for each in sets), min(len(each.packs) for each in sets))
        sets = tuple(each for each in sets if len(each.packs) in sizes)
    names = [" + ".join(each.packs) for each in sets]
    stopped = report.verdict in ("stop", "open") or all(each.range_m is None for each in report.sets)
    wide = min(27 if stopped else 34, max(5, *map(len, names)))
    heads = f"{'label':>8}" if stopped else f"{'gives':>15}  {'everyday ride':>13}"
    last = "weakest" if stopped else ""
    yield f"  {'packs':<{wide}}  {heads}  {'works first':<12} {'result':<8} {last}".rstrip()
    for name, each in zip(names, sets, strict=True):
        cut = name if len(name) <= wide else name[: wide - 2] + ".."
        result = {"none-found": "-"}.get(each.verdict, each.verdict.upper())
        figures = f"{set_energy(each, stopped):>8}" if stopped else f"{set_energy(each):>15}  {set_range(each):>13}"
        line = f"  {cut:<{wide}}  {figures}  {each.works_first[:12]:<12} {result:<8} "
        worst = each.worst.partition(" for ")[0]
        weakest = _short(each.weakest, WIDTH - len(line) - len(worst) - 1)
        yield f"{line}{weakest} {worst}".rstrip() if stopped else line.rstrip()
    if len(sets) < len(report.sets):
        yield f"  And {len(report.sets) - len(sets)} sets more: --format json has them all."
    if not stopped:
        yield "  Count on the shorter way; packyoke range says what it is counted with."


def _short(name: str, room: int) -> str:
    """A name cut to the room there is, so that the figure behind it stays whole."""
    return name if len(name) <= room else f"{name[: max(0, room - 2)]}.."


def set_energy(each: PackSet, label_only: bool = False) -> str:
    """Energy of a set: `1544 of 1663 Wh`, or what the labels say."""
    if each.label_wh is None:
        return "?"
    if label_only or each.usable_wh is None:
        return f"{each.label_wh:.0f} Wh"
    return f"{each.usable_wh:.0f} of {each.label_wh:.0f} Wh"


def set_range(each: PackSet) -> str:
    """How far a set carries: what to count on, and what is likely, in whole kilometres rounded down."""
    if each.range_m is None:
        return "?"
    return " - ".join(f"{metres // 1000:.0f}" for metres in each.range_m) + " km"


def _assumed(assumed: tuple[Assumed, ...]) -> Iterator[str]:
    """What was assumed, in one paragraph; what could turn on a worse value, each on a line of its own."""
    merged: dict[tuple[str, str, str], list[str]] = {}
    for each in assumed:
        merged.setdefault((each.field, each.text, each.turns_into), []).append(_name(each.part))
    plain, turning = [], []
    for (field, text, turns), parts in merged.items():
        who = ", ".join(dict.fromkeys(part for part in parts if part != "build"))
        what = f"{field} {text}".strip()
        said = f"{who}: {what}" if who else what
        if turns:
            turning.append(f"{said}; {turns}")
        else:
            plain.append(said)
    for paragraph in (["; ".join(plain)] if plain else []) + turning:
        yield from hanging(paragraph, 2, 4)


def _labelled(label: str, text: str) -> Iterator[str]:
    yield from wrap(
        text, WIDTH, initial_indent=f"      {label:<6} ", subsequent_indent=" " * 13, break_on_hyphens=False
    )


def _first_painted(lines: list[str], word: str, paint: Paint) -> Iterator[str]:
    yield lines[0].replace(word, paint(word, word), 1)
    yield from lines[1:]


def mistakes_text(file: str, findings: Iterable[Finding]) -> str:
    """The mistakes of a file, each with its place, a caret and how to write it."""
    blocks = []
    for finding in findings:
        place = f"{file}:{finding.span.line}:{finding.span.column}" if finding.span else file
        field = f"{finding.field}: " if finding.field else ""
        lines = [f"{place}: {field}{finding.message}", *(f"  {line}" for line in caret_lines(finding))]
        for said in (finding.why, finding.do):
            lines += hanging(said, 2, 2) if said else []
        blocks.append("\n".join(lines))
    count = len(blocks)
    blocks.append(f"{file}: {count} mistake{'s' if count != 1 else ''}; nothing in this file was checked.")
    return "\n\n".join(blocks) + "\n"
