"""The pages for those who use the builder: a small site without a warning, and every link leads somewhere."""

import logging
import re
from pathlib import Path

import pytest
from mkdocs.commands.build import build
from mkdocs.config import load_config
from PIL import Image

from tests.conftest import PROJECT

PAGES = ("technical-author", "sales", "desk", "site", "editor", "running", "workspace", "rules")
ONE_SCREEN = 50
"""Lines of the README: what one sees without scrolling far."""
LINK = re.compile(r"\]\(([^)#:]+)\)|src=\"([^\"]+)\"")


def test_the_pages_build_as_a_site_without_a_warning(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    config = load_config(str(PROJECT / "tests/tools/docs.yml"), site_dir=str(tmp_path / "site"))
    with caplog.at_level(logging.WARNING, logger="mkdocs"):
        build(config)
    assert not [each for each in caplog.records if each.levelno >= logging.WARNING]
    for name in PAGES:
        assert (tmp_path / "site" / name / "index.html").is_file()


@pytest.mark.parametrize(
    "file",
    ["README.md", *(f"docs/{each.name}" for each in sorted((PROJECT / "docs").glob("*.md")))],
)
def test_every_link_and_picture_is_there(file: str) -> None:
    text = (PROJECT / file).read_text(encoding="utf-8")
    for page, picture in LINK.findall(text):
        assert ((PROJECT / file).parent / (page or picture)).exists(), page or picture


def test_the_readme_is_one_screen_with_pictures() -> None:
    text = (PROJECT / "README.md").read_text(encoding="utf-8")
    assert len(text.splitlines()) <= ONE_SCREEN
    shown = re.findall(r'<img src="docs/pictures/([^"]+)"', text)
    assert [Path(each).parts[0] for each in shown] == ["guide.webp", "sticker.webp", "desk"]
    for each in shown:
        file = PROJECT / "docs/pictures" / each
        assert file.stat().st_size < 80_000, each
        with Image.open(file) as picture:
            assert picture.width >= 585, each


def test_every_reader_has_a_page_in_the_order_of_the_work() -> None:
    index = (PROJECT / "docs/index.md").read_text(encoding="utf-8")
    assert re.findall(r"\((\S+)\.md\)", index) == list(PAGES)
