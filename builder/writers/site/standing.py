"""A guide as it is published, of which a new edition takes the pages that would come out the same."""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from builder.model.late import MARK
from builder.writers.site.filling import Values
from builder.writers.site.refilling import Gaps, names_in, refilled_bytes
from builder.writers.site.shapes import shape_in

_DECODER = json.JSONDecoder()
_DOCUMENTS = '"docs":['
"""What stands before the entries of a search index, which are the last thing in it."""


@dataclass(frozen=True)
class Standing:
    """A published guide: its ``folder``; a digest of all that each page was ``made`` from, by the
    pages' ids; the ``gaps`` in them where values stand; the SHA-256 of each file, by its path in the
    guide."""

    folder: Path
    made: Mapping[str, str]
    gaps: Gaps
    digests: Mapping[str, str]

    def keeps(self, page: str, made: str, file: str) -> bool:
        """Whether a page was made from the same, and its file holds what was published then."""
        return self.made.get(page) == made and self.holds(file)

    def says(self, names: Iterable[str], values: Values) -> bool:
        """Whether these values stand in its pages."""
        return all(self.gaps.values.get(name) == values[name] for name in names)

    def refilled(self, page: str, made: str, file: str, values: Values) -> bytes | None:
        """A page that was made from the same but for the values in its gaps, with others there."""
        gaps = self.gaps.pages.get(page)
        if gaps is None or shape_in(self.made.get(page, "")) != shape_in(made):
            return None
        content = self._content(file)
        if content is None:
            return None
        return refilled_bytes(content, gaps, self.gaps.values, values)

    def holds(self, file: str) -> bool:
        """Whether a file is there, as it was published."""
        return self._content(file) is not None

    def _content(self, file: str) -> bytes | None:
        """What a file holds; nothing where that is not what was published."""
        try:
            content = (self.folder / file).read_bytes()
        except OSError:
            return None
        sound = hashlib.sha256(content).hexdigest() == self.digests.get(file)
        return content if sound else None

    @cached_property
    def pages(self) -> frozenset[str]:
        """The files of its pages."""
        return frozenset(each for each in self.digests if each.endswith(".html"))

    def entries(self, index: str) -> Mapping[str, bytes] | None:
        """The entries of its search index by the files of the pages: JSON without the brackets.
        Nothing where the index is not there as it was published."""
        content = self._content(index)
        if content is None:
            return None
        found: dict[str, list[str]] = {}
        for location, entry in _entries(content.decode()):
            found.setdefault(_file_of(location), []).append(entry)
        return {file: ",".join(entries).encode() for file, entries in found.items()}


def _entries(index: str) -> Iterator[tuple[str, str]]:
    """Where each entry of a search index leads, and the entry as it stands there."""
    start = index.index(_DOCUMENTS) + len(_DOCUMENTS)
    while index[start] == "{":
        entry, end = _DECODER.raw_decode(index, start)
        yield entry["location"], index[start:end]
        start = end + len(",")


def _file_of(location: str) -> str:
    folder = location.partition("#")[0].removeprefix("./")
    return f"{folder}index.html"


class Before:
    """What a new edition of a guide takes from the one that is published. ``files``: those of its
    pages by their ids, in order; ``kept``: the ids of the pages that it takes as they are; ``refilled``:
    those that it takes with other ``values`` around their own ``texts``, by their ids; ``index``: the
    file of the search index, if there is one. ``made``: what each page is made from now, by its id."""

    def __init__(
        self, standing: Standing | None, files: Mapping[str, str], made: Mapping[str, str],
        index: str | None, texts: Mapping[str, str], values: Values,
    ) -> None:  # fmt: skip
        self.files, self.made, self._entries = files, made, dict[str, bytes]()
        # Where a page is gone, others may still lead to it: then all are made again.
        self._standing = standing if standing and standing.pages <= set(files.values()) else None
        if self._standing is not None:
            gaps = self._standing.gaps.of_a_plot(values)
            self._standing = replace(self._standing, gaps=gaps)
        if self._standing is not None and index is not None:
            entries = self._standing.entries(index)
            self._standing = None if entries is None else self._standing
            self._entries = dict(entries or {})
        self.kept = frozenset(self._kept(made))
        self.refilled = dict(self._refilled(texts, values))
        self._values = values

    def _kept(self, made: Mapping[str, str]) -> Iterator[str]:
        for name, digest in made.items():
            if self._standing is not None and self._standing.keeps(name, digest, self.files[name]):
                yield name

    def _refilled(self, texts: Mapping[str, str], values: Values) -> Iterator[tuple[str, bytes]]:
        """What a search finds is the text of a page: that must stay as it is."""
        if self._standing is None:
            return
        for name, text in texts.items():
            if name in self.kept or not self._standing.says(MARK.findall(text), values):
                continue
            made, file = self.made.get(name, ""), self.files[name]
            content = self._standing.refilled(name, made, file, values)
            if content is not None:
                yield name, content

    @property
    def taken(self) -> frozenset[str]:
        """The ids of all pages that it takes."""
        return self.kept | self.refilled.keys()

    def gaps(self, new: Mapping[str, str]) -> Gaps:
        """Where the values stand in the pages: in ``new`` ones, by their files, and in those it takes."""
        known = self._standing.gaps.pages if self._standing else {}
        found = {name: new[file] if file in new else known.get(name, "") for name, file in self.files.items()}  # fmt: skip
        pages = {name: gaps for name, gaps in found.items() if gaps}
        names = {name for gaps in set(pages.values()) for name in names_in(gaps)}
        return Gaps(pages, {name: self._values[name] for name in sorted(names)})

    @property
    def places(self) -> Mapping[str, bytes | Path]:
        """Where the files are that it takes."""
        if self._standing is None:
            return {}
        return {self.files[name]: self._standing.folder / self.files[name] for name in self.files if name in self.kept}  # fmt: skip

    @property
    def stood(self) -> Mapping[str, str]:
        """A digest of the shape of each page as it is published, by its file; where any is taken."""
        made = self._standing.made if self._standing and self.taken else {}
        return {self.files[name]: shape_in(made[name]) for name in self.files if name in made}

    def digests(self, new: Mapping[str, str]) -> dict[str, str]:
        """The SHA-256 of all pages, in order."""
        known = {} if self._standing is None else self._standing.digests
        return {file: new[file] if file in new else known[file] for file in self.files.values()}

    def in_order(self, new: Mapping[str, bytes]) -> Iterator[bytes]:
        """The entries of all pages in the search index."""
        for file in self.files.values():
            yield new[file] if file in new else self._entries.get(file, b"")
