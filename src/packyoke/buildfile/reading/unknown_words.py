"""How people say that they do not know: then a line is left out, and never read as anything else."""

from __future__ import annotations

import re

from packyoke.buildfile.reading.spoken_words import fold

UNKNOWN = frozenset(
    (
        "unknown", "not known", "don't know", "dont know", "do not know", "no idea", "idk", "dunno", "tbd", "tbc",
        "tba", "n/a", "na", "nan", "null", "nil", "not sure", "unsure", "to be determined", "to be confirmed", "to do",
        "todo", "?", "??", "???", "-", "--", "x", "xx", "xxx", "ask", "check", "not stated", "not given",
        "unreadable", "illegible", "missing", "can't see", "cannot see", "can't see it", "can't tell", "can't read it",
        "can't open it", "hidden", "not marked", "no marking", "not printed", "default", "no clue", "not a clue",
        "can't say", "cannot say", "hard to say", "hard to tell", "haven't looked", "didn't look", "not looked",
        "haven't checked", "haven't measured", "not measured", "not checked", "later", "pass", "next", "who knows",
        "nobody knows", "maybe", "perhaps", "possibly", "not that i know", "not that i know of", "wouldn't know",
        "don't remember", "can't remember", "forgot", "not visible", "can't reach it", "no way to tell",
        "can't find it", "blurred", "blurry", "too blurry", "out of focus", "label is blurry", "not in the photo",
        "not in the picture", "not on the photo", "not on the label", "not on it",
        "weiß nicht", "weiss nicht", "keine ahnung", "unbekannt", "nicht bekannt", "unleserlich", "unclear",
    )
)  # fmt: skip
"""Not an answer: the line is left out."""

_LEAD = re.compile(
    r"(?:(?:sorry|well|hm+|uh+m?|um+|honestly|really|just|still|oh|we|i|i'?m|i am|have|i'?ve|got|that'?s|it'?s|it is|"
    r"is)[ ,.]+)+"
)
_TAIL = re.compile(
    r"(?:[ ,.!]+(?:(?:from|in|on) (?:the|this|that|my|a) (?:photo|photograph|picture|pic|image)|"
    r"yet|sorry|really|at all|right now|now|about (?:that|it|this)|what (?:that|this|it) is|tbh|"
    r"to be honest|either|from here|for sure|unfortunately|at the moment|what you mean))*[.!]*$"
)
_PLAIN_UNKNOWN = frozenset(word.replace("'", "") for word in UNKNOWN)


def is_unknown(text: str) -> bool:
    """Whether somebody says that he does not know.

    >>> [is_unknown(text) for text in ("I really dont know yet", "sorry, no clue", "cant see", "no", "none")]
    [True, True, True, False, False]
    """
    said = text.strip().casefold()
    if said in UNKNOWN or fold(text) in UNKNOWN:
        return True
    said = _TAIL.sub("", said.replace("\u2019", "'"), count=1)
    short = {said, _LEAD.sub("", said, count=1) if _LEAD.match(said) else said}
    return any(each.replace("'", "") in _PLAIN_UNKNOWN and len(each) > 2 for each in short)
