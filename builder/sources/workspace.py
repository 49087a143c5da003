"""Reads a whole workspace: every source file, checked by itself, with all mistakes collected."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from functools import partial as partial_call
from pathlib import Path
from typing import Any, TypeVar

from builder.errors import Finding, Findings, Place, UsageError, printable
from builder.model.drawing import Drawing
from builder.model.record import is_identifier, no_identifier
from builder.sources.articles import article_twice, read_article
from builder.sources.belonging import linked_private_folders, unread_files
from builder.sources.demonstration import FOLDER as DEMONSTRATION
from builder.sources.demonstration import DemonstrationWords, read_demonstration
from builder.sources.drawings import FOLDER as DRAWINGS
from builder.sources.drawings import read_drawings
from builder.sources.entry import Address, Entry, plain
from builder.sources.files import (
    DEVELOPMENT_FILE,
    HOUSE_TYPE_FILE,
    OPTION_FILE,
    PAPERS_FILE,
    PLOT_FILE,
    STANDARD_FILE,
    FileKind,
)
from builder.sources.folder import Folder
from builder.sources.kept_files import KeptFiles
from builder.sources.languages import FOLDER as LANGUAGES
from builder.sources.languages import LanguageSource, Originals, originals_of, read_languages
from builder.sources.library import (
    ARTICLES,
    ArticleSource,
    ids_of_articles,
    library,
    removed_articles,
    shipped_articles,
)
from builder.sources.rows import ignored_columns, no_row, sound_row
from builder.sources.scope import Scope, is_of_plots
from builder.sources.sound import is_sound, sound_part
from builder.sources.symptoms import FOLDER as SYMPTOMS
from builder.sources.symptoms import SymptomSource, read_symptoms
from builder.sources.table import Row, read_plots
from builder.sources.yaml_reader import read_on

T = TypeVar("T")
STANDARD = "housetypes/standard.yaml"
PAPERS = "content/documents.yaml"
"""The papers that a workspace adds to those of every home, or takes out."""


@dataclass(frozen=True, slots=True)
class PlotSource:
    """One plot as its authors wrote it: its row, and the entries of its own file.

    ``lost``: what was left out of both because it is wrong, by its addresses in the home.
    """

    development: str
    number: str
    row: Entry
    file: str
    own: Entry | None
    lost: frozenset[Address] = frozenset()

    @property
    def reference(self) -> str:
        return f"{self.development}/{self.number}"

    @property
    def references(self) -> tuple[str, ...]:
        """Its reference, and those that it had before."""
        former = self.own.child("formerly") if self.own else None
        named = (self.number, *(plain(former) if former else ()))
        return tuple(each if "/" in each else f"{self.development}/{each}" for each in named)

    @property
    def numbers(self) -> tuple[str, ...]:
        """The same by the numbers alone, but for those of other developments."""
        return tuple(each.removeprefix(f"{self.development}/") for each in self.references)


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


@dataclass(frozen=True)
class Workspace:
    """All sources of a workspace. ``unread`` names the files that have mistakes: what is wrong in them
    is left out, and ``lost`` holds its addresses in a home, by the file. ``sound`` names the files that
    were looked at before and need no second look by themselves; ``removed`` the articles that ship and
    are not wanted, with the places that say so."""

    folder: Folder
    papers: Entry | None
    standard: Entry | None
    house_types: Mapping[str, Entry]
    options: Mapping[str, Entry]
    developments: Mapping[str, DevelopmentSource]
    articles: Mapping[str, ArticleSource]
    unread: frozenset[str] = frozenset()
    lost: Mapping[str, frozenset[Address]] = field(default_factory=dict)
    sound: frozenset[str] = frozenset()
    removed: Mapping[str, Entry] = field(default_factory=dict)
    symptoms: Mapping[str, SymptomSource] = field(default_factory=dict)
    drawings: Mapping[str, Drawing] = field(default_factory=dict)
    languages: Mapping[str, LanguageSource] = field(default_factory=dict)
    demonstration: DemonstrationWords = field(default_factory=DemonstrationWords)

    @cached_property
    def own_articles(self) -> tuple[ArticleSource, ...]:
        """The articles of its own. The words of those that ship were judged before they did."""
        return tuple(each for each in self.articles.values() if not each.ships)

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


def read_workspace(
    root: Path, findings: Findings, scope: Scope | None = None, kept: KeptFiles | None = None
) -> Workspace:
    """The workspace in a folder, whole or as far as its scope.

    ``kept``: what an earlier reading made of its files, so that only those are read that changed.
    Mistakes go to ``findings``; a folder that is no workspace raises UsageError.
    """
    if not (root / "housetypes").is_dir() and not (root / "developments").is_dir():
        raise UsageError(
            f"'{root}' is not a workspace: it has no folders 'housetypes' and 'developments'. "
            "Go to yours, or begin one: handover new development NAME"
        )
    return _WorkspaceReading(Folder(root), findings, scope, kept or KeptFiles()).workspace()


def with_other_files(
    root: Path, instead: Mapping[str, bytes | None], findings: Findings, kept: KeptFiles
) -> Workspace:
    """The workspace as it would be if some files held something else, which is written nowhere. None: no
    such file."""
    folder = Folder(root, instead=instead)
    return _WorkspaceReading(folder, findings, None, kept).workspace()


def with_other_plots(
    now: Workspace, found: Iterable[Finding], instead: Mapping[str, bytes | None],
    findings: Findings, kept: KeptFiles,
) -> Workspace:  # fmt: skip
    """The same where all these files are those that developments of ``now`` and their plots are written
    in: nothing else is read. ``found``: what was found when ``now`` was read as the disk is."""
    again = Scope(frozenset(name.split("/")[1] for name in instead if is_of_plots(name)))
    folder = Folder(now.folder.root, instead=instead)
    read_again = [f"developments/{name}/" for name in again.developments]
    for each in found:
        if not (is_of_plots(each.place.file) and each.place.file.startswith(tuple(read_again))):
            findings.add(each)
    return _WorkspaceReading(folder, findings, again, kept).developments_of(now)


class _WorkspaceReading:
    """Reads a workspace once, with all that is wrong in it."""

    def __init__(
        self, folder: Folder, findings: Findings, scope: Scope | None, kept: KeptFiles
    ) -> None:
        self.folder = folder
        self.kept = kept
        self.findings = findings
        self.unread: set[str] = set()
        self.lost: dict[str, frozenset[Address]] = {}
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
        self._files_of_nobody(developments)
        removed = removed_articles(self.folder, self.findings)
        articles = self._library(removed)
        symptoms = self._folder_once(SYMPTOMS, read_symptoms)
        return Workspace(
            self.folder,
            self._layer(papers, PAPERS_FILE) if self.folder.holds(papers) else None,
            standard, house_types, options, developments, articles,
            frozenset(self.unread), self.lost, self.sound, removed, symptoms,
            self._folder_once(DRAWINGS, read_drawings),
            self._languages(originals_of(articles, symptoms, ids_of_articles(self.unread))),
            self._folder_once(DEMONSTRATION, lambda folder, _: read_demonstration(folder)),
        )  # fmt: skip

    def developments_of(self, now: Workspace) -> Workspace:
        """A workspace in which only the wanted developments are read, and all else is as it was."""
        root = self.folder.root / "developments"
        read = {name: self._development(root / name) for name in self.wanted or ()}
        self._plots_without_rows(read)
        again = {each for each in now.unread if is_of_plots(each) and self._is_wanted(each)}
        other = {name: each for name, each in now.lost.items() if name not in again}
        return replace(
            now,
            folder=self.folder,
            developments={name: read.get(name, each) for name, each in now.developments.items()},
            unread=(now.unread - again) | self.unread,
            lost={**other, **self.lost},
        )

    def _languages(self, originals: Originals) -> Mapping[str, LanguageSource]:
        return self._folder_once(
            LANGUAGES,
            lambda folder, found: read_languages(folder, originals, found, self.kept),
            originals,
        )

    def _layers(self, pattern: str, kind: FileKind[Any], besides: str = "") -> dict[str, Entry]:
        """The files that match, by the id that is their name."""
        return {
            path.stem: entry
            for path in self.folder.matching(pattern)
            if self.folder.name(path) != besides
            and self._well_named(path, path.stem)
            and (entry := self._layer(path, kind)) is not None
        }

    def _layer(self, path: Path, kind: FileKind[Any]) -> Entry | None:
        """The entries of a file without what is wrong in it, or nothing where too little is left."""
        file = self.folder.name(path)
        entry, lost = self._made_once(
            "layer", path, lambda found: self._entries_of_layer(path, kind, found)
        )
        if lost is not None:
            self.unread.add(file)
            self.lost[file] = lost
        return entry

    def _made_once(self, what: str, path: Path, make: Callable[[Findings], T]) -> T:
        instead = self.folder.instead.get(self.folder.name(path))
        return self.kept.made(what, path, make, self.findings, instead)

    def _folder_once(self, name: str, make: Callable[[Folder, Findings], T], *parts: object) -> T:
        """What is made of all files of a folder, from the last time where none of them has changed."""
        folder = self.folder
        instead = {
            each: text for each, text in folder.instead.items() if each.startswith(f"{name}/")
        }
        # What other files than its own have a part in is kept beside what it is without the trial.
        on_trial = folder.instead if parts else instead
        what = f"{name} on trial" if on_trial else name
        return self.kept.made_of_folder(
            what, folder.root / name, partial_call(make, folder), self.findings, instead, *parts
        )  # fmt: skip

    def _entries_of_layer(
        self, path: Path, kind: FileKind[Any], found: Findings
    ) -> tuple[Entry | None, frozenset[Address] | None]:
        """The entries of a file, and what was left out of it; nothing was where nothing is wrong."""
        file = self.folder.name(path)
        text = self.folder.read_on(path, found)
        read = None if text is None else read_on(text, file, found)
        if read and not len(found) and (file in self.sound or is_sound(read.entry, kind)):
            return read.entry, None
        sound = sound_part(read, kind, found) if read else None
        return (sound.entry, sound.lost) if sound else (None, frozenset())

    def _well_named(self, path: Path, name: str) -> bool:
        problem = no_identifier(name)
        if problem is None:
            return True
        wrong, right = f"'{printable(name)}' {problem[0]}.", problem[1]
        self.findings.add(Finding("file.name", Place(self.folder.name(path)), wrong, right))
        self.unread.add(self.folder.name(path))
        return False

    def _development(self, path: Path) -> DevelopmentSource:
        file = path / "development.yaml"
        entry = self._layer(file, DEVELOPMENT_FILE)
        lost = self.lost.get(self.folder.name(file), frozenset())
        rows = self._rows(path / "plots.csv", ignored_columns(entry, lost))
        read = [self._plot(path, row, lost) for row, lost in rows or ()]
        plots = {plot.number: plot for plot in read}
        return DevelopmentSource(
            path.name, self.folder.name(path), entry, plots, listed=rows is not None
        )

    def _rows(
        self, table: Path, ignore: tuple[str, ...] | None
    ) -> tuple[tuple[Row, frozenset[Address]], ...] | None:
        """The rows of a table without what is wrong in them, and what that is."""
        checked = self.folder.name(table) not in self.sound

        def read(found: Findings) -> tuple[tuple[Row, frozenset[Address]], ...] | None:
            text, file = self.folder.read_on(table, found), self.folder.name(table)
            rows = None if text is None else read_plots(text, file, ignore, found)
            if rows is None:
                return None
            name = table.parent.name
            whole = frozenset[Address]()
            return tuple(
                sound_row(each, name, found) if checked else (each, whole) for each in rows
            )

        instead = self.folder.instead.get(self.folder.name(table))
        return self.kept.made("table", table, read, self.findings, instead, ignore, checked)

    def _plot(self, development: Path, row: Row, lost: frozenset[Address]) -> PlotSource:
        """One plot; one whose number is no id has no file."""
        file = f"{self.folder.name(development)}/plots/{row.number}.yaml"
        path, own = development / "plots" / f"{row.number}.yaml", None
        if is_identifier(row.number) and self.folder.holds(path):
            own = self._layer(path, PLOT_FILE)
            lost |= self.lost.get(file, frozenset())
        return PlotSource(development.name, row.number, row.entry, file, own, lost)

    def _files_of_nobody(self, developments: Mapping[str, DevelopmentSource]) -> None:
        """Plot files without a row, and every other file that nothing reads."""
        self._plots_without_rows(developments)
        listed = {name: each.plots for name, each in developments.items() if each.listed}
        root = self.folder.root
        for finding in (*linked_private_folders(root), *unread_files(root, listed)):
            if self.wanted is None or self._is_wanted(finding.place.file):
                self.findings.add(finding)

    def _plots_without_rows(self, developments: Mapping[str, DevelopmentSource]) -> None:
        listed = {name: each.plots for name, each in developments.items() if each.listed}
        for name, plots in listed.items():
            files = {plot.file for plot in plots.values()}
            for path in self.folder.matching(f"developments/{name}/plots/*.yaml"):
                if self.folder.name(path) not in files:
                    self.findings.add(no_row(self.folder.name(path), name, path.stem, plots))

    def _is_wanted(self, file: str) -> bool:
        """Whether a file is of a development that is read, or of none."""
        folder, _, inside = file.partition("/")
        return folder != "developments" or inside.split("/")[0] in (self.wanted or ())

    def _library(self, removed: Mapping[str, Entry]) -> dict[str, ArticleSource]:
        own = self._articles()
        gone = {*removed, *ids_of_articles(self.unread)}
        return library(own, shipped_articles(self.folder.root), gone)

    def _articles(self) -> dict[str, ArticleSource]:
        articles: dict[str, ArticleSource] = {}
        for path in self.folder.matching(f"{ARTICLES}/**/*.md"):
            if not self._well_named(path, path.stem):
                continue
            read = self._made_once("article", path, partial_call(read_article, self.folder, path))
            if read is None:
                self.unread.add(self.folder.name(path))
            elif path.stem in articles:
                first = articles[path.stem].article.file
                self.findings.add(article_twice(self.folder.name(path), path.stem, first))
            else:
                articles[path.stem] = ArticleSource(*read)
        return articles
