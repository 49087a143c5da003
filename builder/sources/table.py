"""Reads ``plots.csv`` as a sales spreadsheet exports it: comma or semicolon, two forms of date."""

import csv
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from builder.errors import Finding, Findings, Place, Severity, bare, printable, suggestion
from builder.sources.entry import Entry

COLUMNS = (
    "plot", "address", "postcode", "house_type", "hand", "options", "completion", "warrant", "front_faces",
)  # fmt: skip
_REQUIRED = ("plot", "address", "postcode", "house_type", "hand")
_ALSO_CALLED = {
    "plot_number": "plot",
    "plot_no": "plot",
    "legal_completion": "completion",
    "completion_date": "completion",
}
_HANDS = {
    "as": "as-drawn",
    "as drawn": "as-drawn",
    "opp": "opposite",
    "opposite": "opposite",
    "opposite hand": "opposite",
    "handed": "opposite",
    "mirrored": "opposite",
}
_BEARINGS = {
    name: 22.5 * index
    for index, name in enumerate(
        (
            "n",
            "nne",
            "ne",
            "ene",
            "e",
            "ese",
            "se",
            "sse",
            "s",
            "ssw",
            "sw",
            "wsw",
            "w",
            "wnw",
            "nw",
            "nnw",
        )
    )
}
_WORDS = {"north": "n", "south": "s", "east": "e", "west": "w"}
_DAY_FIRST = re.compile(r"([0-9]{1,2})/([0-9]{1,2})/([0-9]{4})")
FORMULA_ERROR = re.compile(r"#(N/A|GETTING_DATA|[A-Z][A-Z0-9/]*[!?])")
"""What a spreadsheet shows in place of a value that a formula does not give: #REF!, #NAME?, #N/A."""
_NUMBER = re.compile(r"[-+]?[0-9]{1,12}(\.[0-9]{1,12})?")
MOST_COLUMNS = 200
"""Columns that are read. A table of plots has about ten; a sales system exports some dozens more."""


@dataclass(frozen=True, slots=True)
class Row:
    """One plot's row: its number, and the layer that it makes."""

    number: str
    entry: Entry


def read_plots(
    text: str, file: str, ignore: tuple[str, ...] | None, findings: Findings
) -> tuple[Row, ...] | None:
    """The rows of a table of plots, in its order, or nothing where its header cannot be used.

    ``ignore`` names columns that are not read; none where nobody knows them, because the file that
    names them has mistakes: then no column is refused for being unknown.
    """
    table = _Table(file, text, findings)
    header = table.header(ignore)
    return tuple(table.rows(header)) if header else None


def header_of(text: str) -> tuple[tuple[str, ...], str]:
    """The names of a table's columns as the builder knows them, and its separator."""
    delimiter = _delimiter(text)
    cells, _ = _first_row(text.split("\n"), delimiter)
    return tuple(_column(cell) for cell in cells), delimiter


def _delimiter(text: str) -> str:
    first = text.split("\n", 1)[0]
    return ";" if first.count(";") > first.count(",") else ","


def _first_row(lines: list[str], delimiter: str) -> tuple[list[str], int]:
    """The cells of the first row, and how many lines it takes; none where nobody can read it."""
    reader = csv.reader((f"{line}\n" for line in lines), delimiter=delimiter)
    try:
        return next(reader, []), reader.line_num
    except csv.Error:
        return [], 1


