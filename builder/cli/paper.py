"""``handover print``: the guide as a book, and the papers that go with it."""

import sys
from datetime import datetime
from pathlib import Path

import click

from builder.build.papers import PAPERS, Paper, print_papers
from builder.build.promises import check_promises
from builder.cli.options import date_option, own_code_option, today, workspace_option
from builder.cli.show import findings_as_text, steps
from builder.errors import counted
from builder.preparing import prepare


@click.command(name="print")
@click.argument("plots", nargs=-1, metavar="[PLOT]…")
@click.option("--paper", "named", multiple=True, type=click.Choice([*PAPERS, "all"]),
              help="Which paper; may be said several times. Default: all.")  # fmt: skip
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), default="paper",
              show_default=True, help="Folder of the papers; never the published tree.")  # fmt: skip
@own_code_option
@workspace_option
@date_option
def print_command(
    plots: tuple[str, ...], named: tuple[str, ...], out: Path, own_code: bool, workspace: Path,
    day: datetime | None,
) -> None:  # fmt: skip
    """Print the guides of plots and the papers that go with them; all plots if none is named.

    The book says what the web pages say, word for word. Print all papers at actual size.
    """
    preparation = prepare(workspace, plots, today(day))
    check_promises(preparation.workspace, preparation.findings)
    papers = _papers(named)
    total = len(preparation.plots) * len(papers)
    with steps("Printing", total) as count:
        printed = list(
            print_papers(preparation, papers, out, today(day), count.done, own_code=own_code)
        )
    for each in printed:
        click.echo(each.file.as_posix())
    findings_as_text(preparation.findings)
    click.echo(f"{counted(len(printed), 'paper')} printed.")
    done = {each.reference for each in printed}
    left = [each for each in preparation.asked if each not in done]
    if left:
        click.echo(f"Not printed: {', '.join(left)}.")
    sys.exit(1 if preparation.findings.errors or left else 0)


def _papers(named: tuple[str, ...]) -> tuple[Paper, ...]:
    """The papers asked for, in the order of the list; none named: all."""
    if not named or "all" in named:
        return PAPERS
    return tuple(each for each in PAPERS if each in named)
