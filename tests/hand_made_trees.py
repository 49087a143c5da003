"""Small published trees with their records, made by hand, and a reader that walks one as people
do: from front pages and stickers, along every link."""

import hashlib
import posixpath
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from bs4 import BeautifulSoup

from builder.build.manifest import GuideRecord, Records

Files = Mapping[str, bytes]
"""Content by path in the tree."""


def page(*links: str, says: str = "") -> bytes:
    """A page with links, as addresses from where it lies."""
    listed = "".join(f'<a href="{each}">{each}</a>' for each in links)
    return f"<!doctype html><title>{says}</title><p>{says}</p>{listed}".encode()


def guide(code: str, pages: Mapping[str, bytes], *stickers: str) -> dict[str, bytes]:
    """A guide's files, and the two pages of each sticker, which lead to its front page."""
    leading = page(f"../../g/{code}/index.html", says=code)
    files = {f"g/{code}/{path}": content for path, content in pages.items()}
    for each in stickers:
        files[f"Q/{each}/index.html"] = files[f"q/{each.lower()}/index.html"] = leading
    return files


def publish(
    out: Path, guides: Mapping[tuple[str, str], Files], shared: Files, former: Files | None = None
) -> Records:
    """Write a tree and its records, and take out of it what it no longer holds. Guides by plot
    and code; ``former``: what old hosts serve, as "host/path"."""
    wanted = {path: content for files in (*guides.values(), shared) for path, content in files.items()}  # fmt: skip
    for path in [each for each in out.rglob("*") if each.is_file()]:
        if path.relative_to(out).as_posix() not in wanted:
            path.unlink()
    for path, content in wanted.items():
        (out / path).parent.mkdir(parents=True, exist_ok=True)
        (out / path).write_bytes(content)
    records = Records(out)
    for (reference, code), files in guides.items():
        records.write(GuideRecord(reference, code, {"guide": "1"}, digests(files)))
    records.write_shared(digests(shared))
    records.write_redirects({}, {name: text.decode() for name, text in (former or {}).items()})
    return records


def digests(files: Files) -> dict[str, str]:
    return {path: hashlib.sha256(content).hexdigest() for path, content in files.items()}


def contents(root: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file()
    }


def dead_links(files: Files) -> set[tuple[str, str]]:
    """Each link to nothing on a page that a reader can come to, by page and address."""
    waiting = [path for path in files if _is_entrance(path)]
    seen, dead = set(waiting), set()
    while waiting:
        name = waiting.pop()
        for link in _links(files[name]):
            found = posixpath.normpath(posixpath.join(posixpath.dirname(name), link))
            if found not in files:
                dead.add((name, link))
            elif found.endswith(".html") and found not in seen:
                seen.add(found)
                waiting.append(found)
    return dead


def _is_entrance(path: str) -> bool:
    """What people hold an address of: a guide's front page, and the page of a sticker."""
    return path.split("/", maxsplit=1)[0] in ("g", "q", "Q") and path.count("/") == 2 and path.endswith("/index.html")  # fmt: skip


@cache
def _links(content: bytes) -> tuple[str, ...]:
    soup = BeautifulSoup(content, "html.parser")
    return tuple(str(each["href"]) for each in soup.find_all(["a", "link"], href=True))
