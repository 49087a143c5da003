"""How long whoever answers first for a matter does so, and the tasks of articles that end with it."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from builder.home.lengths import after
from builder.model.article import Article, Task
from builder.model.cover import Cover

_ANY_DAY = date(2001, 1, 1)
"""Terms are compared from one and the same day."""


def first_terms(covers: Iterable[Cover]) -> dict[str, str]:
    """By matter the term of the first cover of it, such as ``2 years``.

    Only a cover counts that begins with the home, ends, and names whom to call.
    """
    found: dict[str, str] = {}
    for cover in sorted(filter(_is_first, covers), key=_end):
        for matter in cover.matters:
            found.setdefault(matter, cover.ends or "")
    return found


def _is_first(cover: Cover) -> bool:
    begins = cover.anchor == "completion" and cover.starts is None
    return begins and cover.ends is not None and cover.contact is not None


def _end(cover: Cover) -> date:
    return after(_ANY_DAY, cover.ends or "")


def in_covers(article: Article, terms: Mapping[str, str]) -> Article:
    """An article whose tasks that end with a cover end on the last day of this home's."""
    front = article.front
    tasks = {name: _ended(task, terms) for name, task in front.tasks.items()}
    if all(task is front.tasks[name] for name, task in tasks.items()):
        return article
    changed = front.model_copy(update={"tasks": type(front.tasks)(tasks)})  # type: ignore[call-arg]
    return replace(article, front=changed)


def _ended(task: Task, terms: Mapping[str, str]) -> Task:
    ends = terms.get(task.with_cover) if task.with_cover else None
    return task if ends in (None, task.closes) else task.model_copy(update={"closes": ends})
