"""What ``handover new housetype --from`` and ``handover update housetype --from`` do and say."""

import json
from collections.abc import Callable
from dataclasses import asdict
from datetime import date
from functools import wraps
from pathlib import Path
from typing import Any

import click

from builder.cli.options import workspace_option
from builder.cli.show import columns
from builder.disk import save_inside
from builder.errors import Findings, Severity, counted
from builder.importers.models.frame import SIDES
from builder.importers.models.housetype import Imported, keep_record, renewed
from builder.importers.models.record import ModelRecord
from builder.importers.models.report import report_data, report_text
from builder.importers.models.request import KEPT, UNITS, ModelRequest
from builder.importers.models.updating import Change
from builder.importers.models.writing import flow
from builder.sources.workspace import read_workspace
from builder.trial import tried_house_type

_SHOWN, _WIDE = 200, 44
"""Differences that are listed, and letters of a value that are shown."""


def model_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """The options of a command that reads models; it is given them as ``asked``, and ``report``."""

    @wraps(function)
    def command(
        *,
        files: tuple[Path, ...],
        **others: Any,
    ) -> None:
        said = {name: others.pop(name) for name in ("home", *KEPT)}
        function(asked=ModelRequest(tuple(dict.fromkeys(files)), **said), **others)

    for option in reversed((
        click.option("--from", "files", multiple=True, type=click.Path(path_type=Path),
                     help="A building model (.ifc) or drawing (.dxf); several are laid over each other."),
        click.option("--home", help="Which home, where the model holds several."),
        click.option("--front", type=click.Choice(sorted(SIDES)),
                     help="Which side of the model is the front. Default: where the front door is."),
        click.option("--layer", help="Of a drawing: the layer with the outlines of rooms."),
        click.option("--doors", help="Of a drawing: the layer with the doors. Default: by names and swings."),
        click.option("--windows", help="Of a drawing: the layer with the windows. Default: by names."),
        click.option("--unit", type=click.Choice(list(UNITS)),
                     help="The unit of length, where the model says none or a wrong one."),
        click.option("--report", type=click.Choice(["text", "json"]), default="text", show_default=True,
                     help="How is told what was read, guessed, left out, and is still needed."),
    )):  # fmt: skip
        command = option(command)
    return command


def write_new(root: Path, name: str, imported: Imported, report: str) -> None:
    """Write a house type and its record, and say what is in it."""
    _save(root, name, imported.text, imported.record)
    if report == "json":
        click.echo(json.dumps(report_data(imported.made), indent=2, ensure_ascii=False))
        return
    click.echo(f"housetypes/{name}.yaml")
    for line in report_text(imported.made):
        click.echo(line)
    _show_check(root, name)


def update_from_model(
    root: Path, name: str, asked: ModelRequest, report: str, *, dry: bool
) -> None:
    """Bring a house type up to date with a newer model, and show the differences."""
    done = renewed(root, name, asked)
    if not dry:
        _save(root, name, done.text, done.record)
    _differences(done.changes, report, dry=dry)
    if not dry and report == "text":
        _show_check(root, name)


def _save(root: Path, name: str, text: str, record: ModelRecord) -> None:
    file = root / "housetypes" / f"{name}.yaml"
    save_inside(root, file, text.encode("utf-8"))
    keep_record(root, name, record)


def _show_check(root: Path, name: str) -> None:
    """How the house type fares in a check: its errors, and how many warnings there are."""
    findings = Findings()
    workspace = read_workspace(root, findings)
    found = [*findings, *tried_house_type(workspace, name, date.today())]
    own = [each for each in found if each.place.file == f"housetypes/{name}.yaml"]
    errors = [each for each in own if each.severity is Severity.ERROR]
    for error in errors:
        click.echo(str(error))
    warned = sum(each.severity is Severity.WARNING for each in own)
    click.echo(
        f"Checked: {counted(len(errors), 'error')}, {counted(warned, 'warning')}. 'handover check' lists them."
    )


def _differences(changes: tuple[Change, ...], report: str, *, dry: bool) -> None:
    if report == "json":
        click.echo(json.dumps([asdict(each) for each in changes], indent=2, ensure_ascii=False))
        return
    if not changes:
        click.echo("The model says what it said before. Nothing was changed.")
        return
    rows = [
        (each.effect, each.path, _short(each.before), _short(each.now), each.why)
        for each in changes
    ]
    for line in columns(
        ("effect", "value", "before", "in the model now", "why"), rows, shown=_SHOWN
    ):
        click.echo(line)
    done = sum(each.effect != "kept" for each in changes)
    click.echo(
        f"{counted(done, 'change')}{' would be made' if dry else ' made'}, {len(changes) - done} kept as a person wrote it."
    )


def _short(value: Any) -> str:
    text = "" if value is None else flow(value)
    return text if len(text) <= _WIDE else text[: _WIDE - 1] + "…"


@click.group()
def update() -> None:
    """Bring a house type up to date with a newer model."""


@update.command()
@click.argument("name")
@model_options
@click.option("--dry-run", "dry", is_flag=True, help="Only show what would change.")
@workspace_option
def housetype(name: str, asked: ModelRequest, report: str, dry: bool, workspace: Path) -> None:
    """Change in housetypes/NAME.yaml what the model says differently now, and nothing that a person wrote."""
    if not asked.files:
        raise click.UsageError("Name the newer model with --from.")
    update_from_model(workspace, name, asked, report, dry=dry)
