"""Rows of COBie while they are collected: names that are unique in their sheet, empty cells as n/a."""

import re
from collections.abc import Mapping
from datetime import date

from builder.writers.workbook.cobie_columns import COLUMNS
from builder.writers.workbook.writing import Cell, workbook_of

EMPTY = "n/a"
_SYSTEM = "Handover pack builder"
_EXTERNAL = ("ExtSystem", "ExternalSystem")


class Rows:
    """All sheets of one workbook. ``made_by``: the contact that every row names; ``day``: its date."""

    def __init__(self, made_by: str, day: date) -> None:
        self.made_by, self._on = made_by, f"{day.isoformat()}T00:00:00"
        self._rows: dict[str, list[list[Cell]]] = {
            sheet: [list(columns)] for sheet, columns in COLUMNS.items()
        }
        self._names: dict[str, set[str]] = {sheet: set() for sheet in COLUMNS}

    def add(self, sheet: str, name: str, **cells: Cell) -> str:
        """A row, and the name that it got: of two that are alike the second gets a number."""
        free, number = plain(name), 2
        while free.casefold() in self._names[sheet]:
            free, number = f"{plain(name)} {number}", number + 1
        self._names[sheet].add(free.casefold())
        self._rows[sheet].append(
            [self._cell(sheet, column, free, cells) for column in COLUMNS[sheet]]
        )
        return free

    def has(self, sheet: str, name: str) -> bool:
        """Whether a sheet has a row of this name."""
        return plain(name).casefold() in self._names[sheet]

    def _cell(self, sheet: str, column: str, name: str, cells: Mapping[str, Cell]) -> Cell:
        if column == COLUMNS[sheet][0]:
            return name
        if column == "CreatedBy":
            return self.made_by
        if column == "CreatedOn":
            return self._on
        if column in _EXTERNAL:
            return _SYSTEM
        value = cells.get(column)
        return EMPTY if value is None or value == "" else value

    def workbook(self, title: str) -> bytes:
        """All sheets, filled or not."""
        return workbook_of(self._rows, title)


def plain(name: str) -> str:
    """A name as lists of names can hold it: without the commas that part them."""
    return re.sub(r"\s+", " ", name.replace(",", " ")).strip() or EMPTY
