"""Tries house types that no plot uses yet, so that their authors hear of mistakes at once."""

from collections.abc import Iterator
from datetime import date

from builder.errors import Finding, Findings, Place
from builder.home.assemble import TracedHome, assemble
from builder.layers.stack import Stacking
from builder.rules.checking import check_home
from builder.sources.entry import Entry
from builder.sources.workspace import PlotSource, Workspace


def unused_house_types(workspace: Workspace, day: date) -> Iterator[Finding]:
    """What is wrong with each house type without plots, as if the first development had one."""
    used = {_named(plot) for plot in workspace.plots.values()}
    development = next(iter(workspace.developments), None)
    for name, entry in workspace.house_types.items():
        if development is not None and name not in used:
            plot = _trial_plot(development, name, entry.place)
            yield from (finding.for_plots() for finding in _tried(plot, workspace, day))


def tried_house_type(workspace: Workspace, name: str, day: date) -> Findings:
    """What is wrong with one house type, as if the first development had a plot of it."""
    findings = Findings()
    home_of_house_type(workspace, name, day, findings)
    return findings


def home_of_house_type(
    workspace: Workspace, name: str, day: date, findings: Findings
) -> TracedHome | None:
    """A house type as the first development would have it, and what is wrong with it. Nothing where
    there is no development, or where its mistakes leave no home."""
    development = next(iter(workspace.developments), None)
    entry = workspace.house_types.get(name)
    if development is None or entry is None:
        return None
    return _home(_trial_plot(development, name, entry.place), workspace, day, findings)


def _named(plot: PlotSource) -> object:
    cell = plot.row.children["plot"].children.get("house_type")
    return cell.value if cell else None


def _tried(plot: PlotSource, workspace: Workspace, day: date) -> Findings:
    findings = Findings()
    _home(plot, workspace, day, findings)
    return findings


def _home(
    plot: PlotSource, workspace: Workspace, day: date, findings: Findings
) -> TracedHome | None:
    stacking = Stacking(workspace, findings)
    stack = stacking.stack(plot)
    traced = assemble(plot.reference, stacking.merge(stack), findings) if stack else None
    if traced is not None:
        findings.extend(check_home(traced, day).findings)
    return traced


def _trial_plot(development: str, house_type: str, place: Place) -> PlotSource:
    cells = {
        "number": "trial",
        "address": "Trial",
        "postcode": "ZZ99 9ZZ",
        "house_type": house_type,
        "hand": "as-drawn",
    }
    row = {name: Entry(value, place, place) for name, value in cells.items()}
    return PlotSource(
        development, "trial", Entry({"plot": Entry(row, place, place)}, place), "", None
    )
