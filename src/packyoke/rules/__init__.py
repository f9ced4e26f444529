"""The rules, as an explicit list: what is not here does not exist."""

from __future__ import annotations

from packyoke.rules.rule import Rule

VERSION = "2026.1"
RULES: tuple[Rule, ...] = ()
