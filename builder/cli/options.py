"""Options that several commands take."""

from datetime import date, datetime
from pathlib import Path

import click


def _workspace_with_whole_saves(
    context: click.Context, parameter: click.Parameter, root: Path
) -> Path:
    """A workspace in which no save is half done: one that a killed desk began is finished first."""
    del context, parameter
    if (root / ".handover/saves/pending.json").exists():
        from builder.saving.saves import Saves  # noqa: PLC0415 - hardly ever needed, and takes long to load

        Saves(root).recover()
    return root


workspace_option = click.option(
    "--workspace",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    default=".",
    callback=_workspace_with_whole_saves,
    help="Folder of the workspace. Default: here.",
)
format_option = click.option(
    "--format",
    "form",
    type=click.Choice(["text", "json"]),
    default="text",
    help="How findings are printed.",
)
listing_option = click.option(
    "--format",
    "form",
    type=click.Choice(["table", "csv", "json"]),
    default="table",
    show_default=True,
    help="A table, a file for a spreadsheet, or JSON.",
)
date_option = click.option(
    "--date",
    "day",
    type=click.DateTime(["%Y-%m-%d"]),
    help="Take this for today, as YYYY-MM-DD.",
)

own_code_option = click.option(
    "--own-code",
    is_flag=True,
    help="Run the code that mkdocs.yml and the theme of this workspace bring along: hooks, plugins, "
    "extensions, templates without a sandbox. Only if you trust whoever wrote them.",
)


def today(day: datetime | None) -> date:
    """The day that was asked for, or else that of the clock: nothing below the commands reads one."""
    return day.date() if day else date.today()
