"""``handover preview``: one plot's guide in a browser."""

from pathlib import Path

import click

from builder.cli.asked import the_plot
from builder.cli.options import own_code_option, today, workspace_option
from builder.preparing import prepare
from builder.writers.site.preview import preview as preview_site


@click.command()
@click.argument("plot")
@click.option("--address", default="127.0.0.1:8000", show_default=True, help="Where to serve it.")
@own_code_option
@workspace_option
def preview(plot: str, address: str, own_code: bool, workspace: Path) -> None:
    """Show one plot's guide in a browser, written again at every change."""
    the_plot(prepare(workspace, [plot], today(None)), plot)
    preview_site(workspace, plot, address, own_code=own_code)
