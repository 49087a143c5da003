"""The sites of many guides: their pages from the memo, in frames that the engine renders.

What comes out is, byte for byte, what the engine alone would make of each guide. A page that is made
from the same as the one that is published is taken from there, and nothing of it is made. So is one
that comes out the same.
"""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import cast

from markupsafe import escape

from builder.digests import of_texts
from builder.guide.changes import CHANGES
from builder.guide.find_pages import FIND
from builder.guide.pages import Guide, GuideLook, Page
from builder.languages.language import FIRST, Language
from builder.recent import RecentResults
from builder.writers.site.context import Surroundings, address_in_guide, file_of
from builder.writers.site.converting import WORDS
from builder.writers.site.engine import HeldEngine
from builder.writers.site.frame import Frame
from builder.writers.site.offline import WORKER
from builder.writers.site.pages import MadePage, Pages
from builder.writers.site.pictures import Copies, look_files
from builder.writers.site.script_data import (
    all_words,
    home_file,
    spoken_files,
    texts_of_scripts,
    with_other_rows,
)


@dataclass(frozen=True)
class PublishedGuide:
    """A published guide: its ``folder``; by the pages' ids, a digest of all that each was ``made`` from and
    one of what it ``said``; the SHA-256 of each file, by its path in the guide."""

    folder: Path
    made: Mapping[str, str]
    said: Mapping[str, str]
    digests: Mapping[str, str]

    def keeps(self, page: Page, name: str, made: str) -> bool:
        """Whether a page, by its id in all languages, was made from the same, and all that was written
        of it is there."""
        known = name != page.id or not _is_compared(page) or name in self.said
        return self.made.get(name) == made and known and self.holds(file_of(page))

    def stands(self, file: str, made: str | None) -> bool:
        """Whether a file that is no page stands as it was published, and was ``made`` from the same."""
        return made is not None and self.made.get(file) == made and self.holds(file)

    def has(self, file: str, digest: str) -> bool:
        """Whether a file is there, as it was published, with this SHA-256."""
        return self.digests.get(file) == digest and self.holds(file)

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


WHOLE = 800
"""Whole pages that a process keeps: homes that are alike have most of them in common."""
DIGITS = 16
"""Hexadecimal digits of the digest of all that a page is made from."""


@dataclass(frozen=True, slots=True)
class OpenPage:
    """A page in its frame, with what is ``around`` it in its guide; a digest of all that they are
    ``made_from``; the parts of one that is made now, and none of one that stands as it was published; a
    digest of what it ``said``."""

    page: Page
    around: Surroundings
    frame: Frame
    made_from: str
    made: MadePage | None
    said: str

    @property
    def language(self) -> Language:
        """The language that it is written in."""
        return self.around.language

    @property
    def is_looked_for(self) -> bool:
        """Whether it stands in the list of all words: not so the one that finds the others."""
        return self.page.listed and self.page.id != FIND

    @property
    def id(self) -> str:
        """The id of the page in a guide of several languages."""
        return _id_in_all(self.page, self.language)


