"""What one file says of one home, and holds: values, records that it added, what it took away."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel

from builder.errors import Place
from builder.layers.merge import Merged, Saying
from builder.model.home import Home
from builder.model.shape import bare, child_type
from builder.sources.entry import Address, Entry


@dataclass(frozen=True, slots=True)
class OwnedTarget:
    """A file of a workspace, or one line of it (counted from 1).

    ``lines``: that line, and those of all that stands under the name on it.
    """

    file: str
    line: int | None = None
    lines: frozenset[int] = frozenset()

    def says(self, saying: Saying) -> bool:
        return self.wrote(saying.place, saying.named_at)

    def wrote(self, place: Place, named_at: Place) -> bool:
        """Whether what stands at a place, under a name at another, is in this file or line."""
        return place.file == self.file and (
            self.line is None or place.line in self.lines or named_at.line in self.lines
        )

    def wrote_all(self, entry: Entry) -> bool:
        """Whether every value of an entry is in this file or line."""
        return all(self.wrote(each.place, each.named_at) for each in _scalars(entry))

    def __str__(self) -> str:
        return self.file if self.line is None else f"{self.file}:{self.line}"


def lines_under(entry: Entry, line: int) -> Iterator[int]:
    """The lines of all that an entry holds under the names that stand on a line."""
    for child in entry.children.values():
        if line == (child.named_at if child.children else child.place).line:
            yield from (
                each
                for below in _entries_beneath(child)
                for each in (below.place.line, below.named_at.line)
            )
        else:
            yield from lines_under(child, line)


def _entries_beneath(entry: Entry) -> Iterator[Entry]:
    yield entry
    for child in entry.children.values():
        yield from _entries_beneath(child)


def _scalars(entry: Entry) -> Iterator[Entry]:
    return (each for each in _entries_beneath(entry) if not each.children)


@dataclass(frozen=True, slots=True)
class OwnedPart:
    """One place of a home's data: its address, the type that stands there, and what was said."""

    address: Address
    annotation: Any
    merged: Merged

    @property
    def is_record(self) -> bool:
        here = bare(self.annotation)
        return isinstance(here, type) and issubclass(here, BaseModel)


@dataclass(frozen=True, slots=True)
class Owned:
    """What a target says of a home. ``values`` and ``removed`` hold; ``records`` it speaks of.

    ``added``: the records among them that it was the first to speak of.
    """

    values: tuple[OwnedPart, ...]
    records: tuple[OwnedPart, ...]
    added: tuple[OwnedPart, ...]
    removed: tuple[OwnedPart, ...]

    @property
    def empty(self) -> bool:
        return not (self.values or self.records or self.removed)


def owned_by(merged: Merged, target: OwnedTarget) -> Owned:
    """All that a file, or a line of it, says of a home."""
    parts = list(_parts(OwnedPart((), Home, merged), target))
    return Owned(
        values=tuple(part for sort, part in parts if sort == "value"),
        records=tuple(part for sort, part in parts if sort in ("record", "added")),
        added=tuple(part for sort, part in parts if sort == "added"),
        removed=tuple(part for sort, part in parts if sort == "removed"),
    )


def _parts(part: OwnedPart, target: OwnedTarget) -> Iterator[tuple[str, OwnedPart]]:
    said = [each for each in part.merged.sayings if target.says(each)]
    if part.merged.removed or part.merged.children is None:
        if said and said[-1] is part.merged.sayings[-1]:
            yield "removed" if part.merged.removed else "value", part
        return
    if part.is_record and part.address and said:
        yield "added" if said[0] is part.merged.sayings[0] else "record", part
    for key, child in part.merged.children.items():
        inner = OwnedPart((*part.address, key), child_type(part.annotation, key), child)
        yield from _parts(inner, target)
