"""The guide of one home as plain values: what every writer reads, before any engine sees it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from builder.guide.schedule.entries import Schedule
from builder.home.palette import Tones
from builder.languages.language import FIRST, Language

Layout = Literal[
    "home", "emergency", "first-weeks", "system", "room", "equipment", "article", "details",
    "finishes", "contacts", "dates", "care", "plan", "changes", "find",
    "wrong", "symptom", "round", "stop", "report", "keep", "next-owner",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Link:
    """A way to another page of the same guide: ``target`` is that page's id."""

    text: str
    target: str
    summary: str = ""


def looked_for(*phrases: str) -> tuple[str, ...]:
    """The further phrases that people look for a page by, from texts with strokes between them."""
    return tuple(each for text in phrases for each in text.split("|") if each)


@dataclass(frozen=True, slots=True)
class Page:
    """One page. ``id`` is what links name, ``path`` its folder in the guide ("" is the first page).

    ``values`` are what the layout shows; ``body`` is Markdown whose links name page ids; ``called``
    are further phrases that people look for it by. A page that ``repeats`` says again, in another
    order, what others say: its words are not looked for, but for what it is ``called``, and its
    changes are theirs. ``language``: the code of the one that it is in, where that is not its guide's.
    """

    id: str
    path: str
    title: str
    layout: Layout
    summary: str
    values: Mapping[str, Any]
    body: str = ""
    called: tuple[str, ...] = ()
    repeats: bool = False
    language: str = ""

    @property
    def listed(self) -> bool:
        """Whether readers find it among all pages, and by what they type."""
        return not self.repeats or bool(self.called)


@dataclass(frozen=True, slots=True)
class Section:
    """One entry of the navigation: a page, or a heading with pages under it."""

    title: str
    page: str | None = None
    sections: "tuple[Section, ...]" = ()


@dataclass(frozen=True, slots=True)
class BarEntry:
    """One entry of the bar that stands on every page: its id, its word, and the page it leads to."""

    id: str
    title: str
    page: str


@dataclass(frozen=True, slots=True)
class Photograph:
    """A photograph that the guide shows: its file in the workspace, its name in the guide, where to look
    on it as shares of its width and height, and the pixels of its small copy. ``of_room``: it stands beside
    the name of a room. ``mirrored``: the picture is seen the other way round, and its ring is that of what
    is seen."""

    file: str
    name: str
    shows: str
    ring: tuple[float, float] | None = None
    width: int = 0
    height: int = 0
    of_room: bool = False
    mirrored: bool = False

    @property
    def says(self) -> str:
        """What it shows, for those who do not see it."""
        return self.says_in(FIRST)

    def says_in(self, language: Language) -> str:
        """What it shows, in the words of a language."""
        if not self.ring:
            return self.shows
        return language.say("%(shows)s. A ring marks where to look.", shows=self.shows.rstrip("."))


@dataclass(frozen=True, slots=True)
class GuideLook:
    """How a builder's guides look: its colours on light and on dark screens, and its logo."""

    light: Tones
    dark: Tones
    logo: Photograph | None


@dataclass(frozen=True, slots=True)
class ChangedPage:
    """A page that changed, came or went: its id, and the title that it had then."""

    page: str
    title: str
    how: Literal["new", "changed", "gone"]


@dataclass(frozen=True, slots=True)
class ChangedDay:
    """A day on which a guide was published again with other pages."""

    day: date
    pages: tuple[ChangedPage, ...]


@dataclass(frozen=True, slots=True)
class Guide:
    """One plot's guide: its pages in reading order, how they hang together, its dates, and what
    changed in it since it was first published, newest first. ``others``: the same guide in other
    languages; ``unsaid``: texts that this one shows in the first. ``builder`` says besides where a home
    is made up; ``builder_name`` does not. ``address``: the beginning of the home's, which names it."""

    reference: str
    title: str
    builder: str
    pages: tuple[Page, ...]
    navigation: tuple[Section, ...]
    photographs: tuple[Photograph, ...]
    schedule: Schedule
    bar: tuple[BarEntry, ...] = ()
    changes: tuple[ChangedDay, ...] = ()
    builder_name: str = ""
    address: str = ""
    look: GuideLook | None = None
    language: Language = FIRST
    others: "tuple[Guide, ...]" = ()
    unsaid: frozenset[str] = frozenset()

    @property
    def folder(self) -> str:
        """Where its pages lie, from the guide's own folder: those of the first language in that itself."""
        return "" if self.language is FIRST else self.language.code

    def page(self, identifier: str) -> Page | None:
        return next((page for page in self.pages if page.id == identifier), None)
