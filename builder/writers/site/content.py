"""What a page says, without the frame around it: for telling whether a page changed.

Links count by the page that they lead to, and photographs by what they show, so that a page that only
moved in the navigation says the same as before. Knows no site engine.
"""

import hashlib
import posixpath
import re
from collections.abc import Iterable, Mapping

from builder.guide.changes import CHANGES
from builder.guide.pages import Guide
from builder.writers.site.markdown import WrittenPage

_FRONT = re.compile(r"\A---\n.*?\n---\n", re.DOTALL)
_WAY = re.compile(r"\]\(([^)\s:]+)\)")
DIGITS = 16
"""Hexadecimal digits of a digest: enough to tell two editions of one page apart."""


def content_of(page: WrittenPage, pictures: Mapping[str, str]) -> str:
    """The content of a page below its front matter. ``pictures``: a digest of each photograph by its path in the guide."""
    folder = posixpath.dirname(page.source)

    def absolute(found: re.Match[str]) -> str:
        path, mark, place = found[1].partition("#")
        target = posixpath.normpath(posixpath.join(folder, path)) if path else ""
        known = target.removesuffix(".md").removesuffix("/index")
        return f"](/{known}{mark}{place}{pictures.get(target, '')})"

    return " ".join(_WAY.sub(absolute, _FRONT.sub("", page.markdown)).split())


def content_digest(content: bytes) -> str:
    """A digest of a page's content."""
    return hashlib.sha256(content).hexdigest()[:DIGITS]


def contents_of(
    guide: Guide, written: Iterable[WrittenPage], pictures: Mapping[str, str]
) -> Mapping[str, str]:
    """A digest of what each page of a guide says, by the pages' ids; not of its log of changes."""
    return {
        page.id: content_digest(content_of(each, pictures).encode())
        for page, each in zip(guide.pages, written, strict=True)
        if page.id != CHANGES
    }
