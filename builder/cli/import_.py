"""``handover import``: plots and makes from other people's spreadsheets."""

import json
import sys
from dataclasses import asdict
from datetime import datetime
from pathlib import Path

import click

from builder.cli.asked import the_plot
from builder.cli.options import date_option, today, workspace_option
from builder.cli.show import columns as in_columns
from builder.disk import save_inside
from builder.errors import UsageError, counted
from builder.importers.cobie.matching import Matched, changed, matched
from builder.importers.cobie.reading import components_in
from builder.importers.models.record import read_record
from builder.importers.spreadsheets.headings import said_on_the_line
from builder.importers.spreadsheets.planning import EMPTY, ImportPlan, RowEffect
from builder.importers.spreadsheets.plots import PlotsImport, plots_from, remember, write
from builder.preparing import prepare

_LISTED = 400


@click.group("import")
def import_command() -> None:
    """Take plots from a spreadsheet, or makes and serial numbers from COBie."""


@import_command.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("development")
@click.option("--sheet", help="Which sheet. Default: the one with headings of plots.")
@click.option("--column", "pairs", multiple=True, metavar="HEADING=FIELD",
              help="What a column is; HEADING= for one that is not for the builder.")  # fmt: skip
@click.option(
    "--dry-run", "dry", is_flag=True, help="Show what each row would do, and write nothing."
)
@click.option("--yes", is_flag=True, help="Confirm the headings, and the plots that are missing.")
@click.option("--report", type=click.Choice(["text", "json"]), default="text", show_default=True)
@workspace_option
def plots(
    file: Path, development: str, sheet: str | None, pairs: tuple[str, ...], dry: bool, yes: bool,
    report: str, workspace: Path,
) -> None:  # fmt: skip
    """Bring DEVELOPMENT's plots up to date with the rows of FILE: all of them, or none."""
    done = plots_from(workspace, development, file, sheet, said_on_the_line(pairs))
    if report == "json":
        click.echo(json.dumps(_data(done), indent=2, ensure_ascii=False, default=str))
    else:
        _print_columns_and_rows(done)
    if done.plan.refused:
        click.echo(
            f"{counted(len(done.plan.refused), 'row')} refused. Nothing was written.",
            err=report == "json",
        )
        sys.exit(1)
    if dry:
        return
    _confirmed(done, yes)
    if not done.plan.files:
        remember(done)
        click.echo("Nothing to change.", err=report == "json")
        return
    write(done)
    click.echo(
        f"Written: {counted(len(done.plan.files), 'file')} of developments/{development}.",
        err=report == "json",
    )


def _confirmed(done: PlotsImport, yes: bool) -> None:
    """Ask once about headings that nobody has confirmed, and about plots that are missing."""
    questions = []
    if done.columns.new:
        questions.append("Are these headings right?")
    if done.plan.vanished:
        listed = ", ".join(done.plan.vanished[:12])
        questions.append(
            f"{counted(len(done.plan.vanished), 'plot')} of plots.csv {'is' if len(done.plan.vanished) == 1 else 'are'} not in this file and stay as they are: {listed}. Go on?"
        )
    for question in questions:
        if yes:
            continue
        if not sys.stdin.isatty():
            raise UsageError(f"{question} Say so with --yes. Nothing was written.")
        click.confirm(question, abort=True)


def _print_columns_and_rows(done: PlotsImport) -> None:
    columns, plan = done.columns, done.plan
    headings = [(str(columns.heading_row.cells[place]), field, "new" if columns.heading_row.cells[place] in columns.new else "")
                for place, field in columns.fields.items()]  # fmt: skip
    click.echo(f"Sheet '{columns.sheet.name}', headings in row {columns.heading_row.number}:")
    for line in in_columns(("heading", "is", ""), headings, shown=_LISTED):
        click.echo(f"  {line}")
    if columns.unread:
        click.echo(f"  Not read: {', '.join(columns.unread)}.")
    for line in plan.said:
        click.echo(line)
    _effects(plan)


