"""``handover export``: plots, COBie and JSON for other people and their programs."""

from datetime import datetime
from pathlib import Path

import click

from builder.build.outside import fit_for_a_file
from builder.cli.asked import the_plot
from builder.cli.options import date_option, today, workspace_option
from builder.cli.show import findings_as_text
from builder.disk import save
from builder.errors import Findings, FindingsError, UsageError, counted, near_miss
from builder.preparing import Preparation, Prepared, prepare
from builder.register.issuing import stickers_of
from builder.register.moving import register_of
from builder.selection.conditions import judge
from builder.sources.workspace import read_workspace
from builder.writers.home_file.writing import home_text
from builder.writers.workbook.cobie import cobie_workbook
from builder.writers.workbook.cobie_rows import CobieHome
from builder.writers.workbook.plots import plots_workbook

_PRIVATE = "what is exported is not for the web. Write it elsewhere."
_workbook_option = click.option(
    "--out",
    required=True,
    type=click.Path(dir_okay=False, path_type=Path),
    help="The workbook to write.",
)


@click.group()
def export() -> None:
    """Give plots, COBie or JSON to other people and their programs."""


@export.command()
@click.argument("development")
@_workbook_option
@workspace_option
def plots(development: str, out: Path, workspace: Path) -> None:
    """Write DEVELOPMENT's plots as a workbook that 'handover import plots' takes again."""
    fit_for_a_file(out, _PRIVATE, ".xlsx")
    findings = Findings()
    developments = read_workspace(workspace, findings).developments
    source = developments.get(development)
    if source is None:
        close = near_miss(development, developments)
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


@export.command()
@click.argument("plot_or_development")
@_workbook_option
@workspace_option
@date_option
def cobie(plot_or_development: str, out: Path, workspace: Path, day: datetime | None) -> None:
    """Write a plot, or all plots of a development, as COBie 2.4."""
    fit_for_a_file(out, _PRIVATE, ".xlsx")
    preparation = prepare(workspace, [plot_or_development], today(day))
    lacking = [each for each in preparation.asked if each not in preparation.homes]
    if lacking or not preparation.asked:
        findings_as_text(preparation.findings)
        raise UsageError(
            f"Nothing was written: {', '.join(lacking) or plot_or_development} cannot be made out."
        )
    homes = [_cobie_home(preparation.homes[each], preparation) for each in preparation.asked]
    save(out, cobie_workbook(homes, today(day)), private=True)
    click.echo(
        f"{out}: {counted(len(homes), 'home')} as COBie 2.4. It holds serial numbers: keep it to yourself."
    )


def _cobie_home(prepared: Prepared, preparation: Preparation) -> CobieHome:
    home = prepared.traced.home
    register = register_of(preparation.workspace, prepared.plot.development)
    stickers = stickers_of(prepared, register) if register else ()
    return CobieHome(
        prepared.plot.reference,
        home,
        prepared.guide.schedule,
        {each.equipment: each.issued.code for each in stickers if each.live and each.equipment},
        {
            each.name: each.basis
            for each in home.documents.values()
            if each.when is None or judge(each.when, home).holds
        },
        {each.id: each.front.equipment for each in prepared.selection.articles},
    )


@export.command("json")
@click.argument("plot")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The file to write. Default: print it.",
)
@click.option("--private", is_flag=True, help="With serial numbers, which nobody else is to see.")
@workspace_option
@date_option
def json_command(
    plot: str, out: Path | None, private: bool, workspace: Path, day: datetime | None
) -> None:
    """Write PLOT as JSON with its plan, for other programs; 'handover schema' writes its shape, home.json."""
    if out is not None:
        fit_for_a_file(out, _PRIVATE, ".json")
    prepared = the_plot(prepare(workspace, [plot], today(day)), plot, sound=False)
    text = home_text(prepared.plot.reference, prepared.about, private=private)
    if out is None:
        click.echo(text, nl=False)
        return
    save(out, text.encode("utf-8"), private=private)
    click.echo(str(out))
