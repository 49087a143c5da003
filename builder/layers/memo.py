"""What one run has worked out already, so that the same is not worked out for every plot.

Plots of one development share most of what they are made from: the very same layers, sections and
records, which nobody changes. What is made from the very same parts is made once.
"""

from collections.abc import Callable
from hashlib import sha256
from typing import Any, TypeVar

from builder.recent import RecentResults

T = TypeVar("T")
MOST = 30_000
"""Results that a run keeps: those of some dozens of homes."""


ALIKE = 2_000
"""Sections of homes that a run keeps to find those that are alike."""


class Memo:
    """The results of one run, by the function that made them and the parts it made them from.

    The functions are pure and their parts are never changed. Equal parts that are not the very same
    objects count as others: 1, 1.0 and true are equal, and read differently in a guide. ``most``: how many
    are kept for certain.
    """

    def __init__(self, most: int = MOST) -> None:
        self._found: RecentResults[tuple[int, ...], tuple[tuple[object, ...], Any]] = RecentResults(
            most
        )
        self._values: dict[tuple[type, Any], Any] = {}
        self._alike: RecentResults[bytes, Any] = RecentResults(ALIKE)

    def once(self, make: Callable[..., T], *parts: object) -> T:
        """``make(*parts)``, from the first time that it was asked for."""
        return self.made_from((make, *parts), lambda: make(*parts))

    def made_from(self, parts: tuple[object, ...], make: Callable[[], T]) -> T:
        """What ``make`` returned when it was first asked for from these parts.

        The first of them says what is made, so that nothing else is mistaken for it. The parts are
        kept beside their result: while they are there, no other object has their identity.
        """
        key = tuple(map(id, parts))
        found = self._found.get(key)
        if found is None:
            found = self._found.keep(key, (parts, make()))
        result: T = found[1]
        return result

    def alike(self, value: T) -> T:
        """The first of all values that are written out the same, so that they are the very same part.

        For records and mappings of them, which write out all that they hold, and its types with it.
        """
        return self.made_from((Memo.alike, value), lambda: self._first_alike(value))

    def _first_alike(self, value: T) -> T:
        written = sha256(repr(value).encode()).digest()
        found = self._alike.get(written)
        first: T = self._alike.keep(written, value) if found is None else found
        return first

    def same(self, value: T) -> T:
        """The first of all equal values, so that equal ones are the very same part.

        For what holds texts and whole numbers alone: there what is equal is the same.
        """
        found: T = self._values.setdefault((type(value), value), value)
        return found
