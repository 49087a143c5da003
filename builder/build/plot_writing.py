"""Writes plots into trees of their own, and reads back what was written.

Runs in any process: an order says all that is needed, and what a process works out once for a
workspace is kept for its next order.
"""

import hashlib
import os
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from pathlib import Path

from builder.build.calendars import Calendars, made_from
from builder.build.change_log import kept_contents, log_after
from builder.build.manifest import GuideRecord, Records
from builder.build.tree import Policies, linked
from builder.errors import Finding, Findings, HandoverError, Place, UnwritableError
from builder.guide.about import About
from builder.guide.changes import Content, logged
from builder.guide.pages import ChangedDay, Guide
from builder.guide.report_pages import with_codes
from builder.guide.sticker_pages import StickerRecord, sticker_page
from builder.guide.translating import in_all_languages
from builder.layers.memo import Memo
from builder.preparing import Prepared, Preparing
from builder.proof.allowed import PageKind, PageKinds
from builder.proof.crawl import crawl, proof
from builder.proof.guides import STANDING, GuideFiles, Reader
from builder.proof.judging import content_hash
from builder.proof.weight import overweight
from builder.register.issuing import StickerOf, stickers_in
from builder.register.lines import Register
from builder.selection.others import words_of_others
from builder.shipped import layered
from builder.sources.scope import Scope
from builder.sources.workspace import Workspace, read_workspace
from builder.unforeseen import one_plot
from builder.writers.site.assets import Assets
from builder.writers.site.engine import HeldEngine, SiteWriter
from builder.writers.site.offline import LISTING
from builder.writers.site.sites import OpenSite, PublishedGuide, Sites
from builder.writers.sticker_pages.writing import StickerPages, StickerPageText

OF_SOME_HOMES = 12_000
"""Results that are kept from plot to plot: an order has those that are alike one after the other."""


@dataclass(frozen=True, slots=True)
class PlotOrder:
    """One plot to write: its guide's code, the folder for its tree, and where its guide stands
    already, if it does. ``takes``: whether pages of that one may be taken, because it was made by the
    same builder through the same templates."""

    reference: str
    code: str
    folder: Path
    published: Path
    takes: bool = False


@dataclass(frozen=True, slots=True)
class Order:
    """Plots to write from which workspace and for which day.

    ``sources`` is the digest of all that the workspace says: what is kept from earlier orders holds
    for that alone. ``own_code``: whether code of the workspace is run. ``scope``: what the build looks at, if not at all of it. ``registers``: the
    issued codes of these plots, by development.
    """

    root: Path
    sources: str
    day: date
    scope: Scope | None
    plots: tuple[PlotOrder, ...]
    registers: Mapping[str, Register]
    own_code: bool = False


@dataclass(frozen=True, slots=True)
class WrittenPlot:
    """One plot that was written and read back. ``files`` are the SHA-256 of its files, by their
    paths in the published tree; ``contents`` what its pages say, and ``made`` what they are made
    from, by their ids; ``changes`` what changed in it, newest first; ``articles`` the files of the
    articles in it; ``others`` the words that only other homes may read; ``findings`` what is wrong with
    what was written."""

    order: PlotOrder
    files: Mapping[str, str]
    contents: Mapping[str, Content]
    made: Mapping[str, str]
    changes: tuple[ChangedDay, ...]
    stickers: tuple[str, ...]
    policies: Policies
    pages: int
    host: str
    articles: tuple[str, ...]
    others: Mapping[str, str]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class OrderResult:
    """What became of an order: the plots that were written, and all that was found."""

    written: tuple[WrittenPlot, ...]
    findings: tuple[Finding, ...]


def write(order: Order) -> OrderResult:
    """Write the plots of an order into their folders and read them back."""
    return bench(order.root, order.sources, order.day, order.scope, order.own_code).write(order)


