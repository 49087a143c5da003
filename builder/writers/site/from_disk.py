"""A guide that opens from a disk, with no server: every link names a file, and nothing is fetched.

Browsers show no folder's first page there and let no script fetch a file, so that links end in
``index.html``, and the words that readers look for are a script.
"""

import posixpath
import re
from collections.abc import Mapping

from builder.writers.site.converting import WORDS
from builder.writers.site.offline import WORKER

WORDS_AS_SCRIPT = f"{WORDS.removesuffix('.json')}.js"
_PAGE = "index.html"
_LINK = re.compile(r'(<(?:a|link|script|img)\b[^>]*?\s(?:href|src)=")([^"]*)(")')
_ELSEWHERE = re.compile(r"[a-z][a-z0-9+.-]*:|#|/", re.IGNORECASE)
_FOR_SERVERS = frozenset({WORKER, WORDS, "sitemap.xml", "sitemap.xml.gz", "404.html"})
"""Files that only a guide on the web has a use for."""


def for_disk(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files of a guide as they open from a disk, by their paths in it."""
    made = {
        name: _page(name, content) if name.endswith(".html") else content
        for name, content in files.items()
        if name not in _FOR_SERVERS
    }
    words = files[WORDS].decode("utf-8")
    return {**made, WORDS_AS_SCRIPT: f"window.handoverWords = {words};\n".encode()}


def _page(name: str, content: bytes) -> bytes:
    """A page whose links name files. No worker keeps it: it is kept already."""
    here = posixpath.dirname(name)

    def named(found: re.Match[str]) -> str:
        before, target, after = found.groups()
        return f"{before}{_file(target, here)}{after}"

    page = content.decode("utf-8").replace(" data-keeps", "").replace(" data-clears", "")
    return _LINK.sub(named, page).encode()


def _file(target: str, here: str) -> str:
    """Where a link of a page in a folder leads, as a file."""
    path, mark, place = target.partition("#")
    if not path or _ELSEWHERE.match(target):
        return target
    folder = path.endswith("/") or path in (".", "..")
    whole = posixpath.join(here, path, _PAGE if folder else "")
    return f"{posixpath.relpath(posixpath.normpath(whole), here or '.')}{mark}{place}"
