"""``handover copy``: the guide of a plot in one file, to be opened from a disk."""

import sys
from datetime import datetime
from pathlib import Path

import click

from builder.build.copies import copy_of
from builder.build.outside import fit_for_a_file
from builder.cli.options import date_option, own_code_option, today, workspace_option
from builder.cli.show import findings_as_text
from builder.disk import save
from builder.errors import UsageError
from builder.preparing import prepare


@click.command()
@click.argument("plot")
@click.option("--out", required=True, type=click.Path(dir_okay=False, path_type=Path),
              help="The file to write; its name ends in .zip.")  # fmt: skip
@own_code_option
@workspace_option
@date_option
def copy(plot: str, out: Path, own_code: bool, workspace: Path, day: datetime | None) -> None:
    """Copy the guide of a plot into one file, to be opened from a disk with no server.

    For a landlord, an agent, or whoever has no network: unpack it and open index.html. Search works;
    what changes later is not in it.
    """
    fit_for_a_file(out, "a copy is for one reader. Write it elsewhere.", ".zip")
    preparation = prepare(workspace, [plot], today(day))
    if preparation.asked != (plot.strip("/"),):
        raise UsageError(f"'{plot}' is no single plot. Name one: <development>/<plot>.")
    findings_as_text(preparation.findings)
    (reference,) = preparation.asked
    if reference not in preparation.plots:
        click.echo(f"Not copied: {reference}.")
        sys.exit(1)
    content = copy_of(preparation, reference, today(day), own_code=own_code)
    save(out, content)
    click.echo(f"{out.as_posix()}  {len(content):,} bytes. Unpack it, and open index.html.")
