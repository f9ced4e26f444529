"""Questions that a stop makes moot: what is asked about a plain joiner that has to go, and about what goes with it.

Packs that feed each other through a plain joiner are a stop whatever else is found out, and the mend is another joiner.
Asked is only what still decides with that one in place; of the part that goes nothing is.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from packyoke.core.findings import Severity
from packyoke.core.paths import belongs_to, name_of
from packyoke.model import Build, Key
from packyoke.rules import packs_rush
from packyoke.rules.outcome import Change
from packyoke.rules.rule import Rule
from packyoke.verdict.explore import Decision
from packyoke.verdict.judge import judge_build
from packyoke.verdict.mending import changed
from packyoke.verdict.questions import unasked

BLOCKING = (("type", "ideal-diode"), ("blocks_in", "positive"), ("bonded", None))


FIRST = "Put a joiner that blocks in place of the plain one first, then look again."


class Moot:
    """What need not be asked any more. Without such a stop everything is asked."""

    def __init__(self, build: Build, decisions: Sequence[Decision], rules: Sequence[Rule]) -> None:
        self.replaced = tuple(
            each.path
            for each in decisions
            if each.rule is packs_rush.RULE
            and each.severity == Severity.STOP
            and build.joiners[name_of(each.path)].type == "plain"
        )
        self._decides: Collection[Key] = ()
        self._left: Collection[tuple[str, str]] = ()
        if self.replaced and any(each.severity == Severity.OPEN for each in decisions):
            changes = tuple(Change(path, attr, value) for path in self.replaced for attr, value in BLOCKING)
            mended = changed(build, changes)
            after = judge_build(mended, rules)
            asked = {key for each in after if each.severity == Severity.OPEN for key in each.asks}
            if not all(each.complete for each in after):
                asked |= {each.key for each in unasked(mended, asked)}
            self._decides = asked
            self._left = {(each.rule.name, each.path) for each in after if each.severity >= Severity.OPEN}

    def decision(self, decision: Decision) -> Decision | None:
        """What is left to ask of an open question; None where the stop answers it. It stays a finding for whoever keeps
        the joiner."""
        if not self.replaced or not decision.asks:
            return decision
        if (decision.rule.name, decision.path) not in self._left:
            return None
        asks = tuple(key for key in decision.asks if not self.key(key))
        return decision._replace(asks=asks) if asks else None

    def key(self, key: Key) -> bool:
        """Whether a field need not be asked for."""
        return bool(self.replaced) and (
            key not in self._decides or any(belongs_to(key.path, each) for each in self.replaced)
        )
