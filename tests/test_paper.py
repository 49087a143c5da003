"""Papers: read back by pypdfium2 and zxing-cpp, and held against the pages of the site.

PDF/UA-1 and PDF/A-2a are what Typst checks while it writes. veraPDF cannot be had from Debian, so
the structure is asserted here through pdfium, which had no part in writing it.
"""

import ctypes
import os
import re
import subprocess
import sys
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
import zxingcpp

from builder.build.papers import FILES, PAPERS, Paper, PrintingHouse, cracks_of
from builder.errors import HandoverError
from builder.guide.changes import CHANGES, without_changes
from builder.guide.pages import Guide
from builder.guide.plan.plans import SEEN
from builder.preparing import Preparation, prepare
from builder.writers.paper.book import entries
from builder.writers.paper.emergency import emergency_card
from builder.writers.site.engine import SiteWriter
from tests.broken_workspaces import run
from tests.conftest import COTTAGE, PROJECT
from tests.demo_pictures import PICTURES
from tests.papers import (
    DAY,
    GOLDEN,
    IN_BOTH_HANDS,
    IN_FULL,
    Element,
    body,
    bookmarks,
    demo,
    everything,
    fonts_inside,
    golden_file,
    house,
    lines,
    lost,
    paper,
    run_together,
    site_texts,
    structure,
)

MILLIMETRE = 300 / 25.4
SMALL: tuple[Paper, ...] = ("emergency", "finishes", "keys", "crack-gauge")
ON_THE_WEB_ALONE = ("round", "stop", "report", "keep")
"""Layouts of pages that the book leaves out: the walk is a booklet of its own."""
SHORT = 0.2
"""Millimetres that a printed length may be off."""


@pytest.fixture(scope="module")
def sites(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Path]:
    """The sites of these plots, built by the engine that publishes them."""
    writer, folder = SiteWriter(PROJECT), tmp_path_factory.mktemp("sites")
    for plot in IN_FULL:
        guide = without_changes(demo().plots[plot].guide)
        assert writer.write(guide, folder / plot, "https://guides.example/g/X/") == ()
    return {plot: folder / plot for plot in IN_FULL}


@cache
def cottage_home() -> Preparation:
    return prepare(COTTAGE, ("riverside/02",), DAY)


@cache
def cottage_paper(name: Paper) -> bytes:
    preparation = cottage_home()
    ((_, pdf),) = PrintingHouse(preparation, DAY).set(preparation.plots["riverside/02"], (name,))
    return pdf


@cache
def book_structure(plot: str) -> tuple[Element, ...]:
    return tuple(structure(paper(plot, "book")))


# The book says what the site says


def first_page(pdf: bytes) -> int:
    """The first page after the contents."""
    return next(page for _, title, page in bookmarks(pdf) if title != "Contents")


def missing(guide: Guide, pdf: bytes, site: Path) -> list[str]:
    """What the pages of a site say and a book does not, in the order of the book."""
    told, at, gone = body(pdf, first_page(pdf)), 0, []
    for entry in entries(guide := without_changes(guide)):
        page = guide.page(entry.page or "")
        if page is not None:
            html = (site / page.path / "index.html").read_text(encoding="utf-8")
            not_found, at = lost(list(site_texts(html)), told, at)
            gone += [f"{page.id}: {each}" for each in not_found]
    return gone


@pytest.mark.parametrize("plot", IN_FULL)
def test_no_word_of_the_site_is_lost_in_the_book(plot: str, sites: Mapping[str, Path]) -> None:
    assert missing(demo().plots[plot].guide, paper(plot, "book"), sites[plot]) == []


def test_large_print_has_the_same_words_at_18_points_or_more(tmp_path: Path) -> None:
    """18 points: large print by the Royal National Institute of Blind People, from memory."""
    prepared = cottage_home().plots["riverside/02"]
    SiteWriter(COTTAGE).write(
        without_changes(prepared.guide), tmp_path, "https://guides.example/g/X/"
    )
    pdf = cottage_paper("large-print")
    assert missing(prepared.guide, pdf, tmp_path) == []
    document = pypdfium2.PdfDocument(pdf)
    for number, page in enumerate(document, start=1):
        least = min(_sizes(page), default=18)
        assert least > 17.9, f"page {number}: {least} points"


