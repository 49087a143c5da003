"""The history of saves where no git repository holds it: lines in a private file, newest last."""

import os
from collections.abc import Iterator
from pathlib import Path

from builder.disk import for_the_owner
from builder.errors import UnwritableError
from builder.saving.store import FOLDER, JournalEntry, entry_of

_FILE = "journal.jsonl"


def write_line(root: Path, entry: JournalEntry) -> None:
    """Add a save to the journal, once. A line that was cut off by a full disk is begun anew."""
    path = root / FOLDER / _FILE
    if any(each.id == entry.id for each in entries(root)):
        return
    try:
        with open(path, "ab", opener=for_the_owner) as file:
            begun = file.tell() > 0 and not path.read_bytes().endswith(b"\n")
            file.write(f"{chr(10) * begun}{entry.line}\n".encode())
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise UnwritableError(f"'{path}' cannot be written: {error.strerror}.") from error


def entries(root: Path) -> Iterator[JournalEntry]:
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
