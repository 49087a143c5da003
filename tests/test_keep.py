"""A whole guide on its reader's device, where they ask for it: kept, brought up to date, and taken off."""

import json
import re
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.broken_workspaces import run
from tests.conftest import COTTAGE
from tests.demo import served
from tests.test_browser import PHONE, Visit, axe_violations, kept

KEEP = "Keep the whole guide on this device"
FAR = "details/"
"""A page that nobody has read and that no emergency is about."""


def built(workspace: Path, out: Path) -> Path:
    done = run("build", "riverside/01", "--workspace", str(workspace), "--out", str(out))
    assert done.exit_code == 0, done.output
    return next((out / "g").iterdir())


@pytest.fixture(scope="module")
def guide(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The guide of the small example, for tests that leave it as it was."""
    folder = tmp_path_factory.mktemp("keep")
    shutil.copytree(COTTAGE, folder / "cottage")
    return built(folder / "cottage", folder / "public")


def test_the_list_names_every_file_with_its_bytes(guide: Path) -> None:
    rows = json.loads((guide / "kept.json").read_text(encoding="utf-8"))
    own = {
        re.sub(r"index\.html$", "", path.relative_to(guide).as_posix()) or "./": path
        for path in guide.rglob("*")
        if path.is_file() and path.name not in ("worker.js", "kept.json")
    }
    assert {name for name, _, _ in rows if not name.startswith("../")} == set(own)
    for name, _, size in rows:
        path = own.get(name) or (guide / name).resolve()
        assert path.stat().st_size == size, name


def test_a_guide_is_kept_whole_brought_up_to_date_and_taken_off(
    cottage: Path, tmp_path: Path, browser: Browser
) -> None:
    workspace, out = cottage, tmp_path / "public"
    code = built(workspace, out).name
    with served(out) as host, Visit(browser, PHONE, "light") as visit:
        page, guide = visit.page, f"{host}/g/{code}"
        page.goto(f"{guide}/keep/")
        kept(visit)
        rows = json.loads((out / "g" / code / "kept.json").read_text(encoding="utf-8"))
        size = f"{round(sum(row[2] for row in rows) / 1e3)} kB"
        expect(page.get_by_role("status")).to_have_text(
            f"The emergency pages are kept already. The whole guide takes {size}."
        )
        expect(page.get_by_text("stay on your device by themselves")).to_be_visible()
        expect(page.get_by_text("this device needs script")).to_be_hidden()
        page.get_by_role("button", name=KEEP).focus()
        page.keyboard.press("Enter")
        whole = f"The whole guide is kept on this device: {len(rows)} files, {size}. It opens without a network."  # fmt: skip
        expect(page.get_by_role("status")).to_have_text(whole, timeout=30_000)

        visit.context.set_offline(True)
        page.goto(f"{guide}/{FAR}")
        assert page.locator("h1").inner_text() != "In an emergency"
        page.goto(f"{guide}/find/")
        page.get_by_label("Find in this guide").fill("water")
        expect(page.get_by_role("status")).to_contain_text("pages")
        visit.context.set_offline(False)

        standard = workspace / "housetypes" / "standard.yaml"
        text = standard.read_text(encoding="utf-8")
        article = next((workspace / "content" / "articles").glob("*.md"))
        said = article.read_text(encoding="utf-8")
        title = re.search(r"^title: (.*)$", said, re.MULTILINE)
        assert title
        article.write_text(
            said.replace(title[0], f"{title[0]} anew", 1).rstrip() + "\n", encoding="utf-8"
        )
        built(workspace, out)
        assert text == standard.read_text(encoding="utf-8")
        page.goto(f"{guide}/")
        page.wait_for_timeout(2500)
        visit.context.set_offline(True)
        page.goto(f"{guide}/articles/{article.stem}/")
        expect(page.locator("h1")).to_have_text(f"{title[1]} anew")
        page.goto(f"{guide}/keep/")
        expect(page.get_by_role("status")).to_contain_text("There is no network now.")
        visit.context.set_offline(False)

        page.goto(f"{guide}/keep/")
        page.get_by_role("button", name="Take it off this device").click()
        expect(page.get_by_role("button", name=KEEP)).to_be_visible()
        names = page.evaluate("caches.keys()")
        assert [name for name in names if name.startswith("whole")] == []
        visit.context.set_offline(True)
        page.goto(f"{guide}/{FAR}")
        assert page.locator("h1").inner_text() == "In an emergency", "these stay, as before"


def test_a_file_that_does_not_come_is_said_and_what_came_stays(
    guide: Path, tmp_path: Path, browser: Browser
) -> None:
    (guide / FAR).rename(tmp_path / "away")
    with served(guide.parents[1]) as host, Visit(browser, PHONE, "light") as visit:
        visit.page.goto(f"{host}/g/{guide.name}/keep/")
        kept(visit)
        visit.page.get_by_role("button", name=KEEP).click()
        expect(visit.page.get_by_role("status")).to_have_text(
            "Not all of it could be kept. What is there stays.", timeout=30_000
        )
        (tmp_path / "away").rename(guide / FAR)
        visit.page.get_by_role("button", name="Try again").click()
        expect(visit.page.get_by_role("status")).to_contain_text("It opens without", timeout=30_000)


def test_without_script_the_page_says_what_is_needed(guide: Path, browser: Browser) -> None:
    code = guide.name
    with served(guide.parents[1]) as host:
        with Visit(browser, (320, 640), "light", script=False) as visit:
            visit.page.goto(f"{host}/g/{code}/keep/")
            expect(visit.page.locator("main")).to_contain_text("this device needs script")
            assert visit.page.get_by_role("button").count() == 0
            assert visit.page.get_by_text("stay on your device by themselves").is_hidden()
        for size in ((320, 640), (1280, 900)):
            url = f"{host}/g/{code}/keep/"
            assert axe_violations(browser, url, size, "dark") == []
