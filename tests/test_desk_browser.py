"""What a colleague does at the desk who has never seen a file of data: in Chromium, with the keyboard
alone; and every page as axe-core, a telephone and a wide screen see it."""

import json
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from playwright.sync_api import Browser, Page, expect

from tests.conftest import PROJECT
from tests.demonstrations import signed, whole_record, workspace_sheet
from tests.desk.colleague import Colleague
from tests.desk.desks import COTTAGE, copy_of, opened, whole
from tests.desk.soundness import NARROW, WIDE, faults
from tests.test_browser import Visit

DAY = date(2026, 6, 10)
DEMO_PLOT, DEMO_PLOTS = "mill-lane/07", ("04", "07", "08")
PLOT, FILE = "riverside/02", "developments/riverside/plots/02.yaml"
TABLE = "developments/riverside/plots.csv"
PAGES = {
    "today": "/",
    "a plot": f"/plots/{DEMO_PLOT}",
    "options and departures": f"/plots/{DEMO_PLOT}/changes",
    "a departure": f"/plots/{DEMO_PLOT}/departure?thing=equipment.stopcock",
    "the record": f"/plots/{DEMO_PLOT}/record",
    "photographs": f"/plots/{DEMO_PLOT}/photographs",
    "stickers and papers": f"/plots/{DEMO_PLOT}/papers",
    "next owner": f"/plots/{DEMO_PLOT}/owner",
    "a spreadsheet": "/spreadsheet",
    "release": "/release",
    "work": "/jobs",
    "no page": "/no-such-page",
}
NOT_FOUND = "Failed to load resource: the server responded with a status of 404 (Not Found)"


def mill_lane(folder: Path) -> Path:
    """Three plots of one development of the demo. The register has codes of the others: the pages tell
    of that mistake."""
    root = folder / "orrinford"
    for name in ("housetypes", "content", "developments/mill-lane"):
        shutil.copytree(PROJECT / name, root / name)
    table = root / "developments/mill-lane/plots.csv"
    head, *rows = table.read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [each for each in rows if each.split(",")[0] in DEMO_PLOTS]
    table.write_text("".join((head, *kept)), encoding="utf-8")
    for file in (root / "developments/mill-lane/plots").glob("*.yaml"):
        if file.stem not in DEMO_PLOTS:
            file.unlink()
    return root


def visited(browser: Browser, size: tuple[int, int] = WIDE) -> Page:
    width, height = size
    context = browser.new_context(
        viewport={"width": width, "height": height}, locale="en-GB", accept_downloads=True
    )
    page = context.new_page()
    page.set_default_timeout(120_000)
    return page


@pytest.mark.parametrize("name", PAGES)
def test_each_page_is_sound(name: str, browser: Browser, demo_desk: str) -> None:
    assert faults(browser, demo_desk, PAGES[name], [NOT_FOUND] if name == "no page" else []) == []


def test_the_page_of_a_home_is_sound(browser: Browser, desk: str) -> None:
    """Of the cottage: axe-core looks at every value, and a demo home has ten times as many, all alike."""
    assert faults(browser, desk, f"/plots/{PLOT}/home") == []


@pytest.fixture(scope="module")
def demo_desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with opened(mill_lane(tmp_path_factory.mktemp("demo")), DAY) as address:
        whole(address)
        yield address


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The cottage with two colleagues' plots, which all tests below change one after the other."""
    return copy_of(COTTAGE, tmp_path_factory.mktemp("cottage"))


@pytest.fixture(scope="module")
def desk(root: Path) -> Iterator[str]:
    with opened(root, DAY) as address:
        yield address


