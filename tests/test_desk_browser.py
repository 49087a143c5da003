"""What a colleague does at the desk who has never seen a file of data: in Chromium, with a mouse and
with the keyboard alone; and every page as axe-core, a telephone and a wide screen see it."""

import json
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from playwright.sync_api import Browser, Page

from tests.chromium import AXE
from tests.conftest import PROJECT
from tests.demonstrations import signed, whole_record, workspace_sheet
from tests.desk.colleague import Colleague
from tests.desk.desks import opened
from tests.test_browser import Visit

DAY = date(2026, 6, 10)
PLOT = "mill-lane/07"
WIDE, NARROW = (1280, 900), (390, 844)
SCREENS = {"wide": WIDE, "telephone": NARROW}
PAGES = {
    "today": "/",
    "a plot": f"/plots/{PLOT}",
    "its home": f"/plots/{PLOT}/home",
    "options and departures": f"/plots/{PLOT}/changes",
    "a departure": f"/plots/{PLOT}/departure?thing=equipment.stopcock",
    "the record": f"/plots/{PLOT}/record",
    "photographs": f"/plots/{PLOT}/photographs",
    "stickers and papers": f"/plots/{PLOT}/papers",
    "next owner": f"/plots/{PLOT}/owner",
    "a spreadsheet": "/spreadsheet",
    "release": "/release",
    "work": "/jobs",
    "no page": "/no-such-page",
}


def mill_lane(folder: Path) -> Path:
    """One development of the demo, to change."""
    root = folder / "orrinford"
    for name in ("housetypes", "content"):
        shutil.copytree(PROJECT / name, root / name)
    shutil.copytree(PROJECT / "developments/mill-lane", root / "developments/mill-lane")
    return root


def visited(browser: Browser, size: tuple[int, int] = WIDE) -> Page:
    width, height = size
    context = browser.new_context(
        viewport={"width": width, "height": height}, locale="en-GB", accept_downloads=True
    )
    return context.new_page()