def _effects(plan: ImportPlan) -> None:
    """Every row that is refused first, however long the file is: they are what somebody has to mend."""
    refused = [(each.row, each.plot, why) for each in plan.effects for why in each.why]
    if refused:
        for line in in_columns(("row", "plot", "refused, because"), refused, shown=len(refused)):
            click.echo(line)
    rows = [row for each in plan.effects if each.effect != "unchanged" for row in _rows(each)]
    if rows:
        for line in in_columns(
            ("row", "plot", "effect", "field", "from", "to"), rows, shown=_LISTED
        ):
            click.echo(line)
    counts = {
        word: sum(each.effect == word for each in plan.effects)
        for word in ("new", "changed", "unchanged", "refused")
    }
    click.echo(", ".join(f"{count} {word}" for word, count in counts.items()) + ".")
    if plan.vanished:
        click.echo(f"In plots.csv and not in this file: {', '.join(plan.vanished)}.")


def _rows(effect: RowEffect) -> list[tuple[str | int, ...]]:
    head = (effect.row, effect.plot, effect.effect)
    if effect.why:
        return []
    return [(*head, each.field, each.before, each.now) for each in effect.differences] or [
        (*head, "", "", "")
    ]


def _data(done: PlotsImport) -> dict[str, object]:
    columns = done.columns
    return {
        "sheet": columns.sheet.name,
        "headings": {
            str(columns.heading_row.cells[place]): field for place, field in columns.fields.items()
        },
        "not_read": list(columns.unread),
        "to_confirm": list(columns.new),
        "said": done.plan.said,
        "rows": [asdict(each) for each in done.plan.effects],
        "vanished": done.plan.vanished,
    }


@import_command.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("plot")
@click.option("--dry-run", "dry", is_flag=True, help="Show what would be taken, and write nothing.")
@workspace_option
@date_option
def cobie(file: Path, plot: str, dry: bool, workspace: Path, day: datetime | None) -> None:
    """Take makes, models, serial numbers and warranties of PLOT from a COBie workbook."""
    components = components_in(file)
    prepared = the_plot(prepare(workspace, [plot], today(day)), plot, sound=False)
    home = prepared.traced.home
    found = matched(components, plot, home, _pieces_by_model(workspace, home.plot.house_type))
    _show_matched(found)
    if dry or not found.told:
        click.echo("Nothing to change." if not found.told else "Nothing was written.")
        return
    path = workspace / prepared.plot.file
    text = path.read_text(encoding="utf-8") if path.is_file() else EMPTY
    save_inside(workspace, path, changed(text, found.told, file.name, today(day)).encode("utf-8"))
    click.echo(f"Written: {prepared.plot.file}.")


def _pieces_by_model(root: Path, house_type: str) -> dict[str, str]:
    """Pieces of a house type by the GlobalId of the model that it was read from."""
    record = read_record(root, house_type)
    return {
        said.identifier: path.split(".")[1]
        for path, said in (record.values.items() if record else ())
        if path.startswith("equipment.") and path.endswith(".kind") and said.identifier
    }


def _show_matched(found: Matched) -> None:
    rows = [
        (each.piece, found.by[each.piece], each.field, each.before, each.now) for each in found.told
    ]
    if rows:
        for line in in_columns(("piece", "known by", "field", "from", "to"), rows, shown=_LISTED):
            click.echo(line)
    for line in found.noticed:
        click.echo(line)
    if found.unknown:
        click.echo(
            f"{counted(len(found.unknown), 'component')} that nothing in this home is known by:"
        )
        for each in found.unknown:
            click.echo(
                f"  row {each.row}: {each.name}{f' ({each.tag})' if each.tag not in ('', each.name) else ''}"
            )
    click.echo(
        f"{counted(len(found.by), 'component')} matched, {counted(len(found.told), 'value')} told."
    )
