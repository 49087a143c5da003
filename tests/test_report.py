"""Report a fault: e-mails and calls made ready, read back by readers of addresses that are not ours."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from bs4 import BeautifulSoup, Tag
from playwright.sync_api import Browser, expect

from builder.guide.report_pages import LONGEST, mail_address
from builder.preparing import Preparation, prepare
from builder.proof.allowed import PageKind
from builder.proof.judging import judge
from tests.broken_workspaces import run
from tests.demo import Demo, served
from tests.demonstrations import prepared_demo
from tests.test_browser import axe_violations

DAY = date(2026, 11, 28)
PLOT, WITHOUT_GAS = "mill-lane/07", "harbour-view/05"


@pytest.fixture(scope="module")
def homes() -> Preparation:
    return prepared_demo()


@pytest.fixture(scope="module")
def guide(demo: Demo) -> Path:
    return demo.guides[PLOT]


@pytest.fixture(scope="module")
def host(demo: Demo) -> Iterator[str]:
    with served(demo.public) as address:
        yield address


def report(guide: Path) -> BeautifulSoup:
    return BeautifulSoup(
        (guide / "report" / "index.html").read_text(encoding="utf-8"), "html.parser"
    )


def read_mail(address: str) -> tuple[str, str, list[str]]:
    parts = urlsplit(address)
    asked = parse_qs(parts.query, strict_parsing=True, keep_blank_values=True)
    assert parts.scheme == "mailto"
    assert sorted(asked) == ["body", "subject"]
    return parts.path, asked["subject"][0], asked["body"][0].split("\r\n")


def test_each_thing_of_every_demo_home_can_be_reported(homes: Preparation) -> None:
    for reference, prepared in homes.plots.items():
        page = prepared.guide.page("page:report")
        assert page is not None
        things = [thing for room in page.values["rooms"] for thing in room.things]
        assert {each.id for each in prepared.about.pieces} <= {each.id for each in things}
        assert [room.id for room in page.values["rooms"]] == list(prepared.traced.home.rooms)
        for thing in things:
            for mail in thing.mails:
                assert len(mail.address) <= LONGEST, (reference, thing.id)


def test_the_e_mail_says_all_that_is_asked_for(guide: Path) -> None:
    thing = report(guide).find(id="thing-stopcock")
    assert isinstance(thing, Tag)
    link = thing.select_one(".report-mail a")
    assert isinstance(link, Tag)
    to, subject, lines = read_mail(str(link["href"]))
    assert to == "care@fennimarsh.example"
    assert subject == "Fault, plot 07, Mill Lane: Stopcock, Kitchen"
    code = lines[4].removeprefix("Sticker: ")
    assert lines == [
        "Home: plot 07, Mill Lane, 6 Teasel Row, Orrinford, ZZ99 1AA",
        "Room: Kitchen, Ground floor",
        "Thing: Stopcock",
        "Where: in the cupboard under the sink, low down at the back on the side of the boiler",
        f"Sticker: {code}",
        "",
        "What is wrong:",
        "Since when:",
        "What I tried:",
        "",
        "Photographs: where the water comes out, what it has wetted, and the whole thing with its sticker.",
        "",
    ]  # fmt: skip
    assert (guide.parents[1] / "Q" / code / "index.html").is_file()
    assert f"Sticker {code}." in thing.get_text()


def test_what_is_dangerous_says_first_whom_to_call(guide: Path) -> None:
    page = report(guide)
    first = page.select_one(".report > .handover-caution")
    assert isinstance(first, Tag)
    assert first.get_text(" ", strip=True).startswith("Danger? Call first. Do not write.")
    assert [each["href"] for each in first.select("li a")] == ["tel:999", "tel:0800111999"]
    for name, says in (
        ("boiler", "Do you smell gas? Do not write. Go outside and call 0800 111 999."),
        ("consumer-unit", "Sparks, smoke or a smell of burning? Do not write. Go outside and call 999."),
        ("heat-alarm", "Is an alarm sounding? Do not write. Get everyone out and call 999."),
    ):  # fmt: skip
        thing = page.find(id=f"thing-{name}")
        assert isinstance(thing, Tag)
        paragraphs = [each.get_text() for each in thing.select("p")]
        assert paragraphs[1] == says
        assert paragraphs[-1].startswith("E-mail ")


def test_only_a_home_with_gas_is_told_of_its_smell(demo: Demo) -> None:
    said = [
        first.get_text(" ", strip=True)
        for plot in (PLOT, WITHOUT_GAS)
        for first in report(demo.guides[plot]).select(".report > .handover-caution")
    ]
    told = (
        "Danger? Call first. Do not write. Fire,{} smoke, sparks, water running near electricity,"
    )
    assert said[0].startswith(told.format(" a smell of gas,"))
    assert said[1].startswith(told.format(""))


def test_the_number_of_the_emergency_services_is_the_one_that_the_home_has(cottage: Path) -> None:
    standard = cottage / "housetypes" / "standard.yaml"
    said = standard.read_text(encoding="utf-8")
    assert 'telephone: "999"' in said
    standard.write_text(said.replace('telephone: "999"', 'telephone: "112"'), encoding="utf-8")
    page = prepare(cottage, ("riverside/01",), DAY).plots["riverside/01"].guide.page("page:report")
    assert page is not None
    dangers = {thing.danger for room in page.values["rooms"] for thing in room.things}
    assert any(each.endswith(" call 112.") for each in dangers)
    assert not any("999" in each for each in dangers)


def test_a_thing_names_whom_the_home_says_to_call_for_it() -> None:
    """Sprinklers are the factor's. Who runs the heat network answers for its interface unit anyway, and the
    number for power cuts stands at the top of the page."""
    page = prepared_demo().homes["shore-court/01"].guide.page("page:report")
    assert page is not None
    calls = {thing.id: thing.call for room in page.values["rooms"] for thing in room.things}
    valve = calls["sprinkler-valve"]
    assert valve is not None
    assert (valve.name, valve.telephone) == ("Braemoray Factors", "020 7946 0530")
    assert (calls["heat-unit"], calls["electric-meter"]) == (None, None)


def test_a_page_without_an_e_mail_speaks_of_none(
    cottage: Path, tmp_path: Path, guide: Path
) -> None:
    """Nobody of the cottage has an e-mail address."""
    out = tmp_path / "public"
    done = run("build", "riverside/01", "--workspace", str(cottage), "--out", str(out))
    assert done.exit_code == 0, done.output
    (without,) = (out / "g").iterdir()
    assert report(without).select(".report-mail") == []
    says = "This page sends nothing."
    assert report(without).find("p", string=says) is not None
    assert report(guide).find("p", string=says) is None
    assert "Each link opens an e-mail" in report(guide).get_text()


def test_the_makers_answer_for_appliances_and_get_no_e_mail_of_the_builder(guide: Path) -> None:
    oven = report(guide).find(id="thing-oven")
    assert isinstance(oven, Tag)
    assert "The maker" in oven.get_text()
    assert oven.select(".report-mail") == []


def test_nothing_private_is_reported(guide: Path, homes: Preparation) -> None:
    text = report(guide).get_text() + str(report(guide))
    own = homes.plots[PLOT].plot.own
    assert own is not None
    serials = own.child("serials")
    assert serials is not None
    for each in serials.children.values():
        assert str(each.value) not in text


def test_long_words_of_any_letters_are_coded_and_never_too_long() -> None:
    lines = ("Home: Tŷ Ffwrnais & Co, 50% + 1?", *("x" * 300 for _ in range(9)))
    address = mail_address("care@builder.example", 'A "fault" & more', lines)
    to, subject, body = read_mail(address)
    assert (to, subject, body[0]) == ("care@builder.example", 'A "fault" & more', lines[0])
    assert len(address) <= LONGEST
    assert len(body) < len(lines)


@pytest.mark.parametrize(
    "address",
    [
        "mailto:a@b.example?subject=x&amp;body=y&amp;bcc=z@b.example",
        "mailto:a@b.example?bcc=z@b.example",
        "mailto:a@b.example,c@d.example",
        "mailto:?subject=x&amp;body=y",
        "mailto:a@b.example?subject=x&amp;body=&lt;y&gt;",
    ],
)
def test_no_other_address_of_an_e_mail_may_stand_in_a_page(address: str) -> None:
    page = f'<main><p><a href="{address}">Write</a></p></main>'
    codes = [each.code for each in judge(page, PageKind("main")).refused]
    assert codes == ["proof.address"]
    fine = (
        '<main><p><a href="mailto:a@b.example?subject=x%20y&amp;body=z%0D%0A">Write</a></p></main>'
    )
    assert judge(fine, PageKind("main")).refused == ()


def test_every_page_and_every_thing_and_sticker_lead_to_the_report(guide: Path) -> None:
    for path in guide.rglob("*.html"):
        soup = BeautifulSoup(path.read_text(encoding="utf-8"), "html.parser")
        link = soup.select_one("body > footer a")
        assert isinstance(link, Tag), path
        assert (path.parent / str(link["href"])).resolve() == guide / "report"
    known = {str(each["id"]) for each in report(guide).select(".report-thing")}
    for path in guide.glob("equipment/*/index.html"):
        assert f'report/#thing-{path.parent.name}"' in path.read_text(encoding="utf-8")
        assert f"thing-{path.parent.name}" in known
    sticker = next(
        each
        for each in (guide.parents[1] / "Q").glob("*/index.html")
        if "<h1>Stopcock" in each.read_text(encoding="utf-8")
    )
    assert "/report/#thing-stopcock" in sticker.read_text(encoding="utf-8")


@pytest.mark.parametrize("size", [(320, 640), (1280, 900)], ids=["phone", "desktop"])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    size: tuple[int, int], browser: Browser, host: str, guide: Path
) -> None:
    url = f"{host}/g/{guide.name}/report/"
    context = browser.new_context(viewport={"width": size[0], "height": size[1]})
    page = context.new_page()
    page.goto(url)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    context.close()
    assert axe_violations(browser, url, size, "dark") == []


def test_without_script_a_thing_is_shown_alone_with_its_e_mail(
    browser: Browser, host: str, guide: Path
) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{host}/g/{guide.name}/equipment/stopcock/")
    page.get_by_role("link", name="Report a fault with it").click()
    expect(page.locator("#thing-stopcock .report-mail a")).to_be_visible()
    assert page.locator("#thing-boiler").is_hidden()
    page.get_by_role("link", name="Something else").click()
    expect(page.locator("#thing-boiler")).to_be_visible()
    context.close()


def test_after_the_builders_time_nobody_is_written_to_and_the_owner_is_told(
    browser: Browser, host: str, guide: Path
) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.clock.set_fixed_time("2029-01-10T10:00:00")
    requests: list[str] = []
    page.on("request", lambda request: requests.append(request.url))
    page.goto(f"{host}/g/{guide.name}/report/#thing-stopcock")
    page.wait_for_timeout(300)
    expect(page.locator(".report-who:visible")).to_contain_text("Nobody else owes you the repair.")
    assert page.locator("#thing-stopcock .report-mail").is_hidden()
    for name, hired in (
        ("stopcock", "From 27 June 2028 on, have it put right by a registered plumber."),
        ("boiler", "From 27 June 2028 on, have it put right by a registered gas engineer."),
        ("gas-meter", "From 27 June 2028 on, have it put right by your gas supplier."),
    ):
        assert page.locator(f"#thing-{name} .report-hire").text_content() == hired
    expect(page.locator("#thing-stopcock .report-hire")).to_be_visible()
    structure = page.locator(".report-other", has_text="Damage to the structure")
    assert "Structural cover" in structure.inner_text()
    assert "Your builder" not in structure.inner_text()
    expect(structure.get_by_role("link", name="E-mail Fennimarsh structural")).to_be_visible()
    assert all(each.startswith(host) for each in requests)
    context.close()


def test_on_a_day_on_which_nobody_answers_everything_stays_shown(
    browser: Browser, host: str, guide: Path
) -> None:
    """Before legal completion no cover runs: who will answer, and every e-mail, is there to read."""
    context = browser.new_context()
    page = context.new_page()
    page.clock.set_fixed_time("2020-01-10T10:00:00")
    page.goto(f"{host}/g/{guide.name}/report/")
    page.wait_for_function("document.querySelector('script[src$=\"handover-dates.js\"]')")
    page.wait_for_timeout(300)
    assert page.locator(".report-who").count() > 1
    assert page.locator(".report-mail").count() > 20
    assert page.locator(".report [data-from]:not(:visible)").count() == 0
    context.close()


def test_what_is_wrong_and_what_was_tried_go_along(
    browser: Browser, host: str, guide: Path
) -> None:
    """From a page of what is wrong, by keyboard, into the e-mail of the thing."""
    path = next(
        each.parent.relative_to(guide).as_posix()
        for each in sorted(guide.glob("wrong/*/index.html"))
        if each.read_text(encoding="utf-8").count("data-report") == 1
        and "<ol>" in each.read_text(encoding="utf-8")
    )
    context = browser.new_context()
    page = context.new_page()
    page.clock.set_fixed_time("2026-12-10T10:00:00")
    page.goto(f"{host}/g/{guide.name}/{path}/")
    title = page.locator("h1").inner_text()
    section = page.locator(".way:has([data-report])")
    page.goto(f"{host}/g/{guide.name}/{path}/#{section.get_attribute('id')}")
    page.wait_for_timeout(300)
    steps = section.locator("ol > li").all_inner_texts()
    page.locator("[data-report]").focus()
    page.keyboard.press("Enter")
    expect(page.locator("[data-report-page]")).to_contain_text(f"Your e-mail will say: {title}")
    address = page.locator("#thing-in-kitchen .report-mail a").get_attribute("href")
    _, _, lines = read_mail(address or "")
    assert f"What is wrong: {title}" in lines
    assert [f"- {each}" for each in steps] == [each for each in lines if each.startswith("- ")]
    context.close()


@pytest.mark.parametrize(
    ("day", "wrong", "steps", "said"),
    [
        ("2026-12-10", "It drips", ["Shut it."], "Your e-mail will say: It drips, and what you tried."),
        ("2026-12-10", "It drips", ["x" * 1_900], "Your e-mail will say: It drips."),
        ("2026-12-10", "It drips", [], "Your e-mail will say: It drips."),
        ("2026-12-10", "x" * 1_900, ["Shut it."], ""),
        ("2029-01-10", "It drips", ["Shut it."], "Your e-mail will say: It drips, and what you tried."),
    ],
    ids=["all", "steps too long", "nothing tried", "too long", "to whoever answers for the rest"],
)  # fmt: skip
def test_only_what_an_e_mail_says_is_promised(
    day: str, wrong: str, steps: list[str], said: str, browser: Browser, host: str, guide: Path
) -> None:
    context = browser.new_context()
    page = context.new_page()
    page.clock.set_fixed_time(f"{day}T10:00:00")
    first = f"/g/{guide.name}/"
    page.goto(f"{host}{first}find/")
    page.evaluate(
        "([key, kept]) => sessionStorage.setItem(key, JSON.stringify(kept))",
        [f"handover-tried {first}", [wrong, steps]],
    )
    page.goto(f"{host}{first}report/")
    page.wait_for_function("key => !sessionStorage.getItem(key)", arg=f"handover-tried {first}")
    place = page.locator("[data-report-page]")
    assert place.is_visible() == bool(said)
    assert place.inner_text() == said
    for link in page.locator(".report-mail:not([hidden]) a").all():
        address = link.get_attribute("href") or ""
        assert len(address) <= LONGEST
        lines = read_mail(address)[2]
        assert (f"What is wrong: {wrong}" in lines) == bool(said)
        assert (f"- {''.join(steps)}" in lines) == ("what you tried" in said)
    context.close()
