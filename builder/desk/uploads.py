"""Files that were sent and wait for a word of their sender: in memory, a few, and for a while."""

from dataclasses import dataclass
from secrets import token_urlsafe
from threading import Lock

from builder.desk.asked import Upload

MOST, MOST_BYTES = 12, 200 * 1024 * 1024
"""Files that wait at most, and their bytes together: the oldest goes first."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """A file that waits, and what it is for."""

    upload: Upload
    about: str


class Uploads:
    """The files that wait, by a number that nobody can guess."""

    def __init__(self) -> None:
        self._kept: dict[str, Waiting] = {}
        self._lock = Lock()

    def keep(self, upload: Upload, about: str) -> str:
        """The number by which a file is asked for again."""
        number = token_urlsafe(9)
        with self._lock:
            self._kept[number] = Waiting(upload, about)
            while len(self._kept) > MOST or self._bytes() > MOST_BYTES:
                self._kept.pop(next(iter(self._kept)))
        return number

    def _bytes(self) -> int:
        return sum(len(each.upload.content) for each in self._kept.values())

    def of(self, number: str) -> Waiting | None:
        """The file of a number, if it still waits."""
        return self._kept.get(number)

    def drop(self, number: str) -> None:
        """It is not needed any more."""
        with self._lock:
            self._kept.pop(number, None)
