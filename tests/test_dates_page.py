"""The page of dates in a real browser: today's lines without a rebuild, and all dates without script."""

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from bs4 import BeautifulSoup
from playwright.sync_api import Browser, expect

from builder.guide.terms import spoken_day
from tests.dates import DatedSite, dated_site, spans_for_ever
from tests.demo import Demo, served
from tests.test_browser import PHONE, Visit, axe_violations


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DatedSite]:
    with dated_site(tmp_path_factory.mktemp("dates")) as site:
        yield site


def page_text(site: DatedSite) -> str:
    page = BeautifulSoup((site.folder / "dates" / "index.html").read_text(), "lxml")
    return " ".join(page.main.get_text(" ").split()) if page.main else ""


def test_every_date_stands_in_the_page(site: DatedSite) -> None:
    """Read as text, by no browser: the first date of each entry, each cover, and each basis."""
    text = page_text(site)
    schedule = site.schedule
    assert len(schedule.entries) >= 20
    for entry in schedule.entries:
        assert entry.what in text
        if entry.kind in ("closes", "opens"):
            assert entry.first is not None
            assert spoken_day(entry.first) in text
        if entry.kind == "rhythm" and entry.first:
            assert f"first on {spoken_day(entry.first)}" in text
    for line in schedule.clock:
        for period in line.periods:
            assert period.who in text
            assert all(spoken_day(day) in text for day in (period.first, period.last) if day)
    assert text.count("Basis: ") >= len(schedule.entries)


def test_no_impossible_date_is_written(site: DatedSite) -> None:
    """Every time element holds a day of the calendar, and says the same in words."""
    page = BeautifulSoup((site.folder / "dates" / "index.html").read_text(), "lxml")
    times = page.select("time")
    assert len(times) >= 20
    for each in times:
        assert spoken_day(date.fromisoformat(str(each["datetime"]))) == each.get_text()


# On the last day of each cover and on the day after, and long before and after.
@pytest.mark.parametrize(
    ("today", "marks", "structure"),
    [
        ("2026-03-30", None, None),
        ("2026-03-31", "Your builder", "Your builder"),
        ("2026-04-07", "Your builder", "Your builder"),
        ("2026-04-08", "You", "Your builder"),
        ("2028-03-31", "You", "Your builder"),
        ("2028-04-01", "You", "Structural cover"),
        ("2036-03-31", "You", "Structural cover"),
        ("2036-04-01", "You", "You"),
    ],
)
def test_the_clock_shows_today(
    today: str, marks: str | None, structure: str | None, browser: Browser, site: DatedSite
) -> None:
    with Visit(browser, PHONE, "light") as visit:
        visit.page.clock.set_fixed_time(f"{today}T12:00:00")
        visit.page.goto(f"{site.address}/dates/")
        unfold(visit)
        rows = visit.page.locator("tr.handover-today:has([data-from])").all()
        shown = {
            row.locator("strong").first.inner_text(): row.locator("td")
            .last.inner_text()
            .split("\n")[0]
            for row in rows
        }
        assert shown.get("Marks") == marks
        assert shown.get("Structure") == structure
        assert all("Today: " in row.locator("td").nth(1).inner_text() for row in rows)
        month = visit.page.locator("tr.handover-today:has([data-month])").inner_text()
        assert month.startswith(f"This month: {spoken_day(date.fromisoformat(today)).split()[1]}")
        assert visit.complaints == []


def unfold(visit: Visit) -> None:
    """Open all that is folded on the page, as a reader would by touch."""
    visit.page.evaluate(
        "document.querySelectorAll('details').forEach(each => { each.open = true; })"
    )


