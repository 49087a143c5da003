"""A cache of recent results, for every stage that keeps some of what it has made."""

from collections.abc import Hashable
from typing import Generic, TypeVar

T = TypeVar("T")
Key = TypeVar("Key", bound=Hashable)


class RecentResults(Generic[Key, T]):
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
