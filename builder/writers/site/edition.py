"""The site of an edition: its pages made once with marks for late values, and filled in for each plot.

Knows no site engine: the press does. What comes out is, byte for byte, what the engine alone would
make of each plot's own guide.
"""

import hashlib
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from builder.guide.changes import CHANGES
from builder.guide.pages import Guide, Page
from builder.guide.schedule.apart import Days, days_apart
from builder.lately import Lately
from builder.model.late import MARK, LateValueError
from builder.writers.site.content import content_digest, content_of
from builder.writers.site.filling import Cut, Values, cut
from builder.writers.site.markdown import PageTemplates, WrittenPage
from builder.writers.site.offline import WORKER, Workers
from builder.writers.site.photographs import published_copy
from builder.writers.site.plugin import shown
from builder.writers.site.press import SEARCH_INDEX, Press, PrintedPage
from builder.writers.site.refilling import Gaps
from builder.writers.site.sections import late_heading
from builder.writers.site.shapes import Shape
from builder.writers.site.standing import Before, Standing

T = TypeVar("T")

DATED = ("page:dates", "page:care", CHANGES)
"""The pages that every plot has of its own: they are full of days."""

SAID = 500
"""Pages of which a process keeps in memory what they say."""


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
    """One plot's site: its files, or where they are published already; the SHA-256 of each page; the
    pieces that each new page is made of, with marks for late values and without days; a digest of all
    that each page is made from, by the pages' ids; where the values stand in pages; and a digest of
    the shape of each page that ``stood`` when others were taken from there."""

    files: Mapping[str, bytes | Path]
    digests: Mapping[str, str]
    pieces: Mapping[str, tuple[str, ...]]
    made: Mapping[str, str]
    gaps: Gaps
    stood: Mapping[str, str]


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
        whole = shown(guide, house.templates, house.root, empty=DATED)
        self._open = house.press.edition(whole)
        written = dict(zip((page.id for page in guide.pages), whole.pages, strict=True))
        self._shared = {name: page for name, page in written.items() if name not in DATED}
        self._printed: dict[str, PrintedPage] = {}
        self._said: dict[str, _Said] = {}
        self._shapes: dict[str, Shape | None] = {}
        self._files = {name: self._open.file(page.source) for name, page in written.items()}
        self._late = [name for name, page in self._shared.items() if late_heading(page.markdown)]
        self._pictures = {
            f"photos/{each.name}": content_digest(house.photograph(each.file))
            for each in guide.photographs
        }

    @property
    def words_show_alone(self) -> bool:
        """Whether what stands below the top of an article shows on its own page and nowhere else: our
        templates are known for that."""
        return self._house.templates.ours

    def opened(self, guide: Guide, values: Values, only: Collection[str] | None = None) -> Opened:
        """One plot's site. ``guide``: the edition's with that plot's days; ``only``: the ids of the
        pages that are of interest, if not all."""
        dated = [page for page in guide.pages if page.id in DATED and page.id != CHANGES]
        wanted = self._files if only is None else only
        own = {page.id: self._of_days(guide, page, values) for page in dated if page.id in wanted}
        own |= {name: self._with(self._shared[name], values) for name in self._late}
        sheets = {name: each for name, each in self._sheets(guide, values, own).items() if name in wanted}  # fmt: skip
        return Opened(
            {name: each for name, each in own.items() if name in wanted},
            {name: self._says(name, sheet) for name, sheet in sheets.items()},
        )

    def closed(
        self, guide: Guide, code: str, values: Values, opened: Opened, standing: Standing | None
    ) -> Closed:
        """That plot's site, finished. ``guide`` is the same one with its log of changes;
        ``standing``: the guide as it is published, whose pages are taken where nothing differs."""
        sheets = self._sheets(guide, values, {**opened.own, **self._log(guide, values)})
        before = self._before(standing, sheets, values)
        return self._close(guide, code, sheets, before)

    def reworded(
        self, guide: Guide, code: str, values: Values, opened: Opened, standing: Standing
    ) -> Closed | None:
        """The same where no page differs but those that were opened; nothing where one of the others
        is not published as it was."""
        every = self._sheets(guide, values, {**opened.own, **self._log(guide, values)})
        sheets = {name: every[name] for name in every if name in opened.contents or name == CHANGES}
        spared = {name: digest for name, digest in standing.made.items() if name in self._files}
        before = self._before(standing, sheets, values, spared)
        if not self._files.keys() <= sheets.keys() | before.taken:
            return None
        return self._close(guide, code, sheets, before)

    def _before(
        self, standing: Standing | None, sheets: Mapping[str, _Sheet], values: Values,
        spared: Mapping[str, str] = MappingProxyType({}),
    ) -> Before:  # fmt: skip
        """What a plot takes from its ``standing`` guide. ``spared``: what the pages are made from that
        are not among its ``sheets``."""
        index = SEARCH_INDEX if self._house.press.search is not None else None
        made, texts = {**spared, **dict(self._made(sheets))}, _texts(sheets)
        ordered = {name: made[name] for name in self._files if name in made}
        return Before(standing, self._files, ordered, index, texts, values)

    def _close(
        self, guide: Guide, code: str, sheets: Mapping[str, _Sheet], before: Before
    ) -> Closed:
        pages = self._new_pages(sheets, before)
        refilled = {before.files[name]: content for name, content in before.refilled.items()}
        new = {file: page.html.filled(known) for file, (page, known) in pages.items()} | refilled
        digests = before.digests({file: _digest(content) for file, content in new.items()})
        files = {**before.places, **new, **dict(self._beside_pages(guide, before, pages))}
        files[WORKER] = self._house.workers.text(guide, code, digests).encode()
        pieces = {file: page.pieces for file, (page, _) in pages.items()}
        # The days of a page are no values of the plot.
        own = {self._files[name] for name in DATED if name in self._files}
        gaps = {file: "" if file in own else page.gaps for file, (page, _) in pages.items()}
        return Closed(files, digests, pieces, before.made, before.gaps(gaps), before.stood)

    def _log(self, guide: Guide, values: Values) -> dict[str, _Sheet]:
        logs = [page for page in guide.pages if page.id == CHANGES]
        return {page.id: self._of_days(guide, page, values) for page in logs}

    def _new_pages(
        self, sheets: Mapping[str, _Sheet], before: Before
    ) -> dict[str, tuple[PrintedPage, Values]]:
        """The pages that are not taken as they are, with the values that fill them, by their files."""
        return {
            before.files[name]: (self._page(name, each.written), each.values)
            for name, each in sheets.items()
            if name not in before.taken
        }

    def _made(self, sheets: Mapping[str, _Sheet]) -> Iterator[tuple[str, str]]:
        known: dict[int, dict[tuple[str, ...], str]] = {}
        for name, sheet in sheets.items():
            shape = self._once(self._shapes, name, sheet.written, self._open.shape)
            if shape is not None:
                yield name, shape.filled(sheet.values, known.setdefault(id(sheet.values), {}))

    def _page(self, name: str, written: WrittenPage) -> PrintedPage:
        return self._once(self._printed, name, written, self._open.page)

    def _says(self, name: str, sheet: _Sheet) -> str:
        said = self._once(self._said, name, sheet.written, self._said_by)
        return said.digest_with(sheet.values)

    def _said_by(self, written: WrittenPage) -> _Said:
        return self._house.said(written, self._pictures)

    def _once(
        self, found: dict[str, T], name: str, written: WrittenPage, make: Callable[[WrittenPage], T]
    ) -> T:
        """What is made from a page, once for all plots that share it."""
        if written is not self._shared.get(name):
            return make(written)
        if name not in found:
            found[name] = make(written)
        return found[name]

    def _sheets(self, guide: Guide, values: Values, own: Mapping[str, _Sheet]) -> dict[str, _Sheet]:
        """The pages of one plot in their order, as far as they are known."""
        known = {**{name: _Sheet(page, values) for name, page in self._shared.items()}, **own}
        return {page.id: known[page.id] for page in guide.pages if page.id in known}

    def _beside_pages(
        self, guide: Guide, before: Before, pages: Mapping[str, tuple[PrintedPage, Values]]
    ) -> Iterator[tuple[str, bytes]]:
        around = self._house.press.search_frame()
        if around is not None:
            new = {file: page.entries.filled(known) for file, (page, known) in pages.items()}
            rows = b",".join(filter(None, before.in_order(new)))
            yield SEARCH_INDEX, b"".join((around[0].encode(), rows, around[1].encode()))
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


def _texts(sheets: Mapping[str, _Sheet]) -> dict[str, str]:
    """The Markdown of the pages that another guide may have with other values and no other days."""
    return {name: each.written.markdown for name, each in sheets.items() if name not in DATED}


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
