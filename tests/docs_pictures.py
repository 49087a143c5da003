"""Draws the pictures of README and docs/ again, from the demo in Debian's Chromium.

``python -m tests.docs_pictures``: run it after a change of how pages look, and look at what it drew.
"""

import io
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from tests.broken_workspaces import run
from tests.chromium import CHROMIUM, FLAGS
from tests.demo import PROJECT, served

PICTURES = PROJECT / "docs/pictures"
PLOT, DAY = "mill-lane/07", "2026-11-28"
WIDTH, HEIGHT = 390, 780
"""A telephone's screen, in points."""


def main() -> None:
    """Builds one guide of the demo and keeps a picture of each kind of page."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        public = Path(folder) / "public"
        built = run("build", PLOT, "--workspace", str(PROJECT), "--out", str(public), "--date", DAY)
        assert built.exit_code == 0, built.output
        with served(public) as host, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
            for name, path in _pages(public).items():
                _keep(browser, f"{host}/{path}", PICTURES / f"{name}.webp")
            browser.close()


def _pages(public: Path) -> dict[str, str]:
    guide = next((public / "g").iterdir()).name
    return {"guide": f"g/{guide}/", "sticker": _sticker(public)}


def _sticker(public: Path) -> str:
    """The page behind the stopcock's sticker."""
    pages = sorted((public / "Q").glob("*/index.html"))
    found = next(each for each in pages if "<h1>Stopcock</h1>" in each.read_text(encoding="utf-8"))
    return f"Q/{found.parent.name}/"


def _keep(browser: Browser, address: str, file: Path) -> None:
    page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT}, device_scale_factor=1.5)
    page.goto(address, wait_until="networkidle")
    Image.open(io.BytesIO(page.screenshot())).save(file, quality=70, method=6)
    page.close()


if __name__ == "__main__":
    main()
