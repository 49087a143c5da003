"""Writes workbooks: the same rows give the same bytes."""

import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter

Cell = str | float | int | date | None
_ILLEGAL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_LONGEST = 32_767
"""Characters that a cell holds (ECMA-376, Office Open XML, from memory)."""
_EPOCH = datetime(2000, 1, 1)
_WIDEST = 46


def workbook_of(sheets: Mapping[str, Iterable[Sequence[Cell]]], title: str) -> bytes:
    """A workbook of sheets by name, each the rows of a table whose first row has the headings."""
    book = Workbook()
    book.remove(book.active)
    book.properties.title, book.properties.creator = title, "Handover pack builder"
    book.properties.created = book.properties.modified = _EPOCH
    for name, rows in sheets.items():
        _sheet(book, name, list(rows))
    packed = io.BytesIO()
    book.save(packed)
    return _without_times(packed.getvalue())


def _sheet(book: Workbook, name: str, rows: Sequence[Sequence[Cell]]) -> None:
    sheet = book.create_sheet(name)
    for number, cells in enumerate(rows, start=1):
        for column, value in enumerate(cells, start=1):
            if value not in (None, ""):
                _cell(sheet, number, column, value)
    for column in range(1, (len(rows[0]) if rows else 0) + 1):
        head = sheet.cell(1, column)
        head.font, head.fill = Font(bold=True), PatternFill("solid", start_color="FFE3ECEA")
        head.alignment = Alignment(vertical="top", wrap_text=True)
        longest = max(
            (len(str(row[column - 1] or "")) for row in rows[:200] if len(row) >= column), default=8
        )
        sheet.column_dimensions[get_column_letter(column)].width = min(max(longest + 2, 8), _WIDEST)
    sheet.freeze_panes = "B2"
    if rows:
        sheet.auto_filter.ref = f"A1:{get_column_letter(len(rows[0]))}{len(rows)}"


def _cell(sheet: object, row: int, column: int, value: Cell) -> None:
    """A cell. A text stays a text: no spreadsheet takes it for a formula or a number."""
    cell = sheet.cell(row, column)  # type: ignore[attr-defined]
    if isinstance(value, str):
        cell.value = _ILLEGAL.sub(" ", value)[:_LONGEST]
        cell.data_type, cell.number_format = "s", "@"
    else:
        cell.value = value
        if isinstance(value, date):
            cell.number_format = "yyyy-mm-dd"


def _without_times(content: bytes) -> bytes:
    """The same workbook with one and the same time on all parts, which the library takes from the clock."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for part in sorted(old.infolist(), key=lambda each: each.filename):
            about = zipfile.ZipInfo(part.filename, (2000, 1, 1, 0, 0, 0))
            about.compress_type, about.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            text = old.read(part.filename)
            if part.filename == "docProps/core.xml":
                text = re.sub(
                    rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>2000-01-01T00:00:00Z", text
                )
            new.writestr(about, text)
    return out.getvalue()
