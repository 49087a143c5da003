"""Tries house types that no plot uses yet, so that their authors hear of mistakes at once."""

from collections.abc import Iterator
from datetime import date

from builder.errors import Finding, Findings, Place
from builder.home.assemble import TracedHome, assemble
from builder.home.mending import guesses
from builder.layers.stack import Stack, Stacking
from builder.rules.checking import check_home
from builder.rules.despite import Despite
from builder.selection.papers import CHECKED_RULES
from builder.sources.entry import Entry
from builder.sources.workspace import PlotSource, Workspace


def unused_house_types(workspace: Workspace, day: date) -> Iterator[Finding]:
    """What is wrong with each house type without plots, whichever development will have one."""
    used = {_house_type_of(plot) for plot in workspace.plots.values()}
    for name in workspace.house_types:
        if name not in used:
            yield from (finding.for_plots() for finding in tried_house_type(workspace, name, day))


def tried_house_type(
    workspace: Workspace, name: str, day: date, stacking: Stacking | None = None
) -> Findings:
    """What is wrong with one house type, whichever development had a plot of it: what a development
    lacks, or says of its own homes, is no mistake of a house type that may be for another.

    ``stacking``: of all plots of the workspace, so that what they share is worked out once.
    """
    stacking = stacking or Stacking(workspace, Findings())
    told: tuple[Finding, ...] | None = None
    for development in workspace.developments:
        findings = Findings()
        _home(development, stacking, name, day, findings)
        found = [each for each in findings if not each.place.file.startswith(_DEVELOPMENTS)]
        here = {_identity_of(each) for each in found}
        told = tuple(
            each for each in (found if told is None else told) if _identity_of(each) in here
        )
        if not told:  # Nothing is left that further developments could tell too.
            break
    everywhere = Findings()
    everywhere.extend(told or ())
    return everywhere


_DEVELOPMENTS = "developments/"


def _identity_of(finding: Finding) -> tuple[object, ...]:
    """What makes two findings the same mistake, whatever is suggested for it."""
    return finding.code, finding.place, finding.path, finding.wrong


def home_of_house_type(
    workspace: Workspace, name: str, day: date, findings: Findings, stacking: Stacking | None = None
) -> TracedHome | None:
    """A house type as the first development would have it, as it may have been meant where that has
    mistakes, and what is wrong with it. Nothing where there is no development, or too little is left."""
    stacking = stacking or Stacking(workspace, Findings())
    findings.extend(tried_house_type(workspace, name, day, stacking))
    development = next(iter(workspace.developments), None)
    if development is None:
        return None
    return _home(development, stacking, name, day, Findings()) or _as_meant(
        development, stacking, name
    )


def _house_type_of(plot: PlotSource) -> object:
    cell = plot.row.children["plot"].children.get("house_type")
    return cell.value if cell else None


def _home(
    development: str, stacking: Stacking, name: str, day: date, findings: Findings
) -> TracedHome | None:
    """The home, or nothing where its layers make none; what is wrong with it goes to ``findings``."""
    stack = _stack(development, stacking, name, findings)
    if stack is None:
        return None
    merged = stacking.merge(stack)
    traced = assemble(stack.plot.reference, merged, findings)
    if traced is None:
        findings.extend(Despite(day).found(stack, merged, frozenset()))
    else:
        findings.extend(check_home(traced, day, CHECKED_RULES).findings)
    return traced


def _as_meant(development: str, stacking: Stacking, name: str) -> TracedHome | None:
    """The home as it may have been meant, where its layers make none."""
    stack = _stack(development, stacking, name, Findings())
    if stack is None:
        return None
    guessed = guesses(stack.plot.reference, stacking.merge(stack), frozenset())
    return guessed.least if guessed else None


def _stack(development: str, stacking: Stacking, name: str, findings: Findings) -> Stack | None:
    entry = stacking.workspace.house_types.get(name)
    stacking.findings = findings
    return stacking.stack(_trial_plot(development, name, entry.place)) if entry else None


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
