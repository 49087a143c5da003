"""Writes the plots of an edition into trees of their own, and reads back what was written.

Runs in any process: an order says all that is needed, and what a process works out once for a
workspace is kept for its next order.
"""

import hashlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from pathlib import Path

from builder.editions.making import Edition, EditionMaker, Filling, Member
from builder.errors import Finding, Findings, HandoverError
from builder.guide.changes import Content, logged
from builder.guide.pages import ChangedDay, Guide
from builder.guide.sticker_pages import StickerRecord, sticker_page
from builder.model.late import CLOSES, OPENS
from builder.proof.crawl import Crawl, ReadPage, crawl, proof
from builder.proof.weight import overweight
from builder.publish.change_log import log_after
from builder.publish.issuing import stickers_in
from builder.publish.manifest import Records
from builder.publish.register import Register
from builder.publish.tree import Policies
from builder.shipped import own_or_shipped
from builder.sources.workspace import Workspace, read_workspace
from builder.writers.calendar.writing import CALENDAR, next_edition
from builder.writers.site.assets import Assets
from builder.writers.site.edition import EditionPress, EditionSite
from builder.writers.site.engine import SiteWriter, assets_of, workers_of
from builder.writers.site.filling import Cut, cut
from builder.writers.site.press import Press
from builder.writers.sticker_pages.writing import StickerPages

GUIDE_CODE, STICKER_CODE = "guide.code", "sticker.code"
_LINK = re.compile(rb'\b(?:href|src|id|style|on[a-z]+)="[^"]*"')
_DIALLED = rb'href="tel:'


@dataclass(frozen=True, slots=True)
class PlotOrder:
    """One plot to write: its guide's code and web address, the folder for its tree, and where its
    guide stands already, if it does."""

    reference: str
    code: str
    folder: Path
    published: Path


@dataclass(frozen=True, slots=True)
class Order:
    """Plots of one edition to write, from which workspace and for which day.

    ``sources`` is the digest of all that the workspace says: what is kept from earlier orders holds
    for that alone. ``registers``: the issued codes of these plots, by development.
    """

    root: Path
    sources: str
    day: date
    plots: tuple[PlotOrder, ...]
    registers: Mapping[str, Register]


