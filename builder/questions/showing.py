"""What a plot shows: its pages as written, its sticker pages, its menu; and how two of it differ."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from builder.errors import Findings
from builder.guide.article_pages import LINK
from builder.guide.chosen import EMPTY, Library, about_of
from builder.guide.compose import compose
from builder.guide.pages import Guide, Page
from builder.guide.plan.drawing import FloorPlan
from builder.guide.plan.plans import Plans
from builder.guide.prose import Renderer
from builder.guide.sticker_pages import StickerPage, StickerRecord, sticker_page
from builder.home.assemble import TracedHome
from builder.model.article import Article
from builder.model.home import Home

WritePage = Callable[[Guide, Page], str]
"""Writes a page of a guide as the site writer does."""


class RefusedError(Exception):
    """A guide of data that nobody wrote cannot be shown: a check would refuse such a change."""


@dataclass(frozen=True, slots=True)
class ImpactReach:
    """What a change reaches of one plot: ids of pages, codes of stickers, and the menu."""

    pages: frozenset[str] = frozenset()
    stickers: frozenset[str] = frozenset()
    menu: bool = False

    def also(self, other: "ImpactReach") -> "ImpactReach":
        return ImpactReach(
            self.pages | other.pages, self.stickers | other.stickers, self.menu or other.menu
        )


@dataclass(frozen=True, slots=True)
class ShownValue:
    """All that one plot shows. A page is written only when somebody asks how it reads."""

    guide: Guide
    pages: Mapping[str, Page]
    stickers: Mapping[str, StickerPage]
    write: WritePage
    _texts: dict[str, str] = field(default_factory=dict)

    def text(self, page: str) -> str | None:
        """A page as it is written, or nothing where there is none of this id."""
        if page not in self.pages:
            return None
        if page not in self._texts:
            self._texts[page] = self.write(self.guide, self.pages[page])
        return self._texts[page]

    def differs(self, page: str, other: "ShownValue", *, alike: bool) -> bool:
        """Whether a page reads otherwise there. Of two guides that are ``alike`` around their pages,
        equal pages read the same and need not be written."""
        dict(self.pages[page].values)  # What cannot be drawn of the guide as it is, is no refusal.
        try:
            if alike and self.pages[page] == other.pages.get(page):
                return False
            theirs = other.text(page)
        except Exception as error:
            raise RefusedError(page) from error
        return self.text(page) != theirs

    @property
    def around(self) -> tuple[object, ...]:
        """What a page of this guide shows that is not its own: whether a link leads anywhere, too."""
        return (
            self.guide.title,
            self.guide.builder,
            self.guide.photographs,
            self.guide.look,
            tuple(self.pages),
        )

    def reach(self, other: "ShownValue", known: ImpactReach) -> ImpactReach:
        """What of this differs in the other, is other there or gone, and ``known`` besides."""
        alike = self.around == other.around
        pages = (each for each in self.pages if each not in known.pages)
        codes = (each for each in self.stickers if each not in known.stickers)
        return known.also(
            ImpactReach(
                frozenset(each for each in pages if self.differs(each, other, alike=alike)),
                frozenset(
                    each for each in codes if self.stickers[each] != other.stickers.get(each)
                ),
                self.guide.navigation != other.guide.navigation,
            )
        )

    def of_layouts(self, layouts: Collection[str]) -> ImpactReach:
        """The pages of some layouts."""
        return ImpactReach(
            frozenset(each for each, page in self.pages.items() if page.layout in layouts)
        )

    @property
    def whole(self) -> ImpactReach:
        """All pages and stickers of this plot."""
        return ImpactReach(frozenset(self.pages), frozenset(self.stickers), menu=True)


class DrawnOnce(Plans):
    """The plans of one home, of which each is drawn the first time that a guide of it asks."""

    @cached_property
    def _kept_plans(self) -> dict[tuple[str, frozenset[str] | None], FloorPlan]:
        return {}

    def full(self, floor: str, systems: Iterable[str] | None = None) -> FloorPlan:
        key = floor, None if systems is None else frozenset(systems)
        if key not in self._kept_plans:
            self._kept_plans[key] = super().full(*key)
        return self._kept_plans[key]


@dataclass(frozen=True, slots=True)
class PagesShowing:
    """Shows plots as their guides would be built. ``stickers``: those issued, by plot."""

    write: WritePage
    stickers: Mapping[str, tuple[StickerRecord, ...]]
    renderer: Renderer
    library: Library = EMPTY

    def of_home(self, traced: TracedHome, articles: Iterable[Article]) -> ShownValue:
        """What a plot shows with this home and these articles."""
        about = about_of(traced, articles, self.renderer, Findings())
        about.__dict__["plans"] = traced.kept.once(DrawnOnce, traced.home, about.pieces)
        guide = _without_dead_links(
            compose(traced.reference, about, self.renderer, Findings(), self.library)
        )
        now = _present_ids(traced.home)
        stickers = {
            each.code: sticker_page(about, guide, _today(each, now))
            for each in self.stickers.get(traced.reference, ())
        }
        return ShownValue(guide, {page.id: page for page in guide.pages}, stickers, self.write)


def _without_dead_links(guide: Guide) -> Guide:
    """A guide whose dead links lead nowhere: a page that has one differs from one that has not."""
    known = {page.id for page in guide.pages}
    pages = tuple(replace(page, body=_without_dead(page.body, known)) for page in guide.pages)
    return replace(guide, pages=pages)


def _without_dead(body: str, known: set[str]) -> str:
    return LINK.sub(
        lambda found: found.group() if found["target"] in known else f"](#{found['target']})", body
    )


def _present_ids(home: Home) -> Mapping[str, str]:
    """Every id that equipment has or had, and its id today. An id in use names its owner."""
    former = {old: name for name, piece in home.equipment.items() for old in piece.formerly}
    return former | {name: name for name in home.equipment}


def _today(record: StickerRecord, now: Mapping[str, str]) -> StickerRecord:
    return replace(record, equipment=now.get(record.equipment or ""))
