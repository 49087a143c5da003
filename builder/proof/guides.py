"""Reads the pages of a guide that were made, each once: what pages have in common is judged once for all
of them.

Knows nothing of how pages are made: each is given as the pieces of text that it is put together from.
What stands as it was published is not read again, unless a page that was made needs to know its places.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from builder.proof.allowed import Kind
from builder.proof.crawl import Led, led_to
from builder.proof.judging import Judged, judge, judge_page, left_open
from builder.recent import RecentResults

READ = 5_000
"""Pieces of pages of which a process keeps what it has read in them."""


@dataclass(frozen=True, slots=True)
class GuideFiles:
    """A guide before it is published: the ``pieces`` of each page that was made, by its file in the
    published tree; all ``files`` there are; and what tells the content of a page that is published
    now, by its file."""

    pieces: Mapping[str, tuple[str, ...]]
    files: frozenset[str]
    published: Callable[[str], bytes | None]

    @property
    def some_stand(self) -> bool:
        """Whether there are pages that were not made."""
        return any(each.endswith(".html") and each not in self.pieces for each in self.files)


class Reader:
    """Reads guides of which many pages have pieces in common."""

    def __init__(self, kind: Kind) -> None:
        self._kind = kind
        self._judged: RecentResults[tuple[str, tuple[str, ...]], Judged] = RecentResults(READ)
        self._led: RecentResults[tuple[str, str], frozenset[Led]] = RecentResults(READ)

    def is_sound(self, guide: GuideFiles) -> bool:
        """Whether nothing is wrong with the pages that were made, nor with what leads to them."""
        sound = all(self._is_sound(*each, guide) for each in guide.pieces.items())
        return sound and not (guide.some_stand and any(self._lost(each, guide) for each in guide.pieces))  # fmt: skip

    def _is_sound(self, file: str, pieces: tuple[str, ...], guide: GuideFiles) -> bool:
        """Whether one page is whole, and all that it leads to is there."""
        last: tuple[str, ...] = ()
        for piece, judged in zip(pieces, self._read(pieces), strict=True):
            if judged.refused:
                return False
            if judged.links and not self._leads_on(self._leads(file, piece, judged), guide):
                return False
            last = judged.open
        return not left_open(last)

    def _read(self, pieces: tuple[str, ...]) -> Iterator[Judged]:
        opened: tuple[str, ...] = ()
        for piece in pieces:
            key = (piece, opened)
            judged = self._judged.get(key)
            if judged is None:
                judged = self._judged.keep(key, judge(piece, self._kind, opened))
            yield judged
            opened = judged.open

    def _leads_on(self, leads: frozenset[Led], guide: GuideFiles) -> bool:
        return all(self._is_there(led, guide) for led in leads)

    def _leads(self, file: str, piece: str, judged: Judged) -> frozenset[Led]:
        key = (file, piece)
        known = self._led.get(key)
        if known is None:
            found = (led_to(file, link.target) for link in judged.links)
            known = self._led.keep(key, frozenset(filter(None, found)))
        return known

    def _is_there(self, led: Led, guide: GuideFiles) -> bool:
        if led.file not in guide.files:
            return False
        return not (led.place and led.file.endswith(".html")) or led.place in self._places(
            led.file, guide
        )

    def _places(self, file: str, guide: GuideFiles) -> frozenset[str]:
        if file in guide.pieces:
            return frozenset().union(*(each.anchors for each in self._read(guide.pieces[file])))
        return self._published(file, guide)

    def _published(self, file: str, guide: GuideFiles) -> frozenset[str]:
        content = guide.published(file)
        return frozenset() if content is None else judge_page(content, self._kind).anchors

    def _lost(self, file: str, guide: GuideFiles) -> bool:
        """Whether a page has lost a place: one that stands may lead there."""
        return not self._published(file, guide) <= self._places(file, guide)
