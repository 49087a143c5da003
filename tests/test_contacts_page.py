"""Whom to call: in the order of need, and on the reader's own day."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from playwright.sync_api import Browser

from builder.preparing import prepare
from tests.dates import DAY, DatedSite, dated_site
from tests.test_browser import PHONE, Visit


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[DatedSite]:
    with dated_site(tmp_path_factory.mktemp("dates")) as site:
        yield site


def test_what_cannot_wait_stands_first(site: DatedSite) -> None:
    page = BeautifulSoup((site.folder / "contacts" / "index.html").read_text(), "lxml")
    assert [each.get_text() for each in page.select("main h2")] == [
        "What cannot wait",
        "Something in the home is wrong",
        "Everyone else",
    ]
    first = page.select_one(".calls h3")
    assert first is not None
    assert first.get_text() == "Emergency services"
    assert all(each["href"].startswith("tel:") for each in page.select(".call-number a"))


@pytest.mark.parametrize(
    ("today", "faults", "structure"),
    [
        ("2026-06-01", "Until 31 March 2028", "Until 31 March 2028"),
        ("2028-03-31", "Until 31 March 2028", "Until 31 March 2028"),
        ("2028-04-01", "From 1 April 2028 on: you have it put right.", "Until 31 March 2036"),
        ("2036-04-01", "From 1 April 2028 on: you have it put right.", "From 1 April 2036 on"),
    ],
)
def test_it_says_whom_to_call_now(
    today: str, faults: str, structure: str, browser: Browser, site: DatedSite
) -> None:
    with Visit(browser, PHONE, "light") as visit:
        visit.page.clock.set_fixed_time(f"{today}T12:00:00")
        visit.page.goto(f"{site.address}/contacts/")
        visit.page.wait_for_load_state("networkidle")
        for name, wanted in (("Faults", faults), ("Structure", structure)):
            group = visit.page.locator(f".call-who:has(h3:text-is('{name}'))")
            shown = [each.inner_text() for each in group.locator("p[data-now]").all() if each.is_visible()]  # fmt: skip
            assert len(shown) == 1, shown
            assert shown[0].startswith(wanted)
        assert visit.complaints == []


def test_without_script_both_stand_with_their_days(browser: Browser, site: DatedSite) -> None:
    with Visit(browser, PHONE, "light", script=False) as visit:
        visit.page.goto(f"{site.address}/contacts/")
        group = visit.page.locator(".call-who:has(h3:text-is('Structure'))").inner_text()
    assert "Until 31 March 2028" in group
    assert "Until 31 March 2036" in group
    assert "From 1 April 2036 on" in group


def test_what_people_type_is_data_of_contacts_and_kinds(cottage: Path) -> None:
    standard = cottage / "housetypes" / "standard.yaml"
    said = standard.read_text(encoding="utf-8")
    said = said.replace("  emergency-services: {", "  emergency-services: {words: [the law], ", 1)
    said = re.sub(
        r"(?m)^  stopcock: \{", "  stopcock: {also_called: [main cock], words: [stopcock], ", said
    )
    standard.write_text(said, encoding="utf-8")
    guide = prepare(cottage, ("riverside/01",), DAY).plots["riverside/01"].guide
    contacts, stopcock = guide.page("page:contacts"), guide.page("equipment:stopcock")
    assert contacts is not None
    assert "the law" in contacts.called
    assert stopcock is not None
    assert stopcock.called == ("stopcock", "main cock")
