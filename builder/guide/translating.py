"""The guide of a home in its other languages, beside the one in the first.

The same home, plans and pages; fixed words and texts of the home come from the language's catalogues. An
article or a symptom that has no text in it that somebody has read is shown as it stands in the first
language, and says so.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from builder.errors import Finding, Findings, Severity, suggestion
from builder.guide.about import About
from builder.guide.chosen import Library
from builder.guide.compose import compose
from builder.guide.pages import Guide, Page
from builder.guide.prose import Renderer
from builder.guide.schedule.wording import basis_of
from builder.home.assemble import TracedHome
from builder.home.translated import in_language, texts_of
from builder.languages.language import FIRST_CODE, Language
from builder.layers.memo import Memo
from builder.model.article import Article
from builder.model.home import Home
from builder.model.record import entries_of
from builder.selection.choosing import Selection, choose
from builder.sources.languages import LanguageSource, Translated


@dataclass(frozen=True, slots=True)
class OtherGuide:
    """A guide in another language, and the home in it."""

    about: About
    guide: Guide


class Translating:
    """Makes the guides of homes in one other language. ``before``: the one of an earlier reading, of
    which the templates are taken over where it is the very same language."""

    def __init__(
        self,
        said: Translated,
        articles: Iterable[Article],
        library: Library,
        before: "Translating | None" = None,
    ) -> None:
        self._said = said
        same = before.renderer_of(said.language) if before else None
        self._renderer: Renderer = same or Renderer(said.language)
        self._articles = tuple(said.articles.get(each.id, each) for each in articles)
        text = said.language.text
        self._library = replace(
            library,
            symptoms={**library.symptoms, **said.symptoms},
            drawings={
                name: replace(each, title=text(each.title), describes=text(each.describes))
                for name, each in library.drawings.items()
            },
        )

    def renderer_of(self, language: Language) -> Renderer | None:
        """Its templates, if they are of the very same language."""
        return self._renderer if self._said.language is language else None

    def guide(
        self, traced: TracedHome, about: About, first: Guide, findings: Findings
    ) -> OtherGuide:
        """The guide of a home. Articles of this language that cannot be filled in go to ``findings``."""
        language, kept = self._said.language, traced.kept.once(_memo_of, self._said.language)
        spoken, found = (
            self._about_in_language(in_language(traced, language, kept), about),
            Findings(),
        )
        made = compose(first.reference, spoken, self._renderer, found, self._library)
        findings.extend(self._own_findings(found))
        pages = tuple(self._pages(made, first, kept))
        unsaid = frozenset(self._unsaid(spoken, pages))
        return OtherGuide(spoken, replace(made, pages=pages, unsaid=unsaid))

    def _unsaid(self, about: About, pages: Iterable[Page]) -> Iterator[str]:
        """The texts that a guide shows in the first language: of articles and symptoms that nobody has
        read in this one, and those of the home that no catalogue has."""
        for page in pages:
            if page.language:
                yield from (page.title, page.summary)
        for each in about.by_title:
            yield from map(basis_of, each.front.sources.values())
            if each.id not in self._said.articles:
                yield from texts_of(each.front, type(each.front))
        says = self._said.language.says
        drawn = [
            text
            for each in self._library.drawings.values()
            for text in (each.title, each.describes)
        ]
        yield from (text for text in drawn if not says(text))
        for name, section in entries_of(about.home).items():
            said = texts_of(section, Home.model_fields[name].rebuild_annotation())
            yield from (text for text in said if _is_told(text) and not says(text))

    def _about_in_language(self, traced: TracedHome, about: About) -> About:
        selection = self._selection_in_words(
            choose(self._articles, traced.home, traced.kept, about.judge), about
        )
        gone = {each.id for each in selection.articles} - set(about.chosen)
        return About(
            traced.home,
            selection.without(gone) if gone else selection,
            traced.kept,
            traced.alike,
            traced.drawn_alike,
            self._said.language,
            about,
        )

    def _selection_in_words(self, selection: Selection, first: About) -> Selection:
        """A selection in which what stays in the first language has the words of that alone."""
        ours = {each.article.id: each.article for each in first.selection.choices}
        return Selection(
            tuple(
                each
                if each.article.id in self._said.articles
                else replace(each, article=ours[each.article.id])
                for each in selection.choices
            )
        )

    def _own_findings(self, found: Iterable[Finding]) -> Iterator[Finding]:
        """What is wrong in this language's own texts: all else is found in the first."""
        files = {each.file for each in self._said.articles.values()}
        return (each for each in found if each.place.file in files)

    def _pages(self, made: Guide, first: Guide, kept: Memo) -> Iterator[Page]:
        plainly = {page.id: page for page in first.pages}
        for page in made.pages:
            said = self._said.has(page.id) or page.id not in plainly
            shown = page if said else plainly[page.id]
            more = () if said else self._said.sought.get(page.id, ())
            yield kept.once(_moved_page, shown, self._said.language, kept.same((said, *more)))


_WORD = re.compile(r"(?<!\S)[a-z]{2}")


def _is_told(text: str) -> bool:
    """Whether a text has words of a language, and is no name."""
    return bool(_WORD.search(text))


class Translators:
    """Makes the guides of homes in all their other languages, each of which is read once it is needed.

    ``before``: those of an earlier reading.
    """

    def __init__(
        self,
        sources: Mapping[str, LanguageSource],
        articles: Iterable[Article],
        library: Library,
        before: "Translators | None" = None,
    ) -> None:
        self._sources, self._articles, self._library = sources, tuple(articles), library
        self._made: dict[str, Translating] = {}
        self._before: dict[str, Translating] = {**before._before, **before._made} if before else {}  # noqa: SLF001 - of its own kind

    def others(
        self, traced: TracedHome, about: About, first: Guide, findings: Findings
    ) -> Iterator[OtherGuide]:
        """The guide of a home in each other language of it that has a catalogue."""
        for code in traced.home.languages:
            if code in self._sources:
                yield self._into(code).guide(traced, about, first, findings)
            else:
                findings.add(_no_catalogue(code, traced, self._sources))

    def _into(self, code: str) -> Translating:
        if code not in self._made:
            said = self._sources[code].translated
            before = self._before.pop(code, None)
            self._made[code] = Translating(said, self._articles, self._library, before)
        return self._made[code]


def _memo_of(_language: Language) -> Memo:
    """What is worked out in one language."""
    return Memo()


def _no_catalogue(code: str, traced: TracedHome, known: Iterable[str]) -> Finding:
    return Finding(
        "language.no-catalogue",
        traced.place("languages"),
        f"There is no catalogue of '{code}', so the guide goes without that language.",
        suggestion(code, tuple(known), "Languages here are"),
        path="languages",
        severity=Severity.WARNING,
    )


def _moved_page(page: Page, language: Language, told: tuple[bool, *tuple[str, ...]]) -> Page:
    """A page at its place in the folder of a language. ``told``: whether it is in that language, and if
    not what it is found by there."""
    path, (said, *more) = f"{language.code}/{page.path}".rstrip("/"), told
    spoken = "" if said else FIRST_CODE
    return replace(page, path=path, language=spoken, called=(*page.called, *more))


def in_all_languages(first: Guide, others: Iterable[Guide]) -> Guide:
    """A guide that knows itself in its other languages, each of which knows the rest."""
    whole = (first, *others)
    if len(whole) == 1:
        return first
    told = [replace(each, others=_rest(each, whole)) for each in whole]
    return replace(first, others=tuple(told[1:]))


def _rest(guide: Guide, whole: tuple[Guide, ...]) -> tuple[Guide, ...]:
    return tuple(each for each in whole if each is not guide)
