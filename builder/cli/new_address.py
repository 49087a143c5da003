"""``handover new address``: a stolen or unwanted address of a guide is replaced."""

from datetime import datetime
from pathlib import Path

import click

from builder.build.promises import check_promises
from builder.cli.options import today
from builder.errors import Findings, FindingsError, UsageError
from builder.preparing import chosen_plots
from builder.register.register import replace_guide
from builder.sources.workspace import read_workspace


def replace_address(plot: str, workspace: Path, day: datetime | None) -> None:
    """Give the guide of a plot another address, and say what is to be done next."""
    findings = Findings()
    read = read_workspace(workspace, findings)
    chosen = chosen_plots(read, (plot,))
    if chosen != (plot.strip("/"),):
        raise UsageError(f"'{plot}' is no single plot. Name one: <development>/<plot>.")
    promised = Findings()
    if not check_promises(read, promised):
        raise FindingsError(promised.errors)
    source = read.plots[chosen[0]]
    register = replace_guide(read.folder, source.development, source.numbers, today(day))
    click.echo(f"{source.reference} has a new address, /g/{register.guide(source.numbers)}/.")
    click.echo(
        f"Build the plot and deploy: from then on its stickers lead there, and the old address leads "
        f"nowhere. Run: handover build {source.reference}"
    )
