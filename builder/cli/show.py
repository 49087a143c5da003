"""How results look on a terminal and in JSON."""

import json
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Final

import click

from builder.errors import Finding, Severity, counted, in_short

if TYPE_CHECKING:
    from rich.progress import Progress

_FEW = 6
"""Plots that a finding names before it counts the rest."""
_COLOURS = {Severity.ERROR: "red", Severity.WARNING: "yellow", Severity.NOTE: "cyan"}
SHOWN: Final = 20
"""Rows that are listed; the others are counted."""


def show_findings(findings: Iterable[Finding], form: str, *, notes: bool = False) -> None:
    """Print findings in the form that was asked for, ``text`` or ``json``."""
    if form == "json":
        findings_as_json(findings)
    else:
        findings_as_text(findings, notes=notes)


def findings_as_text(findings: Iterable[Finding], *, notes: bool = False) -> None:
    """Each finding on its own lines, then how many there are. Notes only where they are wanted."""
    listed = list(findings)
    shown = listed if notes else _pressing(listed)
    for finding in shown:
        _print(finding)
    hidden = " Add --notes to read the notes." if len(shown) < len(listed) else ""
    click.echo(_total(listed) + hidden)


def show_notes(findings: Iterable[Finding]) -> None:
    """Print findings that are said once, and counted nowhere."""
    for finding in findings:
        _print(finding)


def _print(finding: Finding) -> None:
    at = f" at {finding.path}" if finding.path else ""
    word = "waived" if finding.waived else finding.severity.word
    click.echo(f"{finding.place}: ", nl=False)
    click.secho(word, fg=_COLOURS[finding.severity], nl=False)
    click.echo(f" {finding.code}{at}\n  {finding.wrong}")
    click.echo(f"  {f'Waived {finding.waived}.' if finding.waived else finding.right}")
    if finding.layer:
        click.echo(f"  Said by: {finding.layer}.")
    if finding.plots:
        click.echo(f"  Concerns: {in_short(finding.plots, _FEW)}.")
    if finding.basis:
        click.echo(f"  Basis: {finding.basis}.")


def _pressing(findings: list[Finding]) -> list[Finding]:
    """Errors, warnings, and what is waived, which nobody is to forget."""
    return [each for each in findings if each.severity > Severity.NOTE or each.waived]


def _total(findings: list[Finding]) -> str:
    counts = [
        counted(count, severity.word)
        for severity in sorted(Severity, reverse=True)
        if (count := sum(each.severity is severity and not each.waived for each in findings))
    ]
    if waived := sum(bool(each.waived) for each in findings):
        counts.append(f"{waived} waived")
    return ", ".join(counts) + "." if counts else "No findings."


def findings_as_json(findings: Iterable[Finding]) -> None:
    """All findings as one JSON list, in the same order."""
    click.echo(json.dumps(plain_findings(findings), indent=2, ensure_ascii=False))


def plain_findings(findings: Iterable[Finding]) -> list[dict[str, object]]:
    """All findings as plain data, in the same order."""
    return [_finding_as_data(each) for each in findings]


def _finding_as_data(finding: Finding) -> dict[str, object]:
    return {
        "severity": finding.severity.word,
        "code": finding.code,
        "file": finding.place.file,
        "line": finding.place.line,
        "column": finding.place.column,
        "path": finding.path,
        "wrong": finding.wrong,
        "right": finding.right,
        "basis": finding.basis,
        "plots": list(finding.plots),
        "layer": finding.layer,
        "waived": finding.waived,
    }


class Steps:
    """Counts the steps of long work on a terminal; says nothing when it is piped."""

    def __init__(self, progress: "Progress | None", total: int | None, label: str) -> None:
        self._progress = progress
        self._task = progress.add_task(label, total=total) if progress else None

    def done(self, _: str) -> None:
        if self._progress is not None and self._task is not None:
            self._progress.advance(self._task)


@contextmanager
def steps(label: str, total: int | None) -> Iterator[Steps]:
    """A count of steps on the error stream, so that output can be piped."""
    if not sys.stderr.isatty():
        yield Steps(None, total, label)
        return
    # What draws a bar takes long to load, and only somebody at a terminal sees one.
    from rich.console import Console  # noqa: PLC0415
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn  # noqa: PLC0415

    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=console, transient=True) as progress:
        yield Steps(progress, total, label)


def columns(
    headings: Sequence[str], rows: Sequence[tuple[str | int, ...]], *, shown: int = SHOWN
) -> Iterator[str]:
    """A line for the headings and for each row, of which the first ``shown`` are listed."""
    listed = [tuple(headings), *rows[:shown]]
    widths = [max(len(str(row[each])) for row in listed) for each in range(len(headings))]
    numbers = [all(isinstance(row[each], int) for row in rows) for each in range(len(headings))]
    for row in listed:
        cells = zip(row, widths, numbers, strict=True)
        yield "  ".join(
            str(cell).rjust(width) if number else str(cell).ljust(width)
            for cell, width, number in cells
        ).rstrip()
    if len(rows) > shown:
        yield f"… and {len(rows) - shown} more."
