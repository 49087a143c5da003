"""``handover demonstration`` and ``handover record``: the walk round a home, and what it leaves."""

import json
import sys
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path
from typing import NoReturn

import click

from builder.build.outside import keep_outside
from builder.cli.options import date_option, today, workspace_option
from builder.cli.show import findings_as_text
from builder.demonstration.recording import Comparison, keep
from builder.demonstration.script import script_of
from builder.demonstration.sheet import RunSheet, run_sheet
from builder.errors import Findings, UsageError
from builder.guide.terms import spoken_day
from builder.preparing import prepare
from builder.rules.documents import documents_of
from builder.shipped import own_or_shipped
from builder.sources.folder import Folder
from builder.sources.records import RecordSource, read_record
from builder.sources.workspace import PlotSource
from builder.writers.demonstration.page import FOLDER, page_of
from builder.writers.demonstration.paper import TEMPLATE, paper_of
from builder.writers.demonstration.text import text_of
from builder.writers.demonstration.words import spoken_role
from builder.writers.stickers.saving import save

_SUFFIXES = {"pdf": ".pdf", "page": ".html", "text": ".txt", "json": ".json"}


@click.command()
@click.argument("plot")
@click.option("--out", type=click.Path(path_type=Path),
              help="A file, or a folder for the paper and the tablet page.")  # fmt: skip
@click.option("--format", "form", type=click.Choice(list(_SUFFIXES)),
              help="Paper, tablet page, text or JSON. Default: by the name of the file.")  # fmt: skip
@workspace_option
@date_option
def demonstration(
    plot: str, out: Path | None, form: str | None, workspace: Path, day: datetime | None
) -> None:
    """Write the run sheet of a plot: the walk round it with the buyer, in walking order.

    A run sheet is private: it holds serial numbers. It is never written into a published tree.
    """
    forms = _forms(out, form)
    _, sheet = _sheet(workspace, plot, today(day))
    for each in forms:
        content = _content(sheet, each, workspace)
        if out is None:
            click.echo(content.decode("utf-8"), nl=False)
        else:
            path = _place(out, sheet, each)
            save(path, content)
            click.echo(path.as_posix())


def _forms(out: Path | None, form: str | None) -> tuple[str, ...]:
    """Which forms to write: the one asked for, else what the name of the file says."""
    if out is None:
        if form in ("pdf", "page"):
            raise UsageError(f"Name a file or a folder: --out FILE{_SUFFIXES[form]}.")
        return (form or "text",)
    keep_outside(out, "a run sheet is private. Write it elsewhere.")
    by_suffix = {suffix: name for name, suffix in _SUFFIXES.items()}
    if form is not None:
        if out.suffix not in ("", _SUFFIXES[form]):
            raise UsageError(f"'{out}' does not end in {_SUFFIXES[form]}.")
        return (form,)
    if out.suffix and out.suffix not in by_suffix:
        raise UsageError(f"'{out}' ends in none of {', '.join(by_suffix)}.")
    return (by_suffix[out.suffix],) if out.suffix else ("pdf", "page")


def _place(out: Path, sheet: RunSheet, form: str) -> Path:
    if out.suffix:
        return out
    out.mkdir(parents=True, exist_ok=True)
    return out / f"{sheet.plot.replace('/', '-')}-run-sheet{_SUFFIXES[form]}"


def _content(sheet: RunSheet, form: str, workspace: Path) -> bytes:
    if form == "pdf":
        return paper_of(sheet, own_or_shipped(workspace, TEMPLATE))
    if form == "page":
        return page_of(sheet, own_or_shipped(workspace, FOLDER)).encode("utf-8")
    if form == "json":
        told = {"mark": sheet.mark, **asdict(sheet)}
        return (json.dumps(told, indent=2, ensure_ascii=False) + "\n").encode("utf-8")
    return text_of(sheet).encode("utf-8")


def _sheet(workspace: Path, plot: str, day: date) -> tuple[PlotSource, RunSheet]:
    """One plot and its run sheet; findings and exit code 1 where mistakes stand in the way."""
    preparation = prepare(workspace, [plot], day)
    if len(preparation.asked) != 1:
        raise UsageError(f"'{plot}' is a development; name one plot, as <development>/<plot>.")
    findings = Findings()
    script = script_of(preparation.workspace, findings)
    documents = documents_of(preparation.workspace.folder, findings)
    prepared = preparation.plots.get(preparation.asked[0])
    if prepared is None or findings.errors:
        findings.extend(preparation.findings.errors)
        _stop(findings)
    return prepared.plot, run_sheet(prepared, script, documents)


def _stop(findings: Findings) -> NoReturn:
    findings_as_text(findings)
    sys.exit(1)


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.argument("plot", required=False)
@workspace_option
@date_option
def record(file: Path, plot: str | None, workspace: Path, day: datetime | None) -> None:
    """Check a record that a tablet exported, and keep it in the development's private records.

    Name PLOT as well to make sure that the record is of that plot.
    """
    findings = Findings()
    source = _exported(file.resolve(), findings)
    if source is None:
        _stop(findings)
    seen = source.record
    if plot is not None and plot != seen.plot:
        raise UsageError(f"This record is of plot '{seen.plot}', not of '{plot}'.")
    own, sheet = _sheet(workspace, seen.plot, today(day))
    findings.extend(Comparison(source, sheet, today(day)).findings())
    findings_as_text(findings, notes=True)
    if findings.errors:
        click.echo("The record is not kept.")
        sys.exit(1)
    path, new = keep(workspace, own, source)
    kept = "Kept" if new else "Kept already"
    by = spoken_role(seen.by).lower()
    click.echo(f"Demonstrated on {spoken_day(seen.day)}, by the {by}.")
    click.echo(f"{kept}: {path.as_posix()}. It is private: never put it on the web.")


def _exported(file: Path, findings: Findings) -> RecordSource | None:
    """A record from wherever the tablet's file was saved."""
    folder = Folder(file.parent)
    text = folder.read(file, findings)
    return None if text is None else read_record(text, folder.name(file), findings)
