"""Reads a finished guide: which of its pages speak of something, and which kinds it explains."""

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any

from builder.guide.pages import Page
from builder.model.article import Article
from builder.preparing import Prepared

Topic = tuple[str, ...]
"""Beginnings of words, any of which shows that a page speaks of something: ``("shad", "blind")``."""


class _Said:
    """What an article of a guide says, and which topics it was found to speak of."""

    def __init__(self, page: Page) -> None:
        self._text = _text(page)
        self._known: dict[Topic, bool] = {}

    def speaks_of(self, topic: Topic) -> bool:
        if topic not in self._known:
            self._known[topic] = _pattern(topic).search(self._text) is not None
        return self._known[topic]


@lru_cache(maxsize=200)
def _pattern(topic: Topic) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, topic))})", re.IGNORECASE)


def speaks_of(prepared: Prepared, *topics: Topic) -> bool:
    """Whether one article of a guide, as its owner reads it, speaks of every topic."""
    kept = prepared.traced.kept
    articles = (page for page in prepared.guide.pages if page.layout == "article")
    return any(
        all(said.speaks_of(topic) for topic in topics)
        for said in (kept.once(_Said, page) for page in articles)
    )


def _text(page: Page) -> str:
    told = (
        *page.values["actions"],
        *_words(page.values["cautions"]),
        *_words(page.values["tasks"]),
    )
    return "\n".join((page.title, page.summary, *told, page.body))


def _words(entries: Iterable[Mapping[str, Any]]) -> Iterator[str]:
    for entry in entries:
        yield from (str(value) for value in entry.values() if value)


def explained_by(prepared: Prepared, kind: str) -> tuple[Article, ...]:
    """The articles of a guide that are about a kind of equipment."""
    named = prepared.traced.home.kinds[kind].article
    return tuple(
        article
        for article in prepared.selection.articles
        if kind in article.front.serves or article.id == named
    )


def has_tasks(prepared: Prepared, kind: str) -> bool:
    """Whether an article about a kind says what to do for it, and when, in this home."""
    return any(
        prepared.about.applies(task)
        for article in explained_by(prepared, kind)
        for task in article.front.tasks.values()
    )