@lru_cache(maxsize=1)
def bench(
    root: Path,
    sources: str,
    day: date,
    scope: Scope | None,
    own_code: bool,  # noqa: FBT001 - a key of what is kept
) -> "Bench":
    """What a process keeps for a workspace as it is now; processes that are forked have it too."""
    findings = Findings()
    return Bench(read_workspace(root, findings, scope), findings, day, own_code=own_code)


@dataclass(frozen=True, slots=True)
class PlotFiles:
    """The files of one plot by their paths in the published tree, or where they are published already,
    and the SHA-256 of those whose it is known; what its guide says now and has said before, and what
    its pages are made from; its new pages, where they are known by their pieces; what the engine
    warned of."""

    files: Mapping[str, bytes | Path]
    digests: Mapping[str, str]
    contents: Mapping[str, Content]
    changes: tuple[ChangedDay, ...]
    made: Mapping[str, str] = field(default_factory=dict)
    new: Mapping[str, tuple[str, ...]] | None = None
    warned: tuple[Finding, ...] = ()


class Bench:
    """All that writes the plots of one workspace. ``findings``: what was wrong in its files."""

    def __init__(
        self, workspace: Workspace, findings: Findings, day: date, *, own_code: bool = False
    ) -> None:
        root = workspace.folder.root
        self.workspace, self.findings, self.day = workspace, findings, day
        self.preparing = Preparing(workspace, day, kept=Memo(OF_SOME_HOMES))
        engine = HeldEngine(root, own_code=own_code)
        self.assets: Assets = engine.assets
        self._usable, self.workers = engine.usable, engine.workers
        self._writer = SiteWriter(root, self.assets, own_code=own_code)
        self._sites = Sites(root, engine, self._writer.pages)
        self._stickers = StickerPages(layered(root, "site_templates/stickers"))
        styles = frozenset([content_hash(self._stickers.style)])
        self._kinds = PageKinds(PageKind("main"), PageKind("main", styles=styles))
        self.policies = Policies(styles=styles)
        self._reader = Reader(self._kinds)

    def write(self, order: Order) -> OrderResult:
        """Write the plots of an order."""
        written, findings = [], Findings()
        for plot in order.plots:
            found = Findings()
            prepared = self.preparing.ready(plot.reference, found)
            if prepared:
                register = order.registers[prepared.plot.development]
                with one_plot(plot.reference, prepared.plot.row.place, "built", found):
                    written.append(self._written(plot, prepared, register))
            findings.extend(each.for_plots(plot.reference) for each in found)
        return OrderResult(tuple(written), tuple(findings))

    def _written(self, order: PlotOrder, prepared: Prepared, register: Register) -> WrittenPlot:
        """One plot, into its folder, read back."""
        stickers = stickers_in(prepared.plot, prepared.traced.home, register)
        try:
            files = self._files(order, prepared, codes_of(stickers))
            pages = dict(self._sticker_pages(order, prepared, stickers))
            _write_files({**files.files, **pages}, order.folder)
            return self._read_back(order, prepared, files, pages)
        except OSError as error:
            raise unwritable(order.reference, error) from error

    def _files(self, order: PlotOrder, prepared: Prepared, codes: Mapping[str, str]) -> PlotFiles:
        """The files of a plot's guide, which names the stickers on its things."""
        guide = in_all_languages(
            with_codes(prepared.guide, prepared.about, codes),
            [with_codes(each.guide, each.about, codes) for each in prepared.others],
        )
        before = Records(order.published.parents[1]).read(order.code)
        published = _published(order, before) if order.takes and before else None
        site = self._sites.opened(guide, published)
        titles = {page.id: page.title for page in guide.pages}
        contents = {page: Content(digest, titles[page]) for page, digest in site.contents.items()}
        changes = log_after(before, contents, self.day)
        guide = logged(guide, changes)
        if self._usable:
            files = self._of_memo(order, guide, site, contents)
        else:
            files = self._of_engine(order, guide, contents, prepared)
        return replace(files, files={**files.files, **self._listing(order, files)})

    def _listing(self, order: PlotOrder, files: PlotFiles) -> dict[str, bytes]:
        """The list of a guide's files, for who keeps all of it; none where nothing may be kept."""
        inside = f"g/{order.code}/"
        if not self.workers.keeps:
            return {}
        own = {name.removeprefix(inside): each for name, each in files.files.items()}
        known = {name.removeprefix(inside): each for name, each in files.digests.items()}
        return {f"{inside}{LISTING}": self.workers.listing(own, known)}

    def _of_memo(
        self, order: PlotOrder, guide: Guide, site: OpenSite, contents: Mapping[str, Content]
    ) -> PlotFiles:
        finished = self._sites.finished(site, guide, order.code)
        dated = made_from(guide, order.code, self._sites.dates(guide))
        inside = f"g/{order.code}/"
        return PlotFiles(
            {
                **{f"{inside}{name}": each for name, each in finished.files.items()},
                **self._calendars(order, guide, site.published, dated),
            },
            {f"{inside}{name}": digest for name, digest in finished.digests.items()},
            contents, guide.changes, {**finished.made, **dated}, finished.new,
        )  # fmt: skip

    def _of_engine(
        self, order: PlotOrder, guide: Guide, contents: Mapping[str, Content], prepared: Prepared
    ) -> PlotFiles:
        """A site that MkDocs alone writes."""
        folder = order.folder / "g" / order.code
        warned = self._writer.write(guide, folder, f"{_host(prepared)}/g/{order.code}/")
        found = (path for path in sorted(folder.rglob("*")) if path.is_file())
        files = {path.relative_to(order.folder).as_posix(): path.read_bytes() for path in found}
        whole: dict[str, bytes | Path] = {**files, **self._calendars(order, guide, None, {})}
        return PlotFiles(whole, {}, contents, guide.changes, warned=warned)

    def _calendars(
        self, order: PlotOrder, guide: Guide, published: PublishedGuide | None, made: Mapping[str, str]
    ) -> dict[str, bytes | Path]:  # fmt: skip
        written = Calendars(order.code, self.day, order.published, published).files(guide, made)
        return {f"g/{order.code}/{name}": each for name, each in written.items()}

    def _sticker_pages(
        self, order: PlotOrder, prepared: Prepared, stickers: Iterable[StickerOf]
    ) -> Iterator[tuple[str, bytes]]:
        """The pages of the stickers that were issued for a plot."""
        for each in stickers:
            code, wanted = each.issued.code, each.issued.wanted
            record = StickerRecord(
                code, wanted.kind, wanted.room, wanted.make, each.equipment, each.void
            )
            first, *others = (
                StickerPageText(sticker_page(about, guide, record), guide)
                for about, guide in _in_all(prepared)
            )
            text = self._stickers.write(first, others, order.code)
            yield f"Q/{code}/index.html", text.encode()

    def _read_back(
        self, order: PlotOrder, prepared: Prepared, files: PlotFiles, stickers: Mapping[str, bytes]
    ) -> WrittenPlot:
        found = [*files.warned, *overweight(order.folder, "Q/*/index.html")]
        if files.new is None or not self._is_sound(order, files, stickers):
            read = crawl(order.folder, self.assets.digests, self._kinds)
            found += proof(read)
        whole = {**files.files, **stickers}
        return WrittenPlot(
            order,
            {name: files.digests.get(name) or _sha256(each) for name, each in whole.items()},
            files.contents,
            files.made,
            files.changes,
            tuple(name.split("/")[1] for name in stickers),
            self.policies,
            sum(name.startswith("g/") and name.endswith(".html") for name in whole),
            _host(prepared),
            tuple(each.file for each in prepared.selection.articles),
            words_of_others(prepared.traced.home, prepared.traced.kept),
            tuple(_at_its_article(each, order, prepared) for each in found),
        )

    def _is_sound(self, order: PlotOrder, files: PlotFiles, stickers: Mapping[str, bytes]) -> bool:
        """Whether nothing is wrong with the pages that were made. Where something is, what was written
        is read from the disk, and that tells what, and where."""
        folder = f"g/{order.code}/"
        own = (name.removeprefix(folder) for name in files.files if name.startswith(folder))
        pages = {f"{STANDING}{name}": pieces for name, pieces in (files.new or {}).items()}
        texts = {name: content.decode() for name, content in stickers.items()}

        def published(file: str) -> bytes | None:
            place = order.published / file.removeprefix(STANDING)
            return place.read_bytes() if order.takes and place.is_file() else None

        every = frozenset(f"{STANDING}{name}" for name in own).union(self.assets.digests)
        return self._reader.is_sound(GuideFiles(pages, every, published, texts, folder))


