"""The command line: the only part that prints, and the only one that chooses an exit code."""

from builder.cli.commands import main

__all__ = ["main"]
