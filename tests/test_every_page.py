"""Every page of every guide of the demo in a real browser: axe-core, and no way sideways.

axe-core judges elements, their place in each other and their colours, whatever their words, which other
tests judge: so it looks at pages on which, together, every element stands within every other that it has
around it on any page.
"""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import pypdfium2
import pytest
from lxml import html
from playwright.sync_api import Browser, expect

from tests.chromium import AXE
from tests.demo import Demo, served

PHONE, WIDTHS = (390, 844), (320, 360, 390, 768, 1100, 1280)
GUIDES = ("mill-lane/07", "shore-court/01", "marlpit-yard/01")
"""A house in England, a flat in Scotland and a barn, each with another look or form."""
TELLING = ("class", "role", "type")
RULES = "{resultTypes: ['violations'], rules: {'target-size': {enabled: true}}}"
FOUND = f"axe.run(document, {RULES}).then(found => found.violations.flatMap(each => each.nodes.map(node => `${{each.id}}: ${{node.html.slice(0, 160)}} ${{node.failureSummary}}`)))"
"""What axe-core finds, by all its rules of WCAG 2.2 A and AA and its best practices."""


@pytest.fixture(scope="module")
def host(demo: Demo) -> Iterator[str]:
    with served(demo.public) as address:
        yield address


def made_of(main: html.HtmlElement) -> frozenset[tuple[str, str]]:
    """What a page is made of: each element within the one around it, outside drawings."""
    inside = (each for each in main.iter() if isinstance(each.tag, str))
    outside_drawings = (each for each in inside if next(each.iterancestors("svg"), None) is None)
    pairs = ((each.getparent(), each) for each in outside_drawings)
    return frozenset((told(around), told(each)) for around, each in pairs if around is not None)


def told(element: html.HtmlElement) -> str:
    """What tells an element apart for axe-core: not its words, but whether it has any."""
    names = sorted(name for name in element.attrib if not name.startswith("data-"))
    worded = bool(element.text_content().strip())
    values = [element.get(name, "") for name in TELLING]
    return f"{element.tag!s} {values} {names} {worded}"


def pages_that_show_all(public: Path) -> Sequence[Path]:
    """Pages on which, together, everything stands that any page of any guide is made of."""
    of_page: dict[frozenset[tuple[str, str]], Path] = {}
    for file in sorted(public.glob("g/*/**/index.html")):
        main = html.fromstring(file.read_bytes()).find(".//main")
        assert main is not None
        of_page.setdefault(made_of(main), file)
    chosen, left = [], frozenset[tuple[str, str]]().union(*of_page)
    while left:
        richest = max(of_page, key=lambda each: len(each & left))
        chosen.append(of_page[richest])
        left -= richest
    return chosen


def kinds_of(guide: Path) -> Mapping[str, str]:
    """The address of one page of each kind in a guide: the richest of those in one folder."""
    found: dict[str, Path] = {}
    for file in sorted(guide.rglob("index.html")):
        kind = file.relative_to(guide).parts[0]
        if kind not in found or file.stat().st_size > found[kind].stat().st_size:
            found[kind] = file
    return {kind: f"{file.parent.relative_to(guide).as_posix()}/" for kind, file in found.items()}


def test_axe_finds_nothing_on_any_page(browser: Browser, host: str, demo: Demo) -> None:
    """On a telephone, in daylight and in the dark."""
    pages = pages_that_show_all(demo.public)
    assert len(pages) > 15
    wrong = []
    for scheme in ("light", "dark"):
        with browser.new_context(
            viewport={"width": PHONE[0], "height": PHONE[1]},
            color_scheme="dark" if scheme == "dark" else "light",
            bypass_csp=True,
            service_workers="block",
        ) as context:
            context.add_init_script(path=str(AXE))
            page = context.new_page()
            for file in pages:
                address = file.parent.relative_to(demo.public).as_posix()
                page.goto(f"{host}/{address}/", wait_until="load")
                wrong += [f"{address} {scheme}: {each}" for each in page.evaluate(FOUND)]
    assert wrong == []


@pytest.mark.parametrize("plot", GUIDES)
def test_nothing_scrolls_sideways_on_any_kind_of_page(
    plot: str, browser: Browser, host: str, demo: Demo
) -> None:
    """From 320 to 1280 px (WCAG 2.2, 1.4.10 Reflow, from memory); 320 px is 1280 px at 400 %."""
    guide = demo.guides[plot]
    with browser.new_context(service_workers="block") as context:
        page = context.new_page()
        for kind, address in kinds_of(guide).items():
            page.goto(f"{host}/g/{guide.name}/{address}")
            for width in WIDTHS:
                page.set_viewport_size({"width": width, "height": 256 if width == 320 else 844})
                assert page.evaluate("document.documentElement.scrollWidth") <= width, (kind, width)


@pytest.mark.parametrize("plot", GUIDES)
def test_every_kind_of_page_says_what_it_has_without_script(
    plot: str, browser: Browser, host: str, demo: Demo
) -> None:
    guide = demo.guides[plot]
    with browser.new_context(java_script_enabled=False) as context:
        page = context.new_page()
        for kind, address in kinds_of(guide).items():
            page.goto(f"{host}/g/{guide.name}/{address}")
            expect(page.locator("main h1").first).to_be_visible()
            assert len(page.locator("main").inner_text()) > 60, kind


COVERED = """() => {
  const here = document.activeElement.getBoundingClientRect();
  const bar = document.querySelector('.bar').getBoundingClientRect();
  const inside = document.activeElement.closest('.bar');
  return !inside && here.height > 0 && here.top >= bar.top - 1 && here.bottom <= bar.bottom + 1;
}"""


