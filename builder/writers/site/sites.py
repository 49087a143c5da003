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
from builder.languages.language import FIRST
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
    each says, by the pages' ids; not of those that only list others. ``others``: its pages in each of
    its other languages."""

    pages: tuple[MadePage, ...]
    contents: Mapping[str, str]
    others: tuple[tuple[MadePage, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class FinishedSite:
    """One guide's site: its files, or where they are published already; the SHA-256 of each page; a
    digest of all that each page is made from, by the pages' ids; the pieces of each new page, by its file."""

    files: Mapping[str, bytes | Path]
    digests: Mapping[str, str]
    made: Mapping[str, str]
    new: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class _FramedPage:
    """A page in its frame; a digest of all that both are ``made`` from; where it ``stands`` as it would
    come out, if it does."""

    page: MadePage
    frame: Frame
    made: str
    stands: Path | None

    @property
    def id(self) -> str:
        """Its page's, in a guide of several languages."""
        return _id_in_all(self.page)

    def around(self, bodies: tuple[HtmlPart, ...]) -> tuple[str, ...]:
        """The whole page as its pieces."""
        return self.frame.around(escape(self.page.page.title), bodies)


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
        others = tuple(self._pages.of(each) for each in guide.others)
        return OpenSite(pages, {name: each.said(pictures) for name, each in said.items()}, others)

    def finished(
        self, site: OpenSite, guide: Guide, code: str, published: PublishedGuide | None
    ) -> FinishedSite:
        """The files of a guide's site. ``guide`` has its log of changes; ``published``: the guide as
        it stands, if pages of it may be taken."""
        self._engine.show(guide)
        spoken = [self._pages.with_log(site.pages, guide), *site.others]
        framed = tuple(self._framed(page, published) for pages in spoken for page in pages)
        bodies = {each.id: self._bodies(each.page) for each in framed if _is_read(each, published)}
        new = {each.page.file: each.around(bodies[each.id]) for each in framed if not each.stands}
        files: dict[str, bytes | Path] = {
            each.page.file: each.stands or "".join(new[each.page.file]).encode() for each in framed
        }
        digests = {name: _digest(name, each, published) for name, each in files.items()}
        look = self._look(guide)
        known = {**digests, **{name: _sha256(content) for name, content in look.items()}}
        beside = {
            **{_words_of(pages): all_words(_rows(pages, bodies, published)) for pages in spoken},
            **self._copies.files(guide.photographs),
            **look,
            WORKER: self._engine.workers.text(guide, code, known).encode(),
        }
        made = {each.id: each.made for each in framed}
        return FinishedSite({**files, **beside}, digests, made, new)

    def _framed(self, page: MadePage, published: PublishedGuide | None) -> _FramedPage:
        frame = self._engine.frames.frame(page.page.path, bar_entry_of(page.page), page)
        made = _digest_of_page(page, frame)
        stands = published is not None and published.keeps(_id_in_all(page), made, page.file)
        return _FramedPage(page, frame, made, published.folder / page.file if published and stands else None)  # fmt: skip

    def _bodies(self, page: MadePage) -> tuple[HtmlPart, ...]:
        return tuple(part.body(self._engine.converter.converted) for part in page.parts)

    def _look(self, guide: Guide) -> Mapping[str, bytes]:
        """The files of a guide's look, made once for all guides of a builder."""
        if guide.look not in self._looks:
            self._looks[guide.look] = look_files(guide.look, self._root)
        return self._looks[guide.look]


def _id_in_all(page: MadePage) -> str:
    """The id of a page in a guide of several languages."""
    own = page.page.id
    return own if page.language is FIRST else f"{page.language.code}/{own}"


def _words_of(pages: tuple[MadePage, ...]) -> str:
    """The file with the words of pages that are all in one language."""
    language = pages[0].language
    return WORDS if language is FIRST else f"{language.code}/{WORDS}"


def _is_read(framed: _FramedPage, published: PublishedGuide | None) -> bool:
    """Whether the parts of a page are needed: to write it, or to list its words."""
    page = framed.page
    listed = published is not None and page.address in published.rows
    return framed.stands is None or (page.page.listed and not listed)


def _digest(name: str, file: bytes | Path, published: PublishedGuide | None) -> str:
    """The SHA-256 of a page: of one that stands, as it was recorded."""
    if isinstance(file, bytes):
        return _sha256(file)
    return published.digests[name] if published else _sha256(file.read_bytes())


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
        if (name := _id_in_all(each)) in bodies:
            words = _words(page, bodies[name])
            rows.append(row_of(each.address, page.title, page.summary, words, page.called))
        elif published:
            rows.append(published.rows[each.address])
    return rows


def _words(page: Page, bodies: tuple[HtmlPart, ...]) -> str:
    """What a page is found by: all its words, or where it repeats others its title alone."""
    return words_of(page.title) if page.repeats else " ".join(body.words for body in bodies)


def _digest_of_page(page: MadePage, frame: Frame) -> str:
    """A digest of all that a page is made from."""
    own = (page.page.title, page.page.summary, frame.digest)
    return digest_of(*own, *(part.digest for part in page.parts))[:DIGITS]


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
