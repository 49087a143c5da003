"""One reading of a workspace, and a look at each of its plots: the domain's own stages, plot by plot."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property, partial
from itertools import chain
from pathlib import Path

from builder.board.standing import Standing, facts_of, publication_of
from builder.build.manifest import Records
from builder.build.promises import check_promises
from builder.build.source_files import SourceFiles
from builder.build.sources import Sources
from builder.digests import digest_of_file
from builder.errors import Finding, Findings, Severity
from builder.guide.pages import Guide
from builder.home.assemble import TracedHome
from builder.preparing import Prepared, Preparing, each_file, files_together, shared_files, stopped
from builder.questions.having import pieces_in
from builder.readiness.assess import assess_one
from builder.register.codes import REGISTER, SEAL
from builder.register.issuing import sticker_days
from builder.register.labelling import address_can_be_printed
from builder.register.lines import Register
from builder.register.moving import register_of
from builder.register.reading import read_register
from builder.selection.checking import kinds_name_articles
from builder.sources.folder import Folder
from builder.sources.kept_files import KeptFiles, stamp_of
from builder.sources.scope import is_of_plots
from builder.sources.workspace import (
    PlotSource,
    Workspace,
    read_workspace,
    with_other_files,
    with_other_plots,
)

Part = tuple[object, Callable[[], Workspace]]
"""A shared file as it was read, and a way to a workspace in which it stands alone."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A plot as files say it: its home and guide where its data makes one, and all that is wrong
    with it. ``sound``: nothing keeps it from being published."""

    plot: PlotSource
    prepared: Prepared | None
    findings: tuple[Finding, ...]
    sound: bool

    @property
    def guide(self) -> Guide | None:
        """Its guide, where its data makes one."""
        return self.prepared.guide if self.prepared is not None else None


@dataclass(frozen=True, slots=True)
class Looked(Seen):
    """A plot that was looked at, with what there is to say of it on the board."""

    standing: Standing


class Looking:
    """A workspace as it was read once. ``earlier``: the reading before it, of which all is taken over
    that has not changed."""

    def __init__(
        self, root: Path, out: Path, day: date, kept: KeptFiles, earlier: "Looking | None" = None,
        instead: Mapping[str, bytes | None] | None = None,
    ) -> None:  # fmt: skip
        self.root, self.out, self.day = root, out, day
        self._kept = kept
        self.read = Findings()
        self.workspace: Workspace
        self.preparing: Preparing
        self.shared: tuple[Finding, ...]
        if earlier is not None and instead is not None:
            self.workspace = self._workspace_on_trial(earlier, instead)
        else:
            self.workspace = read_workspace(root, self.read, None, kept)
        follows = earlier.preparing.following(self.workspace, day) if earlier else None
        self.preparing = follows or (
            earlier.preparing.again(self.workspace, day) if earlier else Preparing(self.workspace, day)
        )  # fmt: skip
        self._before = earlier._parts if earlier and earlier.day == day else {}  # noqa: SLF001 - of its own kind
        self._parts: dict[int, tuple[object, tuple[Finding, ...]]] = {}
        self.shared = earlier.shared if earlier and follows else tuple(self._findings_of_shared())
        self._parts = self._parts or self._before
        self.records = Records(out)
        self.files = KeptDigests(root, kept)
        self._house_types: dict[str, tuple[TracedHome | None, tuple[Finding, ...]]] = {}
        self._registers: dict[str, Register] = {}
        self.codes = {name: self.register(name) for name in self.workspace.developments}

    def _workspace_on_trial(self, now: "Looking", instead: Mapping[str, bytes | None]) -> Workspace:
        """The workspace with other texts, of which no more is read than they may change."""
        known = now.workspace.developments
        if all(is_of_plots(each) and each.split("/")[1] in known for each in instead):
            return with_other_plots(now.workspace, now.read, instead, self.read, self._kept)
        return with_other_files(now.workspace.folder.root, instead, self.read, self._kept)

    def _findings_of_shared(self) -> Iterator[Finding]:
        """What is wrong in the files that plots share, and with their articles."""
        yield from self.preparing.unreadable()
        for found in files_together(_without_plots(self.workspace)):
            yield from found
        for part in _one_by_one(self.workspace):
            yield from self._findings_of_part(part)

    def _findings_of_part(self, part: Part) -> tuple[Finding, ...]:
        """What is wrong in one of these files by itself."""
        source, alone = part
        kept = self._before.get(id(source))
        found = kept[1] if kept else tuple(chain.from_iterable(each_file(alone(), self.day)))
        self._parts[id(source)] = source, found
        return found

    @cached_property
    def sources(self) -> Sources:
        """What guides are made from, by its digests."""
        return Sources(self.files)

    @cached_property
    def promises(self) -> tuple[Finding, ...]:
        """What is wrong with the codes that were issued and published."""
        found = Findings()
        check_promises(self.workspace, found, self.records, read=self._read_register)
        return tuple(found)

    def register(self, development: str) -> Register:
        """The codes of a development, with those of plots that came to it from others."""
        if development not in self._registers:
            register = register_of(self.workspace, development, read=self._read_register)
            self._registers[development] = register
        return self._registers[development]

    def _read_register(self, folder: Folder, development: str, findings: Findings) -> Register:
        """The same with all that is wrong in it."""
        path = self.root / "developments" / development / REGISTER
        return self._kept.made(
            "register", path, lambda found: read_register(folder, development, found),
            findings, stamp_of(path.with_name(SEAL)),
        )  # fmt: skip

    @cached_property
    def errors(self) -> tuple[Finding, ...]:
        """Every error of the workspace that was found before any plot was looked at."""
        found = (*self.read, *self.shared, *self.promises)
        return tuple(each for each in found if each.severity is Severity.ERROR)

    @cached_property
    def _found_by_plot(self) -> Mapping[str, tuple[Finding, ...]]:
        """What was found by reading, by the plots that it names."""
        found: dict[str, list[Finding]] = {}
        for each in self.read:
            for plot in each.plots:
                found.setdefault(plot, []).append(each)
        return {plot: tuple(each) for plot, each in found.items()}

    def house_type(self, name: str) -> tuple[TracedHome | None, tuple[Finding, ...]]:
        """A house type as a home, and what is wrong with it whichever development had a plot of it."""
        if name not in self._house_types:
            found = Findings()
            home = self.preparing.house_type(name, found)
            self._house_types[name] = home, tuple(found)
        return self._house_types[name]

    def of_file(self, file: str) -> tuple[Finding, ...]:
        """What was found in one file, before any plot was looked at."""
        return tuple(each for each in (*self.read, *self.shared) if each.place.file == file)

    def look(self, reference: str) -> Looked:
        """One plot, checked as ``handover check`` checks it, and what it lacks."""
        seen, found = self.see(reference), Findings()
        found.extend(seen.findings)
        standing = self._standing(seen.plot, seen.prepared, found)
        return Looked(seen.plot, seen.prepared, seen.findings, seen.sound, standing)

    def see(self, reference: str) -> Seen:
        """One plot, checked as ``handover check`` checks it."""
        plot, found = self.workspace.plots[reference], Findings()
        found.extend(self.errors)
        found.extend(self._found_by_plot.get(reference, ()))
        for each in shared_files(_with_one_plot(self.workspace, plot), self.day):
            found.extend(each)
        prepared = self.preparing.plot(reference, found)
        if prepared is not None:
            found.extend(kinds_name_articles(self.workspace, [prepared.traced.home]))
            found.extend(self.preparing.record_mistakes(prepared))
            found.extend(address_can_be_printed(prepared.traced))
        sound = prepared is not None and not stopped(plot, self.workspace, found)
        return Seen(plot, prepared, tuple(found), sound)

    def _standing(self, plot: PlotSource, prepared: Prepared | None, found: Findings) -> Standing:
        register = self.register(plot.development)
        days = sticker_days(prepared, register) if prepared is not None else {}
        return Standing(
            facts_of(plot, self.workspace),
            assess_one(plot, self.workspace, prepared, found, days, self.day),
            publication_of(plot, self.workspace, register, self.records, self.sources, self.day),
            sum(each.severity is Severity.WARNING and plot.reference in each.plots for each in found),
            tuple(pieces_in(prepared)) if prepared is not None else (),
            frozenset(each.id for each in prepared.selection.articles) if prepared else frozenset(),
            tuple(each.for_plots() for each in found if each.severity >= Severity.WARNING and each.place.file.startswith("housetypes/")),
        )  # fmt: skip


def _one_by_one(workspace: Workspace) -> Iterator[Part]:
    """Each shared file as it was read, with a way to the workspace that has no other."""
    bare = replace(
        workspace, papers=None, standard=None, house_types={}, options={}, articles={}, symptoms={},
        developments={},
    )  # fmt: skip
    for name in ("papers", "standard"):
        entry = getattr(workspace, name)
        if entry is not None:
            yield entry, partial(replace, bare, **{name: entry})
    for name in ("house_types", "options"):
        for key, each in getattr(workspace, name).items():
            yield each, partial(replace, bare, **{name: {key: each}})
    for key, article in workspace.articles.items():
        yield article.entry, partial(replace, bare, articles={key: article})
    for key, development in workspace.developments.items():
        if development.entry is not None:
            without = replace(development, plots={})
            yield development.entry, partial(replace, bare, developments={key: without})


def _without_plots(workspace: Workspace) -> Workspace:
    developments = {name: replace(each, plots={}) for name, each in workspace.developments.items()}
    return replace(workspace, developments=developments)


def _with_one_plot(workspace: Workspace, plot: PlotSource) -> Workspace:
    """A workspace of which only one plot is looked at by what looks at files."""
    development = replace(workspace.developments[plot.development], plots={plot.number: plot})
    return replace(
        workspace, papers=None, standard=None, house_types={}, options={}, articles={}, symptoms={},
        developments={plot.development: development},
    )  # fmt: skip


class KeptDigests(SourceFiles):
    """The files of one workspace as they are now. ``kept``: what is known of them from before."""

    def __init__(self, root: Path, kept: KeptFiles) -> None:
        super().__init__(root)
        self._kept = kept

    @cached_property
    def files(self) -> Mapping[str, str]:
        """The SHA-256 of each source file by its path in the workspace."""
        return {name: self._digest(path) for name, path in self.paths.items()}

    def _digest(self, path: Path) -> str:
        def digest(_: Findings) -> str:
            try:
                return digest_of_file(path)
            except OSError as error:
                return f"cannot be read: {error.strerror}"

        return self._kept.made("digest", path, digest, Findings())
