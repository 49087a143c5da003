"""Reads spreadsheets as rows of cells: XLSX and CSV, whatever the sales system exports.

Nothing is executed and no formula is worked out: of a formula the value counts that was saved with it.
"""

import csv
import re
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from io import StringIO
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.utils.datetime import from_excel

from builder.errors import FindingsError, UsageError, counted
from builder.importers.finding import about

LARGEST = 40 * 1024 * 1024
"""Bytes of a spreadsheet that is read, and ten times as many once it is unpacked."""
MOST_ROWS, MOST_COLUMNS = 50_000, 200
_UNPACKED = 10
MOST_CELLS = 500_000
"""Cells of a workbook that are read: 10,000 plots with fifty columns each."""
_PER_CELL, _PIECE = 4, 1024 * 1024
"""Tags that a cell takes at least, with the value in it, and bytes that are looked at at once."""

_SHEET_PART = re.compile(r"xl/worksheets/[^/]+\.xml")
_BARE_FORMULA = re.compile(rb'<c r="([A-Z]+[0-9]+)"[^>]*><f[^>]*>[^<]*</f>(?:<v */>|<v></v>)?</c>')

_BROKEN = (zipfile.BadZipFile, OSError, EOFError, zlib.error, RuntimeError)
"""What the library raises of a package whose bytes were changed: RuntimeError where they say that it has a
password, or is packed in a way of its own."""

Cell = str | float | date | bool | None


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row: its number as the spreadsheet shows it, its cells, and whether it is hidden."""

    number: int
    cells: tuple[Cell, ...]
    hidden: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet. ``epoch`` is the day that serial dates count from, ``said`` what was noticed."""

    name: str
    rows: tuple[SheetRow, ...]
    epoch: datetime
    said: tuple[str, ...] = ()

    def day(self, number: float) -> date | None:
        """A serial date of this sheet, or none for a number that is none."""
        if not 1 <= number < 200_000:  # noqa: PLR2004  (until the year 2447)
            return None
        found = from_excel(number, self.epoch)
        return (
            found.date()
            if isinstance(found, datetime)
            else found
            if isinstance(found, date)
            else None
        )


def read_sheets(path: Path, most_cells: int = MOST_CELLS) -> tuple[Sheet, ...]:
    """The sheets of a file that hold anything.

    Raises UsageError for a file that is not there, FindingsError for one that cannot be read.
    """
    if not path.is_file():
        raise UsageError(f"There is no file '{path}'.")
    if path.stat().st_size > LARGEST:
        size = path.stat().st_size
        raise _refused(
            path,
            "sheet.too-large",
            f"This file has {size:,} bytes; at most {LARGEST:,} are read.",
            "Export one development alone.",
        )
    with path.open("rb") as file:
        begins = file.read(8)
    if begins.startswith(b"PK"):
        return _workbook(path, most_cells)
    if begins.startswith(b"\xd0\xcf\x11\xe0"):
        raise _refused(
            path,
            "sheet.old-form",
            "This is a workbook of before 2007, or one with a password.",
            "Save it as .xlsx, without a password.",
        )
    return (_table(path),)


def _refused(path: Path, code: str, wrong: str, right: str) -> FindingsError:
    return FindingsError([about(path.name, code, wrong, right)])


def _workbook(path: Path, most_cells: int) -> tuple[Sheet, ...]:
    size = _unpacked(path)
    if size > LARGEST * _UNPACKED:
        raise _refused(
            path,
            "sheet.too-large",
            f"Unpacked, this workbook has {size:,} bytes.",
            "Export one development alone.",
        )
    if _tags(path, most_cells * _PER_CELL) > most_cells * _PER_CELL:
        raise _refused(
            path,
            "sheet.too-large",
            f"This workbook holds more than {most_cells:,} cells.",
            "Export one development alone.",
        )
    try:
        with path.open("rb") as file:
            book = openpyxl.load_workbook(file, data_only=True)
    except Exception as error:
        said = " ".join(str(error).split())[:160]
        raise _refused(
            path,
            "sheet.unreadable",
            f"This workbook cannot be read: {said}.",
            "Open it in a spreadsheet and save it again as .xlsx.",
        ) from error
    sheets = [_sheet(each, book.epoch) for each in book.worksheets]
    bare = _without_values(path)
    if bare:
        said = f"{counted(len(bare), 'formula')} saved without a value ({', '.join(bare[:4])}): open the file in a spreadsheet, save it there, and import it again."
        sheets = [replace(each, said=(*each.said, said)) for each in sheets]
    return tuple(each for each in sheets if each.rows)


