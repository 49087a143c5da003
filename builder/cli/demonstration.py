"""``handover demonstration`` and ``handover record``: the walk round a home, and what it leaves."""

import json
import sys
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path
from typing import NoReturn

import click

from builder.build.outside import is_workspace, keep_off_sources, keep_outside
from builder.cli.options import date_option, today, workspace_option
from builder.cli.show import findings_as_text
from builder.demonstration.keeping import Kept, differences, keep, same_plot
from builder.demonstration.sheet import RunSheet, run_sheet
from builder.disk import save, true_place
from builder.errors import Findings, UsageError
from builder.guide.terms import spoken_day
from builder.guide.walk.script import script_of
from builder.languages.language import FIRST, Language
from builder.preparing import prepare
from builder.shipped import layered, own_or_shipped
from builder.sources.folder import Folder
from builder.sources.records import LARGEST_RECORD, Export, read_export
from builder.sources.workspace import read_workspace
from builder.writers.demonstration.page import FOLDER, page_of
from builder.writers.demonstration.paper import TEMPLATE, paper_of
from builder.writers.demonstration.text import text_of
from builder.writers.demonstration.words import spoken_role

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

    A run sheet is private: it holds serial numbers. It is never written into a published tree. A home that
    has other languages gets one in each of them too, in a folder.
    """
    forms = _forms(out, form)
    sheets = _sheets(workspace, plot, today(day))
    if out is None or out.suffix:
        sheets = sheets[:1]
    for sheet, language, unsaid in sheets:
        for each in forms:
            content = _content(sheet, each, workspace, language, unsaid)
            if out is None:
                click.echo(content.decode("utf-8"), nl=False)
            else:
                path = _place(out, sheet, each, language)
                save(path, content, private=True)
                click.echo(path.as_posix())


def _forms(out: Path | None, form: str | None) -> tuple[str, ...]:
    """Which forms to write: the one asked for, else what the name of the file says."""
    if out is None:
        if form in ("pdf", "page"):
            raise UsageError(f"Name a file or a folder: --out FILE{_SUFFIXES[form]}.")
        return (form or "text",)
    keep_outside(out, "a run sheet is private. Write it elsewhere.")
    if not is_workspace(out):
        keep_off_sources(out)
    by_suffix = {suffix: name for name, suffix in _SUFFIXES.items()}
    if form is not None:
        if out.suffix not in ("", _SUFFIXES[form]):
            raise UsageError(f"'{out}' does not end in {_SUFFIXES[form]}.")
        return (form,)
    if out.suffix and out.suffix not in by_suffix:
        raise UsageError(f"'{out}' ends in none of {', '.join(by_suffix)}.")
    return (by_suffix[out.suffix],) if out.suffix else ("pdf", "page")


def _place(out: Path, sheet: RunSheet, form: str, language: Language) -> Path:
    if out.suffix:
        return out
    out.mkdir(mode=0o700, parents=True, exist_ok=True)
    # No id holds this sign, so that no two plots share a name: not 'riverside/2-07' and 'riverside-2/07'.
    spoken = "" if language is FIRST else f"-{language.code}"
    return out / f"{sheet.plot.replace('/', '_')}-run-sheet{spoken}{_SUFFIXES[form]}"


def _content(
    sheet: RunSheet, form: str, workspace: Path, language: Language, unsaid: frozenset[str]
) -> bytes:
    if form == "pdf":
        return paper_of(sheet, own_or_shipped(workspace, TEMPLATE), language, unsaid)
    if form == "page":
        return page_of(sheet, layered(workspace, FOLDER), language, unsaid).encode("utf-8")
    if form == "json":
        told = {"mark": sheet.mark, **asdict(sheet)}
        return (json.dumps(told, indent=2, ensure_ascii=False) + "\n").encode("utf-8")
    return text_of(sheet).encode("utf-8")


def _sheets(
    workspace: Path, plot: str, day: date
) -> list[tuple[RunSheet, Language, frozenset[str]]]:
    """The run sheets of one plot, each with its language and what it shows in the first, which is the first
    here; findings and exit code 1 where mistakes stand in the way."""
    preparation = prepare(workspace, [plot], day)
    if len(preparation.asked) != 1:
        raise UsageError(f"'{plot}' is a development; name one plot, as <development>/<plot>.")
    findings = Findings()
    script = script_of(preparation.workspace, findings)
    prepared = preparation.plots.get(preparation.asked[0])
    if prepared is None or findings.errors:
        findings.extend(preparation.findings.errors)
        _stop(findings)
    others = [
        (run_sheet(prepared, script, each.about), each.about.language, each.guide.unsaid)
        for each in prepared.others
    ]
    return [(run_sheet(prepared, script), FIRST, frozenset()), *others]


def _stop(findings: Findings) -> NoReturn:
    findings_as_text(findings)
    sys.exit(1)


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.argument("plot", required=False)
@workspace_option
@date_option
def record(file: Path, plot: str | None, workspace: Path, day: datetime | None) -> None:
    """Keep a record that a tablet exported among the development's private records, and check it.

    It is kept whatever is found, because it was signed: a home that has changed since, or damage, is
    told beside it. Name PLOT as well to make sure that the record is of that plot.

    Exit code 0 when it is kept; 1 when it is damaged, and kept as it came; 2 when nothing was kept.
    """
    findings = Findings()
    export = _exported(true_place(file), findings)
    if export is None:
        _stop(findings)
    sources = read_workspace(workspace, Findings())
    same_plot(sources, export, plot)
    kept = keep(sources, export, plot)
    findings.extend(kept.findings)
    if export.source is not None and kept.plot is not None:
        preparation = prepare(workspace, [kept.plot.reference], today(day))
        prepared = preparation.homes.get(kept.plot.reference)
        told = differences(export.source, preparation.workspace, kept.plot, prepared, today(day))
        findings.extend(told)
    findings_as_text(findings, notes=True)
    _tell(kept, export)
    sys.exit(0 if export.source else 1)


def _exported(file: Path, findings: Findings) -> Export | None:
    """A record from wherever the tablet's file was saved."""
    folder = Folder(file.parent)
    content = folder.content(file, findings, LARGEST_RECORD)
    return None if content is None else read_export(content, folder.name(file), findings)


def _tell(kept: Kept, export: Export) -> None:
    if export.source is not None:
        seen = export.source.record
        click.echo(
            f"Demonstrated on {spoken_day(seen.day)}, by the {spoken_role(seen.by).lower()}."
        )
    word = "Kept" if kept.new else "Kept already"
    as_it_came = "" if export.source else ", as it came, though it is damaged"
    click.echo(
        f"{word}{as_it_came}: {kept.path.as_posix()}. It is private: never put it on the web."
    )
