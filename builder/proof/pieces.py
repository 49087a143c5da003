"""Proofs the pages of many guides by the pieces that they are made of.

A page is a frame and the sections in it, and thousands of guides share most of both. Each piece is
read once, with marks where values are filled in: no such value holds markup, so no link, place or
style of a page hangs on it. What pieces hold together, the page holds that is made of them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from builder.lately import Lately
from builder.proof.crawl import Led, ReadPage, led_to, read_text
from builder.proof.standing import Standing
from builder.proof.weight import FIRST_WINDOW, transfer

Piece = str
"""The text of a piece. The same text object stands for it wherever it is used again."""

MOST = 1_200
"""Pieces that a process keeps in memory: those of the guides of a house type or two."""

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
        self._read: Lately[Piece, ReadPiece] = Lately(MOST)
        self._light: Lately[Piece, tuple[bool]] = Lately(MOST)
        self._ways: Lately[tuple[str, Piece], Ways] = Lately(MOST)

    def ways(self, name: str, piece: Piece) -> Ways:
        """Where the links of a piece lead that stands in the page ``name``."""
        return self._ways.get((name, piece)) or self._ways.keep(
            (name, piece), _ways(name, self.read(piece).links)
        )

    def read(self, piece: Piece) -> ReadPiece:
        """What a piece holds."""
        return self._read.get(piece) or self._read.keep(piece, _read(piece))

    def fits(self, marked: Piece, filled: bytes) -> bool:
        """Whether a page arrives in one round trip, whatever values are filled in at its marks."""
        light = self._light.get(marked) or self._light.keep(
            marked, (transfer(filled) < _NEAR * FIRST_WINDOW,)
        )
        return light[0] or transfer(filled) <= FIRST_WINDOW


@dataclass(slots=True)
class _Looked:
    """What was found sound in a set of files: pieces by their pages, and the last pieces of each
    page; and the places that each page needs elsewhere, with the pieces that it was made of then."""

    files: frozenset[str]
    seen: set[tuple[str, Piece]] = field(default_factory=set)
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
        self.scripts: frozenset[str] = frozenset()
        self.styles: frozenset[str] = frozenset()

    def is_sound(
        self, files: frozenset[str], pages: Mapping[str, tuple[Piece, ...]],
        styled: Mapping[str, Iterable[Piece]], standing: Standing | None = None,
    ) -> bool:  # fmt: skip
        """Whether nothing is wrong with a guide.

        ``files``: all that the tree will have; ``pages``: those of the guide that are new; ``styled``:
        others, by a path that stands for them all, which may hold a style sheet; ``standing``: the
        pages that are taken from the guide as it was published, and was proofed.
        """
        if files != self._looked.files:
            self._looked = _Looked(files)
        whole = {**pages, **{name: tuple(own) for name, own in styled.items()}}
        sound = all(self._page(name, own, styled=name in styled) for name, own in whole.items())
        places = {place for name, own in whole.items() for place in self._elsewhere(name, own)}
        return (
            sound
            and all(self._stands(*place, pages, standing) for place in places)
            and (standing is None or self._keeps_places(pages, standing))
        )

    def _elsewhere(self, name: str, pieces: tuple[Piece, ...]) -> frozenset[tuple[str, str]]:
        """The places that a page needs, but for those that it has itself."""
        known = self._looked.whole.get(name)
        if known is None or known[0] is not pieces:
            needed = {place for each in pieces for place in self._pieces.ways(name, each).places}
            own = {(name, anchor) for each in pieces for anchor in self._pieces.read(each).anchors}
            known = self._looked.whole[name] = pieces, frozenset(needed - own)
        return known[1]

    def _page(self, name: str, pieces: tuple[Piece, ...], *, styled: bool) -> bool:
        if self._looked.sound.get(name) is pieces:
            return True
        new = [each for each in pieces if (name, each) not in self._looked.seen]
        sound = all(self._piece(name, each, styled=styled) for each in new)
        if sound:
            self._looked.seen.update((name, each) for each in new)
            self._looked.sound[name] = pieces
        return sound

    def _piece(self, name: str, piece: Piece, *, styled: bool) -> bool:
        read, ways = self._pieces.read(piece), self._pieces.ways(name, piece)
        self.scripts |= read.scripts
        self.styles |= read.styles
        refused = read.refused or (read.styles and not styled)
        return not refused and ways.stays and ways.files <= self._looked.files

    def _stands(
        self, file: str, place: str, pages: Mapping[str, tuple[Piece, ...]],
        standing: Standing | None,
    ) -> bool:  # fmt: skip
        """Whether a page has a place; what is no page has none to be asked for."""
        if file in pages:
            return any(place in self._pieces.read(each).anchors for each in pages[file])
        return standing is None or file not in standing.kept or place in standing.kept[file]()

    def _keeps_places(self, pages: Mapping[str, tuple[Piece, ...]], standing: Standing) -> bool:
        """Whether new pages have all places that they had before: pages that stay may lead there."""
        return all(
            before()
            <= {anchor for each in pages[name] for anchor in self._pieces.read(each).anchors}
            for name, before in standing.replaced.items()
        )
