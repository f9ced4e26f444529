"""Answers of people who are not sure, "30A i think", "probably a Y cable": such a one is a guess, never a fact."""

from __future__ import annotations

import re

_UNSURE = (
    r"about|approx(?:imately|\.)?|ca\.?|circa|around|roughly|or so|more or less|maybe|perhaps|possibly|probably|"
    r"presumably|apparently|allegedly|supposedly|(?:i'd |i |my |at a )?guess(?:ing)?|"
    r"(?:i |we )?(?:think|believe|suppose|assume|reckon|hope)(?: so)?|i'd say|i would say|"
    r"(?:should|must|might|may|could|ought to|seems? to|supposed to) be|(?:it )?(?:looks|seems) like|"
    r"(?:most |very )?likely|afaik|as far as (?:i|one|the (?:photo|picture)) (?:know|remember|recall|shows|can "
    r"(?:see|tell))|"
    r"if i (?:remember|recall)(?: right| correctly| it right)?|from memory|"
    r"(?:pretty|fairly|quite|almost|nearly|i'm|not|not (?:quite|entirely|100 ?%|totally|so|too|very)) (?:sure|certain)"
    r"(?: if| whether)?|no guarantee|don't quote me|(?:some(?:one|body)|they|he|she) (?:told me|said|says)|i was told|"
    r"i heard"
)
_SIGN = r"~|≈"
_IT = r"(?:(?:it|that|this|they|there)(?:'s| is| are)? +)?"
_BEFORE = re.compile(rf"{_IT}(?:(?:{_SIGN})|(?:{_UNSURE})(?![a-z]))[\s,:;-]*{_IT}(?P<rest>\S.*)", re.I).fullmatch
_AFTER = re.compile(
    rf"(?P<rest>.*?[^\s,;(-])(?:[\s,;(-]+(?<!\S-(?=ca\b))(?:but +)?(?:(?:i'm|i am|it|that|this|we're) +)?(?:{_UNSURE})"
    r"(?: (?:it is|that is|it's))?[).!]*|[\s-]*ish|\s*\?{2,})",
    re.I,
).fullmatch
HEDGED = re.compile(rf"(?<![a-z])(?:{_UNSURE})(?![a-z])|{_SIGN}", re.I).search
"""Whether an answer has a word of doubt anywhere."""


def unhedged(text: str) -> str | None:
    """What is left of an answer without its words of doubt; None where it has none at its ends.

    >>> unhedged("30A i guess"), unhedged("probably a Y cable"), unhedged("30 A")
    ('30A', 'a Y cable', None)
    """
    rest = text.strip()
    while found := _BEFORE(rest) or _AFTER(rest):
        rest = found["rest"].strip()
    return rest if rest != text.strip() else None
