"""The guide in a real browser, in the hand of its reader: Debian's Chromium, driven by Playwright."""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from builder.guide.pieces import pieces_of
from builder.guide.plan.boxes import Box
from builder.guide.plan.pins import PIN
from builder.guide.plan.plans import Plans
from builder.guide.plan.svg import full_svg
from tests.broken_workspaces import run
from tests.chromium import AXE
from tests.conftest import COTTAGE
from tests.demo import PROJECT, Demo, served
from tests.plan_homes import homes_of_the_demo

PAGES = {
    "first page": "",
    "article": "articles/turning-off-the-water/",
    "equipment": "equipment/stopcock/",
}
"""Looked at on both screens, in both colour schemes."""
OTHERS = {
    "emergency": "emergency/",
    "first weeks": "first-weeks/",
    "urgent article": "articles/water-leak/",
    "system": "systems/heating/",
    "room": "rooms/kitchen/",
    "details": "details/",
    "finishes": "finishes/",
    "contacts": "contacts/",
    "find": "find/",
    "dates": "dates/",
    "care": "care/",
    "plan": "plan/",
}
"""The other layouts, looked at once each."""
PHONE, DESKTOP = (360, 740), (1280, 900)
PLOTS = ("mill-lane/01", "harbour-view/05")
"""A house and an apartment."""


@pytest.fixture(scope="module")
def host(demo: Demo) -> Iterator[str]:
    with served(demo.public) as address:
        yield address


class Visit:
    """One page opened as a reader would; remembers what was asked for and what was complained of."""

    def __init__(
        self, browser: Browser, size: tuple[int, int], scheme: str, *, script: bool = True
    ) -> None:
        self.context = browser.new_context(
            viewport={"width": size[0], "height": size[1]},
            color_scheme="dark" if scheme == "dark" else "light",
            java_script_enabled=script,
            bypass_csp=False,
        )
        self.page: Page = self.context.new_page()
        self.requests: list[str] = []
        self.complaints: list[str] = []
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.on("console", lambda message: self.complaints.append(message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))

    def __enter__(self) -> "Visit":
        return self

    def __exit__(self, *_: object) -> None:
        self.context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
@pytest.mark.parametrize("name", PAGES)
def test_pages_are_accessible_private_and_quiet(
    name: str, size: tuple[int, int], scheme: str, browser: Browser, host: str, demo: Demo
) -> None:
    """axe-core finds nothing, no request leaves the host, the policy refuses nothing."""
    look_at(f"{host}/g/{demo.guides[PLOTS[0]].name}/{PAGES[name]}", size, scheme, browser, host)


@pytest.mark.parametrize("name", OTHERS)
def test_other_layouts_are_accessible_private_and_quiet(
    name: str, browser: Browser, host: str, demo: Demo
) -> None:
    look_at(f"{host}/g/{demo.guides[PLOTS[1]].name}/{OTHERS[name]}", PHONE, "dark", browser, host)


def look_at(url: str, size: tuple[int, int], scheme: str, browser: Browser, host: str) -> None:
    with Visit(browser, size, scheme) as visit:
        visit.page.goto(url, wait_until="load")
        visit.page.wait_for_timeout(150)
        assert visit.complaints == []
        assert [url for url in visit.requests if not url.startswith((host, "data:"))] == []
        assert visit.page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert axe_violations(browser, url, size, scheme) == []


def axe_violations(browser: Browser, url: str, size: tuple[int, int], scheme: str) -> list[str]:
    """What axe-core finds, by all its rules of WCAG 2.2 A and AA and its best practices."""
    context = browser.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme="dark" if scheme == "dark" else "light",
        bypass_csp=True,
    )
    page = context.new_page()
    page.goto(url, wait_until="load")
    page.add_script_tag(path=str(AXE))
    found = page.evaluate("axe.run(document, {rules: {'target-size': {enabled: true}}})")
    context.close()
    return [
        f"{each['id']}: {node['target']} {node['html'][:120]} {node['failureSummary']}"
        for each in found["violations"]
        for node in each["nodes"]
    ]


