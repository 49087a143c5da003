"""``handover compare``: what a change of content changes in whose guide, page by page."""

import filecmp
import sys
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory

import click

from builder.build.outside import fit_for_a_file
from builder.cli.options import date_option, today, workspace_option
from builder.cli.show import steps
from builder.disk import save
from builder.errors import UsageError, counted
from builder.preparing import Preparation, prepare
from builder.questions.compare import Comparison, compared
from builder.questions.showing import WritePage
from builder.saving.repository import GitError, repository_of
from builder.shipped import layered
from builder.writers.comparison import as_page, as_text
from builder.writers.site.pages import Pages

NOT_ALL_COMPARED = 3
_TEMPLATES = "site_templates"
_NOW = "now"


@click.command()
@click.argument("revision", metavar="REV")
@click.argument("plots", nargs=-1, metavar="[PLOT|DEVELOPMENT]…")
@click.option(
    "--html", type=click.Path(dir_okay=False, path_type=Path), help="Write one page with both sides."
)  # fmt: skip
@date_option
@workspace_option
def compare(
    revision: str, plots: tuple[str, ...], html: Path | None, day: datetime | None, workspace: Path
) -> None:
    """Show what changed in guides since a revision: which pages, of which plots, line by line.

    REV is a commit, branch or tag of the git repository that the workspace is in; the guides are
    those of the workspace as it is now, saved or not. Nothing is built.

    \b
      handover compare HEAD
      handover compare v3 mill-lane --html changes.html

    Exit code 0 when all plots were compared, 3 when some have a guide on one side alone.
    """  # fmt: skip
    if html is not None:
        fit_for_a_file(html, "what changed in it is for the team. Write it elsewhere.", ".html")
    repository = repository_of(workspace)
    if repository is None:
        raise UsageError(f"'{workspace}' is in no git repository, so there is nothing to compare.")
    with TemporaryDirectory() as folder:
        former = Path(folder) / "workspace"
        try:
            repository.unpack(revision, former)
        except GitError as error:
            raise UsageError(f"'{revision}' cannot be read: {error}.") from error
        told = _compared(former, workspace, plots, day)
    _print(told, revision, html)
    sys.exit(NOT_ALL_COMPARED if told.only_before or told.only_after else 0)


def _compared(
    former: Path, workspace: Path, plots: tuple[str, ...], day: datetime | None
) -> Comparison:
    after = prepare(workspace, plots, today(day))
    before = _former(former, after, today_of=day)
    with steps("Comparing", len(after.plots)) as count:
        return compared(
            before,
            after,
            (_writing(former), _writing(workspace)),
            same_templates=_hold_the_same(former / _TEMPLATES, workspace / _TEMPLATES),
            done=count.done,
        )


def _former(former: Path, after: Preparation, today_of: datetime | None) -> Preparation:
    """The same plots as they stood; all of them where one of those asked for was not there yet."""
    try:
        return prepare(former, after.asked, today(today_of))
    except UsageError:
        whole = prepare(former, (), today(today_of))
        kept = {name: each for name, each in whole.plots.items() if name in after.asked}
        return Preparation(whole.workspace, tuple(kept), whole.homes, kept, whole.findings)


def _writing(root: Path) -> WritePage:
    pages = Pages(layered(root, f"{_TEMPLATES}/pages"))
    return lambda guide, page: pages.one(guide, page).markdown


def _hold_the_same(one: Path, other: Path) -> bool:
    """Whether two folders hold the same files; a folder that is not there holds none."""
    names = [{each.relative_to(root): each for each in root.rglob("*") if each.is_file()} for root in (one, other)]  # fmt: skip
    return names[0].keys() == names[1].keys() and all(
        filecmp.cmp(path, names[1][name], shallow=False) for name, path in names[0].items()
    )


def _print(told: Comparison, revision: str, html: Path | None) -> None:
    if html is not None:
        save(html, as_page(told, revision, _NOW).encode("utf-8"))
        click.echo(f"{html} shows both sides.")
    else:
        for line in as_text(told):
            click.echo(line)
    plots = {plot for change in told.pages for plot in change.plots}
    click.echo(
        f"{counted(len(told.pages), 'page')} changed, in {len(plots)} of {counted(len(told.compared), 'plot')}."
    )
    for names, when in ((told.only_before, "had a guide then and have none now"), (told.only_after, "have a guide only now")):  # fmt: skip
        if names:
            click.echo(f"Not compared, because they {when}: {', '.join(names)}.", err=True)