def _sizes(page: pypdfium2.PdfPage) -> list[float]:
    """The sizes of the letters that stand in no drawing: drawings are scaled as a whole."""
    found = []
    for each in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_TEXT], max_depth=1):
        size = ctypes.c_float()
        pdfium.FPDFTextObj_GetFontSize(each.raw, size)
        if abs(each.get_matrix().get()[0]) == 1:
            found.append(size.value)
    return found


def test_a_lost_sentence_is_found(sites: Mapping[str, Path]) -> None:
    """The comparison itself: a sentence is taken out of one page of the book."""
    plot = "mill-lane/01"
    gone = "Fill and paint later"
    pdf_text = body(paper(plot, "book"), first_page(paper(plot, "book")))
    page = demo().plots[plot].guide.page("article:cracks-and-shrinkage")
    assert page is not None
    html = (sites[plot] / page.path / "index.html").read_text(encoding="utf-8")
    texts = list(site_texts(html))
    start = pdf_text.index(run_together(page.summary))
    assert lost(texts[1:], pdf_text, start)[0] == []
    without = pdf_text[:start] + pdf_text[start:].replace(run_together(gone), "", 1)
    assert lost(texts[1:], without, start)[0] == [run_together(gone)]


def test_every_plan_of_the_site_is_in_the_book_with_its_caption(sites: Mapping[str, Path]) -> None:
    plot = "mill-lane/01"
    html = "".join(
        path.read_text(encoding="utf-8")
        for path in sorted(sites[plot].rglob("index.html"))
        if path.relative_to(sites[plot]).parts[0] != "round"  # that walk is a booklet of its own
    )
    drawn = [each for each in book_structure(plot) if each.type == "Figure"]
    # The first page has one more, which is a picture of the way to the plan.
    plans = html.count('class="plan"') + html.count('class="plan plan--full"') - 1
    assert plans > 50
    assert len([each for each in drawn if "seen from above" in each.alternative.lower()]) == plans
    printed = body(paper(plot, "book"))
    assert printed.count(run_together(SEEN)) == html.count(f"<figcaption>{SEEN}</figcaption>")


def test_what_is_about_screens_is_not_printed() -> None:
    printed = body(paper("mill-lane/01", "book"))
    assert run_together("Printed on 25 November 2026.") in printed
    for words in ("What you tick stays on this device", "Ticking needs script", "Open it on your phone"):  # fmt: skip
        assert run_together(words) not in printed


# Finding one's way


def test_bookmarks_contents_and_page_numbers_agree() -> None:
    """Every page of the guide has its bookmark, and the contents give the page that it is on."""
    pdf, guide = paper("mill-lane/01", "book"), demo().plots["mill-lane/01"].guide
    marks = bookmarks(pdf)
    titles = [title for _, title, _ in marks]
    assert titles[0] == "Contents"
    assert titles[-1] == "Index of equipment"
    pages = {
        page.title
        for page in guide.pages
        if page.id not in ("page:home", CHANGES) and page.layout not in ON_THE_WEB_ALONE
    }
    assert pages <= set(titles)
    document = pypdfium2.PdfDocument(pdf)
    first = first_page(pdf)
    listed = run_together(
        "".join(document[number].get_textpage().get_text_range() for number in range(1, first))
    )
    for level, title, page in marks[1:]:
        assert level <= 2
        assert re.search(rf"{re.escape(run_together(title))}\.*{page + 1}", listed), title
        foot = document[page].get_textpage().get_text_bounded(top=19 * 72 / 25.4)
        assert foot.strip() == str(page + 1)


def test_the_index_names_every_piece_and_the_page_about_it() -> None:
    plot = demo().plots["mill-lane/01"]
    pdf = paper("mill-lane/01", "book")
    marks = bookmarks(pdf)
    index = body(pdf, marks[-1][2])
    where = {title: page + 1 for _, title, page in marks}
    assert len(plot.about.pieces) > 40
    for piece in plot.about.pieces:
        entry = run_together(f"{piece.name}, {piece.room}")
        page = f"{where[piece.title]}" if piece.has_page else r"\d+"
        assert re.search(rf"{re.escape(entry)}{page}(?!\d)", index), piece.title


