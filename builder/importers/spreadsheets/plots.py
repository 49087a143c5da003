"""Plots of one development from a spreadsheet: what the command line asks for, in one place."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from builder.disk import save_inside
from builder.errors import Findings, FindingsError, UsageError, near_miss
from builder.importers.finding import about
from builder.importers.spreadsheets.confirmed import REMEMBERED, remembered_in, remembered_text
from builder.importers.spreadsheets.headings import (
    Columns,
    columns_of,
)
from builder.importers.spreadsheets.planning import ImportPlan, files_that_do_not_read, planned
from builder.importers.spreadsheets.sheets import read_sheets
from builder.importers.spreadsheets.values import Names
from builder.sources.entry import Entry, plain
from builder.sources.workspace import DevelopmentSource, Workspace, read_workspace


@dataclass(frozen=True)
class PlotsImport:
    """An import that has been worked out and not been written yet."""

    folder: Path
    columns: Columns
    plan: ImportPlan


def plots_from(
    root: Path, development: str, file: Path, sheet: str | None, said: Mapping[str, str]
) -> PlotsImport:
    """What a spreadsheet would do to a development. Nothing is written.

    Raises FindingsError for a file that cannot be read, UsageError for what is asked wrongly.
    """
    findings = Findings()
    workspace = read_workspace(root, findings)
    source = _development(workspace, development)
    folder = root / "developments" / source.id
    table = folder / "plots.csv"
    mistakes = [
        each for each in findings.errors if each.place.file == f"developments/{source.id}/plots.csv"
    ]
    if mistakes or not source.listed:
        raise FindingsError(mistakes or findings.errors)
    columns = columns_of(read_sheets(file), file.name, sheet, said, remembered_in(root, source.id))
    own = {
        plot.number: (folder / "plots" / f"{plot.number}.yaml") for plot in source.plots.values()
    }
    texts = {
        number: path.read_text(encoding="utf-8") for number, path in own.items() if path.is_file()
    }
    plan = planned(
        columns,
        table.read_text(encoding="utf-8-sig"),
        texts,
        _names(workspace, source),
        _equipment(workspace, source),
    )
    unread = list(files_that_do_not_read(plan))
    if unread:
        raise FindingsError(
            about(file.name, "sheet.value", each, "Correct it in the spreadsheet.")
            for each in unread
        )
    return PlotsImport(folder, columns, plan)


def _development(workspace: Workspace, name: str) -> DevelopmentSource:
    if name in workspace.developments:
        return workspace.developments[name]
    close = near_miss(name, workspace.developments)
    hint = f" Did you mean '{close}'?" if close else " To begin one: handover new development NAME."
    raise UsageError(f"There is no development '{name}'.{hint}")


def _names(workspace: Workspace, source: DevelopmentSource) -> Names:
    width = max((len(each) for each in source.plots if each.isdecimal()), default=1)
    return Names(
        {name: _name_said(entry, "house_type") for name, entry in workspace.house_types.items()},
        {name: _name_said(entry, "option") for name, entry in workspace.options.items()},
        frozenset(source.plots),
        width,
    )


def _name_said(entry: Entry, section: str) -> str:
    said = entry.child(section)
    name = said.child("name") if said else None
    return str(plain(name)) if name else ""


def _equipment(workspace: Workspace, source: DevelopmentSource) -> Mapping[str, frozenset[str]]:
    """The ids of equipment that a plot of each house type can have, whatever its options."""
    shared = [workspace.standard, source.entry, *workspace.options.values()]
    common = {name for entry in shared if entry for name in _ids(entry)}
    for plot in source.plots.values():
        departures = plot.own.child("departures") if plot.own else None
        for departure in (departures.children if departures else {}).values():
            common.update(_ids(departure.children["changes"]))
    return {
        name: frozenset({*common, *_ids(entry)}) for name, entry in workspace.house_types.items()
    }


def _ids(entry: Entry) -> Iterator[str]:
    section = entry.child("equipment")
    yield from section.children if section else ()


def write(done: PlotsImport) -> None:
    """Write all files of an import, those of plots before the table that lists them."""
    for name in sorted(done.plan.files, key=lambda each: each == "plots.csv"):
        save_inside(_root(done), done.folder / name, done.plan.files[name].encode("utf-8"))
    remember(done)


def remember(done: PlotsImport) -> None:
    """Keep the headings as they were confirmed."""
    text = remembered_text(done.columns.remembered)
    path = done.folder / REMEMBERED
    if not path.is_file() or path.read_text(encoding="utf-8") != text:
        save_inside(_root(done), path, text.encode("utf-8"))


def _root(done: PlotsImport) -> Path:
    """The workspace, of which a development's folder lies two folders below."""
    return done.folder.parent.parent
