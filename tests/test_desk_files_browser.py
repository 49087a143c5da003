"""The rooms over files in a real browser: with the keyboard alone, without a script, on a telephone
without signal; and every page as axe-core, a telephone and a wide screen see it."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Error, Page, expect, sync_playwright

from tests.broken_workspaces import run
from tests.chromium import CHROMIUM, FLAGS
from tests.desk.colleague import Colleague
from tests.desk.desks import COTTAGE, opened, whole
from tests.desk.soundness import NARROW, faults
from tests.test_browser import Visit
from tests.test_desk_attacks import PASSWORD, team
from tests.test_desk_browser import visited

ARTICLE = "content/articles/water-off.md"
CAMERA = ["--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream"]
READS = """
window.seen = "";
window.BarcodeDetector = class { async detect() { return window.seen ? [{rawValue: window.seen}] : []; } };
"""
"""Stands for the reader of symbols, which Chromium has on telephones alone."""
PAGES = {
    "history": "/history",
    "find and recall": "/recall?kind=stopcock",
    "articles": "/articles",
    "an article": "/articles/water-off",
    "front matter": "/articles/water-off/front-matter",
    "plots on site": "/on-site",
    "stickers on site": "/on-site/riverside/02",
    "house types": "/house-types",
    "a house type": "/house-types/cottage",
    "a model": "/house-types-from-models",
}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=[*FLAGS, *CAMERA])
        yield browser
        browser.close()


def cottage(folder: Path) -> Path:
    """The cottage with stickers on three pieces, issued, and with a mistake on its plan."""
    root = folder / "cottage"
    shutil.copytree(COTTAGE, root)
    file = root / "housetypes/cottage.yaml"
    text = file.read_text()
    for piece in ("consumer-unit", "kitchen-fan"):
        text = text.replace(f"{piece}: {{kind", f"{piece}: {{sticker: standard, kind")
    file.write_text(text)
    article = root / "content/articles/water-off.md"
    article.write_text(article.read_text().replace("reviewed: 2026-09-01", "reviewed: 2026-02-01"))
    done = run("stickers", "issue", "riverside/01", "riverside/02", "--date", "2026-02-20", "--workspace", str(root))  # fmt: skip
    assert done.exit_code == 0, done.output
    return root


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One workspace for all tests here: each leaves it as it was, or works on a plot of its own."""
    return cottage(tmp_path_factory.mktemp("desk"))


@pytest.fixture(scope="module")
def desk(root: Path) -> Iterator[str]:
    with opened(root) as address:
        whole(address)
        yield address


def record_of(root: Path, plot: str) -> str:
    """What the file of a plot says."""
    return (root / f"developments/riverside/plots/{plot}.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", PAGES)
def test_each_page_is_sound(name: str, browser: Browser, desk: str) -> None:
    assert faults(browser, desk, PAGES[name]) == []


def test_an_article_is_corrected_looked_up_and_taken_back(
    browser: Browser, desk: str, root: Path
) -> None:
    before = (root / ARTICLE).read_text()
    page = visited(browser)
    page.goto(desk)
    someone = Colleague(page, keyboard=True)
    someone.follow("Articles", inside="Rooms")
    someone.follow("Turn off your water")
    someone.write("Title", "Stop your water")
    someone.write("Summary, in one sentence", "Normally where your stopcock is.")
    someone.read("'Normally' leaves the reader to find out")
    someone.write("Summary, in one sentence", "Where it stops.")
    expect(page.locator("[data-tried]")).to_contain_text("The check has nothing against it.", timeout=60_000)  # fmt: skip
    shown = page.frame_locator("iframe[data-shown]")
    expect(shown.get_by_role("heading", name="Stop your water")).to_be_visible(timeout=60_000)
    someone.write("Why it is changed", "Shorter")
    someone.press("Save")
    someone.read("Saved.")
    assert (root / ARTICLE).read_text() == before.replace("Turn off your water", "Stop your water").replace("Where your stopcock is.", "Where it stops.")  # fmt: skip
    someone.follow("History of this article")
    someone.follow("Shorter")
    someone.read("put in")
    someone.write("Why", "The other title was right")
    someone.press("Take this save back")
    someone.read("Taken back")
    assert (root / ARTICLE).read_text() == before
    page.context.close()


def test_a_recall_finds_the_homes_and_writes_to_their_owners(
    browser: Browser, desk: str, tmp_path: Path
) -> None:
    page = visited(browser)
    page.goto(f"{desk}/recall")
    page.get_by_role("option", name="Stopcock").wait_for(state="attached", timeout=60_000)
    someone = Colleague(page, keyboard=True)
    someone.choose("Kind", "Stopcock")
    someone.press("Find")
    someone.read("2 homes of 2 have it")
    with someone.getting(tmp_path) as tables:
        someone.follow("Table for a spreadsheet")
    assert tables[0].read_text("utf-8-sig").count("riverside/") == 2
    someone.press("Make 2 letters")
    someone.read("2 letters, one for each home.")
    with someone.getting(tmp_path) as letters:
        someone.follow("Save the file: recall-letters.pdf")
    assert letters[0].read_bytes().startswith(b"%PDF-")
    page.context.close()


def codes(page: Page) -> dict[str, str]:
    return {str(each.get_attribute("data-place")): str(each.get_attribute("data-code")) for each in page.locator("[data-place]").all()}  # fmt: skip


