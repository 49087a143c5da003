"""What became of long work, kept on the disk, so that a desk which was killed tells it after a new start.

Of each piece of work there is what was asked for, written by the desk; a lock, held by the process while it
works; and what came of it, written by that process when it ends. All of it is private.
"""

import json
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from builder.disk import left_out_of_git, private_folder, save
from builder.errors import UnwritableError

FOLDER = ".handover/work"
ASKED, ENDED, LOCK, MADE = ".json", ".ended.json", ".lock", ".made"
_NUMBER = re.compile(r"[\w-]{8,32}", re.ASCII)


@dataclass(frozen=True, slots=True)
class MadeFile:
    """A file that work has made: what it is saved as, its media type, and what it holds."""

    name: str
    media_type: str
    content: bytes = b""


@dataclass(frozen=True, slots=True)
class WorkReport:
    """What work has to say: ``lines`` in words, ``failed`` where it could not be done, what it ``found``, for
    the page that looks at it, and the file that it ``made``."""

    lines: tuple[str, ...] = ()
    failed: bool = False
    found: object = None
    made: MadeFile | None = None


@dataclass(frozen=True, slots=True)
class KeptJob:
    """One piece of work as the disk knows it: its ``number``, what was ``asked`` for, and what it ``told``;
    nothing while nobody knows what became of it."""

    number: str
    asked: Mapping[str, Any] = field(default_factory=dict)
    told: WorkReport | None = None


class KeptWork:
    """The private folder of the work of one workspace."""

    def __init__(self, root: Path) -> None:
        self._folder = root / FOLDER

    def _file(self, number: str, ending: str) -> Path:
        return self._folder / f"{number}{ending}"

    def begun(self, number: str, asked: Mapping[str, Any]) -> None:
        """Remember what was asked for. UnwritableError where it cannot be."""
        try:
            left_out_of_git(private_folder(self._folder))
        except OSError as error:
            raise UnwritableError(f"'{self._folder}' cannot be made: {error.strerror}.") from error
        self._write(number, ASKED, asked)

    def ended(self, number: str, told: WorkReport) -> WorkReport:
        """Remember what came of it, with the file that it made; then that file is on the disk alone."""
        made = told.made
        if made is not None:
            save(self._file(number, MADE), made.content, private=True)
            made = MadeFile(made.name, made.media_type)
        about = {"lines": told.lines, "failed": told.failed}
        self._write(number, ENDED, {**about, **({"made": [made.name, made.media_type]} if made else {})})  # fmt: skip
        return WorkReport(told.lines, told.failed, told.found, made)

    def _write(self, number: str, ending: str, about: Mapping[str, Any]) -> None:
        text = json.dumps(about, ensure_ascii=False, sort_keys=True)
        save(self._file(number, ending), text.encode("utf-8"), private=True)

    @contextmanager
    def under_way(self, number: str) -> Iterator[None]:
        """While this lasts, every desk sees that the work goes on."""
        with FileLock(self._file(number, LOCK), mode=0o600):
            yield

    def goes_on(self, number: str) -> bool:
        """Whether some process is at it still."""
        if not self._file(number, LOCK).is_file():
            return False
        try:
            with FileLock(self._file(number, LOCK), timeout=0):
                return False
        except Timeout:
            return True

    def all(self) -> tuple[KeptJob, ...]:
        """All that is kept, the oldest first; what cannot be read is left out."""
        numbers = [each.name.removesuffix(ASKED) for each in self._folder.glob(f"*{ASKED}")]
        read = (self._job_as_asked(each) for each in numbers if _NUMBER.fullmatch(each))
        return tuple(sorted(filter(None, read), key=lambda each: (str(each.asked.get("begun")), each.number)))  # fmt: skip

    def _job_as_asked(self, number: str) -> KeptJob | None:
        about = self._read(number, ASKED)
        return None if about is None else KeptJob(number, about, self.told(number))

    def told(self, number: str) -> WorkReport | None:
        """What came of work; nothing while it is not known."""
        about = self._read(number, ENDED)
        if about is None:
            return None
        made = about.get("made")
        return WorkReport(
            tuple(map(str, about.get("lines", ()))), bool(about.get("failed")), None,
            MadeFile(str(made[0]), str(made[1])) if isinstance(made, list) else None,
        )  # fmt: skip

    def _read(self, number: str, ending: str) -> dict[str, Any] | None:
        try:
            read = json.loads(self._file(number, ending).read_text(encoding="utf-8"))
        except (OSError, ValueError, RecursionError):
            return None
        return read if isinstance(read, dict) else None

    def content(self, number: str) -> bytes | None:
        """The file that work has made, if it is still kept."""
        try:
            return self._file(number, MADE).read_bytes()
        except OSError:
            return None

    def forget(self, number: str, *, only_made: bool = False) -> None:
        """Keep nothing of a piece of work any longer."""
        for ending in (MADE,) if only_made else (ASKED, ENDED, LOCK, MADE):
            with suppress(OSError):
                self._file(number, ending).unlink(missing_ok=True)