@pytest.mark.parametrize(
    "today", [date(2026, 3, 31), date(2026, 10, 20), date(2028, 2, 29), date(2035, 12, 31), date(2040, 1, 1), date(2044, 2, 29)]
)  # fmt: skip
def test_what_is_next_is_what_the_schedule_says(
    today: date, browser: Browser, site: DatedSite
) -> None:
    """The script's lists against the schedule's own dates, months and weeks alike."""
    wanted = []
    assert site.schedule.completion
    for entry in site.schedule.entries:
        span = next(
            (
                each
                for each in spans_for_ever(entry, site.schedule.completion)
                if each.last >= today
            ),
            None,
        )
        if span:
            wanted.append((entry.what, max(span.first, today)))
    with Visit(browser, PHONE, "light") as visit:
        visit.page.clock.set_fixed_time(f"{today}T23:30:00")
        visit.page.goto(f"{site.address}/dates/")
        unfold(visit)
        panel = visit.page.locator("[data-handover-now]")
        text = panel.inner_text()
        groups = {
            name: [_listed(each.inner_text(), today) for each in panel.locator(f"{place} > ul.ticks > li").all()]
            for name, place in _GROUPS.items()
        }  # fmt: skip
    assert f"Today is {spoken_day(today)}." in text
    found = [each for group in groups.values() for each in group]
    assert sorted(found) == sorted(wanted)
    assert [day for _, day in found] == sorted(day for _, day in found)
    for name, (first, behind) in _DAYS.items():
        assert all(first <= (day - today).days < behind for _, day in groups.get(name, [])), name
    assert len(groups["This week"]) <= 6
    assert ("Nothing is due this week." in text) is not bool(groups["This week"])
    assert len(wanted) >= 9, "what comes back does so for as long as the home stands"


_GROUPS = {
    "This week": ":scope",
    **{
        name: f"details:has(> summary:has-text('{name}'))"
        for name in ("More this week", "This month", "This season", "Later")
    },
}
_DAYS = {
    "This week": (0, 7),
    "More this week": (0, 7),
    "This month": (7, 31),
    "This season": (31, 92),
    "Later": (92, 10_000),
}


def _listed(item: str, today: date) -> tuple[str, date]:
    """What a line of the list says: what to do, and the day from which it is to be done."""
    what, when = item.strip().split("\n")
    found = re.search(r"(\d+) (\w+) (\d{4})", when)
    if when == "Today" or when.startswith("Now") or found is None:
        return what, today
    months = [spoken_day(date(2001, number, 1)).split()[1] for number in range(1, 13)]
    return what, date(int(found[3]), months.index(found[2]) + 1, int(found[1]))


def test_the_list_is_two_screens_long_at_most(browser: Browser, demo: Demo) -> None:
    """On a telephone, before anything is unfolded, on each month's first day, for every home."""
    with served(demo.public) as address, Visit(browser, PHONE, "light") as visit:
        for guide in list(demo.guides.values())[::4]:
            for month in (1, 4, 7, 10, 12):
                visit.page.clock.set_fixed_time(f"2026-{month:02}-01T12:00:00")
                visit.page.goto(f"{address}/g/{guide.name}/dates/")
                box = visit.page.locator("[data-handover-now]").bounding_box()
                assert box is not None
                assert box["height"] <= 2 * PHONE[1], (guide, month)


def test_a_line_is_ticked_where_it_stands(browser: Browser, site: DatedSite) -> None:
    """On the first page, among the dates and on the care record: one record, kept on the device."""
    with Visit(browser, PHONE, "light") as visit:
        page = visit.page
        page.clock.set_fixed_time("2026-04-01T12:00:00")
        page.goto(f"{site.address}/")
        box = page.get_by_role("checkbox", name="Run the taps.")
        box.check()
        assert "Done on 1 April 2026" in page.locator("li.done").inner_text()
        page.goto(f"{site.address}/dates/")
        again = page.get_by_role("checkbox", name="Run the taps.")
        expect(again).to_be_checked()
        page.goto(f"{site.address}/care/")
        row = page.locator(".handover-record tbody tr")
        assert row.locator("td").first.inner_text() == "1 April 2026"
        assert "Run the taps." in row.inner_text()
        page.goto(f"{site.address}/dates/")
        again.uncheck()
        page.goto(f"{site.address}/care/")
        assert page.locator(".handover-record").count() == 0
        assert visit.complaints == []


