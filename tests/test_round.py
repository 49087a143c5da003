"""Show me round: the walk of the demonstration for an owner who reads it alone, on the web and on paper."""

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from bs4 import BeautifulSoup, Tag
from playwright.sync_api import Browser, BrowserContext, expect

from builder.build.papers import PrintingHouse
from builder.demonstration.sheet import run_sheet
from builder.errors import Findings
from builder.guide.pages import Page
from builder.guide.round_pages import stop_of
from builder.guide.walk.script import script_of
from builder.preparing import Preparation, prepare
from tests.demo import Demo, served
from tests.demonstrations import prepared_demo
from tests.test_browser import axe_violations

DAY = date(2026, 11, 28)
HOUSE, FLAT = "mill-lane/07", "harbour-view/05"
AVERAGE = 9_000
"""Bytes of a page on average, as its file."""


@pytest.fixture(scope="module")
def homes() -> Preparation:
    return prepared_demo()


@pytest.fixture(scope="module")
def guides(demo: Demo) -> dict[str, Path]:
    return {each: demo.guides[each] for each in (HOUSE, FLAT)}


@pytest.fixture(scope="module")
def host(demo: Demo) -> Iterator[str]:
    with served(demo.public) as address:
        yield address


def stops(pages: tuple[Page, ...]) -> list[Page]:
    return [page for page in pages if page.layout == "stop"]


def read(path: Path) -> BeautifulSoup:
    return BeautifulSoup((path / "index.html").read_text(encoding="utf-8"), "html.parser")


# The same walk


def test_every_demo_home_is_walked_as_its_demonstration_is(homes: Preparation) -> None:
    script = script_of(homes.workspace, Findings())
    for reference, prepared in homes.plots.items():
        sheet = run_sheet(prepared, script)
        walked = [page.values["stop"] for page in stops(prepared.guide.pages)]
        assert walked == [stop.id for stop in sheet.stops], reference
        things = [thing.id for stop in sheet.stops for item in stop.items for thing in item.things]
        met = [each for page in stops(prepared.guide.pages) for each in page.values["met_here"]]
        pieces = [each.removeprefix("equipment.") for each in things if each.startswith("equip")]
        assert [each for each in met if each] == pieces, reference


def test_every_thing_is_told_of_once_with_one_number_on_one_drawing(homes: Preparation) -> None:
    numbered = 0
    for reference, prepared in homes.plots.items():
        for page in stops(prepared.guide.pages):
            items = [item for view in page.values["views"] for item in view.items]
            told = [*items, *page.values["again"]]
            things = [thing.piece for item in told for thing in item.things if thing.piece]
            assert sorted(things) == sorted(each for each in page.values["met_here"] if each)
            numbers = [thing.number for item in told for thing in item.things if thing.number]
            on_walls = [
                each.number
                for view in page.values["views"]
                if view.wall
                for each in view.wall.things
            ]
            on_plan = [number for tag in page.values["tags"] for number in tag.numbers]
            assert len(numbers) == len(set(numbers)), (reference, page.id)
            assert not set(on_walls) & set(on_plan), (reference, page.id)
            assert {*on_walls, *on_plan} <= set(numbers), (reference, page.id)
            numbered += len(on_walls)
    assert numbered > 500


def test_every_stop_shows_on_the_plan_where_one_stands(homes: Preparation) -> None:
    """In a shaded room, or before the front door with a ring round it: a shared stair is not drawn."""
    for reference, prepared in homes.plots.items():
        for page in stops(prepared.guide.pages):
            plan = page.values["plan"]
            assert bool(plan.rooms) is not bool(plan.spots), (reference, page.id)
            assert plan.rooms or "with a ring at the front door" in plan.says


def test_what_the_staff_says_and_what_is_private_stays_away(homes: Preparation) -> None:
    """No serial number of the run sheet, no word to the staff, and nobody called a buyer."""
    script = script_of(homes.workspace, Findings())
    for reference, prepared in homes.plots.items():
        sheet = run_sheet(prepared, script)
        serials = [thing.serial for stop in sheet.stops for item in stop.items for thing in item.things if thing.serial]  # fmt: skip
        items = [item for stop in sheet.stops for item in stop.items]
        ours = {text for item in items for text in (item.say, item.tries)}
        shown = {item.show for item in items} - ours
        for page in stops(prepared.guide.pages):
            text = repr(dict(page.values))
            assert not [each for each in serials if each in text], reference
            assert not [each for each in shown if each in text], (reference, page.id)
            assert "buyer" not in text.lower(), (reference, page.id)
            assert "shown from below" not in text, (reference, page.id)


