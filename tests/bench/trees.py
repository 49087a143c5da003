"""What stands in a published tree: pages, bytes, and what a build wrote again.

Every file is counted once by its inode, so that files that share their bytes on disk count once.
"""

import hashlib
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

GUIDES = "g"


@dataclass(frozen=True)
class Stamp:
    """What changes when a file is written again."""

    inode: int
    modified: int


@dataclass(frozen=True)
class Standing:
    """One file: its path from the root of the tree, its stamp and its bytes."""

    path: str
    stamp: Stamp
    size: int

    @property
    def guide(self) -> str | None:
        """The code of the guide that it belongs to."""
        first, _, rest = self.path.partition("/")
        return rest.partition("/")[0] if first == GUIDES and "/" in rest else None

    @property
    def is_page(self) -> bool:
        return self.guide is not None and self.path.endswith(".html")

    @property
    def is_theme(self) -> bool:
        """A file of the theme: it stands in a folder called ``assets``, of a guide or of all."""
        return "assets" in self.path.split("/")[:-1]


@dataclass(frozen=True)
class Contents:
    """A whole tree. ``theme_bytes`` counts each inode once, ``theme_distinct_bytes`` each content
    once; ``guide_bytes`` are the bytes of guides without the theme, each inode once."""

    guides: int
    pages: int
    page_bytes: int
    guide_bytes: int
    theme_bytes: int
    theme_distinct_bytes: int


@dataclass(frozen=True)
class Rewritten:
    """What a build wrote anew: pages, and the guides that have any."""

    guides: int
    pages: int


def standing(root: Path) -> dict[str, Standing]:
    """Every file of a tree by its path; folders that a build keeps beside it too."""
    return {each.path: each for each in _files(root, "")}


def _files(folder: Path, prefix: str) -> Iterator[Standing]:
    with os.scandir(folder) as entries:
        for entry in sorted(entries, key=lambda each: each.name):
            if entry.is_dir(follow_symlinks=False):
                yield from _files(Path(entry.path), f"{prefix}{entry.name}/")
            elif entry.is_file(follow_symlinks=False):
                status = entry.stat()
                stamp = Stamp(status.st_ino, status.st_mtime_ns)
                yield Standing(f"{prefix}{entry.name}", stamp, status.st_size)


def contents(root: Path, files: dict[str, Standing]) -> Contents:
    """What a tree holds; of theme files, one for each inode is read."""
    once = {each.stamp.inode: each for each in files.values()}.values()
    pages = [each for each in files.values() if each.is_page]
    theme = [each for each in once if each.is_theme]
    distinct = {_digest(root / each.path): each.size for each in theme}
    return Contents(
        guides=len({each.guide for each in pages}),
        pages=len(pages),
        page_bytes=sum(each.size for each in pages),
        guide_bytes=sum(each.size for each in once if each.guide and not each.is_theme),
        theme_bytes=sum(each.size for each in theme),
        theme_distinct_bytes=sum(distinct.values()),
    )


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def rewritten(before: dict[str, Standing], after: dict[str, Standing]) -> Rewritten:
    """What was written between two looks at a tree, whether or not its content differs."""
    pages = [
        each
        for path, each in after.items()
        if each.is_page and (path not in before or before[path].stamp != each.stamp)
    ]
    return Rewritten(len({each.guide for each in pages}), len(pages))
