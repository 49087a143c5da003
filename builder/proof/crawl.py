"""Reads a finished site as a stranger would: each page is judged, and each link followed. Knows nothing
of how the site was made."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple
from urllib.parse import unquote, urldefrag, urlsplit

from builder.errors import Finding, Place
from builder.proof.allowed import PageKinds
from builder.proof.judging import Judged, JudgedLink, judge_page

_LEADS = 20_000
"""Links of which a process keeps where they lead: pages of all guides lead to each other in much the same
ways."""


@dataclass(frozen=True, slots=True)
class Crawl:
    """A whole site as it was read: its pages by path, and all its files."""

    pages: dict[str, Judged]
    files: frozenset[str]


def crawl(root: Path, elsewhere: Iterable[str] = (), kinds: PageKinds | None = None) -> Crawl:
    """Read every page below a folder, in the published tree's shape; ``elsewhere``: files that will
    stand beside them; ``kinds``: what pages may hold inline."""
    known = kinds or PageKinds()
    files = frozenset(
        path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()
    )
    pages = {
        name: judge_page((root / name).read_bytes(), known.of(name))
        for name in sorted(files)
        if name.endswith(".html")
    }
    return Crawl(pages, files.union(elsewhere))


def proof(read: Crawl, label: str = "") -> Iterator[Finding]:
    """Everything that is wrong with a site; ``label`` stands before each file's name."""
    for name, page in read.pages.items():
        file = f"{label}/{name}" if label else name
        for each in page.refused:
            yield Finding(each.code, Place(file, each.line, each.column), each.wrong, each.right)
        for link in page.links:
            problem = _link_problem(read, name, link)
            if problem is not None:
                code, wrong, right = problem
                yield Finding(code, Place(file, link.line), wrong, right)


def _link_problem(read: Crawl, name: str, link: JudgedLink) -> tuple[str, str, str] | None:
    led = led_to(name, link.target)
    if led is None:
        return None
    if led.file not in read.files:
        return "proof.broken-link", f"'{link.target}' leads to nothing.", "Correct the link."
    if led.place and led.file in read.pages and led.place not in read.pages[led.file].anchors:
        return (
            "proof.broken-anchor",
            f"'{link.target}' names no place on its page.",
            "Correct the anchor.",
        )
    return None


class Led(NamedTuple):
    """Where a link leads: a file of the site ("" where it climbs out), and a place in it or ""."""

    file: str
    place: str


@lru_cache(maxsize=_LEADS)
def led_to(name: str, target: str) -> Led | None:
    """Where a link of the page ``name`` leads in the site; nothing where it dials, writes a letter, or
    leaves the site, which the judgement of the page refuses."""
    address, fragment = urldefrag(target)
    try:
        parts = urlsplit(address)
    except ValueError:  # Such as brackets that are no address of a host.
        return None
    if parts.scheme or parts.netloc or address.startswith("/"):
        return None
    return Led(_resolved(name, unquote(parts.path)) or "", unquote(fragment))


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
