"""Keeps the team's page of all plots among the records."""

from pathlib import Path

from builder.build.manifest import Records, write_private
from builder.errors import HandoverError
from builder.shipped import layered
from builder.writers.portfolio.page import FOLDER, Portfolio, page_of

PAGE = "portfolio.html"


def write_portfolio(portfolio: Portfolio, root: Path, records: Records) -> None:
    """Keep the team's page among the records, which are never published."""
    place = records.folder / PAGE
    text = page_of(portfolio, layered(root, FOLDER))
    try:
        write_private(place, text)
    except OSError as error:
        raise HandoverError(f"'{place}' cannot be written: {error.strerror}.") from error
