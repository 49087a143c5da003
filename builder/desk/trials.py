"""Guides as they would be with a text that nobody has saved yet, to be looked at beside it."""

from secrets import token_urlsafe
from threading import Lock

from builder.guide.pages import Guide

MOST = 12
"""Guides that are kept: of the last texts that somebody has tried."""


class Trials:
    """Guides by a number that nobody can guess."""

    def __init__(self) -> None:
        self._kept: dict[str, Guide] = {}
        self._lock = Lock()

    def keep(self, guide: Guide) -> str:
        """The number of a guide on trial."""
        number = token_urlsafe(12)
        with self._lock:
            self._kept[number] = guide
            while len(self._kept) > MOST:
                self._kept.pop(next(iter(self._kept)))
        return number

    def of(self, number: str) -> Guide | None:
        """The guide of a number, if it is still kept."""
        return self._kept.get(number)
