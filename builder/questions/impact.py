"""What a change of a file reaches: which pages and stickers of which plots, and by what change.

Nobody knows yet what the change will be. So the changes that the file could see are tried out on
the data in memory, in large batches, and the guide is composed again after each: a page that comes
out otherwise is reached. Plots that differ in values alone stand for each other.
"""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from builder.guide.prose import Renderer
from builder.guide.sticker_pages import StickerRecord
from builder.preparing import library_of
from builder.questions.files import Reading, layouts_of, photographs, reading_of, with_lines
from builder.questions.homes import Homes, ReadHome
from builder.questions.owned import OwnedTarget
from builder.questions.showing import ImpactReach, PagesShowing, ShownValue, WritePage
from builder.questions.trying import GIVEN, MOVED_THERE, Reaches, Trying, some
from builder.sources.entry import plain

ANOTHER = "given another house type or option"
"""The sort of change that makes another home of a plot."""


_REMOTE = (GIVEN, MOVED_THERE)


@dataclass(frozen=True, slots=True)
class PageReached:
    """One page of one plot, and the sorts of change that reach it."""

    id: str
    path: str
    title: str
    layout: str
    sorts: tuple[str, ...]

    @property
    def near(self) -> bool:
        """Whether a change reaches it while things stay where they are, and articles whose they are."""
        return any(sort not in _REMOTE for sort in self.sorts)


@dataclass(frozen=True, slots=True)
class StickerReached:
    """One page behind a sticker, and the sorts of change that reach it."""

    code: str
    title: str
    sorts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlotReached:
    """What is reached of one plot, of how many pages it has, and whether its menu changes too."""

    plot: str
    address: str
    pages: tuple[PageReached, ...]
    of_pages: int
    stickers: tuple[StickerReached, ...]
    menu: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Impact:
    """What a change of a file, or of one line of it, reaches.

    ``reads``: the plots that are made from it, whether or not a page shows it.
    """

    reading: Reading
    plots: tuple[PlotReached, ...]

    @property
    def reaching(self) -> tuple[PlotReached, ...]:
        """The plots of which a page, a sticker or the menu is reached."""
        return tuple(each for each in self.plots if each.pages or each.stickers or each.menu)

    @property
    def near(self) -> tuple[PlotReached, ...]:
        """Those of them that are reached while an article's conditions stay as they are."""
        return tuple(
            each
            for each in self.reaching
            if each.stickers or any(page.near for page in each.pages) or set(each.menu) - {GIVEN}
        )


def impact_of(
    homes: Homes,
    target: OwnedTarget,
    write: WritePage,
    stickers: Mapping[str, tuple[StickerRecord, ...]],
    done: Callable[[str], None] = lambda _: None,
) -> Impact:
    """What a change of a file reaches in these homes. ``stickers``: those issued, by plot.

    ``done`` hears of each plot that is dealt with.
    """
    articles = {name: source.article for name, source in homes.workspace.articles.items()}
    trying = Trying(
        homes.workspace,
        articles,
        PagesShowing(write, stickers, Renderer(), library_of(homes.workspace)),
    )
    reading = reading_of(homes, with_lines(target, homes.workspace))
    reached = []
    for group in _groups_alike(homes, reading):
        for plot in _reached_in_group(group, reading, trying):
            reached.append(plot)
            done(plot.plot)
    order = {name: index for index, name in enumerate(homes.asked)}
    return Impact(reading, tuple(sorted(reached, key=lambda each: order[each.plot])))


def _groups_alike(homes: Homes, reading: Reading) -> list[list[ReadHome]]:
    """The plots that read the file, in groups that differ in values alone.

    Plots with departures, and the stickers of each, are their own.
    """
    groups: dict[tuple[object, ...], list[ReadHome]] = {}
    for name in reading.plots:
        home = homes.homes.get(name)
        if home is not None:
            groups.setdefault(_likeness(home, reading), []).append(home)
    return list(groups.values())


