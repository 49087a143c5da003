"""A duty is asked for once: by a task of an article, or by a fact of the thing that says how often."""

import re
from collections.abc import Iterator

from builder.errors import Finding
from builder.rules.rule import Rule
from builder.selection.checking import layer_entries
from builder.sources.entry import Entry, nearest
from builder.sources.library import ArticleSource
from builder.sources.workspace import Workspace

ONE_DUTY = Rule(
    "articles.task-and-fact", "A task and a fact that says how often are not one and the same duty.",
    basis="house rule: the dates of a home ask for nothing twice",
)  # fmt: skip
DUTY_RULES = (ONE_DUTY,)
_WORD = re.compile("[a-z]{4,}")
_STEM = 4
"""Letters by which two forms of a word are known to be one: 'emptied' and 'empty'."""
_SAYS_NOTHING = frozenset({"ever", "have", "your", "with", "them", "this", "that"})
_ENOUGH = 2
"""Words that two texts share where they are about one duty, such as 'change' and 'filter'."""


def tasks_that_facts_repeat(workspace: Workspace) -> Iterator[Finding]:
    """One finding for each task of an own article that a rhythm of the kinds it is about repeats."""
    rhythms = list(_rhythms(workspace))
    for source in workspace.own_articles:
        for name, task in source.article.front.tasks.items():
            for kind, says in rhythms if task.every else ():
                if _is_about(source, *kind) and _one_duty(task.do, says):
                    yield _finding(source, name, says, kind[0])


def _rhythms(workspace: Workspace) -> Iterator[tuple[tuple[str, object], str]]:
    """Each kind with the article that it names, and the name of each of its facts that is a rhythm."""
    for layer in layer_entries(workspace):
        kinds = layer.children.get("kinds")
        for name, kind in (kinds.children if kinds else {}).items():
            for fact in _below(kind, "facts"):
                rhythm, says = fact.children.get("rhythm"), fact.children.get("name")
                if rhythm is not None and rhythm.value is True and says is not None:
                    article = kind.children.get("article")
                    yield (name, article.value if article else None), str(says.value)


def _below(entry: Entry, name: str) -> Iterator[Entry]:
    section = entry.children.get(name)
    yield from section.children.values() if section else ()


def _is_about(source: ArticleSource, kind: str, article: object) -> bool:
    return source.article.id == article or kind in source.article.front.serves


def _one_duty(task: str, fact: str) -> bool:
    wanted = _stems(fact)
    return bool(wanted) and len(wanted & _stems(task)) >= min(_ENOUGH, len(wanted))


def _stems(text: str) -> set[str]:
    return {word[:_STEM] for word in _WORD.findall(text.lower())} - _SAYS_NOTHING


def _finding(source: ArticleSource, task: str, fact: str, kind: str) -> Finding:
    return ONE_DUTY.finding(
        nearest(source.entry, ("tasks", task)).place,
        f"'{fact}' of '{kind}' says when this is done in each home: its dates ask for it twice.",
        "Take the task out, or 'rhythm' off the fact.",
        f"tasks.{task}",
    )