def spreadsheet_of_ten(file: Path) -> Path:
    """The sales team's table: ten more plots, with titles above and headings of their own."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Sales at Riverside, phase 2"])
    sheet.append(["Plot no", "Address", "Postcode", "House type", "Hand", "Options", "Completion date", "Buyer"])  # fmt: skip
    for number in range(15, 25):
        sheet.append([str(number), f"{number} Sedge Way, Anytown", "ZZ99 9ZZ", "Cottage", "as drawn", "", date(2026, 9, 1), "A name"])  # fmt: skip
    book.save(file)
    return file


def test_a_colleague_publishes_prints_brings_in_shows_and_hands_over(
    browser: Browser, desk: str, root: Path, tmp_path: Path
) -> None:
    page = visited(browser)
    page.goto(desk)
    someone = Colleague(page, keyboard=True)
    an_option_and_a_departure(someone, root)
    published(someone, root)
    stickers(someone, tmp_path)
    ten_plots(someone, root, tmp_path)
    demonstrated_and_handed_over(someone, root, tmp_path)
    page.context.close()


def an_option_and_a_departure(someone: Colleague, root: Path) -> None:
    table, file = root / TABLE, root / FILE
    before = table.read_text(encoding="utf-8").splitlines()
    someone.follow("riverside/01")
    someone.follow("Options and departures", inside="Pages of this plot")
    someone.tick("Car charger A charger on the front wall.")
    someone.press("Save the options")
    someone.read(f"Done. Saved in {TABLE}.")
    after = table.read_text(encoding="utf-8").splitlines()
    assert [(a, b) for a, b in zip(before, after, strict=True) if a != b] == [
        ("01,1 Riverside,ZZ99 9ZZ,cottage,as-drawn,,2026-03-31", "01,1 Riverside,ZZ99 9ZZ,cottage,as-drawn,car-charger,2026-03-31")
    ]  # fmt: skip

    someone.follow("Today", inside="Rooms")
    someone.follow(PLOT)
    someone.follow("Options and departures", inside="Pages of this plot")
    someone.choose("What is different here?", "Consumer unit")
    someone.press("Write how")
    someone.write("Place", "behind the door, on the left")
    someone.write("Why is it different?", "A duct was in the way.")
    someone.write("Since", "2026-06-09")
    someone.press("Save the departure")
    someone.read("'left' would be wrong in the plots of the other hand.")
    someone.write("Place", "behind the door, high on the {left}")
    someone.press("Try first: what would change?")
    someone.read("Tried, and not saved yet.")
    someone.read("Consumer unit: changed")
    assert "A duct" not in file.read_text(encoding="utf-8")
    someone.press("Save the departure")
    someone.read(f"The departure is saved in {FILE}.")
    text = file.read_text(encoding="utf-8")
    assert "behind the door, high on the {left}" in text
    assert "A duct was in the way." in text


def published(someone: Colleague, root: Path) -> None:
    someone.follow("Overview", inside="Pages of this plot")
    frame = someone.page.frame_locator("iframe")
    frame.get_by_role("heading", name="2 Riverside").wait_for()
    someone.press("Publish")
    someone.read("1 guide published")
    (guide,) = (root / "public/g").iterdir()
    assert "high on the right" in (guide / "equipment/consumer-unit/index.html").read_text("utf-8")
    someone.follow("Back")
    someone.read("Up to date.")


def stickers(someone: Colleague, folder: Path) -> None:
    someone.follow("Stickers and papers", inside="Pages of this plot")
    name = someone.page.get_by_role("button", name="Issue").inner_text()
    someone.press(name)
    someone.read("issued.")
    with someone.getting(folder) as files:
        someone.press("Print the stickers")
    assert files[0].name == "riverside_02-stickers.pdf"
    assert files[0].read_bytes().startswith(b"%PDF")


def ten_plots(someone: Colleague, root: Path, folder: Path) -> None:
    someone.follow("Spreadsheet", inside="Rooms")
    someone.bring("Spreadsheet", spreadsheet_of_ten(folder / "sales.xlsx"))
    someone.press("Look at it", exact=False)
    someone.read("What each row would do")
    table = root / TABLE
    assert "Sedge Way" not in table.read_text(encoding="utf-8")
    someone.press("The columns are right: write all rows")
    someone.read("10 plots of riverside written")
    assert table.read_text(encoding="utf-8").count("Sedge Way") == 10
    assert "A name" not in table.read_text(encoding="utf-8")


def demonstrated_and_handed_over(someone: Colleague, root: Path, folder: Path) -> None:
    record = folder / "tablet.json"
    shown = {**whole_record(workspace_sheet(root, PLOT)), "day": "2026-06-09"}
    record.write_text(signed(shown), encoding="utf-8")
    someone.write("Plot, address or house type", "riverside/02")
    someone.press("Show")
    someone.follow(PLOT)
    someone.follow("Stickers and papers", inside="Pages of this plot")
    someone.bring("The file that the tablet exported", record)
    someone.press("Keep the record")
    someone.read("The record is kept")
    kept = list((root / "developments/riverside/records/02").glob("*.json"))
    assert [json.loads(each.read_text("utf-8"))["day"] for each in kept] == ["2026-06-09"]
    someone.follow("Handover record", inside="Pages of this plot")
    someone.write("Alarms tested", "2026-06-08")
    someone.write("Signed", "2026-06-10")
    someone.press("Save")
    someone.read(f"Saved in {FILE}.")
    someone.follow("Overview", inside="Pages of this plot")
    someone.read("handed over")
    someone.read("10 June 2026")


def test_a_job_is_done_without_any_script(browser: Browser, desk: str, root: Path) -> None:
    with Visit(browser, NARROW, "light", script=False) as visit:
        page = visit.page
        page.set_default_timeout(120_000)
        page.goto(f"{desk}/plots/riverside/01/changes")
        page.get_by_label("Legal completion").fill("2026-07-03")
        page.get_by_role("button", name="Save the day").click()
        page.get_by_text(f"Saved in {TABLE}.").wait_for()
        page.get_by_label("I am").select_option("sales")
        page.get_by_role("button", name="Change", exact=True).click()
        assert page.get_by_label("I am").input_value() == "sales"
        page.goto(f"{desk}/plots/riverside/01")
        with page.expect_navigation():
            page.get_by_role("button", name="Publish").click()
        while "Look again" in page.locator("main").inner_text():
            with page.expect_navigation():
                page.get_by_role("link", name="Look again").click()
        expect(page.locator("main")).to_contain_text("1 guide published")
    assert ",2026-07-03" in (root / TABLE).read_text("utf-8")


def test_two_colleagues_at_one_plot_both_are_heard(browser: Browser, desk: str, root: Path) -> None:
    first, second = visited(browser), visited(browser)
    for page in (first, second):
        page.goto(f"{desk}/plots/riverside/01/record")
    first.get_by_label("Alarms tested", exact=True).fill("2026-06-08")
    first.get_by_role("button", name="Save", exact=True).click()
    first.get_by_text("Saved in").wait_for()
    second.get_by_label("Care call", exact=True).fill("2026-06-09")
    second.get_by_label("Alarms tested", exact=True).fill("2026-06-07")
    second.get_by_role("button", name="Save", exact=True).click()
    second.get_by_text("somebody else has changed the same thing").wait_for()
    row = second.get_by_role("row", name="handover.alarms_tested")
    assert "2026-06-08" in row.inner_text()
    assert "2026-06-07" in row.inner_text()
    file = root / "developments/riverside/plots/01.yaml"
    text = file.read_text(encoding="utf-8")
    assert "alarms_tested: 2026-06-08" in text
    assert "care_call" not in text
    assert second.get_by_label("Care call", exact=True).input_value() == "2026-06-09"
    second.get_by_label("Alarms tested", exact=True).fill("2026-06-08")
    second.get_by_role("button", name="Save", exact=True).click()
    second.get_by_text("Saved in").wait_for()
    text = file.read_text(encoding="utf-8")
    assert "alarms_tested: 2026-06-08" in text
    assert "care_call: 2026-06-09" in text
    for page in (first, second):
        page.context.close()
