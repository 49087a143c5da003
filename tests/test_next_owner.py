"""A home that is sold on: the guide drops the first weeks, counts covers as their terms say, and keeps codes."""

from datetime import date
from pathlib import Path

import pytest
from dateutil.relativedelta import relativedelta
from playwright.sync_api import sync_playwright

from builder.guide.pages import Guide
from builder.preparing import prepare
from tests.broken_workspaces import run
from tests.chromium import CHROMIUM, FLAGS
from tests.demo import served
from tests.test_browser import axe_violations

PLOT = "riverside/01"
DAY = date(2026, 11, 28)
COMPLETION = date(2026, 3, 31)
SOLD = date(2026, 9, 15)


def sold(cottage: Path, text: str) -> Path:
    plots = cottage / "developments" / "riverside"
    table = (plots / "plots.csv").read_text(encoding="utf-8")
    assert "2026-03-31" in table
    path = plots / "plots" / "01.yaml"
    before = path.read_text(encoding="utf-8") if path.exists() else ""
    if text:
        path.write_text(f"{before}\n{text}", encoding="utf-8")
    standard = cottage / "housetypes" / "standard.yaml"
    standard.write_text(standard.read_text(encoding="utf-8") + COVERS, encoding="utf-8")
    return cottage


COVERS = """
matters:
  faults: {name: Faults, includes: a leak}
  marks: {name: Marks, includes: a scratch}
  structure: {name: Structure, includes: damage to the roof}
covers:
  builder: {name: Your builder, contact: customer-care, matters: [faults], ends: 2 years, basis: common practice}
  marks: {name: Your builder, contact: customer-care, matters: [marks], ends: 1 year, next_owner: not-covered, basis: common practice}
  structural: {name: The structural cover, contact: customer-care, matters: [structure], ends: 10 years, notice: 4 weeks, basis: common practice}
  owner: {name: You, matters: [faults, marks, structure], basis: common practice}
"""
SALE = "later_owners: {second: {since: 2026-09-15}}\n"


def guide_of(cottage: Path) -> Guide:
    preparation = prepare(cottage, [PLOT], DAY)
    assert list(preparation.findings.errors) == []
    return preparation.plots[PLOT].guide


def lasts(guide: Guide) -> dict[str, date | None]:
    """The last day on which the first in line answers for each matter."""
    return {line.id: line.periods[0].last for line in guide.schedule.clock}


def test_covers_pass_on_end_or_ask_to_be_told(cottage: Path) -> None:
    guide = guide_of(sold(cottage, SALE))
    assert lasts(guide) == {
        "faults": COMPLETION + relativedelta(years=2),
        "marks": SOLD - relativedelta(days=1),
        "structure": SOLD + relativedelta(weeks=4),
    }
    entries = {entry.id: entry for entry in guide.schedule.entries}
    told = entries["cover.structural.notice"]
    assert (told.what, told.when) == (
        "The structural cover: tell them that the home is yours, or the cover ends.",
        "by 13 October 2026",
    )
    assert told.first == SOLD + relativedelta(weeks=4)


def test_a_cover_that_was_told_goes_on(cottage: Path) -> None:
    text = "later_owners: {second: {since: 2026-09-15, notice_given: [structural]}}\n"
    guide = guide_of(sold(cottage, text))
    assert lasts(guide)["structure"] == COMPLETION + relativedelta(years=10)
    assert "cover.structural.notice" not in {entry.id for entry in guide.schedule.entries}


def test_each_later_owner_tells_them_again(cottage: Path) -> None:
    text = (
        "later_owners:\n"
        "  third: {since: 2026-11-02}\n"
        "  second: {since: 2026-09-15, notice_given: [structural]}\n"
    )
    guide = guide_of(sold(cottage, text))
    assert lasts(guide)["structure"] == date(2026, 11, 30)
    page = guide.page("page:first-weeks")
    assert page is not None
    assert page.layout == "next-owner"
    assert page.values["since"] == date(2026, 11, 2)


def test_the_first_weeks_and_windows_that_were_another_owners_are_gone(cottage: Path) -> None:
    text = "later_owners: {second: {since: 2026-09-15}}\n"
    guide = guide_of(sold(cottage, text))
    assert [page.layout for page in guide.pages].count("first-weeks") == 0
    home = guide.page("page:home")
    assert home is not None
    assert (home.values["first_weeks"], home.values["deadlines"]) == ((), ())
    windows = [each for each in guide.schedule.entries if each.kind in ("closes", "opens")]
    assert all(each.first is None or each.first >= SOLD for each in windows)


def test_the_first_owners_guide_is_as_it_was(cottage: Path) -> None:
    guide = guide_of(sold(cottage, ""))
    assert [page.layout for page in guide.pages].count("first-weeks") == 1
    assert lasts(guide)["structure"] == COMPLETION + relativedelta(years=10)


def test_codes_stay_and_the_page_is_for_everybody(cottage: Path, tmp_path: Path) -> None:
    out = tmp_path / "public"
    build = ("build", "--workspace", str(cottage), "--out", str(out), "--date", "2026-11-28")
    assert run(*build).exit_code == 0
    assert run("stickers", "issue", PLOT, "--workspace", str(cottage)).exit_code == 0
    assert run(*build).exit_code == 0
    codes = {path.name for folder in ("g", "Q") for path in (out / folder).iterdir()}
    sold(cottage, SALE)
    done = run(*build)
    assert done.exit_code == 0, done.output
    assert {path.name for folder in ("g", "Q") for path in (out / folder).iterdir()} == codes
    guide = next(
        path
        for path in (out / "g").iterdir()
        if "yours since" in (path / "first-weeks" / "index.html").read_text()
    )
    page = (guide / "first-weeks" / "index.html").read_text(encoding="utf-8")
    assert "This home has been yours since" in page
    assert 'href="../first-weeks/"' in (guide / "find" / "index.html").read_text(encoding="utf-8")
    assert 'href="first-weeks/"' in (guide / "index.html").read_text(encoding="utf-8")
    with served(out) as host, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        for size in ((320, 640), (1280, 900)):
            assert (
                axe_violations(browser, f"{host}/g/{guide.name}/first-weeks/", size, "light") == []
            )
        browser.close()


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("later_owners: {second: {since: 2026-09-15, notice_given: [structurl]}}\n", "structurl"),
        ("later_owners: {second: {since: 2026-09-15, keys: [frontdoor]}}\n", "frontdoor"),
        ("later_owners: {second: {name: Mx Reader, since: 2026-09-15}}\n", "name"),
        ("later_owners: {second: {since: 2027-09-15}}\n", "which is still to come."),
        ("later_owners: {second: {since: 2026-03-31}}\n", "and legal completion is on 2026-03-31."),
    ],
)
def test_mistakes_are_told(text: str, message: str, cottage: Path) -> None:
    done = run("check", PLOT, "--workspace", str(sold(cottage, text)), "--date", "2026-11-28")
    found = [line for line in done.output.splitlines() if message in line]
    assert found, done.output
    assert "plots/01.yaml:" in done.output
