"""A guide in one file: unpacked by another reader, and opened in Chromium from a disk, with no server."""

import posixpath
import shutil
import zipfile
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from playwright.sync_api import Browser, expect

from tests.broken_workspaces import run
from tests.conftest import COTTAGE

PLOT = "riverside/02"


def copied(out: Path, plot: str = PLOT, workspace: Path = COTTAGE) -> str:
    done = run("copy", plot, "--workspace", str(workspace), "--out", str(out), "--date", "2026-11-28")  # fmt: skip
    assert done.exit_code == 0, done.output
    return done.output


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("a copy & more")
    copied(folder / "guide.zip")
    with zipfile.ZipFile(folder / "guide.zip") as file:
        assert file.testzip() is None
        file.extractall(folder)
    return folder / "riverside-02"


def test_the_same_guide_gives_the_same_bytes(tmp_path: Path) -> None:
    said = copied(tmp_path / "one.zip")
    copied(tmp_path / "other.zip")
    content = (tmp_path / "one.zip").read_bytes()
    assert content == (tmp_path / "other.zip").read_bytes()
    name = (tmp_path / "one.zip").as_posix()
    assert said.endswith(f"{name}  {len(content):,} bytes. Unpack it, and open index.html.\n")


def test_every_link_names_a_file_that_is_there_and_every_place_in_it(unpacked: Path) -> None:
    pages = {
        path: BeautifulSoup(path.read_text(encoding="utf-8"), "html.parser")
        for path in unpacked.rglob("*.html")
    }
    seen = 0
    for path, soup in pages.items():
        for element in soup.select("[href], [src]"):
            target = str(element.get("href") or element.get("src"))
            if target.startswith(("tel:", "mailto:", "data:", "#")):
                continue
            file, _, place = target.partition("#")
            led = (path.parent / file).resolve()
            assert led.is_file(), f"{path}: {target}"
            assert led.is_relative_to(unpacked.resolve()), target
            if place and led in pages:
                assert pages[led].find(id=place), f"{path}: {target}"
            seen += 1
    assert seen > 500


def test_it_opens_from_a_disk_and_leads_everywhere(unpacked: Path, browser: Browser) -> None:
    context = browser.new_context()
    page = context.new_page()
    complaints: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto((unpacked / "index.html").as_uri())
    page.get_by_role("link", name="Show me round").first.click()
    page.locator(".round-stops a").first.click()
    page.locator(".stop-next").click()
    expect(page.locator("h1")).to_have_text("Hall")
    page.locator(".bar-find").click()
    page.get_by_label("Find in this guide").fill("stopcock")
    page.locator(".handover-found a").first.click()
    assert page.locator("h1").inner_text()
    assert page.url.endswith("/index.html")
    page.goto((unpacked / "keep" / "index.html").as_uri())
    assert page.get_by_role("button").count() == 0
    assert page.get_by_text("stay on your device by themselves").is_hidden()
    expect(page.locator("main")).to_contain_text(
        "A copy on a disk or in a folder is whole already."
    )
    assert complaints == []
    assert [each for each in asked if not each.startswith(("file:", "data:"))] == []
    context.close()


def test_a_copy_holds_only_its_guide(unpacked: Path) -> None:
    names = {
        path.relative_to(unpacked).as_posix() for path in unpacked.rglob("*") if path.is_file()
    }
    assert "index.html" in names
    assert not {"worker.js", "find/words.json", "sitemap.xml"} & names
    assert all(posixpath.normpath(each) == each for each in names)
    whole = b"".join((unpacked / each).read_bytes() for each in names if each.endswith(".html"))
    assert b"http://" not in whole.replace(b"http://www.w3.org/2000/svg", b"")
    assert b"data-keeps" not in whole
    assert b"data-clears" not in whole


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("riverside/02", "guide.tar"), "Error: 'guide.tar' does not end in .zip."),
        (("riverside", "guide.zip"), "Error: 'riverside' is no single plot. Name one: <development>/<plot>."),
        (("riverside/20", "guide.zip"), "Error: There is no plot 'riverside/20'. Did you mean 'riverside/02'?"),
    ],
)  # fmt: skip
def test_what_cannot_be_copied_is_said(
    arguments: tuple[str, str], message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    done = run("copy", arguments[0], "--workspace", str(COTTAGE), "--out", arguments[1])
    assert done.exit_code == 2
    assert done.output.strip() == message
    assert list(tmp_path.iterdir()) == []


def test_no_copy_goes_into_a_published_tree_or_over_sources(tmp_path: Path, cottage: Path) -> None:
    (tmp_path / "public" / "g").mkdir(parents=True)
    (tmp_path / "public" / "_headers").write_text("")
    done = run("copy", PLOT, "--workspace", str(COTTAGE), "--out", str(tmp_path / "public" / "a.zip"))  # fmt: skip
    assert "is a published tree, and a copy is for one reader. Write it elsewhere." in done.output
    done = run("copy", PLOT, "--workspace", str(cottage), "--out", str(cottage / "content" / "a.zip"))  # fmt: skip
    assert "where sources are. Name a folder of its own." in done.output


def test_a_plot_with_mistakes_is_not_copied(cottage: Path, tmp_path: Path) -> None:
    path = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("room: hall", "room: nowhere"))
    out = tmp_path / "guide.zip"
    done = run("copy", PLOT, "--workspace", str(cottage), "--out", str(out))
    assert done.exit_code == 1
    assert done.output.endswith("Not copied: riverside/02.\n")
    assert not out.exists()


def test_a_copy_holds_every_language_of_its_guide(tmp_path: Path, browser: Browser) -> None:
    """In a page of each the reader finds the other, and what is looked for in that language."""
    development = "developments/riverside/development.yaml"
    workspace = Path(shutil.copytree(COTTAGE, tmp_path / "cottage"))
    text = (workspace / development).read_text("utf-8")
    (workspace / development).write_text(f"languages: [cy]\n{text}", "utf-8")
    copied(tmp_path / "guide.zip", "riverside/01", workspace)
    with zipfile.ZipFile(tmp_path / "guide.zip") as file:
        file.extractall(tmp_path)
    guide = tmp_path / "riverside-01"
    assert (guide / "cy/calendar.ics").is_file()
    test_every_link_names_a_file_that_is_there_and_every_place_in_it(guide)
    with browser.new_context() as device:
        page = device.new_page()
        page.goto((guide / "emergency/index.html").as_uri())
        page.locator(".languages a[hreflang=cy]").click()
        expect(page.locator("h1")).to_have_text("Mewn argyfwng")
        page.goto((guide / "cy/find/index.html").as_uri())
        page.get_by_label("Chwilio yn y canllaw hwn").fill("stopfalf")
        expect(page.locator(".handover-found a").first).to_be_visible()
