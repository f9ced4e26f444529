"""What public documents of a region say, as far as they are on file."""

from __future__ import annotations

from functools import lru_cache

from packyoke.shelf import regions


@lru_cache(maxsize=16)
def public_lines(region: str) -> tuple[str, ...]:
    """The lines of a region with their sources; empty when no document is on file."""
    return tuple(
        f"{line.text.removesuffix(regions.DEFERS).rstrip()} ({line.source.title}, {line.locator}"
        f"{'; source not checked' if line.status == 'memory' else ''}.)"
        for line in regions.law_lines(region)
        if line.source is not None
    )


@lru_cache(maxsize=16)
def figures(region: str) -> regions.Figures:
    """The figures of a region's documents that a bike can be held against."""
    return regions.figures(region)


@lru_cache(maxsize=16)
def assist_limit_m_s(region: str) -> float | None:
    """Road speed above which the motor no longer helps by the documents of a region [m/s]."""
    return regions.assist_limit_m_s(region)
