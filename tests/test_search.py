"""What people type finds the page: each query of a table, in Chromium, in homes of different kinds."""

from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml
from playwright.sync_api import Page, sync_playwright

from tests.chromium import CHROMIUM, FLAGS
from tests.demo import PROJECT, Demo, served

QUERIES: dict[str, list[str]] = yaml.safe_load(
    (PROJECT / "tests/search_queries.yaml").read_text("utf-8")
)
PLOTS = ("mill-lane/03", "mill-lane/07", "harbour-view/05", "marlpit-yard/01")
"""A house with a heat pump, one with a gas boiler, an apartment, and a barn with its own water and oil."""
FIRST = 3


WELSH = {
    "dim trydan": "wrong/no-power", "dŵr yn gollwng": "wrong/leak", "gollyngiad": "wrong/leak",
    "larwm yn bipian": "wrong/alarm-chirps", "dŵr brown o'r tap": "wrong/brown-water",
    "toiled wedi blocio": "wrong/sewage",
}  # fmt: skip
"""What people type in Welsh, and the page that is found first, though nobody has read its texts in Welsh
and it is shown in English."""


@pytest.fixture(scope="module")
def page() -> Iterator[Page]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield browser.new_page()
        browser.close()


SOUGHT = """async (query) => {
  const [box, status] = [document.querySelector("[data-find] input"), document.querySelector("[data-find] [role=status]")];
  for (const text of ["", query]) {
    box.value = text;
    box.dispatchEvent(new Event("input"));
    while (!text !== !status.textContent) await new Promise((done) => setTimeout(done, 1));
  }
  return [...document.querySelectorAll(".handover-found a")].map((each) => new URL(each.href).pathname);
}"""
"""What is found for a query, in one round trip; a reader's own typing is part of tests/test_browser.py."""


def found(page: Page, query: str) -> list[str]:
    """The first pages that are found, by their paths in the guide."""
    paths = page.evaluate(SOUGHT, query)[:FIRST]
    return [path.strip("/").partition("/")[2].partition("/")[2] for path in paths]


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
    return wrong


def test_the_table_is_long_enough() -> None:
    assert len(QUERIES) >= 350


@pytest.mark.parametrize("plot", PLOTS)
def test_what_people_type_finds_the_page(plot: str, demo: Demo, page: Page) -> None:
    guide = demo.guides[plot]
    with served(demo.public) as host:
        assert missed(page, guide, f"{host}/g/{guide.name}") == {}


def test_what_nobody_has_read_in_a_language_is_found_by_its_words_there(
    demo: Demo, page: Page
) -> None:
    guide = demo.guides["maes-y-coed/01"]
    with served(demo.public) as host:
        page.goto(f"{host}/g/{guide.name}/cy/find/")
        assert {query: found(page, query)[0] for query in WELSH} == {
            query: f"cy/{path}" for query, path in WELSH.items()
        }
