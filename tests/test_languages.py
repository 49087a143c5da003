"""Guides in other languages: words, texts of articles, what shows the first language, and what says so."""

import ast
import json
import re
import shutil
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from pathlib import Path

import icalendar
import pypdfium2  # type: ignore[import-untyped]
import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po
from bs4 import BeautifulSoup
from jinja2 import Environment
from playwright.sync_api import Browser, Page

from builder.build.building import publish
from builder.build.papers import PAPERS, PrintingHouse, print_papers
from builder.build.plot_writing import codes_of
from builder.build.report import Target
from builder.errors import Findings
from builder.guide.report_pages import with_codes
from builder.guide.translating import in_all_languages
from builder.languages.catalogue import read_catalogue
from builder.languages.foreign import foreign_pattern, marked, marked_markdown
from builder.languages.language import FIRST, Language
from builder.languages.templates import SAYS, install_words
from builder.preparing import prepare, prepare_read
from builder.questions.homes import read_homes
from builder.questions.languages import texts_to_say
from builder.register.issuing import issue_stickers, stickers_in
from builder.register.reading import read_register
from builder.rules.languages import languages_are_read
from builder.shipped import layered
from builder.sources.folder import Folder
from builder.sources.kept_files import KeptFiles
from builder.sources.workspace import read_workspace, with_other_files
from builder.writers.paper.book import Book
from builder.writers.paper.setting import FOLDER, Press
from builder.writers.site.engine import HeldEngine, SiteWriter
from tests.broken_workspaces import run
from tests.catalogues import LANGUAGES, catalogue, fixed_words, library_words, texts
from tests.conftest import COTTAGE, PROJECT
from tests.demo import served
from tests.test_sites import files

DAY = date(2026, 11, 29)
WELSH = """---
made_from: {digest}
read_by: Customer care
read: 2026-11-29
title: Troi eich dŵr i ffwrdd
summary: Ble mae eich stopfalf.
actions: [Trowch y stopfalf gyda'r cloc.]
tasks:
  free: {{do: Trowch ef i ffwrdd ac ymlaen eto.}}
---

{{% for piece in equipment -%}}
- **{{{{ piece.name }}}}**: {{{{ piece.where }}}}
{{% endfor %}}
"""
DIGEST = "70266a3f880197be"
"""Of the texts of the cottage's article on water."""
MARK = "\u05d0"
"""A Hebrew letter, before every fixed word of a dummy translation that runs from right to left."""


_WORD = re.compile(r"(<[^>]*>|%\(\w+\)[sd]|\{[^}]*\})|\w+")
"""A tag, a value or a marker, which stay as they are, or a word."""
_READ_ALOUD = ("alt", "aria-label", "title", "placeholder")
"""Attributes that say something to who reads."""
_PLAIN = re.compile(rf"(?<!{MARK})\b[^\W\d_]{{2,}}")
"""A word that no catalogue said."""


def workspace_in(languages: str, folder: Path) -> Path:
    """The cottage with languages beside the first."""
    workspace = Path(shutil.copytree(COTTAGE, folder / "cottage"))
    development = workspace / "developments" / "riverside" / "development.yaml"
    development.write_text(f"languages: [{languages}]\n{development.read_text()}")
    return workspace


def article(workspace: Path, text: str) -> None:
    path = workspace / "content" / "languages" / "cy" / "articles" / "water-off.md"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def look(workspace: Path) -> None:
    """A logo, which says what it shows."""
    shutil.copytree(PROJECT / "housetypes/look", workspace / "housetypes/look")
    standard = workspace / "housetypes/standard.yaml"
    logo = "logo: {file: housetypes/look/fennimarsh.svg, shows: Reeds before a low sun}"
    shown = f"look: {{light: {{colour: '#17483f'}}, {logo}}}"
    standard.write_text(
        standard.read_text("utf-8").replace("builder:\n", f"builder:\n  {shown}\n"), "utf-8"
    )


def dummy(workspace: Path) -> None:
    """Every fixed word, and every text of what ships and of the homes, in a dummy Hebrew: marked, so that
    what is not said by it stands out."""
    folder = workspace / "content" / "languages" / "he"
    folder.mkdir(parents=True)
    fixed = [each.id for each in fixed_words() if each.id]
    for name, said in (("messages.po", fixed), ("library.po", sorted(library_words()))):
        _write_dummy(folder / name, said)
    _write_dummy(folder / "homes.po", texts_to_say(read_homes(workspace, ()), "he"))


def _write_dummy(path: Path, said: Iterable[str | tuple[str, ...] | list[str]]) -> None:
    made = Catalog(locale="he")
    for each in said:
        ours = each if isinstance(each, str) else each[0]
        text = _WORD.sub(lambda found: found[0] if found[1] else f"{MARK}{found[0]}", ours)
        made.add(each, text if isinstance(each, str) else (text, text))
    with path.open("wb") as file:
        write_po(file, made)


