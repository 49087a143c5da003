"""Short tables for a terminal: as wide as what stands in them, numbers to the right."""

from collections.abc import Iterator, Sequence
from typing import Final

SHOWN: Final = 20
"""Rows that are listed; the others are counted."""


def columns(
    headings: Sequence[str], rows: Sequence[tuple[str | int, ...]], *, shown: int = SHOWN
) -> Iterator[str]:
    """A line for the headings and for each row, of which the first ``shown`` are listed."""
    listed = [tuple(headings), *rows[:shown]]
    widths = [max(len(str(row[each])) for row in listed) for each in range(len(headings))]
    numbers = [all(isinstance(row[each], int) for row in rows) for each in range(len(headings))]
    for row in listed:
        cells = zip(row, widths, numbers, strict=True)
        yield "  ".join(
            str(cell).rjust(width) if number else str(cell).ljust(width)
            for cell, width, number in cells
        ).rstrip()
    if len(rows) > shown:
        yield f"… and {len(rows) - shown} more."
