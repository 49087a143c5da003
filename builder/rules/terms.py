"""One word for one thing: what an owner reads on one page is called so on all others."""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files

from builder.errors import Finding, Place, Severity
from builder.model.article import Article
from builder.rules.rule import Rule
from builder.sources.library import ArticleSource
from builder.sources.workspace import Workspace
from builder.sources.yaml_plain import shipped_values

ONE_TERM = Rule(
    "words.one-term", "One thing has one name in all articles.", Severity.NOTE,
    basis="house rule: the list stands in builder/rules/one_term.yaml",
)  # fmt: skip
TERM_RULES = (ONE_TERM,)
_READ = ("title", "summary", "actions", "cautions", "tasks")
"""Parts of front matter that an owner reads and that name things."""


def one_term(workspace: Workspace) -> Iterator[Finding]:
    """A note for each other name of a thing in the articles of a workspace."""
    for source in workspace.own_articles:
        for place, text in (*_front(source), *_body(source.article)):
            for found in _other_terms().finditer(text):
                yield _finding(place, found.group(), _one_name_of(found.group()))


@cache
def _terms() -> Mapping[str, str]:
    """Each other name, in small letters, and the one that is used; they never change in a run."""
    text = (files("builder.rules") / "one_term.yaml").read_text(encoding="utf-8")
    listed = shipped_values(text)
    return {other.casefold(): term for term, others in listed.items() for other in others}


@cache
def _other_terms() -> re.Pattern[str]:
    names = sorted(_terms(), key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, names))})s?(?![\w-])", re.IGNORECASE)


def _front(source: ArticleSource) -> Iterator[tuple[Place, str]]:
    for key in _READ:
        entry = source.entry.child(key)
        waiting = [entry] if entry is not None else []
        while waiting:
            here = waiting.pop()
            if isinstance(here.value, str):
                yield here.place, here.value
            elif isinstance(here.value, tuple):
                waiting.extend(here.value)
            else:
                waiting.extend(child for name, child in here.children.items() if name != "when")


def _body(article: Article) -> Iterator[tuple[Place, str]]:
    plain = _MARKS.sub(lambda found: re.sub(r"[^\n]", " ", found.group()), article.body)
    for number, line in enumerate(plain.split("\n")):
        yield Place(article.file, article.body_line + number), line


_MARKS = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}|(?<=\])\([^)]*\)", re.DOTALL)


def _one_name_of(said: str) -> str:
    """The one name of a thing, by another name of it or of several of it."""
    name = said.casefold()
    return _terms().get(name) or _terms()[name.removesuffix("s")]


def _finding(place: Place, said: str, term: str) -> Finding:
    return ONE_TERM.finding(
        place,
        f"'{said}' is called '{term}' on other pages.",
        f"Say '{term}', and list '{said}' under 'words', for those who look for it.",
    )
