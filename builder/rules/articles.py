"""Articles are looked at again in time, and are easy to read."""

import re
from collections.abc import Iterator
from datetime import date

from dateutil.relativedelta import relativedelta

from builder.errors import Finding
from builder.rules.rule import Rule
from builder.sources.library import ArticleSource
from builder.sources.workspace import Workspace

REVIEWED_EVERY = 3
"""Years between reviews of an article (common practice)."""

OLDEST_READER = 12
"""Years: the reading age that articles keep to (house rule: about 11 to 12)."""

REVIEW_PAST = Rule(
    "articles.review-past", "An article is reviewed every three years.",
    basis="common practice",
)  # fmt: skip
REVIEW_AHEAD = Rule(
    "articles.review-ahead", "An article's review is not dated ahead.",
    basis="house rule: a review is dated on the day that it is done",
)  # fmt: skip
READING_AGE = Rule(
    "articles.reading-age", "A reader of twelve years can read an article.",
    basis="Automated Readability Index, Smith and Senter 1967 (from memory); a school grade is five years less than an age",
)  # fmt: skip
ARTICLE_RULES = (REVIEW_PAST, REVIEW_AHEAD, READING_AGE)
_TAGS = re.compile(r"\{%.*?%\}|\{#.*?#\}", re.DOTALL)
_VALUES = re.compile(r"\{\{.*?\}\}", re.DOTALL)
_TARGETS = re.compile(r"\]\([^)]*\)")
_MARKS = re.compile(r"^\s*(?:\d+\.|[-*])\s+|[#*_>`\[\]|]", re.MULTILINE)
_ENDS = re.compile(r"[.!?:](?:\s|$)|\n\s*\n")
_WORD = re.compile(r"[^\W_]+(?:['\u2019-][^\W_]+)*")


def articles_are_kept(workspace: Workspace, day: date) -> Iterator[Finding]:
    """What is wrong with the articles of a workspace on a day."""
    for source in workspace.articles.values():
        yield from _reviewed(source, day)
        yield from _readable(source)


def _reviewed(source: ArticleSource, day: date) -> Iterator[Finding]:
    reviewed = source.article.front.reviewed
    due = reviewed + relativedelta(years=REVIEWED_EVERY)
    if reviewed > day:
        wrong = f"This article was reviewed on {reviewed.isoformat()}, which is still to come."
        yield _finding(REVIEW_AHEAD, source, "reviewed", wrong, "Write the day of the review.")
    elif due < day:
        wrong = f"This article was last reviewed on {reviewed.isoformat()}; it was due on {due.isoformat()}."
        right = "Read it again, check its sources, and write today's date."
        yield _finding(REVIEW_PAST, source, "reviewed", wrong, right)


def _readable(source: ArticleSource) -> Iterator[Finding]:
    age = reading_age(source.article.body)
    if age > OLDEST_READER:
        wrong = f"A reader needs an age of {age:.1f} years for this article; the house keeps to {OLDEST_READER}."
        right = "Write shorter sentences and shorter words."
        yield _finding(READING_AGE, source, "title", wrong, right)


def reading_age(body: str) -> float:
    """Years: the age at which most can read a text, by letters a word and words a sentence."""
    text = _MARKS.sub(" ", _TARGETS.sub("] ", _VALUES.sub("thing", _TAGS.sub(" ", body))))
    words = _WORD.findall(text)
    sentences = [each for each in _ENDS.split(text) if _WORD.search(each)]
    if not words:
        return 0.0
    letters = sum(len(word) for word in words)
    grade = 4.71 * letters / len(words) + 0.5 * len(words) / len(sentences) - 21.43
    return grade + 5


def _finding(rule: Rule, source: ArticleSource, field: str, wrong: str, right: str) -> Finding:
    entry = source.entry.child(field) or source.entry
    return Finding(
        rule.id, entry.place, wrong, right, path=field, severity=rule.severity, basis=rule.basis
    )
