"""Reads a whole workspace: every source file, checked by itself, with all mistakes collected."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from builder.errors import Finding, Findings, Place, UsageError, suggestion
from builder.model.article import Article
from builder.model.people import Plot
from builder.model.record import IDENTIFIER
from builder.model.shape import partial
from builder.sources.articles import read_article
from builder.sources.checking import check
from builder.sources.entry import Entry, plain
from builder.sources.files import (
    DEVELOPMENT_FILE,
    HOUSE_TYPE_FILE,
    OPTION_FILE,
    PAPERS_FILE,
    PLOT_FILE,
    STANDARD_FILE,
    Kind,
)
from builder.sources.folder import Folder
from builder.sources.scope import Scope
from builder.sources.table import Row, read_plots
from builder.sources.yaml_reader import read_yaml

STANDARD = "housetypes/standard.yaml"
PAPERS = "content/documents.yaml"
"""The papers that a workspace adds to those of every home, or takes out."""


@dataclass(frozen=True, slots=True)
class PlotSource:
    """One plot as its authors wrote it: its row, and the entries of its own file."""

    development: str
    number: str
    row: Entry
    file: str
    own: Entry | None

    @property
    def reference(self) -> str:
        return f"{self.development}/{self.number}"

    @property
    def numbers(self) -> tuple[str, ...]:
        """Its number, and those that it had before."""
        former = self.own.child("formerly") if self.own else None
        return (self.number, *(plain(former) if former else ()))


@dataclass(frozen=True, slots=True)
class DevelopmentSource:
    """One development's folder and file, and its plots by number in the order of its table.

    ``listed`` is false where the table could not be read: then nobody knows its plots.
    """

    id: str
    file: str
    entry: Entry | None
    plots: Mapping[str, PlotSource]
    listed: bool


@dataclass(frozen=True, slots=True)
class ArticleSource:
    """An article with the entries of its front matter, for findings about them."""

    article: Article
    entry: Entry


@dataclass(frozen=True)
class Workspace:
    """All sources of a workspace. ``unread`` names the files that had mistakes and are left out;
    ``sound`` those that were looked at before and need no second look by themselves."""

    folder: Folder
    papers: Entry | None
    standard: Entry | None
    house_types: Mapping[str, Entry]
    options: Mapping[str, Entry]
    developments: Mapping[str, DevelopmentSource]
    articles: Mapping[str, ArticleSource]
    unread: frozenset[str] = frozenset()
    sound: frozenset[str] = frozenset()

    @property
    def shared_layers(self) -> Iterator[Entry]:
        """Every layer that was read and that plots share."""
        if self.papers is not None:
            yield self.papers
        if self.standard is not None:
            yield self.standard
        yield from self.house_types.values()
        yield from self.options.values()
        for development in self.developments.values():
            if development.entry is not None:
                yield development.entry

    @cached_property
    def plots(self) -> Mapping[str, PlotSource]:
        """Every plot by its reference, ``<development>/<plot>``."""
        return {
            plot.reference: plot
            for development in self.developments.values()
            for plot in development.plots.values()
        }


def read_workspace(root: Path, findings: Findings, scope: Scope | None = None) -> Workspace:
    """The workspace in a folder, whole or as far as its scope.

    Mistakes go to ``findings``; a folder that is no workspace raises UsageError.
    """
    if not (root / "housetypes").is_dir() and not (root / "developments").is_dir():
        raise UsageError(
            f"'{root}' is not a workspace: it has no folders 'housetypes' and 'developments'."
        )
    return _Reading(Folder(root), findings, scope).workspace()


class _Reading:
    """One reading of a workspace."""

    def __init__(self, folder: Folder, findings: Findings, scope: Scope | None) -> None:
        self.folder = folder
        self.findings = findings
        self.unread: set[str] = set()
        self.wanted = scope.developments if scope else None
        self.sound = scope.sound if scope else frozenset()

    def workspace(self) -> Workspace:
        papers = self.folder.root / PAPERS
        standard = self._layer(self.folder.root / STANDARD, STANDARD_FILE)
        house_types = self._layers("housetypes/*.yaml", HOUSE_TYPE_FILE, besides=STANDARD)
        options = self._layers("housetypes/options/*.yaml", OPTION_FILE)
        developments = {
            path.name: self._development(path)
            for path in self.folder.folders("developments")
            if (self.wanted is None or path.name in self.wanted)
            and self._well_named(path, path.name)
        }
        return Workspace(
            self.folder,
            self._layer(papers, PAPERS_FILE) if papers.is_symlink() | papers.exists() else None,
            standard,
            house_types,
            options,
            developments,
            self._articles(),
            frozenset(self.unread),
            self.sound,
        )

    def _layers(self, pattern: str, kind: Kind[Any], besides: str = "") -> dict[str, Entry]:
        """The files that match, by the id that is their name."""
        return {
            path.stem: entry
            for path in self.folder.matching(pattern)
            if self.folder.name(path) != besides
            and self._well_named(path, path.stem)
            and (entry := self._layer(path, kind)) is not None
        }

    def _layer(self, path: Path, kind: Kind[Any]) -> Entry | None:
        file = self.folder.name(path)
        text = self.folder.read(path, self.findings)
        entry = None if text is None else read_yaml(text, file, self.findings)
        if entry is not None and (file in self.sound or self._checks(entry, kind)):
            return entry
        self.unread.add(file)
        return None

    def _checks(self, entry: Entry, kind: Kind[Any]) -> bool:
        if check(entry, kind.narrow(entry), Findings()) is not None:
            return True
        return check(entry, kind.whole, self.findings) is not None

    def _well_named(self, path: Path, name: str) -> bool:
        if re.match(IDENTIFIER, name):
            return True
        self.findings.add(
            Finding(
                "file.name",
                Place(self.folder.name(path)),
                f"'{name}' is not an id.",
                "Name it in lower-case words or numbers joined by hyphens.",
            )
        )
        self.unread.add(self.folder.name(path))
        return False

    def _development(self, path: Path) -> DevelopmentSource:
        entry = self._layer(path / "development.yaml", DEVELOPMENT_FILE)
        table = path / "plots.csv"
        text = self.folder.read(table, self.findings)
        rows = None
        if text is not None:
            ignore = _ignored_columns(entry)
            rows = read_plots(text, self.folder.name(table), ignore, self.findings)
        plots = {row.number: self._plot(path, row) for row in rows or ()}
        if rows is not None:
            self._plots_without_row(path, plots)
        return DevelopmentSource(
            path.name, self.folder.name(path), entry, plots, listed=rows is not None
        )

    def _plot(self, development: Path, row: Row) -> PlotSource:
        path = development / "plots" / f"{row.number}.yaml"
        named = re.match(IDENTIFIER, row.number) is not None
        plot = row.entry.children["plot"]
        reference = f"{development.name}/{row.number}"
        if f"{self.folder.name(development)}/plots.csv" not in self.sound:
            check(plot, partial(Plot), self.findings, path=("plot",), plots=(reference,))
        own = self._layer(path, PLOT_FILE) if named and path.is_symlink() | path.exists() else None
        return PlotSource(development.name, row.number, row.entry, self.folder.name(path), own)

    def _plots_without_row(self, development: Path, plots: Mapping[str, PlotSource]) -> None:
        from_rows = {plot.file for plot in plots.values()}
        for path in self.folder.matching(f"developments/{development.name}/plots/*.yaml"):
            if self.folder.name(path) not in from_rows:
                self.findings.add(_no_row(self.folder.name(path), path.stem, plots))

    def _articles(self) -> dict[str, ArticleSource]:
        articles: dict[str, ArticleSource] = {}
        for path in self.folder.matching("content/articles/**/*.md"):
            if not self._well_named(path, path.stem):
                continue
            read = read_article(self.folder, path, self.findings)
            if read is None:
                self.unread.add(self.folder.name(path))
            elif path.stem in articles:
                first = articles[path.stem].article.file
                self.findings.add(_article_twice(self.folder.name(path), path.stem, first))
            else:
                articles[path.stem] = ArticleSource(*read)
        return articles


def _ignored_columns(development: Entry | None) -> tuple[str, ...]:
    return (
        tuple(plain(development)["development"].get("ignore_columns") or ()) if development else ()
    )


def _no_row(file: str, number: str, plots: Mapping[str, PlotSource]) -> Finding:
    return Finding(
        "plots.no-row",
        Place(file),
        f"plots.csv has no row for plot '{number}'.",
        suggestion(number, plots, "Its plots are"),
    )


def _article_twice(file: str, identifier: str, first: str) -> Finding:
    return Finding(
        "article.twice",
        Place(file),
        f"The article '{identifier}' stands in two files; the first is {first}.",
        "Rename one of them.",
    )
