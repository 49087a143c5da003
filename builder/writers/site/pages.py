"""The pages of guides, part by part, and the memo of all parts that a process has made lately.

A part is a value: its template, what it shows, and what it is told of the guide. The same value gives
the same text, so that it is made once for all guides. Knows no site engine.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from functools import cached_property
from typing import Any

from pydantic import BaseModel

from builder.digests import of_texts
from builder.guide.pages import Guide, Page
from builder.guide.parts import body_in, parts_of
from builder.guide.plan.drawing import FloorPlan, Highlight
from builder.guide.plan.plans import Plans
from builder.guide.schedule.year import Year, YearMonth
from builder.guide.values import origin_of
from builder.languages.foreign import marked, marked_markdown
from builder.languages.language import FIRST, Language
from builder.recent import RecentResults
from builder.shipped import Layered
from builder.writers.site.context import (
    Answers,
    PageContext,
    Surroundings,
    address_in_guide,
    source_of,
)
from builder.writers.site.converting import HtmlPart, finished, words_of
from builder.writers.site.script_data import WordRow, row_of
from builder.writers.site.templates import PageHeading, PageTemplates, front_matter

_OF_THE_SAME = FloorPlan | Highlight | Plans | Year | YearMonth
"""Records that hold the very same records as others do: a floor is drawn many times from the same lines, and
an entry stands in many months."""
WRITTEN = 3_000
"""Records of which a process keeps the digests."""


class ValueDigests:
    """Digests of all that values hold. Many pages show the very same records: each is read once."""

    def __init__(self) -> None:
        self._known: RecentResults[int, tuple[object, str]] = RecentResults(WRITTEN)

    def of(self, values: Mapping[str, Any]) -> str:
        """A digest of values by name.

        Raises:
            TypeError: a value is neither a record nor plain data, and two of its kind that look
                alike need not be the same.
        """
        return of_texts(*(f"{name}={self._text(value)}" for name, value in values.items()))

    def _text(self, value: Any) -> str:
        if value is None or isinstance(value, str | int | float | date):
            return f"{type(value).__name__} {value!r}"
        if isinstance(value, Mapping):
            return f"{{{','.join(f'{name!r}:{self._text(each)}' for name, each in value.items())}}}"
        return self._record(value) if value else "()"

    def _record(self, value: Any) -> str:
        # What was read is kept beside its digest, so that nothing else takes its place in memory.
        found = self._known.get(id(value))
        if found is None or found[0] is not value:
            found = self._known.keep(id(value), (value, of_texts(*self._parts_of(value))))
        return found[1]

    def _parts_of(self, value: Any) -> Iterator[str]:
        if isinstance(value, tuple | list):
            yield from map(self._text, value)
            return
        yield type(value).__qualname__
        if isinstance(value, _OF_THE_SAME):
            for each in fields(value):
                if each.repr:
                    yield self._text(getattr(value, each.name))
        elif isinstance(value, BaseModel) or is_dataclass(value):
            yield repr(value)
        else:
            raise TypeError(f"'{type(value).__qualname__}' is no value that a page can show.")


PARTS = 1_200
"""Parts that a process keeps: those of the guides of some house types."""
SEEN = 1_500
"""Pages of which a process knows the parts."""
OTHERS = 7
"""Parts that are kept of those that show the same in guides that tell them something else."""
BETWEEN = "\n\n"
LANGUAGES = "languages.html"
"""The template of the part that leads to a page in other languages."""
DIGITS = 16
"""Hexadecimal digits of the digest of what a page says: enough to tell two editions of it apart."""

Convert = Callable[[str, str], HtmlPart]
"""Turns Markdown of the page of a source file into HTML."""


@dataclass(frozen=True)
class MadePart:
    """A part of the page of a source file: its text, in Markdown or finished HTML, and what its
    template was told of the guide."""

    source: str
    text: str
    finished: bool
    told: Answers

    @cached_property
    def digest(self) -> str:
        """A digest of all that its HTML is made from."""
        return of_texts(self.source, self.text)

    @cached_property
    def said(self) -> str:
        """A digest of what it says: of links, the page that they lead to, wherever that stands."""
        return of_texts(" ".join(self.text.split()))

    def body(self, convert: Convert) -> HtmlPart:
        """The part as HTML."""
        known: HtmlPart | None = self.__dict__.get("_body")
        if known is None:
            known = finished(self.text) if self.finished else convert(self.text, self.source)
            self.__dict__["_body"] = known
        return known


@dataclass(frozen=True)
class MadePage:
    """A page as the parts that it is made of, the same for all guides in which it says the same."""

    page: Page
    parts: tuple[MadePart, ...]
    language: Language = FIRST

    @property
    def source(self) -> str:
        return source_of(self.page)

    @property
    def markdown(self) -> str:
        """The page for an engine that reads Markdown, with its front matter."""
        text = BETWEEN.join(part.text for part in self.parts)
        return f"{front_matter(self.page, self.language)}{text}\n"

    def html(self, convert: Convert) -> tuple[HtmlPart, ...]:
        """Its parts as HTML."""
        return tuple(part.body(convert) for part in self.parts)

    def row(self, convert: Convert) -> WordRow:
        """What it is found by: all its words, or where it repeats others its title alone."""
        known: WordRow | None = self.__dict__.get("_row")
        if known is None:
            page = self.page
            words = " ".join(each.words for each in self.html(convert))
            said = words_of(page.title) if page.repeats else words
            known = row_of(
                address_in_guide(page), page.title, page.summary, said, page.called, page.language
            )
            self.__dict__["_row"] = known
        return known

    def said(self, pictures: Mapping[str, str]) -> str:
        """A digest of what it says. ``pictures``: digests of the photographs, by their names."""
        shown = [
            pictures.get(name, "")
            for part in self.parts
            for sort, name in part.told
            if sort == "photograph"
        ]
        return of_texts(*(part.said for part in self.parts), *shown)[:DIGITS]


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A part that a page needs: its template, what tells it apart from all others of that, and the values
    that it shows."""

    template: str
    key: tuple[str, ...]
    values: Mapping[str, object]


