"""What a page template may ask of the guide around its page, and what it heard.

A page is the same in two guides where it shows the same values and hears the same answers: then its
template need not run again. Knows no site engine.
"""

import hashlib
import posixpath
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import lru_cache
from typing import Any

from builder.guide.article_pages import LINK
from builder.guide.pages import Guide, Page, Section
from builder.guide.plan.drawing import FloorPlan, Highlight
from builder.guide.prose import Markdown, escaped
from builder.lately import Lately

_WAYS = 20_000
"""Ways kept in memory: pages of all homes lead to each other in much the same ways."""

WRITTEN = 1_500
"""Parts of pages of which a process keeps the digests."""

_NOWHERE_ELSE = " at 0x"
"""What stands where a value shows nothing of itself but its place in memory. It is like no other:
an answer that holds one is an object of its own, which nothing equals."""

Question = tuple[str, str]
"""What sort of thing was asked for, and its name."""


class Digests:
    """Digests of all that values hold. Many guides have the very same parts, and a floor is drawn
    many times from the same ones: each is written out once."""

    def __init__(self) -> None:
        self._written: Lately[int, tuple[object, str]] = Lately(WRITTEN)

    def of(self, page: Page) -> str | None:
        """A digest of a page; nothing where some of it cannot be written out."""
        said = (page.id, page.path, page.title, page.layout, page.summary, page.body)
        values = (f"{name}={self._text(value)}" for name, value in page.values.items())
        # No other page comes to the same text: each part of it says how long it is.
        return _digest("".join(f"{len(each)}:{each}" for each in (*said, *values)))

    def _text(self, value: object) -> str:
        if isinstance(value, dict):
            return ",".join(f"{name!r}:{self._text(each)}" for name, each in value.items())
        if isinstance(value, FloorPlan | Highlight):
            drawn = (self._once(value.base), self._once(value.names))
            return f"{drawn}{replace(value, base=None, names=())!r}"  # type: ignore[arg-type]
        if isinstance(value, tuple):
            inside = isinstance(value[0], FloorPlan | Highlight | dict) if value else False
            return ",".join(map(self._text, value)) if inside else self._once(value)
        return repr(value)

    def _once(self, part: object) -> str:
        # The part is kept beside its digest, so that no other takes its place in memory.
        found = self._written.get(id(part))
        if found is None:
            written = repr(part)
            digest = hashlib.sha256(written.encode()).hexdigest() + _nowhere_else(written)
            found = self._written.keep(id(part), (part, digest))
        return found[1]


def _nowhere_else(text: str) -> str:
    """What tells that a text is like no other, where it is; else nothing."""
    return _NOWHERE_ELSE if _NOWHERE_ELSE in text else ""


def _digest(text: str) -> str | None:
    return None if _NOWHERE_ELSE in text else hashlib.sha256(text.encode()).hexdigest()


class Around:
    """A guide around its pages: their source files by their ids, and all that each of them says."""

    def __init__(self, guide: Guide, sources: Mapping[str, str], digests: Digests) -> None:
        self.guide, self.sources, self._digests = guide, sources, digests
        self.photographs = {each.name.rpartition(".")[0]: each for each in guide.photographs}
        self._said: dict[int, tuple[Page, str | None]] = {}

    def said(self, page: Page) -> str | None:
        """A digest of all that a page has to show; nothing where some of it cannot be written out."""
        if id(page) not in self._said:
            self._said[id(page)] = page, self._digests.of(page)
        return self._said[id(page)][1]


class Asking:
    """The guide around one page, as its template sees it. ``answers``: all that it was told."""

    def __init__(self, page: Page, around: Around) -> None:
        self._source, self._around = around.sources[page.id], around
        self.answers: dict[Question, object] = {}
        self.guide = _GuideAsked(self)

    def would_hear(self, answers: Mapping[Question, object]) -> bool:
        """Whether this guide answers the same."""
        return all(self._answer(*question) == told for question, told in answers.items())

    def told(self, sort: str, name: str) -> Any:
        """The answer to a question, which is remembered."""
        if (sort, name) not in self.answers:
            self.answers[sort, name] = self._answer(sort, name)
        return self.answers[sort, name]

    def link(self, target: str, text: str) -> Markdown:
        """A link to another page by its id, or the text alone where this guide has no such page."""
        way = self.told("way", target)
        return Markdown(escaped(text) if way is None else f"[{escaped(text)}]({way})")

    def photograph(self, name: str) -> Markdown:
        """A photograph that the guide shows, by its name."""
        return Markdown(self.told("photograph", name))

    def linked(self, body: str) -> str:
        """A body with page ids turned into ways to the pages."""
        return LINK.sub(lambda found: f"]({self._sure_way(found['target'])})", body)

    def asked(self, name: str) -> Any:
        """Something of the guide itself, by its name."""
        self.told("guide", name)
        return getattr(self._around.guide, name)

    def page(self, identifier: str) -> Page | None:
        """Another page of the guide, by its id."""
        self.told("page", identifier)
        return self._around.guide.page(identifier)

    def _sure_way(self, target: str) -> str:
        way: str | None = self.told("way", target)
        if way is None:
            raise KeyError(target)
        return way

    def _answer(self, sort: str, name: str) -> object:
        around = self._around
        if sort == "way":
            target = around.sources.get(name)
            return None if target is None else _way(self._source, target)
        if sort == "photograph":
            photo = around.photographs[name]
            return f"![{escaped(photo.shows)}]({_way(self._source, f'photos/{photo.name}')})"
        if sort == "page":
            page = around.guide.page(name)
            return None if page is None else around.said(page) or object()
        return _digest(repr(getattr(around.guide, name))) or object()


class _GuideAsked:
    """A guide in a template: what is asked of it is remembered."""

    def __init__(self, asking: Asking) -> None:
        self._asking = asking
        self.page = asking.page

    def __getattr__(self, name: str) -> Any:
        if name.startswith("_"):
            raise AttributeError(name)
        return self._asking.asked(name)


def sources_of(guide: Guide) -> dict[str, str]:
    """The source file of each page by its id.

    A page with others under it is the index of their folder: the theme then makes one entry of
    the page and its section.
    """
    heads = {section.page for section in _sections(guide.navigation) if section.sections}
    return {page.id: _source(page, head=page.id in heads) for page in guide.pages}


def _source(page: Page, *, head: bool) -> str:
    return posixpath.join(page.path, "index.md") if head or not page.path else f"{page.path}.md"


def _sections(sections: tuple[Section, ...]) -> Iterator[Section]:
    for section in sections:
        yield section
        yield from _sections(section.sections)


@lru_cache(maxsize=_WAYS)
def _way(start: str, target: str) -> str:
    """The way from one source file to another file."""
    return posixpath.relpath(target, posixpath.dirname(start) or ".")
