"""The sites of many guides: their pages from the memo, in frames that the engine renders.

What comes out is, byte for byte, what the engine alone would make of each guide. A page that would
come out as it is published is taken from there.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from markupsafe import escape

from builder.guide.changes import CHANGES
from builder.guide.find_pages import FIND, bar_entry_of
from builder.guide.pages import Guide, GuideLook, Page
from builder.writers.site.converting import WORDS, HtmlPart, row_of, words_of
from builder.writers.site.engine import HeldEngine
from builder.writers.site.frame import Frame
from builder.writers.site.offline import WORKER
from builder.writers.site.pages import MadePage, Pages, digest_of
from builder.writers.site.pictures import Copies, look_files
from builder.writers.site.word_list import all_words, rows_in


@dataclass(frozen=True)
class PublishedGuide:
    """A published guide: its ``folder``; a digest of all that each page was ``made`` from, by the pages'
    ids; the SHA-256 of each file, by its path in the guide."""

    folder: Path
    made: Mapping[str, str]
    digests: Mapping[str, str]

    def keeps(self, page: str, made: str, file: str) -> bool:
        """Whether a page was made from the same, and its file holds what was published then."""
        return self.made.get(page) == made and self.holds(file)

    def holds(self, file: str) -> bool:
        """Whether a file is there, as it was published."""
        return self.content(file) is not None

    def content(self, file: str) -> bytes | None:
        """What a file holds; nothing where that is not what was published."""
        try:
            content = (self.folder / file).read_bytes()
        except OSError:
            return None
        return content if hashlib.sha256(content).hexdigest() == self.digests.get(file) else None

    @cached_property
    def rows(self) -> Mapping[str, str]:
        """The words of its pages as they stand in the list of all words, by the pages' addresses."""
        content = self.content(WORDS)
        return {} if content is None else rows_in(content)


DIGITS = 16
"""Hexadecimal digits of the digest of all that a page is made from."""


@dataclass(frozen=True, slots=True)
class OpenSite:
    """One guide's site, of which all is known but what changed in it: its pages, and a digest of what
    each says, by the pages' ids; not of those that only list others."""

    pages: tuple[MadePage, ...]
    contents: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class FinishedSite:
    """One guide's site: its files, or where they are published already; the SHA-256 of each page; a
    digest of all that each page is made from, by the pages' ids; the pieces of each new page, by its file."""

    files: Mapping[str, bytes | Path]
    digests: Mapping[str, str]
    made: Mapping[str, str]
    new: Mapping[str, tuple[str, ...]]


class Sites:
    """Writes the sites of guides with the settings and templates of one workspace."""

    def __init__(self, root: Path, engine: HeldEngine, pages: Pages) -> None:
        self._root, self._engine, self._pages = root, engine, pages
        self._copies = Copies(root)
        self._looks: dict[GuideLook | None, Mapping[str, bytes]] = {}

    def opened(self, guide: Guide) -> OpenSite:
        """A guide's site before its log of changes is known."""
        pages = self._pages.of(guide)
        pictures = {
            each.name.rpartition(".")[0]: _sha256(self._copies.large(each))
            for each in guide.photographs
        }
        listing = (CHANGES, FIND)
        said = {
            each.page.id: each
            for each in pages
            if each.page.id not in listing and not each.page.repeats
        }
        return OpenSite(pages, {name: each.said(pictures) for name, each in said.items()})

    def finished(
        self, site: OpenSite, guide: Guide, code: str, published: PublishedGuide | None
    ) -> FinishedSite:
        """The files of a guide's site. ``guide`` has its log of changes; ``published``: the guide as
        it stands, if pages of it may be taken."""
        self._engine.show(guide)
        pages = self._pages.with_log(site.pages, guide)
        framed = {page.page.id: (page, self._frame(page)) for page in pages}
        made = {name: _made(page, frame) for name, (page, frame) in framed.items()}
        kept = {
            page.page.id
            for page in pages
            if published and published.keeps(page.page.id, made[page.page.id], page.file)
        }
        bodies = {
            name: tuple(part.body(self._engine.converter.converted) for part in page.parts)
            for name, (page, _) in framed.items()
            if name not in kept
            or not published
            or not (not page.page.listed or page.address in published.rows)
        }
        files: dict[str, bytes | Path] = {}
        digests: dict[str, str] = {}
        new: dict[str, tuple[str, ...]] = {}
        for name, (page, frame) in framed.items():
            if name in kept and published:
                files[page.file] = published.folder / page.file
                digests[page.file] = published.digests[page.file]
            else:
                pieces = new[page.file] = frame.around(escape(page.page.title), bodies[name])
                files[page.file] = content = "".join(pieces).encode()
                digests[page.file] = _sha256(content)
        files[WORDS] = all_words(_rows(pages, bodies, published))
        files |= self._copies.files(guide.photographs)
        look = self._look(guide)
        files |= look
        kept_looks = {name: _sha256(content) for name, content in look.items()}
        files[WORKER] = self._engine.workers.text(guide, code, {**digests, **kept_looks}).encode()
        return FinishedSite(files, digests, made, new)

    def _frame(self, page: MadePage) -> Frame:
        return self._engine.frames.frame(page.page.path, bar_entry_of(page.page))

    def _look(self, guide: Guide) -> Mapping[str, bytes]:
        """The files of a guide's look, made once for all guides of a builder."""
        if guide.look not in self._looks:
            self._looks[guide.look] = look_files(guide.look, self._root)
        return self._looks[guide.look]


def _rows(
    pages: tuple[MadePage, ...],
    bodies: Mapping[str, tuple[HtmlPart, ...]],
    published: PublishedGuide | None,
) -> list[str]:
    """The words of all pages but the one that finds the others."""
    rows = []
    for each in pages:
        page = each.page
        if page.id == FIND or not page.listed:
            continue
        if page.id in bodies:
            words = _words(page, bodies[page.id])
            rows.append(row_of(each.address, page.title, page.summary, words, page.called))
        elif published:
            rows.append(published.rows[each.address])
    return rows


def _words(page: Page, bodies: tuple[HtmlPart, ...]) -> str:
    """What a page is found by: all its words, or where it repeats others its title alone."""
    return words_of(page.title) if page.repeats else " ".join(body.words for body in bodies)


def _made(page: MadePage, frame: Frame) -> str:
    """A digest of all that a page is made from."""
    own = (page.page.title, page.page.summary, frame.digest)
    return digest_of(*own, *(part.digest for part in page.parts))[:DIGITS]


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
