"""Pages of the desk as axe-core, a telephone and a wide screen see them: each is asked for once."""

from collections.abc import Iterable, Iterator

from playwright.sync_api import Browser, Page

from tests.chromium import AXE
from tests.test_browser import Visit

WIDE, NARROW = (1280, 900), (390, 844)
LOOKS = ((WIDE, "light"), (NARROW, "dark"))
_SIDEWAYS = "[...document.querySelectorAll('.table:has(.listed)')].filter(each => each.scrollWidth > each.clientWidth).map(each => each.innerText.slice(0, 60))"
"""Lists of things that have to be pushed sideways to be read."""
_RUN = "axe.run({exclude: ['iframe']}, {iframes: false, rules: {'target-size': {enabled: true}}})"
"""A guide beside a page has tests of its own."""


def faults(browser: Browser, desk: str, path: str, complaints: Iterable[str] = ()) -> list[str]:
    """All that is wrong with a page: what axe-core finds, whether it scrolls sideways, whom else it asks,
    what the policy refuses or the browser complains of."""
    with Visit(browser, *LOOKS[0]) as visit:
        visit.page.set_default_timeout(120_000)
        visit.page.goto(f"{desk}{path}", wait_until="load")
        visit.page.evaluate(AXE.read_text(encoding="utf-8"))
        found = [each for size, scheme in LOOKS for each in _looked_at(visit.page, size, scheme)]
        said = [each for each in visit.complaints if each not in complaints]
        asked = [url for url in visit.requests if not url.startswith((desk, "data:"))]
    return [*found, *said, *asked]


def _looked_at(page: Page, size: tuple[int, int], scheme: str) -> Iterator[str]:
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
    wide = page.evaluate("document.documentElement.scrollWidth")
    if wide > size[0]:
        yield f"{scheme}: {wide} pixels wide where the screen has {size[0]}"
    yield from (f"{scheme}: to be pushed sideways: {each}" for each in page.evaluate(_SIDEWAYS))
    for each in page.evaluate(_RUN)["violations"]:
        yield from (f"{scheme}: {each['id']}: {node['target']} {node['html'][:120]}" for node in each["nodes"])  # fmt: skip
