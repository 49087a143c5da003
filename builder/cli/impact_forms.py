"""How what a change reaches looks as a table, as JSON and in a spreadsheet."""

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from builder.errors import counted, in_short
from builder.questions.files import SAYS
from builder.questions.impact import Impact, PageReached, PlotReached
from builder.questions.trying import MOVED_THERE
from builder.tables import for_a_spreadsheet

COLUMNS = ("file", "line", "plot", "address", "what", "id", "path", "title", "by")
_FEW = 6
"""Plots that a row of the table names before it counts the rest."""


@dataclass(frozen=True, slots=True)
class ImpactAnswer:
    """The answer for one file, and how many plots were asked in all."""

    impact: Impact
    asked: int


def as_table(told: Sequence[ImpactAnswer]) -> str:
    """For each file: one row a page with its plots, the stickers, and a line that sums it up."""
    return "\n".join("\n".join(_lines(each)) + "\n" for each in told)


def _lines(told: ImpactAnswer) -> Iterator[str]:
    impact = told.impact
    yield f"{impact.reading.target}: {SAYS[impact.reading.use]}"
    rows = [("page", "title", "when something is", "plots"), *_rows(impact.near)]
    if len(rows) > 1:
        widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
        for row in rows:
            yield "  ".join(
                cell.ljust(width) for cell, width in zip(row, widths, strict=True)
            ).rstrip()
    yield from _besides(impact)
    yield summary(told)


def _rows(plots: Iterable[PlotReached]) -> Iterator[tuple[str, str, str, str]]:
    """Each page with the plots in which the same changes reach it, in the order of the guide."""
    where: dict[tuple[str, str], dict[str, list[str]]] = {}
    for plot in plots:
        for path, title, sorts in _things_near(plot):
            named = where.setdefault((path, title), {}).setdefault(", ".join(sorts), [])
            named.append(plot.plot)
    for (path, title), by in where.items():
        for said, names in by.items():
            yield path, title, said, _plots_in_short(names)


def _things_near(plot: PlotReached) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    for page in plot.pages:
        if page.near:
            yield _path(page), page.title, page.sorts
    for each in plot.stickers:
        yield "behind a sticker", each.title, each.sorts


def _besides(impact: Impact) -> Iterator[str]:
    """What changes elsewhere: the menu, where something is moved to, who else gets an article."""
    near = impact.near
    menus = [plot for plot in near if plot.menu]
    if menus:
        sorts = ", ".join(dict.fromkeys(sort for plot in menus for sort in plot.menu))
        names = _plots_in_short([plot.plot for plot in menus])
        yield f"The menu on every page can change too when something is {sorts}: {names}."
    if any(MOVED_THERE in page.sorts for plot in near for page in plot.pages):
        yield "What comes to another room, kind or system changes the pages that it comes to, too."
    given = [plot.plot for plot in impact.reaching if plot not in near]
    if given:
        yield f"With other conditions ('when', 'equipment') it can come to more plots: {_plots_in_short(given)}."


def summary(told: ImpactAnswer) -> str:
    """One line: how many pages and stickers, in how many plots."""
    near = told.impact.near
    if not near:
        return f"No page and no sticker page of a plot changes.{_plots_made_with_it(told.impact)}"
    layouts = {page.id: page.layout for plot in near for page in plot.pages if page.near}
    things = [
        counted(count, f"{layout.replace('-', ' ')} page")
        for layout, count in Counter(layouts.values()).items()
    ]
    stickers = sum(len(plot.stickers) for plot in near)
    if stickers:
        things.append(f"{counted(stickers, 'page')} behind stickers")
    return f"{_and(things) or 'The menu'} in {len(near)} of {counted(told.asked, 'plot')}."


def _plots_made_with_it(impact: Impact) -> str:
    reads = len(impact.reading.plots)
    return (
        f" {counted(reads, 'plot')} {'is' if reads == 1 else 'are'} made with it." if reads else ""
    )


def _and(things: Sequence[str]) -> str:
    *first, last = things or [""]
    return f"{', '.join(first)} and {last}" if first else last


def _path(page: PageReached) -> str:
    return f"{page.path}/" if page.path else "(first page)"


def _plots_in_short(plots: Sequence[str]) -> str:
    names = list(dict.fromkeys(plots))
    return f"{len(names)}: {in_short(names, _FEW)}"


def as_csv(told: Iterable[ImpactAnswer]) -> str:
    """One row a page, sticker page or menu of a plot; the first row names the columns."""
    return for_a_spreadsheet([COLUMNS, *_cells(told)])


def _cells(told: Iterable[ImpactAnswer]) -> Iterator[tuple[str, ...]]:
    for each in told:
        target = each.impact.reading.target
        for plot in each.impact.plots:
            for what in _things(plot):
                yield target.file, str(target.line or ""), plot.plot, plot.address, *what


def _things(plot: PlotReached) -> Iterator[tuple[str, ...]]:
    for page in plot.pages:
        yield "page", page.id, page.path, page.title, ", ".join(page.sorts)
    for sticker in plot.stickers:
        yield "sticker page", sticker.code, "", sticker.title, ", ".join(sticker.sorts)
    if plot.menu:
        yield "menu", "", "", "", ", ".join(plot.menu)


def as_json(told: Iterable[ImpactAnswer]) -> str:
    """Every file with what it is, the plots made from it, and what of each is reached."""
    return json.dumps([_impact_as_data(each) for each in told], indent=2, ensure_ascii=False) + "\n"


def _impact_as_data(told: ImpactAnswer) -> dict[str, Any]:
    reading = told.impact.reading
    return {
        "file": reading.target.file,
        "line": reading.target.line,
        "use": reading.use,
        "read_by": list(reading.plots),
        "plots_asked": told.asked,
        "plots": [_plot(each) for each in told.impact.reaching],
        "summary": summary(told),
    }


def _plot(plot: PlotReached) -> dict[str, Any]:
    return {
        "plot": plot.plot,
        "address": plot.address,
        "pages_in_all": plot.of_pages,
        "pages": [
            {"id": each.id, "path": each.path, "title": each.title, "by": list(each.sorts)}
            for each in plot.pages
        ],
        "stickers": [
            {"code": each.code, "title": each.title, "by": list(each.sorts)}
            for each in plot.stickers
        ],
        "menu": list(plot.menu),
    }