@dataclass(frozen=True, slots=True)
class OpenSite:
    """One guide's site in all its languages, of which all is known but what changed in it. ``published``: the guide as it
    stands, if pages of it may be taken; ``pictures``: digests of its photographs, by their names."""

    pages: tuple[OpenPage, ...]
    published: PublishedGuide | None
    pictures: Mapping[str, str]

    @property
    def contents(self) -> Mapping[str, str]:
        """A digest of what each page says, by its id; not of those that only list others."""
        first = (each for each in self.pages if each.language is FIRST)
        return {each.page.id: each.said for each in first if _is_compared(each.page)}


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
        self._whole: RecentResults[tuple[str, int], tuple[MadePage, _WrittenPage]] = RecentResults(
            WHOLE
        )
        self._looks: dict[GuideLook | None, Mapping[str, bytes]] = {}

    def opened(self, guide: Guide, published: PublishedGuide | None) -> OpenSite:
        """A guide's site before its log of changes is known. ``published``: the guide as it stands, if
        pages of it may be taken."""
        self._engine.show(guide)
        site = OpenSite((), published, self._pictures(guide))
        pages = (
            self._opened(page, around, site)
            for each in (guide, *guide.others)
            for around in (Surroundings(each),)
            for page in each.pages
        )
        return replace(site, pages=tuple(pages))

    def finished(self, site: OpenSite, guide: Guide, code: str) -> FinishedSite:
        """The files of a guide's site. ``guide`` has its log of changes."""
        pages, published = tuple(self._with_log(site, guide)), site.published
        written = {file_of(each.page): self._written(each, published) for each in pages}
        digests = {name: each.digest for name, each in written.items()}
        held = self._held(guide)
        known = {**digests, **{name: _sha256(content) for name, content in held.items()}}
        beside: dict[str, bytes | Path] = {
            **{name: self._words(name, spoken, published) for name, spoken in _by_words(pages)},
            **self._copies.files(guide.photographs),
            **{name: _standing(name, each, published) for name, each in held.items()},
            WORKER: self._engine.workers.text(guide, code, known).encode(),
        }
        files = {**{name: each.file for name, each in written.items()}, **beside}
        new = {name: each.pieces for name, each in written.items() if each.pieces}
        return FinishedSite(files, digests, {each.id: each.made_from for each in pages}, new)

    def dates(self, guide: Guide) -> dict[str, str]:
        """A digest of all dates of a guide in each of its languages, by their codes."""
        spoken = {each.language.code: each.schedule for each in (guide, *guide.others)}
        return {
            code: self._pages.digest_of({"from": each.completion, "entries": each.entries})
            for code, each in spoken.items()
        }

    def file(self, guide: Guide, name: str) -> bytes | None:
        """One file of a guide as it comes out, by its path in it, and no other is made: a page, or what
        it shows. Nothing where there is none. What scripts alone read is not among them."""
        self._engine.show(guide)
        for each in (guide, *guide.others):
            page = next((page for page in each.pages if file_of(page) == name), None)
            if page is not None:
                return self._alone(page, Surroundings(each))
        beside = self._held(guide).get(name)
        return self._copies.file(guide.photographs, name) if beside is None else beside

    def _alone(self, page: Page, around: Surroundings) -> bytes:
        """One page in its frame."""
        frame = self._engine.frames.frame(page, around.language)
        made = self._pages.page(page, around).html(self._engine.converter.converted)
        return "".join(frame.around(escape(page.title), made)).encode()

    def _with_log(self, site: OpenSite, guide: Guide) -> Iterator[OpenPage]:
        """The pages, and that which lists what changed as it stands in this guide now."""
        log = guide.page(CHANGES)
        for each in site.pages:
            lists = log is not None and each.id == CHANGES
            yield self._opened(log, Surroundings(guide), site) if lists and log else each

    def _opened(self, page: Page, around: Surroundings, site: OpenSite) -> OpenPage:
        """A page, made only where it would not come out as it stands."""
        published = site.published
        frame = self._engine.frames.frame(page, around.language)
        origin = (self._pages.origin(page), around.digest, frame.digest, *site.pictures.values())
        made_from, name = of_texts(*origin)[:DIGITS], _id_in_all(page, around.language)
        if published and published.keeps(page, name, made_from):
            return OpenPage(page, around, frame, made_from, None, published.said.get(name, ""))
        made = self._pages.page(page, around)
        return OpenPage(page, around, frame, made_from, made, made.said(site.pictures))

    def _written(self, page: OpenPage, published: PublishedGuide | None) -> "_WrittenPage":
        """A page as it is published already, where it stands so or would come out the same."""
        name = file_of(page.page)
        if page.made is None:
            standing = cast("PublishedGuide", published)
            return _WrittenPage(standing.folder / name, standing.digests[name])
        whole = self._whole_page(page, page.made)
        if published and published.has(name, whole.digest):
            return _WrittenPage(published.folder / name, whole.digest)
        return whole

    def _words(self, name: str, pages: list[OpenPage], published: PublishedGuide | None) -> bytes:
        """The list of all words of pages: the published one with the words of those that are made now, or
        a new one, for which the others are made too."""
        convert, looked_for = (
            self._engine.converter.converted,
            [each for each in pages if each.is_looked_for],
        )
        standing = published.content(name) if published else None
        if standing is not None:
            others = (each.made.row(convert) for each in looked_for if each.made)
            addresses = [address_in_guide(each.page) for each in looked_for]
            same = with_other_rows(standing, addresses, others)
            if same is not None:
                return same
        made = (each.made or self._pages.page(each.page, each.around) for each in looked_for)
        return all_words(each.row(convert) for each in made)

    def _whole_page(self, page: OpenPage, made: MadePage) -> "_WrittenPage":
        """A page in its frame, made once for all guides that have both."""
        key = (page.frame.digest, id(made))
        known = self._whole.get(key)
        if known is None:
            parts = made.html(self._engine.converter.converted)
            pieces = page.frame.around(escape(page.page.title), parts)
            content = "".join(pieces).encode()
            # The page is kept beside it, so that no other takes its place in memory.
            known = self._whole.keep(key, (made, _WrittenPage(content, _sha256(content), pieces)))
        return known[1]

    def _pictures(self, guide: Guide) -> Mapping[str, str]:
        """A digest of each photograph of a guide, by its name without its ending."""
        return {
            each.name.rpartition(".")[0]: _sha256(self._copies.large(each))
            for each in guide.photographs
        }

    def _held(self, guide: Guide) -> Mapping[str, bytes]:
        """The files of a guide that are no pages, photographs or lists."""
        return {**self._look(guide), **home_file(guide.address), **self._spoken(guide)}

    def _spoken(self, guide: Guide) -> Mapping[str, bytes]:
        """The words of scripts in a guide's other languages."""
        languages = tuple(each.language for each in guide.others)
        return spoken_files(languages, self._said_by_scripts) if languages else {}

    @cached_property
    def _said_by_scripts(self) -> tuple[str, ...]:
        return texts_of_scripts(self._engine.assets)

    def _look(self, guide: Guide) -> Mapping[str, bytes]:
        """The files of a guide's look, made once for all guides of a builder."""
        if guide.look not in self._looks:
            self._looks[guide.look] = look_files(guide.look, self._root)
        return self._looks[guide.look]


@dataclass(frozen=True, slots=True)
class _WrittenPage:
    """A page's file, or where it is published already; its SHA-256; the pieces of a new one."""

    file: bytes | Path
    digest: str
    pieces: tuple[str, ...] = ()


def _standing(name: str, content: bytes, published: PublishedGuide | None) -> bytes | Path:
    """A file beside the pages, or where it is published already as it would come out."""
    stands = published is not None and published.has(name, _sha256(content))
    return published.folder / name if published and stands else content


def _id_in_all(page: Page, language: Language) -> str:
    """The id of a page in a guide of several languages."""
    return page.id if language is FIRST else f"{language.code}/{page.id}"


def _by_words(pages: tuple[OpenPage, ...]) -> Iterator[tuple[str, list[OpenPage]]]:
    """The file with the words of all pages in a language, and those pages."""
    for language in dict.fromkeys(each.language for each in pages):
        name = WORDS if language is FIRST else f"{language.code}/{WORDS}"
        yield name, [each for each in pages if each.language is language]


def _is_compared(page: Page) -> bool:
    """Whether what a page says is compared with what it said before: not of one that lists others."""
    return page.id not in (CHANGES, FIND) and not page.repeats


def _sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
