"""Proofs the pages of many guides by the pieces that they are made of.

A page is a frame and the sections in it, and thousands of guides share most of both. Each piece is
read once, with marks where values are filled in: no such value holds markup, so no link, place or
style of a page hangs on it. What pieces hold together, the page holds that is made of them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from builder.proof.crawl import Led, ReadPage, led_to, read_text
from builder.proof.weight import FIRST_WINDOW, transfer

Piece = str
"""The text of a piece. The same text object stands for it wherever it is used again."""

_NEAR = 0.9
"""A page that is this close to what fits is weighed with its own values in it."""


@dataclass(frozen=True, slots=True)
class ReadPiece:
    """What a piece holds. ``refused``: whether any policy or rule refuses it, a style sheet aside."""

    links: frozenset[tuple[str, str]]
    anchors: frozenset[str]
    scripts: frozenset[str]
    styles: frozenset[str]
    refused: bool


def _read(text: Piece) -> ReadPiece:
    page: ReadPage = read_text(text.encode())
    return ReadPiece(
        frozenset((tag, target) for tag, target, _ in page.links),
        frozenset(page.anchors),
        frozenset(page.scripts),
        frozenset(page.styles),
        bool(page.refused),
    )


@dataclass(frozen=True, slots=True)
class Ways:
    """Where the links of a piece lead from one page: files, and places in them by the files'
    paths; ``stays``: whether none of them leaves the site."""

    files: frozenset[str]
    places: frozenset[tuple[str, str]]
    stays: bool


def _ways(name: str, links: Iterable[tuple[str, str]]) -> Ways:
    led = [led_to(name, target, tag) for tag, target in links]
    ways = [each for each in led if isinstance(each, Led)]
    return Ways(
        frozenset(each.file for each in ways),
        frozenset((each.file, each.place) for each in ways if each.place),
        not any(isinstance(each, str) for each in led),
    )


class Pieces:
    """The pieces that were read in one process."""

    def __init__(self) -> None:
        self._read: dict[Piece, ReadPiece] = {}
        self._light: dict[Piece, bool] = {}
        self._ways: dict[tuple[str, Piece], Ways] = {}

    def ways(self, name: str, piece: Piece) -> Ways:
        """Where the links of a piece lead that stands in the page ``name``."""
        if (name, piece) not in self._ways:
            self._ways[name, piece] = _ways(name, self.read(piece).links)
        return self._ways[name, piece]

    def read(self, piece: Piece) -> ReadPiece:
        """What a piece holds."""
        if piece not in self._read:
            self._read[piece] = _read(piece)
        return self._read[piece]

    def fits(self, marked: Piece, filled: bytes) -> bool:
        """Whether a page arrives in one round trip, whatever values are filled in at its marks."""
        if marked not in self._light:
            self._light[marked] = transfer(filled) < _NEAR * FIRST_WINDOW
        return self._light[marked] or transfer(filled) <= FIRST_WINDOW


@dataclass(slots=True)
class _Looked:
    """What was found sound in a set of files, and which places of which pages it needs."""

    files: frozenset[str]
    seen: set[tuple[str, Piece]] = field(default_factory=set)
    places: set[tuple[str, str]] = field(default_factory=set)


class SiteProof:
    """The proof of guides that have the same files: what one of them had is known for the next.

    Pages are given by their paths in the published tree, as the pieces that they are made of.
    """

    def __init__(self, pieces: Pieces) -> None:
        self._pieces = pieces
        self._looked = _Looked(frozenset())
        self.scripts: frozenset[str] = frozenset()
        self.styles: frozenset[str] = frozenset()

    def is_sound(
        self, files: frozenset[str], pages: Mapping[str, tuple[Piece, ...]],
        styled: Mapping[str, Iterable[Piece]],
    ) -> bool:  # fmt: skip
        """Whether nothing is wrong with a guide.

        ``files``: all that the tree will have; ``pages``: those of the guide; ``styled``: others, by
        a path that stands for them all, which may hold a style sheet.
        """
        if files != self._looked.files:
            self._looked = _Looked(files)
        sound = all(
            [self._page(name, pieces, styled=False) for name, pieces in pages.items()]
            + [
                self._page(name, (each,), styled=True)
                for name, own in styled.items()
                for each in own
            ]
        )
        return sound and all(self._stands(*place, pages) for place in self._looked.places)

    def _page(self, name: str, pieces: tuple[Piece, ...], *, styled: bool) -> bool:
        new = [each for each in pieces if (name, each) not in self._looked.seen]
        sound = all(self._piece(name, each, styled=styled) for each in new)
        if sound:
            self._looked.seen.update((name, each) for each in new)
        return sound

    def _piece(self, name: str, piece: Piece, *, styled: bool) -> bool:
        read, ways = self._pieces.read(piece), self._pieces.ways(name, piece)
        self.scripts |= read.scripts
        self.styles |= read.styles
        self._looked.places |= ways.places
        refused = read.refused or (read.styles and not styled)
        return not refused and ways.stays and ways.files <= self._looked.files

    def _stands(self, file: str, place: str, pages: Mapping[str, tuple[Piece, ...]]) -> bool:
        """Whether a page has a place; what is no page has none to be asked for."""
        return file not in pages or any(place in self._anchors(each) for each in pages[file])

    def _anchors(self, piece: Piece) -> frozenset[str]:
        return self._pieces.read(piece).anchors