def test_a_tick_counts_until_the_next_time(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        page = visit.page
        page.clock.set_fixed_time("2026-04-06T12:00:00")
        page.goto(f"{site.address}/")
        page.get_by_role("checkbox", name="Run the taps.").check()
        for day, ticked in (("2026-04-07", True), ("2026-04-08", False), ("2026-04-13", False)):
            page.clock.set_fixed_time(f"{day}T12:00:00")
            page.goto(f"{site.address}/dates/")
            box = page.get_by_role("checkbox", name="Run the taps.")
            expect(box).to_be_checked(checked=ticked)
            told = page.locator("li:has-text('Run the taps.')").first.inner_text()
            assert ("Last done on 6 April 2026" in told) is not ticked


def test_a_record_that_cannot_be_read_is_left_alone(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        page = visit.page
        page.clock.set_fixed_time("2026-04-01T12:00:00")
        page.goto(f"{site.address}/")
        key = page.evaluate("`handover-care-record ${location.pathname}`")
        page.evaluate("key => localStorage.setItem(key, '{broken')", key)
        page.reload()
        expect(page.get_by_text("Run the taps.").first).to_be_visible()
        assert page.get_by_role("checkbox").count() == 0
        assert page.evaluate("key => localStorage.getItem(key)", key) == "{broken"


def test_all_dates_read_without_script(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light", script=False) as visit:
        visit.page.goto(f"{site.address}/dates/")
        for fold in visit.page.locator(".fold > summary").all():
            fold.click()
        text = visit.page.locator("main").inner_text()
        assert "By 7 April 2026" in text
        assert "From 1 April 2028 to 31 March 2036" in text
        assert not visit.page.locator("[data-handover-now]").is_visible()


def test_no_completion_is_words_and_no_calendar(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        visit.page.goto(f"{site.undated}/dates/")
        unfold(visit)
        text = visit.page.locator("main").inner_text()
        assert "Your legal completion is not known yet" in text
        assert "Within 7 days of your legal completion" in text
        assert visit.page.locator("main time").count() == 0
        assert visit.page.locator("a[href$='calendar.ics']").count() == 0
        assert visit.page.locator("tr.handover-today:has([data-month])").count() == 1
        assert visit.complaints == []


def test_nothing_private_is_in_the_calendar(site: DatedSite) -> None:
    text = (site.folder / "calendar.ics").read_text(encoding="utf-8")
    assert "CANARY" not in text
    assert site.folder.name not in text, "who gets the calendar does not get the guide's address"


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", ["dates", "care"])
def test_pages_of_dates_are_accessible_and_reflow(
    name: str, scheme: str, browser: Browser, site: DatedSite
) -> None:
    with Visit(browser, (320, 640), scheme) as visit:
        visit.page.goto(f"{site.address}/{name}/", wait_until="load")
        assert visit.page.evaluate("document.documentElement.scrollWidth") <= 320
        assert visit.complaints == []
        assert all(url.startswith((site.host, "data:")) for url in visit.requests)
    assert axe_violations(browser, f"{site.address}/{name}/", PHONE, scheme) == []


def test_the_pages_are_found_from_the_first_page(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light") as visit:
        visit.page.clock.set_fixed_time("2026-04-02T12:00:00")
        visit.page.goto(f"{site.address}/")
        week = visit.page.locator("[data-handover-week]")
        expect(week).to_contain_text("Report all damage.Last day: 7 April 2026")
        week.get_by_role("link", name="All dates, and who puts things right").click()
        visit.page.get_by_role("link", name="Tick what you have done").click()
        expect(visit.page.get_by_role("heading", level=1)).to_have_text("Your care record")


def test_the_year_prints(browser: Browser, site: DatedSite, tmp_path: Path) -> None:
    with Visit(browser, PHONE, "light") as visit:
        visit.page.goto(f"{site.address}/dates/")
        visit.page.emulate_media(media="print")
        expect(visit.page.locator(".handover-year")).to_be_visible()
        assert not visit.page.locator("[data-handover-now]").is_visible()
        assert not visit.page.locator(".bar").is_visible()


def test_the_busiest_year_of_the_demo_prints_on_one_sheet(browser: Browser, demo: Demo) -> None:
    pages = {name: folder / "dates" / "index.html" for name, folder in demo.guides.items()}
    plot = max(pages, key=lambda name: pages[name].stat().st_size)
    with served(demo.public) as host, Visit(browser, PHONE, "light") as visit:
        visit.page.goto(f"{host}/g/{demo.guides[plot].name}/dates/")
        printed = pypdfium2.PdfDocument(visit.page.pdf(format="A4", prefer_css_page_size=True))
    sheets = [" ".join(page.get_textpage().get_text_range().split()) for page in printed]
    (year,) = [sheet for sheet in sheets if sheet.startswith("Your year")]
    assert len(year) > 5000
    assert re.search(r"\bJanuary .*\bDecember .*\bMore often .*Every month\.", year)
    assert "This month" not in year
    assert sheets[sheets.index(year) + 1].startswith("Services")