def test_things_are_called_by_their_names_alone(homes: Preparation) -> None:
    """The staff reads how many there are, and what nobody climbs to; the owner counts for themselves."""
    script = script_of(homes.workspace, Findings())
    titles = set()
    for reference, prepared in homes.plots.items():
        first = prepared.guide.page("page:round")
        assert first is not None
        for stop, shown in zip(
            run_sheet(prepared, script).stops, first.values["stops"], strict=True
        ):
            titles |= {item.title for item in stop.items}
            met = (item for item in stop.items if item.as_at is None)
            names = [
                item.name.removesuffix(f", {stop.title}")
                for item in met
                if not item.id.startswith("room_kinds.")
            ]
            assert list(shown["things"]) == names, (reference, stop.id)
            assert not [each for each in names if each.endswith(")") and each[-2].isdigit()]
    assert any(each.endswith(", shown from below") for each in titles)
    assert any(re.search(r" \(\d+\)$", each) for each in titles)


def test_words_of_the_day_are_others_for_who_reads_alone(homes: Preparation) -> None:
    pages = stops(homes.plots[HOUSE].guide.pages)
    arrival = next(page for page in pages if page.values["stop"] == "arrival")
    said = {
        item.title: f"{item.does} {item.say}"
        for view in arrival.values["views"]
        for item in view.items
    }
    assert said["Gas meter"] == (
        "Counts the gas you use. Read it when you move in, and send the figures to your supplier."
    )


def test_a_home_of_which_nothing_is_said_has_no_walk(cottage: Path) -> None:
    """Kinds always have words of their own, so that only a home without things has no stops."""
    prepared = prepare(cottage, ("riverside/02",), DAY).plots["riverside/02"]
    assert [page.layout for page in prepared.guide.pages].count("round") == 1
    assert prepared.guide.page("page:round") is not None


# On the web


def test_pages_are_small(guides: dict[str, Path]) -> None:
    for reference, guide in guides.items():
        sizes = [path.stat().st_size for path in (guide / "round").rglob("*.html")]
        average = sum(sizes) / len(sizes)
        assert average <= AVERAGE, reference


def test_back_and_next_lead_through_all_stops_and_to_the_list_again(
    guides: dict[str, Path],
) -> None:
    for guide in guides.values():
        listed = read(guide / "round").select(".round-stops a")
        here = (guide / "round" / str(listed[0]["href"])).resolve()
        seen: list[Path] = []
        while here != (guide / "round").resolve():
            seen.append(here)
            steps = read(here).select_one(".stop-steps")
            assert isinstance(steps, Tag)
            back = steps.select_one(".stop-back")
            if len(seen) > 1:
                assert back
                assert (here / str(back["href"])).resolve() == seen[-2]
            after = steps.select_one(".stop-next")
            assert isinstance(after, Tag)
            here = (here / str(after["href"])).resolve()
        assert seen == [(guide / "round" / str(each["href"])).resolve() for each in listed]


def test_stops_are_neither_searched_nor_in_the_log_nor_twice_on_the_page_that_finds(
    guides: dict[str, Path],
) -> None:
    guide = guides[HOUSE]
    words = next(guide.rglob("words.json"), None) or next(guide.rglob("*.json"))
    text = words.read_text(encoding="utf-8")
    assert '"round/"' in text
    assert "round/kitchen" not in text
    assert "round/kitchen" not in (guide / "find" / "index.html").read_text(encoding="utf-8")


def test_a_sticker_leads_to_the_stop_of_its_thing(
    demo: Demo, guides: dict[str, Path], homes: Preparation
) -> None:
    led, rounds = 0, [f"/g/{guide.name}/round/" for guide in guides.values()]
    pages = homes.plots[HOUSE].guide.pages
    stop = stop_of(pages, "stopcock")
    assert stop is not None
    assert stop.path == "round/kitchen"
    for page in (demo.public / "Q").glob("*/index.html"):
        soup = BeautifulSoup(page.read_text(encoding="utf-8"), "html.parser")
        links = soup.select("nav a")
        here = [each for each in links if any(round_ in str(each["href"]) for round_ in rounds)]
        for each in here:
            assert each.get_text().startswith("Show me round from here: ")
            assert (page.parent / str(each["href"]) / "index.html").is_file()
        led += len(here)
    assert led > 20


SIZES = pytest.mark.parametrize("size", [(320, 640), (1280, 900)], ids=["phone", "desktop"])


@SIZES
@pytest.mark.parametrize("path", ["round/", "round/kitchen/"])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    path: str, size: tuple[int, int], browser: Browser, host: str, guides: dict[str, Path]
) -> None:
    url = f"{host}/g/{guides[HOUSE].name}/{path}"
    context = browser.new_context(viewport={"width": size[0], "height": size[1]})
    page = context.new_page()
    page.goto(url)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    context.close()
    for scheme in ("light", "dark"):
        assert axe_violations(browser, url, size, scheme) == []


def test_next_is_under_the_thumb_and_is_reached_by_keyboard(
    browser: Browser, host: str, guides: dict[str, Path]
) -> None:
    context = browser.new_context(viewport={"width": 320, "height": 640})
    page = context.new_page()
    page.goto(f"{host}/g/{guides[HOUSE].name}/round/kitchen/")
    box = page.locator(".stop-next").bounding_box()
    bar = page.locator(".bar").bounding_box()
    assert box
    assert bar
    assert box["y"] > 640 * 0.7
    assert box["y"] + box["height"] <= bar["y"]
    assert box["height"] >= 44
    page.locator(".stop-next").focus()
    page.keyboard.press("Enter")
    expect(page.locator("h1")).to_have_text("Downstairs toilet")
    context.close()


