"""Plan and check electric-bike builds that run several battery packs in parallel."""

__version__ = "0.1.0"