@pytest.mark.parametrize("plot", PLOTS)
def test_nothing_scrolls_sideways_at_320_pixels(
    plot: str, browser: Browser, host: str, demo: Demo
) -> None:
    """WCAG 2.2, success criterion 1.4.10 Reflow (from memory)."""
    for name, path in (PAGES | OTHERS).items():
        with Visit(browser, (320, 640), "light") as visit:
            visit.page.goto(f"{host}/g/{demo.guides[plot].name}/{path}")
            assert visit.page.evaluate("document.documentElement.scrollWidth") <= 320, name


def test_the_stopcock_is_two_touches_away(browser: Browser, host: str, demo: Demo) -> None:
    with Visit(browser, PHONE, "dark") as visit:
        visit.page.goto(f"{host}/g/{demo.guides['mill-lane/01'].name}/")
        target = visit.page.locator(".front-off a", has_text="Water off")
        place = target.bounding_box() or {}
        assert place["y"] + place["height"] < PHONE[1], "seen without scrolling"
        target.click()
        expect(visit.page.get_by_role("heading", level=1)).to_contain_text(re.compile("^Stopcock"))
        expect(visit.page.locator(".handover-where")).to_be_visible()


def test_touch_targets_are_large(browser: Browser, host: str, demo: Demo) -> None:
    """44 px high, more than the 24 px of WCAG 2.2 AA: fingers are wet (a rule of the house)."""
    with Visit(browser, PHONE, "light") as visit:
        visit.page.goto(f"{host}/g/{demo.guides['mill-lane/01'].name}/emergency/")
        targets = visit.page.locator(".handover-card a, .handover-dial, .handover-action a")
        assert targets.count() >= 6
        for target in targets.all():
            assert (target.bounding_box() or {})["height"] >= 44, target.inner_text()


def test_search_works_under_the_policy(browser: Browser, host: str, demo: Demo) -> None:
    with Visit(browser, DESKTOP, "light") as visit:
        visit.page.goto(f"{host}/g/{demo.guides['mill-lane/01'].name}/")
        visit.page.get_by_role("link", name="Find", exact=True).click()
        box = visit.page.get_by_role("searchbox", name="Find in this guide")
        box.wait_for()
        assert not [url for url in visit.requests if url.endswith("words.json")], (
            "not before it is used"
        )
        box.fill("stopcock")
        first = visit.page.locator(".handover-found a").first
        first.wait_for()
        first.click()
        expect(visit.page.get_by_role("heading", level=1)).to_contain_text("Stopcock")
        assert [url for url in visit.requests if url.endswith("words.json")]
        assert visit.complaints == []


def test_everything_reads_without_script(browser: Browser, host: str, demo: Demo) -> None:
    with Visit(browser, PHONE, "light", script=False) as visit:
        visit.page.goto(f"{host}/g/{demo.guides['mill-lane/01'].name}/emergency/")
        expect(visit.page.get_by_role("heading", name="Turn off the water")).to_be_visible()
        expect(visit.page.get_by_role("link", name="999").first).to_be_visible()


def test_every_page_says_whose_home_it_is(browser: Browser, host: str, demo: Demo) -> None:
    page = f"{host}/g/{demo.guides['harbour-view/07'].name}/equipment/stopcock/"
    for script, named in ((True, "Flat 3, Heron Court"), (False, "Your guide")):
        with Visit(browser, PHONE, "light", script=script) as visit:
            visit.page.goto(page)
            expect(visit.page.locator("body > header a")).to_have_text(named)
            expect(visit.page).to_have_title(re.compile(f"^Stopcock .* {named}$"))


def test_the_keyboard_reaches_the_content_first(browser: Browser, host: str, demo: Demo) -> None:
    with Visit(browser, DESKTOP, "light") as visit:
        visit.page.goto(f"{host}/g/{demo.guides['mill-lane/01'].name}/articles/water-leak/")
        visit.page.keyboard.press("Tab")
        assert visit.page.evaluate("document.activeElement.classList.contains('skip')")


