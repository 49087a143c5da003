"""Keeps the record of a demonstration: always, byte for byte as it came, for its owner alone.

A record was signed, and cannot be signed again. So nothing that is found in it keeps it out: not a
home that has changed since, not a plot that is gone, not damage. A file that is there is never
replaced: another record of a day stands beside the first. What differs from the home as it is today is
said beside it.
"""

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import count
from pathlib import Path

from builder.demonstration.recording import RecordComparison
from builder.demonstration.sheet import run_sheet
from builder.digests import digest_of
from builder.disk import left_out_of_git, links_on_the_way, private_folder, write_to_disk
from builder.errors import Finding, Findings, HandoverError, Place, Severity, UsageError, suggestion
from builder.guide.walk.script import script_of
from builder.preparing import Prepared
from builder.sources.named_plots import plot_of
from builder.sources.records import Export, RecordSource, name_of, records_folder
from builder.sources.workspace import PlotSource, Workspace

_FOLDER = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
_UNPLACED = "records"
"""Where records are kept that name no plot of this workspace, from the workspace."""


@dataclass(frozen=True, slots=True)
class Kept:
    """Where a record is kept, whether it is new there, and what is to be said of its place."""

    path: Path
    new: bool
    plot: PlotSource | None
    findings: tuple[Finding, ...]


def keep(workspace: Workspace, export: Export, named: str | None) -> Kept:
    """Put a record among those of its plot, whole. ``named``: the plot that its keeper says it is of.

    The same record is kept once. HandoverError where the disk does not take it.
    """
    reference = export.plot or named or ""
    plot = plot_of(workspace, reference)
    root = workspace.folder.root
    private, folder = _places(root, plot, reference)
    link = next(links_on_the_way(folder, root), None)
    if link is not None:
        private, folder = _unplaced(root, reference)
    try:
        left_out_of_git(private_folder(private, root))
        for each in reversed([folder, *folder.parents]):
            if each.is_relative_to(private):
                private_folder(each)
        before = _file_with(folder, export.content)
        path = before or _link_into_place(folder, export)
    except OSError as error:
        raise HandoverError(f"'{folder}' cannot be written: {error.strerror}. The record is not kept yet: its file is as it was.") from error  # fmt: skip
    found = [
        *_finding_of_no_plot(workspace, plot, reference, export),
        *_finding_of_same_day(path, export),
    ]
    if link is not None:
        found.append(
            _finding_of_link(link.relative_to(root).as_posix(), folder.relative_to(root).as_posix())
        )
    return Kept(path, before is None, plot, tuple(found))


def _places(root: Path, plot: PlotSource | None, reference: str) -> tuple[Path, Path]:
    """The private folder of a development, and the one of a plot in it."""
    development, _, number = reference.partition("/")
    if plot is not None:
        development, number = plot.development, plot.number
    sound = _FOLDER.fullmatch(development) and _FOLDER.fullmatch(number)
    if sound and (root / "developments" / development).is_dir():
        folder = root / records_folder(development, number)
        return folder.parent, folder
    return _unplaced(root, reference)


def _unplaced(root: Path, reference: str) -> tuple[Path, Path]:
    """Where a record goes that cannot lie among those of its plot."""
    unplaced, (development, _, number) = root / _UNPLACED, reference.partition("/")
    sound = _FOLDER.fullmatch(development) and _FOLDER.fullmatch(number)
    return unplaced, unplaced / development / number if sound else unplaced


def _finding_of_link(link: str, folder: str) -> Finding:
    """The place of the record is reached by a link, which may lead into the published tree."""
    return Finding(
        "record.linked", Place(link),
        f"This is a link, so that the record might lie elsewhere. It is kept in '{folder}' instead.",
        "Put a folder in place of the link, and keep the record there with 'handover record'.",
        severity=Severity.WARNING,
    )  # fmt: skip


def _file_with(folder: Path, content: bytes) -> Path | None:
    """The file that holds the very same record, if there is one."""
    for path in sorted(folder.glob("*.json")):
        if path.is_file() and path.read_bytes() == content:
            return path
    return None


def _link_into_place(folder: Path, export: Export) -> Path:
    """Write beside its place and link the whole file into it, under the first name that is free."""
    draft = folder / f".record.{os.getpid()}.part"
    try:
        write_to_disk(draft, export.content, private=True)
        for name in _names(export):
            path = folder / name
            if not os.path.lexists(path) and _takes_name(draft, path):
                return path
    finally:
        draft.unlink(missing_ok=True)
    raise AssertionError("names never end")


def _names(export: Export) -> Iterator[str]:
    day = export.source.record.day.isoformat() if export.source else ""
    for number in count(1):
        yield name_of(day or f"damaged-{digest_of(export.content)[:8]}", number)


def _takes_name(draft: Path, path: Path) -> bool:
    """Give a finished file its name; false where another has it."""
    try:
        os.link(draft, path)
    except FileExistsError:
        return False
    except OSError:  # a disk without links
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
        draft.replace(path)
    return True


def _finding_of_no_plot(
    workspace: Workspace, plot: PlotSource | None, reference: str, export: Export
) -> Iterator[Finding]:
    if plot is not None:
        return
    place = Place(export.file)
    if export.source is not None:
        place = export.source.entry.children["plot"].place
    told = f"There is no plot '{reference}'." if reference else "Nothing tells which plot it is of."
    hint = suggestion(reference, workspace.plots, "Plots are") if reference else ""
    yield Finding(
        "record.no-plot", place, f"{told} The record is kept all the same.",
        f"Where its plot has another number now, write 'formerly' in the plot's file. {hint}".rstrip(),
        path="plot", severity=Severity.WARNING,
    )  # fmt: skip


def _finding_of_same_day(path: Path, export: Export) -> Iterator[Finding]:
    """Another record of that day was kept before."""
    if export.source is None:
        return
    day = export.source.record.day.isoformat()
    first = path.with_name(name_of(day, 1))
    if path != first:
        yield Finding(
            "record.same-day", export.source.entry.children["day"].place,
            f"Another record of {day} was kept before; this one is kept beside it, and stands over it.",
            f"See that it is the right one: the other is '{first.name}'.",
            path="day", severity=Severity.WARNING,
        )  # fmt: skip


def same_plot(sources: Workspace, export: Export, plot: str | None) -> None:
    """UsageError where its keeper says that it is of another plot."""
    if plot is None or export.plot in ("", plot):
        return
    own = plot_of(sources, export.plot)
    if own is None or own is not plot_of(sources, plot):
        raise UsageError(f"This record is of plot '{export.plot}', not of '{plot}'.")


def differences(
    source: RecordSource, workspace: Workspace, plot: PlotSource, prepared: Prepared | None, day: date
) -> Iterator[Finding]:  # fmt: skip
    """What differs from the home as it is today, where its data still makes one."""
    findings = Findings()
    script = script_of(workspace, findings)
    if prepared is not None and not findings.errors:
        yield from RecordComparison(source, run_sheet(prepared, script), day).findings()
        return
    yield Finding(
        "record.not-compared", source.entry.children["plot"].place,
        f"The data of plot '{plot.reference}' has mistakes, so that the record is not compared with it.",
        "Mend what 'handover check' finds, and run this command again.",
        path="plot", severity=Severity.WARNING,
    )  # fmt: skip