@dataclass(frozen=True, slots=True)
class Written:
    """One plot that was written and read back. ``files`` are the SHA-256 of its files, by their
    paths in the published tree; ``contents`` what its pages say, by their ids; ``changes`` what
    changed in it, newest first; ``articles`` the files of the articles in it; ``findings`` what is
    wrong with what was written."""

    order: PlotOrder
    files: Mapping[str, str]
    contents: Mapping[str, Content]
    changes: tuple[ChangedDay, ...]
    stickers: tuple[str, ...]
    policies: Policies
    pages: int
    host: str
    articles: tuple[str, ...]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class _Made:
    """The files of one plot by their paths in the published tree, what the engine warned of, and
    what its guide says now and has said before."""

    files: Mapping[str, bytes]
    warned: tuple[Finding, ...]
    contents: Mapping[str, Content]
    changes: tuple[ChangedDay, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of an order: the plots that were written, and all that was found."""

    written: tuple[Written, ...]
    findings: tuple[Finding, ...]


def write(order: Order) -> Answer:
    """Write the plots of an order into their folders and read them back."""
    return bench(order.root, order.sources, order.day).write(order)


@lru_cache(maxsize=1)
def bench(root: Path, sources: str, day: date) -> "Bench":
    """What a process keeps for a workspace as it is now; processes that are forked have it too."""
    findings = Findings()
    return Bench(read_workspace(root, findings), findings, day)


class Bench:
    """All that writes the plots of one workspace. ``findings``: what was wrong in its files."""

    def __init__(self, workspace: Workspace, findings: Findings, day: date) -> None:
        root = workspace.folder.root
        self.workspace, self.findings, self._day = workspace, findings, day
        self.maker = EditionMaker(workspace, day)
        self.assets: Assets = assets_of(root)
        self._writer = SiteWriter(root, self.assets)
        press = Press(root, self.assets.folder)
        workers = workers_of(root, self.assets, press.config)
        self._usable = press.usable
        self._editions = EditionPress(root, press, self._writer.templates, workers)
        self._stickers = StickerPages(own_or_shipped(root, "site_templates") / "stickers")
        self._pages: dict[tuple[str, str], ReadPage] = {}

    def write(self, order: Order) -> Answer:
        """Write the plots of an order. All of them are of one edition, if they can be."""
        orders = {each.reference: each for each in order.plots}
        made = self.maker.make([self.workspace.plots[each] for each in orders], late=self._usable)
        written, works = [], dict[int, EditionWork]()
        for member in made.members:
            register = order.registers[member.plot.development]
            if id(member.edition) not in works:
                works[id(member.edition)] = self._work(member.edition)
            work = works[id(member.edition)]
            written.append(work.write(member, orders[member.plot.reference], register))
        return Answer(tuple(written), made.findings)

    def _work(self, edition: Edition) -> "EditionWork":
        site = self._editions.site(edition.guide) if self._usable else None
        return EditionWork(
            edition, site, self._writer, self._stickers, self.assets, self._day, self._pages
        )


class EditionWork:
    """Writes the plots of one edition: the first is read back whole, and of the others what is not
    word for word the same."""

    def __init__(
        self, edition: Edition, site: EditionSite | None, writer: SiteWriter,
        stickers: StickerPages, assets: Assets, day: date,
        pages: dict[tuple[str, str], ReadPage],
    ) -> None:  # fmt: skip
        self._edition, self._site, self._writer = edition, site, writer
        self._sticker_pages, self._assets, self._day = stickers, assets, day
        self._cut: dict[StickerRecord, Cut] = {}
        self._pages = pages
        self._read: Crawl | None = None
        self._links: set[bytes] = set()

    def write(self, member: Member, order: PlotOrder, register: Register) -> Written:
        """One plot, into its folder."""
        member.values.also({GUIDE_CODE: order.code})
        try:
            made = self._made(member, order, register)
            return self._read_back(member, order, made, register)
        except OSError as error:
            raise unwritable(order.reference, error) from error

    def _made(self, member: Member, order: PlotOrder, register: Register) -> _Made:
        """One plot, written."""
        guide = self._edition.dated(order.reference, member.values)
        whole = self._edition.filled(guide, member.values)
        inside = f"g/{order.code}"
        made = self._of_site(member, order, guide, whole)
        files = dict(made.files)
        files |= {
            f"Q/{code}/index.html": text
            for code, text in self._of_stickers(member, guide, register)
        }
        if guide.schedule.completion is not None:
            earlier = order.published / CALENDAR
            before = earlier.read_bytes() if earlier.is_file() else None
            text = next_edition(whole, order.code, self._day, before)
            files[f"{inside}/{CALENDAR}"] = text
        for name, content in files.items():
            place = order.folder / name
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(content)
        return replace(made, files=files)

    def _of_site(self, member: Member, order: PlotOrder, guide: Guide, whole: Guide) -> _Made:
        tree, folder = order.folder, order.folder / "g" / order.code
        if self._site is not None:
            opened = self._site.opened(guide, member.values)
            contents, changes = self._compared(member, order, guide, opened.contents)
            guide = logged(guide, changes)
            made = self._site.files(guide, order.code, member.values, opened)
            files = {f"g/{order.code}/{name}": content for name, content in made}
            return _Made(files, (), contents, changes)
        contents, changes = self._compared(member, order, whole, self._writer.contents(whole))
        address = f"{member.host}/g/{order.code}/"
        warned = self._writer.write(logged(whole, changes), folder, address)
        found = (path for path in sorted(folder.rglob("*")) if path.is_file())
        files = {path.relative_to(tree).as_posix(): path.read_bytes() for path in found}
        return _Made(files, warned, contents, changes)

    def _compared(
        self, member: Member, order: PlotOrder, guide: Guide, digests: Mapping[str, str]
    ) -> tuple[Mapping[str, Content], tuple[ChangedDay, ...]]:
        """What each page says now, and what changed since the guide was published before."""
        fill = Filling(member.values)
        titles = {page.id: fill(str(page.title)) for page in guide.pages}
        now = {page: Content(digest, titles[page]) for page, digest in digests.items()}
        before = Records(order.published.parents[1]).read(order.code)
        return now, log_after(before, now, self._day)

    def _of_stickers(
        self, member: Member, guide: Guide, register: Register
    ) -> Iterator[tuple[str, bytes]]:
        """The page of every sticker that was ever issued for a plot, by its code."""
        for each in stickers_in(member.plot, self._edition.traced.home, register):
            wanted = each.issued.wanted
            record = StickerRecord(
                _mark(STICKER_CODE),
                wanted.kind,
                wanted.room,
                wanted.make,
                each.equipment,
                each.void,
            )
            if record not in self._cut:
                page = sticker_page(self._edition.about, guide, record)
                text = self._sticker_pages.write(page, guide, _mark(GUIDE_CODE))
                self._cut[record] = cut(text)
            member.values.also({STICKER_CODE: each.issued.code})
            yield each.issued.code, self._cut[record].filled(member.values)

    def _read_back(
        self, member: Member, order: PlotOrder, made: _Made, register: Register
    ) -> Written:
        files, found = made.files, list(made.warned)
        if not self._is_known(files):
            self._read = self._crawled(order)
            found += proof(self._read, styled="Q")
            found += overweight(order.folder, "Q/*/index.html")
            if not found:
                self._links |= set(_links(files))
        read = self._read or self._crawled(order)
        stickers = tuple(
            each.issued.code
            for each in stickers_in(member.plot, self._edition.traced.home, register)
        )
        return Written(
            order,
            {name: hashlib.sha256(content).hexdigest() for name, content in files.items()},
            made.contents,
            made.changes,
            stickers,
            Policies(read.script_hashes, read.style_hashes),
            sum(name.startswith("g/") and name.endswith(".html") for name in files),
            member.host,
            tuple(each.file for each in self._edition.about.selection.articles),
            tuple(each.for_plots(order.reference) for each in found),
        )

    def _crawled(self, order: PlotOrder) -> Crawl:
        """What was written, read back. A page that another edition has too, mark for mark, was read
        with that one."""
        looks = self._site.looks if self._site else {}
        files = {f"g/{order.code}/{file}": (file, look) for file, look in looks.items()}
        known = {name: self._pages[key] for name, key in files.items() if key in self._pages}
        read = crawl(order.folder, self._assets.digests, known)
        self._pages |= {key: read.pages[name] for name, key in files.items()}
        return read

    def _is_known(self, files: Mapping[str, bytes]) -> bool:
        """Whether every link, place and style in these files stood in files that were proofed.

        What was filled in needs no second look: no late value holds markup.
        """
        if self._read is None or self._site is None:
            return False
        own = self._site.own_files
        looked_at = {
            name: content
            for name, content in files.items()
            if name.startswith("Q/") or name.partition("/")[2].partition("/")[2] in own
        }
        return all(each in self._links for each in _links(looked_at))


def _links(files: Mapping[str, bytes]) -> Iterator[bytes]:
    """What a proof looks at in each page, with the page that it stands in; numbers to dial are not
    followed, and codes differ from plot to plot by nature."""
    for name, content in files.items():
        if name.endswith(".html"):
            page = re.sub(r"^g/[^/]+/|^Q/[^/]+/", "", name).encode()
            for link in set(_LINK.findall(content)):
                if not link.startswith(_DIALLED):
                    yield page + b" " + link


def _mark(name: str) -> str:
    return f"{OPENS}{name}{CLOSES}"


def unwritable(reference: str, error: OSError) -> HandoverError:
    """What stops a build: the target cannot be written."""
    return HandoverError(f"The guide of {reference} cannot be written: {error}.")
