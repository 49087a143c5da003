"""The whole guide as one book: Typst code from the same Markdown that the site is made of.

Its order is the guide's own navigation, each page once.
"""

import posixpath
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain

from bs4 import BeautifulSoup, Tag

from builder.craft.glyphs import lacking
from builder.guide.pages import Guide, Section
from builder.guide.pieces import Piece
from builder.languages.language import FIRST_CODE, to_say
from builder.writers.paper.converting import TypstConverter
from builder.writers.paper.drawings import Drawings
from builder.writers.paper.guide_text import Printable
from builder.writers.paper.reading import MarkdownReader, elements
from builder.writers.paper.typst_code import array, block, call, label, text

ELSEWHERE = to_say("Further pages")
NOTE = to_say(
    "In brackets: letters that printed papers have no shape for, by their numbers in Unicode. "
    "The guide on the web shows them."
)
ONLY_IN_FIRST = to_say("This page is only in English so far.")
UNPUBLISHED = to_say("This guide is not on the web yet, so that its pages have no codes to scan.")


@dataclass(frozen=True, slots=True)
class PaperEntry:
    """A heading of the book, and the page of the guide that stands under it, if one does."""

    title: str
    level: int
    page: str | None


def entries(guide: Guide) -> tuple[PaperEntry, ...]:
    """Every page of a guide in the order of its navigation; what that leaves out comes last.

    Pages that repeat what others say are left out.
    """
    seen = {page.id for page in guide.pages if page.repeats}
    listed = list(_walk(guide.navigation, 1, seen))
    missing = [page for page in guide.pages if page.id not in seen]
    if missing:
        listed.append(PaperEntry(guide.language.text(ELSEWHERE), 1, None))
        listed += [PaperEntry(page.title, 2, page.id) for page in missing]
    return tuple(listed)


def _walk(sections: tuple[Section, ...], level: int, seen: set[str]) -> Iterator[PaperEntry]:
    for section in sections:
        page = section.page if section.page not in seen else None
        if page is not None:
            seen.add(page)
        if page is not None or section.sections:
            yield PaperEntry(section.title, level, page)
        yield from _walk(section.sections, level + 1, seen)


