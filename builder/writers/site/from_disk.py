"""A guide that opens from a disk, with no server: every link names a file, and nothing is fetched.

Browsers show no folder's first page there and let no script fetch a file, so that links end in
``index.html``, and the words that readers look for are a script.
"""

import posixpath
import re
from collections.abc import Mapping

from builder.writers.site.converting import WORDS
from builder.writers.site.offline import WORKER

_PAGE = "index.html"
_LINK = re.compile(r'(<(?:a|link|script|img)\b[^>]*?\s(?:href|src)=")([^"]*)(")')
_ELSEWHERE = re.compile(r"[a-z][a-z0-9+.-]*:|#|/", re.IGNORECASE)
_FOR_SERVERS = frozenset({WORKER, "sitemap.xml", "sitemap.xml.gz", "404.html"})
"""Files that only a guide on the web has a use for."""


def for_disk(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The files of a guide as they open from a disk, by their paths in it."""
    return dict(
        _on_disk(name, content) for name, content in files.items() if name not in _FOR_SERVERS
    )


def _on_disk(name: str, content: bytes) -> tuple[str, bytes]:
    """A file as it is on a disk: its path, and what it holds. Each language has words of its own."""
    if name == WORDS or name.endswith(f"/{WORDS}"):
        script = b"window.handoverWords = " + content + b";\n"
        return f"{name.removesuffix('.json')}.js", script
    return name, _page(name, content) if name.endswith(".html") else content


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