def _likeness(home: ReadHome, reading: Reading) -> tuple[object, ...]:
    cells = home.plot.row.children["plot"].children
    filled = tuple(name for name, cell in cells.items() if plain(cell) not in (None, "", []))
    shared = tuple(each.name for each in home.stack.shared)
    own = [each.name for each in home.stack.own if each.name not in ("plots.csv", "serials")]
    alone = bool(own) or (reading.target.line is not None and _is_table(reading.target))
    name = home.plot.reference if alone else ""
    if reading.use != "layer":
        return shared, name
    return shared, name, filled, home.traced.home.plot.hand


def _reached_in_group(
    group: Sequence[ReadHome], reading: Reading, trying: Trying
) -> Iterator[PlotReached]:
    """The first plot of a group is tried, with the stickers of all of them; it tells of the others."""
    first, issued = group[0], trying.showing.stickers
    records = tuple(each for home in group for each in issued.get(home.plot.reference, ()))
    showing = replace(trying.showing, stickers={first.plot.reference: records})
    trying = replace(trying, showing=showing)
    now = trying.now(first)
    reaches = _reaches(first, reading, trying, now)
    for home in group:
        codes = {each.code for each in issued.get(home.plot.reference, ())}
        yield _plot_reached(home, now, reaches, codes)


def _reaches(home: ReadHome, reading: Reading, trying: Trying, now: ShownValue) -> Reaches:
    """By what the file is: tried out, or plain from the pages as they are."""
    file, root = reading.target.file, trying.workspace.folder.root
    if reading.use == "layer":
        return _reaches_of_layer(home, reading, trying, now)
    if reading.use == "article":
        article = next(each for each in trying.articles.values() if each.file == file)
        return trying.article(home, article, now)
    if reading.use == "library":
        return trying.library(home, now)
    if reading.use == "page template":
        return some({"changed": now.of_layouts(layouts_of(root, file))})
    return _dressed(home, reading, now)


def _dressed(home: ReadHome, reading: Reading, now: ShownValue) -> Reaches:
    """What is shown through a file, or in it, and is not made from what it says."""
    if reading.use == "photograph":
        return some({"changed": ImpactReach(frozenset(_showing(home, reading.target.file, now)))})
    if reading.use == "site":
        return {"changed": ImpactReach(frozenset(now.pages), frozenset(), menu=True)}
    if reading.use == "walk":
        return some({"changed": now.of_layouts(("round", "stop"))})
    if reading.use == "sticker page":
        return {"changed": ImpactReach(frozenset(), frozenset(now.stickers))}
    return {}


def _reaches_of_layer(home: ReadHome, reading: Reading, trying: Trying, now: ShownValue) -> Reaches:
    reaches = trying.layers(home, reading.target, now)
    cells = home.plot.row.children["plot"].children.values()
    if _is_table(reading.target) and any(
        reading.target.wrote(each.place, each.named_at) for each in cells
    ):
        return {**reaches, ANOTHER: now.whole}
    return reaches


def _is_table(target: OwnedTarget) -> bool:
    return target.file.endswith("/plots.csv")


def _showing(home: ReadHome, file: str, now: ShownValue) -> Iterator[str]:
    """The pages that show a photograph; all of them, where it is the builder's logo."""
    look = now.guide.look
    if look and look.logo and look.logo.file == file:
        yield from now.pages
        return
    names = {photo.name for photo in now.guide.photographs if photo.file == file}
    for page in now.pages:
        text = now.text(page) or ""
        if file in photographs(home.traced.home) and any(
            f'photos/small/{name}"' in text for name in names
        ):
            yield page


def _plot_reached(
    home: ReadHome, now: ShownValue, reaches: Reaches, codes: Collection[str]
) -> PlotReached:
    return PlotReached(
        plot=home.plot.reference,
        address=home.traced.home.plot.address,
        pages=tuple(
            PageReached(page.id, page.path, page.title, page.layout, sorts)
            for page in now.guide.pages
            if (sorts := tuple(sort for sort, each in reaches.items() if page.id in each.pages))
        ),
        of_pages=len(now.guide.pages),
        stickers=tuple(
            StickerReached(code, page.title, sorts)
            for code, page in now.stickers.items()
            if code in codes
            and (sorts := tuple(sort for sort, each in reaches.items() if code in each.stickers))
        ),
        menu=tuple(sort for sort, each in reaches.items() if each.menu),
    )
