"""What was left at a destination, remembered beside the records of the tree: never at the
destination itself, where it would be a list of all codes for anyone to read.

One text file for each destination. A line is a mark and a path; later lines hold, so that a run
adds a line for each file that it has sent, and one that is cut off has said what it did.
"""

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from threading import Lock
from typing import Final

from filelock import FileLock, Timeout

from builder.build.manifest import DIGITS, stay_inside, write_private
from builder.disk import for_the_owner, private_folder
from builder.errors import HandoverError

FOUND: Final = "found"
"""It was there before anything was sent, with content that is not known. Not ours to delete."""
SENDING: Final = "sending"
"""Nothing was there, and it was about to be sent: it may be there now."""
CHANGING: Final = "changing"
"""It was there, and was about to be replaced: either content may be there now."""
LOOSE: Final = "loose"
"""No page that a reader can reach names it, so that nobody sees what it holds. Before a SHA-256, as
"loose-…": this content, which may lead to what a run that was cut off never sent."""
_GONE: Final = "gone"
_HEADER: Final = "handover-deployed 1"
_LINE: Final = re.compile(
    rf"((?:{LOOSE}-)?[0-9a-f]{{64}}|{FOUND}|{SENDING}|{CHANGING}|{LOOSE}|{_GONE}) (.+)"
)


class Deployed:
    """The memory of one destination: what each of its files is, by its path in the tree.

    What is kept of a file is its SHA-256, or one of the marks above.
    """

    def __init__(self, records: Path, address: str) -> None:
        name = hashlib.sha256(address.encode("utf-8"), usedforsecurity=False).hexdigest()[:16]
        self._records = records
        self._path = records / "deployed" / f"{name}.txt"
        self._address = address
        self._adding = Lock()

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Keep other deployments to this destination out meanwhile."""
        with self._in_our_words():
            private_folder(self._path.parent, self._records.parent)
            lock = FileLock(self._path.with_suffix(".lock"), timeout=0, mode=0o600)
            try:
                lock.acquire()
            except Timeout as error:
                raise HandoverError(f"Another deployment to '{self._address}' is under way. Wait until it has ended.") from error  # fmt: skip
        try:
            yield
        finally:
            lock.release()

    def read(self) -> dict[str, str] | None:
        """What is remembered; none where nothing is, or where it cannot be read."""
        try:
            text = self._path.read_text(encoding="utf-8")
        except (OSError, ValueError):
            return None
        lines = text.split("\n")[:-1]  # what follows the last end of line was cut off
        held = _files_in(lines[1:]) if lines[:1] == [_HEADER] else None
        return held if held is not None and stay_inside(held) else None

    def write(self, held: Mapping[str, str]) -> None:
        """Remember this in place of all before."""
        lines = (f"{held[path]} {path}\n" for path in sorted(held))
        with self._in_our_words():
            write_private(self._path, "".join((f"{_HEADER}\n", *lines)))

    def add(self, lines: Iterable[str]) -> None:
        """Add lines of a journal to what is remembered; they are on disk when this returns."""
        with (
            self._in_our_words(),
            self._adding,
            open(self._path, "a", encoding="utf-8", newline="\n", opener=for_the_owner) as file,
        ):
            file.writelines(f"{line}\n" for line in lines)

    @contextmanager
    def _in_our_words(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            raise HandoverError(f"'{self._path.parent}' cannot be written: {error.strerror}.") from error  # fmt: skip


def sent(path: str, digest: str) -> str:
    """The line that says that a file was sent, and that readers may come to it."""
    return f"{digest} {path}"


def sent_loose(path: str, digest: str) -> str:
    """The line that says that a file was sent to which nothing leads yet."""
    return f"{LOOSE}-{digest} {path}"


def let_loose(path: str) -> str:
    """The line that says that nothing leads to a file any more, and that others of its kind go."""
    return f"{LOOSE} {path}"


def gone(path: str) -> str:
    """The line that says that a file was deleted."""
    return f"{_GONE} {path}"


def content_of(mark: str) -> str:
    """The SHA-256 of what is there, by what is remembered; none where it is not sure."""
    digest = mark.removeprefix(f"{LOOSE}-")
    return digest if len(digest) == DIGITS else ""


def is_loose(mark: str) -> bool:
    """Whether nothing can lead a reader to a file: it was never there, or no page names it."""
    return mark in ("", SENDING) or mark.startswith(LOOSE)


def _files_in(lines: list[str]) -> dict[str, str] | None:
    held: dict[str, str] = {}
    for line in lines:
        found = _LINE.fullmatch(line)
        if found is None:
            return None
        mark, path = found.groups()
        if mark == _GONE:
            held.pop(path, None)
        else:
            held[path] = mark
    return held
