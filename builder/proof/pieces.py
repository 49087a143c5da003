"""Proofs the pages of many guides by the pieces that they are made of.

A page is a frame and the sections in it, and thousands of guides share most of both. Each piece is
read once, with marks where values are filled in: no such value holds markup, so no link, place or
style of a page hangs on it. What pieces hold together, the page holds that is made of them.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from builder.lately import Lately
from builder.proof.allowed import Kind, Kinds
from builder.proof.crawl import led_to
from builder.proof.judging import Judged, judge, left_open
from builder.proof.standing import Standing
from builder.proof.weight import FIRST_WINDOW, transfer

Piece = str
"""The text of a piece. The same text object stands for it wherever it is used again."""

STICKER = "Q/sticker/index.html"
"""A path that stands for those of all sticker pages."""

MOST = 1_200
"""Pieces that a process keeps in memory: those of the guides of a house type or two."""

_NEAR = 0.9
"""A page that is this close to what fits is weighed with its own values in it."""


_MARK = re.compile("\ue000[^\ue000\ue001]+\ue001")
"""Where a value is filled in. It is letters, digits and the like, whatever it is."""


@dataclass(frozen=True, slots=True)
class Ways:
    """Where the links of a piece lead from one page: files, and places in them by the files'
    paths."""

    files: frozenset[str]
    places: frozenset[tuple[str, str]]


def _ways(name: str, targets: Iterable[str]) -> Ways:
    ways = [led for target in targets if (led := led_to(name, target)) is not None]
    return Ways(
        frozenset(each.file for each in ways),
        frozenset((each.file, each.place) for each in ways if each.place),
    )


class Pieces:
    """The pieces that were read in one process. ``kinds``: what pages may hold inline."""

    def __init__(self, kinds: Kinds | None = None) -> None:
        self.kinds = kinds or Kinds()
        self._read: Lately[tuple[Piece, Kind, tuple[str, ...]], Judged] = Lately(MOST)
        self._light: Lately[Piece, tuple[bool]] = Lately(MOST)
        self._ways: Lately[tuple[str, Piece], Ways] = Lately(MOST)

    def ways(self, name: str, judged: Judged, piece: Piece) -> Ways:
        """Where the links of a piece lead that stands in the page ``name``."""
        return self._ways.get((name, piece)) or self._ways.keep(
            (name, piece), _ways(name, (each.target for each in judged.links))
        )

    def read(self, name: str, pieces: Iterable[Piece]) -> Iterator[tuple[Piece, Judged]]:
        """What each piece of the page ``name`` holds, where it stands in the page."""
        kind, opened = self.kinds.of(name), tuple[str, ...]()
        for each in pieces:
            key = (each, kind, opened)
            judged = self._read.get(key) or self._read.keep(
                key, judge(_MARK.sub("0", each), kind, opened)
            )
            yield each, judged
            opened = judged.open

    def fits(self, marked: Piece, filled: bytes) -> bool:
        """Whether a page arrives in one round trip, whatever values are filled in at its marks."""
        light = self._light.get(marked) or self._light.keep(
            marked, (transfer(filled) < _NEAR * FIRST_WINDOW,)
        )
        return light[0] or transfer(filled) <= FIRST_WINDOW


@dataclass(slots=True)
class _Looked:
    """What was found sound in a set of files: the last pieces of each page, and the places that each
    page needs elsewhere, with the pieces that it was made of then."""

    files: frozenset[str]
    sound: dict[str, tuple[Piece, ...]] = field(default_factory=dict)
    whole: dict[str, tuple[tuple[Piece, ...], frozenset[tuple[str, str]]]] = field(
        default_factory=dict
    )


class SiteProof:
    """The proof of guides that have the same files: what one of them had is known for the next.

    Pages are given by their paths in the published tree, as the pieces that they are made of.
    """

    def __init__(self, pieces: Pieces) -> None:
        self._pieces = pieces
        self._looked = _Looked(frozenset())

    def is_sound(
        self, files: frozenset[str], pages: Mapping[str, tuple[Piece, ...]],
        stickers: Iterable[Piece], standing: Standing | None = None,
    ) -> bool:  # fmt: skip
        """Whether nothing is wrong with a guide.

        ``files``: all that the tree will have; ``pages``: those of the guide that are new; ``stickers``:
        whole pages of stickers; ``standing``: the pages that are taken from the guide as it was
        published, and was proofed.
        """
        if files != self._looked.files:
            self._looked = _Looked(files)
        alone = [(STICKER, (each,)) for each in stickers]
        whole = [*pages.items(), *alone]
        sound = all(self._page(name, own) for name, own in whole)
        places = {place for name, own in whole for place in self._elsewhere(name, own)}
        return (
            sound
            and all(self._stands(*place, pages, standing) for place in places)
            and (standing is None or self._keeps_places(pages, standing))
        )

    def _elsewhere(self, name: str, pieces: tuple[Piece, ...]) -> frozenset[tuple[str, str]]:
        """The places that a page needs, but for those that it has itself."""
        known = self._looked.whole.get(name)
        if known is None or known[0] is not pieces:
            read = list(self._pieces.read(name, pieces))
            needed = {
                place
                for piece, each in read
                for place in self._pieces.ways(name, each, piece).places
            }
            own = {(name, anchor) for _, each in read for anchor in each.anchors}
            known = self._looked.whole[name] = pieces, frozenset(needed - own)
        return known[1]

    def _page(self, name: str, pieces: tuple[Piece, ...]) -> bool:
        if self._looked.sound.get(name) is pieces:
            return True
        sound, opened = True, tuple[str, ...]()
        for piece, judged in self._pieces.read(name, pieces):
            ways = self._pieces.ways(name, judged, piece)
            sound = sound and not judged.refused and ways.files <= self._looked.files
            opened = judged.open
        sound = sound and not left_open(opened)
        if sound:
            self._looked.sound[name] = pieces
        return sound

    def _anchors(self, name: str, pieces: Iterable[Piece]) -> frozenset[str]:
        return frozenset[str]().union(
            *(each.anchors for _, each in self._pieces.read(name, pieces))
        )

    def _stands(
        self, file: str, place: str, pages: Mapping[str, tuple[Piece, ...]],
        standing: Standing | None,
    ) -> bool:  # fmt: skip
        """Whether a page has a place; what is no page has none to be asked for."""
        if file in pages:
            return place in self._anchors(file, pages[file])
        return standing is None or file not in standing.kept or place in standing.kept[file]()

    def _keeps_places(self, pages: Mapping[str, tuple[Piece, ...]], standing: Standing) -> bool:
        """Whether new pages have all places that they had before: pages that stay may lead there."""
        return all(
            before() <= self._anchors(name, pages[name])
            for name, before in standing.replaced.items()
        )
