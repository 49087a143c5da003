"""Reads a finished guide: which of its pages speak of something, and which kinds it explains."""

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from builder.guide.pages import Guide, Page
from builder.model.article import Article
from builder.preparing import Prepared

Topic = tuple[str, ...]
"""Beginnings of words, any of which shows that a page speaks of something: ``("shad", "blind")``."""


def speaks_of(guide: Guide, *topics: Topic) -> bool:
    """Whether one article of a guide, as its owner reads it, speaks of every topic."""
    patterns = [
        re.compile(rf"\b(?:{'|'.join(map(re.escape, topic))})", re.IGNORECASE) for topic in topics
    ]
    return any(
        all(pattern.search(text) for pattern in patterns)
        for page in guide.pages
        if page.layout == "article"
        for text in (_text(page),)
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