def sticker_code(demo: Demo, plot: str, equipment: str) -> str:
    """A sticker's code from the demo's register, read by its columns alone."""
    development, number = plot.split("/")
    register = (PROJECT / "developments" / development / "register.csv").read_text(encoding="utf-8")
    rows = [line.split(",") for line in register.splitlines()]
    return next(row[0] for row in rows if row[2:5] == ["sticker", number, equipment])


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("equipment", ["stopcock", "boiler", "consumer-unit"])
def test_a_sticker_page_in_the_hand(
    equipment: str, scheme: str, browser: Browser, host: str, demo: Demo
) -> None:
    """At 320 pixels, with one request, nothing refused, nothing for axe-core to find."""
    code = sticker_code(demo, "mill-lane/01", equipment)
    with Visit(browser, (320, 640), scheme, script=False) as visit:
        visit.page.goto(f"{host}/Q/{code}/", wait_until="load")
        asked = [url for url in visit.requests if not url.startswith("data:")]
        assert asked[0] == f"{host}/Q/{code}/"
        photographs = f"{host}/g/{demo.guides['mill-lane/01'].name}/photos/small/"
        assert all(url.startswith(photographs) for url in asked[1:])
        assert visit.complaints == []
        first = visit.page.locator("ol li").first.bounding_box()
        assert first is not None
        assert first["y"] < 640, "what to do is seen without scrolling"
        assert visit.page.locator(".where").is_visible()
        for link in visit.page.locator(".links a").all():
            assert (link.bounding_box() or {})["height"] >= 44
    with Visit(browser, (320, 640), scheme) as visit:
        visit.page.goto(f"{host}/q/{code.lower()}/", wait_until="load")
        assert visit.page.evaluate("document.documentElement.scrollWidth") <= 320
        visit.page.get_by_role("link", name="In an emergency").click()
        expect(visit.page.get_by_role("heading", level=1)).to_have_text("In an emergency")
    assert axe_violations(browser, f"{host}/Q/{code}/", (320, 640), scheme) == []


def kept(visit: Visit) -> None:
    """Wait until the guide's worker is in charge of the page."""
    until(visit, "navigator.serviceWorker.controller !== null")


def until(visit: Visit, question: str) -> None:
    """Wait for a yes, half a minute at most. The guide's own policy forbids the browser to wait for us."""
    for _ in range(300):
        if visit.page.evaluate(question):
            return
        visit.page.wait_for_timeout(100)
    raise AssertionError(question)


def test_the_emergency_pages_open_without_a_network(
    browser: Browser, host: str, demo: Demo
) -> None:
    """After one visit: a power cut takes the router with it."""
    guide = f"{host}/g/{demo.guides['mill-lane/01'].name}"
    with Visit(browser, PHONE, "dark") as visit:
        visit.page.goto(f"{guide}/")
        kept(visit)
        visit.context.set_offline(True)
        visit.page.get_by_role("link", name="Fire or smell of gas").click()
        expect(visit.page.get_by_role("heading", name="Turn off the water")).to_be_visible()
        visit.page.get_by_role("link", name="Stopcock").first.click()
        expect(visit.page.locator(".handover-where")).to_be_visible()
        for address, heading in (("no-electricity", "No electricity"), ("turning-off-the-water", "Turn off your water")):  # fmt: skip
            visit.page.goto(f"{guide}/articles/{address}/")
            expect(visit.page.get_by_role("heading", level=1)).to_have_text(heading)
        for never_read in ("finishes", "rooms/kitchen"):
            visit.page.goto(f"{guide}/{never_read}/")
            expect(visit.page.get_by_role("heading", level=1)).to_have_text("In an emergency")
            assert visit.page.url == f"{guide}/emergency/", "links lead on from there alone"
            assert visit.page.evaluate("getComputedStyle(document.body).margin") == "0px"
            visit.page.get_by_role("link", name="Stopcock").first.click()
            expect(visit.page.locator(".handover-where")).to_be_visible()


def test_each_guide_keeps_only_its_own(browser: Browser, host: str, demo: Demo) -> None:
    one, other = (demo.guides[plot].name for plot in PLOTS)
    with Visit(browser, PHONE, "light") as visit:
        for code in (one, other):
            visit.page.goto(f"{host}/g/{code}/")
            kept(visit)
        names = visit.page.evaluate("caches.keys()")
        assert sorted(name.split()[1] for name in names) == sorted((one, other))
        scopes = visit.page.evaluate(
            "navigator.serviceWorker.getRegistrations().then(all => all.map(each => each.scope))"
        )
        assert sorted(scopes) == sorted(f"{host}/g/{code}/" for code in (one, other))