def test_each_article_has_the_code_of_its_own_page_on_the_web() -> None:
    """Every symbol is decoded; it stands on the page on which its article begins."""
    plot, pdf = "harbour-view/05", paper("harbour-view/05", "book")
    guide, address = demo().plots[plot].guide, house().printable(demo().plots[plot]).address
    assert address is not None
    assert address.startswith("https://")
    document = pypdfium2.PdfDocument(pdf)
    found = {}
    for number, page in enumerate(document):
        picture = page.render(scale=110 / 72, grayscale=True).to_numpy()
        for read in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode):
            assert read.ec_level in ("M", "Q", "H")
            found[read.text] = number
    begins = {title: page for _, title, page in bookmarks(pdf)}
    articles = {f"{address}{page.path}/": begins[page.title]
                for page in guide.pages if page.layout == "article"}  # fmt: skip
    assert len(articles) > 30
    assert found == {address: 0, **articles}


def test_a_guide_that_is_not_issued_says_so_and_has_no_code() -> None:
    pdf = cottage_paper("book")
    text = lines(pdf)
    assert "This guide is not on the web yet, so that its pages have no codes to scan." in " ".join(text.split())  # fmt: skip
    assert "https://" not in text
    for page in pypdfium2.PdfDocument(pdf):
        assert not zxingcpp.read_barcodes(page.render(scale=1.5, grayscale=True).to_numpy())


# Accessible, and lasting


@pytest.mark.parametrize("name", PAPERS)
def test_papers_are_tagged_titled_and_whole_in_themselves(name: Paper) -> None:
    pdf = cottage_paper(name)
    document = pypdfium2.PdfDocument(pdf)
    assert pdfium.FPDFCatalog_IsTagged(document.raw)
    assert document.get_metadata_dict()["Title"]
    for mark in (b"/MarkInfo", b"/StructTreeRoot", b"/DisplayDocTitle true", b"/OutputIntent"):  # fmt: skip
        assert mark in pdf, mark
    told = everything(pdf)
    assert re.search(rb"/Lang ?\(en-GB\)", told)
    for mark in (b"<pdfuaid:part>1<", b"<pdfaid:part>2<", b"<pdfaid:conformance>A<"):
        assert mark in told, mark
    fonts = fonts_inside(pdf, 30)
    assert fonts
    assert all(fonts.values()), fonts
    found = list(structure(pdf))
    assert "H1" in {each.type for each in found}
    figures = [each for each in found if each.type == "Figure"]
    assert all(each.alternative for each in figures)
    assert figures or name in ("finishes", "keys")
    for page in document:
        size = [148, 210] if name == "walk" else [210, 297]
        assert [round(side / 72 * 25.4) for side in page.get_size()] == size


def test_a_book_has_the_structure_of_its_pages() -> None:
    types = {each.type for each in book_structure("mill-lane/01")}
    assert {"H1", "H2", "H3", "L", "LI", "LBody", "Table", "TR", "TH", "TD", "Figure", "Link", "TOC", "TOCI", "P"} <= types  # fmt: skip


def test_the_same_home_gives_the_same_bytes_in_another_process(tmp_path: Path) -> None:
    program = (
        "from pathlib import Path; from tests.test_paper import cottage_paper\n"
        "for name in ('book', 'emergency', 'keys'):\n"
        f"    (Path({str(tmp_path)!r}) / name).write_bytes(cottage_paper(name))"
    )
    elsewhere = {**os.environ, "TZ": "Asia/Tokyo", "PYTHONHASHSEED": "7"}
    subprocess.run([sys.executable, "-c", program], check=True, cwd=PROJECT, env=elsewhere)
    for name in ("book", "emergency", "keys"):
        assert (tmp_path / name).read_bytes() == cottage_paper(name)  # type: ignore[arg-type]


@pytest.mark.parametrize(("plot", "name"), GOLDEN)
def test_the_layout_is_the_expected_one(plot: str, name: Paper) -> None:
    """``python -m tests.papers`` writes it again."""
    assert lines(paper(plot, name)) == golden_file(plot, name).read_text(encoding="utf-8")


# The papers of one page


@pytest.mark.parametrize("plot", IN_BOTH_HANDS)
def test_the_emergency_card_is_one_page_with_all_that_turns_off(plot: str) -> None:
    about = demo().plots[plot].about
    document = pypdfium2.PdfDocument(paper(plot, "emergency"))
    assert len(document) == 1
    printed = run_together(document[0].get_textpage().get_text_range())
    pieces = [each for each in about.pieces if each.turns_off]
    assert len(pieces) >= 3
    for piece in pieces:
        assert run_together(f"{piece.title}{piece.where}") in printed
        if piece.id in about.plans.marks:
            assert printed.count(about.plans.marks[piece.id].text) >= 2
    for contact in about.contacts.values():
        if contact["emergency"]:
            assert run_together(f"{contact['name'].split()[0]}") in printed
            assert run_together(contact["telephone"]) in printed
    figures = [each for each in structure(paper(plot, "emergency")) if each.type == "Figure"]
    assert any("seen from above" in each.alternative for each in figures)


