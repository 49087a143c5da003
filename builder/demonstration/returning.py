"""What came back from the tablet: whose record it is, and what differs from the home as it is today."""

from collections.abc import Iterator
from datetime import date

from builder.demonstration.keeping import plot_of
from builder.demonstration.recording import RecordComparison
from builder.demonstration.sheet import run_sheet
from builder.errors import Finding, Findings, Severity, UsageError
from builder.guide.walk.script import script_of
from builder.preparing import Prepared
from builder.sources.records import Export, RecordSource
from builder.sources.workspace import PlotSource, Workspace


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
