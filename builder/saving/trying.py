"""What a save would do, before anybody saves: what ``handover check`` would say, and what pages change.

The workspace is read with the new texts in place of the files'; nothing is written. Homes that differ in
values alone stand for each other, so that a house type of a thousand plots is tried on a few.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from builder.errors import Finding, Findings
from builder.guide.pages import ChangedPage, Guide, Page
from builder.layers.stack import files_of
from builder.preparing import Preparation, prepare_read
from builder.saving.placing import Contents
from builder.sources.entry import plain
from builder.sources.kept_files import KeptFiles
from builder.sources.workspace import PlotSource, Workspace, read_workspace, with_other_files


@dataclass(frozen=True, slots=True)
class PlotChange:
    """What would change of a plot: its pages, and whether it could be published before and after.

    ``alike``: further plots that differ from it in values alone, for which the same holds. ``guide``: as it
    would be, nothing where its data would make no home.
    """

    plot: str
    pages: tuple[ChangedPage, ...]
    published_now: bool
    published_then: bool
    guide: Guide | None
    alike: tuple[str, ...] = ()

    @property
    def plots(self) -> tuple[str, ...]:
        return (self.plot, *self.alike)


@dataclass(frozen=True, slots=True)
class Tried:
    """What a save would do. ``findings``: all that a check would say of the homes concerned and of the
    files that all share; ``new`` and ``mended``: what it says only then, and only now."""

    findings: tuple[Finding, ...]
    new: tuple[Finding, ...]
    mended: tuple[Finding, ...]
    plots: tuple[PlotChange, ...]
    then: Preparation

    @property
    def changing(self) -> tuple[PlotChange, ...]:
        """The plots of which a page would change, or that could be published only before or after."""
        return tuple(
            each for each in self.plots if each.pages or each.published_now != each.published_then
        )

    def at(self, file: str, path: str) -> tuple[Finding, ...]:
        """What is said of a value and all that is in it, by its file and dotted path: for its field."""
        return tuple(
            each
            for each in self.findings
            if each.place.file == file and (each.path == path or each.path.startswith((f"{path}.", f"{path}[")))
        )  # fmt: skip


def tried(
    root: Path,
    becomes: Contents,
    day: date,
    only: Iterable[str] = (),
    most: int = 0,
    kept: KeptFiles | None = None,
) -> Tried:
    """What files would do if they said this. ``only``: at most these plots are looked at; ``most``: at
    most so many that differ, none for all. ``kept``: what
    an earlier reading of the workspace made of its files."""
    kept = kept or KeptFiles()
    now_found, then_found = Findings(), Findings()
    now = read_workspace(root, now_found, None, kept)
    then = with_other_files(root, becomes, then_found, kept)
    named = concerned(now, becomes) | concerned(then, becomes)
    wanted = set(only)
    asked = [each for each in {**now.plots, **then.plots} if each in named and (not wanted or each in wanted)]  # fmt: skip
    groups = list(_groups(now, then, asked))[: most or None]
    before, after = (
        _prepared(workspace, found, [group[0] for group in groups], day)
        for workspace, found in ((now, now_found), (then, then_found))
    )
    old, new = (list(each.findings) for each in (before, after))
    return Tried(
        tuple(new),
        only_in(new, old),
        only_in(old, new),
        tuple(_change(group, before, after) for group in groups),
        after,
    )


def _prepared(workspace: Workspace, found: Findings, plots: list[str], day: date) -> Preparation:
    there = [each for each in plots if each in workspace.plots]
    return prepare_read(workspace, found, there, day, every=bool(there))


def concerned(workspace: Workspace, names: Iterable[str]) -> set[str]:
    """The plots whose homes or guides are made from any of these files."""
    changed = set(names)
    if any(not each.startswith(("housetypes/", "developments/")) for each in changed):
        return set(workspace.plots)
    return {name for name, plot in workspace.plots.items() if files_of(workspace, plot) & changed or _may_show(changed, plot)}  # fmt: skip


def _may_show(changed: set[str], plot: PlotSource) -> bool:
    """Whether a changed photograph may be of this plot: pictures of its development, or of all."""
    mine = (f"developments/{plot.development}/", "housetypes/")
    return any(each.startswith(mine) and "/photos/" in each for each in changed)


def _groups(now: Workspace, then: Workspace, asked: Iterable[str]) -> Iterator[list[str]]:
    """Plots that are made of the same layers with the same cells filled, now and then."""
    groups: dict[object, list[str]] = {}
    for reference in asked:
        key = tuple(_likeness(workspace, reference) for workspace in (now, then))
        groups.setdefault(key, []).append(reference)
    yield from groups.values()


def _likeness(workspace: Workspace, reference: str) -> object:
    plot = workspace.plots.get(reference)
    if plot is None:
        return None
    cells = plot.row.children["plot"].children
    filled = tuple(name for name, cell in cells.items() if plain(cell) not in (None, "", []))
    named = tuple(repr(plain(cells[name])) for name in ("house_type", "options", "hand", "front_faces") if name in cells)  # fmt: skip
    own = plot.own.children if plot.own else {}
    alone = plot.lost or any(own.get(each) and own[each].children for each in ("departures", "handover"))  # fmt: skip
    return plot.development, filled, named, tuple(own), reference if alone else ""


def _change(group: list[str], before: Preparation, after: Preparation) -> PlotChange:
    first = group[0]
    old, new = before.homes.get(first), after.homes.get(first)
    pages = pages_changed(old.guide if old else None, new.guide if new else None)
    return PlotChange(
        first, pages, first in before.plots, first in after.plots,
        new.guide if new else None, tuple(group[1:]),
    )  # fmt: skip


def only_in(these: Iterable[Finding], others: Iterable[Finding]) -> tuple[Finding, ...]:
    """What is found here and is not found there, wherever its line has moved to; the gravest first."""
    known = {_what_it_says(each) for each in others}
    found = [each for each in these if _what_it_says(each) not in known]
    return tuple(sorted(found, key=lambda each: (-each.severity, each.place)))


def _what_it_says(finding: Finding) -> tuple[object, ...]:
    return finding.code, finding.place.file, finding.path, finding.wrong, finding.severity


def pages_changed(now: Guide | None, then: Guide | None) -> tuple[ChangedPage, ...]:
    """The pages that would differ, in their order. Of a guide that cannot be made nothing changes: what
    is published stays."""
    if now is None or then is None:
        return ()
    before: Mapping[str, Page] = {page.id: page for page in now.pages}
    after = {page.id: page for page in then.pages}
    found = [
        ChangedPage(page.id, page.title, "changed" if page.id in before else "new")
        for page in after.values()
        if page != before.get(page.id)
    ]
    gone = [ChangedPage(each.id, each.title, "gone") for each in before.values() if each.id not in after]  # fmt: skip
    return (*found, *gone)
