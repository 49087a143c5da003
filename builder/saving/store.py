"""The private folder of saves: what files said, by digest, the save that is being put in place, and the
history of saves where no git repository holds it.

It is for its owner alone, git leaves it out, and no stage of a build reads it.
"""

import json
import os
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path

from filelock import FileLock, Timeout

from builder.digests import digest_of
from builder.disk import for_the_owner, left_out_of_git, private_folder, save
from builder.errors import UnwritableError

FOLDER = ".handover/saves"
PENDING = f"{FOLDER}/pending.json"
"""The save that is being put in place."""
_WAIT = 20.0
"""Seconds that a save waits for another one."""
_SEEN, _SPARE = 1_000, 200
"""Texts that are kept because somebody has them on the screen, and how many more before a clean-up."""
_DIGEST = re.compile("[0-9a-f]{64}")
_FILE = "journal.jsonl"


@dataclass(frozen=True, slots=True)
class JournalEntry:
    """One save as it is recorded: when (ISO 8601), by which role, why, and of each file the digests
    before and after, "" for no file. ``undoes``: the save that it took back."""

    id: str
    when: str
    role: str
    reason: str
    files: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    undoes: str = ""

    @property
    def line(self) -> str:
        return json.dumps(asdict(self), ensure_ascii=False, sort_keys=True)


def entry_of(line: str) -> JournalEntry:
    """An entry from its line. ValueError for any other text."""
    try:
        read = json.loads(line)
        files = {str(name): (str(old), str(new)) for name, (old, new) in read.pop("files").items()}
        return JournalEntry(**{key: str(each) for key, each in read.items()}, files=files)
    except (TypeError, KeyError, AttributeError, RecursionError) as error:
        raise ValueError(str(error)) from error


class SaveStore:
    """The private folder of one workspace."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self.folder = root / FOLDER
        self._pending = root / PENDING

    def _private_place(self, name: str = "") -> Path:
        try:
            private_folder(self.folder, self._root)
            left_out_of_git(self.folder)
            return private_folder(self.folder / name) if name else self.folder
        except OSError as error:
            raise UnwritableError(
                f"'{self.folder}' cannot be written: {error.strerror}."
            ) from error

    @contextmanager
    def locked(self) -> Iterator[None]:
        """While this holds, no other process and no other thread saves."""
        lock = FileLock(self._private_place() / "lock", timeout=_WAIT, mode=0o600)
        try:
            lock.acquire()
        except (Timeout, OSError) as error:
            raise UnwritableError("Somebody else is saving. Try again in a moment.") from error
        try:
            for draft in (*self.folder.glob(".*.part"), *self.folder.glob("contents/.*.part")):
                draft.unlink(missing_ok=True)  # of a process that was killed
            yield
        finally:
            lock.release()

    def keep(self, content: bytes, *, seen: bool = False) -> str:
        """Keep what a file says and give its digest. ``seen``: because somebody looks at it."""
        digest = digest_of(content)
        path = self._private_place("seen" if seen else "contents") / digest
        if not path.exists() or digest_of(path.read_bytes()) != digest:
            save(path, content, private=True)
        elif seen:
            with suppress(OSError):
                os.utime(path)
        if seen:
            self._tidy()
        return digest

    def content(self, digest: str) -> bytes | None:
        """What has a digest, if it was kept and is whole."""
        if not _DIGEST.fullmatch(digest):
            return None
        for folder in ("contents", "seen"):
            with suppress(OSError):
                content = (self.folder / folder / digest).read_bytes()
                if digest_of(content) == digest:
                    return content
        return None

    def _tidy(self) -> None:
        paths = list((self.folder / "seen").iterdir())
        if len(paths) > _SEEN + _SPARE:
            with suppress(OSError):
                paths.sort(key=lambda each: each.stat().st_mtime_ns)
                for each in paths[: len(paths) - _SEEN]:
                    each.unlink()

    @property
    def pending(self) -> JournalEntry | None:
        """The save that was decided on and is not recorded yet."""
        if not self._pending.is_file():
            return None
        try:
            return entry_of(self._pending.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return None

    def decide(self, entry: JournalEntry) -> None:
        """From here on a save is done, whatever stops this process: the next one finishes it."""
        self._private_place()
        save(self._pending, entry.line.encode("utf-8"), private=True)
        _to_disk(self.folder)

    def finished(self) -> None:
        """Note that no save is being put in place any more."""
        self._pending.unlink(missing_ok=True)
        _to_disk(self.folder)


def _to_disk(folder: Path) -> None:
    """Have the disk remember the names in a folder too, where the system can."""
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def add_to_journal(root: Path, entry: JournalEntry) -> None:
    """Add a save to the journal, once. A line that was cut off by a full disk is begun anew."""
    path = root / FOLDER / _FILE
    if any(each.id == entry.id for each in journal_of(root)):
        return
    try:
        with open(path, "ab", opener=for_the_owner) as file:
            begun = file.tell() > 0 and not path.read_bytes().endswith(b"\n")
            file.write(f"{chr(10) * begun}{entry.line}\n".encode())
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise UnwritableError(f"'{path}' cannot be written: {error.strerror}.") from error


def journal_of(root: Path) -> Iterator[JournalEntry]:
    """All saves of the journal, oldest first; a line that nobody can read is passed over."""
    try:
        lines = (root / FOLDER / _FILE).read_text(encoding="utf-8").splitlines()
    except (OSError, ValueError):
        return
    for line in lines:
        try:
            yield entry_of(line)
        except ValueError:
            continue
