"""The JSON of an earlier `packyoke check`, read again: nothing in it is taken for granted."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping
from sys import float_info
from typing import Any, NamedTuple
from unicodedata import category

from packyoke.answers.changes import GRAVITY, ToldFinding, by_print
from packyoke.answers.check.as_json import SCHEMA
from packyoke.core.field_paths import line_in
from packyoke.core.findings import Amount, Severity, clean, seen
from packyoke.core.paths import PartPath, name_of
from packyoke.verdict.report import VERDICTS, Assumed

_MOST = 1000
"""Letters that are read of one value: judgement."""
_LARGEST = float_info.max
FAMILY = SCHEMA.rpartition("/")[0]


class NotAResult(Exception):
    """The file is no JSON of `packyoke check`; the text says what it is."""


class Stored(NamedTuple):
    """What an earlier check said of one build."""

    file: str
    name: str
    verdict: str
    findings: dict[str, ToldFinding]
    fingerprint: str = ""
    """Of the build; empty where it could not be read."""
    assumed: tuple[Assumed, ...] = ()
    """What it has from a shop file."""


class Result(NamedTuple):
    """An earlier run: what made it, the rules that it was about (all: None), and the builds by their files."""

    tool: str
    rules: str
    shelf: str
    only: frozenset[str] | None
    builds: dict[str, Stored]


def is_result(text: bytes) -> bool:
    """Whether a text looks like an answer in JSON rather than like a build file."""
    start = text[:2000].lstrip()
    return start.startswith((b"{", b"[")) and b"packyoke:" not in start and b'"packyoke"' not in start


def read_result(text: bytes) -> Result:
    """The findings in the JSON of an earlier check. Raises NotAResult."""
    try:
        data = json.loads(text, object_pairs_hook=_each_once)
    except (ValueError, RecursionError):
        raise NotAResult("it is no JSON") from None
    schema = data.get("schema") if isinstance(data, dict) else None
    if schema != SCHEMA:
        raise NotAResult(_other(schema))
    only = _maybe(data, "only", list, "the result")
    found: dict[str, Stored] = {}
    for at, each in enumerate(_of(data, "builds", list, "the result")):
        stored = _stored(each, f"builds[{at}]")
        if stored.file in found:
            raise NotAResult(f"{clean(stored.file)} stands in it twice")
        found[stored.file] = stored
    if not found:
        raise NotAResult("it holds no build, and every result does. Check again")
    tool, rules, shelf = (_of(data, key, str, "the result") for key in ("tool", "rules", "shelf"))
    return Result(tool, rules, shelf, frozenset(clean(str(each)) for each in only) if only is not None else None, found)


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """The mapping of an object; of a key that stands in it twice nobody knows which is meant."""
    found = dict(pairs)
    if len(found) < len(pairs):
        ((twice, _),) = Counter(key for key, _ in pairs).most_common(1)
        raise NotAResult(f'the key "{clean(twice)}" stands twice in one object: it was changed by hand. Check again')
    return found


def _other(schema: Any) -> str:
    write = f"it is not of the schema {SCHEMA}; write it with  packyoke check --format json"
    if not isinstance(schema, str):
        return write
    if schema.rpartition("/")[0] == FAMILY:
        return (
            f"it was written by another packyoke, in the schema {clean(schema)}; this one reads {SCHEMA}. Check again"
        )
    return f"it is the answer of another command ({clean(schema)}): {write}"


def _stored(data: Any, where: str) -> Stored:
    verdict = _of(data, "verdict", str, where)
    if verdict not in VERDICTS:
        raise NotAResult(f'{where} has the verdict "{clean(verdict)}", which no check says')
    findings = enumerate(_of(data, "findings", list, where))
    told = [_told(each, f"{where}.findings[{at}]") for at, each in findings]
    _agreeing(verdict, _maybe(data, "counts", dict, where), told, where)
    file, name = (_of(data, key, str, where) for key in ("file", "name"))
    print_ = _maybe(data, "fingerprint", str, where) or ""
    return Stored(file, name, verdict, by_print(told), print_, _assumed(data, where))


def _agreeing(verdict: str, counts: dict[str, Any] | None, told: list[ToldFinding], where: str) -> None:
    """What is said of a build as a whole must be what its findings come to: else one was taken out, or weighs
    something else, and who compares with it would be told that nothing is new. Raises NotAResult."""
    worst = max((each for each in told if not each.accepted), key=lambda each: each.gravity, default=None)
    comes_to = worst.severity if worst is not None and worst.gravity > Severity.NOTE else "none-found"
    found = Counter("accepted" if each.accepted else each.severity for each in told)
    counted = {} if counts is None else {key: found[key] for key in counts}
    if verdict not in (comes_to, "unreadable") or counted != (counts or {}):
        raise NotAResult(
            f"{where} has the verdict {verdict}{_in_words(counts)}, and its findings come to "
            f"{comes_to}{_in_words(found)}: it was changed by hand. Check again"
        )


def _in_words(counts: Mapping[str, Any] | None) -> str:
    said = ", ".join(f"{clean(str(number))} {clean(word)}" for word, number in (counts or {}).items() if number)
    return f" ({said})" if said else ""


def _assumed(data: Any, where: str) -> tuple[Assumed, ...]:
    """What was assumed, as far as it stands there: older results do not say where in the shop file a line is."""
    said = [_texts(each) for each in _maybe(data, "assumed", list, where) or [] if isinstance(each, dict)]
    return tuple(Assumed(PartPath(part), "", text, basis, origin=origin) for part, text, basis, origin in said)


def _texts(entry: dict[str, Any]) -> list[str]:
    return [clean(str(entry.get(key) or ""), _MOST) for key in ("field", "value", "basis", "origin")]


def _told(data: Any, where: str) -> ToldFinding:
    rule, part, severity, message, fingerprint = (
        _of(data, key, str, where) for key in ("rule", "part", "severity", "message", "fingerprint")
    )
    if severity not in GRAVITY:
        raise NotAResult(f'{where} has the severity "{clean(severity)}", which no check says')
    return ToldFinding(
        rule,
        part,
        name_of(part),
        severity,
        message,
        _amount(data, "found", where),
        _amount(data, "limit", where),
        _maybe(data, "relation", str, where) or "",
        bool(_maybe(data, "accepted", str, where)),
        fingerprint,
        _maybe(data, "line", int, where) or 1,
    )


def _amount(data: Any, key: str, where: str) -> Amount | None:
    """A figure; none where there is none, or where there is no end to it."""
    found = data.get(key)
    if found is None:
        return None
    value = found.get("value", "") if isinstance(found, dict) else ""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not -_LARGEST <= value <= _LARGEST:
        raise NotAResult(f"{where}.{key} is no figure")
    return Amount(
        float(value), _of(found, "unit", str, line_in(where, key)), clean(str(found.get("note") or ""), _MOST)
    )


def _of(data: Any, key: str, kind: type[Any], where: str) -> Any:
    """What stands under a key, of the kind that every result has there."""
    if not isinstance(data, dict) or not isinstance(data.get(key), kind):
        raise NotAResult(f"{where} has no {key}, which every result has")
    found = data[key]
    return "".join(c if category(c) == "Zs" else seen(c) for c in found) if kind is str else found


def _maybe(data: Any, key: str, kind: type[Any], where: str) -> Any:
    """The same for what may be missing, or `null`: what stands there is of its kind."""
    found = data.get(key)
    if found is not None and (not isinstance(found, kind) or isinstance(found, bool)):
        raise NotAResult(f"{where}.{key} is not what a result has there. Check again")
    return found
