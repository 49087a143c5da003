"""The headings that somebody confirmed for a development: ``developments/<name>/columns.yaml``."""

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import yaml
from pydantic import Field

from builder.errors import Finding, Findings, FindingsError, near_miss
from builder.model.record import Record
from builder.model.shape import type_at
from builder.sources.files import PLOT_FILE
from builder.sources.folder import Folder
from builder.sources.reading import read_file
from builder.sources.table import COLUMNS

REMEMBERED = "columns.yaml"
_OWN = ("serials", "registrations", "handover")
"""Sections of the file of a plot that a column may fill, by a dotted path."""
_Cell = Annotated[str, Field(min_length=1, max_length=400)]


def is_own(field: str) -> bool:
    """Whether a field is a path in the file of a plot, such as ``serials.boiler``."""
    steps = field.split(".")
    return steps[0] in _OWN and len(steps) > 1 and type_at(PLOT_FILE.whole, steps) is not None


def is_field(text: str) -> bool:
    """Whether a column may be this: a column of plots.csv, or a path in the file of a plot."""
    return text in COLUMNS or is_own(text)


def fields_near(text: str) -> str:
    """What is right in place of what is no field: the near one, or all."""
    close = near_miss(text, COLUMNS)
    return (
        f"Did you mean '{close}'?"
        if close
        else f"Fields: {', '.join(COLUMNS)}, and paths such as serials.boiler."
    )


class ColumnsFile(Record):
    """The headings of a spreadsheet that somebody confirmed, and the fields of a plot that they are;
    ``null``: a column that is not for the builder."""

    columns: Mapping[_Cell, _Cell | None]


def remembered_in(root: Path, development: str) -> dict[str, str | None]:
    """The headings that were confirmed for a development; mistakes in their file raise FindingsError."""
    findings = Findings()
    found = _remembered(Folder(root), root / "developments" / development / REMEMBERED, findings)
    if findings.errors:
        raise FindingsError(findings.errors)
    return found


def columns_are_read(root: Path, findings: Findings) -> None:
    """What is wrong in the headings that were confirmed, for who checks a workspace without any table."""
    folder = Folder(root)
    for path in folder.matching(f"developments/*/{REMEMBERED}"):
        _remembered(folder, path, findings)


def _remembered(folder: Folder, path: Path, findings: Findings) -> dict[str, str | None]:
    if not (path.is_symlink() or path.exists()):
        return {}
    read = read_file(folder, path, ColumnsFile, findings)
    if read is None or read.record is None:
        return {}
    written = read.entry.children["columns"].children
    findings.extend(
        Finding(
            "columns.no-field",
            written[heading].place,
            f"'{field}' is no field of a plot.",
            fields_near(field),
            path=f"columns.{heading}",
        )
        for heading, field in read.record.columns.items()
        if field is not None and not is_field(field)
    )
    return dict(read.record.columns)


def remembered_text(columns: Mapping[str, str | None]) -> str:
    """The file that remembers headings."""
    head = "# Columns of the spreadsheet that plots are imported from, and the fields that they are; null: not for\n# the builder. 'handover import plots' wrote this when somebody confirmed it.\n"
    return head + str(
        yaml.safe_dump({"columns": dict(columns)}, allow_unicode=True, sort_keys=False, width=1000)
    )
