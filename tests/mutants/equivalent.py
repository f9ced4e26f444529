"""Changes after which the program does the same, each with the reason: nothing could notice them."""

SAME: dict[str, str] = {}
"""The place of a change as `tests/mutate.py` prints it -> why both ways give the same."""