class Pages:
    """Makes the pages of many guides through page templates."""

    def __init__(self, templates: Layered) -> None:
        self._folder = templates
        self._templates: dict[Language, PageTemplates] = {}
        self._digests = ValueDigests()
        self._memo: RecentResults[tuple[str, ...], tuple[MadePart, ...]] = RecentResults(PARTS)
        self._seen: RecentResults[str, tuple[_Wanted, ...]] = RecentResults(SEEN)
        self._made: RecentResults[tuple[str, str], MadePage] = RecentResults(SEEN)
        self._same: RecentResults[tuple[object, ...], MadePage] = RecentResults(SEEN)
        self._origins: RecentResults[int, tuple[Page, str]] = RecentResults(SEEN)

    def of(self, guide: Guide) -> tuple[MadePage, ...]:
        """Every page of a guide."""
        around = Surroundings(guide)
        return tuple(self.page(page, around) for page in guide.pages)

    def one(self, guide: Guide, page: Page) -> MadePage:
        """One page of a guide."""
        return self.page(page, Surroundings(guide))

    def _speaking(self, language: Language) -> PageTemplates:
        """The templates in a language."""
        if language not in self._templates:
            self._templates[language] = PageTemplates(self._folder, language)
        return self._templates[language]

    def digest_of(self, values: Mapping[str, Any]) -> str:
        """A digest of values that pages show."""
        return self._digests.of(values)

    def origin(self, page: Page) -> str:
        """A digest of all that a page is made from but the guide around it."""
        # The page is kept beside it, so that no other takes its place in memory.
        known = self._origins.get(id(page))
        if known is None:
            own = (page.id, page.layout, source_of(page), page.title, page.summary, page.body, page.language)  # fmt: skip
            values = self.digest_of(origin_of(page.values))
            found = of_texts(*own, *page.called, str(page.repeats), values)
            known = self._origins.keep(id(page), (page, found))
        return known[1]

    def page(self, page: Page, around: Surroundings) -> MadePage:
        """One page, in a guide that is around it."""
        key = (self.origin(page), around.digest)
        made = self._made.get(key)
        if made is None:
            parts = tuple(self._parts(page, around))
            made = self._made.keep(key, self._first_of(MadePage(page, parts, around.language)))
        return made

    def _first_of(self, made: MadePage) -> MadePage:
        """The first of all pages that come out the same, of whatever they are made."""
        page = made.page
        own = (page.id, source_of(page), page.title, page.summary, page.called, page.repeats, page.language)  # fmt: skip
        key = (*own, made.language.code, *map(id, made.parts))
        return self._same.get(key) or self._same.keep(key, made)

    def _parts(self, page: Page, around: Surroundings) -> Iterator[MadePart]:
        spoken = FIRST if page.language else around.language
        parts = [self._part(each, page, around, spoken) for each in self._wanted(page)]
        if around.others:
            parts.insert(
                0, self._part(self._languages(page, around), page, around, around.language)
            )
        return (part for part in parts if part.text)

    def _languages(self, page: Page, around: Surroundings) -> "_Wanted":
        """The part that leads to a page in the other languages of its guide."""
        values = {
            "others": tuple(around.other_ways(page)),
            "code": around.language.code,
            "direction": around.language.direction,
            "only_in_first": bool(page.language),
        }
        key = (source_of(page), page.title, page.summary, "", self._digests.of(values))
        return _Wanted(LANGUAGES, key, values)

    def _wanted(self, page: Page) -> "tuple[_Wanted, ...]":
        """The parts of a page, looked at once for all guides that have the same page."""
        origin = self.origin(page)
        return self._seen.get(origin) or self._seen.keep(origin, tuple(self._told_apart(page)))

    def _told_apart(self, page: Page) -> "Iterator[_Wanted]":
        heading = (source_of(page), page.title, page.summary)
        for template, values in parts_of(page):
            own = heading if self._speaking(FIRST).looks_at_page(template) else ()
            key = (*own, body_in(template, page), self._digests.of(values))
            yield _Wanted(template, key, values)

    def _part(
        self, wanted: "_Wanted", page: Page, around: Surroundings, language: Language
    ) -> MadePart:
        """A part of a page; as it was made before, where it shows the same and is told the same."""
        template, source = wanted.template, source_of(page)
        key = (language.code, template, *wanted.key)
        kept = self._memo.get(key) or ()
        for each in kept:
            if all(around.answer(source, question) == told for question, told in each.told.items()):
                return each
        context = PageContext(source, around)
        names = context.names(body_in(template, page))
        shown = PageHeading(page.title, page.summary)
        text = self._speaking(language).text(template, shown, {**names, **wanted.values})
        if language is not FIRST and around.unsaid:
            mark = marked if template.endswith(".html") else marked_markdown
            text = mark(text, language, context.is_unsaid)
        made = MadePart(source, text, template.endswith(".html"), context.answers)
        self._memo.keep(key, (made, *kept[:OTHERS]))
        return made
