"""The copies of photographs that a guide shows, each made once for all guides of a process. Knows no site
engine.

``photos/`` holds what is seen when a picture is touched, ``photos/small/`` what stands on a page, and
``photos/room/`` what stands beside the name of a room on the first page.
"""

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from builder.craft.pictures import COPY_SIDE, LONGEST_SIDE, published_copy
from builder.guide.pages import Photograph

FOLDER = "photos"
ROOM = 240
"""Pixels of the longer side beside the name of a room."""


class Copies:
    """Makes the copies of photographs of one workspace."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._made: dict[tuple[object, ...], bytes] = {}

    def files(self, photographs: Iterable[Photograph]) -> Mapping[str, bytes]:
        """The files of a guide's photographs by their paths in it."""
        return {path: self._copy(each, side) for each in photographs for path, side in _paths(each)}

    def large(self, photograph: Photograph) -> bytes:
        """The largest copy that is published."""
        return self._copy(photograph, LONGEST_SIDE)

    def _copy(self, photograph: Photograph, side: int) -> bytes:
        key = (photograph.file, photograph.ring, photograph.mirrored, side)
        if key not in self._made:
            self._made[key] = published_copy(
                self._root / photograph.file,
                side,
                photograph.ring,
                mirrored=photograph.mirrored,
            )
        return self._made[key]


def _paths(photograph: Photograph) -> Iterator[tuple[str, int]]:
    yield f"{FOLDER}/{photograph.name}", LONGEST_SIDE
    yield f"{FOLDER}/small/{photograph.name}", COPY_SIDE
    if photograph.of_room:
        yield f"{FOLDER}/room/{photograph.name}", ROOM
