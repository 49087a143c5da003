"""What a guide is made from: a home, and the articles that it gets and that can be filled in for it.

An article that ships is written for every home. Where it asks for what a home has not, such as a
telephone number that nobody wrote down, it is left out of that home's guide with a warning: whoever
keeps a workspace did not write it and is not to be stopped by it.

Beside the articles stands what else editors wrote: what can be wrong, line drawings, the words of the
walk.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from frozendict import frozendict

from builder.errors import Finding, Findings, Severity
from builder.guide.about import About
from builder.guide.bodies import body_of
from builder.guide.photographs import Size, SizeOf
from builder.guide.prose import MISSING_VALUE, Renderer
from builder.guide.walk.script import Script
from builder.home.assemble import TracedHome
from builder.model.article import Article
from builder.model.drawing import Drawing
from builder.model.symptom import Symptom
from builder.selection.choosing import choose
from builder.selection.conditions import Judge
from builder.shipped import LAYER


def about_of(
    traced: TracedHome, articles: Iterable[Article], renderer: Renderer, findings: Findings
) -> About:
    """A home with its articles; those that are left out go to ``findings``."""
    about = About(
        traced.home,
        choose(articles, traced.home, traced.kept, Judge(traced.home, traced.kept, traced.alike)),
        traced.kept,
        traced.alike,
        traced.drawn_alike,
    )
    while asking := dict(_articles_that_ask(about, renderer)):
        findings.extend(map(_finding_of_left_out, asking.values()))
        about = replace(about, selection=about.selection.without(asking))
    return about


def _articles_that_ask(about: About, renderer: Renderer) -> Iterator[tuple[str, Finding]]:
    """The articles that ship and ask for what this home has not, with what they ask for."""
    for article in about.selection.articles:
        found = (
            body_of(article, about, renderer).finding if article.file.startswith(LAYER) else None
        )
        if found is not None and found.code == MISSING_VALUE:
            yield article.id, found


def _finding_of_left_out(found: Finding) -> Finding:
    return replace(
        found,
        wrong=f"{found.wrong} The guide goes without this article, which ships.",
        right=f"Add what is missing, write content/articles/{found.path}.md, or take it away in content/library.yaml.",
        severity=Severity.WARNING,
    )


def _unknown(_file: str) -> Size | None:
    """The size of a picture that nobody looks at."""
    return None


@dataclass(frozen=True, slots=True)
class Library:
    """The symptoms, line drawings and words of the walk of a workspace, its own over those that ship;
    ``size_of`` tells the size of a picture of it."""

    symptoms: Mapping[str, Symptom] = frozendict()
    drawings: Mapping[str, Drawing] = frozendict()
    size_of: SizeOf = _unknown
    script: Script | None = None


EMPTY = Library()
"""A workspace without any of them."""
