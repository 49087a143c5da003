"""What one run has worked out already, so that the same is not worked out for every plot.

Plots of one development share most of what they are made from: the very same layers, sections and
records, which nobody changes. What is made from the very same parts is made once.
"""

from collections.abc import Callable, Hashable
from typing import Any, Generic, TypeVar

T = TypeVar("T")
Key = TypeVar("Key", bound=Hashable)
MOST = 12_000
"""Results that a run keeps: those of some hundred homes."""


class Lately(Generic[Key, T]):
    """What was asked for lately, by key, so that no run needs more memory for more plots.

    It holds the last ``most`` results for certain, and never more than twice as many.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._new: dict[Key, T] = {}
        self._old: dict[Key, T] = {}

    def get(self, key: Key) -> T | None:
        """What was kept by this key, if it still is."""
        found = self._new.get(key)
        if found is None:
            found = self._old.get(key)
            if found is not None:
                self.keep(key, found)
        return found

    def keep(self, key: Key, value: T) -> T:
        """Keep a value, and return it."""
        if len(self._new) >= self._most:
            self._old, self._new = self._new, {}
        self._new[key] = value
        return value


class Kept:
    """The results of one run, by the function that made them and the parts it made them from.

    The functions are pure and their parts are never changed. Equal parts that are not the very same
    objects count as others: 1, 1.0 and true are equal, and read differently in a guide.
    """

    def __init__(self) -> None:
        self._found: Lately[tuple[int, ...], tuple[tuple[object, ...], Any]] = Lately(MOST)
        self._values: dict[tuple[type, Any], Any] = {}

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

    def same(self, value: T) -> T:
        """The first of all equal values, so that equal ones are the very same part.

        For what holds texts and whole numbers alone: there what is equal is the same.
        """
        found: T = self._values.setdefault((type(value), value), value)
        return found