@pytest.fixture(scope="module")
def guide(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A guide in English, in Welsh and in a dummy Hebrew."""
    folder = tmp_path_factory.mktemp("languages")
    workspace = workspace_in("cy, he", folder)
    article(workspace, WELSH.format(digest=DIGEST))
    look(workspace)
    dummy(workspace)
    preparation = prepare(workspace, ["riverside/01"], DAY)
    issue_stickers(preparation.workspace, preparation.plots.values(), DAY)
    publish(Target(workspace, ("riverside/01",), folder / "public", DAY))
    return next((folder / "public" / "g").iterdir())


def page(guide: Path, path: str) -> BeautifulSoup:
    return BeautifulSoup((guide / path / "index.html").read_text("utf-8"), "html.parser")


def heading(guide: Path, path: str) -> str:
    found = page(guide, path).h1
    assert found is not None
    return found.get_text()


def main_of(guide: Path, path: str) -> str | None:
    """The language of the content of a page, where it is not that of the page."""
    found = page(guide, path).main
    assert found is not None
    said = found.get("lang")
    return None if said is None else str(said)


def test_the_catalogues_hold_the_words_of_today() -> None:
    """After a change of words: `python -m tests.catalogues`, then translate what is new."""
    now = texts(fixed_words())
    for path in LANGUAGES.glob("*/messages.po"):
        assert texts(catalogue(path)) == now, path


def test_the_catalogues_hold_what_ships_for_homes() -> None:
    """After a change of kinds, nations or of what is said at a demonstration: `python -m tests.catalogues`."""
    for path in LANGUAGES.glob("*/library.po"):
        assert library_words() - texts(catalogue(path)) == set(), path


@pytest.mark.parametrize("name", ["messages.po", "library.po"])
def test_welsh_has_all_fixed_words_and_is_not_yet_read(name: str) -> None:
    path = LANGUAGES / "cy" / name
    read, found = read_catalogue(path.read_text("utf-8"), name, "cy")
    assert read is not None
    assert (found, read.open, read.read_by) == ([], 0, "")


def test_every_text_that_code_says_is_in_the_catalogues() -> None:
    """What stands inside another text, in an f-string, is not seen by what gathers words."""
    known = {each if isinstance(each, str) else each[0] for each in texts(fixed_words())}  # type: ignore[index]
    folders = [
        PROJECT / "builder" / name
        for name in ("demonstration", "guide", "home", "languages", "writers")
    ]
    for path in (path for folder in folders for path in sorted(folder.rglob("*.py"))):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and node.args and isinstance(node.args[0], ast.Constant):
                named = getattr(node.func, "attr", None) or getattr(node.func, "id", None)
                if named in ("say", "say_number", "to_say"):
                    assert node.args[0].value in known, f"{path}:{node.lineno}"


def test_every_text_that_scripts_say_is_in_the_catalogues() -> None:
    known = texts(fixed_words())
    scripts = sorted((PROJECT / "site_templates").rglob("*.js"))
    said = [text for each in scripts for text in re.findall(r'\bsay\("([^"]*)"', each.read_text())]
    assert len(said) > 60
    assert set(said) <= known


def test_pages_of_each_language_lead_to_each_other(guide: Path) -> None:
    ours, welsh = page(guide, "emergency"), page(guide, "cy/emergency")
    assert (ours.html["lang"], welsh.html["lang"]) == ("en", "cy")  # type: ignore[index]
    links = {each["hreflang"]: each["href"] for each in ours.select(".languages a")}
    assert links == {"cy": "../cy/emergency/", "he": "../he/emergency/"}
    back = {each["hreflang"]: each["href"] for each in welsh.select(".languages a")}
    assert back == {"en": "../../emergency/", "he": "../../he/emergency/"}
    assert [each.get_text() for each in ours.select(".languages a")] == ["Cymraeg", "עברית"]
    assert heading(guide, "cy/emergency") == "Mewn argyfwng"


def test_every_page_has_its_like_in_every_language(guide: Path) -> None:
    files = {each.relative_to(guide).as_posix() for each in guide.rglob("index.html")}
    ours = {each for each in files if not each.startswith(("cy/", "he/"))}
    for code in ("cy", "he"):
        assert {
            each.removeprefix(f"{code}/") for each in files if each.startswith(f"{code}/")
        } == ours


def test_a_text_that_was_read_is_shown(guide: Path) -> None:
    assert heading(guide, "cy/articles/water-off") == "Troi eich dŵr i ffwrdd"
    assert main_of(guide, "cy/articles/water-off") is None
    assert "Ar gyfer" in page(guide, "cy/emergency").get_text()


def test_a_text_that_nobody_read_is_shown_in_the_first_language_and_says_so(guide: Path) -> None:
    assert main_of(guide, "cy/articles/thermostats") == "en"
    said = page(guide, "cy/articles/thermostats").select_one(".languages[lang=cy] p")
    assert said is not None
    assert said.get_text() == "Dim ond yn Saesneg y mae\u2019r dudalen hon hyd yma."


def test_dates_and_rhythms_are_those_of_the_language(guide: Path) -> None:
    dates = page(guide, "cy/dates").get_text()
    assert re.search(r"\d Ionawr \d{4}|\d Mawrth \d{4}|\d Mai \d{4}|\d Hydref \d{4}", dates)
    assert not re.search(r"\b(January|March|October|every) \b", dates)


def test_a_language_from_right_to_left(guide: Path) -> None:
    front = page(guide, "he")
    assert (front.html["lang"], front.html["dir"]) == ("he", "rtl")  # type: ignore[index]
    for path in ("he", "he/emergency", "he/find", "he/contacts", "he/changes", "he/keep"):
        fixed = [each.get_text() for each in page(guide, path).select("h1, h2, nav.bar span")]
        data = {"1 Riverside", "Water", "Heating", "Electricity", "In an emergency"}
        assert [each for each in fixed if MARK not in each and each not in data] == [], path


def test_every_text_is_in_the_language_of_its_page_or_says_in_which_it_is(guide: Path) -> None:
    """Titles and links of what nobody has translated too. Makes, models and the builder are names."""
    names = {"Fennimarsh", "Homes", "Tarn"}
    pages = [BeautifulSoup(each.read_text("utf-8"), "html.parser") for each in guide.glob("he/**/index.html")]  # fmt: skip
    parts = [section for each in stickers(guide) for section in each.select("section[lang=he]")]
    said: dict[str, str] = {}
    for text in (text for each in (*pages, *parts) for text in each.find_all(string=True)):
        if text.parent and text.parent.name not in ("script", "style", "[document]"):
            spoken = str(text.find_parent(lang=True)["lang"])  # type: ignore[index]
            said |= dict.fromkeys(_PLAIN.findall(text) if spoken == "he" else (), str(text))
    for tag in (tag for each in (*pages, *parts) for tag in each.find_all(True)):
        spoken = str((tag if tag.get("lang") else tag.find_parent(lang=True) or tag).get("lang"))
        for text in (str(tag[name]) for name in _READ_ALOUD if tag.get(name)):
            said |= dict.fromkeys(_PLAIN.findall(text) if spoken == "he" else (), text)
    logos = [each.select_one("p.builder img") for each in pages]
    assert all(each and MARK in str(each["alt"]) for each in logos)
    latin = {word: text for word, text in said.items() if word.isascii() and word not in names}
    assert {word: text for word, text in latin.items() if word.upper() != word} == {}
    assert [each.get_text() for each in page(guide, "he/first-weeks").select("main [lang=en]")]


def test_the_same_memory_and_dates_serve_all_languages(guide: Path) -> None:
    """One set of pictures, one place on the device: only pages, their words and the calendar are many."""
    assert not (guide / "cy" / "photos").exists()
    assert not (guide / "cy" / "worker.js").exists()
    assert (guide / "cy" / "find" / "words.json").is_file()
    worker = (guide / "worker.js").read_text("utf-8")
    assert '"cy/emergency/"' in worker


def test_each_language_has_its_calendar_of_the_same_events(guide: Path) -> None:
    ours, welsh = (
        icalendar.Calendar.from_ical((guide / name / "calendar.ics").read_bytes()).walk("VEVENT")
        for name in (".", "cy")
    )
    assert [each["UID"] for each in ours] == [each["UID"] for each in welsh]
    assert "Troi eich dŵr i ffwrdd" in "".join(str(each["DESCRIPTION"]) for each in welsh)
    said = "".join(f"{each['SUMMARY']} {each['DESCRIPTION']}" for each in welsh)
    assert "Sail: arfer cyffredin." in said
    assert not re.search("Basis:|Read in|You do|every", said)
    hebrew = icalendar.Calendar.from_ical((guide / "he/calendar.ics").read_bytes()).walk("VEVENT")
    lines = (line for each in hebrew for name in ("SUMMARY", "DESCRIPTION") for line in str(each[name]).split("\n"))  # fmt: skip
    assert {
        line.replace(MARK, "") for line in lines if any(map(str.isascii, _PLAIN.findall(line)))
    } == {
        "Turn it off and on again.",
        "Read in your guide: Turn off your water.",
    }  # Nobody has translated the article.
    assert 'href="../calendar.ics"' in (guide / "cy/dates/index.html").read_text("utf-8")


def test_papers_are_printed_in_each_language(guide: Path, tmp_path: Path) -> None:
    workspace = guide.parents[2] / "cottage"
    preparation = prepare(workspace, ["riverside/01"], DAY)
    printed = list(print_papers(preparation, ("emergency", "keys"), tmp_path, DAY))
    assert [each.file.name for each in printed] == [
        f"{name}{language}.pdf"
        for language in ("", "-cy", "-he")
        for name in ("emergency-card", "keys-and-documents")
    ]
    card, keys = (_words(each.file) for each in printed[2:4])
    assert "Mewn perygl? Ffoniwch 999 yn gyntaf." in card
    assert "Argraffwyd ar 29 Tachwedd 2026." in card
    assert not {"Turn", "Whom", "Printed", "Front of the home"} & set(
        re.findall(r"Front of the home|\w+", card)
    )
    assert "Allweddi a ffobiau" in keys
    assert "Buyer" not in keys


def test_what_a_book_shows_in_another_language_says_so(guide: Path) -> None:
    """To who reads it, and to what reads it aloud."""
    preparation = prepare(guide.parents[2] / "cottage", ["riverside/01"], DAY)
    prepared = preparation.plots["riverside/01"]
    (welsh,) = (each for each in prepared.others if each.about.language.code == "cy")
    foreign = [page.id for page in welsh.guide.pages if page.language]
    target = guide.parents[2] / "books"
    (book,) = (each.file for each in print_papers(preparation, ("book",), target, DAY) if each.file.stem.endswith("-cy"))  # fmt: skip
    assert (
        _words(book).count("Dim ond yn Saesneg y mae\u2019r dudalen hon hyd yma.")
        >= len(foreign)
        > 20
    )
    assert _spoken_in(book) == {b"cy", b"en"}


def _spoken_in(pdf: Path) -> set[bytes]:
    """The languages that the parts of a paper are marked with."""
    return set(re.findall(rb"/Lang ?\(([a-z]+)", pdf.read_bytes()))


_CODE = re.compile(r'spoken\("en", (?:\{|"(?:[^"\\]|\\.)*")|"(?:[^"\\]|\\.)*"|[{}]')
"""What is marked as the first language in Typst code, a text, or a brace."""
_NO_WORDS = re.compile(r"https:\S+|[a-z]+:[\w-]+|\S+\.\w+|small|half|whole")
"""Labels, files, addresses and sizes of pictures."""


def _own_words(code: str) -> Iterator[str]:
    """The texts of Typst code that are not marked as the first language."""
    deep, foreign = 0, list[int]()
    for part in (each[0] for each in _CODE.finditer(code)):
        deep += part.endswith("{") - (part == "}")
        if part.startswith("spoken") and part.endswith("{"):
            foreign.append(deep)
        elif part == "}" and foreign and deep < foreign[-1]:
            foreign.pop()
        elif part.startswith('"') and not foreign:
            yield part[1:-1]


def _texts_in(values: object) -> Iterator[str]:
    """All texts of plain values."""
    if isinstance(values, str):
        yield values
    elif isinstance(values, dict | list):
        for each in values.values() if isinstance(values, dict) else values:
            yield from _texts_in(each)


class _HeardPress(Press):
    """A press that keeps what it is told, and sets the card alone, which is tried until it fits."""

    said: list[tuple[str, str]]

    def book(self, book: Book) -> bytes:
        self.said += [("book", each) for each in _own_words(book.code())]
        return b""

    def _set_paper(self, files: Mapping[str, bytes], named: str, own: str) -> bytes:
        values = json.loads(files["values.json"])
        pattern = values.pop("foreign") or r"[^\s\S]"
        self.said += [(named, re.sub(pattern, "", each)) for each in _texts_in(values)]
        return super()._set_paper(files, named, own) if "emergency" in named else b""


def test_papers_say_nothing_that_no_catalogue_said_and_is_not_marked(guide: Path) -> None:
    """The book, large print, the walk, the card, schedules and gauge; units are those of all languages."""
    preparation = prepare(guide.parents[2] / "cottage", ["riverside/01"], DAY)
    prepared = preparation.plots["riverside/01"]
    house = PrintingHouse(preparation, DAY)
    house.press = _HeardPress(layered(PROJECT, FOLDER))
    house.press.said = []
    (hebrew,) = (each for each in prepared.others if each.about.language.code == "he")
    assert len(list(house.set(prepared, PAPERS, hebrew))) == len(PAPERS)
    names = {"Fennimarsh", "Homes", "Tarn", "cm", "mm", "m"}
    plain = [
        (paper, text)
        for paper, text in house.press.said
        if not _NO_WORDS.fullmatch(text)
        for word in _PLAIN.findall(text)
        if word.isascii() and word.upper() != word and word not in names
    ]
    sources = {text for paper, text in plain if "crack-gauge" in paper}
    assert len(sources) == 2  # Documents have the names that their publishers gave them.
    assert [(paper, text) for paper, text in plain if text not in sources] == []


def test_run_sheets_are_written_in_each_language(guide: Path, tmp_path: Path) -> None:
    """The same stops, things to tick and mark in each, so that a record is of any of them."""
    workspace = guide.parents[2] / "cottage"
    told = ("demonstration", "riverside/01", "--workspace", str(workspace), "--date", "2026-11-29")
    assert run(*told, "--out", str(tmp_path)).exit_code == 0
    names = [f"riverside_01-run-sheet{each}" for each in ("", "-cy", "-he")]
    assert {each.stem for each in tmp_path.iterdir()} == {*names}
    ours, welsh, hebrew = (
        BeautifulSoup((tmp_path / f"{name}.html").read_text("utf-8"), "html.parser")
        for name in names
    )
    fields = [
        [
            (each["name"], each.get("data-id"))
            for each in page.select("[name][data-id], [data-meter]")
        ]
        for page in (ours, welsh, hebrew)
    ]
    assert fields[0] == fields[1] == fields[2]
    assert ours.main["data-mark"] == welsh.main["data-mark"]  # type: ignore[index]
    assert [each.html["lang"] for each in (ours, welsh, hebrew)] == ["en-GB", "cy", "he"]  # type: ignore[index]
    assert hebrew.html["dir"] == "rtl"  # type: ignore[index]
    said = {each.get_text() for each in welsh.select("h2")}
    assert {"Y diwrnod", "Llofnodion", "Papurau a drosglwyddwyd"} <= said
    assert "Not shown yet: %(count)s." in json.loads(str(welsh.main["data-words"]))  # type: ignore[index]
    assert all(MARK in each.get_text() for each in hebrew.select("section:not([id]) > h2"))
    plain = {
        word
        for text in hebrew.find_all(string=True)
        if text.parent
        and text.parent.name not in ("script", "style", "[document]")
        and text.find_parent(lang=True)["lang"] == "he"  # type: ignore[index]
        for word in _PLAIN.findall(text)
        if word.isascii() and word.upper() != word
    }
    assert plain <= {"Fennimarsh", "Homes", "Tarn"}
    assert hebrew.select("main [lang=en][dir=ltr]")
    paper = _words(tmp_path / f"{names[1]}.pdf")
    assert "Cerddasom o gwmpas y cartref hwn gyda" in paper
    assert _spoken_in(tmp_path / f"{names[1]}.pdf") == {b"cy", b"en"}
    assert not re.search(r"\bhours?\b|Signatures|Papers handed|The buyer:|Take care", paper)


def _words(pdf: Path) -> str:
    """The text of a paper, in one line."""
    document = pypdfium2.PdfDocument(pdf)
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in document).split())


def stickers(guide: Path) -> list[BeautifulSoup]:
    pages = sorted((guide.parents[1] / "Q").glob("*/index.html"))
    return [BeautifulSoup(each.read_text("utf-8"), "html.parser") for each in pages]


def test_the_page_behind_a_sticker_says_the_same_in_each_language(guide: Path) -> None:
    pages = stickers(guide)
    assert pages
    for each in pages:
        sections = {str(section["lang"]): section for section in each.select("main > section")}
        links = {str(a["hreflang"]): str(a["href"]) for a in each.select("body > nav a")}
        assert links == {code: f"#{section['id']}" for code, section in sections.items()}
        assert [*sections] == ["cy", "he"]
        ours = [a["href"] for a in each.select("main > nav a")]
        welsh = [a["href"] for a in sections["cy"].select("nav a")]
        assert welsh == [str(a).replace(f"/{guide.name}/", f"/{guide.name}/cy/") for a in ours]
        assert "Darllenwch ymlaen" in sections["cy"].get_text()
        assert sections["he"]["dir"] == "rtl"
        numbers = [
            [a["href"] for a in part.select("a[href^='tel:']")]
            for part in (*sections.values(), each)
        ]
        assert numbers[0] == numbers[1] == numbers[2][: len(numbers[0])]
        assert len(numbers[2]) == 3 * len(numbers[0])


def test_a_chosen_language_stays_on_the_device(guide: Path, browser: Browser) -> None:
    """Chosen once on a page of the guide, it is that of every page which a sticker leads to."""
    with served(guide.parents[1]) as host, browser.new_context(viewport={"width": 320, "height": 640}) as device:  # fmt: skip
        page, ours = device.new_page(), f"{host}/g/{guide.name}/"
        page.goto(f"{ours}emergency/")
        page.locator(".languages a[hreflang=cy]").click()
        page.wait_for_url(f"{ours}cy/emergency/")
        assert spoken(page) == ("cy", "ltr")
        sticker = sorted((guide.parents[1] / "Q").iterdir())[0].name
        page.goto(f"{host}/Q/{sticker}/")
        page.locator("main > nav a", has_text="Your guide").click()
        page.wait_for_url(f"{ours}cy/")
        page.goto(f"{ours}cy/find/")
        looked_for = page.get_by_label("Chwilio yn y canllaw hwn")
        for word in ("dŵr", "ddŵr", "nwr"):
            looked_for.fill(word)
            page.locator(".handover-found a", has_text="Troi eich dŵr i ffwrdd").wait_for()
        assert (
            page.locator(".handover-found li[lang]", has_text="Troi eich dŵr i ffwrdd").count() == 0
        )
        page.goto(f"{ours}cy/dates/")
        page.get_by_text("Heddiw yw ").wait_for()
        page.locator(".languages a[hreflang=he]").click()
        page.wait_for_url(f"{ours}he/dates/")
        page.goto(f"{ours}he/find/")
        page.get_by_role("searchbox").fill("turning off the water")
        page.locator(".handover-found li[lang=en] a", has_text="Turn off your water").wait_for()
        assert page.locator(".handover-found li[lang=en]").first.get_attribute("dir") == "auto"
        page.goto(ours)
        page.wait_for_url(f"{ours}he/")
        page.goto(f"{ours}he/dates/")
        shown = page.locator(".ticks [lang=en][dir=auto]", has_text="Turn it off and on again.")
        shown.first.wait_for(state="attached")
        for path in ("", "emergency/", "dates/", "care/", "find/", "plan/", "contacts/"):
            page.goto(f"{ours}he/{path}")
            assert spoken(page) == ("he", "rtl")
            assert page.evaluate("document.documentElement.scrollWidth") <= 320, path
        page.locator(".languages a[hreflang=en]").click()
        page.wait_for_url(f"{ours}contacts/")
        page.goto(f"{ours}cy/")
        page.wait_for_url(ours)


def spoken(page: Page) -> tuple[str, str]:
    """The language of a page, and the way that its text runs."""
    return tuple(page.evaluate("[document.documentElement.lang, getComputedStyle(document.body).direction]"))  # fmt: skip


def test_the_engine_alone_makes_the_same_in_every_language(guide: Path, tmp_path: Path) -> None:
    workspace = guide.parents[2] / "cottage"
    prepared = prepare(workspace, ["riverside/01"], DAY).plots["riverside/01"]
    register = read_register(Folder(workspace), "riverside", Findings())
    codes = codes_of(stickers_in(prepared.plot, prepared.traced.home, register))
    told = [with_codes(each.guide, each.about, codes) for each in (prepared, *prepared.others)]
    writer = SiteWriter(workspace, HeldEngine(workspace).assets)
    alone = tmp_path / guide.name
    whole = in_all_languages(told[0], told[1:])
    assert writer.write(whole, alone, f"https://guides.example/g/{guide.name}/") == ()
    ours, theirs = files(guide), files(alone)
    assert ours.keys() - theirs.keys() == {"kept.json", "calendar.ics", "cy/calendar.ics", "he/calendar.ics"}  # fmt: skip
    assert [name for name, content in theirs.items() if ours[name] != content] == []
    assert {"cy/spoken.js", "he/spoken.js"} < theirs.keys()


def test_without_other_languages_nothing_is_there_of_them(tmp_path: Path) -> None:
    preparation = prepare(COTTAGE, ["riverside/01"], DAY)
    prepared = preparation.plots["riverside/01"]
    assert (prepared.others, prepared.guide.others) == ((), ())
    assert not [each for each in preparation.findings if each.code.startswith("language.")]


def findings_of(workspace: Path) -> list[str]:
    found = prepare(workspace, ["riverside/01"], DAY).findings
    return [str(each) for each in found if each.code.startswith("language.")]


def test_who_asks_for_homes_in_one_language_hears_nothing_of_another() -> None:
    workspace = read_workspace(PROJECT, Findings())
    assert list(languages_are_read(workspace, ["mill-lane/01", "harbour-view/01"])) == []
    (code,) = {each.code for each in languages_are_read(workspace, ["maes-y-coed/01"])} - {"language.unread"}  # fmt: skip
    assert code == "language.unread-words"


def test_what_is_unread_or_stale_or_lacks_something_is_found(tmp_path: Path) -> None:
    workspace = workspace_in("cy", tmp_path)
    unread = WELSH.format(digest=DIGEST).replace("read_by: Customer care\nread: 2026-11-29\n", "")
    article(workspace, unread)
    text, *words = findings_of(workspace)
    assert all("Nobody who speaks Welsh has read the " in each for each in words)
    assert {each.partition(":")[0].rpartition("/")[2] for each in words} == {
        "library.po",
        "messages.po",
    }
    assert text.splitlines()[1:] == [
        "  Nobody who speaks Welsh has read these, so guides show them in the first language:"
        " article:water-off, symptom:no-power, symptom:no-own-power, symptom:switch-trips,"
        " symptom:lights-flicker, symptom:alarm-chirps and 16 more.",
        "  Have each read, and write in it 'read_by:' with their role, and 'read:' with the day.",
    ]
    article(workspace, WELSH.format(digest="0123456789abcdef"))
    stale = findings_of(workspace)[0]
    assert stale.splitlines()[1:] == [
        "  'article:water-off' has changed since this translation was made: it was made from"
        " 0123456789abcdef.",
        f"  Bring it up to date, have it read, and write 'made_from: {DIGEST}'.",
    ]
    article(workspace, WELSH.format(digest=DIGEST).replace("summary: Ble mae eich stopfalf.\n", ""))
    lacking = findings_of(workspace)[0]
    assert "This translation of 'article:water-off' lacks texts, or has others in number: summary." in lacking  # fmt: skip
    article(workspace, WELSH.format(digest=DIGEST).replace("  free:", "  fre:"))
    assert any(
        "'article:water-off' has no 'fre' in tasks" in each for each in findings_of(workspace)
    )


def test_a_language_without_a_catalogue(tmp_path: Path) -> None:
    (found,) = findings_of(workspace_in("fr", tmp_path))
    assert found.splitlines()[1:] == [
        "  There is no catalogue of 'fr', so the guide goes without that language.",
        "  Languages here are: cy.",
    ]


@pytest.mark.parametrize(
    ("message", "code"),
    [
        ('msgid "by %(day)s"\nmsgstr "erbyn %(dydd)s"\n', "language.values"),
        ('msgid "Stop."\nmsgstr "Stopiwch 5 % o."\n', "language.values"),
        ('msgid "Stop."\nmsgstr "%(day)s"\n', "language.values"),
        (
            'msgid "1 stop"\nmsgid_plural "%(num)d stops"\nmsgstr[0] "%(num)x"\n'
            + "".join(f'msgstr[{each}] "b"\n' for each in range(1, 5)),
            "language.values",
        ),
        ('msgid "Call {call:power-cut}."\nmsgstr "Ffoniwch."\n', "language.values"),
        ('msgid "Stop."\nmsgstr "<script>"\n', "language.marks"),
        ('msgid "<b>Stop</b>"\nmsgstr "<b>a</b><SCRIPT>b</SCRIPT>"\n', "language.marks"),
        ('msgid "<b>Stop</b>"\nmsgstr "<b>a</b><!-- b"\n', "language.marks"),
        ('msgid "<b>Stop</b>"\nmsgstr "<b onclick=a>a</b>"\n', "language.marks"),
        ('msgid "Stop."\nmsgstr "Stop\\niwch."\n', "language.line"),
        ('msgid "Stop."\nmsgstr "Stop\\tiwch."\n', "language.line"),
        ('mgsid "Stop."\nmsgstr "Stopiwch."\n', "language.catalogue"),
    ],
)
def test_mistakes_in_a_catalogue(message: str, code: str) -> None:
    _, found = read_catalogue(f'msgid ""\nmsgstr ""\n\n{message}', "cy/messages.po", "cy")
    assert [each.code for each in found] == [code]


def test_a_translation_ends_no_attribute_that_it_stands_in() -> None:
    texts = {"Stops": ('x" onfocus="attack()" >',), "%(a)s days": ('<a href="x">%(a)s</a> "d"',)}
    environment = Environment(autoescape=True, extensions=[SAYS])
    install_words(environment, Language("cy", texts=texts))
    page = '<nav id="{{ _("Stops") }}">{% trans a="<" %}{{ a }} days{% endtrans %}</nav>'
    assert environment.from_string(page).render() == (
        '<nav id="x&#34; onfocus=&#34;attack()&#34; >"><a href="x">&lt;</a> &#34;d&#34;</nav>'
    )


@pytest.mark.parametrize(
    ("forms", "says"),
    [
        ("nplurals=2; plural=(n/0);", "'(n/0)' chooses no plural form"),
        ("nplurals=2; plural=n%0;", "'n%0' chooses no plural form"),
        ("nplurals=2; plural=n*9999999;", "'n*9999999' chooses no plural form"),
        ("nplurals=2; plural=open(1);", "'open(1)' chooses no plural form"),
        ("nplurals=2; plural=n>5?7:1;", "'n>5?7:1' chooses form 7 of 2, counted from 0"),
        (f"nplurals=2; plural={'(' * 900}n;", "unbalanced parenthesis in plural form"),
        ("nplurals=1000000000; plural=n;", "it has 1000000000 plural forms, and languages have 1 to 6"),
        ("nplurals=0; plural=0;", "it has 0 plural forms, and languages have 1 to 6"),
    ],
)  # fmt: skip
def test_plural_forms_that_are_none(forms: str, says: str) -> None:
    """They are found when a catalogue is read, and not when somebody counts."""
    text = f'msgid ""\nmsgstr "Plural-Forms: {forms}\\n"\n\nmsgid "%(count)d day"\nmsgid_plural "%(count)d days"\nmsgstr[0] "a"\nmsgstr[1] "b"\n'
    read, (found,) = read_catalogue(text, "cy/messages.po", "cy")
    assert read is None
    assert (found.code, found.wrong) == ("language.catalogue", f"The catalogue cannot be read: {says}.")  # fmt: skip


def test_a_message_that_is_marked_fuzzy_is_not_said() -> None:
    text = 'msgid ""\nmsgstr ""\n\n#, fuzzy\nmsgid "Stop."\nmsgstr "Stopiwch."\n'
    read, found = read_catalogue(text, "cy/messages.po", "cy")
    assert read is not None
    assert (read.texts, read.open, found) == ({}, 1, [])


def test_a_blank_translation_is_none() -> None:
    read, found = read_catalogue('msgid ""\nmsgstr ""\n\nmsgid "Stop."\nmsgstr "  "\n', "cy/messages.po", "cy")  # fmt: skip
    assert read is not None
    assert (read.texts, read.open, found) == ({}, 1, [])


def test_forms_of_a_language() -> None:
    welsh = Language("cy", texts={"1 month": ("1 mis", "%(count)d mis")})
    assert FIRST.day(date(2026, 4, 7)) == "7 April 2026"
    assert welsh.day(date(2026, 4, 7)) == "7 Ebrill 2026"
    assert (FIRST.term("6 months"), welsh.term("6 months")) == ("6 months", "6 mis")
    assert FIRST.listed(["Hall", "Landing", "Kitchen"]) == "Hall, Landing and Kitchen"
    assert (welsh.name, welsh.called, welsh.direction, Language("ar").direction) == (
        "Cymraeg",
        "Welsh",
        "ltr",
        "rtl",
    )


def test_a_folder_that_is_no_language(tmp_path: Path) -> None:
    workspace = workspace_in("cy", tmp_path)
    (workspace / "content" / "languages" / "welsh").mkdir(parents=True)
    findings = Findings()
    read_workspace(workspace, findings)
    assert [each.code for each in findings if each.code.startswith("language")] == [
        "language.unknown"
    ]


def as_if_read(path: Path) -> bytes:
    """A translated text as if somebody had read it."""
    text = path.read_text(encoding="utf-8")
    return re.sub(
        r"^( *)(made_from: .*)$", r"\1\2\n\1read_by: Test\n\1read: 2026-11-29", text, flags=re.M
    ).encode()


_ASKED = re.compile(
    r"(?:home_is|has_kind|has_article|pieces|emitters_of)\([^)]*\)|contacts\['?[\w-]+'?\]|\]\([a-z]+:[\w-]+\)|\{[a-z]+:[\w-]+\}"
)
"""What a text asks of a home, names of it, or leads to."""
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


@pytest.mark.parametrize(
    "path", sorted(LANGUAGES.glob("*/articles/*.md")), ids=lambda path: path.stem
)
def test_a_translation_asks_the_same_of_a_home_and_has_the_same_numbers(path: Path) -> None:
    theirs = path.read_text("utf-8").partition("\n---\n")[2]
    ours = (PROJECT / "content/articles" / path.name).read_text("utf-8").partition("\n---\n")[2]
    assert Counter(_ASKED.findall(theirs)) == Counter(_ASKED.findall(ours))
    assert Counter(_NUMBER.findall(theirs)) == Counter(_NUMBER.findall(ours))


def test_the_welsh_that_ships_can_be_filled_in() -> None:
    """Nobody has read it yet, so that no guide shows it: here it is taken as read, in a home with gas."""
    files = [*LANGUAGES.glob("cy/articles/*.md"), *LANGUAGES.glob("cy/symptoms/*.yaml")]
    instead: dict[str, bytes | None] = {
        each.relative_to(PROJECT).as_posix(): as_if_read(each) for each in files
    }
    plot = PROJECT / "developments" / "mill-lane" / "development.yaml"
    named = plot.relative_to(PROJECT).as_posix()
    instead[named] = b"languages: [cy]\n" + plot.read_bytes()
    findings = Findings()
    workspace = with_other_files(PROJECT, instead, findings, KeptFiles())
    preparation = prepare_read(workspace, findings, ["mill-lane/07"], DAY)
    assert [str(each) for each in findings.errors] == []
    (other,) = preparation.plots["mill-lane/07"].others
    shown = {page.id for page in other.guide.pages if not page.language}
    articles = {f"article:{each.stem}" for each in files if each.suffix == ".md"}
    assert articles & {page.id for page in other.guide.pages} <= shown
    assert {"article:smell-of-gas", "symptom:gas-smell", "symptom:fire-alarm-sounds"} <= shown


def test_texts_of_homes_are_written_for_translators_and_none_is_lost(cottage: Path) -> None:
    development = cottage / "developments/riverside/development.yaml"
    development.write_text(f"languages: [cy]\n{development.read_text('utf-8')}", "utf-8")
    file = cottage / "content/languages/cy/homes.po"
    command = ("languages", "cy", "--workspace", str(cottage))
    done = run(*command)
    assert done.exit_code == 0
    assert "\nRead by nobody yet: symptom:no-power, " in done.output
    first = file.read_text("utf-8")
    assert first.count("\nmsgid ") > 50
    file.write_text(f"# Ours.\n{first}".replace('"Tarn"\nmsgstr ""', '"Tarn"\nmsgstr "Llyn"'), "utf-8")  # fmt: skip
    said = file.read_bytes()
    assert run(*command).exit_code == 0
    assert file.read_bytes() == said
    assert b'"Llyn"' in said
    assert b'"Kitchen"' not in said  # The catalogue that ships has it.
    for broken, why in ((b'msgid "\xff"\n', "is not in UTF-8"), (b'mgsid "a"\n', "homes.po:1:1")):
        file.write_bytes(broken)
        done = run(*command)
        assert (done.exit_code, type(done.exception)) == (2, SystemExit)
        assert why in done.output
        assert file.read_bytes() == broken


def test_texts_of_the_first_language_are_marked_in_pages_of_another() -> None:
    hebrew, welsh, ours = Language("he"), Language("cy"), {"Turn it off", "It's hot & wet (here)"}
    is_ours = ours.__contains__
    html = '<h2>Turn it off</h2>\n<svg><text>Turn it off</text></svg><p>It&#39;s hot &amp; wet (here)<br>a</p>'  # fmt: skip
    assert marked(html, welsh, is_ours) == (
        '<h2><span lang="en">Turn it off</span></h2>\n<svg><text>Turn it off</text></svg>'
        '<p><span lang="en">It&#39;s hot &amp; wet (here)</span><br>a</p>'
    )
    text = "## Turn it off\n\n- **[Turn it off](a.md)**<br>It's hot & wet \\(here\\)\n- Turn it off now\n"  # fmt: skip
    assert marked_markdown(text, hebrew, is_ours) == (
        '## <span lang="en" dir="ltr">Turn it off</span>\n\n'
        '- **[<span lang="en" dir="ltr">Turn it off</span>](a.md)**<br>'
        '<span lang="en" dir="ltr">It\'s hot & wet \\(here\\)</span>\n- Turn it off now\n'
    )
    values = {"b": ["Hall: Turn it off.", {"c": "1. It's hot & wet (here), b"}], "d": 3}
    assert foreign_pattern(values, ours) == r"\bIt's\ hot\ \&\ wet\ \(here\)|\bTurn\ it\ off\b"
    assert foreign_pattern(["Turn it off now"], ours) == ""
