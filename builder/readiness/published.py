"""What stands between a plot and its publishing: every mistake that concerns it.

These are read from findings alone, so that they are known where no home could be made.
"""

from collections.abc import Iterable, Iterator

from builder.errors import Finding
from builder.layers.stack import files_of
from builder.model.handover import OwedBy
from builder.preparing import OF_SOME_PLOTS
from builder.readiness.need import HAND_IN, Lack
from builder.sources.workspace import PlotSource, Workspace

DATA_WITHOUT_MISTAKES = "published.no-mistakes"
SAYS = "'handover check' finds no error."
BASIS = "house rule: a plot with a mistake is left as it was"


def errors_of(
    plot: PlotSource, workspace: Workspace, findings: Iterable[Finding]
) -> tuple[Finding, ...]:
    """The errors that keep a plot from being published: those that name it, or that it stands on.

    A mistake in an article, or in a file that is nobody's, concerns every plot.
    """
    own = files_of(workspace, plot)
    return tuple(each for each in findings if _concerns(each, plot, own))


def _concerns(finding: Finding, plot: PlotSource, own: frozenset[str]) -> bool:
    if finding.plots:
        return plot.reference in finding.plots
    return finding.place.file in own or not finding.place.file.startswith(OF_SOME_PLOTS)


def mistakes(errors: Iterable[Finding]) -> Iterator[Lack]:
    """Each error as something that is owed: what is wrong, and where."""
    for finding in errors:
        yield Lack(
            f"{finding.wrong} {finding.right}",
            file=str(finding.place),
            owed_by=_owed_by(finding),
            basis=finding.basis,
        )


def _owed_by(finding: Finding) -> OwedBy:
    """Sales keep the table of plots, the site its record; all else is technical."""
    if finding.place.file.endswith("/plots.csv"):
        return "sales"
    in_record = finding.path == HAND_IN or finding.path.startswith(f"{HAND_IN}.")
    return "site" if in_record else "technical"
