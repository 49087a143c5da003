"""The one plot that a command is about."""

import sys

from builder.cli.show import findings_as_text
from builder.errors import UsageError, counted
from builder.preparing import Preparation, Prepared


def the_plot(preparation: Preparation, plot: str, *, sound: bool = True) -> Prepared:
    """The one plot asked for; its findings and exit code 1 where its mistakes stand in the way."""
    if len(preparation.asked) != 1:
        raise UsageError(
            f"'{plot}' is {counted(len(preparation.asked), 'plot')}; name one, as <development>/<plot>."
        )
    plots = preparation.plots if sound else preparation.homes
    prepared = plots.get(preparation.asked[0])
    if prepared is None:
        findings_as_text(preparation.findings)
        sys.exit(1)
    return prepared
