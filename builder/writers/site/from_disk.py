"""A guide that opens from a disk, with no server: every link names a file, and nothing is fetched.

Browsers show no folder's first page there, let no script fetch a file and take no part of another
drawing, so that links end in ``index.html``, the words that readers look for are a script, and marks
stand in each page.
"""

import posixpath
import re
from collections.abc import Mapping

from builder.writers.site.converting import WORDS
from builder.writers.site.offline import WORKER

WORDS_AS_SCRIPT = f"{WORDS.removesuffix('.json')}.js"
_PAGE = "index.html"
_LINK = re.compile(r'(<(?:a|link|script|img)\b[^>]*?\s(?:href|src)=")([^"]*)(")')
_USED = re.compile(r'<use href="(?P<file>[^"#]+)#(?P<mark>[\w-]+)"/>')
_ELSEWHERE = re.compile(r"[a-z][a-z0-9+.-]*:|#|/", re.IGNORECASE)
_FOR_SERVERS = frozenset({WORKER, WORDS, "sitemap.xml", "sitemap.xml.gz", "404.html"})
"""Files that only a guide on the web has a use for."""


def for_disk(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files of a guide as they open from a disk, by their paths in it."""
    made = {
        name: _page(name, content, files) if name.endswith(".html") else content
        for name, content in files.items()
        if name not in _FOR_SERVERS
    }
    words = files[WORDS].decode("utf-8")
    return {**made, WORDS_AS_SCRIPT: f"window.handoverWords = {words};\n".encode()}


def _page(name: str, content: bytes, files: Mapping[str, bytes]) -> bytes:
    """A page whose links name files and which holds its marks. No worker keeps it: it is kept already."""
    here = posixpath.dirname(name)

    def named(found: re.Match[str]) -> str:
        before, target, after = found.groups()
        return f"{before}{_file(target, here)}{after}"

    def drawn(found: re.Match[str]) -> str:
        file = posixpath.normpath(posixpath.join(here, found["file"]))
        return _symbol(files[file].decode("utf-8"), found["mark"])

    page = content.decode("utf-8").replace(" data-keeps", "").replace(" data-clears", "")
    return _LINK.sub(named, _USED.sub(drawn, page)).encode()


def _symbol(drawing: str, mark: str) -> str:
    """One of the marks of a drawing, as a drawing of its own."""
    found = re.search(rf'<symbol id="{re.escape(mark)}" (viewBox="[^"]*")>(.*?)</symbol>', drawing)
    return f"<svg {found[1]}>{found[2]}</svg>" if found else ""


def _file(target: str, here: str) -> str:
    """Where a link of a page in a folder leads, as a file."""
    path, mark, place = target.partition("#")
    if not path or _ELSEWHERE.match(target):
        return target
    folder = path.endswith("/") or path in (".", "..")
    whole = posixpath.join(here, path, _PAGE if folder else "")
    return f"{posixpath.relpath(posixpath.normpath(whole), here or '.')}{mark}{place}"
