"""Cells of a spreadsheet as values of a plot: dates in any form, numbers as text, names for ids."""

import re
from collections.abc import Container, Mapping
from dataclasses import dataclass
from datetime import date

from builder.errors import suggestion
from builder.importers.spreadsheets.sheets import Cell, Sheet
from builder.sources.table import FORMULA_ERROR, broken_formula, read_cell

_MONTHS = {name: number for number, name in enumerate(
    ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), start=1)}  # fmt: skip
_DOTTED = re.compile(r"([0-9]{1,2})[./-]([0-9]{1,2})[./-]([0-9]{4})")
_WORDED = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[ -]([A-Za-z]{3})[a-z]*[ ,-]*((?:20)?[0-9]{2})")
"""A spreadsheet saves the day of a cell as it shows it: 31-Mar-27 as well. Homes are of this century."""
_ISO = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})(?:[T ][0-9:.]+Z?)?")
_MIRRORED = {
    "yes": "opposite",
    "y": "opposite",
    "no": "as-drawn",
    "n": "as-drawn",
    "true": "opposite",
    "false": "as-drawn",
}
_CENTURY = 2000
_DAYS = ("completion", "warrant")


class RefusedCellError(Exception):
    """A cell that cannot be taken; its text says why and what would be right."""


@dataclass(frozen=True)
class Names:
    """What a workspace knows: ids of house types and options with their names, and numbers of plots."""

    house_types: Mapping[str, str]
    options: Mapping[str, str]
    plots: Container[str]
    width: int = 1

    def plot(self, text: str) -> str:
        """A plot's number as the development writes it: a spreadsheet loses the zero of ``07``."""
        name = re.sub(r"[\s_-]+", "-", text.strip().casefold())
        if name in self.plots or not name.isdecimal():
            return name
        for width in range(len(name), 7):
            if name.zfill(width) in self.plots:
                return name.zfill(width)
        return name.zfill(self.width)

    def found(self, text: str, known: Mapping[str, str], what: str) -> str:
        """An id by itself or by its name."""
        text = text.strip()
        wanted = _folded(text)
        for identifier, name in known.items():
            if wanted in (_folded(identifier), _folded(name), _folded(name).removeprefix("the-")):
                return identifier
        raise RefusedCellError(
            f"There is no {what} '{text}'. {suggestion(wanted, known, f'Each {what} here')}"
        )


_POSTCODE = re.compile(r"([a-z]{1,2}[0-9][a-z0-9]?) ?([0-9][a-z]{2})", re.IGNORECASE)
"""How postcodes of the United Kingdom are written (Royal Mail, from memory): people leave out the space."""


def _folded(text: str) -> str:
    return re.sub(r"[\W_]+", "-", text.strip().casefold()).strip("-").removeprefix("the-")


def check_no_error(cell: Cell) -> None:
    """Raises RefusedCellError for what a spreadsheet shows where a formula came to nothing."""
    if isinstance(cell, str) and FORMULA_ERROR.fullmatch(cell.strip()):
        raise RefusedCellError(" ".join(broken_formula(cell.strip())))


def value_of(field: str, cell: Cell, sheet: Sheet, names: Names) -> str:
    """A cell as ``plots.csv`` holds it. Raises RefusedError."""
    if field in _DAYS:
        return day_of(cell, sheet).isoformat()
    text = text_of(cell)
    if field == "plot":
        return names.plot(text)
    if field == "house_type":
        return names.found(text, names.house_types, "house type")
    if field == "options":
        parts = [each for each in re.split(r"[+;,|\n]", text) if each.strip()]
        return "+".join(names.found(each, names.options, "option") for each in parts)
    if field == "postcode" and (found := _POSTCODE.fullmatch(text)):
        return f"{found[1]} {found[2]}".upper()
    if field == "hand":
        text = _MIRRORED.get(text.casefold(), text)
    read = read_cell(field, text)
    return f"{read:g}" if isinstance(read, float) else str(read)


def text_of(cell: Cell) -> str:
    """A cell as text: a number without what a spreadsheet adds to it."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() else repr(cell)
    if isinstance(cell, date):
        return cell.isoformat()
    return " ".join((cell or "").split())


def day_of(cell: Cell, sheet: Sheet) -> date:
    """A cell as a day: a real date, a serial date, or text in one of several forms. Raises RefusedError."""
    if isinstance(cell, date):
        return cell
    text = text_of(cell)
    number = (
        cell
        if isinstance(cell, float)
        else float(text)
        if re.fullmatch(r"[0-9]{5}(\.[0-9]+)?", text)
        else None
    )
    if number is not None and (found := sheet.day(number)) is not None:
        return found
    try:
        return _written_day(text)
    except (ValueError, KeyError):
        raise RefusedCellError(
            f"'{text}' is no day. Write it as 2026-03-31 or 31/03/2026."
        ) from None


def _written_day(text: str) -> date:
    if found := _ISO.fullmatch(text):
        return date(int(found[1]), int(found[3]), int(found[4]))
    if found := _DOTTED.fullmatch(text):
        return date(int(found[3]), int(found[2]), int(found[1]))
    if found := _WORDED.fullmatch(text):
        year = int(found[3])
        month = _MONTHS[found[2].lower()]
        return date(year if year >= _CENTURY else _CENTURY + year, month, int(found[1]))
    raise ValueError(text)
