"""What the proof of a guide must know of the pages that it takes from the one that is published."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from builder.lately import Lately
from builder.proof.allowed import Kind
from builder.proof.judging import judge_page

MOST = 2_000
"""Pages of which a process keeps the places that links can lead to."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What a guide takes over from the one that is published: the places in the pages that it
    ``kept``, and those that its new pages had when they were ``replaced``, by the pages' paths."""

    kept: Mapping[str, Callable[[], frozenset[str]]]
    replaced: Mapping[str, Callable[[], frozenset[str]]]


class Places:
    """The places in pages that are published, read when somebody asks."""

    def __init__(self) -> None:
        self._found: Lately[str, frozenset[str]] = Lately(MOST)

    def of(self, page: Path, shape: str) -> frozenset[str]:
        """The places in a page. Pages of one shape have the same, whatever their values."""
        found = self._found.get(shape)
        if found is None:
            found = self._found.keep(shape, judge_page(page.read_bytes(), Kind("article")).anchors)
        return found
