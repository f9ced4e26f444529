"""Property tests try the same examples in every run where a red run stops the work, and new ones elsewhere."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("new", deadline=None)
settings.load_profile("same" if os.environ.get("CI") else "new")
