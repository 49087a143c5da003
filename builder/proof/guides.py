"""Reads the pages of a guide that were made, each once: what pages have in common is judged once for all
of them.

Knows nothing of how pages are made: each is given as the pieces of text that it is put together from.
What stands as it was published is not read again, unless a page that was made needs to know its places.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from builder.proof.allowed import PageKinds
from builder.proof.crawl import Led, led_to
from builder.proof.judging import Judged, judge, judge_page, left_open
from builder.recent import RecentResults

READ = 5_000
"""Pieces of pages of which a process keeps what it has read in them."""
PAGES = 500
"""Pages of which it keeps the places that links lead to."""


STANDING = "g/guide/"
"""Where each guide is said to lie while it is read: its pages never name their guide's own code."""


@dataclass(frozen=True, slots=True)
class GuideFiles:
    """A guide before it is published. Files have their paths in the published tree, in which the guide
    is said to be ``STANDING``.

    The ``pieces`` of each page that was made; all ``files`` there are; what tells the content of a page
    that is published now. ``stickers``: the pages of its stickers, whole, which name its ``folder``.
    """

    pieces: Mapping[str, tuple[str, ...]]
    files: frozenset[str]
    published: Callable[[str], bytes | None]
    stickers: Mapping[str, str] = field(default_factory=dict)
    folder: str = STANDING

    @property
    def some_stand(self) -> bool:
        """Whether there are pages that were not made."""
        return any(each.endswith(".html") and each not in self.pieces for each in self.files)


class Reader:
    """Reads guides of which many pages have pieces in common."""

    def __init__(self, kinds: PageKinds) -> None:
        self._kinds = kinds
        self._judged: RecentResults[tuple[str, tuple[str, ...]], Judged] = RecentResults(READ)
        self._anchors: RecentResults[tuple[str, ...], frozenset[str]] = RecentResults(PAGES)
        self._led: RecentResults[tuple[str, str], frozenset[Led]] = RecentResults(READ)

    def is_sound(self, guide: GuideFiles) -> bool:
        """Whether nothing is wrong with the pages that were made, nor with what leads to them."""
        sound = all(self._is_sound(*each, guide) for each in guide.pieces.items())
        sound = sound and all(self._is_sound_sticker(*each, guide) for each in guide.stickers.items())  # fmt: skip
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

    def _is_sound_sticker(self, file: str, text: str, guide: GuideFiles) -> bool:
        judged = judge(text, self._kinds.sticker)
        if judged.refused or left_open(judged.open):
            return False
        leads = (led_to(file, link.target) for link in judged.links)
        return self._leads_on((_standing(led, guide.folder) for led in leads if led), guide)

    def _read(self, pieces: tuple[str, ...]) -> Iterator[Judged]:
        opened: tuple[str, ...] = ()
        for piece in pieces:
            key = (piece, opened)
            judged = self._judged.get(key)
            if judged is None:
                judged = self._judged.keep(key, judge(piece, self._kinds.guide, opened))
            yield judged
            opened = judged.open

    def _leads_on(self, leads: Iterable[Led], guide: GuideFiles) -> bool:
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
        pieces = guide.pieces.get(file)
        if pieces is None:
            return self._published(file, guide)
        known = self._anchors.get(pieces)
        if known is None:
            found = frozenset().union(*(each.anchors for each in self._read(pieces)))
            known = self._anchors.keep(pieces, found)
        return known

    def _published(self, file: str, guide: GuideFiles) -> frozenset[str]:
        content = guide.published(file)
        return frozenset() if content is None else judge_page(content, self._kinds.guide).anchors

    def _lost(self, file: str, guide: GuideFiles) -> bool:
        """Whether a page has lost a place: one that stands may lead there."""
        return not self._published(file, guide) <= self._places(file, guide)


def _standing(led: Led, folder: str) -> Led:
    """Where a link leads, with the guide of a folder where it is said to stand."""
    inside = led.file.startswith(folder)
    return replace(led, file=f"{STANDING}{led.file.removeprefix(folder)}") if inside else led
