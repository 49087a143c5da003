"""Plots that moved to another development: their codes stand where they were issued, and follow them.

A register is never changed, so a plot that names ``mill-lane/07`` in ``formerly`` has the codes that the
register of mill-lane holds for its plot 07.
"""

from collections.abc import Iterator
from dataclasses import replace

from builder.errors import Finding, Findings, Place, near_miss
from builder.register.lines import Issued, Register
from builder.register.reading import ReadRegister, read_register
from builder.sources.workspace import DevelopmentSource, PlotSource, Workspace


def register_of(
    workspace: Workspace,
    development: str,
    findings: Findings | None = None,
    read: ReadRegister = read_register,
) -> Register:
    """The register of a development, with the codes of all plots that came to it from others.

    ``findings``: what is wrong in the file of its own; the others tell theirs themselves.
    """
    found = Findings() if findings is None else findings
    return with_moved(workspace, development, read(workspace.folder, development, found), read)


def with_moved(
    workspace: Workspace, development: str, own: Register, read: ReadRegister = read_register
) -> Register:
    """A register that was read, with the codes of all plots that came to its development."""
    came = came_from(workspace.developments.get(development))
    if not came:
        return own
    others = dict.fromkeys(each.partition("/")[0] for each in came)
    lines = [
        each
        for other in others
        for each in _named(other, read(workspace.folder, other, Findings()))
        if each.wanted.plot in came
    ]
    return replace(own, lines=(*lines, *own.lines))


def came_from(development: DevelopmentSource | None) -> frozenset[str]:
    """The plots of other developments that are plots of this one today, by their references there."""
    plots = development.plots.values() if development else ()
    return frozenset(number for plot in plots for number in plot.numbers if "/" in number)


def moved_away(workspace: Workspace, development: str) -> frozenset[str]:
    """The numbers of this development's plots that are plots of others today."""
    own = f"{development}/"
    others = (each for name, each in workspace.developments.items() if name != development)
    return frozenset(
        each.removeprefix(own)
        for other in others
        for each in came_from(other)
        if each.startswith(own)
    )


def ties_of(workspace: Workspace) -> Iterator[frozenset[str]]:
    """Each two developments of which a plot of one is a plot of the other today."""
    for name, development in workspace.developments.items():
        for other in {each.partition("/")[0] for each in came_from(development)}:
            yield frozenset({name, other})


def _named(development: str, register: Register) -> Iterator[Issued]:
    """The lines of a register as another development names them."""
    for each in register.lines:
        yield replace(each, wanted=replace(each.wanted, plot=f"{development}/{each.wanted.plot}"))


def from_nowhere(workspace: Workspace, plot: PlotSource) -> Iterator[Finding]:
    """One finding for each development that a plot says it came from and that is not there."""
    known = [path.name for path in workspace.folder.folders("developments")]
    for number in plot.numbers:
        name = number.partition("/")[0]
        if "/" in number and name not in known:
            close = near_miss(name, known)
            hint = f" Did you mean '{close}/{number.partition('/')[2]}'?" if close else ""
            yield Finding(
                "plots.from-nowhere",
                Place(plot.file),
                f"There is no development '{name}', so that the codes of '{number}' are in no register.",
                f"Put its folder back, with its register: codes stay where they were issued.{hint}",
                path="formerly",
            )
