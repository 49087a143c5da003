"""``handover languages``: how far each language is, and the texts that translators still have to say."""

from collections.abc import Iterable, Iterator
from pathlib import Path

import click

from builder.cli.options import workspace_option
from builder.cli.show import columns
from builder.disk import save_inside
from builder.errors import UsageError, counted
from builder.languages.catalogue import new_catalogue, read_catalogue, with_texts
from builder.questions.homes import Homes, read_homes
from builder.questions.languages import languages_kept, texts_to_say
from builder.sources.languages import FOLDER, HOMES
from builder.sources.translations import Said

_HEADINGS = ("language", "", "plots", "texts", "lacking", "texts shown", "not shown")

_STATES = {
    "unread": "Read by nobody yet",
    "stale": "Made from what the first language said before",
    "incomplete": "Lacking texts",
}
"""Why a text is not shown, as ``Said.state`` names it."""


@click.command()
@click.argument("code", required=False)
@workspace_option
def languages(code: str | None, workspace: Path) -> None:
    """List the languages of guides beside the first; with CODE, write what translators need.

    \b
      handover languages
      handover languages cy

    The second writes content/languages/cy/homes.po: every text of the homes whose guides are in that
    language, such as rooms, kinds and places, and what is said at a demonstration. What is translated stays.
    It tells which articles and symptoms are not shown yet, and why.
    """  # fmt: skip
    homes = read_homes(workspace, ())
    if code is None:
        rows = [
            (
                each.code,
                each.name,
                len(each.plots),
                each.said,
                each.lacking,
                each.shown,
                each.not_shown,
            )
            for each in languages_kept(homes)
        ]
        for line in columns(_HEADINGS, rows):
            click.echo(line)
        return
    _write(homes, code, workspace)


def _write(homes: Homes, code: str, workspace: Path) -> None:
    texts = texts_to_say(homes, code)
    if not texts:
        raise UsageError(f"No plot names '{code}'. Write 'languages: [{code}]' in a development.")
    file = f"{FOLDER}/{code}/{HOMES}"
    path = workspace / file
    text = _whole_catalogue(path, file, code) if path.is_file() else new_catalogue(code)
    save_inside(workspace, path, with_texts(text, code, texts))
    click.echo(f"{file}: {counted(len(texts), 'text')}.")
    source = homes.workspace.languages.get(code)
    for line in _not_shown(source.said if source else ()):
        click.echo(line)


def _not_shown(said: Iterable[Said]) -> Iterator[str]:
    """The articles and symptoms that guides do not show in a language, by why not."""
    by_state = {state: [each.of for each in said if each.state == state] for state in _STATES}
    for state, names in by_state.items():
        if names:
            yield f"{_STATES[state]}: {', '.join(names)}."


def _whole_catalogue(path: Path, file: str, code: str) -> str:
    """A catalogue that can be read whole: of any other, something would be lost."""
    try:
        text = path.read_bytes().decode("utf-8")
    except UnicodeDecodeError as error:
        raise UsageError(f"'{file}' is not in UTF-8, so nothing was written.") from error
    catalogue, found = read_catalogue(text, file, code)
    if catalogue is None:
        raise UsageError(f"Nothing was written, so that nothing is lost.\n{found[0]}")
    return text
