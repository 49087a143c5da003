"""The site of an edition: its pages made once with marks for late values, and filled in for each plot.

Knows no site engine: the press does. What comes out is, byte for byte, what the engine alone would
make of each plot's own guide.
"""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from builder.guide.changes import CHANGES
from builder.guide.pages import Guide
from builder.model.late import MARK
from builder.writers.site.content import content_digest, content_of
from builder.writers.site.filling import Cut, cut, joined
from builder.writers.site.markdown import PageTemplates, WrittenPage
from builder.writers.site.offline import WORKER, Workers
from builder.writers.site.photographs import published_copy
from builder.writers.site.plugin import shown
from builder.writers.site.press import SEARCH_INDEX, Press, PrintedPage
from builder.writers.site.sections import late_heading

_OF_DAYS = ("page:dates", "page:care")
DATED = (*_OF_DAYS, CHANGES)
"""The pages that every plot has of its own: they are full of days."""


class Values(Protocol):
    """The late values of one plot, by the names of their marks."""

    def in_bytes(self, name: str) -> bytes: ...

    def __getitem__(self, name: str) -> str: ...


@dataclass(frozen=True, slots=True)
class _Page:
    """A page of an edition, cut at its marks, and the pieces that it is made of."""

    file: str
    html: Cut
    entries: Cut
    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Opened:
    """One plot's site, of which all is known but what changed in it: the pages of its own, and a
    digest of what each page says, by the pages' ids."""

    own: Mapping[str, _Page]
    contents: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Closed:
    """One plot's site: its files; the SHA-256 of each page; the pieces that each page is made of,
    with marks for late values and without days."""

    files: Mapping[str, bytes]
    digests: Mapping[str, str]
    pieces: Mapping[str, tuple[str, ...]]


def _cut(page: PrintedPage) -> _Page:
    return _Page(page.file, cut(page.html), cut(page.entries), page.pieces)


class EditionPress:
    """Makes the sites of editions with one workspace's settings, theme and templates."""

    def __init__(
        self, root: Path, press: Press, templates: PageTemplates, workers: Workers
    ) -> None:
        self.root, self.press, self.templates = root, press, templates
        self.workers = workers
        self._photographs: dict[str, bytes] = {}

    def photograph(self, file: str) -> bytes:
        """The copy of a photograph that guides show."""
        if file not in self._photographs:
            self._photographs[file] = published_copy(self.root / file)
        return self._photographs[file]

    def site(self, guide: Guide) -> "EditionSite":
        """The site of an edition, by its guide with marks in it and its pages of dates empty."""
        return EditionSite(self, guide)


class EditionSite:
    """One edition. A page whose heading holds a late value is made for each plot, because its
    address in the page differs too."""

    def __init__(self, house: EditionPress, guide: Guide) -> None:
        self._house, self.guide = house, guide
        apart = [page for page in guide.pages if page.id in DATED]
        whole = shown(guide, house.templates, house.root)
        self._open = house.press.edition(whole)
        written = dict(zip((page.id for page in guide.pages), whole.pages, strict=True))
        self._own = {page.id for page in apart} | {
            name for name, page in written.items() if late_heading(page.markdown)
        }
        self._pages = {
            name: _cut(self._open.page(page))
            for name, page in written.items()
            if name not in self._own
        }
        self._pictures = {
            f"photos/{each.name}": content_digest(house.photograph(each.file))
            for each in guide.photographs
        }
        self._texts = {name: cut(content_of(written[name], self._pictures)) for name in self._pages}
        self._unchanged: _Page | None = None
        self._late = {name: written[name] for name in self._own if name not in DATED}
        self._same = {
            name: content_digest(text.parts[0])
            for name, text in self._texts.items()
            if not text.names
        }

    def opened(self, guide: Guide, values: Values) -> Opened:
        """One plot's site. ``guide``: the edition's with that plot's days."""
        own, contents = dict[str, _Page](), dict(self._same)
        for name, written in (*self._with(values), *self._written(guide, _OF_DAYS)):
            own[name] = _cut(self._open.page(written))
            text = cut(content_of(written, self._pictures))
            contents[name] = content_digest(text.filled(values))
        for name in self._texts.keys() - self._same.keys():
            contents[name] = content_digest(self._texts[name].filled(values))
        return Opened(
            own, {page.id: contents[page.id] for page in guide.pages if page.id != CHANGES}
        )

    def closed(self, guide: Guide, code: str, values: Values, opened: Opened) -> Closed:
        """That plot's site, finished. ``guide`` is the same one with its log of changes."""
        own = {**opened.own, CHANGES: self._log(guide)}
        pages = [own.get(page.id) or self._pages[page.id] for page in guide.pages]
        files = {each.file: each.html.filled(values) for each in pages}
        digests = {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
        files |= self._beside_pages(guide, values, pages)
        files[WORKER] = self._house.workers.text(guide, code, digests).encode()
        return Closed(files, digests, {each.file: each.pieces for each in pages})

    def _beside_pages(
        self, guide: Guide, values: Values, pages: list[_Page]
    ) -> Iterator[tuple[str, bytes]]:
        around = self._house.press.search_frame()
        if around is not None:
            entries = _commas([each.entries for each in pages])
            yield SEARCH_INDEX, joined((cut(around[0]), entries, cut(around[1]))).filled(values)
        for photo in guide.photographs:
            yield f"photos/{photo.name}", self._house.photograph(photo.file)

    def _log(self, guide: Guide) -> _Page:
        """The page of changes, once for all plots in which nothing has changed yet."""
        if guide.changes or self._unchanged is None:
            ((_, written),) = self._written(guide, (CHANGES,))
            made = _cut(self._open.page(written))
            if guide.changes:
                return made
            self._unchanged = made
        return self._unchanged

    def _with(self, values: Values) -> Iterator[tuple[str, WrittenPage]]:
        """The pages with a late value in a heading, with that of one plot."""
        for name, page in self._late.items():
            text = MARK.sub(lambda found: values[found[1]], page.markdown)
            yield name, WrittenPage(page.source, text)

    def _written(self, guide: Guide, names: tuple[str, ...]) -> Iterator[tuple[str, WrittenPage]]:
        """Pages that are full of days. They share their sections with others, marks and all."""
        pages = [page for page in guide.pages if page.id in names]
        written = self._house.templates.write_some(guide, pages)
        for page, each in zip(pages, written, strict=True):
            yield page.id, each


def _commas(entries: list[Cut]) -> Cut:
    """The entries of all pages in one row."""
    comma, row = cut(","), list[Cut]()
    for each in entries:
        if each.parts != (b"",):
            row += [comma, each] if row else [each]
    return joined(row)
