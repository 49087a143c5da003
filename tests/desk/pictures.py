"""The pictures of ``docs/desk.md``, taken of the demo in Chromium.

``python -m tests.desk.pictures`` takes them again.
"""

import io
import shutil
import sys
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image
from playwright.sync_api import sync_playwright

from tests.desk.desks import opened

PROJECT = Path(__file__).parent.parent.parent
FOLDER = PROJECT / "docs" / "pictures" / "desk"
DAY = date(2026, 6, 10)
SIZE, WIDTH = {"width": 1280, "height": 860}, 960
PICTURES = {
    "today": "/",
    "plot": "/plots/mill-lane/07",
    "record": "/plots/mill-lane/07/record",
    "release": "/release",
}


def main() -> int:
    """Open the demo at a desk, wait until all plots were looked at, and take each picture."""
    with TemporaryDirectory() as folder, sync_playwright() as playwright:
        root = Path(folder) / "demo"
        for name in ("housetypes", "content", "developments/mill-lane", "developments/shore-court"):
            shutil.copytree(PROJECT / name, root / name)
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])  # fmt: skip
        with opened(root, DAY) as desk:
            page = browser.new_context(viewport=SIZE, locale="en-GB", java_script_enabled=False).new_page()  # fmt: skip
            page.set_default_timeout(120_000)
            page.goto(desk)
            FOLDER.mkdir(exist_ok=True)
            while page.get_by_text("still to be looked at").count():
                page.wait_for_timeout(1_000)
                page.goto(desk)
            for name, path in PICTURES.items():
                page.goto(f"{desk}{path}", wait_until="networkidle")
                _keep(page.screenshot(), FOLDER / f"{name}.webp")
        browser.close()
    return 0


def _keep(content: bytes, file: Path) -> None:
    with Image.open(io.BytesIO(content)) as picture:
        picture.thumbnail((WIDTH, WIDTH))
        picture.convert("RGB").save(file, "WEBP", quality=82, method=6)


if __name__ == "__main__":
    sys.exit(main())
