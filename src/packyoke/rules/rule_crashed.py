"""A rule failed in the program and decided nothing.

What
    The program has a fault: while it looked at this part, one of its rules broke off.
Why
    Nobody knows what the rule would have said. That must not look like a pass.
Limit
    None: every rule has to come to an end on every part.
Do
    Treat the part as not checked by this rule, look at the rule's own page and check by hand. Send
    the build file to whoever looks after the program.
Rider notices
    nothing
Sources
    The program itself.
"""

from __future__ import annotations

from packyoke.rules.rule import Rule

RULE = Rule(
    name="rule-crashed",
    kind="unknown",
    doubt="what a rule of the program says",
    page=__doc__ or "",
    basis=("the program itself",),
    parts=lambda case: (),
    check=lambda case, part: None,
)
"""Only the page: whoever runs the rules gives this finding."""
