"""The catalogue: figures of wires, connectors, fuses, cells and mounts, each with the place it was taken from.

Nothing is read before it is asked for.
"""

SHELF = "2026.5"  # edition of the data: raised whenever a figure changes
