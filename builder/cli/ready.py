"""``handover ready``: what each plot still lacks, and who owes it."""

import sys
from datetime import datetime
from pathlib import Path
from typing import get_args

import click

from builder.build.promises import check_promises
from builder.cli.options import date_option, today, workspace_option
from builder.cli.ready_forms import as_csv, as_json, as_text
from builder.errors import Finding, counted
from builder.model.handover import OwedBy
from builder.preparing import Preparation, prepare
from builder.readiness.assess import NeedQuestion, Stickers, assess
from builder.readiness.need import Stage
from builder.readiness.published import errors_of
from builder.register.issuing import sticker_days
from builder.register.labelling import address_can_be_printed
from builder.register.moving import register_of


@click.command()
@click.argument("plots", nargs=-1, metavar="[PLOT]…")
@click.option("--format", "form", type=click.Choice(["text", "json", "csv"]), default="text", show_default=True,
              help="A table and lists, JSON, or a table for a spreadsheet.")  # fmt: skip
@click.option("--stage", type=click.Choice([each.value for each in Stage]), default=Stage.CLOSED.value,
              help="Ask only for this stage and those before it. Default: all, to closed.")  # fmt: skip
@click.option("--owed-by", type=click.Choice(get_args(OwedBy)), multiple=True,
              help="Only what these owe. May be given several times.")  # fmt: skip
@click.option("--details", is_flag=True, help="List everything that is missing for every plot.")
@workspace_option
@date_option
def ready(
    plots: tuple[str, ...],
    form: str,
    stage: str,
    owed_by: tuple[str, ...],
    details: bool,
    workspace: Path,
    day: datetime | None,
) -> None:
    """Say what is missing before plots are published, handed over and closed, and who owes it.

    A table for all plots; for plots that are named, all that is missing, grouped by who owes it.
    Private values are never shown: no serial number, no reading.

    Exit code 0 when all that was asked for is ready, or is not owed by those named; 1 when
    something is missing.
    """
    preparation = prepare(workspace, plots, today(day))
    _check_publishing(preparation)
    asked = NeedQuestion(Stage(stage), owed_by)
    found = assess(preparation, _stickers(preparation), today(day))
    if form == "json":
        click.echo(as_json(found, today(day), asked), nl=False)
    elif form == "csv":
        click.echo(as_csv(found, asked), nl=False)
    else:
        named = {each.plot for each in found} if details else {each.strip("/") for each in plots}
        click.echo(as_text(found, asked, named), nl=False)
    stray = _errors_of_no_plot(preparation)
    if stray:
        concern = "concerns" if len(stray) == 1 else "concern"
        click.echo(f"{counted(len(stray), 'mistake')} {concern} none of these plots: see 'handover check'.", err=True)  # fmt: skip
    sys.exit(0 if not stray and all(map(asked.answered, found)) else 1)


def _stickers(preparation: Preparation) -> Stickers:
    """When the stickers of each plot were issued, by the registers."""
    workspace = preparation.workspace
    registers = {name: register_of(workspace, name) for name in workspace.developments}
    return {
        reference: sticker_days(each, registers[each.plot.development])
        for reference, each in preparation.homes.items()
    }


def _check_publishing(preparation: Preparation) -> None:
    """What ``handover check`` finds besides, of codes and of addresses."""
    check_promises(preparation.workspace, preparation.findings)
    for prepared in preparation.homes.values():
        preparation.findings.extend(address_can_be_printed(prepared.traced))


def _errors_of_no_plot(preparation: Preparation) -> tuple[Finding, ...]:
    """Errors that no plot asked for stands on, such as those of a table that lists no plot."""
    workspace, errors = preparation.workspace, preparation.findings.errors
    if len(preparation.asked) < len(workspace.plots):
        return ()
    told = {
        finding
        for reference in preparation.asked
        for finding in errors_of(workspace.plots[reference], workspace, errors)
    }
    return tuple(each for each in errors if each not in told)
