"""``handover why``: where a value came from, and why an article is in a guide or not."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

from builder.cli.asked import the_plot
from builder.cli.options import today, workspace_option
from builder.errors import UsageError, near_miss
from builder.importers.models.record import ModelRecord, read_record
from builder.layers.merge import REMOVED, Saying
from builder.layers.stack import leaves_below, told
from builder.preparing import Prepared, prepare
from builder.selection.choosing import Choice
from builder.selection.conditions import Reason, values_at
from builder.sources.entry import Address
from builder.sources.library import ArticleSource
from builder.sources.workspace import Workspace


@click.command()
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
    preparation = prepare(workspace, [plot], today(None))
    prepared = the_plot(preparation, plot, sound=False)
    if path is not None:
        model = read_record(workspace, str(prepared.traced.home.plot.house_type))
        explain_path(prepared, path, model)
    elif article is not None:
        explain_article(prepared, article, preparation.workspace)
    else:
        explain_articles(prepared, preparation.workspace)


def explain_path(prepared: Prepared, path: str, model: ModelRecord | None = None) -> None:
    """Print the value at a dotted path, or all values below it, with each layer's say, and what
    the building model said that its house type was read from."""
    address: Address = tuple(path.split("."))
    addresses = list(leaves_below(prepared.traced.merged, address))
    if not addresses:
        raise UsageError(
            f"{prepared.plot.reference} has nothing at '{path}'.{_hint(prepared, address)}"
        )
    for leaf in addresses:
        _print_leaf(prepared, leaf, model)


def _hint(prepared: Prepared, address: Address) -> str:
    here = prepared.traced.merged
    for step in address:
        inner = here.child(step)
        if inner is None:
            close = near_miss(str(step), here.children or ())
            return f" Did you mean '{close}' for '{step}'?" if close else ""
        here = inner
    return ""


def _print_leaf(prepared: Prepared, address: Address, model: ModelRecord | None) -> None:
    path = ".".join(map(str, address))
    sayings = told(prepared.stack, address)
    click.secho(path, bold=True)
    width = max(len(saying.layer) for saying in sayings)
    for saying in sayings:
        mark = "→" if saying is sayings[-1] else " "
        click.echo(f"  {mark} {saying.layer:<{width}}  {_value_in_words(saying)}  ({saying.place})")
    if model is not None and (line := _said_by_model(prepared, address, model)):
        click.echo(f"    {line}")
    turned = [value for _, value in values_at(prepared.traced.home, path)]
    if turned and sayings[-1].value is not REMOVED and _differs(turned[0], sayings[-1].value):
        click.echo(f"    in this home, {prepared.traced.home.plot.hand}: {_json(turned[0])}")


def _said_by_model(prepared: Prepared, address: Address, record: ModelRecord) -> str:
    """What a building model said of a value of the house type, in one line."""
    name = str(prepared.traced.home.plot.house_type)
    steps = [str(step) for step in address]
    below = (".".join(steps[:length]) for length in range(len(steps), 0, -1))
    path = next((each for each in below if each in record.values), None)
    if path is None:
        return ""
    model = record.values[path]
    sayings = told(prepared.stack, tuple(path.split(".")))
    said = next((each for each in sayings if each.layer == f"house type {name}"), None)
    if said is None or said.value is REMOVED or _json(said.value) != _json(model.value):
        return f"the model said {_json(model.value)} ({model.told})"
    return f"from the model ({model.told})"


def _value_in_words(saying: Saying) -> str:
    return "removed" if saying.value is REMOVED else _json(saying.value)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, default=str)


def _differs(turned: Any, said: Any) -> bool:
    """Whether the hand of the plot changed the value; a date or a number read alike did not."""
    if isinstance(said, str):
        return isinstance(turned, str) and turned != said
    return isinstance(said, list) and json.loads(_json(turned)) != json.loads(_json(said))


def explain_article(prepared: Prepared, identifier: str, workspace: Workspace) -> None:
    """Print whether the home gets an article, who wrote it, and the reason line by line."""
    choice = prepared.selection.of(identifier)
    if choice is None and identifier in workspace.removed:
        place = workspace.removed[identifier].named_at
        click.secho(f"{identifier} is in no guide of this workspace", bold=True)
        click.echo(f"  the shipped library has it, and this workspace takes it away ({place})")
        return
    if choice is None:
        known = [each.article.id for each in prepared.selection.choices]
        close = near_miss(identifier, known)
        raise UsageError(
            f"There is no article '{identifier}'." + (f" Did you mean '{close}'?" if close else "")
        )
    _print_choice(choice, prepared, workspace.articles[identifier])


def explain_articles(prepared: Prepared, workspace: Workspace) -> None:
    """Print every article of the workspace, in this guide or not, each with its reason."""
    for choice in prepared.selection.choices:
        _print_choice(choice, prepared, workspace.articles[choice.article.id])


def _print_choice(choice: Choice, prepared: Prepared, source: ArticleSource) -> None:
    answer = "is in" if choice.chosen else "is not in"
    click.secho(f"{choice.article.id} {answer} the guide of {prepared.plot.reference}", bold=True)
    over = f", instead of {source.instead_of}" if source.instead_of else ""
    click.echo(f"  from {source.layer} ({source.article.file}){over}")
    for line in _lines(choice.reason, prepared, 1):
        click.echo(line)


def _lines(reason: Reason, prepared: Prepared, depth: int) -> Iterator[str]:
    yield f"{'  ' * depth}{'yes' if reason.holds else 'no '}  {reason.says}"
    for path in reason.paths:
        place = prepared.traced.place(*path.split("."))
        yield f"{'  ' * depth}       {path} ({place})"
    for part in reason.parts:
        yield from _lines(part, prepared, depth + 1)