def test_without_script_every_stop_reads_and_leads_on(
    browser: Browser, host: str, guides: dict[str, Path]
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{host}/g/{guides[HOUSE].name}/round/")
    page.locator(".round-stops a").first.click()
    expect(page.locator("h1")).to_have_text("Outside, before you go in")
    page.locator(".stop-next").click()
    expect(page.locator("h1")).to_have_text("Hall")
    assert page.locator("[data-round-tools]").is_hidden()
    context.close()


def test_the_list_leads_on_to_where_its_reader_stopped(
    browser: Browser, host: str, guides: dict[str, Path]
) -> None:
    context = browser.new_context()
    page = context.new_page()
    first = f"{host}/g/{guides[HOUSE].name}/round/"
    page.goto(first)
    assert page.locator("[data-round-on]").is_hidden()
    page.goto(f"{first}bathroom/")
    page.wait_for_timeout(200)
    page.goto(first)
    page.get_by_role("link", name="Go on where you stopped: Bathroom").click()
    expect(page.locator("h1")).to_have_text("Bathroom")
    page.goto(f"{host}/g/{guides[FLAT].name}/round/")
    page.wait_for_timeout(200)
    assert page.locator("[data-round-on]").is_hidden()
    context.close()


VOICE = """
window.said = [];
class Utterance { constructor(text) { this.text = text; } }
window.SpeechSynthesisUtterance = Utterance;
Object.defineProperty(window, "speechSynthesis", { value: {
  getVoices: () => VOICES,
  cancel: () => { window.cancelled = true; },
  speak: (each) => { window.said.push(each.text); each.onstart?.(); if (ENDS) each.onend?.(); },
}});
"""


def with_voice(browser: Browser, voices: str, ends: str) -> BrowserContext:
    context = browser.new_context()
    context.add_init_script(VOICE.replace("VOICES", voices).replace("ENDS", ends))
    return context


def test_the_device_reads_a_stop_aloud_and_stops_when_asked(
    browser: Browser, host: str, guides: dict[str, Path]
) -> None:
    context = with_voice(browser, "[{}]", "false")
    page = context.new_page()
    page.goto(f"{host}/g/{guides[HOUSE].name}/round/hall/")
    page.get_by_role("button", name="Read this stop aloud").click()
    said = page.evaluate("window.said")
    assert said[:4] == [
        "Hall",
        "Ground floor.",
        "Consumer unit",
        "On the left wall, just inside the front door.",
    ]
    assert any(each.startswith("Take care. Never take off the cover.") for each in said)
    assert not any("Next" in each for each in said)
    page.get_by_role("button", name="Stop reading").click()
    expect(page.get_by_role("button", name="Read this stop aloud")).to_be_visible()
    context.close()


def test_a_device_without_a_voice_says_so(
    browser: Browser, host: str, guides: dict[str, Path]
) -> None:
    context = browser.new_context()
    context.add_init_script(
        VOICE.replace("each.onstart?.();", "").replace("VOICES", "[]").replace("ENDS", "false")
    )
    page = context.new_page()
    page.goto(f"{host}/g/{guides[HOUSE].name}/round/hall/")
    page.get_by_role("button", name="Read this stop aloud").click()
    expect(page.get_by_role("status")).to_have_text("This device has no voice to read with.", timeout=5000)  # fmt: skip
    context.close()


def test_print_leaves_the_way_on_out_and_keeps_the_drawings(
    browser: Browser, host: str, guides: dict[str, Path]
) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"{host}/g/{guides[HOUSE].name}/round/kitchen/")
    page.emulate_media(media="print")
    assert page.locator(".stop-steps").is_hidden()
    assert page.locator("[data-round-tools]").is_hidden()
    assert page.locator(".stop-drawn svg").count() >= 4
    context.close()


# On paper


def test_the_booklet_begins_each_stop_on_a_panel_of_its_own(homes: Preparation) -> None:
    prepared = homes.plots[HOUSE]
    ((_, pdf),) = PrintingHouse(homes, DAY).set(prepared, ("walk",))
    document = pypdfium2.PdfDocument(pdf)
    panels = [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    width, height = document[0].get_size()
    assert (round(width), round(height)) == (420, 595)
    pages = stops(prepared.guide.pages)
    begin = [index for index, text in enumerate(panels) if re.match(r"Stop \d+ of \d+ ", text)]
    assert len(begin) == len(pages)
    for index, page in zip(begin, pages, strict=True):
        values = page.values
        assert panels[index].startswith(
            f"Stop {values['number']} of {values['count']} {values['name']}"
        )
    whole = " ".join(panels)
    for page in pages:
        for view in page.values["views"]:
            for item in view.items:
                assert " ".join(item.say.split()) in whole, (page.id, item.title)
    again = PrintingHouse(homes, DAY).set(prepared, ("walk",))
    assert next(again)[1] == pdf
