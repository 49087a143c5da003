"""``handover articles`` and ``handover sources``: the library, as its editor looks after it."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from pathlib import Path

import click

from builder.cli.options import date_option, today, workspace_option
from builder.cli.show import columns
from builder.errors import Findings, UsageError, counted, near_miss
from builder.questions.articles import ArticleKept, articles_kept
from builder.questions.homes import read_homes
from builder.questions.sources import SourceDocument, documents
from builder.sources.workspace import read_workspace
from builder.tables import for_a_spreadsheet

_ALL = 100_000
_HEADINGS = (
    "article", "house types", "plots", "last review", "next review", "grade", "words",
    "published", "common practice", "from memory", "pictures", "languages",
)  # fmt: skip


@click.command()
@click.argument("names", nargs=-1, metavar="[ARTICLE]…")
@click.option("--due", is_flag=True, help="Only those whose review is due, by --date or today.")
@click.option("--unused", is_flag=True, help="Only those that no plot gets.")
@click.option("--csv", "as_csv", is_flag=True, help="A file for a spreadsheet, with plots named.")
@date_option
@workspace_option
def articles(
    names: tuple[str, ...],
    due: bool,
    unused: bool,
    as_csv: bool,
    day: datetime | None,
    workspace: Path,
) -> None:
    """List every article: who reads it, its reviews, how hard it is, and what it rests on.

    The grade is that of a school reader, by letters a word and words a sentence; a reader's age is
    five more. 'handover sources' says what rests on each source.
    """
    kept = list(articles_kept(read_homes(workspace, ())))
    listed = list(_chosen(_articles_named(kept, names), due=due, unused=unused, day=today(day)))
    if as_csv:
        rows = [(*_row(each), each.title, each.file, " ".join(each.plots)) for each in listed]
        headings = (*_HEADINGS, "title", "file", "named plots")
        click.echo(for_a_spreadsheet([headings, *(list(map(str, row)) for row in rows)]), nl=False)
        return
    for line in columns(_HEADINGS, [_row(each) for each in listed], shown=_ALL):
        click.echo(line)
    click.echo(f"{len(listed)} of {counted(len(kept), 'article')}.")


def _articles_named(kept: Sequence[ArticleKept], names: Iterable[str]) -> Sequence[ArticleKept]:
    known = {each.id for each in kept}
    for name in names:
        if name not in known:
            close = near_miss(name, sorted(known))
            hint = f" Did you mean '{close}'?" if close else " 'handover articles' lists them."
            raise UsageError(f"There is no article '{name}'.{hint}")
    wanted = set(names)
    return [each for each in kept if not wanted or each.id in wanted]


def _chosen(
    kept: Iterable[ArticleKept], *, due: bool, unused: bool, day: date
) -> Iterator[ArticleKept]:
    for each in kept:
        if not (due and each.next_review > day) and not (unused and each.plots):
            yield each


def _row(each: ArticleKept) -> tuple[str | int, ...]:
    return (
        each.id,
        len(each.house_types),
        len(each.plots),
        each.reviewed.isoformat(),
        each.next_review.isoformat(),
        f"{each.grade:.1f}",
        each.words,
        each.sources["published"],
        each.sources["common practice"],
        each.sources["from memory"],
        len(each.pictures),
        " ".join(each.languages),
    )


@click.command()
@click.argument("words", nargs=-1, metavar="[WORDS]…")
@click.option(
    "--csv", "as_csv", is_flag=True, help="A file for a spreadsheet, a row for each fact."
)
@workspace_option
def sources(words: tuple[str, ...], as_csv: bool, workspace: Path) -> None:
    """List every source, and how much rests on it; with WORDS of its name, all that rests on it.

    \b
      handover sources
      handover sources Approved Document F

    When an edition changes, this is the list of what to read again, each with its file and line.
    """  # fmt: skip
    found = documents(read_workspace(workspace, Findings()))
    wanted = " ".join(words).casefold()
    listed = [each for each in found if wanted in f"{each.name} {each.edition}".casefold()]
    if words and not listed:
        raise UsageError(f"No source is called '{' '.join(words)}'. 'handover sources' lists them.")
    if as_csv:
        click.echo(for_a_spreadsheet(_rows(listed)), nl=False)
    elif words:
        for line in _telling(listed):
            click.echo(line)
    else:
        rows = [(each.name, each.edition, len(each.resting)) for each in listed]
        for line in columns(("source", "edition", "facts"), rows, shown=_ALL):
            click.echo(line)
        click.echo(f"{counted(len(listed), 'source')}.")


def _rows(listed: Iterable[SourceDocument]) -> Iterator[tuple[str, ...]]:
    yield "source", "edition", "where in it", "said by", "fact", "file", "line"
    for document in listed:
        for each in document.resting:
            line = str(each.place.line or "")
            said = (each.where, each.what, each.fact, each.place.file, line)
            yield document.name, document.edition, *said


def _telling(listed: Iterable[SourceDocument]) -> Iterator[str]:
    for document in listed:
        edition = f", {document.edition}" if document.edition else ""
        yield f"{document.name}{edition}: {counted(len(document.resting), 'fact')}"
        for each in document.resting:
            where = f" ({each.where})" if each.where else ""
            yield f"  {each.place}: {each.what}: {each.fact}{where}"