def test_keeping_can_be_switched_off(browser: Browser, tmp_path: Path) -> None:
    """A build with `offline: false` clears away what an earlier one kept."""
    workspace, out = tmp_path / "cottage", tmp_path / "public"
    shutil.copytree(COTTAGE, workspace)
    shutil.copytree(PROJECT / "site_templates", workspace / "site_templates")
    shutil.copyfile(PROJECT / "mkdocs.yml", workspace / "mkdocs.yml")
    assert (
        run("build", "riverside/01", "--workspace", str(workspace), "--out", str(out)).exit_code
        == 0
    )
    code = next((out / "g").iterdir()).name
    with served(out) as host, Visit(browser, PHONE, "light") as visit:
        visit.page.goto(f"{host}/g/{code}/")
        kept(visit)
        settings = workspace / "mkdocs.yml"
        settings.write_text(settings.read_text().replace("offline: true", "offline: false"))
        assert (
            run("build", "riverside/01", "--workspace", str(workspace), "--out", str(out)).exit_code
            == 0
        )
        # The browser looks for a newer worker by itself too: where it came first, that one is gone again.
        visit.page.evaluate(
            "navigator.serviceWorker.getRegistration().then(each => each?.update())"
        )
        until(visit, "caches.keys().then(names => names.length === 0)")
        visit.page.goto(f"{host}/g/{code}/keep/")
        visit.page.wait_for_timeout(300)
        said = visit.page.locator("main").inner_text()
        assert "by themselves" not in said
        assert "kept already" not in said
        assert visit.page.get_by_role("button").count() == 0


def test_the_plan_fits_the_narrowest_phone_and_each_mark_is_a_target(
    browser: Browser, host: str, demo: Demo
) -> None:
    """Nothing scrolls sideways at 320 px, a mark is 24 px at least (WCAG 2.2, 2.5.8), and leads to
    its thing or, where it stands for several, to their list. One system is shown without script."""
    guide = f"{host}/g/{demo.guides['mill-lane/04'].name}"
    with Visit(browser, (320, 640), "light") as visit:
        visit.page.goto(f"{guide}/plan/")
        assert visit.page.evaluate("document.documentElement.scrollWidth") <= 320
        marks = visit.page.locator("svg .marks-0 a")
        boxes = [each.locator("path").bounding_box() or {} for each in marks.all()]
        assert len(boxes) > 15
        assert min(min(box["width"], box["height"]) for box in boxes) >= 24 * 0.8
        several = visit.page.locator("svg .marks-0 a[href^='#at-']").first
        several.click()
        expect(visit.page.locator("h3:target")).to_be_visible()
        alone = visit.page.locator("svg .marks-0 a:not([href^='#'])").first
        named = (alone.get_attribute("aria-label") or "").partition(" ")[2]
        alone.click()
        expect(visit.page.get_by_role("heading", level=1)).to_have_text(named)
        visit.page.goto(f"{guide}/plan/#show-1")
        assert not visit.page.locator("svg .marks-0").first.is_visible()
        assert visit.page.locator("svg .marks-1").first.is_visible()


def test_the_text_of_plans_stays_in_its_boxes(browser: Browser) -> None:
    """What is assumed of the width of text holds in a real browser, with Debian's widest typeface."""
    seen = {traced.home.house_type.name: traced.home for traced in homes_of_the_demo().values()}
    style = (PROJECT / "site_templates/theme/assets/handover.css").read_text(encoding="utf-8")
    page = browser.new_page()
    assert len(seen) == 12
    for home in seen.values():
        plans = Plans(home, pieces_of(home))
        for floor in plans.bases:
            plan = plans.full(floor)
            page.set_content(f"<style>{style}</style>{full_svg(plan, 'plan')}")
            lines = page.evaluate(BOXES, ".name")
            pins = page.evaluate(BOXES, ".pin text")
            written = [name for name in plan.names for _ in name.lines]
            assert len(lines) == len(written)
            assert len(pins) == len(plan.pins)
            for (left, top, width, height), name in zip(lines, written, strict=True):
                assert name.box.grown(1).encloses(Box(left, top, left + width, top + height)), name
            for left, _, width, _ in pins:
                assert left >= -PIN / 2
                assert left + width <= PIN / 2
    page.close()


BOXES = """
(selector) => [...document.querySelectorAll(selector)].map((each) => {
  const { x, y, width, height } = each.getBBox();
  return [x, y, width, height];
})
"""
