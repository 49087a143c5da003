"""What a spreadsheet needs of a CSV file that it opens."""

BYTE_ORDER_MARK = "\ufeff"
"""Without it, a spreadsheet takes the file for an old code page and spoils °C and dashes."""

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def safe(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula (OWASP, CSV injection, from memory)."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell
