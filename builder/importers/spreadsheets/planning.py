"""What a spreadsheet would change, row by row, before anything is written."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from openpyxl.utils import get_column_letter

from builder.errors import Findings, Place
from builder.importers.spreadsheets.confirmed import is_own
from builder.importers.spreadsheets.headings import NEW_NEEDS, Columns
from builder.importers.spreadsheets.sheets import Cell, SheetRow
from builder.importers.spreadsheets.table_file import TableFile
from builder.importers.spreadsheets.values import (
    Names,
    RefusedCellError,
    check_no_error,
    day_of,
    text_of,
    value_of,
)
from builder.model.people import Plot
from builder.model.record import Day
from builder.model.shape import bare, partial, type_at
from builder.saving.changing import ChangingFile
from builder.sources.checking import check
from builder.sources.entry import Entry
from builder.sources.files import PLOT_FILE
from builder.sources.table import read_cell
from builder.sources.yaml_reader import read_yaml

Effect = Literal["new", "changed", "unchanged", "refused"]


@dataclass(frozen=True, slots=True)
class Difference:
    """One field of a plot: what it was, and what it becomes."""

    field: str
    before: str
    now: str


@dataclass(frozen=True, slots=True)
class RowEffect:
    """What one row does. ``why``: the reasons that it is refused for."""

    row: int
    plot: str
    effect: Effect
    differences: tuple[Difference, ...] = ()
    why: tuple[str, ...] = ()
    hidden: bool = False


@dataclass
class ImportPlan:
    """The effects of all rows, the plots that the spreadsheet has no longer, and the files that would
    be written, by their names."""

    effects: list[RowEffect] = field(default_factory=list)
    vanished: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    files: dict[str, str] = field(default_factory=dict)

    @property
    def refused(self) -> tuple[RowEffect, ...]:
        """The rows that cannot be taken."""
        return tuple(each for each in self.effects if each.effect == "refused")


def planned(
    columns: Columns,
    table_text: str,
    own_files: Mapping[str, str],
    names: Names,
    equipment: Mapping[str, frozenset[str]],
) -> ImportPlan:
    """The plan of an import. ``own_files``: the texts of the files of plots by number; ``equipment``:
    the ids that each house type can have, for serial numbers."""
    return _Planning(columns, table_text, own_files, names, equipment).plan()


class _Planning:
    """One import of rows into the plots of a development."""

    def __init__(
        self, columns: Columns, table_text: str, own_files: Mapping[str, str], names: Names,
        equipment: Mapping[str, frozenset[str]],
    ) -> None:  # fmt: skip
        self.columns, self.names, self.equipment = columns, names, equipment
        self.table, self.own_files = TableFile(table_text), own_files
        self.current = self.table.plots
        self.seen: dict[str, int] = {}
        self.out = ImportPlan(said=list(columns.sheet.said))

    def plan(self) -> ImportPlan:
        """What each row does, in the order of the sheet."""
        for row in self.columns.rows:
            effect = self._row(row)
            if effect is not None:
                self.out.effects.append(effect)
        self.out.vanished = [each for each in self.current if each not in self.seen]
        hidden = sum(each.hidden for each in self.out.effects)
        if hidden:
            self.out.said.append(f"Hidden rows were read like the others: {hidden}.")
        if (
            any(each.effect in ("new", "changed") for each in self.out.effects)
            and not self.out.refused
        ):
            self.out.files["plots.csv"] = self.table.text
        return self.out

    def _row(self, row: SheetRow) -> RowEffect | None:
        """The effect of one row; none for a row that names no plot, such as a title or a total."""
        cells = {
            field: row.cells[place]
            for place, field in self.columns.fields.items()
            if place < len(row.cells)
        }
        if not text_of(cells.get("plot")) or not any(
            text_of(cell) for field, cell in cells.items() if field != "plot"
        ):
            self._not_a_plot(row)
            return None
        values, own, why = self._values(cells)
        plot = values.get("plot", text_of(cells["plot"]))
        if plot in self.seen:
            why.append(f"Plot '{plot}' stands in row {self.seen[plot]} already.")
        self.seen.setdefault(plot, row.number)
        if any(text_of(cell) for cell in row.cells[len(self.columns.heading_row.cells) :]):
            why.append(f"It has {len(row.cells)} cells, and row {self.columns.heading_row.number} names {len(self.columns.heading_row.cells)} columns. Put quotes round a cell that holds the separator.")  # fmt: skip
        why += self._lacking(plot, cells)
        if plot not in self.current or any(_differing(self.current[plot], values, besides="plot")):
            why += (f"{self._cell(name)}: {wrong}" for name, wrong in _refusals(values, plot))
        why += self._own_checked(plot, values, own)
        if why:
            return RowEffect(row.number, plot, "refused", (), tuple(why), row.hidden)
        return self._effect(row, plot, values, own)

    def _not_a_plot(self, row: SheetRow) -> None:
        if any(text_of(cell) for cell in row.cells):
            shown = next(text_of(cell) for cell in row.cells if text_of(cell))[:40]
            self.out.said.append(f"Row {row.number} ('{shown}') names no plot and was left out.")

    def _values(
        self, cells: Mapping[str, Cell]
    ) -> tuple[dict[str, str], dict[str, Any], list[str]]:
        """Values for the table, values for the plot's own file, and what cannot be taken."""
        values: dict[str, str] = {}
        own: dict[str, Any] = {}
        why: list[str] = []
        for name, cell in cells.items():
            if not text_of(cell):
                continue
            try:
                check_no_error(cell)
                if is_own(name):
                    own[name] = self._own_value(name, cell)
                else:
                    values[name] = value_of(name, cell, self.columns.sheet, self.names)
            except RefusedCellError as error:
                why.append(f"{self._cell(name)}: {error}")
        return values, own, why

    def _cell(self, name: str) -> str:
        """A field, and the column of the spreadsheet that it is read from."""
        place = next((each for each, field in self.columns.fields.items() if field == name), None)
        return f"{name} (no column)" if place is None else f"{name} (column {get_column_letter(place + 1)})"  # fmt: skip

    def _own_value(self, name: str, cell: Cell) -> Any:
        """A value of the plot's own file, by the type that its field has."""
        kind = bare(type_at(PLOT_FILE.whole, name.split(".")))
        if kind is date or kind is bare(Day):
            return day_of(cell, self.columns.sheet)
        text = text_of(cell)
        if kind is bool:
            return text.casefold() in ("yes", "true", "y", "x", "1")
        if kind in (int, float):
            try:
                number = float(text)
            except ValueError:
                raise RefusedCellError(f"'{text}' is no number.") from None
            return int(number) if number.is_integer() else number
        return text

    def _lacking(self, plot: str, cells: Mapping[str, Cell]) -> Iterator[str]:
        """What a new plot needs and its row does not say; what it says wrongly is told already."""
        if plot not in self.current:
            missing = [self._cell(name) for name in NEW_NEEDS if not text_of(cells.get(name))]
            if missing:
                yield f"It is a new plot and has no {', '.join(missing)}."

    def _own_checked(
        self, plot: str, values: Mapping[str, str], own: Mapping[str, Any]
    ) -> Iterator[str]:
        """Serial numbers of equipment that this plot cannot have."""
        house_type = values.get("house_type") or self.current.get(plot, {}).get("house_type", "")
        known = self.equipment.get(house_type)
        for name in own:
            steps = name.split(".")
            if (
                steps[0] in ("serials", "registrations")
                and known is not None
                and steps[1] not in known
            ):
                yield f"{self._cell(name)}: house type '{house_type}' has no equipment '{steps[1]}'."

    def _effect(
        self, row: SheetRow, plot: str, values: Mapping[str, str], own: Mapping[str, Any]
    ) -> RowEffect:
        before = self.current.get(plot)
        differences = list(
            _differing(before or {}, {key: value for key, value in values.items() if key != "plot"})
        )
        if before is None or differences:
            self.table.put(
                plot,
                {
                    **({"plot": plot} if before is None else {}),
                    **{each.field: each.now for each in differences},
                },
            )
        differences += self._into_own_file(plot, own)
        effect: Effect = "new" if before is None else "changed" if differences else "unchanged"
        return RowEffect(row.number, plot, effect, tuple(differences), (), row.hidden)

    def _into_own_file(self, plot: str, own: Mapping[str, Any]) -> list[Difference]:
        """Changes of the plot's own file, whose comments and order stay."""
        if not own:
            return []
        file = ChangingFile(self.own_files.get(plot, EMPTY))
        changed = []
        for name, value in own.items():
            steps = name.split(".")
            here = file.at(steps)
            if here is None or str(here) != str(value):
                file.put(steps, value)
                changed.append(Difference(name, "" if here is None else str(here), str(value)))
        if changed:
            self.out.files[f"plots/{plot}.yaml"] = file.text
        return changed


