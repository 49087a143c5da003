"""Articles are looked at again in time, and are easy to read."""

import re
from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from dateutil.relativedelta import relativedelta

from builder.errors import Finding, Place, Severity
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
LONG_SENTENCE = Rule(
    "articles.long-sentence", "A sentence of an article has at most 25 words.", Severity.NOTE,
    basis="house rule: twelve words on average",
)  # fmt: skip
SAID_TWICE = Rule(
    "articles.said-twice", "An article says what to do once: in its actions, and nowhere in its body.",
    basis="house rule: who reads the same line twice looks for the difference",
)  # fmt: skip
WHOLE = 4
"""Words of the shortest sentence that counts."""
ARTICLE_RULES = (SAID_TWICE, REVIEW_PAST, REVIEW_AHEAD, READING_AGE, LONG_SENTENCE)
_TAGS = re.compile(r"\{%.*?%\}|\{#.*?#\}|(?<=\])\([^)]*\)", re.DOTALL)
_VALUES = re.compile(r"\{\{.*?\}\}", re.DOTALL)
_BEGINS = re.compile(r"^[ \t]*(?:\d+\.|[-*#]+)[ \t]+|\|", re.MULTILINE)
_MARKS = re.compile(r"[#*_>`\[\]]")
_ENDS = re.compile(r"[.!?:](?=\s|$)|\n\s*\n|\0+|\Z")
_WORD = re.compile(r"[^\W_]+(?:['\u2019-][^\W_]+)*")
LONGEST = 25
"""Words of a sentence that an article may hold (house rule: about 12 on average)."""


class Sentence(NamedTuple):
    """A sentence of a body, without its marks; ``start`` is the offset of its first word there."""

    start: int
    text: str

    @property
    def words(self) -> list[str]:
        return _WORD.findall(self.text)

    @property
    def quoted(self) -> str:
        """Its first words, as a message quotes it."""
        text = " ".join(self.text.split())
        return text if len(text) <= _QUOTED else f"{text[:_QUOTED].rsplit(' ', 1)[0]} …"


SAME, FEWEST_TELLING = 0.72, 3
"""The share of telling words that two sentences have in common where they say the same, and how few of
them a sentence may have to be compared."""
_LITTLE = frozenset(
    "a all an and any are as at be before but by do does each for from has have if in into is it its"  # noqa: SIM905 - a list of words
    " no not of off on one only or out so than that the their them then there they this to too until up"
    " was when where which while with you your".split()
)
_QUOTED = 60
"""Letters of a sentence that a message quotes."""


def articles_are_kept(workspace: Workspace, day: date) -> Iterator[Finding]:
    """What is wrong with the articles of a workspace on a day."""
    yield from _shipped_long_ago([each for each in workspace.articles.values() if each.ships], day)
    for source in workspace.own_articles:
        yield from _reviewed(source, day)
        yield from _readable(source)
        yield from _said_twice(source)


def _shipped_long_ago(shipped: list[ArticleSource], day: date) -> Iterator[Finding]:
    """One finding for all that ship and are past their review: nobody can change them, and one act mends
    it. One that was reviewed after the day that is asked for is no mistake of the workspace."""
    past = sorted((each for each in shipped if _due(each) < day), key=_due)
    if past:
        first = past[0].article.front.reviewed.isoformat()
        many = (
            f"{len(past)} articles that ship were" if len(past) > 1 else "1 article that ships was"
        )
        since = f"the first on {first}" if len(past) > 1 else f"on {first}"
        wrong = f"{many} last reviewed more than {REVIEWED_EVERY} years ago, {since}."
        right = "Take a newer version of the builder; 'handover articles --due' lists them."
        yield _finding(REVIEW_PAST, past[0], "reviewed", wrong, right)


def _due(source: ArticleSource) -> date:
    due: date = source.article.front.reviewed + relativedelta(years=REVIEWED_EVERY)
    return due


def _reviewed(source: ArticleSource, day: date) -> Iterator[Finding]:
    reviewed, due = source.article.front.reviewed, _due(source)
    if reviewed > day:
        wrong = f"This article was reviewed on {reviewed.isoformat()}, which is still to come."
        yield _finding(REVIEW_AHEAD, source, "reviewed", wrong, "Write the day of the review.")
    elif due < day:
        wrong = f"This article was last reviewed on {reviewed.isoformat()}; it was due on {due.isoformat()}."
        right = "Read it again, check its sources, and write today's date."
        yield _finding(REVIEW_PAST, source, "reviewed", wrong, right)


