"""Sources of the catalogue by key."""

from __future__ import annotations

from packyoke.shelf.tables import source, sources

__all__ = ["source", "sources"]
