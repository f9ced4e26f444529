"""`python -m packyoke`, and the command `packyoke`."""

from __future__ import annotations

import os


def main() -> None:
    """Start the command line. Ctrl-C or too little memory while it is still being loaded end it without a traceback."""
    try:
        from packyoke.cli import main as run
        from packyoke.cli.streams import leave
    except KeyboardInterrupt:
        os._exit(130)
    except Exception as error:
        os.write(2, f"packyoke: cannot be started: {type(error).__name__}: {error}\n".encode("utf-8", "replace"))
        os._exit(3)
    try:
        run()
    except SystemExit as done:
        leave(done.code if isinstance(done.code, int) else 0)
    except KeyboardInterrupt:
        os._exit(130)


if __name__ == "__main__":
    main()
