"""The check of one build: every rule, mends that were tried, what to find out, what the build is good for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from packyoke.analysis.limits.good_for import Capability, capability
from packyoke.core.field_paths import line_in
from packyoke.core.findings import Amount, Finding, Severity
from packyoke.core.paths import BUILD, PartPath, name_of, owner_of
from packyoke.model import Build, Unknown
from packyoke.model.field import MUST
from packyoke.model.fields import field_for, field_name
from packyoke.rules import RULES
from packyoke.rules.outcome import Failed, Passed, Undecided, told
from packyoke.rules.rule import Rule
from packyoke.verdict.accepting import accepted
from packyoke.verdict.explore import Decision
from packyoke.verdict.judge import Judgement, crashed, judge, judgement
from packyoke.verdict.layout import pack_sets, part_lines, places, tree_lines
from packyoke.verdict.mending import Tried, Workshop, identity
from packyoke.verdict.moot import FIRST, Moot
from packyoke.verdict.questions import Asked, asked_by, assumptions, questions, unasked
from packyoke.verdict.report import Cure, GoodFor, Report
from packyoke.verdict.trials import Trials

MOST_NAMED = 2
"""How many of the weakest parts the verdict names."""


def check(
    build: Build,
    *,
    rules: Sequence[Rule] = RULES,
    today: str = "",
    brief: bool = False,
    rides: bool = True,
    mends: bool = True,
) -> Report:
    """Everything that is to be said of a build.

    `brief` leaves it at the verdict, the findings and what to find out, and tries mends for stops only: a caution then
    carries the general advice of its rule. Without `rides` no set of packs is said to carry one how far; without
    `mends` none is tried, for whoever does not print what to do.
    """
    judged = judgement(build, rules)
    return report_of(judged, rules=rules, today=today, brief=brief, rides=rides, mends=mends)


def report_of(
    judged: Judgement,
    *,
    rules: Sequence[Rule] = RULES,
    today: str = "",
    brief: bool = False,
    rides: bool = True,
    mends: bool = True,
) -> Report:
    """The same of a build that these rules have judged already."""
    trials, decisions, build = judged
    findings: list[Finding] = []
    asked: list[tuple[Asked, str]] = []
    cures: list[Tried] = []
    moot = Moot(build, decisions, rules)
    tried: list[list[Tried]] = [[] for _ in decisions]
    if mends:
        workshop = Workshop(trials, decisions, lambda changed: judge(changed, rules))
        tried = workshop.advised(decisions, Severity.STOP if brief else Severity.CAUTION)
    for decision, advice in zip(decisions, tried, strict=True):
        if decision.severity == 0:
            continue
        is_open = decision.severity == Severity.OPEN
        if is_open:
            left = moot.decision(decision)
            if left is None:
                found = _without_tried_figures(
                    trials, decision, _finding(build, decision, [], asked_by(trials, decision))
                )
                findings.append(replace(found, do=FIRST))
                continue
            decision = left
        asks = asked_by(trials, decision) if is_open else ()
        finding = _finding(build, decision, advice, asks)
        if is_open:
            finding = _without_tried_figures(trials, decision, finding)
        findings.append(finding)
        asked += [(each, finding.fingerprint) for each in asks]
        cures += advice
    if any(not each.complete or each.rule.name == "harness-broken" for each in decisions):
        more = unasked(build, {each.key for each, _ in asked})
        asked += [(each, "") for each in more if not moot.key(each.key)]
    findings = accepted(build, findings, today)
    rank = {rule.name: place for place, rule in enumerate(rules)}
    place = places(build)

    def listed(each: Finding) -> tuple[int, int, int, int]:
        """The worst first, then rule by rule, then in the order of the file."""
        line = each.span.line if each.span else 0
        return -each.severity, rank.get(each.rule, len(rank)), line, place.get(each.part, 0)

    findings.sort(key=listed)
    report = Report(
        file=build.file,
        name=build.name,
        ticket=build.ticket,
        status=build.status,
        recheck=build.recheck or "",
        verdict=_verdict(findings),
        findings=tuple(findings),
        to_find_out=questions(build, asked),
        labels={} if brief else _labels(build),
        build=build,
    )
    if brief:
        return report
    return replace(
        report,
        good_for=_good_for(trials, findings, build),
        cure=_cure(findings, decisions, cures),
        parts=part_lines(trials.plain, build),
        tree=tree_lines(trials.plain, build),
        sets=pack_sets(trials.plain, findings, rides, build),
        rides=rides,
        assumed=assumptions(trials, decisions),
        sources=_sources(decisions),
        meanwhile=_meanwhile(findings),
    )


def _finding(build: Build, decision: Decision, mends: list[Tried], asks: tuple[Asked, ...]) -> Finding:
    rule, outcome = decision.rule, told(decision.outcome)
    part = build.part(decision.path)
    assert outcome is not None
    assert not isinstance(outcome, Passed)
    severity = Severity(decision.severity)
    field = outcome.field if isinstance(outcome, Failed) else ""
    message, do = outcome.message, outcome.do
    if severity == Severity.OPEN:
        if not isinstance(outcome, Undecided) or not message:
            message = f"not decided {rule.doubt}"
        do = do if isinstance(outcome, Undecided) and do else _ask_words(asks)
        if len(asks) == 1 or not field:
            field = asks[0].key.attr if asks and asks[0].key.path == decision.path else field
    elif mends:
        do = _advice(do, mends)
    failed = outcome if isinstance(outcome, Failed) else None
    return Finding(
        rule=rule.name,
        severity=severity,
        part=decision.path,
        message=message,
        span=part.place(field),
        kind=(failed.kind if failed else "") or rule.kind,
        field=field,
        found=outcome.found,
        limit=outcome.limit,
        relation=failed.relation if failed else "",
        why=outcome.why,
        do=do,
        basis=(failed.basis if failed else ()) or rule.basis,
        packs_in=tuple(name for name in build.packs if failed and name in failed.packs_in),
        charges=failed.charges if failed else (),
        also=tuple((each.path, each.span) for each in outcome.also),
        cause=outcome.cause,
        asks=tuple(line_in(*each.key) for each in asks),
        ask=asks[0].field.ask if asks else "",
        usual=failed is not None and failed.usual and severity == Severity.NOTE,
        passes_if="; ".join(dict.fromkeys(each.passes_if for each in asks if each.passes_if)),
    )


def _without_tried_figures(trials: Trials, decision: Decision, finding: Finding) -> Finding:
    """The finding without figures that rest on a rating nobody knows: those move when another value is tried."""
    moved = tuple(
        (key, value * 1.01 if isinstance(value, float) and field_for(*key).need == MUST else value)
        for key, value in decision.worse
    )
    if moved == decision.worse or any(value is None for _, value in moved):
        return finding
    try:
        other = told(trials.outcome(decision.rule, decision.path, moved))
    except Unknown:
        return finding
    found, limit = (other.found, other.limit) if isinstance(other, Failed | Undecided) else (None, None)
    return replace(
        finding,
        found=finding.found if finding.found == found else None,
        limit=finding.limit if finding.limit == limit else None,
    )


def _sentence(texts: list[str]) -> str:
    first, *others = (text.rstrip(".") for text in texts)
    return "; or ".join([first, *(_going_on(text) for text in others)]) + "."


def _going_on(text: str) -> str:
    """A sentence inside another one: `XT90` at its beginning stays as it is."""
    return text if text[1:2].isupper() else f"{text[:1].lower()}{text[1:]}"


def _advice(general: str, mends: list[Tried]) -> str:
    """What settles the finding; then, as such, what only makes a caution of it. Both were tried: what the rule says in
    general is told where nothing was."""
    settling = [tried.mend.text for tried in mends if not tried.lowers]
    lowering = [tried.mend.text for tried in mends if tried.lowers]
    if not settling:
        return f"{_sentence(lowering)} A caution is left." if lowering else general
    said = _sentence(settling)
    return f"{said} A caution is left with: {_sentence(lowering)}" if lowering else said


def _ask_words(asks: tuple[Asked, ...]) -> str:
    words = []
    for each in asks:
        answer = f" (passes: {each.passes_if})" if each.passes_if else ""
        words.append(f"{field_name(each.key)} of {name_of(each.key.path)}{answer}")
    return f"Find out {', '.join(words)}." if words else ""


def _verdict(findings: list[Finding]) -> str:
    worst = max((each.severity for each in findings if not each.accepted), default=Severity.NOTE)
    return worst.word if worst > Severity.NOTE else "none-found"


def _good_for(trials: Trials, findings: list[Finding], build: Build) -> GoodFor | None:
    if any(each.rule == "harness-broken" and each.severity == Severity.STOP for each in findings):
        return None
    found = capability(trials.plain)
    if found is None:
        return None
    return GoodFor(
        continuous=_amps(found.continuous_a),
        peak=_amps(found.peak_a, found.peak_s),
        asked=_amps(found.asked.continuous_a) if found.asked else None,
        asked_peak=_amps(found.asked.peak_a, found.asked.peak_s) if found.asked else None,
        weakest=_weakest(found),
        open_parts=tuple(sorted(found.unknown, key=places(build).__getitem__)),
    )


def _amps(value: float | None, time_s: float | None = None) -> Amount | None:
    if value is None:
        return None
    return Amount(value, "A", f"for {time_s:g} s" if time_s else "")


def _weakest(found: Capability) -> tuple[tuple[str, str], ...]:
    return tuple((each.path, each.by) for each in found.weakest[:MOST_NAMED])


def _cure(findings: list[Finding], decisions: list[Decision], cures: list[Tried]) -> Cure | None:
    """The mend that settles most findings, when it settles more than one."""
    names = {identity(each): each for each in decisions if each.severity >= Severity.OPEN}
    prints = {
        (each.rule, each.part, "" if each.severity == Severity.OPEN else each.cause): each.fingerprint
        for each in findings
    }
    tried = [each for each in cures if not each.lowers]
    best = max(tried, key=lambda each: len(each.settles), default=None)
    if best is None or len(best.settles) < 2:
        return None
    settled = [prints[each] for each in names if each in best.settles and each in prints]
    parts = dict.fromkeys(owner_of(change.path) for change in best.mend.changes)
    return Cure(best.mend.text, tuple(settled), tuple(parts))


def _sources(decisions: list[Decision]) -> tuple[tuple[str, str, str], ...]:
    found: dict[str, str] = {}
    for each in decisions:
        for basis in each.rule.basis:
            found.setdefault(basis, each.rule.name)
    return tuple((basis, rule, "") for basis, rule in found.items())


def _meanwhile(findings: list[Finding]) -> str:
    """What must not be done while a question is open."""
    rules = {each.rule for each in findings if each.severity >= Severity.OPEN}
    meet = any(each.rule == "harness-broken" and each.kind == "danger" for each in findings)
    if meet or "packs-rush" in rules or "packs-unequal" in rules:
        return "Do not join these packs yet."
    return ""


def _labels(build: Build) -> dict[PartPath, str]:
    leads = {lead.path: f"{lead.name}, {lead.source} to {lead.target}" for lead in build.leads.values()}
    return {BUILD: "the build"} | leads


def failed(build: Build, error: Exception) -> Report:
    """The report when the program itself failed on a build: a stop, so that it cannot look like a pass."""
    decision = crashed(RULES[0], BUILD, error)
    return Report(
        file=build.file,
        name=build.name,
        status=build.status,
        recheck=build.recheck or "",
        verdict="stop",
        findings=(replace(_finding(build, decision, [], ()), message="the check failed in the program"),),
        labels={},
    )


def not_checked(file: str, why: str) -> Report:
    """The report of a file that the program did not come to the end of: a stop, so that it cannot look like a pass."""
    told = Finding(
        rule="rule-crashed",
        severity=Severity.STOP,
        kind="unknown",
        part=BUILD,
        message="not checked: the program ended over this file",
        why=why,
        do="Check it by itself: the system may have been short of memory. If it ends again, send the file to whoever "
        "looks after the program.",
        cause="ended",
    )
    return Report(file=file, verdict="stop", findings=(told,), labels={})


def unreadable(file: str, findings: Sequence[Finding]) -> Report:
    """The report of a file that is no valid build: its mistakes, and nothing that could look like a pass."""
    told = tuple(replace(each, kind="unknown") for each in findings)
    return Report(file=file, verdict="unreadable", findings=told, labels={})
