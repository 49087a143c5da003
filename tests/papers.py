"""Papers as tests read them: by pypdfium2, which knows nothing of Typst or of the builder.

``python -m tests.papers`` writes the expected layout of papers again, to be read in the diff.
"""

import csv
import ctypes
import io
import re
import sys
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium
from bs4 import BeautifulSoup, NavigableString, SoupStrainer

from builder.build.papers import FILES, Paper, PrintingHouse
from builder.preparing import Preparation, prepare

PROJECT = Path(__file__).parent.parent
EXPECTED = Path(__file__).parent / "paper"
DAY = date(2026, 11, 25)
GOLDEN: tuple[tuple[str, Paper], ...] = (
    ("mill-lane/01", "emergency"),
    ("mill-lane/01", "finishes"),
    ("mill-lane/01", "keys"),
    ("mill-lane/01", "crack-gauge"),
    ("harbour-view/05", "emergency"),
    ("harbour-view/05", "keys"),
)
"""A house and an apartment."""
IN_FULL = ("mill-lane/01", "harbour-view/05")
"""Whose books are held against their sites, word by word: a house heated by gas, and an apartment."""
POINTS = 72 / 25.4
"""Points in a millimetre."""
SPACE = re.compile(r"[\s\u00ad\u200b\u2060\ufeff]+")


def _in_both_hands() -> Iterator[str]:
    """The first plot of each house type in each hand, from the tables of plots as they stand."""
    seen = set()
    for table in sorted(PROJECT.glob("developments/*/plots.csv")):
        text = table.read_text(encoding="utf-8-sig")
        for row in csv.DictReader(io.StringIO(text), delimiter=";" if ";" in text else ","):
            if (built := (row["house_type"], row["hand"])) not in seen:
                seen.add(built)
                yield f"{table.parent.name}/{row['plot']}"


IN_BOTH_HANDS = tuple(_in_both_hands())


@cache
def demo() -> Preparation:
    return prepare(PROJECT, tuple(dict.fromkeys((*IN_FULL, *IN_BOTH_HANDS))), DAY)


@cache
def house() -> PrintingHouse:
    return PrintingHouse(demo(), DAY)


@cache
def paper(plot: str, name: Paper) -> bytes:
    """One paper of a plot of the demo."""
    ((_, pdf),) = house().set(demo().plots[plot], (name,))
    return pdf


def lines(pdf: bytes) -> str:
    """The text of every page, line by line as it stands on paper."""
    document = pypdfium2.PdfDocument(pdf)
    pages = [page.get_textpage().get_text_range() for page in document]
    return "".join(
        f"--- page {number}\n{_plain(text)}\n" for number, text in enumerate(pages, start=1)
    )


def _plain(text: str) -> str:
    joined = text.replace("\ufffe", "-").replace("\r\n", "\n")
    return "\n".join(line.rstrip() for line in joined.split("\n")).strip()


def run_together(text: str) -> str:
    """A text without its spaces, so that it does not matter where lines end."""
    return SPACE.sub("", text.replace("\ufffe", "-").replace("\x02", "-"))


def bookmarks(pdf: bytes) -> list[tuple[int, str, int]]:
    """Every bookmark: how deep it stands, its words, and its page, the first page being 0."""
    document = pypdfium2.PdfDocument(pdf)
    return [
        (each.level, each.get_title(), each.get_dest().get_index()) for each in document.get_toc()
    ]


def body(pdf: bytes, first: int = 0, top: float = 21, bottom: float = 19) -> str:
    """The text of the pages from ``first`` on without heads and feet, which lie in the margins, in
    millimetres."""
    document = pypdfium2.PdfDocument(pdf)
    parts = []
    for page in list(document)[first:]:
        high = page.get_height()
        words = page.get_textpage()
        parts.append(words.get_text_bounded(bottom=bottom * POINTS, top=high - top * POINTS))
    return run_together("".join(parts))


def site_texts(html: str) -> Iterator[str]:
    """What a page of the site says on paper too, text by text in reading order.

    Left out: what only a script shows, what is about screens, drawings (their words are the
    alternative texts of figures), and the captions of plans, which stand beside the words.
    """
    soup = BeautifulSoup(html, "lxml", parse_only=SoupStrainer("main"))
    main = soup.select_one("main")
    assert main is not None
    for gone in main.select(
        "svg, script, style, [hidden], .handover-screen, .headerlink, figcaption, .plan-sheet"
    ):
        gone.decompose()
    for each in main.descendants:
        if type(each) is NavigableString and (text := run_together(each)):
            yield text


def lost(texts: list[str], printed: str, start: int, gap: int = 2500) -> tuple[list[str], int]:
    """The texts that do not follow each other in print, and where the last one ends.

    ``gap``: letters that may stand between: page numbers, the words of a plan.
    """
    missing, at = [], start
    for text in texts:
        found = printed.find(text, at, at + gap + len(text))
        if found < 0:
            missing.append(text)
        else:
            at = found + len(text)
    return missing, at


@dataclass(frozen=True)
class Element:
    """One element of a PDF's structure: its type and its alternative text."""

    type: str
    alternative: str


def structure(pdf: bytes) -> Iterator[Element]:
    """Every element of the structure of all pages."""
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        tree = pdfium.FPDF_StructTree_GetForPage(page.raw)
        for index in range(pdfium.FPDF_StructTree_CountChildren(tree)):
            yield from _elements(pdfium.FPDF_StructTree_GetChildAtIndex(tree, index))
        pdfium.FPDF_StructTree_Close(tree)


def _elements(element: object) -> Iterator[Element]:
    if not element:
        return
    yield Element(
        _said(pdfium.FPDF_StructElement_GetType, element),
        _said(pdfium.FPDF_StructElement_GetAltText, element),
    )
    for index in range(pdfium.FPDF_StructElement_CountChildren(element)):
        yield from _elements(pdfium.FPDF_StructElement_GetChildAtIndex(element, index))


def _said(function: object, element: object) -> str:
    length = function(element, None, 0)  # type: ignore[operator]
    buffer = ctypes.create_string_buffer(max(length, 2))
    function(element, buffer, length)  # type: ignore[operator]
    return buffer.raw[:length].decode("utf-16-le").rstrip("\0")


def fonts_inside(pdf: bytes, pages: int) -> dict[str, bool]:
    """The fonts of the first pages, and whether each is in the file."""
    document = pypdfium2.PdfDocument(pdf)
    found = {}
    for number in range(min(pages, len(document))):
        for each in document[number].get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT], max_depth=4):
            font = pdfium.FPDFTextObj_GetFont(each.raw)
            buffer = ctypes.create_string_buffer(200)
            pdfium.FPDFFont_GetBaseFontName(font, buffer, 200)
            found[buffer.value.decode()] = bool(pdfium.FPDFFont_GetIsEmbedded(font))
    return found


def everything(pdf: bytes) -> bytes:
    """All bytes of a PDF, and those of its streams unpacked."""
    parts = [pdf]
    for found in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL):
        try:
            parts.append(zlib.decompress(found[1]))
        except zlib.error:
            continue
    return b"\n".join(parts)


def golden_file(plot: str, name: Paper) -> Path:
    return EXPECTED / f"{plot.replace('/', '-')}-{FILES[name].removesuffix('.pdf')}.txt"


def refresh() -> None:
    EXPECTED.mkdir(exist_ok=True)
    for plot, name in GOLDEN:
        text = lines(paper(plot, name))
        golden_file(plot, name).write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    sys.exit(refresh())