def spreadsheet_of_ten(root: Path, file: Path) -> Path:
    """The sales team's table: ten more plots, with titles above and headings of their own."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Sales at Mill Lane, phase 2"])
    sheet.append(["Plot no", "Address", "Postcode", "House type", "Hand", "Options", "Completion date", "Buyer"])  # fmt: skip
    for number in range(15, 25):
        sheet.append([str(number), f"{number} Sedge Way, Orrinford", "ZZ99 1AC", "Tormentil", "as drawn", "", date(2026, 9, 1), "A name"])  # fmt: skip
    book.save(file)
    return file


@pytest.mark.parametrize("keyboard", [False, True], ids=["mouse", "keyboard alone"])
def test_a_colleague_publishes_prints_brings_in_shows_and_hands_over(
    keyboard: bool, browser: Browser, tmp_path: Path
) -> None:
    root = mill_lane(tmp_path)
    with opened(root, DAY) as desk:
        page = visited(browser)
        page.set_default_timeout(120_000)
        page.goto(desk)
        someone = Colleague(page, keyboard=keyboard)
        an_option_and_a_departure(someone, root)
        published(someone, root)
        stickers(someone, tmp_path)
        ten_plots(someone, root, tmp_path)
        demonstrated_and_handed_over(someone, root, tmp_path)
        page.context.close()


def an_option_and_a_departure(someone: Colleague, root: Path) -> None:
    table = root / "developments/mill-lane/plots.csv"
    before = table.read_text(encoding="utf-8").splitlines()
    someone.follow(PLOT)
    someone.follow("Options and departures", inside="Pages of this plot")
    someone.tick("Boiling water tap A kitchen tap that gives boiling water at once.")
    someone.press("Save the options")
    someone.read("Done. Saved in developments/mill-lane/plots.csv.")
    after = table.read_text(encoding="utf-8").splitlines()
    assert [(a, b) for a, b in zip(before, after, strict=True) if a != b] == [
        (next(each for each in before if each.startswith("07,")), next(each for each in after if each.startswith("07,")))
    ]  # fmt: skip
    assert "car-charger+induction-hob+boiling-tap" in "\n".join(after)

    someone.choose("What is different here?", "Stopcock")
    someone.press("Write how")
    someone.write("Place", "behind the washing machine, on the left")
    someone.write("Why is it different?", "A drain was in the way.")
    someone.write("Since", "2026-06-09")
    someone.press("Save the departure")
    someone.read("'left' would be wrong in the plots of the other hand.")
    someone.write("Place", "behind the washing machine, low on the {left}")
    someone.press("Try first: what would change?")
    someone.read("Tried, and not saved yet.")
    someone.read("Stopcock: changed")
    someone.press("Save the departure")
    someone.read("The departure is saved in developments/mill-lane/plots/07.yaml.")
    text = (root / "developments/mill-lane/plots/07.yaml").read_text(encoding="utf-8")
    assert "behind the washing machine, low on the {left}" in text
    assert "A drain was in the way." in text


def published(someone: Colleague, root: Path) -> None:
    someone.follow("Overview", inside="Pages of this plot")
    frame = someone.page.frame_locator("iframe")
    frame.get_by_role("heading", name="6 Teasel Row").wait_for()
    someone.press("Publish")
    someone.read("1 guide published")
    guides = list((root / "public/g").iterdir())
    assert len(guides) == 1
    assert "low on the" in (guides[0] / "equipment/stopcock/index.html").read_text("utf-8")
    someone.follow("Back")
    someone.read("Up to date.")


def stickers(someone: Colleague, folder: Path) -> None:
    someone.follow("Stickers and papers", inside="Pages of this plot")
    name = someone.page.get_by_role("button", name="Issue").inner_text()
    someone.press(name)
    someone.read("issued.")
    with someone.getting(folder) as files:
        someone.press("Print the stickers")
    assert files[0].name == "mill-lane_07-stickers.pdf"
    assert files[0].read_bytes().startswith(b"%PDF")


def ten_plots(someone: Colleague, root: Path, folder: Path) -> None:
    someone.follow("Spreadsheet", inside="Rooms")
    someone.bring("Spreadsheet", spreadsheet_of_ten(root, folder / "sales.xlsx"))
    someone.press("Look at it", exact=False)
    someone.read("What each row would do")
    table = root / "developments/mill-lane/plots.csv"
    assert "Sedge Way" not in table.read_text(encoding="utf-8")
    someone.press("The columns are right: write all rows")
    someone.read("10 plots of mill-lane written")
    assert table.read_text(encoding="utf-8").count("Sedge Way") == 10
    assert "A name" not in table.read_text(encoding="utf-8")


def demonstrated_and_handed_over(someone: Colleague, root: Path, folder: Path) -> None:
    record = folder / "tablet.json"
    shown = {**whole_record(workspace_sheet(root, PLOT)), "day": "2026-06-09"}
    record.write_text(signed(shown), encoding="utf-8")
    someone.write("Plot, address or house type", "07")
    someone.press("Show")
    someone.follow(PLOT)
    someone.follow("Stickers and papers", inside="Pages of this plot")
    someone.bring("The file that the tablet exported", record)
    someone.press("Keep the record")
    someone.read("The record is kept")
    kept = list((root / "developments/mill-lane/records/07").glob("*.json"))
    assert [json.loads(each.read_text("utf-8"))["day"] for each in kept] == ["2026-06-09"]
    someone.follow("Handover record", inside="Pages of this plot")
    someone.write("Alarms tested", "2026-06-08")
    someone.write("Signed", "2026-06-10")
    someone.press("Save")
    someone.read("Saved in developments/mill-lane/plots/07.yaml.")
    someone.follow("Overview", inside="Pages of this plot")
    someone.read("handed over")
    someone.read("10 June 2026")


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with opened(mill_lane(tmp_path_factory.mktemp("desk")), DAY) as address:
        yield address


@pytest.mark.parametrize(("screen", "scheme"), [("wide", "light"), ("telephone", "dark")])
@pytest.mark.parametrize("name", PAGES)
def test_each_page_is_sound(name: str, screen: str, scheme: str, browser: Browser, desk: str) -> None:  # fmt: skip
    """axe-core finds nothing, no page scrolls sideways, nobody else is asked, the policy refuses nothing."""
    size = SCREENS[screen]
    with Visit(browser, size, scheme) as visit:
        visit.page.set_default_timeout(120_000)
        visit.page.goto(f"{desk}{PAGES[name]}", wait_until="load")
        wanted = {"no page": ["Failed to load resource: the server responded with a status of 404 (Not Found)"]}  # fmt: skip
        assert visit.complaints == wanted.get(name, [])
        assert [url for url in visit.requests if not url.startswith((desk, "data:"))] == []
        assert visit.page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert violations(browser, f"{desk}{PAGES[name]}", size, scheme) == []


def violations(browser: Browser, url: str, size: tuple[int, int], scheme: str) -> list[str]:
    """What axe-core finds in a page of the desk. A guide beside it has tests of its own."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme="dark" if scheme == "dark" else "light", bypass_csp=True,
    )  # fmt: skip
    page = context.new_page()
    page.set_default_timeout(120_000)
    page.goto(url, wait_until="load")
    page.add_script_tag(path=str(AXE))
    found = page.evaluate("axe.run({exclude: ['iframe']}, {iframes: false, rules: {'target-size': {enabled: true}}})")  # fmt: skip
    context.close()
    return [f"{each['id']}: {node['target']} {node['html'][:120]}" for each in found["violations"] for node in each["nodes"]]  # fmt: skip


