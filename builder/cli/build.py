"""``handover build``: the guides of plots, published."""

import json
import sys
from datetime import datetime
from pathlib import Path

import click

from builder.build.report import Report, Target
from builder.build.source_files import SourceFiles
from builder.build.unchanged import nothing_changed
from builder.cli.options import (
    date_option,
    format_option,
    own_code_option,
    today,
    workspace_option,
)
from builder.cli.show import plain_findings, show_findings, show_notes, steps
from builder.errors import counted


@click.command()
@click.argument("plots", nargs=-1, metavar="[PLOT]…")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), default="public", show_default=True,
              help="Folder of the published tree.")  # fmt: skip
@click.option("--executor", metavar="ADDRESS",
              help="Address of a Dask scheduler, as tcp://host:port, whose workers write the guides. "
                   "They need the workspace and the published tree by the same paths, on a shared "
                   "disk, and the same version of the builder. Default: the cores of this machine.")  # fmt: skip
@click.option("--afresh", is_flag=True,
              help="Write guides that are up to date too: it mends what 'handover verify' found.")  # fmt: skip
@own_code_option
@workspace_option
@date_option
@format_option
def build(
    plots: tuple[str, ...], out: Path, executor: str | None, afresh: bool, own_code: bool,
    workspace: Path, day: datetime | None, form: str,
) -> None:  # fmt: skip
    """Build and publish the guides of plots; all of them if none is named.

    A plot with an error is left as it was; the others are published. A page of all plots, for the team
    alone, is kept beside the tree: .NAME.records/portfolio.html. JSON tells the same, and findings.
    """
    target = Target(workspace, plots, out, today(day), executor, afresh, own_code)
    sources = SourceFiles(workspace)
    report = nothing_changed(target, sources) or _published(target, sources)
    if form == "json":
        findings = (*report.taken_over, *report.findings)
        told = {**report.portfolio.plain(), "findings": plain_findings(findings)}
        click.echo(json.dumps(told, indent=2, ensure_ascii=False))
    else:
        show_notes(report.taken_over)
        show_findings(report.findings, form)
        _print_report(report)
    sys.exit(1 if report.findings.errors or report.left else 0)


def _published(target: Target, sources: SourceFiles) -> Report:
    # What publishes takes longer to load than it takes to see that nothing has changed.
    from builder.build.building import publish  # noqa: PLC0415

    with steps("Publishing", None) as count:
        return publish(target, count.done, sources)


def _print_report(report: Report) -> None:
    for each in report.published:
        click.echo(f"{each.reference}  {counted(each.pages, 'page')}  {each.address}")
    click.echo(f"{counted(len(report.published), 'guide')} published.")
    if report.unchanged:
        click.echo(f"{counted(len(report.unchanged), 'guide')} up to date.")
    if report.left:
        click.echo(f"Left as they were: {', '.join(report.left)}.")
