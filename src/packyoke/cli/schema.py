"""`packyoke schema`."""

from __future__ import annotations

import click

from packyoke.cli.files import output_options, print_out
from packyoke.cli.options import Command


@click.command(cls=Command)
@output_options
def schema(output: str | None, replace: bool) -> None:
    """Print the JSON Schema of the build file, for editors.

    An editor that knows it completes field names and marks mistakes while you type.
    Exit status: 0 printed, 2 the output cannot be written.

    \b
    Example:
        packyoke schema --output build-file.schema.json
    """
    import json

    from packyoke.buildfile.schema import schema as made

    print_out(json.dumps(made(), indent=2) + "\n", output, replace, [])