class _Table:
    """One table on its way to rows."""

    def __init__(self, file: str, text: str, findings: Findings) -> None:
        self.file = file
        self.lines = text.split("\n")
        self.delimiter = _delimiter(text)
        self.findings = findings
        self.names, self.above = _first_row(self.lines, self.delimiter)
        self.width = len(self.names)

    def header(self, ignore: tuple[str, ...] | None) -> dict[int, str] | None:
        """Which column stands where, or nothing where one that every plot needs is missing."""
        if self.width > MOST_COLUMNS:
            self._too_wide()
            ignore = None
        columns = [_column(cell) for cell in self.names[:MOST_COLUMNS]]
        first = {name: index for index, name in reversed(list(enumerate(columns)))}
        ignored, starts = {_column(name) for name in ignore or ()}, self._starts(1)
        header: dict[int, str] = {}
        for index, name in enumerate(columns):
            cell = self.names[index].strip()
            if not cell or name in ignored:
                continue
            if name in COLUMNS and first[name] == index:
                header[index] = name
            elif name in COLUMNS or ignore is not None:
                self._refuse_column(name, cell, first.keys(), self._place_of_cell(1, starts, index))
        return header if self._complete(header) else None

    def _too_wide(self) -> None:
        self._refuse(
            "plots.column",
            Place(self.file),
            f"The first line names {self.width:,} columns; at most {MOST_COLUMNS} are read.",
            "Delete the columns that are not for the builder.",
        )

    def _refuse_column(self, name: str, cell: str, present: Iterable[str], place: Place) -> None:
        cell = printable(cell)
        wrong, right = f"The column '{cell}' stands here twice.", "Keep one of them."
        if name not in COLUMNS:
            hint = suggestion(name, set(COLUMNS).difference(present), "Columns not here yet")
            wrong = f"'{cell}' is not a column of a plot."
            right = f"{hint} If it is not for the builder, list it in 'ignore_columns' of development.yaml."
        self._refuse("plots.column", place, wrong, right)

    def _complete(self, header: Mapping[int, str]) -> bool:
        missing = [name for name in _REQUIRED if name not in header.values()]
        if missing:
            listed = ", ".join(f"'{name}'" for name in missing)
            self._refuse(
                "plots.column",
                Place(self.file),
                f"The first line names no column {listed}.",
                f"Begin the table with a line of names: {', '.join(COLUMNS)}.",
            )
        return not missing

    def rows(self, header: Mapping[int, str]) -> Iterator[Row]:
        below = (line + "\n" for line in self.lines[self.above :])
        reader = csv.reader(below, delimiter=self.delimiter)
        seen: dict[str, int] = {}
        alike: dict[str, Row] = {}
        line = self.above + 1
        for cells in self._cells(reader):
            begins, line = line, reader.line_num + self.above + 1
            if not any(cell.strip() for cell in cells):
                continue
            row = self._row(cells, header, begins)
            if row.number in seen:
                self._twice(row, seen[row.number])
                continue
            seen[row.number] = begins
            if (other := alike.setdefault(bare(row.number), row)) is not row:
                self._warn_of_alike(row, other.number, seen[other.number])
            yield row

    def _cells(self, reader: Iterable[list[str]]) -> Iterator[list[str]]:
        """The rows that the reader can make out; one quote too few can swallow the rest."""
        try:
            yield from reader
        except csv.Error as error:
            self._refuse(
                "plots.syntax",
                Place(self.file, self.above + 1),
                f"The rows from here on cannot be read: {error}.",
                "Look for a quote that opens and does not close.",
            )

    def _row(self, cells: list[str], header: Mapping[int, str], line: int) -> Row:
        place, starts = Place(self.file, line), self._starts(line)
        values = {
            name: self._entry(name, cells[index].strip(), self._place_of_cell(line, starts, index))
            for index, name in header.items()
            if index < len(cells) and cells[index].strip()
        }
        if any(cell.strip() for cell in cells[self.width :]):
            self._refuse_cells(len(cells), place)
            values = {name: entry for name, entry in values.items() if name == "plot"}
        number = str(values["plot"].value) if "plot" in values else ""
        if "plot" in values:
            values["number"] = values.pop("plot")
        return Row(number, Entry({"plot": Entry(values, place, place)}, place))

    def _refuse_cells(self, cells: int, place: Place) -> None:
        """A row with a stray separator: which cell means what cannot be known."""
        self._refuse(
            "plots.cells",
            place,
            f"This row has {cells} cells, and the first line names {self.width} columns.",
            "Put quotes round a cell that holds the separator.",
        )

    def _twice(self, row: Row, first: int) -> None:
        number = row.entry.children["plot"].children.get("number", row.entry)
        self._refuse(
            "plots.twice",
            number.place,
            f"Plot '{row.number}' is listed twice; the first is on line {first}.",
            "Keep one of the rows.",
        )

    def _warn_of_alike(self, row: Row, other: str, line: int) -> None:
        """Two plots that a spreadsheet, or a disk that tells no capitals apart, makes one of."""
        number = row.entry.children["plot"].children.get("number", row.entry)
        self.findings.add(
            Finding(
                "plots.alike",
                number.place,
                f"Plot '{row.number}' looks like plot '{other}' on line {line}.",
                "If they are one plot, keep one row. If not, give one a number that no capital or nought alone tells apart.",
                severity=Severity.WARNING,
            )
        )

    def _entry(self, name: str, cell: str, place: Place) -> Entry:
        if FORMULA_ERROR.fullmatch(cell):
            self._refuse("plots.formula", place, *broken_formula(cell))
        if name == "options":
            names = [_identifier(each) for each in re.split(r"[+;,|\n]", cell) if each.strip()]
            return Entry(tuple(Entry(each, place) for each in names), place, place)
        return Entry(_READERS.get(name, str)(cell), place, place)

    def _starts(self, line: int) -> tuple[int, ...]:
        return _cell_starts(self.lines[line - 1], self.delimiter)

    def _place_of_cell(self, line: int, starts: tuple[int, ...], index: int) -> Place:
        return Place(self.file, line, starts[index] if index < len(starts) else 1)

    def _refuse(self, code: str, place: Place, wrong: str, right: str) -> None:
        self.findings.add(Finding(code, place, wrong, right))