def test_the_card_shrinks_and_then_says_what_to_shorten() -> None:
    plot = demo().plots["mill-lane/01"]
    printable, press = house().printable(plot), house().press
    sizes = []
    for times in (1, 3, 30):
        about = _wordy(plot.about, times)
        if times == 30:
            with pytest.raises(HandoverError) as told:
                emergency_card(press, printable, about)
            assert str(told.value).startswith(
                "The emergency card of mill-lane/01 does not fit on one page: it has 4 places and "
                "5 contacts. Shorten the longest texts: 'words and words"
            )
        else:
            pdf = emergency_card(press, printable, about)
            document = pypdfium2.PdfDocument(pdf)
            assert len(document) == 1
            sizes.append(max(_sizes(document[0])))
    assert sizes[1] < sizes[0]


def _wordy(about: object, times: int) -> object:
    """A home whose contacts have more to say."""
    home = about.home  # type: ignore[attr-defined]
    contacts = {
        name: each.model_copy(update={"call_for": " and ".join(["words"] * 12 * times)})
        if times > 1 else each
        for name, each in home.contacts.items()
    }  # fmt: skip
    return type(about)(home.model_copy(update={"contacts": contacts}), about.selection)  # type: ignore[attr-defined]


@pytest.mark.parametrize("plot", IN_BOTH_HANDS)
def test_schedules_list_every_finish_key_and_document(plot: str) -> None:
    prepared = demo().plots[plot]
    home = prepared.traced.home
    finishes = run_together(lines(paper(plot, "finishes")))
    assert home.finishes
    for finish in home.finishes.values():
        assert run_together(finish.material) in finishes
        assert run_together(finish.colour or "") in finishes
        assert run_together(finish.reference or "") in finishes
    keys = run_together(lines(paper(plot, "keys")))
    for key in home.keys.values():
        assert re.search(rf"{re.escape(run_together(key.name))}.*?{key.count}", keys)
    assert "Electricalinstallationcertificate" in keys
    gas = any(each.kind == "gas-meter" for each in home.equipment.values())
    assert ("Gasinstallationcertificate" in keys) is gas


def test_every_house_type_is_printed_in_both_hands() -> None:
    """Each small paper of each is a PDF of its own; the plan on the card is of that very hand."""
    built = {plot: demo().plots[plot].traced.home for plot in IN_BOTH_HANDS}
    types = {home.plot.house_type for home in built.values()}
    assert types == {path.stem for path in (PROJECT / "housetypes").glob("*.yaml")} - {"standard"}
    assert {(home.plot.house_type, home.plot.hand) for home in built.values()} == {
        (each, hand) for each in types for hand in ("as-drawn", "opposite")
    } - {("turnstone", "opposite")}, "of the flat for a wheelchair there is one"
    for name in SMALL:
        printed = {paper(plot, name) for plot in IN_BOTH_HANDS}
        assert len(printed) == len(IN_BOTH_HANDS), name
        assert all(pdf.startswith(b"%PDF-1") for pdf in printed)


def test_a_home_without_finishes_or_keys_gets_lines_to_write_on() -> None:
    text = lines(cottage_paper("finishes"))
    assert "No finish of this home is recorded yet." in text
    assert "Kitchen" in text
    assert "Front door key" in lines(cottage_paper("keys"))


# The crack gauge