EMPTY = "# yaml-language-server: $schema=../../../schemas/plot.json\nserials: {}\n"


def _differing(
    before: Mapping[str, str], now: Mapping[str, str], *, besides: str = ""
) -> Iterator[Difference]:
    for name, value in now.items():
        if name == besides:
            continue
        old = before.get(name, "")
        if _as_compared(name, old) != _as_compared(name, value):
            yield Difference(name, old, value)


def _as_compared(name: str, value: str) -> str:
    """A cell as it is compared: forms of one value are the same."""
    if name == "options":
        parts = value.replace(";", "+").replace(",", "+").replace("|", "+").split("+")
        return "+".join("-".join(each.split()).casefold() for each in parts if each.strip())
    read = read_cell(name, value) if value else ""
    return f"{read:g}" if isinstance(read, float) else str(read)


def _refusals(values: Mapping[str, str], plot: str) -> Iterator[tuple[str, str]]:
    """What the builder itself would refuse of these values, by the field."""
    place, findings = Place("plots.csv"), Findings()
    cells: dict[str, Entry] = {}
    for name, value in values.items():
        key = "number" if name == "plot" else name
        whole: Any = (
            tuple(Entry(each, place) for each in value.split("+") if each)
            if name == "options"
            else value
        )
        cells[key] = Entry(
            float(value) if name == "front_faces" and _is_number(value) else whole, place, place
        )
    check(Entry(cells, place, place), partial(Plot), findings, path=("plot",), plots=(plot,))
    for each in findings:
        name = re.split(r"[.\[]", each.path)[1]
        yield "plot" if name == "number" else name, f"{each.wrong} {each.right}"


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def files_that_do_not_read(plan: ImportPlan) -> Iterator[str]:
    """Files of plots that would not be read once they are written: a value that its field refuses."""
    for name, text in plan.files.items():
        if name.endswith(".yaml"):
            findings = Findings()
            entry = read_yaml(text, name, findings)
            if entry is not None:
                check(entry, PLOT_FILE.whole, findings)
            yield from (f"{name}: {each.path}: {each.wrong} {each.right}" for each in findings)
