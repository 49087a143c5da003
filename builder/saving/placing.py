"""Puts all files of a save in their places, or none; and finishes what a killed process began."""

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from builder.digests import digest_of
from builder.disk import save
from builder.errors import UnwritableError
from builder.saving.store import JournalEntry, SaveStore

Contents = Mapping[str, bytes | None]
"""What files say, by their names; None for no file."""


def digest_or_none(content: bytes | None) -> str:
    """A digest, or "" for no file."""
    return "" if content is None else digest_of(content)


def on_disk(root: Path, name: str) -> bytes | None:
    """What a file says, or None where there is none. UnwritableError where it cannot be read."""
    try:
        return (root / name).read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise UnwritableError(f"'{name}' cannot be read: {error.strerror}.") from error


def place(
    root: Path, store: SaveStore, entry: JournalEntry, was: Contents, becomes: Contents
) -> None:
    """Put the files of a save in place. The lock of the store must be held.

    Everything is on the disk before the save is decided on. Raises UnwritableError where the disk
    cannot take it: then every file is as it was.
    """
    for content in (*was.values(), *becomes.values()):
        if content is not None:
            store.keep(content)
    store.decide(entry)
    try:
        finish(root, store, entry)
    except UnwritableError:
        for name, content in was.items():
            _write(root, name, content)
        store.finished()
        raise


def finish(root: Path, store: SaveStore, entry: JournalEntry) -> None:
    """Write the files of a save that was decided on. A file that is neither as before nor as wanted has
    been changed by somebody since, and stays."""
    for name, (before, after) in entry.files.items():
        _sweep(root / name)
        if digest_or_none(on_disk(root, name)) == before:
            _write(root, name, store.content(after) if after else None)


def _write(root: Path, name: str, content: bytes | None) -> None:
    path = root / name
    try:
        if content is None:
            path.unlink(missing_ok=True)
            return
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UnwritableError(f"'{name}' cannot be written: {error.strerror}.") from error
    mode = path.stat().st_mode & 0o777 if path.exists() else None
    save(path, content)
    if mode is not None:
        with suppress(OSError):
            path.chmod(mode)


def _sweep(path: Path) -> None:
    """Take away the drafts that a killed process left beside a file."""
    with suppress(OSError):
        for draft in path.parent.glob(f".{path.name}.*.part"):
            draft.unlink()
