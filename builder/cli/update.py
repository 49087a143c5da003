"""``handover update``: brings what was read from other people's files up to date with newer ones."""

from pathlib import Path

import click

from builder.cli.from_models import model_options, update_from_model
from builder.cli.options import workspace_option
from builder.importers.models.request import ModelRequest


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