def _in_all(prepared: Prepared) -> Iterator[tuple[About, Guide]]:
    """A home and its guide in each of their languages, the first one first."""
    yield prepared.about, prepared.guide
    yield from ((each.about, each.guide) for each in prepared.others)


def codes_of(stickers: Iterable[StickerOf]) -> dict[str, str]:
    """The code of the sticker on each piece that has one, by its id; of several the last one issued."""
    return {each.equipment: each.issued.code for each in stickers if each.live and each.equipment}


def _published(order: PlotOrder, record: GuideRecord) -> PublishedGuide:
    """A guide as it is published, by its record."""
    inside = f"g/{record.code}/"
    files = {
        name.removeprefix(inside): digest
        for name, digest in record.files.items()
        if name.startswith(inside)
    }
    said = {page: each.digest for page, each in kept_contents(record).items()}
    return PublishedGuide(order.published, record.made, said, files)


def _at_its_article(finding: Finding, order: PlotOrder, prepared: Prepared) -> Finding:
    """A finding about a plot; one about the page of an article names the file that it is made of."""
    pages = {page.id: page.path for page in prepared.guide.pages}
    for each in prepared.selection.articles:
        page = f"g/{order.code}/{pages.get(f'article:{each.id}', '')}/index.html"
        if finding.place.file == page:
            return replace(
                finding, place=Place(each.file, each.body_line), path=str(finding.place),
                plots=(order.reference,),
            )  # fmt: skip
    return finding.for_plots(order.reference)


