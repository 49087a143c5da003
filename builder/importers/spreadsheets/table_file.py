"""``plots.csv`` while rows of it are changed: rows that nobody touches keep their bytes."""

import csv
from collections.abc import Mapping

from builder.sources.table import COLUMNS, header_of, read_cell
from builder.tables import lines_of


class TableFile:
    """The table of a development. ``plots``: the fields of each plot by its number, as text."""

    def __init__(self, text: str) -> None:
        self.header, self._delimiter = header_of(text)
        lines = text.splitlines(keepends=True)
        reader = csv.reader(lines, delimiter=self._delimiter)
        self._rows: list[tuple[str, str, list[str]]] = []
        before = 0
        for cells in reader:
            raw, before = "".join(lines[before : reader.line_num]), reader.line_num
            self._rows.append((self._number(cells) if self._rows else "", raw, cells))
        self._places = {row[0]: place for place, row in enumerate(self._rows) if row[0]}
        self._new: list[list[str]] = []

    def _number(self, cells: list[str]) -> str:
        index = self.header.index("plot") if "plot" in self.header else 0
        return str(read_cell("plot", cells[index].strip())) if index < len(cells) else ""

    @property
    def plots(self) -> Mapping[str, Mapping[str, str]]:
        """What the table says of each plot, by the columns that the builder knows."""
        return {
            number: {name: cells[i].strip() for i, name in enumerate(self.header)
                     if name in COLUMNS and i < len(cells)}
            for number, _, cells in self._rows[1:] if number
        }  # fmt: skip

    def put(self, number: str, values: Mapping[str, str]) -> None:
        """Change fields of a plot, or begin its row."""
        for name in values:
            if name not in self.header:
                self._widen(name)
        place = self._places.get(number)
        if place is not None:
            _, _, cells = self._rows[place]
            row = [*cells, *[""] * (len(self.header) - len(cells))]
            for name, value in values.items():
                row[self.header.index(name)] = value
            self._rows[place] = (number, self._line(row), row)
            return
        self._new.append([values.get(name, "") for name in self.header])

    def _widen(self, name: str) -> None:
        """A column that the table has not had."""
        self.header = (*self.header, name)
        for place, (plot, _, cells) in enumerate(self._rows):
            if cells:
                row = [*cells, *[""] * (len(self.header) - 1 - len(cells)), "" if place else name]
                self._rows[place] = (plot, self._line(row), row)

    def _line(self, cells: list[str]) -> str:
        return lines_of([cells], self._delimiter)

    @property
    def text(self) -> str:
        """The table as it is now."""
        old = "".join(raw for _, raw, _ in self._rows)
        if self._new and old and not old.endswith("\n"):
            old += "\n"
        return old + "".join(self._line(cells) for cells in self._new)
