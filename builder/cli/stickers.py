"""``handover stickers``: codes, printed sheets, single stickers, and codes taken back."""

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import click

from builder.cli.show import findings_as_text
from builder.errors import FindingsError, UsageError
from builder.guide.labels import Label
from builder.preparing import Preparation, prepare
from builder.proof.sheets import ExpectedLabel, proof_of_sheet
from builder.publish.codes import normal, sound
from builder.publish.issuing import check_codes, issue_stickers
from builder.publish.labelling import address_can_be_printed, chosen, labels_of
from builder.publish.register import take_back
from builder.shipped import own_or_shipped

workspace_option = click.option(
    "--workspace",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    default=".",
    help="Folder of the workspace. Default: here.",
)
