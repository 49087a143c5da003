"""``handover check``: all that is wrong with the data and articles of plots."""

import sys
from datetime import datetime
from pathlib import Path

import click

from builder.build.promises import check_promises
from builder.cli.options import (
    date_option,
    format_option,
    own_code_option,
    today,
    workspace_option,
)
from builder.cli.show import show_findings
from builder.errors import Severity, counted
from builder.importers.models.words import model_words_are_read
from builder.importers.spreadsheets.confirmed import columns_are_read
from builder.preparing import prepare, stopped
from builder.register.labelling import address_can_be_printed
from builder.register.stocks import own_stocks
from builder.sources.site_settings import site_findings
from builder.sources.workspace import Workspace


@click.command()
@click.argument("plots", nargs=-1, metavar="[PLOT]…")
@workspace_option
@format_option
@click.option("--notes", is_flag=True, help="Print notes too, not only errors and warnings.")
@click.option("--strict", is_flag=True, help="Fail on warnings too, not only on errors.")
@own_code_option
@date_option
def check(
    plots: tuple[str, ...],
    workspace: Path,
    form: str,
    notes: bool,
    strict: bool,
    own_code: bool,
    day: datetime | None,
) -> None:
    """Check the data and articles of plots; all of them if none is named.

    Errors would make a guide wrong or unsafe, and stop it. Warnings are where a home falls short
    of a standard: its guide is published, and the home is not ready to hand over.
    """
    preparation = prepare(workspace, plots, today(day))
    kept = check_promises(preparation.workspace, preparation.findings)
    for read in (own_stocks, columns_are_read, model_words_are_read):
        read(preparation.workspace.folder.root, preparation.findings)
    preparation.findings.extend(site_findings(workspace, own_code=own_code))
    for prepared in preparation.homes.values():
        preparation.findings.extend(address_can_be_printed(prepared.traced))
    show_findings(preparation.findings, form, notes=notes)
    if form == "text":
        sound = [each for each in preparation.plots.values()
                 if not stopped(each.plot, preparation.workspace, preparation.findings)]  # fmt: skip
        click.echo(
            f"{len(sound) if kept else 0} of {len(preparation.asked)} plots can be published."
        )
        if tried := _tried_alone(preparation.workspace):
            click.echo(f"There is no plot yet: {counted(tried, 'house type')} looked at as drawn.")
    least = Severity.WARNING if strict else Severity.ERROR
    sys.exit(1 if any(each.severity >= least for each in preparation.findings) else 0)


def _tried_alone(workspace: Workspace) -> int:
    """How many house types were looked at because nobody has planned a plot yet."""
    planned = workspace.plots or not all(each.listed for each in workspace.developments.values())
    return 0 if planned else len(workspace.house_types)
