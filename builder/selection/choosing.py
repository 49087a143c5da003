"""Decides which articles a home gets; every article chosen or left out has its reason.

Their tasks that end with a cover end on the last day of the home's own.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from builder.home.lengths import after
from builder.layers.memo import Memo
from builder.model.article import Article, Task
from builder.model.cover import Cover
from builder.model.home import Home
from builder.selection.conditions import Judge, Reason
from builder.selection.wording import worded
from builder.shipped import LAYER

FOR_EVERY_HOME = Reason(holds=True, says="goes to every home")
_ANY_DAY = date(2001, 1, 1)
"""Terms are compared from one and the same day."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One article, whether this home gets it, and why."""

    article: Article
    reason: Reason

    @property
    def chosen(self) -> bool:
        return self.reason.holds


@dataclass(frozen=True)
class Selection:
    """The answer for every article of the workspace, in the order of their ids."""

    choices: tuple[Choice, ...]

    @cached_property
    def articles(self) -> tuple[Article, ...]:
        """The articles that this home gets."""
        return tuple(choice.article for choice in self.choices if choice.chosen)

    def of(self, identifier: str) -> Choice | None:
        return next((each for each in self.choices if each.article.id == identifier), None)

    def without(self, identifiers: Collection[str]) -> "Selection":
        """The same, with some articles left out because they cannot be filled in."""
        left_out = Reason(holds=False, says="can be filled in for this home")
        return Selection(
            tuple(
                Choice(each.article, left_out) if each.article.id in identifiers else each
                for each in self.choices
            )
        )


def choose(
    articles: Iterable[Article], home: Home, kept: Memo | None = None, judge: Judge | None = None
) -> Selection:
    """The selection for a home, each article in the words of its nation. ``judge``: who answers for it, where
    the home is in another language, or others like it have been asked."""
    kept = kept or Memo()
    ordered, judge = sorted(articles, key=lambda article: article.id), judge or Judge(home, kept)
    terms = _terms(judge, kept)
    return Selection(
        tuple(
            Choice(
                kept.once(in_covers, worded(each, home, kept, kept.once(_kinds_of, each)), terms),
                _reason(each, judge),
            )
            for each in ordered
        )
    )


def _kinds_of(article: Article) -> frozenset[str]:
    """The kinds of the things that an article is about."""
    return frozenset(article.front.serves)


def _terms(judge: Judge, kept: Memo) -> dict[str, str]:
    covers = judge.home.covers.values()
    return kept.alike(
        first_terms(each for each in covers if each.when is None or judge.holds(each.when))
    )


def _reason(article: Article, judge: Judge) -> Reason:
    """Both of what an article asks for hold: one of its kinds is there, and its condition is true."""
    if article.file.startswith(LAYER) and article.front.system not in judge.home.systems:
        return Reason(holds=False, says=f"is about a system of this home: '{article.front.system}'")
    front = article.front
    asked = [judge.of_kinds(front.equipment)] if front.equipment else []
    asked += [judge.of(front.when)] if front.when is not None else []
    if len(asked) > 1:
        return Reason(all(part.holds for part in asked), "all of these", parts=tuple(asked))
    return asked[0] if asked else FOR_EVERY_HOME


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
    tasks = {name: _ended_task(task, terms) for name, task in front.tasks.items()}
    if all(task is front.tasks[name] for name, task in tasks.items()):
        return article
    changed = front.model_copy(update={"tasks": type(front.tasks)(tasks)})  # type: ignore[call-arg]
    return replace(article, front=changed)


def _ended_task(task: Task, terms: Mapping[str, str]) -> Task:
    ends = terms.get(task.with_cover) if task.with_cover else None
    return task if ends in (None, task.closes) else task.model_copy(update={"closes": ends})
