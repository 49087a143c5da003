"""The owner's care record in a real browser: kept on this device alone, and never lost."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, expect

from tests.dates import DatedSite, dated_site
from tests.test_browser import PHONE, Visit, kept

TODAY = "2026-05-03"
SERVICE, FROST = "Have it serviced.", "Drain the tap."
KEPT = "Object.fromEntries(Object.entries(localStorage))"
REFUSE = """
Object.defineProperty(window, "localStorage", {
  get() { throw new DOMException("refused", "SecurityError"); }
});
"""


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DatedSite]:
    with dated_site(tmp_path_factory.mktemp("care")) as site:
        yield site


class Care:
    """The page as its owner uses it."""

    def __init__(self, visit: Visit, site: DatedSite, *, undated: bool = False) -> None:
        self.visit, self.page = visit, visit.page
        self.address = f"{site.undated if undated else site.address}/care/"
        self.page.clock.set_fixed_time(f"{TODAY}T12:00:00")
        self.page.on("dialog", lambda dialog: dialog.accept())
        self.page.goto(self.address)

    def task(self, what: str) -> Locator:
        return self.page.locator("li").filter(has=self.page.get_by_text(what, exact=True))

    def tick(self, what: str) -> None:
        self.task(what).get_by_role("button", name="Done today").click()

    def tick_on(self, what: str, day: str, note: str) -> None:
        task = self.task(what)
        task.get_by_text("Another day, or a note").click()
        task.get_by_label("Day it was done").fill(day)
        task.get_by_label("Note, such as who did it").fill(note)
        task.get_by_role("button", name=f"Tick: {what}").click()

    def rows(self) -> list[list[str]]:
        return [
            [row.locator("td").nth(0).inner_text(), row.locator("td").nth(1).inner_text(),
             row.locator("td span").inner_text().strip()]
            for row in self.page.locator(".handover-record tbody tr").all()
        ]  # fmt: skip

    def said(self) -> str:
        return self.page.get_by_role("status").inner_text()

    def save(self, folder: Path) -> Path:
        with self.page.expect_download() as saved:
            self.page.get_by_role("button", name="Save as a file").click()
        path = folder / saved.value.suggested_filename
        saved.value.save_as(path)
        return path

    def open(self, path: Path) -> str:
        self.page.get_by_role("status").evaluate("each => { each.textContent = ''; }")
        self.page.get_by_label("Open a saved file").set_input_files(path)
        self.page.wait_for_timeout(200)
        return self.said()


def settled(visit: Visit) -> None:
    """Wait until the page has asked for all that it asks for by itself."""
    kept(visit)
    visit.page.wait_for_load_state("networkidle")


def test_a_tick_stays_on_this_device(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        settled(visit)
        before = len(visit.requests)
        care.tick(SERVICE)
        assert care.said() == "Ticked: Have it serviced. 3 May 2026."
        care.tick_on(SERVICE, "2026-04-30", "Tarn Heating, report 12")
        wanted = [
            ["30 April 2026", SERVICE, "Tarn Heating, report 12"],
            ["3 May 2026", SERVICE, ""],
        ]
        assert care.rows() == wanted
        assert "Last done on 3 May 2026." in care.task(SERVICE).inner_text()
        assert len(visit.requests) == before, "nothing was asked of anyone"
        assert visit.page.evaluate("document.cookie") == ""
        visit.page.reload()
        assert care.rows() == wanted
        assert visit.complaints == []


def test_ticking_twice_counts_once(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        care.tick(FROST)
        care.tick(FROST)
        assert care.rows() == [["3 May 2026", FROST, ""]]


def test_each_guide_has_a_record_of_its_own(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        Care(visit, site).tick(FROST)
        other = Care(visit, site, undated=True)
        assert other.rows() == []
        other.tick(SERVICE)
        keys = visit.page.evaluate(f"Object.keys({KEPT})")
        codes = {site.address.rsplit("/", 1)[1], site.undated.rsplit("/", 1)[1]}
        assert {key.split("/")[2] for key in keys if "care" in key} == codes


def test_a_record_moves_to_another_device_and_nothing_is_lost(
    browser: Browser, site: DatedSite, tmp_path: Path
) -> None:
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        care.tick(SERVICE)
        care.tick_on(FROST, "2026-04-01", "")
        saved = care.save(tmp_path)
        assert saved.name == "care-record-2026-05-03.json"
    written = json.loads(saved.read_text(encoding="utf-8"))
    assert (written["kind"], written["version"]) == ("handover-care-record", 1)
    assert [each["day"] for each in written["done"]] == ["2026-04-01", "2026-05-03"]
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        care.tick(SERVICE)
        care.tick_on(SERVICE, "2026-02-02", "on the old telephone")
        settled(visit)
        before = len(visit.requests)
        assert care.open(saved) == "1 added, 1 here already."
        assert care.rows() == [
            ["2 February 2026", SERVICE, "on the old telephone"],
            ["1 April 2026", FROST, ""],
            ["3 May 2026", SERVICE, ""],
        ]
        assert care.open(saved) == "0 added, 2 here already."
        assert len(visit.requests) == before


def test_what_a_later_guide_no_longer_asks_for_stays_in_the_record(
    browser: Browser, site: DatedSite, tmp_path: Path
) -> None:
    old = {
        "task": "task.gone.old.rhythm",
        "what": "Sweep the flue.",
        "day": "2025-12-24",
        "note": "",
    }
    path = tmp_path / "old.json"
    path.write_text(json.dumps({"kind": "handover-care-record", "version": 1, "done": [old]}))
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        assert care.open(path) == "1 added, 0 here already."
        assert care.rows() == [["24 December 2025", "Sweep the flue.", ""]]
        again = json.loads(care.save(tmp_path).read_text(encoding="utf-8"))
        assert again["done"] == [old]


def right(**changes: object) -> dict[str, object]:
    return {"task": "t", "what": "Do it.", "day": "2026-04-01", "note": "", **changes}


REFUSED: tuple[tuple[str | list[object], str], ...] = (
    ("not json", "This file is not a care record."),
    ("[]", "This file is not a care record."),
    ("null", "This file is not a care record."),
    ('{"kind": "other", "version": 1, "done": []}', "This file is not a care record."),
    (
        '{"kind": "handover-care-record", "version": 2, "done": []}',
        "This care record is of another version, and this page cannot read it.",
    ),
    ('{"kind": "handover-care-record", "version": 1}', "This care record holds no list."),
    ([right(), right(day="2026-02-30")], "Line 2 of this care record cannot be read."),
    ([right(day="yesterday")], "Line 1 of this care record cannot be read."),
    ([right(task="")], "Line 1 of this care record cannot be read."),
    ([right(note=7)], "Line 1 of this care record cannot be read."),
    ([right(what="x" * 1001)], "Line 1 of this care record cannot be read."),
    ([None], "Line 1 of this care record cannot be read."),
    (" " * 1_000_001, "This file is too large to be a care record."),
)
"""Each file with one thing wrong, and what the page says of it."""


def test_a_file_that_is_no_record_changes_nothing(
    browser: Browser, site: DatedSite, tmp_path: Path
) -> None:
    path = tmp_path / "file.json"
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        care.tick(SERVICE)
        for text, said in REFUSED:
            record = {"kind": "handover-care-record", "version": 1, "done": text}
            path.write_text(text if isinstance(text, str) else json.dumps(record), encoding="utf-8")
            assert care.open(path) == said, str(text)[:40]
            assert care.rows() == [["3 May 2026", SERVICE, ""]], str(text)[:40]
        assert visit.complaints == []


def test_words_of_a_file_stay_words(browser: Browser, site: DatedSite, tmp_path: Path) -> None:
    path = tmp_path / "file.json"
    nasty = right(what="<img src=x onerror=alert(1)>", note="<b>bold</b>")
    path.write_text(json.dumps({"kind": "handover-care-record", "version": 1, "done": [nasty]}))
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        care.open(path)
        assert care.rows() == [["1 April 2026", "<img src=x onerror=alert(1)>", "<b>bold</b>"]]
        assert visit.page.locator(".handover-record img, .handover-record b").count() == 0
        assert visit.complaints == []


def test_storage_refused(browser: Browser, site: DatedSite, tmp_path: Path) -> None:
    """A browser that keeps nothing: ticking, printing and saving work, and the page says so.

    The theme's own script complains of the refusal on every page; ours does not.
    """
    with Visit(browser, PHONE, "light") as visit:
        visit.context.add_init_script(REFUSE)
        care = Care(visit, site)
        assert "keeps nothing" in care.said()
        care.tick(SERVICE)
        assert "keeps nothing" in care.said()
        assert care.rows() == [["3 May 2026", SERVICE, ""]]
        saved = care.save(tmp_path)
        visit.page.reload()
        assert care.rows() == []
        assert care.open(saved).startswith("1 added, 0 here already.")
        assert not [each for each in visit.complaints if "refused" not in each]


def test_what_cannot_be_read_is_set_aside(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        care.tick(SERVICE)
        key = visit.page.evaluate(
            "Object.keys(localStorage).find(key => key.includes('care-record'))"
        )
        visit.page.evaluate("key => localStorage.setItem(key, '{broken')", key)
        visit.page.reload()
        assert "set aside" in care.said()
        care.tick(FROST)
        assert care.rows() == [["3 May 2026", FROST, ""]]
        assert visit.page.evaluate(KEPT)[f"{key} set aside"] == "{broken"


def test_taking_out_and_forgetting(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        care.tick(SERVICE)
        care.tick(FROST)
        visit.page.get_by_role("button", name=f"Take out: {FROST}, 3 May 2026").click()
        assert care.rows() == [["3 May 2026", SERVICE, ""]]
        assert visit.page.evaluate("document.activeElement.hasAttribute('data-care-status')")
        visit.page.get_by_role("button", name="Forget everything on this device").click()
        assert care.rows() == []
        assert care.said() == "Everything on this device is forgotten."
        assert not [key for key in visit.page.evaluate(KEPT) if "care" in key]
        visit.page.reload()
        assert care.rows() == []


def test_two_windows_of_one_guide_agree(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        second = visit.context.new_page()
        second.goto(care.address)
        care.tick(SERVICE)
        second.get_by_text("Have it serviced.").first.wait_for()
        second.locator(".handover-record tbody tr").first.wait_for()
        second.locator("li").filter(has=second.get_by_text(FROST, exact=True)).get_by_role(
            "button", name="Done today"
        ).click()
        assert second.locator(".handover-record tbody tr").count() == 2


def test_the_service_record_prints(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        care.tick(SERVICE)
        visit.page.emulate_media(media="print")
        expect(visit.page.locator(".handover-record")).to_be_visible()
        expect(visit.page.get_by_text("Plot 01, 1 Riverside").last).to_be_visible()
        for hidden in (".handover-care", "[data-care-tools]", ".handover-record button"):
            assert not visit.page.locator(hidden).first.is_visible(), hidden


def test_without_script_the_page_is_for_paper(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light", script=False) as visit:
        visit.page.goto(f"{site.address}/care/")
        expect(visit.page.get_by_text("Ticking needs script")).to_be_visible()
        expect(visit.page.get_by_text(SERVICE)).to_be_visible()
        assert visit.page.locator("button:visible").count() == 0 or (
            visit.page.locator("main button:visible").count() == 0
        )
        visit.page.emulate_media(media="print")
        expect(visit.page.locator(".handover-paper").first).to_be_visible()


def test_targets_are_large_and_the_keyboard_ticks(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        care.tick(FROST)
        visit.page.locator("summary").first.click()
        targets = visit.page.locator(
            "main button:visible, main summary:visible, main input:visible"
        )
        assert targets.count() > 30
        for target in targets.all():
            assert (target.bounding_box() or {})["height"] >= 44, target.inner_text()
        button = care.task(SERVICE).get_by_role("button", name="Done today")
        button.focus()
        visit.page.keyboard.press("Enter")
        assert ["3 May 2026", SERVICE, ""] in care.rows()
        assert button.evaluate("each => each === document.activeElement"), "focus stays"


def test_it_works_without_a_network(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        care = Care(visit, site)
        settled(visit)
        visit.page.reload()
        settled(visit)
        visit.context.set_offline(True)
        visit.page.reload()
        care.tick(SERVICE)
        assert care.rows() == [["3 May 2026", SERVICE, ""]]
