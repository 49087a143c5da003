"""A guide as it is published, of which a new edition takes the pages that would come out the same."""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class Standing:
    """A published guide: its ``folder``; a digest of all that each page was ``made`` from, by the
    pages' ids; the SHA-256 of each file, by its path in the guide."""

    folder: Path
    made: Mapping[str, str]
    digests: Mapping[str, str]

    def keeps(self, page: str, made: str, file: str) -> bool:
        """Whether a page was made from the same, and its file holds what was published then."""
        return self.made.get(page) == made and self.holds(file)

    def holds(self, file: str) -> bool:
        """Whether a file is there, as it was published."""
        digest = self.digests.get(file)
        try:
            content = (self.folder / file).read_bytes()
        except OSError:
            return False
        return hashlib.sha256(content).hexdigest() == digest

    @cached_property
    def pages(self) -> frozenset[str]:
        """The files of its pages."""
        return frozenset(each for each in self.digests if each.endswith(".html"))

    def entries(self, index: str) -> Mapping[str, bytes] | None:
        """The entries of its search index by the files of the pages: JSON without the brackets.
        Nothing where the index is not there as it was published."""
        if not self.holds(index):
            return None
        found: dict[str, list[Any]] = {}
        for entry in json.loads((self.folder / index).read_bytes())["docs"]:
            found.setdefault(_file_of(entry["location"]), []).append(entry)
        return {file: _listed(entries) for file, entries in found.items()}


def _file_of(location: str) -> str:
    folder = location.partition("#")[0].removeprefix("./")
    return f"{folder}index.html"


def _listed(entries: Iterable[Any]) -> bytes:
    return json.dumps(entries, separators=(",", ":")).encode()[1:-1]


class Before:
    """What a new edition of a guide takes from the one that is published. ``files``: those of its
    pages by their ids, in order; ``kept``: the ids of the pages that it takes; ``index``: the file of
    the search index, if there is one. ``made``: what each page is made from now, by its id."""

    def __init__(
        self, standing: Standing | None, files: Mapping[str, str], made: Mapping[str, str],
        index: str | None,
    ) -> None:  # fmt: skip
        self.files, self.made, self._entries = files, made, dict[str, bytes]()
        # Where a page is gone, others may still lead to it: then all are made again.
        self._standing = standing if standing and standing.pages <= set(files.values()) else None
        if self._standing is not None and index is not None:
            entries = self._standing.entries(index)
            self._standing = None if entries is None else self._standing
            self._entries = dict(entries or {})
        self.kept = frozenset(self._kept(made))

    def _kept(self, made: Mapping[str, str]) -> Iterator[str]:
        for name, digest in made.items():
            if self._standing is not None and self._standing.keeps(name, digest, self.files[name]):
                yield name

    @property
    def places(self) -> Mapping[str, bytes | Path]:
        """Where the files are that it takes."""
        if self._standing is None:
            return {}
        return {self.files[name]: self._standing.folder / self.files[name] for name in self.files if name in self.kept}  # fmt: skip

    @property
    def stood(self) -> Mapping[str, str]:
        """A digest of the shape of each page as it is published, by its file; where any is taken."""
        made = self._standing.made if self._standing and self.kept else {}
        return {
            self.files[name]: made[name].partition(".")[0] for name in self.files if name in made
        }

    def digests(self, new: Mapping[str, str]) -> dict[str, str]:
        """The SHA-256 of all pages, in order."""
        known = {} if self._standing is None else self._standing.digests
        return {file: new[file] if file in new else known[file] for file in self.files.values()}

    def in_order(self, new: Mapping[str, bytes]) -> Iterator[bytes]:
        """The entries of all pages in the search index."""
        for file in self.files.values():
            yield new[file] if file in new else self._entries.get(file, b"")
