"""What there is to know of each article: who reads it, when it is read again, and how hard it is."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from dateutil.relativedelta import relativedelta

from builder.home.assemble import TracedHome
from builder.questions.homes import Homes
from builder.rules.articles import REVIEWED_EVERY, reading_age, sentences
from builder.selection.conditions import work_of
from builder.sources.library import ArticleSource

FIRST_LANGUAGE = "en"
"""The language that every article is written in first."""


@dataclass(frozen=True, slots=True)
class ArticleKept:
    """One article, for its editor.

    ``house_types`` and ``plots`` get it. ``grade``: the school grade of a reader, by letters and
    words. ``sources``: how many facts rest on each basis. ``pictures``: line drawings and
    photographs of what it serves, in the homes that get it.
    """

    id: str
    title: str
    file: str
    layer: str
    house_types: tuple[str, ...]
    plots: tuple[str, ...]
    reviewed: date
    next_review: date
    grade: float
    words: int
    sources: Counter[str]
    pictures: tuple[str, ...]
    languages: tuple[str, ...]


def articles_kept(homes: Homes) -> Iterator[ArticleKept]:
    """Every article of a workspace, by id."""
    for name, source in sorted(homes.workspace.articles.items()):
        yield _article_kept(name, source, homes)


def _article_kept(name: str, source: ArticleSource, homes: Homes) -> ArticleKept:
    front, body = source.article.front, source.article.body
    readers = {
        plot: home.traced
        for plot, home in homes.homes.items()
        if any(article.id == name for article in home.selection.articles)
    }
    return ArticleKept(
        id=name,
        title=front.title,
        file=source.article.file,
        layer=source.layer,
        house_types=_each_once(traced.home.house_type.name for traced in readers.values()),
        plots=tuple(readers),
        reviewed=front.reviewed,
        next_review=front.reviewed + relativedelta(years=REVIEWED_EVERY),
        grade=max(0.0, round(reading_age(body) - 5, 1)),
        words=sum(len(each.words) for each in sentences(body)),
        sources=Counter(each.basis for each in front.sources.values()),
        pictures=_each_once(
            picture for traced in readers.values() for picture in _pictures(source, traced)
        ),
        languages=(FIRST_LANGUAGE, *_other_languages(name, homes)),
    )


def _other_languages(name: str, homes: Homes) -> Iterator[str]:
    """The other languages that an article is in; one that guides do not show says why."""
    for code, language in homes.workspace.languages.items():
        for said in language.said:
            if said.of == f"article:{name}":
                yield code if said.published else f"{code} ({said.state})"


def _pictures(source: ArticleSource, traced: TracedHome) -> Iterator[str]:
    home = traced.home
    served = set(source.article.front.serves)
    for piece in home.equipment.values():
        if not served.isdisjoint(work_of(piece.kind, home)):
            yield from home.kinds[piece.kind].drawings
            yield from (each for each in (piece.photo,) if each)
            yield from (each.photo for each in piece.photos.values())


def _each_once(names: Iterator[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))
