"""Writes the plots of an edition into trees of their own, and reads back what was written.

Runs in any process: an order says all that is needed, and what a process works out once for a
workspace is kept for its next order.
"""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache, partial
from itertools import chain
from pathlib import Path

from builder.build.change_log import kept_contents, log_after
from builder.build.manifest import GuideRecord, Records
from builder.build.plot_files import (
    Made,
    content_of,
    of_closed,
    standing_guide,
    with_calendar,
    write_files,
)
from builder.build.sources import is_article
from builder.build.tree import Policies
from builder.editions.making import Edition, EditionMaker, Filling, Member
from builder.errors import Finding, Findings, HandoverError, Place
from builder.guide.changes import Content, logged
from builder.guide.pages import ChangedDay, Guide
from builder.guide.sticker_pages import StickerRecord, sticker_page
from builder.model.late import CLOSES, OPENS
from builder.proof.allowed import Kind, Kinds
from builder.proof.crawl import crawl, proof
from builder.proof.judging import content_hash
from builder.proof.pieces import Pieces, SiteProof
from builder.proof.standing import Places
from builder.proof.standing import Standing as StandingPages
from builder.proof.weight import overweight
from builder.register.issuing import StickerOf, stickers_in
from builder.register.lines import Register
from builder.shipped import own_or_shipped
from builder.sources.scope import Scope
from builder.sources.workspace import Workspace, read_workspace
from builder.writers.calendar import CALENDAR
from builder.writers.site.assets import Assets
from builder.writers.site.edition import EditionPress, EditionSite
from builder.writers.site.engine import SiteWriter, workers_of
from builder.writers.site.filling import Cut, cut
from builder.writers.site.inline import inline_scripts
from builder.writers.site.press import Press
from builder.writers.site.refilling import Gaps
from builder.writers.site.standing import Standing
from builder.writers.sticker_pages.writing import StickerPages

GUIDE_CODE, STICKER_CODE = "guide.code", "sticker.code"


@dataclass(frozen=True, slots=True)
class PlotOrder:
    """One plot to write: its guide's code, the folder for its tree, and where its guide stands
    already, if it does. ``differs``: what it is made from that differs from that one, by name; none
    where no page of that one may be taken."""

    reference: str
    code: str
    folder: Path
    published: Path
    differs: frozenset[str] | None = None


@dataclass(frozen=True, slots=True)
class Order:
    """Plots to write, edition by edition, from which workspace and for which day.

    ``sources`` is the digest of all that the workspace says: what is kept from earlier orders holds
    for that alone. ``own_code``: whether code of the workspace is run. ``scope``: what the build looks at, if not at all of it. ``registers``: the
    issued codes of these plots, by development.
    """

    root: Path
    sources: str
    day: date
    scope: Scope | None
    editions: tuple[tuple[PlotOrder, ...], ...]
    registers: Mapping[str, Register]
    own_code: bool = False

    @property
    def plots(self) -> Iterator[PlotOrder]:
        """All plots of the order."""
        return chain.from_iterable(self.editions)


