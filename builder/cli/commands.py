"""The commands of ``handover``."""

import sys
from datetime import datetime
from pathlib import Path
from typing import Any, NoReturn

import click

from builder import __version__
from builder.cli.demonstration import demonstration, record
from builder.cli.new import new
from builder.cli.options import date_option, today, workspace_option
from builder.cli.paper import print_command
from builder.cli.ready import ready
from builder.cli.rules import rules
from builder.cli.schemas import write_schemas
from builder.cli.show import counted, findings_as_json, findings_as_text, steps
from builder.cli.stickers import stickers
from builder.cli.why import explain_article, explain_articles, explain_path
from builder.demonstration.script import script_of
from builder.errors import Findings, HandoverError, Severity, UsageError
from builder.preparing import Preparation, Prepared, prepare
from builder.publish.building import Report, publish
from builder.publish.issuing import check_codes
from builder.publish.labelling import address_can_be_printed
from builder.writers.site.engine import preview as preview_site


class _Group(click.Group):
    """Turns what stops a run into a message and an exit code; no traceback for a mistake."""

    def invoke(self, context: click.Context) -> Any:
        try:
            return super().invoke(context)
        except HandoverError as error:
            click.echo(f"Error: {error}", err=True)
            context.exit(error.exit_code)


_format_option = click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    help="How findings are printed.",
)


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="handover")
def main() -> None:
    """Turns a housebuilder's data into a guide for every single home it hands over."""


main.add_command(demonstration)
main.add_command(new)
main.add_command(print_command)
main.add_command(ready)
main.add_command(record)
main.add_command(rules)
main.add_command(stickers)


@main.command()
@click.argument("plots", nargs=-1, metavar="[PLOT]…")
@workspace_option
@_format_option
@click.option("--notes", is_flag=True, help="Print notes too, not only errors and warnings.")
@click.option("--strict", is_flag=True, help="Fail on warnings too, not only on errors.")
@date_option
def check(
    plots: tuple[str, ...],
    workspace: Path,
    form: str,
    notes: bool,
    strict: bool,
    day: datetime | None,
) -> None:
    """Check the data and articles of plots; all of them if none is named.

    Errors would make a guide wrong or unsafe, and stop it. Warnings are where a home falls short
    of a standard: its guide is published, and the home is not ready to hand over.
    """
    preparation = prepare(workspace, plots, today(day))
    script_of(preparation.workspace, preparation.findings)
    check_codes(preparation.workspace, preparation.findings)
    for prepared in preparation.homes.values():
        preparation.findings.extend(address_can_be_printed(prepared.traced))
    _show(preparation.findings, form, notes=notes)
    if form == "text":
        click.echo(f"{len(preparation.plots)} of {len(preparation.asked)} plots can be published.")
    least = Severity.WARNING if strict else Severity.ERROR
    sys.exit(1 if any(each.severity >= least for each in preparation.findings) else 0)


@main.command()
@click.argument("plots", nargs=-1, metavar="[PLOT]…")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), default="public", show_default=True,
              help="Folder of the published tree.")  # fmt: skip
@workspace_option
@date_option
@_format_option
def build(
    plots: tuple[str, ...], out: Path, workspace: Path, day: datetime | None, form: str
) -> None:
    """Build and publish the guides of plots; all of them if none is named.

    A plot with an error is left as it was; the others are published.
    """
    preparation = prepare(workspace, plots, today(day))
    with steps("Publishing", len(preparation.plots)) as count:
        report = publish(preparation, out, today(day), count.done)
    _show(report.findings, form)
    if form == "text":
        _print_report(report)
    sys.exit(1 if report.findings.errors or report.left else 0)


def _print_report(report: Report) -> None:
    for each in report.published:
        click.echo(f"{each.reference}  {counted(each.pages, 'page')}  {each.address}")
    click.echo(f"{counted(len(report.published), 'guide')} published.")
    if report.left:
        click.echo(f"Left as they were: {', '.join(report.left)}.")


@main.command()
@click.argument("plot")
@click.option("--address", default="127.0.0.1:8000", show_default=True, help="Where to serve it.")
@workspace_option
def preview(plot: str, address: str, workspace: Path) -> None:
    """Show one plot's guide in a browser, written again at every change."""
    _one(prepare(workspace, [plot], today(None)), plot)
    preview_site(workspace, plot, address)


@main.command()
@click.argument("plot")
@click.argument("path", required=False)
@click.option("--article", metavar="ID", help="Explain why this article is in the guide, or not.")
@click.option("--articles", is_flag=True, help="Explain every article.")
@workspace_option
def why(plot: str, path: str | None, article: str | None, articles: bool, workspace: Path) -> None:
    """Show where the value at PATH came from: each layer's say, the one that holds marked."""
    if sum((path is not None, article is not None, articles)) != 1:
        raise click.UsageError(
            "Name a PATH such as equipment.stopcock.place, or --article ID, or --articles."
        )
    prepared = _one(prepare(workspace, [plot], today(None)), plot, sound=False)
    if path is not None:
        explain_path(prepared, path)
    elif article is not None:
        explain_article(prepared, article)
    else:
        explain_articles(prepared)


@main.command()
@click.option("--out", type=click.Path(file_okay=False, path_type=Path),
              help="Folder for the schemas. Default: schemas, in the workspace.")  # fmt: skip
@workspace_option
def schema(out: Path | None, workspace: Path) -> None:
    """Write the JSON Schemas that editors use to complete and check YAML files."""
    for path in write_schemas(out or workspace / "schemas"):
        click.echo(path.as_posix())


def _show(findings: Findings, form: str, *, notes: bool = False) -> None:
    if form == "json":
        findings_as_json(findings)
    else:
        findings_as_text(findings, notes=notes)


def _one(preparation: Preparation, plot: str, *, sound: bool = True) -> Prepared:
    """The one plot asked for; its findings and exit code 1 where its mistakes stand in the way."""
    if len(preparation.asked) != 1:
        raise UsageError(
            f"'{plot}' is {counted(len(preparation.asked), 'plot')}; name one, as <development>/<plot>."
        )
    plots = preparation.plots if sound else preparation.homes
    prepared = plots.get(preparation.asked[0])
    return prepared or _stop(preparation.findings)


def _stop(findings: Findings) -> NoReturn:
    findings_as_text(findings)
    sys.exit(1)