def runs(row: np.ndarray) -> list[tuple[float, float]]:
    """The dark runs of one row of pixels: where each begins and how long it is, in mm."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], (row < 128).astype(int), [0]))))
    return [(a / MILLIMETRE, (b - a) / MILLIMETRE) for a, b in zip(edges[::2], edges[1::2], strict=True)]  # fmt: skip


def test_lengths_of_the_gauge_are_true_on_the_raster() -> None:
    """At 300 dots an inch: the line that checks the printer, and each bar, to 0.2 mm."""
    (page,) = pypdfium2.PdfDocument(paper("mill-lane/01", "crack-gauge"))
    raster = page.render(scale=300 / 72, grayscale=True).to_numpy().squeeze()
    found = [runs(row) for row in raster]
    lengths = [length for row in found for _, length in row if 95 < length < 105]
    assert lengths
    assert max(lengths) == pytest.approx(100, abs=SHORT)
    cracks = cracks_of(demo().plots["mill-lane/01"])
    wanted = sorted([*(width for _, width in cracks.widest), cracks.coin])
    assert wanted == [0.1, 1, 2.8, 5, 15, 25]
    bars = next(row for row in reversed(found) if len(row) == 6 and row[-1][1] > 24)
    for (_, length), width in zip(bars, wanted, strict=True):
        assert length == pytest.approx(width, abs=SHORT)


def test_the_gauge_names_its_sources_and_never_says_how_to_mend() -> None:
    text = " ".join(lines(paper("mill-lane/01", "crack-gauge")).split())
    for words in ("BRE Digest 251", "100 mm long", "One-pound coin 2.8 mm", "chartered structural engineer", "Never prop it, mend it or fill it", "01632 960100"):  # fmt: skip
        assert words in text, words


# The command


def printed(workspace: Path, *arguments: str) -> tuple[int, str]:
    result = run("print", *arguments, "--workspace", str(workspace), "--date", "2026-11-25")
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.output


def test_all_papers_of_a_plot_go_into_a_folder_of_their_own(tmp_path: Path) -> None:
    code, output = printed(COTTAGE, "riverside/01", "--out", str(tmp_path))
    assert code == 0, output
    assert "7 papers printed." in output
    made = sorted(path.name for path in (tmp_path / "riverside" / "01").iterdir())
    assert made == sorted(FILES.values())


def test_one_paper_of_every_plot(tmp_path: Path) -> None:
    code, output = printed(COTTAGE, "--paper", "keys", "--out", str(tmp_path))
    assert code == 0, output
    assert sorted(path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*.pdf")) == [
        "riverside/01/keys-and-documents.pdf",
        "riverside/02/keys-and-documents.pdf",
    ]


def test_papers_never_go_into_the_published_tree(cottage: Path, tmp_path: Path) -> None:
    public = tmp_path / "public"
    (public / "g").mkdir(parents=True)
    (public / "_headers").touch()
    code, output = printed(cottage, "--out", str(public / "papers"))
    assert code == 2
    assert f"'{public}' is a published tree, and papers are not for the web." in output
    assert not list(public.rglob("*.pdf"))


def test_private_values_are_in_no_paper(cottage: Path, tmp_path: Path) -> None:
    own = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    text = own.read_text(encoding="utf-8")
    assert "CANARY-4711" in text
    own.write_text(
        text.replace("A drain is in the way.", "CANARY-NOTE") + "handover:\n"
        "  commissioning:\n    electricity: {day: 2026-03-05, by: electrician, certificate: CANARY-CERTIFICATE}\n"
        "  keys: {front-door: 77}\n"
        "  outstanding:\n    tap: {note: CANARY-PROMISE, due: 2026-04-01}\n",
        encoding="utf-8",
    )
    code, output = printed(cottage, "riverside/02", "--out", str(tmp_path))
    assert code == 0, output
    files = list(tmp_path.rglob("*.pdf"))
    assert len(files) == len(PAPERS)
    for file in files:
        pdf = file.read_bytes()
        told = run_together(lines(pdf)) + " ".join(each.alternative for each in structure(pdf))
        assert "CANARY" not in told, file
        assert b"CANARY" not in everything(pdf), file
        assert "Given77" not in told


def test_the_pictures_of_the_demo_are_printed_with_their_words() -> None:
    """The book of a house that has three photographs."""
    pdf = paper("mill-lane/01", "book")
    shown = [each for page in pypdfium2.PdfDocument(pdf)
             for each in page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_IMAGE])]  # fmt: skip
    photos = demo().plots["mill-lane/01"].traced.home.photos
    figures = {each.alternative for each in structure(pdf) if each.type == "Figure"}
    assert len(photos) == 3
    assert len(shown) >= len(photos)
    assert {each.shows for each in photos.values()} <= figures
    assert {Path(each.file).name for each in photos.values()} <= PICTURES.keys()


def test_a_plot_with_mistakes_is_named_and_not_printed(cottage: Path, tmp_path: Path) -> None:
    own = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    own.write_text(own.read_text().replace("room: hall", "room: hal"))
    code, output = printed(cottage, "--paper", "keys", "--out", str(tmp_path))
    assert code == 1
    assert "Not printed: riverside/02." in output
    assert [path.parent.name for path in tmp_path.rglob("*.pdf")] == ["01"]
