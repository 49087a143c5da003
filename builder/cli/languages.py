"""``handover languages``: how far each language is, and the texts that translators still have to say."""

from pathlib import Path

import click

from builder.cli.columns import columns
from builder.cli.options import workspace_option
from builder.disk import save
from builder.errors import UsageError, counted
from builder.languages.writing import new_catalogue, with_texts
from builder.questions.homes import Homes, read_homes
from builder.questions.languages import languages_kept, texts_to_say
from builder.sources.languages import FOLDER

_HEADINGS = ("language", "", "plots", "texts", "lacking", "texts shown", "not shown")


@click.command()
@click.argument("code", required=False)
@workspace_option
def languages(code: str | None, workspace: Path) -> None:
    """List the languages of guides beside the first; with CODE, write what translators need.

    \b
      handover languages
      handover languages cy

    The second writes content/languages/cy/homes.po: every text of the homes whose guides are in that
    language, such as rooms, kinds and places. What is translated already stays.
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
    path = workspace / FOLDER / code / "homes.po"
    text = path.read_text(encoding="utf-8") if path.is_file() else new_catalogue(code)
    path.parent.mkdir(parents=True, exist_ok=True)
    save(path, with_texts(text, code, texts))
    click.echo(f"{path.relative_to(workspace)}: {counted(len(texts), 'text')}.")