def broken_formula(cell: str) -> tuple[str, str]:
    """What is wrong with such a cell, and what would be right."""
    return f"'{cell}' is what a spreadsheet shows for a formula that is broken.", "Write the value."


def _cell_starts(line: str, delimiter: str) -> tuple[int, ...]:
    """The columns, counted from 1, at which the cells of a line begin."""
    starts, quoted = [1], False
    for found in re.finditer(f'["{delimiter}]', line):
        if found.group() == '"':
            quoted = not quoted
        elif not quoted:
            starts.append(found.end() + 1)
    return tuple(starts)


def _folded(name: str) -> str:
    return re.sub(r"[\s_-]+", "_", name.strip().lower())


def _column(cell: str) -> str:
    return _ALSO_CALLED.get(_folded(cell), _folded(cell))


def _identifier(cell: str) -> str:
    return re.sub(r"[\s_-]+", "-", cell.strip().lower())


def _hand(cell: str) -> str:
    """A hand by one of its names; anything else as it stands, so that a finding quotes it."""
    return _HANDS.get(re.sub(r"[\s_-]+", " ", cell.lower()), cell)


def _day(cell: str) -> str:
    """A date as 2026-03-31, from either form; what is no day of the calendar stands as it was written."""
    found = _DAY_FIRST.fullmatch(cell)
    try:
        return date(int(found[3]), int(found[2]), int(found[1])).isoformat() if found else cell
    except ValueError:
        return cell


def _bearing(cell: str) -> float | str:
    """Degrees from north, from a number or from a word such as SW or "south west"."""
    letters = re.sub(r"[\s_-]+", "", cell.lower())
    for word, letter in _WORDS.items():
        letters = letters.replace(word, letter)
    if letters in _BEARINGS:
        return _BEARINGS[letters]
    return float(cell) if _NUMBER.fullmatch(cell) else cell


def read_cell(field: str, cell: str) -> str | float:
    """A cell of a field as it is read: an id, a hand, a day or a bearing in one of their forms."""
    return _READERS.get(field, str)(cell)


_READERS: Mapping[str, Callable[[str], str | float]] = {
    "plot": _identifier,
    "house_type": _identifier,
    "hand": _hand,
    "completion": _day,
    "warrant": _day,
    "front_faces": _bearing,
}
