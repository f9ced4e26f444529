"""Property tests try the same examples in every run where a red run stops the work, and new ones elsewhere."""

from __future__ import annotations

import os
import signal

from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("new", deadline=None)
settings.load_profile("same" if os.environ.get("CI") else "new")

# In the background of a shell, or under nohup, these are ignored, and programs started here would ignore them too.
for number, usual in ((signal.SIGINT, signal.default_int_handler), (signal.SIGHUP, signal.SIG_DFL)):
    if signal.getsignal(number) == signal.SIG_IGN:
        signal.signal(number, usual)
