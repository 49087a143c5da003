"""Which column of a spreadsheet is which field of a plot: found by name, confirmed once, remembered.

What was confirmed stands in ``developments/<name>/columns.yaml``: headings and the fields that they
are, ``null`` for a column that is not for the builder.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import yaml

from builder.errors import FindingsError, UsageError, suggestion
from builder.importers.finding import about
from builder.importers.spreadsheets.confirmed import fields_near, is_field
from builder.importers.spreadsheets.sheets import Cell, Sheet, SheetRow

NEW_NEEDS = ("plot", "address", "postcode", "house_type", "hand")
"""Fields that a plot has at least."""
_LOOKED_THROUGH = 40
"""Rows at the top of a sheet among which its headings are: titles and notes may stand above."""


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of one sheet: ``fields`` by column counted from 0, and what is not read.

    ``new``: headings that nobody has confirmed yet.
    """

    sheet: Sheet
    heading_row: SheetRow
    fields: Mapping[int, str]
    unread: tuple[str, ...]
    new: tuple[str, ...]
    remembered: Mapping[str, str | None]

    @property
    def rows(self) -> Iterator[SheetRow]:
        """The rows below the headings."""
        return (row for row in self.sheet.rows if row.number > self.heading_row.number)


def normal(heading: str) -> str:
    """A heading as it is compared: lower case, words apart, no signs."""
    split = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", heading)
    return re.sub(r"[\W_]+", " ", split).strip().casefold()


def columns_of(
    sheets: Sequence[Sheet],
    file: str,
    sheet: str | None,
    said: Mapping[str, str],
    known: Mapping[str, str | None],
) -> Columns:
    """The columns of the sheet that has plots. ``said`` on the command line goes before ``known``.

    Raises FindingsError where no sheet has headings of plots, UsageError where one is named wrongly.
    """
    chosen = [each for each in sheets if sheet is None or each.name == sheet]
    if not chosen:
        here = suggestion(sheet or "", [each.name for each in sheets], "Sheets of this file")
        raise UsageError(f"There is no sheet '{sheet}'. {here}")
    ways = [(_fields_named(row, said, known), -index, each, row) for index, each in enumerate(chosen)
            for row in each.rows[:_LOOKED_THROUGH]]  # fmt: skip
    best = max(ways, key=lambda way: (way[0], way[1], -way[3].number), default=None)
    if best is None or best[0] < 1:
        raise FindingsError([about(file, "sheet.no-headings", "No row of this file names the columns of plots.",
                                   "Name them in one row: plot, address, postcode, house type, hand, options, completion.")])  # fmt: skip
    _check_said(said, best[3])
    others = dict.fromkeys(
        each.name for named, _, each, _ in ways if named > 1 and each is not best[2]
    )
    also = [f"Sheet '{each}' names plots too and was not read: --sheet '{each}'" for each in others]
    return _columns(replace(best[2], said=(*best[2].said, *also)), best[3], said, known)


def _check_said(said: Mapping[str, str], row: SheetRow) -> None:
    """Nothing that was said on the command line goes unheard."""
    headings = [cell.strip() for cell in row.cells if isinstance(cell, str) and cell.strip()]
    known = {normal(each) for each in headings}
    for heading in said:
        if normal(heading) not in known:
            here = suggestion(heading, headings, f"Headings in row {row.number}")
            raise UsageError(f"There is no heading '{heading}'. {here}")
    for heading, field in said.items():
        twin = next((other for other in said if field and other != heading and said[other] == field), None)  # fmt: skip
        if twin is not None:
            raise UsageError(f"'{heading}' and '{twin}' cannot both be {field}.")


def _fields_named(row: SheetRow, said: Mapping[str, str], known: Mapping[str, str | None]) -> int:
    """How many fields a row names; nothing where it does not name the plot."""
    fields = [field for cell in row.cells if (field := _field(cell, said, known)[0])]
    return len(set(fields)) if "plot" in fields else 0


def _field(
    cell: Cell, said: Mapping[str, str], known: Mapping[str, str | None]
) -> tuple[str | None, bool]:
    """The field that a heading is, and whether that was said or confirmed before."""
    if not isinstance(cell, str) or not cell.strip():
        return None, True
    text = cell.strip()
    for table in (said, known):
        for heading, field in table.items():
            if normal(heading) == normal(text):
                return field or None, True
    if is_field(text):
        return text, True
    return _fields_by_name().get(normal(text)), False


@cache
def _fields_by_name() -> Mapping[str, str]:
    table = yaml.safe_load((Path(__file__).parent / "headings.yaml").read_text(encoding="utf-8"))
    return {normal(name): field for field, names in table.items() for name in names}


def _columns(
    sheet: Sheet, row: SheetRow, said: Mapping[str, str], known: Mapping[str, str | None]
) -> Columns:
    fields: dict[int, str] = {}
    unread, new, remembered = [], [], dict(known)
    wanted = {normal(heading): field for heading, field in said.items() if field}
    for index, cell in enumerate(row.cells):
        field, sure = _field(cell, said, known)
        if field in wanted.values() and normal(str(cell)) not in wanted:
            field = None  # Another column was said to be this field.
        if not isinstance(cell, str) or not cell.strip():
            continue
        if field is None or field in fields.values():
            unread.append(cell.strip())
            remembered.setdefault(cell.strip(), None)
            continue
        fields[index] = field
        remembered[cell.strip()] = field
        if not sure:
            new.append(cell.strip())
    return Columns(sheet, row, fields, tuple(unread), tuple(new), remembered)


def said_on_the_line(pairs: Sequence[str]) -> dict[str, str]:
    """``HEADING=FIELD`` of a command line; ``HEADING=`` for a column that is not read."""
    said = {}
    for pair in pairs:
        heading, equals, field = pair.rpartition("=")
        field = field.strip()
        if not equals or (field and not is_field(field)):
            raise UsageError(f"'{pair}' is not HEADING=FIELD. {fields_near(field)}")
        said[heading.strip()] = field
    return said
