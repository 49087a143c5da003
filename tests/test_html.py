"""The HTML of guides, by an independent parser and by the validator of the W3C's checker."""

import json
import shutil
import subprocess
from pathlib import Path

import html5lib
import pytest

from tests.demo import Demo

VALIDATOR = (
    Path(__file__).parent / "tools" / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"
)
PLOTS = (
    "mill-lane/01",
    "mill-lane/03",
    "mill-lane/05",
    "mill-lane/07",
    "harbour-view/01",
    "harbour-view/05",
)
"""At least one plot of each house type."""


@pytest.mark.parametrize("plot", PLOTS)
def test_pages_parse_without_an_error(plot: str, demo: Demo) -> None:
    """html5lib in strict mode stops at any parse error of the HTML standard."""
    pages = sorted(demo.guides[plot].rglob("*.html"))[::8]
    for page in pages:
        html5lib.HTMLParser(strict=True).parse(page.read_text(encoding="utf-8"))


def test_pages_are_valid(demo: Demo) -> None:
    java = shutil.which("java")
    assert java, "Install Debian's default-jre-headless: the gate never skips this test."
    assert VALIDATOR.exists(), "Run: make tools"
    pages = [str(page) for plot in PLOTS for page in sorted(demo.guides[plot].rglob("index.html"))]
    pages += [str(page) for page in sorted(demo.public.glob("Q/*/index.html"))]
    checked = subprocess.run(
        [java, "-Xss2m", "-jar", str(VALIDATOR), "--format", "json", "--exit-zero-always", *pages],
        capture_output=True,
        text=True,
        check=True,
    )
    messages = json.loads(checked.stderr)["messages"]
    errors = {
        f"{Path(each['url']).parent.name}: {each['message']} {each.get('extract', '')[:120]}"
        for each in messages
        if each["type"] == "error"
    }
    assert errors == set()
