"""The site of an edition: its pages made once with marks for late values, and filled in for each plot.

Knows no site engine: the press does. What comes out is, byte for byte, what the engine alone would
make of each plot's own guide.
"""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

from builder.guide.changes import CHANGES
from builder.guide.pages import Guide, Page
from builder.guide.schedule.apart import Days, days_apart
from builder.lately import Lately
from builder.model.late import MARK, LateValueError
from builder.writers.site.content import content_digest, content_of
from builder.writers.site.filling import Cut, cut
from builder.writers.site.markdown import PageTemplates, WrittenPage
from builder.writers.site.offline import WORKER, Workers
from builder.writers.site.photographs import published_copy
from builder.writers.site.plugin import shown
from builder.writers.site.press import SEARCH_INDEX, Press, PrintedPage
from builder.writers.site.sections import late_heading

DATED = ("page:dates", "page:care", CHANGES)
"""The pages that every plot has of its own: they are full of days."""

SAID = 1_500
"""Pages of which a process keeps in memory what they say."""


class Values(Protocol):
    """The late values of one plot, by the names of their marks."""

    def in_bytes(self, name: str) -> bytes: ...

    def __getitem__(self, name: str) -> str: ...


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A page of one plot as Markdown with marks, and the values that stand for them."""

    written: WrittenPage
    values: Values


@dataclass(frozen=True, slots=True)
class Opened:
    """One plot's site, of which all is known but what changed in it: the pages of its own, and a
    digest of what each page says, by the pages' ids."""

    own: Mapping[str, _Sheet]
    contents: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Closed:
    """One plot's site: its files; the SHA-256 of each page; the pieces that each page is made of,
    with marks for late values and without days."""

    files: Mapping[str, bytes]
    digests: Mapping[str, str]
    pieces: Mapping[str, tuple[str, ...]]


class _WithDays:
    """The values of one plot, and the days of one of its pages."""

    def __init__(self, days: Days, values: Values) -> None:
        self._days, self._values = days, values

    def in_bytes(self, name: str) -> bytes:
        day = self._days.get(name)
        return self._values.in_bytes(name) if day is None else day.encode()

    def __getitem__(self, name: str) -> str:
        day = self._days.get(name)
        return self._values[name] if day is None else day


class EditionPress:
    """Makes the sites of editions with one workspace's settings, theme and templates."""

    def __init__(
        self, root: Path, press: Press, templates: PageTemplates, workers: Workers
    ) -> None:
        self.root, self.press, self.templates = root, press, templates
        self.workers = workers
        self._photographs: dict[str, bytes] = {}
        self._said: Lately[tuple[Any, ...], _Said] = Lately(SAID)

    def photograph(self, file: str) -> bytes:
        """The copy of a photograph that guides show."""
        if file not in self._photographs:
            self._photographs[file] = published_copy(self.root / file)
        return self._photographs[file]

    def site(self, guide: Guide) -> "EditionSite":
        """The site of an edition, by its guide with marks in it and its pages of dates empty."""
        return EditionSite(self, guide)

    def said(self, written: WrittenPage, pictures: Mapping[str, str]) -> "_Said":
        """What a page says; worked out once for all guides in which it says the same."""
        key = (written.source, written.markdown, *pictures.items())
        return self._said.get(key) or self._said.keep(key, _said(written, pictures))


@dataclass(frozen=True, slots=True)
class _Said:
    """What a page says, cut at its marks, and a digest of it where it has none."""

    text: Cut
    digest: str | None

    def digest_with(self, values: Values) -> str:
        """The digest of what it says for one plot."""
        return self.digest or content_digest(self.text.filled(values))


def _said(written: WrittenPage, pictures: Mapping[str, str]) -> _Said:
    text = cut(content_of(written, pictures))
    return _Said(text, None if text.names else content_digest(text.parts[0]))


