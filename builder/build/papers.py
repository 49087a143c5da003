"""Prints the papers of plots from the same guides that are published, into a folder of their own."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal, get_args

from builder.build.outside import keep_off_sources, keep_outside
from builder.craft.pictures import published_copy
from builder.disk import save
from builder.errors import HandoverError, UnwritableError
from builder.guide.about import About
from builder.guide.changes import without_changes
from builder.guide.translating import OtherGuide
from builder.languages.language import FIRST, Language
from builder.preparing import Preparation, Prepared
from builder.register.moving import register_of
from builder.rules.reference import library
from builder.shipped import layered, own_or_shipped
from builder.sources.site_settings import SETTINGS
from builder.unforeseen import one_plot
from builder.writers.paper.book import Book
from builder.writers.paper.emergency import emergency_card
from builder.writers.paper.gauge import Cracks, crack_gauge
from builder.writers.paper.guide_text import PageText, Printable, paper_look, paper_words
from builder.writers.paper.reading import MarkdownReader
from builder.writers.paper.schedules import finishes_schedule, keys_schedule
from builder.writers.paper.setting import FOLDER, Press
from builder.writers.paper.walk import walk_booklet
from builder.writers.site.pages import Pages

Paper = Literal["book", "emergency", "finishes", "keys", "crack-gauge", "large-print", "walk"]
PAPERS: tuple[Paper, ...] = get_args(Paper)
FILES: Mapping[Paper, str] = {
    "book": "guide-book.pdf",
    "emergency": "emergency-card.pdf",
    "finishes": "finishes-schedule.pdf",
    "keys": "keys-and-documents.pdf",
    "crack-gauge": "crack-gauge.pdf",
    "large-print": "large-print.pdf",
    "walk": "show-me-round.pdf",
}
"""The name of each paper's file in the folder of its plot."""


@dataclass(frozen=True, slots=True)
class Printed:
    """One paper that was written."""

    reference: str
    paper: Paper
    file: Path


class PrintingHouse:
    """Sets the papers of one workspace: its templates and settings are read once."""

    def __init__(self, preparation: Preparation, day: date, *, own_code: bool = False) -> None:
        root = preparation.workspace.folder.root
        self._preparation, self._day, self._root = preparation, day, root
        self._pages = Pages(layered(root, "site_templates/pages"))
        self.press = Press(layered(root, FOLDER))
        self._reader = MarkdownReader(own_or_shipped(root, SETTINGS), own_code=own_code)

    def set(
        self, prepared: Prepared, papers: tuple[Paper, ...], other: OtherGuide | None = None
    ) -> Iterator[tuple[Paper, bytes]]:
        """Each of these papers of a plot, as a PDF. ``other``: its guide in another language than the
        first."""
        printable = self.printable(prepared, other)
        about = other.about if other else prepared.about
        for paper in papers:
            yield paper, self._paper(paper, printable, prepared, about)

    def printable(self, prepared: Prepared, other: OtherGuide | None = None) -> Printable:
        """A plot's guide with the text that its site has, word for word; its log stays on the site, and
        what pages repeat is a paper of its own."""
        told = other or prepared
        home, guide = told.about.home, without_changes(told.guide)
        return Printable(
            guide=guide,
            pages={
                each.page.id: PageText(each.source, each.markdown)
                for each in self._pages.of(guide)
                if not each.page.repeats
            },
            pictures={
                photo.name: published_copy(
                    self._root / photo.file, ring=photo.ring, mirrored=photo.mirrored
                )
                for photo in guide.photographs
            },
            look={**paper_look(guide.look, self._root), **paper_words(guide.language)},
            address=self._address(prepared),
            day=self._day,
            plot=home.plot.number,
            development=home.development.name,
            house_type=home.house_type.name,
            home_address=home.plot.address,
            postcode=home.plot.postcode,
        )

    def _address(self, prepared: Prepared) -> str | None:
        """Where the guide stands on the web; nothing while its code has not been issued."""
        register = register_of(self._preparation.workspace, prepared.plot.development)
        code = register.guide(prepared.plot.numbers)
        host = prepared.traced.home.development.base_url.rstrip("/")
        return None if code is None else f"{host}/g/{code}/"

    def _paper(self, paper: Paper, printable: Printable, prepared: Prepared, about: About) -> bytes:
        match paper:
            case "emergency":
                return emergency_card(self.press, printable, about)
            case "finishes":
                return finishes_schedule(self.press, printable, about)
            case "keys":
                return keys_schedule(self.press, printable, about)
            case "walk":
                return walk_booklet(self.press, printable)
            case "crack-gauge":
                return crack_gauge(self.press, printable, about, cracks_of(prepared))
            case _:
                large = paper == "large-print"
                drawings = self.press.drawings()
                book = Book(printable, self._reader, drawings, about.pieces, large)
                return self.press.book(book)


def cracks_of(prepared: Prepared) -> Cracks:
    """The published widths for the nation of a plot; those of England where it has none.

    The categories come from one digest for all of the United Kingdom (from memory).
    """
    development = prepared.traced.home.development
    edition = development.editions.get("structure")
    known = library()
    table = known.table(development.taken_nation, "structure", edition) or known.table(
        "england", "structure", None
    )
    if table is None:
        raise HandoverError("There is no table of crack widths to print a gauge from.")
    row = table.row("crack-width-by-category")
    return Cracks(
        widest=tuple(sorted((int(number), float(width)) for number, width in row.items())),
        coin=table.number("coin-thickness"),
        widths_source=table.source("crack-width-by-category"),
        coin_source=table.source("coin-thickness"),
    )


def print_papers(
    preparation: Preparation,
    papers: tuple[Paper, ...],
    out: Path,
    day: date,
    done: Callable[[str], None] = lambda _: None,
    *,
    own_code: bool = False,
) -> Iterator[Printed]:
    """Write these papers of every plot that has no error; ``done`` hears of each paper.

    Papers are not for the web: a published tree is refused as their folder.
    """
    keep_outside(out, "papers are not for the web. Write them elsewhere: --out DIR.")
    keep_off_sources(out)
    house = PrintingHouse(preparation, day, own_code=own_code)
    for reference, prepared in preparation.plots.items():
        folder = out / prepared.plot.development / prepared.plot.number
        printed = list[Printed]()
        with one_plot(reference, prepared.plot.row.place, "printed", preparation.findings):
            for other in (None, *prepared.others):
                for paper, pdf in house.set(prepared, papers, other):
                    file = folder / file_of(paper, other.guide.language if other else FIRST)
                    _make(folder)
                    save(file, pdf)
                    done(reference)
                    printed.append(Printed(reference, paper, file))
        yield from printed


def file_of(paper: Paper, language: Language) -> str:
    """The name of a paper's file in a language: ``guide-book.pdf``, ``guide-book-cy.pdf``."""
    name = FILES[paper]
    return name if language is FIRST else f"{Path(name).stem}-{language.code}.pdf"


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UnwritableError(f"'{folder}' cannot be made: {error.strerror}.") from error
