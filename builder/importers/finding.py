"""Findings about files that are not ours: they are named as on the command line."""

from builder.errors import Finding, Place


def about(file: str, code: str, wrong: str, right: str, line: int = 1) -> Finding:
    """A mistake of a file that is not ours. ``line``: its row, where it has rows."""
    return Finding(code, Place(file, line), wrong, right)
