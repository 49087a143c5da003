"""A guide as it is published, of which a new edition takes the pages that would come out the same."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

WORDS = "find/words.json"
"""The file of a guide with the words of all its pages."""


@dataclass(frozen=True)
class PublishedGuide:
    """A published guide: its ``folder``; a digest of all that each page was ``made`` from, by the pages'
    ids; the SHA-256 of each file, by its path in the guide."""

    folder: Path
    made: Mapping[str, str]
    digests: Mapping[str, str]

    def keeps(self, page: str, made: str, file: str) -> bool:
        """Whether a page was made from the same, and its file holds what was published then."""
        return self.made.get(page) == made and self.holds(file)

    def holds(self, file: str) -> bool:
        """Whether a file is there, as it was published."""
        return self.content(file) is not None

    def content(self, file: str) -> bytes | None:
        """What a file holds; nothing where that is not what was published."""
        try:
            content = (self.folder / file).read_bytes()
        except OSError:
            return None
        return content if hashlib.sha256(content).hexdigest() == self.digests.get(file) else None

    @cached_property
    def rows(self) -> Mapping[str, str]:
        """The words of its pages as they stand in the list of all words, by the pages' addresses."""
        content = self.content(WORDS)
        rows = [] if content is None else json.loads(content)
        return {row[0]: json.dumps(row, ensure_ascii=False, separators=(",", ":")) for row in rows}