def _without_values(path: Path) -> list[str]:
    """The cells whose formulas nobody has worked out: programs that write workbooks leave that to the
    spreadsheet that opens them next."""
    with suppress(*_BROKEN), zipfile.ZipFile(path) as packed:
        parts = [each for each in packed.namelist() if _SHEET_PART.fullmatch(each)]
        return [
            found.decode() for each in parts for found in _BARE_FORMULA.findall(packed.read(each))
        ]
    return []


def _unpacked(path: Path) -> int:
    """Bytes that a workbook unpacks to, as it says itself."""
    try:
        with zipfile.ZipFile(path) as packed:
            return sum(each.file_size for each in packed.infolist())
    except (zipfile.BadZipFile, OSError) as error:
        raise _refused(
            path, "sheet.unreadable", "This workbook is cut off or broken.", "Export it again."
        ) from error


def _tags(path: Path, most: int) -> int:
    """Tags of all parts of a workbook, counted no further than the most that is read: a few kilobytes
    can unpack to millions of cells, and the library makes every one of them."""
    found = 0
    with zipfile.ZipFile(path) as packed:
        for each in packed.infolist():
            with suppress(*_BROKEN), packed.open(each) as part:
                while (piece := part.read(_PIECE)) and found <= most:
                    found += piece.count(b"<")
    return found


def _sheet(sheet: Any, epoch: datetime) -> Sheet:
    hidden = {number for number, about in sheet.row_dimensions.items() if about.hidden}
    rows = tuple(SheetRow(number, cells, number in hidden) for number, cells in _filled_rows(sheet))
    said = [f"Sheet '{sheet.title}' is hidden."] if sheet.sheet_state != "visible" else []
    merged = [str(each) for each in sheet.merged_cells.ranges]
    if merged:
        said.append(f"Sheet '{sheet.title}' has merged cells: {', '.join(merged[:4])}.")
    return Sheet(sheet.title, rows, epoch, tuple(said))


def _filled_rows(sheet: Any) -> Iterator[tuple[int, tuple[Cell, ...]]]:
    """Rows with anything in them. Only cells that are there are looked at: a single one in the last
    corner would have the library make millions of empty ones before it."""
    rows: dict[int, dict[int, Cell]] = {}
    for (number, column), cell in sheet._cells.items():  # noqa: SLF001
        if number <= MOST_ROWS and column <= MOST_COLUMNS and cell.value not in (None, ""):
            rows.setdefault(number, {})[column] = _cell(cell.value)
    widest = max((max(cells) for cells in rows.values()), default=0)
    for number, cells in sorted(rows.items()):
        yield number, tuple(cells.get(column) for column in range(1, widest + 1))


def _cell(value: Any) -> Cell:
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, time) or value is None:
        return None
    return value if isinstance(value, str | bool | date) else float(value)


def _table(path: Path) -> Sheet:
    """A CSV file: comma, semicolon or tab, in UTF-8 or as older spreadsheets of Windows write it."""
    content, said = path.read_bytes(), []
    try:
        text = content.decode(
            "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
        )
    except UnicodeDecodeError:
        text = content.removeprefix(b"\xef\xbb\xbf").decode("cp1252", errors="replace")
        said.append(f"'{path.name}' is not UTF-8; it was read as Windows-1252.")
    if "\x00" in text:
        raise _refused(
            path,
            "sheet.unreadable",
            "This is neither a workbook nor a table of text.",
            "Export it as .xlsx or .csv.",
        )
    try:
        # As a file has lines: a cell may hold other characters that end a line of text.
        rows = tuple(_lines(list(StringIO(text, newline=""))))
    except csv.Error as error:
        raise _refused(
            path,
            "sheet.unreadable",
            f"This table cannot be read: {error}.",
            "Look for a quote that opens and does not close.",
        ) from error
    return Sheet(path.stem, rows, datetime(1899, 12, 30), tuple(said))


def _lines(lines: Sequence[str]) -> Iterator[SheetRow]:
    head = "".join(lines[:20])
    delimiter = max(",;\t", key=head.count)
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    before = 0
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield SheetRow(before + 1, tuple(cells[:MOST_COLUMNS]))
            before = reader.line_num
            if before > MOST_ROWS:
                return
    except csv.Error as error:
        raise csv.Error(f"{error}, in the row that begins on line {before + 1}") from None
