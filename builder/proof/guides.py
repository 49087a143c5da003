"""Reads the pages of a guide that were made, each once: what pages have in common is judged once for all
of them.

Knows nothing of how pages are made: each is given as the pieces of text that it is put together from.
What stands as it was published is not read again, unless a page that was made needs to know its places.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from builder.proof.allowed import PageKinds
from builder.proof.crawl import Led, led_to
from builder.proof.judging import Judged, judge, judge_page, left_open
from builder.recent import RecentResults

READ = 5_000
"""Pieces of pages of which a process keeps what it has read in them."""
JudgedPage = tuple[Judged, ...]
"""A page as its pieces were judged, one after the other."""

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
        self._led: RecentResults[tuple[str, str], frozenset[Led]] = RecentResults(READ)

    def is_sound(self, guide: GuideFiles) -> bool:
        """Whether nothing is wrong with the pages that were made, nor with what leads to them."""
        pages = {file: tuple(self._read(pieces)) for file, pieces in guide.pieces.items()}
        stickers = {file: (self._sticker(text),) for file, text in guide.stickers.items()}
        if not all(map(_is_whole, (*pages.values(), *stickers.values()))):
            return False
        leads = {*self._from_pages(pages, guide), *_from_stickers(stickers, guide.folder)}
        if not all(self._is_there(led, pages, guide) for led in leads):
            return False
        return not (guide.some_stand and any(self._lost(*each, guide) for each in pages.items()))

    def _read(self, pieces: tuple[str, ...]) -> Iterator[Judged]:
        opened: tuple[str, ...] = ()
        for piece in pieces:
            key = (piece, opened)
            judged = self._judged.get(key)
            if judged is None:
                judged = self._judged.keep(key, judge(piece, self._kinds.guide, opened))
            yield judged
            opened = judged.open

    def _sticker(self, text: str) -> Judged:
        return judge(text, self._kinds.sticker)

    def _from_pages(self, pages: Mapping[str, JudgedPage], guide: GuideFiles) -> set[Led]:
        """Where all pages lead, each way once: most pages lead to the same."""
        return set().union(
            *(
                self._led_from(file, piece, judged)
                for file, read in pages.items()
                for piece, judged in zip(guide.pieces[file], read, strict=True)
                if judged.links
            )
        )

    def _led_from(self, file: str, piece: str, judged: Judged) -> frozenset[Led]:
        key = (file, piece)
        known = self._led.get(key)
        if known is None:
            found = (led_to(file, link.target) for link in judged.links)
            known = self._led.keep(key, frozenset(filter(None, found)))
        return known

    def _is_there(self, led: Led, pages: Mapping[str, JudgedPage], guide: GuideFiles) -> bool:
        """Whether a file is there that is led to, and the place in it."""
        if led.file not in guide.files:
            return False
        if not (led.place and led.file.endswith(".html")):
            return True
        read = pages.get(led.file) or (self._published(led.file, guide),)
        return any(led.place in each.anchors for each in read)

    def _published(self, file: str, guide: GuideFiles) -> Judged:
        content = guide.published(file)
        return _NOTHING if content is None else judge_page(content, self._kinds.guide)

    def _lost(self, file: str, read: JudgedPage, guide: GuideFiles) -> bool:
        """Whether a page has lost a place: one that stands may lead there."""
        places = frozenset().union(*(each.anchors for each in read))
        return not self._published(file, guide).anchors <= places


_NOTHING = Judged((), (), frozenset(), ())


def _is_whole(read: JudgedPage) -> bool:
    """Whether nothing in a page is refused, and all that it opens is closed."""
    return not (any(each.refused for each in read) or left_open(read[-1].open))


def _from_stickers(stickers: Mapping[str, JudgedPage], folder: str) -> Iterator[Led]:
    for file, read in stickers.items():
        for link in (link for each in read for link in each.links):
            led = led_to(file, link.target)
            if led is not None:
                yield _standing(led, folder)


def _standing(led: Led, folder: str) -> Led:
    """Where a link leads, with the guide of a folder where it is said to stand."""
    inside = led.file.startswith(folder)
    return led._replace(file=f"{STANDING}{led.file.removeprefix(folder)}") if inside else led