@dataclass(slots=True)
class Book:
    """One book in the making: its drawings are kept as files beside its code."""

    printable: Printable
    reader: MarkdownReader
    drawings: Drawings
    pieces: tuple[Piece, ...]
    large: bool

    def code(self) -> str:
        """The book's Typst code: cover, contents, every page of the guide, index of equipment."""
        pages = list(chain.from_iterable(map(self._entry, entries(self.printable.guide))))
        lacks = any(each.printed for part in pages for each in lacking(part))
        parts = (
            call("cover", **self._cover(self.printable.say(NOTE) if lacks else "")),
            call("contents"),
            *pages,
            call("equipment-index", array(self._index())),
        )
        body = "\n".join(f"#{part}" for part in parts)
        named = {"title": text(self.printable.guide.title), "large": _flag(given=self.large)}
        named["author"] = text(self.printable.guide.builder)
        named["date"] = date_code(self.printable.day)
        return f'#import "book.typ": *\n#show: {call("book.with", **named)}\n{body}\n'

    def _cover(self, note: str) -> dict[str, str]:
        printable = self.printable
        address = printable.address
        day = printable.guide.language.day(printable.day)
        printed = printable.say("Printed on %(day)s.", day=day)
        symbol = "none" if address is None else text(self.drawings.add_symbol(address))
        return {
            "title": text(printable.home_address),
            "postcode": text(printable.postcode),
            "plot": text(printable.plot_line),
            "house_type": text(printable.house_type),
            "builder": text(printable.guide.builder),
            "printed": text(f"{printed} {note}".strip()),
            "web": text(address) if address else "none",
            "symbol": symbol,
            "unpublished": text(printable.say(UNPUBLISHED)),
        }

    def _entry(self, entry: PaperEntry) -> Iterator[str]:
        if entry.page is None:
            yield call("opening", str(entry.level), text(entry.title))
            return
        found = self.printable.guide.page(entry.page)
        if found is None or not found.language:
            yield from self._page(entry, entry.page)
            return
        head, *rest = self._page(entry, entry.page)
        note = call("in-first-language", text(self.printable.say(ONLY_IN_FIRST)))
        yield call("spoken", text(found.language), "{" + "\n".join((head, note, *rest)) + "}")

    def _page(self, entry: PaperEntry, page: str) -> Iterator[str]:
        written = self.printable.pages[page]
        soup = elements(self.drawings.lifted(self.reader.html(written.markdown)))
        title, level = _title_of(soup) or entry.title, entry.level
        if level == 1 and title != entry.title:
            yield call("opening", "1", text(entry.title))
            level = 2
        converter = self._converter(page, level)
        if symbol := self._symbol(page):
            symbol["summary"] = block(_summary(soup, converter))
        yield call("page-opening", str(level), self._said(title), label(page), **symbol)
        yield from self._body(page, soup, converter)

    def _body(self, page: str, soup: BeautifulSoup, converter: TypstConverter) -> Iterator[str]:
        """What stands under the title. The page of a piece has its plan beside the words."""
        found = self.printable.guide.page(page)
        beside = found is not None and found.layout == "equipment" and not self.large
        plans = (
            [each.extract() for each in soup.select("figure.handover-plan--one")] if beside else []
        )
        yield call(
            "page-body",
            block(converter.blocks(soup)),
            beside=block(_code_of_figures(plans, converter)),
        )

    def _converter(self, page: str, level: int) -> TypstConverter:
        source = self.printable.pages[page].source
        return TypstConverter(
            named=f"{self.printable.guide.reference}, page '{page}'",
            level=level,
            drawn=self.drawings.known.__getitem__,
            target=lambda address: self._target(source, address),
            photographs=frozenset(self.printable.pictures),
            whole_plans=page == "page:plan",
        )

    def _symbol(self, page: str) -> dict[str, str]:
        """The symbol of an article's page on the web."""
        address = self.printable.web(page)
        found = self.printable.guide.page(page)
        if address is None or found is None or found.layout != "article":
            return {}
        alternative = self.printable.say(
            "QR code of this page on the web: %(address)s", address=address
        )
        return {"symbol": text(self.drawings.add_symbol(address)), "alt": text(alternative)}

    def _target(self, source: str, address: str) -> str | None:
        """The page that a link of a page leads to."""
        path = address.partition("#")[0]
        if not path or ":" in path:
            return None
        wanted = posixpath.normpath(posixpath.join(posixpath.dirname(source), path))
        for page, written in self.printable.pages.items():
            if written.source == wanted:
                return page
        return None

    def _index(self) -> Iterator[str]:
        """Every piece by its name, and the page that tells most of it."""
        order = self.printable.guide.language.order
        for piece in sorted(self.pieces, key=lambda each: (order(each.name), each.room, each.id)):
            wanted = (f"equipment:{piece.id}", f"room:{piece.room_id}", f"system:{piece.system}")
            page = next((each for each in wanted if each in self.printable.pages), None)
            if page is not None:
                yield f"({self._said(piece.name)}, {self._said(piece.room)}, {label(page)})"

    def _said(self, words: str) -> str:
        """A text by itself; one that the guide shows in the first language as what it is."""
        foreign = words in self.printable.guide.unsaid
        return call("spoken", text(FIRST_CODE), text(words)) if foreign else text(words)


def _title_of(soup: BeautifulSoup) -> str:
    """The page's own heading, taken out of it."""
    head = soup.find("h1")
    return " ".join(head.extract().get_text(" ").split()) if isinstance(head, Tag) else ""


def _summary(soup: BeautifulSoup, converter: TypstConverter) -> Iterator[str]:
    """The paragraph that an article begins with, taken out of it, to stand beside its code."""
    first = next((each for each in soup.children if isinstance(each, Tag)), None)
    if first is not None and first.name == "p":
        yield from converter.blocks(_alone(first))


def _code_of_figures(figures: Sequence[Tag], converter: TypstConverter) -> Iterator[str]:
    for figure in figures:
        yield from converter.blocks(_alone(figure))


def _alone(element: Tag) -> BeautifulSoup:
    """An element taken out of its page, as a page of its own."""
    page = BeautifulSoup("", "html.parser")
    page.append(element.extract())
    return page


def _flag(*, given: bool) -> str:
    return "true" if given else "false"


def date_code(day: date) -> str:
    """A day as Typst's own."""
    return call("datetime", year=str(day.year), month=str(day.month), day=str(day.day))
