"""The homes of a workspace to be asked about: read, merged and typed, with nothing composed.

``prepare`` checks every home and composes its guide; a question needs neither, and a thousand
homes are asked in the time that it takes to read them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from builder.errors import Findings
from builder.home.assemble import TracedHome, assemble
from builder.layers.stack import Stack, Stacking
from builder.selection.choosing import Selection, choose
from builder.sources.demonstration import DemonstrationSource, shipped_demonstration
from builder.sources.named_plots import chosen_plots
from builder.sources.workspace import PlotSource, Workspace, read_workspace


@dataclass(frozen=True, slots=True)
class ReadHome:
    """One plot, its layers, its home, and the articles that it gets."""

    plot: PlotSource
    stack: Stack
    traced: TracedHome
    selection: Selection


@dataclass(frozen=True, slots=True)
class Homes:
    """The plots asked for, and the homes of those whose data makes one."""

    workspace: Workspace
    asked: tuple[str, ...]
    homes: Mapping[str, ReadHome]

    @property
    def demonstration(self) -> tuple[DemonstrationSource, ...]:
        """The words for demonstrations, the workspace's own before those that ship."""
        ships = shipped_demonstration(self.workspace.folder.root)
        return (*self.workspace.demonstration.sources, *ships.sources)

    @property
    def unread(self) -> tuple[str, ...]:
        """The plots whose data makes no home: nothing can be said of them."""
        return tuple(each for each in self.asked if each not in self.homes)


def read_homes(root: Path, references: Iterable[str]) -> Homes:
    """The homes of the plots or developments named; none named: all. A home with mistakes counts."""
    findings = Findings()
    workspace = read_workspace(root, findings)
    asked = chosen_plots(workspace, references)
    stacking = Stacking(workspace, findings)
    homes = {
        reference: home
        for reference in asked
        if (home := _home(workspace.plots[reference], workspace, stacking, findings)) is not None
    }
    return Homes(workspace, asked, homes)


def _home(
    plot: PlotSource, workspace: Workspace, stacking: Stacking, findings: Findings
) -> ReadHome | None:
    stack = stacking.stack(plot)
    traced = assemble(plot.reference, stacking.merge(stack), findings) if stack else None
    if stack is None or traced is None:
        return None
    articles = (source.article for source in workspace.articles.values())
    return ReadHome(plot, stack, traced, choose(articles, traced.home, traced.kept))
