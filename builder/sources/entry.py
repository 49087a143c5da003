"""A value where its author wrote it: the tree that every source file is read into."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from builder.errors import Place

Scalar = str | int | float | bool | None
Address = tuple[str | int, ...]
"""A path into a tree: keys of mappings and positions in lists."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A scalar, a list or a mapping, with the place of its value and (in a mapping) of its key.

    ``written``: a number as its author wrote it, where it would be printed otherwise: 1.50 or 1e3.
    """

    value: "Scalar | tuple[Entry, ...] | Mapping[str, Entry]"
    place: Place
    key_place: Place | None = None
    written: str = field(default="", compare=False, repr=False)

    @property
    def named_at(self) -> Place:
        """The place of its key, or of the value where there is none."""
        return self.key_place or self.place

    @property
    def children(self) -> "Mapping[str, Entry]":
        """The entries of a mapping; nothing for anything else."""
        return self.value if isinstance(self.value, Mapping) else {}

    def child(self, step: str | int) -> "Entry | None":
        if isinstance(self.value, Mapping):
            return self.value.get(str(step))
        if isinstance(self.value, tuple) and isinstance(step, int) and step < len(self.value):
            return self.value[step]
        return None


def plain(entry: Entry) -> Any:
    """The value as ordinary dictionaries, lists and scalars."""
    if isinstance(entry.value, Mapping):
        return {key: plain(child) for key, child in entry.value.items()}
    if isinstance(entry.value, tuple):
        return [plain(child) for child in entry.value]
    return entry.value


def without(entry: Entry, addresses: Collection[Address]) -> Entry:
    """An entry without what stands at some addresses; a list that holds one of them goes as a whole."""
    if () in addresses or not isinstance(entry.value, Mapping):
        return entry
    by_key: dict[str | int, set[Address]] = {}
    for first, *rest in addresses:
        by_key.setdefault(first, set()).add(tuple(rest))
    kept = {}
    for key, child in entry.value.items():
        below = by_key.get(key, set())
        if () not in below and not (below and isinstance(child.value, tuple)):
            kept[key] = without(child, below) if below else child
    return replace(entry, value=kept)


def along(entry: Entry, address: Sequence[str | int]) -> Iterator[tuple[Address, Entry]]:
    """The entries met on the way down an address, as far as it leads."""
    here: Entry | None = entry
    for depth, step in enumerate(address):
        here = here.child(step) if here else None
        if here is None:
            return
        yield tuple(address[: depth + 1]), here


def nearest(entry: Entry, address: Sequence[str | int]) -> Entry:
    """The entry at an address, or the last one on the way there."""
    *_, last = entry, *(each for _, each in along(entry, address))
    return last


def dotted(address: Sequence[str | int]) -> str:
    """An address as authors read it: ``rooms.kitchen.outline[2]``."""
    path = ""
    for step in address:
        path += f"[{step}]" if isinstance(step, int) else f".{step}"
    return path.lstrip(".")
