"""Reads a finished site as a stranger would: links, anchors, addresses, and what a strict
Content-Security-Policy refuses. Knows nothing of how the site was made."""

import base64
import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urldefrag, urlsplit

from builder.errors import Finding, Place

_LINKING = {"a": "href", "link": "href", "script": "src", "img": "src", "source": "src",
            "iframe": "src", "form": "action", "video": "src", "audio": "src", "object": "data"}  # fmt: skip
_SPOKEN_SCHEMES = ("tel", "mailto")


@dataclass(slots=True)
class ReadPage:
    """What one HTML file links to, defines and holds inline."""

    links: list[tuple[str, str, int]] = field(default_factory=list)
    anchors: set[str] = field(default_factory=set)
    scripts: list[str] = field(default_factory=list)
    styles: list[str] = field(default_factory=list)
    refused: list[tuple[str, int]] = field(default_factory=list)


class _Reader(HTMLParser):
    """Collects a page's links, ids and inline code."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = ReadPage()
        self._inside: tuple[str, list[str]] | None = None

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        line = self.getpos()[0]
        given = {name: value or "" for name, value in attributes}
        if "id" in given:
            self.page.anchors.add(given["id"])
        if tag == "a" and "name" in given:
            self.page.anchors.add(given["name"])
        if given.get(_LINKING.get(tag, "")):
            self.page.links.append((tag, given[_LINKING[tag]], line))
        if tag == "style" or (tag == "script" and "src" not in given and _executes(given)):
            self._inside = tag, []
        self._inline(given, line)

    def _inline(self, given: dict[str, str], line: int) -> None:
        if "style" in given:
            self.page.refused.append(("an inline style", line))
        for name in given:
            if name.startswith("on"):
                self.page.refused.append((f"the inline handler '{name}'", line))

    def handle_data(self, data: str) -> None:
        if self._inside is not None:
            self._inside[1].append(data)

    def handle_endtag(self, tag: str) -> None:
        if self._inside is not None and self._inside[0] == tag:
            kept = self.page.scripts if tag == "script" else self.page.styles
            kept.append("".join(self._inside[1]))
            self._inside = None


def _executes(given: dict[str, str]) -> bool:
    """Whether a script is run; a block of data is not, and no policy minds it."""
    return given.get("type", "") in ("", "module", "text/javascript")


def read_page(path: Path) -> ReadPage:
    """One HTML file as the crawl sees it."""
    reader = _Reader()
    reader.feed(path.read_text(encoding="utf-8"))
    reader.close()
    return reader.page


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
    address, fragment = urldefrag(target)
    parts = urlsplit(address)
    if parts.scheme in _SPOKEN_SCHEMES:
        return None
    if parts.scheme or parts.netloc or address.startswith("/"):
        return _leaving(target, tag)
    found = _resolved(name, unquote(parts.path))
    if found is None or found not in read.files:
        return "proof.broken-link", f"'{target}' leads to nothing.", "Correct the link."
    if fragment and found in read.pages and unquote(fragment) not in read.pages[found].anchors:
        return (
            "proof.broken-anchor",
            f"'{target}' names no place on its page.",
            "Correct the anchor.",
        )
    return None


def _leaving(target: str, tag: str) -> tuple[str, str, str] | None:
    if target.startswith("data:") and tag in ("img", "link"):
        return None
    return (
        "proof.third-party",
        f"'{target}' leaves the guide.",
        "Nothing in a guide comes from elsewhere.",
    )


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
