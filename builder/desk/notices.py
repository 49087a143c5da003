"""What is to be said on the next page: that something was saved, or why it was not."""

from dataclasses import dataclass
from secrets import token_urlsafe
from threading import Lock
from typing import Literal

MOST = 500
"""Notices that are kept; a page takes its own at once."""


@dataclass(frozen=True, slots=True)
class Notice:
    """One sentence or more for whoever did something. ``sort`` says how it went."""

    sort: Literal["done", "refused"]
    says: str


class Notices:
    """Notices by a number that nobody can guess, so that an address says nothing by itself."""

    def __init__(self) -> None:
        self._kept: dict[str, Notice] = {}
        self._lock = Lock()

    def keep(self, notice: Notice) -> str:
        """The number of a notice."""
        number = token_urlsafe(9)
        with self._lock:
            self._kept[number] = notice
            while len(self._kept) > MOST:
                self._kept.pop(next(iter(self._kept)))
        return number

    def of(self, number: str) -> Notice | None:
        """The notice of a number, if it is still kept."""
        return self._kept.get(number)