@dataclass(frozen=True, slots=True)
class Written:
    """One plot that was written and read back. ``files`` are the SHA-256 of its files, by their
    paths in the published tree; ``contents`` what its pages say, and ``made`` what they are made
    from, by their ids; ``gaps`` where the values stand in them; ``changes`` what changed in it, newest
    first; ``articles`` the files of the articles in it; ``findings`` what is wrong with what was
    written."""

    order: PlotOrder
    files: Mapping[str, str]
    contents: Mapping[str, Content]
    made: Mapping[str, str]
    gaps: Gaps
    changes: tuple[ChangedDay, ...]
    stickers: tuple[str, ...]
    policies: Policies
    pages: int
    host: str
    articles: tuple[str, ...]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of an order: the plots that were written, and all that was found."""

    written: tuple[Written, ...]
    findings: tuple[Finding, ...]


def write(order: Order) -> Answer:
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


class Bench:
    """All that writes the plots of one workspace. ``findings``: what was wrong in its files."""

    def __init__(
        self, workspace: Workspace, findings: Findings, day: date, *, own_code: bool = False
    ) -> None:
        root = workspace.folder.root
        self.workspace, self.findings, self.day = workspace, findings, day
        self.maker = EditionMaker(workspace, day)
        press = Press(root, own_code=own_code)
        self.assets: Assets = press.assets
        self.writer = SiteWriter(root, self.assets, own_code=own_code)
        self.stickers = StickerPages(own_or_shipped(root, "site_templates/stickers"))
        workers = workers_of(root, self.assets, press.config)
        self._usable = press.usable
        self._editions = EditionPress(root, press, self.writer.templates, workers)
        scripts = frozenset(map(content_hash, inline_scripts()))
        styles = frozenset([content_hash(self.stickers.style)])
        self.kinds = Kinds(Kind("article", scripts), Kind("main", styles=styles))
        self.policies = Policies(scripts, styles)
        self._pieces = Pieces(self.kinds)
        self.places = Places()

    def write(self, order: Order) -> Answer:
        """Write the plots of an order."""
        answers = [self._edition(each, order.registers) for each in order.editions]
        return Answer(
            tuple(written for each in answers for written in each.written),
            tuple(found for each in answers for found in each.findings),
        )

    def _edition(self, plots: tuple[PlotOrder, ...], registers: Mapping[str, Register]) -> Answer:
        """Write plots that are all of one edition, if they can be."""
        orders = {each.reference: each for each in plots}
        made = self.maker.make([self.workspace.plots[each] for each in orders], late=self._usable)
        written, works = [], dict[int, EditionWork]()
        for member in made.members:
            if id(member.edition) not in works:
                works[id(member.edition)] = self._work(member.edition)
            work, register = works[id(member.edition)], registers[member.plot.development]
            written.append(work.write(member, orders[member.plot.reference], register))
        return Answer(tuple(written), made.findings)

    def _work(self, edition: Edition) -> "EditionWork":
        site = self._editions.site(edition.guide) if self._usable else None
        return EditionWork(edition, site, self, self._pieces)


class EditionWork:
    """Writes the plots of one edition. What the first of them holds is proofed, and of the others
    what is not made of the very same pieces."""

    def __init__(
        self, edition: Edition, site: EditionSite | None, house: "Bench", pieces: Pieces
    ) -> None:
        self._edition, self._site, self._house = edition, site, house
        self._pieces, self._proof = pieces, SiteProof(pieces)
        self._stickers: dict[StickerRecord, tuple[str, Cut]] = {}

    def write(self, member: Member, order: PlotOrder, register: Register) -> Written:
        """One plot, into its folder."""
        member.values.also({GUIDE_CODE: order.code})
        stickers = stickers_in(member.plot, self._edition.traced.home, register)
        try:
            made = self._made(member, order, stickers)
            write_files(made.files, order.folder)
            return self._read_back(member, order, made, stickers)
        except OSError as error:
            raise unwritable(order.reference, error) from error

    def _made(self, member: Member, order: PlotOrder, stickers: tuple[StickerOf, ...]) -> Made:
        """Every file of one plot."""
        before = Records(order.published.parents[1]).read(order.code)
        made = self._reworded(member, order, before) or self._whole(member, order, before)
        files, marked = dict(made.files), dict[str, str]()
        for each in stickers:
            marked[each.issued.code], page = self._of_sticker(each, self._edition.guide)
            member.values.also({STICKER_CODE: each.issued.code})
            files[f"Q/{each.issued.code}/index.html"] = page.filled(member.values)
        return replace(made, files=files, marked=marked)

    def _stands(self, order: PlotOrder, before: GuideRecord | None) -> Standing | None:
        """The guide that is published, if pages of it may be taken."""
        if before is None or order.differs is None:
            return None
        return standing_guide(order.published, before)

    def _reworded(
        self, member: Member, order: PlotOrder, before: GuideRecord | None
    ) -> Made | None:
        """A plot of which only the words of some articles differ: all but their pages is taken as it
        is published. Nothing where that is not so, or where some of it is not as it was published."""
        standing = self._stands(order, before)
        if not (before and standing and self._site and self._site.words_show_alone):
            return None
        if not all(map(is_article, order.differs or ("",))):
            return None
        articles = self._edition.about.selection.articles
        pages = [f"article:{each.id}" for each in articles if each.file in (order.differs or ())]
        guide = replace(self._edition.guide, reference=order.reference)
        opened = self._site.opened(guide, member.values, pages)
        known = kept_contents(before)
        contents, changes = self._compared(member, before, guide, opened.contents, known)
        guide = logged(guide, changes)
        closed = self._site.reworded(guide, order.code, member.values, opened, standing)
        if closed is None:
            return None
        made = of_closed(order.code, closed, contents, changes)
        return with_calendar(made, order.code, standing)

    def _whole(self, member: Member, order: PlotOrder, before: GuideRecord | None) -> Made:
        """A plot of which all is made that differs, whatever it is."""
        guide = self._edition.dated(order.reference, member.values)
        whole = self._edition.filled(guide, member.values)
        made = self._of_site(member, order, before, guide, whole)
        if guide.schedule.completion is None:
            return made
        text = self._calendar(order, whole)
        return replace(made, files={**made.files, f"g/{order.code}/{CALENDAR}": text})

    def _calendar(self, order: PlotOrder, whole: Guide) -> bytes:
        # What writes calendars takes long to load, and not every home has dates.
        from builder.writers.calendar.writing import next_edition  # noqa: PLC0415

        place = order.published / CALENDAR
        earlier = place.read_bytes() if place.is_file() else None
        return next_edition(whole, order.code, self._house.day, earlier)

    def _of_site(
        self, member: Member, order: PlotOrder, before: GuideRecord | None, guide: Guide,
        whole: Guide,
    ) -> Made:  # fmt: skip
        if self._site is None:
            return self._of_engine(member, order, before, whole)
        opened = self._site.opened(guide, member.values)
        contents, changes = self._compared(member, before, guide, opened.contents)
        standing, guide = self._stands(order, before), logged(guide, changes)
        closed = self._site.closed(guide, order.code, member.values, opened, standing)
        return of_closed(order.code, closed, contents, changes)

    def _of_engine(
        self, member: Member, order: PlotOrder, before: GuideRecord | None, whole: Guide
    ) -> Made:
        """A site that MkDocs alone writes."""
        writer, tree = self._house.writer, order.folder
        folder = tree / "g" / order.code
        contents, changes = self._compared(member, before, whole, writer.contents(whole))
        address = f"{member.host}/g/{order.code}/"
        warned = writer.write(logged(whole, changes), folder, address)
        found = (path for path in sorted(folder.rglob("*")) if path.is_file())
        files = {path.relative_to(tree).as_posix(): path.read_bytes() for path in found}
        return Made(files, {}, {}, contents, changes, warned=warned)

    def _compared(
        self, member: Member, before: GuideRecord | None, guide: Guide, digests: Mapping[str, str],
        known: Mapping[str, Content] | None = None,
    ) -> tuple[Mapping[str, Content], tuple[ChangedDay, ...]]:  # fmt: skip
        """What each page says now, and what changed since the guide was published before. ``known``:
        what pages say that have no digest here."""
        fill = Filling(member.values)
        titles = {page.id: fill(str(page.title)) for page in guide.pages}
        found = {page: Content(digest, titles[page]) for page, digest in digests.items()}
        both = {**(known or {}), **found}
        now = {page.id: both[page.id] for page in guide.pages if page.id in both}
        return now, log_after(before, now, self._house.day)

    def _of_sticker(self, each: StickerOf, guide: Guide) -> tuple[str, Cut]:
        """The page of a sticker that was issued for a plot, with marks and cut at them."""
        wanted = each.issued.wanted
        record = StickerRecord(
            _mark(STICKER_CODE), wanted.kind, wanted.room, wanted.make, each.equipment, each.void
        )
        if record not in self._stickers:
            page = sticker_page(self._edition.about, guide, record)
            text = self._house.stickers.write(page, guide, _mark(GUIDE_CODE))
            self._stickers[record] = text, cut(text)
        return self._stickers[record]

    def _read_back(
        self, member: Member, order: PlotOrder, made: Made, stickers: tuple[StickerOf, ...]
    ) -> Written:
        found, sound = list(made.warned), self._is_sound(order, made)
        if not sound:
            read = crawl(order.folder, self._house.assets.digests, self._house.kinds)
            found += [*proof(read), *overweight(order.folder, "Q/*/index.html")]
        return Written(
            order,
            {
                name: made.digests.get(name) or hashlib.sha256(content_of(each)).hexdigest()
                for name, each in made.files.items()
            },
            made.contents,
            made.made,
            made.gaps,
            made.changes,
            tuple(each.issued.code for each in stickers),
            self._house.policies,
            sum(name.startswith("g/") and name.endswith(".html") for name in made.files),
            member.host,
            tuple(each.file for each in self._edition.about.selection.articles),
            tuple(self._at_its_article(each, order) for each in found),
        )

    def _at_its_article(self, finding: Finding, order: PlotOrder) -> Finding:
        """A finding about a plot; one about the page of an article names the file that it is made of."""
        pages = {page.id: page.path for page in self._edition.guide.pages}
        for each in self._edition.about.selection.articles:
            page = f"g/{order.code}/{pages.get(f'article:{each.id}', '')}/index.html"
            if finding.place.file == page:
                return replace(
                    finding, place=Place(each.file, each.body_line), path=str(finding.place),
                    plots=(order.reference,),
                )  # fmt: skip
        return finding.for_plots(order.reference)

    def _is_sound(self, order: PlotOrder, made: Made) -> bool:
        """Whether all that these files are made of is known to be sound. Where it is not, what was
        written is read from the disk, and that tells what is wrong, and where."""
        if self._site is None:
            return False
        here, inside = f"g/{_mark(GUIDE_CODE)}/", f"g/{order.code}/"
        own = [name.removeprefix(inside) for name in made.files if name.startswith(inside)]
        sound = self._proof.is_sound(
            frozenset(here + name for name in own).union(self._house.assets.digests),
            {here + name: pieces for name, pieces in made.pieces.items()},
            sorted(set(made.marked.values())),
            self._standing(order, made, here) if made.stood else None,
        )
        return sound and all(
            self._pieces.fits(marked, content_of(made.files[f"Q/{code}/index.html"]))
            for code, marked in made.marked.items()
        )

    def _standing(self, order: PlotOrder, made: Made, here: str) -> StandingPages:
        """The places in the pages of the guide that is published, read when somebody asks."""
        places = {
            name: partial(self._house.places.of, order.published / name, shape)
            for name, shape in made.stood.items()
        }
        return StandingPages(
            {here + name: each for name, each in places.items() if name not in made.pieces},
            {here + name: each for name, each in places.items() if name in made.pieces},
        )


def _mark(name: str) -> str:
    return f"{OPENS}{name}{CLOSES}"


def unwritable(reference: str, error: OSError) -> HandoverError:
    """What stops a build: the target cannot be written."""
    return HandoverError(f"The guide of {reference} cannot be written: {error}.")