@pytest.mark.parametrize(
    "size", [(390, 844), (1280, 800), (320, 256)], ids=["phone", "desk", "zoom"]
)
def test_the_keyboard_alone_reaches_everything_and_sees_where_it_is(
    size: tuple[int, int], browser: Browser, host: str, demo: Demo
) -> None:
    """Nothing in focus lies wholly under the bar (WCAG 2.2, 2.4.11, from memory), and each is outlined."""
    guide = demo.guides[GUIDES[0]]
    with browser.new_context(viewport={"width": size[0], "height": size[1]}) as context:
        page = context.new_page()
        for address in ("", "equipment/stopcock/", "dates/", "contacts/"):
            page.goto(f"{host}/g/{guide.name}/{address}", wait_until="networkidle")
            reached = 0
            for _ in range(45):
                page.keyboard.press("Tab")
                if page.evaluate("document.activeElement === document.body"):
                    break
                reached += 1
                assert not page.evaluate(COVERED), page.evaluate("document.activeElement.outerHTML")
                style = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
                assert style != "none", page.evaluate("document.activeElement.outerHTML")
            assert reached > 10


PLAIN = """() => [...document.querySelectorAll('main a, main button, main summary, .bar a')].filter((each) => {
  const box = each.getBoundingClientRect();
  if (!box.width || each.closest('svg') || each.querySelector('img, svg')) return false;
  const style = getComputedStyle(each);
  const inner = [each, ...each.querySelectorAll('*')].map((one) => getComputedStyle(one));
  const lined = inner.some((one) => one.textDecorationLine.includes('underline'));
  return !lined && parseFloat(style.borderTopWidth) === 0 && each.tagName !== 'SUMMARY' && !each.closest('.bar');
}).map((each) => each.outerHTML.slice(0, 120))"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_forced_colours_leave_nothing_told_by_colour_alone(
    scheme: str, browser: Browser, host: str, demo: Demo
) -> None:
    """Where the reader's own colours are forced on a page, grounds go: what can be touched has a line."""
    guide = demo.guides[GUIDES[0]]
    with browser.new_context(
        viewport={"width": 390, "height": 844},
        forced_colors="active",
        color_scheme="dark" if scheme == "dark" else "light",
    ) as context:
        page = context.new_page()
        for kind, address in kinds_of(guide).items():
            page.goto(f"{host}/g/{guide.name}/{address}")
            assert page.evaluate(PLAIN) == [], kind
        page.goto(f"{host}/g/{guide.name}/plan/")
        style = page.locator(".plan--touch").first.evaluate(
            "each => [getComputedStyle(each).forcedColorAdjust, getComputedStyle(each).backgroundColor]"
        )
        paper = "rgb(255, 255, 255)" if scheme == "light" else "rgb(29, 37, 35)"
        assert style == ["none", paper], "drawings keep colours and a ground of their own"


def test_a_guide_that_was_read_opens_without_a_network(
    browser: Browser, host: str, demo: Demo
) -> None:
    guide = demo.guides[GUIDES[0]]
    with browser.new_context() as context:
        page = context.new_page()
        page.goto(f"{host}/g/{guide.name}/", wait_until="networkidle")
        for _ in range(100):
            if page.evaluate("navigator.serviceWorker.controller !== null"):
                break
            page.wait_for_timeout(100)
        page.goto(f"{host}/g/{guide.name}/rooms/kitchen/", wait_until="networkidle")
        context.set_offline(True)
        for address, heading in (("", "6 Teasel Row"), ("rooms/kitchen/", "Kitchen"), ("emergency/", "In an emergency")):  # fmt: skip
            page.goto(f"{host}/g/{guide.name}/{address}")
            expect(page.get_by_role("heading", level=1).first).to_have_text(heading)
            logo = page.locator(".builder img")
            assert logo.evaluate("each => each.naturalWidth > 0"), "the builder's logo is kept too"


@pytest.mark.parametrize("plot", [*GUIDES, "mill-lane/04", "harbour-view/01"])
def test_the_plan_prints_on_one_sheet_with_what_its_marks_stand_for(
    plot: str, browser: Browser, host: str, demo: Demo
) -> None:
    """A4, every floor, whatever is shown or unfolded on the screen."""
    with browser.new_context(service_workers="block") as context:
        page = context.new_page()
        page.goto(f"{host}/g/{demo.guides[plot].name}/plan/", wait_until="load")
        printed = pypdfium2.PdfDocument(page.pdf(format="A4", prefer_css_page_size=True))
        words = " ".join(printed[0].get_textpage().get_text_range().split())
        assert len(printed) == 1
        for floor in page.locator(".plan-drawn h2").all_inner_texts():
            assert floor in words
        for name in page.locator(".plan-list a").all_inner_texts():
            assert name in words, name
        assert "Touch a mark" not in words
        assert "Full screen" not in words


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_the_plan_is_seen_on_the_full_screen(
    script: bool, browser: Browser, host: str, demo: Demo
) -> None:
    with browser.new_context(
        viewport={"width": 320, "height": 640}, java_script_enabled=script
    ) as context:
        page = context.new_page()
        page.goto(f"{host}/g/{demo.guides[GUIDES[0]].name}/plan/")
        page.get_by_role("link", name="Full screen").first.click()
        whole = page.locator(".plan-full:target")
        assert whole.bounding_box() == {"x": 0, "y": 0, "width": 320, "height": 640}
        drawing = whole.locator("svg").bounding_box()
        assert drawing is not None
        assert drawing["width"] >= 600, "large enough to read, and moved about"
        whole.get_by_role("link", name="Close").click()
        expect(page.locator(".plan-full:target")).to_have_count(0)
        expect(page.locator(".plan-drawn h2").first).to_be_visible()
