"""The articles of a workspace by id: those that ship, with its own laid over them.

An own article stands for the shipped one of its id. ``content/library.yaml`` takes shipped ones
away: ``null`` removes, one article or all of them.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import Field

from builder.errors import Finding, Findings, suggestion
from builder.model.article import Article
from builder.model.record import ById, Record, empty
from builder.read_once import read_once
from builder.shipped import LAYER, below, shipped
from builder.sources.articles import read_article
from builder.sources.checking import check
from builder.sources.entry import Entry
from builder.sources.folder import Folder
from builder.sources.yaml_reader import read_yaml

ARTICLES = "content/articles"


def ids_of_articles(files: Iterable[str]) -> frozenset[str]:
    """The ids of the articles among some files of a workspace."""
    return frozenset(Path(each).stem for each in files if each.startswith(f"{ARTICLES}/"))


LIBRARY = "content/library.yaml"


@dataclass(frozen=True, slots=True)
class ArticleSource:
    """An article with the entries of its front matter, for findings about them.

    ``instead_of``: the file of the shipped article for which it stands.
    """

    article: Article
    entry: Entry
    instead_of: str | None = None

    @property
    def ships(self) -> bool:
        """Whether it came with the builder."""
        return self.article.file.startswith(LAYER)

    @property
    def layer(self) -> str:
        """Who says what stands in it, as answers name it."""
        return "the shipped library" if self.ships else "this workspace"


class LibraryFile(Record):
    """``content/library.yaml`` of a workspace: what it goes without of the articles that ship.

    ``articles``: ``null`` under the id of an article takes that one away, ``null`` for all of them
    leaves the workspace with its own.
    """

    articles: ById[None] | None = Field(default_factory=empty)


def shipped_articles(root: Path) -> Mapping[str, ArticleSource]:
    """The articles that lie below those of a workspace; in the working copy they are its own."""
    folder = below(root, ARTICLES)
    return {} if folder is None else _read(shipped())


@cache
def _read(ships: Path) -> Mapping[str, ArticleSource]:
    """The articles as they ship; they never change while the builder runs.

    Raises:
        TypeError: one of them cannot be read, which the builder's own tests find.
    """
    return read_once("articles", [ships / ARTICLES], lambda: _read_shipped(ships))


def _read_shipped(ships: Path) -> Mapping[str, ArticleSource]:
    folder, findings = Folder(ships, LAYER), Findings()
    read = [read_article(folder, path, findings) for path in folder.matching(f"{ARTICLES}/**/*.md")]
    if findings.errors:
        raise TypeError("\n".join(map(str, findings)))
    return {each[0].id: ArticleSource(*each) for each in read if each is not None}


def removed_articles(folder: Folder, findings: Findings) -> Mapping[str, Entry]:
    """The articles that ship and that a workspace goes without, with the places that say so."""
    path = folder.root / LIBRARY
    text = folder.read(path, findings) if folder.holds(path) else None
    entry = read_yaml(text, LIBRARY, findings) if text is not None else None
    read: Any = check(entry, LibraryFile, findings) if entry is not None else None
    said = entry.child("articles") if entry is not None and read is not None else None
    if said is None:
        return {}
    ships = shipped_articles(folder.root)
    if said.value is None:
        return dict.fromkeys(ships, said)
    findings.extend(_unknown(said.children, ships))
    return {name: each for name, each in said.children.items() if name in ships}


def _unknown(said: Mapping[str, Entry], ships: Mapping[str, ArticleSource]) -> Iterator[Finding]:
    for name, entry in said.items():
        if name not in ships:
            yield Finding(
                "library.unknown-article",
                entry.named_at,
                f"No article '{name}' ships, so there is nothing to take away.",
                suggestion(name, ships, "Articles that ship are"),
                path=f"articles.{name}",
            )


def library(
    own: Mapping[str, ArticleSource],
    ships: Mapping[str, ArticleSource],
    gone: Collection[str],
) -> dict[str, ArticleSource]:
    """Both layers in one, in the order of their ids. ``gone``: those that ship and are taken away,
    or for which an own one stands that could not be read."""
    kept = {name: each for name, each in ships.items() if name not in gone}
    over = {
        name: ArticleSource(each.article, each.entry, ships[name].article.file)
        if name in ships
        else each
        for name, each in own.items()
    }
    return dict(sorted({**kept, **over}.items()))