class EditionSite:
    """One edition. A page whose heading holds a late value is made for each plot, because its
    address in the page differs too."""

    def __init__(self, house: EditionPress, guide: Guide) -> None:
        self._house, self.guide = house, guide
        whole = shown(guide, house.templates, house.root)
        self._open = house.press.edition(whole)
        written = dict(zip((page.id for page in guide.pages), whole.pages, strict=True))
        self._shared = {name: page for name, page in written.items() if name not in DATED}
        self._printed: dict[str, PrintedPage] = {}
        self._said: dict[str, _Said] = {}
        self._late = [name for name, page in self._shared.items() if late_heading(page.markdown)]
        self._pictures = {
            f"photos/{each.name}": content_digest(house.photograph(each.file))
            for each in guide.photographs
        }

    def opened(self, guide: Guide, values: Values) -> Opened:
        """One plot's site. ``guide``: the edition's with that plot's days."""
        dated = [page for page in guide.pages if page.id in DATED and page.id != CHANGES]
        own = {page.id: self._of_days(guide, page, values) for page in dated}
        own |= {name: self._with(self._shared[name], values) for name in self._late}
        sheets = self._sheets(guide, values, own)
        return Opened(own, {name: self._says(name, sheet) for name, sheet in sheets.items()})

    def closed(self, guide: Guide, code: str, values: Values, opened: Opened) -> Closed:
        """That plot's site, finished. ``guide`` is the same one with its log of changes."""
        logs = [page for page in guide.pages if page.id == CHANGES]
        own = {**opened.own, **{page.id: self._of_days(guide, page, values) for page in logs}}
        sheets = self._sheets(guide, values, own)
        pages = [(self._page(name, each.written), each.values) for name, each in sheets.items()]
        files = {page.file: page.html.filled(known) for page, known in pages}
        digests = {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}
        files |= self._beside_pages(guide, pages)
        files[WORKER] = self._house.workers.text(guide, code, digests).encode()
        return Closed(files, digests, {page.file: page.pieces for page, _ in pages})

    def _page(self, name: str, written: WrittenPage) -> PrintedPage:
        if written is not self._shared.get(name):
            return self._open.page(written)
        if name not in self._printed:
            self._printed[name] = self._open.page(written)
        return self._printed[name]

    def _says(self, name: str, sheet: _Sheet) -> str:
        said = self._said.get(name)
        if said is None or sheet.written is not self._shared.get(name):
            said = self._house.said(sheet.written, self._pictures)
        if sheet.written is self._shared.get(name):
            self._said[name] = said
        return said.digest_with(sheet.values)

    def _sheets(self, guide: Guide, values: Values, own: Mapping[str, _Sheet]) -> dict[str, _Sheet]:
        """The pages of one plot in their order, as far as they are known."""
        known = {**{name: _Sheet(page, values) for name, page in self._shared.items()}, **own}
        return {page.id: known[page.id] for page in guide.pages if page.id in known}

    def _beside_pages(
        self, guide: Guide, pages: Iterable[tuple[PrintedPage, Values]]
    ) -> Iterator[tuple[str, bytes]]:
        around = self._house.press.search_frame()
        if around is not None:
            rows = (page.entries.filled(values) for page, values in pages)
            entries = b",".join(filter(None, rows))
            yield SEARCH_INDEX, b"".join((around[0].encode(), entries, around[1].encode()))
        for photo in guide.photographs:
            yield f"photos/{photo.name}", self._house.photograph(photo.file)

    def _of_days(self, guide: Guide, page: Page, values: Values) -> _Sheet:
        """A page that is full of days: marks stand for them too, unless its template looks at one."""
        apart, days = days_apart(page)
        try:
            (written,) = self._house.templates.write_some(guide, (apart,))
        except LateValueError:
            (written,) = self._house.templates.write_some(guide, (page,))
        return _Sheet(written, _WithDays(days, values))

    def _with(self, page: WrittenPage, values: Values) -> _Sheet:
        """A page with a late value in a heading, with that of one plot."""
        text = MARK.sub(lambda found: values[found[1]], page.markdown)
        return _Sheet(WrittenPage(page.source, text), values)