def test_stickers_are_scanned_without_signal_and_sent_later(
    browser: Browser, desk: str, root: Path
) -> None:
    place = "/on-site/riverside/02"
    page = visited(browser, NARROW)
    page.goto(desk + place)
    someone, wanted = Colleague(page, keyboard=True), codes(page)
    assert len(wanted) == 3
    page.evaluate("navigator.serviceWorker.ready")
    page.wait_for_function(f"caches.match('{place}').then(found => !!found)", timeout=60_000)
    page.context.set_offline(True)
    page.reload()
    first, second, third = wanted.values()
    someone.write("Or the code that is printed on it", second)
    someone.press("Check this sticker")
    someone.read("NO: wrong sticker")
    assert "this sticker is for" in page.locator(".verdict.wrong").inner_text().lower()
    someone.write("Or the code that is printed on it", first.lower())
    someone.press("Check this sticker")
    someone.read("RIGHT")
    someone.read("1 scanned and kept on this telephone")
    assert "found" not in record_of(root, "02")
    page.reload()
    someone.read("1 scanned and kept on this telephone")
    page.context.set_offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.locator("[data-signal]")).to_be_hidden(timeout=60_000)
    name = next(iter(wanted))
    assert f"found: {{{name}: " in record_of(root, "02")
    for code in (second, third):
        someone.write("Or the code that is printed on it", code)
        someone.press("Check this sticker")
        someone.read("RIGHT")
    page.wait_for_function("!document.querySelector('[data-place]:not([data-found])')")
    expect(page.locator("[data-signal]")).to_be_hidden(timeout=60_000)
    page.reload()
    someone.read("ALL SCANNED")
    assert "scanned: " in record_of(root, "02")
    page.context.close()


@pytest.mark.parametrize("leaving", ["by its own button", "on another telephone"])
def test_no_page_of_stickers_opens_once_nobody_is_signed_in(
    leaving: str, browser: Browser, tmp_path: Path
) -> None:
    mine = cottage(tmp_path)
    place = "/on-site/riverside/02"
    with opened(mine, accounts=team(mine)) as address:
        page = visited(browser, NARROW)
        page.goto(f"{address}{place}")
        page.get_by_label("Name").fill("ada")
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        page.wait_for_url(f"**{place}")
        page.evaluate("navigator.serviceWorker.ready")
        kept = f"caches.match('{place}').then(found => !!found)"
        page.wait_for_function(kept, timeout=60_000)
        if leaving == "by its own button":
            page.get_by_role("button", name="Sign out").click()
        else:
            page.context.clear_cookies()
            page.goto(f"{address}{place}")
        page.wait_for_url("**/sign-in**")
        page.wait_for_function(f"{kept}.then(found => !found)", timeout=60_000)
        page.context.set_offline(True)
        with pytest.raises(Error, match=r"ERR_INTERNET_DISCONNECTED|ERR_FAILED"):
            page.goto(f"{address}{place}")
        page.context.close()


def test_every_room_does_its_job_without_a_script(browser: Browser, desk: str, root: Path) -> None:
    before = (root / ARTICLE).read_text()
    with Visit(browser, NARROW, "light", script=False) as visit:
        page = visit.page
        page.goto(f"{desk}/articles/water-off")
        page.get_by_label("Title").fill("Stop your water")
        page.get_by_role("button", name="Try: look at it first").click()
        expect(page.locator("#tried")).to_contain_text("The check has nothing against it.")
        page.get_by_role("button", name="Save", exact=True).click()
        page.get_by_text("Saved.").wait_for()
        page.goto(f"{desk}/on-site/riverside/01")
        wanted = codes(page)
        name, code = list(wanted.items())[1]
        page.locator(f"[data-place='{name}']").get_by_role("link").click()
        page.get_by_label("Or the code that is printed on it").fill(code)
        page.get_by_role("button", name="Check this sticker").click()
        page.locator(".verdict.right").wait_for()
        assert f"found: {{{name}" in record_of(root, "01")
        page.goto(f"{desk}/history")
        page.get_by_role("link", name="Scanned where it sticks").first.click()
        page.get_by_role("button", name="Take this save back").click()
        page.get_by_text("Taken back, by a save").wait_for()
    assert not (root / "developments/riverside/plots/01.yaml").exists()
    assert (root / ARTICLE).read_text() == before.replace("Turn off your water", "Stop your water")


def test_the_camera_reads_the_sticker_where_the_browser_can(
    browser: Browser, desk: str, root: Path
) -> None:
    page = visited(browser, NARROW)
    page.add_init_script(READS)
    page.goto(f"{desk}/on-site/riverside/01")
    first, second, _ = codes(page).values()
    page.get_by_role("button", name="Scan with the camera").click()
    page.evaluate(f"window.seen = 'HTTPS://GUIDES.EXAMPLE/Q/{second}'")
    page.locator(".verdict.wrong").wait_for()
    page.evaluate("window.seen = ''")
    page.get_by_role("button", name="Scan with the camera").click()
    page.evaluate(f"window.seen = 'HTTPS://GUIDES.EXAMPLE/Q/{first}'")
    page.locator(".verdict.right").wait_for()
    expect(page.locator("[data-signal]")).to_be_hidden(timeout=60_000)
    assert "found: {" in record_of(root, "01")
    page.context.close()
