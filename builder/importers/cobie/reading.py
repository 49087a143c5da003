"""Reads the components of a COBie workbook, each with what its type says (COBie 2.4)."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from builder.errors import FindingsError
from builder.importers.finding import about
from builder.importers.spreadsheets.sheets import Cell, Sheet, read_sheets
from builder.importers.spreadsheets.values import RefusedCellError, day_of, text_of

_EMPTY = ("", "n/a", "na", "-", "none")
_WANTED = ("Component", "Type")
MOST_CELLS = 10_000_000
"""Cells of a workbook that are read: the components of 5,000 homes."""


@dataclass(frozen=True, slots=True)
class Component:
    """One component: its name and tags, and what is told of it. ``row``: where it stands."""

    row: int
    name: str
    tag: str
    identifier: str
    serial: str
    make: str
    model: str
    warranty_from: date | None
    warranty: str


def components_in(path: Path) -> tuple[Component, ...]:
    """All components. Raises FindingsError for a workbook that is no COBie."""
    sheets = {each.name: each for each in read_sheets(path, MOST_CELLS)}
    missing = [name for name in _WANTED if name not in sheets]
    if missing:
        wrong = f"This workbook has no sheet {' and no sheet '.join(missing)}."
        raise FindingsError(
            [
                about(
                    path.name,
                    "cobie.sheets",
                    wrong,
                    "Give a COBie 2.4 workbook, with all its sheets.",
                )
            ]
        )
    types = {row["Name"]: row for _, row in _rows(sheets["Type"])}
    emails = (
        {row.get("Email", ""): row.get("Company", "") for _, row in _rows(sheets["Contact"])}
        if "Contact" in sheets
        else {}
    )
    return tuple(_component(number, row, types.get(row.get("TypeName", ""), {}), emails, sheets["Component"])
                 for number, row in _rows(sheets["Component"]))  # fmt: skip


def _rows(sheet: Sheet) -> list[tuple[int, dict[str, str]]]:
    heads = [text_of(cell) for cell in sheet.rows[0].cells] if sheet.rows else []
    return [
        (row.number, {head: _text_said(cell) for head, cell in zip(heads, row.cells, strict=False)})
        for row in sheet.rows[1:]
    ]


def _text_said(cell: Cell) -> str:
    text = text_of(cell)
    return "" if text.casefold() in _EMPTY else text


def _component(
    number: int,
    row: Mapping[str, str],
    kind: Mapping[str, str],
    emails: Mapping[str, str],
    sheet: Sheet,
) -> Component:
    maker = kind.get("Manufacturer", "")
    length, unit = kind.get("WarrantyDurationParts", ""), kind.get("WarrantyDurationUnit", "")
    return Component(
        number, row.get("Name", ""), row.get("TagNumber", ""), row.get("ExtIdentifier", ""), row.get("SerialNumber", ""),
        emails.get(maker) or ("" if "@" in maker else maker), kind.get("ModelNumber", "") or kind.get("ModelReference", ""),
        _day(row.get("WarrantyStartDate", ""), sheet), f"{length} {unit}".strip() if length else "",
    )  # fmt: skip


def _day(text: str, sheet: Sheet) -> date | None:
    try:
        return day_of(text, sheet) if text else None
    except RefusedCellError:
        return None
