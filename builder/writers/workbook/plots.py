"""The plots of a development as a workbook that ``handover import plots`` takes again unchanged."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from builder.sources.entry import Entry, plain
from builder.sources.table import COLUMNS
from builder.sources.workspace import PlotSource
from builder.writers.workbook.writing import Cell, workbook_of

_DAYS = ("completion", "warrant")


def plots_workbook(development: str, plots: Iterable[PlotSource]) -> bytes:
    """One row a plot: the columns of its table, then its serial numbers and counted keys, each under
    the path that it has in the file of the plot."""
    listed = list(plots)
    own = {plot.number: _own_cells(plot) for plot in listed}
    paths = sorted({path for each in own.values() for path in each})
    rows: list[list[Cell]] = [[*COLUMNS, *paths]]
    for plot in listed:
        table = _table(plot)
        rows.append(
            [
                *(table.get(name) for name in COLUMNS),
                *(own[plot.number].get(path) for path in paths),
            ]
        )
    return workbook_of({"Plots": rows}, f"Plots of {development}")


def _table(plot: PlotSource) -> dict[str, Cell]:
    cells = plot.row.children["plot"].children
    found: dict[str, Cell] = {}
    for name, entry in cells.items():
        value = plain(entry)
        column = "plot" if name == "number" else name
        if name in _DAYS:
            found[column] = _day(str(value))
        else:
            found[column] = "+".join(map(str, value)) if isinstance(value, list | tuple) else value
    return found


def _day(text: str) -> Cell:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text


def _own_cells(plot: PlotSource) -> Mapping[str, Cell]:
    """Serial numbers, days of registration and counted keys of a plot, by their paths."""
    found: dict[str, Cell] = {}
    for section in (("serials",), ("registrations",), ("handover", "keys")):
        entry = _entry_at(plot.own, section)
        for name, value in _leaves(entry):
            found[".".join((*section, name))] = value
    return found


def _entry_at(entry: Entry | None, path: Iterable[str]) -> Entry | None:
    for step in path:
        entry = entry.child(step) if entry is not None else None
    return entry


def _leaves(entry: Entry | None) -> Iterator[tuple[str, Cell]]:
    for name, child in (entry.children if entry else {}).items():
        value: Any = plain(child)
        if isinstance(value, str | int | float):
            yield name, value
