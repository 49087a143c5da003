"""Changes cells of a table of plots and leaves every other byte of it as it stands."""

import csv
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from builder.saving.yaml_text import UnchangeableError
from builder.sources.table import header_of, read_cell


@dataclass(frozen=True, slots=True)
class _Row:
    """One row: where its cells begin and end in the text, and where its line ends."""

    cells: tuple[tuple[int, int], ...]
    begin: int
    end: int


class TableText:
    """A table of plots as text. Columns go by the builder's names of them, plots by their numbers."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.columns, self._delimiter = header_of(text)
        self._line_end = "\r\n" if "\r\n" in text else "\n"
        rows = list(_rows(text, self._delimiter))
        if not rows or "plot" not in self.columns:
            raise UnchangeableError("This table has no column of plots.")
        self._head = rows[0]
        self._rows: dict[str, _Row] = {}
        for row in rows[1:]:
            if (number := self._number(row)) and number not in self._rows:
                self._rows[number] = row

    def _number(self, row: _Row) -> str:
        place = self.columns.index("plot")
        return str(read_cell("plot", self._cell(row, place))) if place < len(row.cells) else ""

    def _cell(self, row: _Row, place: int) -> str:
        begin, end = row.cells[place]
        line = next(csv.reader([self.text[begin:end]], delimiter=self._delimiter), [""])
        return line[0].strip() if line else ""

    @property
    def plots(self) -> dict[str, dict[str, str]]:
        """The cells of each plot as text, by column."""
        return {
            number: {
                name: self._cell(row, place)
                for place, name in enumerate(self.columns)
                if place < len(row.cells) and name
            }
            for number, row in self._rows.items()
        }

    def put(self, plot: str, values: Mapping[str, str]) -> "TableText":
        """The table with other cells in the row of a plot."""
        if plot not in self._rows:
            raise UnchangeableError(f"The table has no row of plot '{plot}'.")
        table = self
        for column, value in values.items():
            table = table.with_column(column).with_cell(plot, column, value)
        return table

    def with_column(self, column: str) -> "TableText":
        """The table with a column, without a cell in any row."""
        if column in self.columns:
            return self
        place = self._head.cells[-1][1]
        return TableText(f"{self.text[:place]}{self._delimiter}{column}{self.text[place:]}")

    def with_cell(self, plot: str, column: str, value: str) -> "TableText":
        """The table with another cell in the row of a plot."""
        row, place = self._rows[plot], self.columns.index(column)
        new = self._cell_text(value)
        if place < len(row.cells):
            if self._cell(row, place) == value:
                return self
            begin, end = row.cells[place]
        else:
            begin = end = row.end
            new = self._delimiter * (place - len(row.cells) + 1) + new
        return TableText(self.text[:begin] + new + self.text[end:])

    def add(self, values: Mapping[str, str]) -> "TableText":
        """The table with one more row, at its end."""
        if values.get("plot", "") in self._rows:
            raise UnchangeableError(f"The table has a row of plot '{values['plot']}' already.")
        table = self
        for column in values:
            table = table.with_column(column)
        line = self._delimiter.join(self._cell_text(values.get(each, "")) for each in table.columns)
        text = table.text if table.text.endswith("\n") else table.text + self._line_end
        return TableText(text + line + self._line_end)

    def drop(self, plot: str) -> "TableText":
        """The table without the row of a plot."""
        row = self._rows.get(plot)
        if row is None:
            return self
        rest = self.text[row.end :]
        gone = re.match(r"\r?\n", rest)
        return TableText(self.text[: row.begin] + rest[gone.end() if gone else 0 :])

    def _cell_text(self, value: str) -> str:
        if value != value.strip() or re.search(f'["\r\n{self._delimiter}]', value):
            return '"' + value.replace('"', '""') + '"'
        return value


def _rows(text: str, delimiter: str) -> Iterator[_Row]:
    """The rows as Python's reader of tables sees them: a cell in quotes may hold line ends."""
    cell = re.compile(f'(?:"(?:[^"]|"")*"[^{delimiter}\r\n]*|[^{delimiter}\r\n]*)')
    place = 0
    while place < len(text):
        begin, cells = place, []
        while True:
            found = cell.match(text, place)
            end = found.end() if found else place
            cells.append((place, end))
            place = end
            if text[place : place + 1] != delimiter:
                break
            place += 1
        yield _Row(tuple(cells), begin, place)
        line_end = re.compile(r"\r\n|\n|\r").match(text, place)
        place = line_end.end() if line_end else len(text)
