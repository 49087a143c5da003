"""What waits in memory for a page to ask for it again, by a number that nobody can guess."""

from collections.abc import Callable
from secrets import token_urlsafe
from threading import Lock
from typing import Generic, TypeVar

T = TypeVar("T")


class ByNumber(Generic[T]):
    """Things by their numbers: ``most`` at most, and ``heaviest`` together by ``weight`` where that
    is said. The oldest goes first."""

    def __init__(
        self, most: int, heaviest: int = 0, weight: Callable[[T], int] = lambda _: 0
    ) -> None:
        self._most, self._heaviest, self._weight = most, heaviest, weight
        self._kept: dict[str, T] = {}
        self._lock = Lock()

    def keep(self, thing: T) -> str:
        """The number of a thing."""
        number = token_urlsafe(12)
        with self._lock:
            self._kept[number] = thing
            while len(self._kept) > self._most or self._too_heavy():
                self._kept.pop(next(iter(self._kept)))
        return number

    def _too_heavy(self) -> bool:
        return sum(map(self._weight, self._kept.values())) > self._heaviest

    def of(self, number: str) -> T | None:
        """The thing of a number, if it is still kept."""
        return self._kept.get(number)

    def drop(self, number: str) -> None:
        """It is not needed any more."""
        with self._lock:
            self._kept.pop(number, None)
