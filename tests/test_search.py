"""What people type finds the page: each query of a table, in Chromium, in homes of different kinds."""

from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
import yaml
from playwright.sync_api import Page, sync_playwright

from tests.chromium import CHROMIUM, FLAGS
from tests.demo import PROJECT, Demo, served

QUERIES: dict[str, list[str]] = yaml.safe_load(
    (PROJECT / "tests/search_queries.yaml").read_text("utf-8")
)
PLOTS = ("mill-lane/03", "mill-lane/07", "harbour-view/05")
"""A house with a heat pump, one with a gas boiler, and an apartment."""
FIRST = 3


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield browser.new_page()
        browser.close()


def found(page: Page, query: str) -> list[str]:
    """The first pages that are found, by their paths in the guide."""
    page.locator("[data-find] input").fill(query)
    page.locator("[data-find] [role=status]", has_text="page").wait_for()
    links = page.locator(".handover-found a").all()[:FIRST]
    return [urlsplit(link.evaluate("each => each.href")).path.strip("/").partition("/")[2].partition("/")[2] for link in links]  # fmt: skip


def missed(page: Page, guide: Path, address: str) -> dict[str, list[str]]:
    """The queries that do not find any of their pages among the first, with what they found."""
    page.goto(f"{address}/find/")
    wrong = {}
    for query, wanted in QUERIES.items():
        here = [path for path in wanted if (guide / path / "index.html").is_file()]
        if here:
            first = found(page, query)
            if not set(first) & set(here):
                wrong[query] = first
            page.locator("[data-find] input").fill("")
    return wrong


def test_the_table_is_long_enough() -> None:
    assert len(QUERIES) >= 80


@pytest.mark.parametrize("plot", PLOTS)
def test_what_people_type_finds_the_page(plot: str, demo: Demo, page: Page) -> None:
    guide = demo.guides[plot]
    with served(demo.public) as host:
        assert missed(page, guide, f"{host}/g/{guide.name}") == {}
