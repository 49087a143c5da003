"""Options that several commands take."""

from pathlib import Path

import click

workspace_option = click.option(
    "--workspace",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    default=".",
    help="Folder of the workspace. Default: here.",
)
date_option = click.option(
    "--date",
    "day",
    type=click.DateTime(["%Y-%m-%d"]),
    help="Take this for today, as YYYY-MM-DD.",
)
