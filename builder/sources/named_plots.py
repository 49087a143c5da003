"""The plots of a workspace that a command line names."""

from collections.abc import Iterable

from builder.errors import UsageError, near_miss, suggestion
from builder.sources.workspace import PlotSource, Workspace


def chosen_plots(workspace: Workspace, references: Iterable[str]) -> tuple[str, ...]:
    """The plots that a command line names: plots, or whole developments. None named: all."""
    named = tuple(references)
    if not named:
        return tuple(workspace.plots)
    chosen: dict[str, None] = {}
    for reference in named:
        chosen.update(dict.fromkeys(_plots_named(workspace, reference.strip("/"))))
    return tuple(chosen)


def plot_of(workspace: Workspace, reference: str) -> PlotSource | None:
    """The plot that has a reference, or had it."""
    named = (each for each in workspace.plots.values() if reference in each.references)
    return workspace.plots.get(reference) or next(named, None)


def today_of(workspace: Workspace, reference: str) -> str:
    """The reference of today of the plot that had one; the same where no plot had it."""
    plot = plot_of(workspace, reference)
    return reference if plot is None else plot.reference


def _plots_named(workspace: Workspace, reference: str) -> list[str]:
    if reference in workspace.plots:
        return [reference]
    if reference in workspace.developments:
        return [plot.reference for plot in workspace.developments[reference].plots.values()]
    development = workspace.developments.get(reference.partition("/")[0])
    if development is not None:
        plots = [plot.reference for plot in development.plots.values()]
        raise UsageError(f"There is no plot '{reference}'. {suggestion(reference, plots, 'Plots there are')}")  # fmt: skip
    close = near_miss(reference, [*workspace.plots, *workspace.developments])
    hint = f" Did you mean '{close}'?" if close else " A plot is named <development>/<plot>."
    raise UsageError(f"There is no plot '{reference}'.{hint}")
