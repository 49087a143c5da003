"""``handover find``: which plots have this boiler, this article, this anything."""

import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import click

from builder.cli.find_forms import as_csv, as_json, as_table
from builder.cli.options import listing_option, workspace_option
from builder.errors import UsageError, counted, in_short
from builder.questions.asking import Match, Question, answers, check_names, question_of
from builder.questions.document import JsonDocument, document_of
from builder.questions.homes import read_homes
from builder.questions.pieces import WantedPieces, lookalikes, unrecorded
from builder.questions.query import EXAMPLE, unknown_words
from builder.sources.workspace import Workspace
from builder.writers.home_file.writing import home_schema

NOTHING_FOUND, NOT_ALL_ASKED = 1, 3
_FEW = 12
"""Plots that a message names before it counts the rest."""


@click.command()
@click.argument("arguments", nargs=-1, metavar="[QUERY] [PLOT|DEVELOPMENT]…")
@click.option("--kind", metavar="ID", help="Equipment of this kind, such as smoke-alarm.")
@click.option(
    "--make",
    metavar="NAME",
    help="Equipment of this make. Capitals, spaces and signs do not matter.",
)
@click.option("--model", metavar="NAME", help="Equipment of this model, read in the same way.")
@click.option("--article", metavar="ID", help="Homes whose guide has this article.")
@click.option("--house-type", metavar="ID", help="Homes of this house type.")
@click.option("--option", metavar="ID", help="Homes with this option.")
@listing_option
@workspace_option
def find(
    arguments: tuple[str, ...],
    form: str,
    workspace: Path,
    **short: str | None,
) -> None:
    """Find the plots that have something: this boiler, this article, this wrong lock.

    QUERY is a JSONPath of RFC 9535 and begins with $. Put it in single quotes. Each home is asked
    as JSON: ids are keys, the names are those of the data files. Beside the home stand
    plot.reference, plot.development, and articles.

    \b
      handover find --make NAME --model NAME
      handover find '$.equipment[?@.make == "NAME"].serial' mill-lane
      handover find '$.contacts.*.telephone'

    Without a QUERY, use the options. Those you give must all be true of one home; --kind, --make
    and --model of one piece. PLOT or DEVELOPMENT asks only these homes.

    Serial numbers are asked and shown: a recall needs them, and they stay on this machine until
    you send them. Meter readings, key codes and signatures are no part of a home and are never
    asked. A home with mistakes is asked too.

    Exit code 0 when something is found, 1 when nothing is, 2 when the question cannot be read, and
    3 when some plots could not be asked: then the answer is not whole.
    """  # fmt: skip
    query, plots = _divided(arguments)
    wanted = WantedPieces(**short)
    if query is None and wanted.empty:
        asked = f"--kind {plots[0]}" if plots else "--make NAME"
        raise UsageError(f"Name a QUERY, such as '{EXAMPLE}', or an option, such as {asked}.")
    homes = read_homes(workspace, plots)
    documents = [document_of(each) for each in homes.homes.values()]
    check_names(wanted, homes.workspace, _kinds(documents) | _named_kinds(homes.workspace))
    question = question_of(query, wanted, documents)
    found = list(answers(question, documents))
    _print(form, question, documents, homes.unread, found)
    for message in _beside(question, wanted, documents, homes.unread, found):
        click.echo(message, err=True)
    sys.exit(NOT_ALL_ASKED if homes.unread else 0 if found else NOTHING_FOUND)


def _divided(arguments: Sequence[str]) -> tuple[str | None, tuple[str, ...]]:
    """The query and the plots of a command line: a query begins with $, and no plot does."""
    queries = [each for each in arguments if each.strip().startswith("$")]
    if len(queries) > 1:
        raise UsageError(f"These are {len(queries)} queries. Ask one at a time.")
    for each in arguments:
        if each not in queries and any(sign in each for sign in ".[@*?"):
            raise UsageError(f"'{each}' is no plot, and a query begins with '$'. Did you mean '$.{each.lstrip('.')}'?")  # fmt: skip
    return next(iter(queries), None), tuple(each for each in arguments if each not in queries)


def _named_kinds(workspace: Workspace) -> set[str]:
    """The kinds that layers name: of homes with mistakes too."""
    named = (layer.child("kinds") for layer in workspace.shared_layers)
    return {kind for each in named if each is not None for kind in each.children}


def _fields(schema: object) -> Iterator[str]:
    """The names that a schema gives to what stands in a home, at any depth."""
    inner = list(schema.values()) if isinstance(schema, dict) else []
    if isinstance(schema, dict) and isinstance(named := schema.get("properties"), dict):
        yield from map(str, named)
    for each in schema if isinstance(schema, list) else inner:
        yield from _fields(each)


def _kinds(documents: Iterable[JsonDocument]) -> set[str]:
    return {kind for each in documents for kind in each.plain["kinds"]}


def _print(
    form: str,
    question: Question,
    documents: Sequence[JsonDocument],
    unread: Sequence[str],
    found: Sequence[Match],
) -> None:
    if form == "json":
        click.echo(as_json(question.text, len(documents), unread, found), nl=False)
    elif form == "csv":
        click.echo(as_csv(found), nl=False)
    else:
        click.echo(f"Asked: {question.text}")
        if found:
            click.echo(as_table(found), nl=False)
        having = len({each.plot for each in found})
        click.echo(f"{_matches(len(found))} in {having} of {counted(len(documents), 'plot')}.")


def _matches(number: int) -> str:
    return f"{number} match" if number == 1 else f"{number} matches"


def _beside(
    question: Question,
    wanted: WantedPieces,
    documents: list[JsonDocument],
    unread: Sequence[str],
    found: Sequence[Match],
) -> Iterator[str]:
    """What the answer does not show, and whoever acts on it must know."""
    if not found:
        for query in (*question.queries, *question.conditions):
            yield from unknown_words(
                query.text, (each.plain for each in documents), frozenset(_fields(home_schema()))
            )
    for field, name in lookalikes(wanted, documents):
        yield f"Not counted: the {field} '{name}', which looks like it. Ask for it too."
    missing = unrecorded(wanted, documents)
    if missing is not None:
        unsure = list(answers(Question((missing,), question.conditions), documents))
        plots = list(dict.fromkeys(each.plot for each in unsure))
        if plots:
            yield f"Look at these too: the make or model is not recorded in {counted(len(plots), 'plot')}: {in_short(plots, _FEW)}."
    if unread:
        yield f"Not asked, because the data makes no home: {in_short(unread, _FEW)}. See 'handover check'."
