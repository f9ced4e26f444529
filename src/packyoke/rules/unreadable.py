"""The file is no valid build file: nothing in it was checked.

What
    A line is misspelt, has the wrong unit, names a part that does not exist, or the file is no
    plain YAML. Every mistake is shown with its place, in one run.
Why
    A file that is read half is worse than none: what was left out would look like a pass.
Limit
    Format 1 of the build file. Every quantity is a number and a unit.
Do
    Correct the line as the message says, and check again. A value that is not known is left out; a
    guess gets a question mark.
Rider notices
    nothing
Fails
    in skerry-long-tail
    packs.keel.capacity: 20 A
Passes
    in skerry-long-tail
    packs.keel.capacity: 20 Ah
Sources
    docs/fields.md, the build file field by field.
"""

from __future__ import annotations

from packyoke.rules.rule import Rule

RULE = Rule(
    name="unreadable",
    kind="unknown",
    doubt="what the file says",
    page=__doc__ or "",
    basis=("build file, format 1",),
    parts=lambda case: (),
    check=lambda case, part: None,
)
"""Only the page: the reader gives these findings."""