def _host(prepared: Prepared) -> str:
    """Where the guides of a plot's development are served from."""
    return prepared.traced.home.development.base_url.rstrip("/")


def _sha256(file: bytes | Path) -> str:
    return hashlib.sha256(file.read_bytes() if isinstance(file, Path) else file).hexdigest()


def _write_files(files: Mapping[str, bytes | Path], root: Path) -> None:
    """Write files into a folder by their paths there; what is published already is not copied where
    the file system allows."""
    for folder in sorted(_folders(files)):
        with suppress(FileExistsError):
            os.mkdir(f"{root}/{folder}")
    for name, content in files.items():
        if isinstance(content, Path):
            linked(content, f"{root}/{name}")
        else:
            file = os.open(f"{root}/{name}", os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o666)
            try:
                _write_all(file, content)
            finally:
                os.close(file)


def _write_all(file: int, content: bytes) -> None:
    """All of it: the system may take less at a time."""
    left = memoryview(content)
    while left:
        left = left[os.write(file, left) :]


def _folders(files: Iterable[str]) -> set[str]:
    """Every folder that files lie in, at any depth, and the one that holds them all."""
    found = {""}
    for name in files:
        folder = name.rpartition("/")[0]
        while folder not in found:
            found.add(folder)
            folder = folder.rpartition("/")[0]
    return found


def unwritable(reference: str, error: OSError) -> HandoverError:
    """What stops a build: the target cannot be written."""
    return UnwritableError(f"The guide of {reference} cannot be written: {error}.")
