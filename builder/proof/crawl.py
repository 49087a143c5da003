"""Reads a finished site as a stranger would: links, anchors, addresses, and what a strict
Content-Security-Policy refuses. Knows nothing of how the site was made."""

import base64
import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import unquote, urldefrag, urlsplit

from lxml.etree import HTMLParser, XPath, fromstring

from builder.errors import Finding, Place

_LINKING = {"a": "href", "link": "href", "script": "src", "img": "src", "source": "src",
            "iframe": "src", "form": "action", "video": "src", "audio": "src", "object": "data"}  # fmt: skip
_SPOKEN_SCHEMES = ("tel", "mailto")


_TELLS = (
    "@id or @name or @href or @src or @action or @data or @style or self::script or self::style"
)
_TELLING = XPath(f"//*[{_TELLS}]")
"""The elements that define, lead or hold something inline."""
_TELLING_OR_HANDLING = XPath(f"//*[{_TELLS} or @*[starts-with(name(), 'on')]]")
_MAY_HANDLE = re.compile(rb"on[^\s<>=]*\s*=", re.IGNORECASE)
"""What stands in every text with an inline handler. To look for one at each element takes as long
again as all else."""


@dataclass(slots=True)
class ReadPage:
    """What one HTML file links to, defines and holds inline."""

    links: list[tuple[str, str, int]] = field(default_factory=list)
    anchors: set[str] = field(default_factory=set)
    scripts: list[str] = field(default_factory=list)
    styles: list[str] = field(default_factory=list)
    refused: list[tuple[str, int]] = field(default_factory=list)


def _executes(given: Mapping[str, str]) -> bool:
    """Whether a script is run; a block of data is not, and no policy minds it."""
    return given.get("type", "") in ("", "module", "text/javascript")


def read_page(path: Path) -> ReadPage:
    """One HTML file as the crawl sees it."""
    return read_text(path.read_bytes())


def read_text(text: bytes) -> ReadPage:
    """The text of one HTML file, in UTF-8, as the crawl sees it."""
    page = ReadPage()
    if not text.strip():
        return page
    tree = fromstring(text, parser=HTMLParser(encoding="utf-8"))
    telling = _TELLING_OR_HANDLING if _MAY_HANDLE.search(text) else _TELLING
    for element in telling(tree):
        _read(page, element.tag, dict(element.items()), element.sourceline or 1, element.text or "")
    return page


def _read(page: ReadPage, tag: str, given: Mapping[str, str], line: int, text: str) -> None:
    """One element: what it defines, where it leads, and what it holds inline."""
    if "id" in given:
        page.anchors.add(given["id"])
    if tag == "a" and "name" in given:
        page.anchors.add(given["name"])
    if given.get(_LINKING.get(tag, "")):
        page.links.append((tag, given[_LINKING[tag]], line))
    if tag == "style":
        page.styles.append(text)
    if tag == "script" and "src" not in given and _executes(given):
        page.scripts.append(text)
    if "style" in given:
        page.refused.append(("an inline style", line))
    page.refused += [(f"the inline handler '{name}'", line) for name in given if name[:2] == "on"]


@dataclass(frozen=True, slots=True)
class Crawl:
    """A whole site as it was read: its pages by path, and all its files."""

    pages: dict[str, ReadPage]
    files: frozenset[str]

    @property
    def script_hashes(self) -> frozenset[str]:
        """What a policy must name for the scripts that stand in pages."""
        return frozenset(
            content_hash(each) for page in self.pages.values() for each in page.scripts
        )

    @property
    def style_hashes(self) -> frozenset[str]:
        """What a policy must name for the style sheets that stand in pages."""
        return frozenset(content_hash(each) for page in self.pages.values() for each in page.styles)


def crawl(root: Path, elsewhere: Iterable[str] = ()) -> Crawl:
    """Read every page below a folder; ``elsewhere``: files that will stand beside them."""
    files = frozenset(
        path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()
    )
    pages = {name: read_page(root / name) for name in sorted(files) if name.endswith(".html")}
    return Crawl(pages, files.union(elsewhere))


def content_hash(content: str) -> str:
    """The source expression of an inline script or style for a policy (Content Security Policy Level 3, from memory)."""
    digest = hashlib.sha256(content.encode("utf-8")).digest()
    return f"sha256-{base64.b64encode(digest).decode('ascii')}"


def proof(read: Crawl, label: str = "", *, styled: str | None = None) -> Iterator[Finding]:
    """Everything that is wrong with a site; ``label`` stands before each file's name.

    Pages below the folder ``styled`` may hold a style sheet: their policy names it by its hash.
    """
    for name, page in read.pages.items():
        if page.styles and not (styled and name.startswith(f"{styled}/")):
            page.refused.append(("a style sheet", 1))
        for what, line in page.refused:
            inline = ("proof.inline", f"The page holds {what}.", "Move it to a file of its own.")
            yield _finding(inline, label, name, line)
        for tag, target, line in page.links:
            problem = _link_problem(read, name, target, tag)
            if problem is not None:
                yield _finding(problem, label, name, line)


def _link_problem(read: Crawl, name: str, target: str, tag: str) -> tuple[str, str, str] | None:
    led = led_to(name, target, tag)
    if led is None or isinstance(led, str):
        return (
            ("proof.third-party", led, "Nothing in a guide comes from elsewhere.") if led else None
        )
    if led.file not in read.files:
        return "proof.broken-link", f"'{target}' leads to nothing.", "Correct the link."
    if led.place and led.file in read.pages and led.place not in read.pages[led.file].anchors:
        return (
            "proof.broken-anchor",
            f"'{target}' names no place on its page.",
            "Correct the anchor.",
        )
    return None


@dataclass(frozen=True, slots=True)
class Led:
    """Where a link leads: a file of the site ("" where it climbs out), and a place in it or ""."""

    file: str
    place: str


def led_to(name: str, target: str, tag: str) -> Led | str | None:
    """Where a link of the page ``name`` leads. Nothing where it dials or writes a letter; what is
    wrong with it, in words, where it leaves the site."""
    address, fragment = urldefrag(target)
    parts = urlsplit(address)
    if parts.scheme in _SPOKEN_SCHEMES:
        return None
    if parts.scheme or parts.netloc or address.startswith("/"):
        return _leaving(target, tag)
    return Led(_resolved(name, unquote(parts.path)) or "", unquote(fragment))


def _leaving(target: str, tag: str) -> str | None:
    if target.startswith("data:") and tag in ("img", "link"):
        return None
    return f"'{target}' leaves the guide."


def _resolved(name: str, path: str) -> str | None:
    """The file that a relative path leads to from a page, or nothing where it climbs out."""
    steps = name.split("/")[:-1] if path else name.split("/")
    for step in path.split("/"):
        if step == "..":
            if not steps:
                return None
            steps.pop()
        elif step not in ("", "."):
            steps.append(step)
    if path.endswith(("/", "/..", "/.")) or path in (".", ".."):
        steps.append("index.html")
    return "/".join(steps)


def _finding(problem: tuple[str, str, str], label: str, name: str, line: int) -> Finding:
    code, wrong, right = problem
    return Finding(code, Place(f"{label}/{name}" if label else name, line), wrong, right)
