"""What the articles of a home ask its owner to do, as entries of the schedule."""

from collections.abc import Iterator
from typing import Any

from builder.guide.about import About
from builder.guide.schedule.days import is_season, single, task_spans
from builder.guide.schedule.entries import By, EntryKind, ScheduleEntry
from builder.guide.schedule.wording import basis_of, in_months, limits, rhythm
from builder.guide.terms import not_before, within
from builder.home.lengths import after
from builder.model.article import Article, FrontMatter, Task


def task_entries(about: About) -> Iterator[ScheduleEntry]:
    """The entries of every task that applies to this home, article by article."""
    for article in about.selection.articles:
        for name, task in article.front.tasks.items():
            if about.applies(task):
                yield from _entries(f"task.{article.id}.{name}", article, task, about)


def task_entry(article: str, name: str, task: Task) -> str:
    """The id of the entry of a task that comes back."""
    return f"task.{article}.{name}.{'season' if is_season(task) else 'rhythm'}"


def _entries(name: str, article: Article, task: Task, about: About) -> Iterator[ScheduleEntry]:
    """One entry of a rhythm or a season, which windows only bound; else one for each window."""
    completion = about.home.plot.completion
    shared = _shared_values(article, task, about)
    if task.every or task.months:
        yield _rhythm_entry(name, task, about, shared)
        return
    if task.opens:
        spans = single(after(completion, task.opens)) if completion else ()
        when = not_before(task.opens, completion, about.counted_from, about.language)
        yield ScheduleEntry(f"{name}.opens", "opens", when=when, spans=spans, **shared)
    if task.closes:
        spans = single(after(completion, task.closes)) if completion else ()
        when = within(task.closes, completion, about.counted_from, about.language)
        yield ScheduleEntry(f"{name}.closes", "closes", when=when, spans=spans, **shared)


def _basis(article: Article, task: Task, about: About) -> str:
    """Where a task comes from. What a body of another nation wrote is common practice in this one."""
    # A basis that is none is a finding already, and its guide is composed all the same.
    source = article.front.sources.get(task.basis)
    if source is None:
        return ""
    return (
        basis_of(source, about.language) if about.applies(source) else about.say("common practice")
    )


def _shared_values(article: Article, task: Task, about: About) -> dict[str, Any]:
    return {
        "what": task.do,
        "basis": _basis(article, task, about),
        "by": done_by(article.front, task, about),
        "target": f"article:{article.id}",
        "read": article.front.title,
    }


def done_by(front: FrontMatter, task: Task, about: About) -> By:
    """Who does it: whoever services the pieces that an article is about, where all of them have somebody."""
    about_these = about.of_kinds(*front.serves)
    kept = bool(about_these) and all(each.served_by for each in about_these)
    return "keeper" if task.by == "registered-person" and kept else task.by


def _rhythm_entry(name: str, task: Task, about: About, shared: dict[str, Any]) -> ScheduleEntry:
    completion = about.home.plot.completion
    spans = task_spans(task, completion) if completion else ()
    first = spans[0].first if spans and not is_season(task) else None
    parts = [rhythm(task.every, first, about.language)] if task.every else []
    parts += [in_months(task.months, about.language)] if task.months else []
    parts += (
        [limits(task, completion, about.counted_from, about.language)]
        if task.opens or task.closes
        else []
    )
    kind: EntryKind = "season" if is_season(task) else "rhythm"
    return ScheduleEntry(
        f"{name}.{kind}",
        kind,
        when=", ".join(parts),
        every=task.every,
        months=task.months,
        spans=spans,
        opens=after(completion, task.opens) if completion and task.opens else None,
        closes=after(completion, task.closes) if completion and task.closes else None,
        **shared,
    )