def _readable(source: ArticleSource) -> Iterator[Finding]:
    read = list(sentences(source.article.body))
    age = _age(read)
    if age > OLDEST_READER:
        hardest = max(read, key=lambda each: _age([each]))
        wrong = f"A reader needs an age of {age:.1f} years for this article; the house keeps to {OLDEST_READER}."
        right = (
            f"Write shorter sentences and shorter words. The hardest begins: '{hardest.quoted}'."
        )
        yield _finding_at(READING_AGE, source, hardest, wrong, right)
    for each in read:
        if (length := len(each.words)) > LONGEST:
            wrong = f"This sentence has {length} words: '{each.quoted}'."
            right = f"Make two of it; a sentence has at most {LONGEST} words."
            yield _finding_at(LONG_SENTENCE, source, each, wrong, right)


def _said_twice(source: ArticleSource) -> Iterator[Finding]:
    """Sentences of the body that say what an action says. Headings and tables name things: they may."""
    front, body = source.article.front, source.article.body
    others = (each for other in front.other_actions.values() for each in other.do)
    actions = [each for action in (*front.actions, *others) for each in sentences(action)]
    for each in sentences(body):
        line = body[body.rfind("\n", 0, each.start) + 1 : each.start]
        if not line.startswith(("#", "|")):
            said = next((action for action in actions if _are_alike(action, each)), None)
            if said is not None:
                wrong = f"'{each.quoted}' says what the action '{said.quoted}' says."
                yield _finding_at(
                    SAID_TWICE, source, each, wrong, "Say it once: leave it to the action."
                )


def _are_alike(one: Sentence, other: Sentence) -> bool:
    """Whether two sentences have most of their telling words in common (Dice, 1945, from memory)."""
    first, second = _telling(one), _telling(other)
    if min(len(first), len(second)) < FEWEST_TELLING:
        return False
    return 2 * len(first & second) / (len(first) + len(second)) >= SAME


def _telling(sentence: Sentence) -> set[str]:
    """The words of a sentence that tell something, without the endings of plurals."""
    return {each.lower().rstrip("s") for each in sentence.words if each.lower() not in _LITTLE}


def sentences(body: str) -> Iterator[Sentence]:
    """The sentences of an article as its editor wrote them. A value stands for one word."""
    text = _VALUES.sub(lambda found: "thing".ljust(len(found.group())), _TAGS.sub(_blank, body))
    text = _MARKS.sub(" ", _BEGINS.sub(lambda found: "\0" * len(found.group()), text))
    begin = 0
    for end in _ENDS.finditer(text):
        if first := _WORD.search(text, begin, end.start()):
            yield Sentence(first.start(), text[first.start() : end.start()])
        begin = end.end()


def _blank(found: re.Match[str]) -> str:
    """As many spaces as were found, and its line ends, so that every offset stays."""
    return re.sub(r"[^\n]", " ", found.group())


def reading_age(body: str) -> float:
    """Years: the age at which most can read a text, by letters a word and words a sentence. Names of
    things and cells of tables are no sentences: they would make any text look easy."""
    return _age(list(sentences(body)))


def _age(every: list[Sentence]) -> float:
    read = [each for each in every if len(each.words) >= WHOLE] or every
    words = [word for each in read for word in each.words]
    if not words:
        return 0.0
    letters = sum(len(word) for word in words)
    return 4.71 * letters / len(words) + 0.5 * len(words) / len(read) - 21.43 + 5


def _finding_at(
    rule: Rule, source: ArticleSource, sentence: Sentence, wrong: str, right: str
) -> Finding:
    """A finding at the line of an article's body where a sentence begins."""
    article = source.article
    before = article.body[: sentence.start].split("\n")
    place = Place(article.file, article.body_line + len(before) - 1, len(before[-1]) + 1)
    return rule.finding(place, wrong, right)


def _finding(rule: Rule, source: ArticleSource, field: str, wrong: str, right: str) -> Finding:
    entry = source.entry.child(field) or source.entry
    return rule.finding(entry.place, wrong, right, field)
