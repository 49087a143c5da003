"""The context of a page: what its templates ask of the guide around it, and what they were told.

A part of a page comes out the same in two guides where it shows the same values and is told the same:
then its template need not run again. Knows no site engine.
"""

import posixpath
from collections.abc import Iterator, Mapping
from functools import cached_property, lru_cache
from typing import Any

from markupsafe import escape

from builder.digests import of_texts
from builder.guide.article_pages import LINK
from builder.guide.pages import Guide, Page, Photograph
from builder.guide.photographs import by_name
from builder.guide.prose import Markdown, escaped
from builder.languages.language import FIRST, Language

_WAYS = 20_000
"""Ways kept in memory: pages of all homes lead to each other in much the same ways."""

Question = tuple[str, str]
"""What sort of thing was asked for, and its name."""
Answers = Mapping[Question, str | None]


class Surroundings:
    """A guide as its pages see it: their source files by their ids, and the photographs by name."""

    def __init__(self, guide: Guide) -> None:
        self.sources = sources_of(guide)
        self.photographs = by_name(guide.photographs)
        self.language, self.others = guide.language, guide.others
        self.unsaid = guide.unsaid
        self._other_sources = tuple(map(sources_of, guide.others))

    def other_ways(self, page: Page) -> Iterator[dict[str, str]]:
        """For each other language of the guide: its code, its own name, and the address of a page in it."""
        source = source_of(page)
        for guide, sources in zip(self.others, self._other_sources, strict=True):
            target = sources.get(page.id) or sources[guide.pages[0].id]
            address, code = address_of(_way(source, target), source), guide.language.code
            yield {"code": code, "name": guide.language.name, "address": address}

    @cached_property
    def digest(self) -> str:
        """A digest of all that pages can be told."""
        ways = (
            f"{language.code} {name} {source}"
            for language, sources in zip(
                (self.language, *(each.language for each in self.others)),
                (self.sources, *self._other_sources),
                strict=True,
            )
            for name, source in sources.items()
        )
        unsaid = sorted(self.unsaid)
        return of_texts(self.language.digest, *ways, *map(repr, self.photographs.values()), *unsaid)

    def answer(self, source: str, question: Question) -> str | None:
        """What the page of a source file is told."""
        sort, name = question
        if sort == "beside":
            folder = "" if self.language is FIRST else f"{self.language.code}/"
            return _from_page(source, f"{folder}{name}")
        if sort in ("way", "address"):
            target = self.sources.get(name)
            way = None if target is None else _way(source, target)
            return way if way is None or sort == "way" else address_of(way, source)
        if sort == "unsaid":
            return name if name in self.unsaid else None
        photo = self.photographs[name]
        if sort == "room picture":
            return _from_page(source, f"photos/room/{photo.name}")
        return _photograph(photo, source, self.language)


class PageContext:
    """The guide around one page. ``answers``: all that its templates were told."""

    def __init__(self, source: str, around: Surroundings) -> None:
        self._source, self._around = source, around
        self.answers: dict[Question, str | None] = {}

    def names(self, body: str) -> dict[str, Any]:
        """What a template may use besides the values of its page."""
        return {
            "link": self.link,
            "href": self.href,
            "beside": self.beside,
            "has_page": self.has_page,
            "photograph": self.photograph,
            "room_picture": self.room_picture,
            "body": Markdown(LINK.sub(lambda found: f"]({self._sure_way(found['target'])})", body)),
        }

    def link(self, target: str, text: str) -> Markdown:
        """A link to another page by its id, or the text alone where this guide has no such page."""
        way = self._answer("way", target)
        return Markdown(escaped(text) if way is None else f"[{escaped(text)}]({way})")

    def href(self, target: str) -> str | None:
        """The address of another page from this one, for HTML; nothing where there is none."""
        return self._answer("address", target)

    def beside(self, name: str) -> str:
        """The address of a file that lies beside the first page of the guide in its language."""
        return str(self._answer("beside", name))

    def has_page(self, target: str) -> bool:
        """Whether the guide has a page, by its id."""
        return self._answer("way", target) is not None

    def is_unsaid(self, text: str) -> bool:
        """Whether a text is shown in the first language, in a guide in another."""
        return self._answer("unsaid", text) is not None

    def photograph(self, name: str) -> Markdown:
        """A photograph that the guide shows, by its name."""
        return Markdown(self._answer("photograph", name))

    def room_picture(self, name: str) -> str | None:
        """The address of the picture beside a room's name, by the photograph's."""
        return self._answer("room picture", name)

    def _answer(self, sort: str, name: str) -> str | None:
        question = (sort, name)
        if question not in self.answers:
            self.answers[question] = self._around.answer(self._source, question)
        return self.answers[question]

    def _sure_way(self, target: str) -> str:
        way = self._answer("way", target)
        if way is None:
            raise KeyError(target)
        return way


def _photograph(photo: Photograph, source: str, language: Language) -> str:
    """A photograph that comes when it is scrolled to, and is seen larger when it is touched."""
    large, small = (_from_page(source, f"photos/{folder}{photo.name}") for folder in ("", "small/"))
    return (
        f'<p class="photograph"><a href="{large}"><img src="{small}" alt="{escape(photo.says_in(language))}" '
        f'width="{photo.width}" height="{photo.height}" loading="lazy"></a></p>'
    )


def _from_page(source: str, file: str) -> str:
    """The address of a file of the guide from the page of a source file."""
    return address_of(_way(source, file), source)


def sources_of(guide: Guide) -> dict[str, str]:
    """The source file of each page by its id."""
    return {page.id: source_of(page) for page in guide.pages}


def file_of(page: Page) -> str:
    """The file of a page in its guide."""
    return f"{page.path}/index.html" if page.path else "index.html"


def address_in_guide(page: Page) -> str:
    """The address of a page from the first page of its guide."""
    return f"{page.path}/" if page.path else "./"


def source_of(page: Page) -> str:
    """The source file of a page, such as ``rooms/hall.md``."""
    return f"{page.path}.md" if page.path else "index.md"


@lru_cache(maxsize=_WAYS)
def address_of(way: str, source: str) -> str:
    """The address of a page or file from the page of a source file, by the way between their files."""
    target = posixpath.normpath(posixpath.join(posixpath.dirname(source), way))
    here = _folder(source)
    if not target.endswith(".md"):
        return posixpath.relpath(target, here)
    return f"{posixpath.relpath(_folder(target), here)}/"


def _folder(source: str) -> str:
    """The folder that the page of a source file is published in."""
    name = source.removesuffix(".md")
    return posixpath.dirname(name) or "." if posixpath.basename(name) == "index" else name


@lru_cache(maxsize=_WAYS)
def _way(start: str, target: str) -> str:
    """The way from one source file to another file."""
    return posixpath.relpath(target, posixpath.dirname(start) or ".")