def test_a_job_is_done_without_any_script(browser: Browser, tmp_path: Path) -> None:
    root = mill_lane(tmp_path)
    with opened(root, DAY) as desk, Visit(browser, NARROW, "light", script=False) as visit:
        page = visit.page
        page.set_default_timeout(120_000)
        page.goto(f"{desk}/plots/{PLOT}/changes")
        page.get_by_label("Legal completion").fill("2026-07-03")
        page.get_by_role("button", name="Save the day").click()
        page.get_by_text("Saved in developments/mill-lane/plots.csv.").wait_for()
        page.get_by_label("I am").select_option("sales")
        page.get_by_role("button", name="Change", exact=True).click()
        assert page.get_by_label("I am").input_value() == "sales"
        page.goto(f"{desk}/plots/{PLOT}")
        page.get_by_role("button", name="Publish").click()
        for _ in range(120):
            if page.get_by_text("1 guide published").count():
                break
            page.wait_for_timeout(500)
            page.reload()
        assert page.get_by_text("1 guide published").count() == 1
    assert ",2026-07-03," in (root / "developments/mill-lane/plots.csv").read_text("utf-8")


def test_two_colleagues_at_one_plot_both_are_heard(browser: Browser, tmp_path: Path) -> None:
    root = mill_lane(tmp_path)
    with opened(root, DAY) as desk:
        first, second = visited(browser), visited(browser)
        for page in (first, second):
            page.set_default_timeout(120_000)
            page.goto(f"{desk}/plots/{PLOT}/record")
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
        text = (root / "developments/mill-lane/plots/07.yaml").read_text(encoding="utf-8")
        assert "alarms_tested: 2026-06-08" in text
        assert "care_call" not in text
        second.get_by_label("Care call", exact=True).fill("2026-06-09")
        second.get_by_role("button", name="Save", exact=True).click()
        second.get_by_text("Saved in").wait_for()
        text = (root / "developments/mill-lane/plots/07.yaml").read_text(encoding="utf-8")
        assert "alarms_tested: 2026-06-08" in text
        assert "care_call: 2026-06-09" in text
        for page in (first, second):
            page.context.close()
