"""``handover export``: plots, COBie and JSON for other people and their programs."""

from pathlib import Path

import click

from builder.cli.options import workspace_option
from builder.cli.show import counted
from builder.errors import Findings, FindingsError, UsageError, near_miss
from builder.saving import save
from builder.sources.workspace import read_workspace
from builder.writers.workbook.plots import plots_workbook


@click.group()
def export() -> None:
    """Give plots, COBie or JSON to other people and their programs."""


@export.command()
@click.argument("development")
@click.option(
    "--out",
    required=True,
    type=click.Path(dir_okay=False, path_type=Path),
    help="The workbook to write.",
)
@workspace_option
def plots(development: str, out: Path, workspace: Path) -> None:
    """Write DEVELOPMENT's plots as a workbook that 'handover import plots' takes again."""
    findings = Findings()
    source = read_workspace(workspace, findings).developments.get(development)
    if source is None:
        close = near_miss(
            development, [each.name for each in (workspace / "developments").iterdir()]
        )
        raise UsageError(
            f"There is no development '{development}'."
            + (f" Did you mean '{close}'?" if close else "")
        )
    if not source.listed:
        raise FindingsError(findings.errors)
    save(out, plots_workbook(development, source.plots.values()), private=True)
    click.echo(
        f"{out}: {counted(len(source.plots), 'plot')}. It holds serial numbers: keep it to yourself."
    )
