"""Writes tables as text: RFC 4180, with line ends that every version of the library quotes."""

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Final

BYTE_ORDER_MARK: Final = "\ufeff"
"""Without it, a spreadsheet takes the file for an old code page and spoils °C and dashes."""

_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def lines_of(rows: Iterable[Sequence[str]], delimiter: str = ",") -> str:
    """Rows as text, a line each; a cell with a line end of any kind stands in quotes."""
    text = io.StringIO()
    plain = csv.writer(text, delimiter=delimiter, lineterminator="\n")
    # Before Python 3.13 the library leaves a lone carriage return bare, which then ends the row.
    quoted = csv.writer(text, delimiter=delimiter, lineterminator="\n", quoting=csv.QUOTE_ALL)
    for row in rows:
        writer = quoted if any("\r" in cell for cell in row) else plain
        writer.writerow(row)
    return text.getvalue()


def for_a_spreadsheet(rows: Iterable[Sequence[str]]) -> str:
    """Rows for a spreadsheet to open: no cell begins a formula (OWASP, CSV injection, from memory)."""
    return BYTE_ORDER_MARK + lines_of([_harmless(cell) for cell in row] for row in rows)


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell.lstrip(" ").startswith(_FORMULA) else cell
