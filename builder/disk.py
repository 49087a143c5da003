"""Puts finished files in their place whole: a full disk leaves the old one as it was.

What is private is for its owner alone: files of mode 0600, in folders of mode 0700 that tell git to
leave them out.
"""

import os
from contextlib import suppress
from pathlib import Path
from typing import Final

from builder.errors import UnwritableError

_OWNER_ONLY: Final = 0o077
"""What others may do, in a mode: with any of it set, a private file is not private."""


def save(path: Path, content: bytes, *, private: bool = False) -> None:
    """Write beside the file and put the new one in its place only when all of it is on the disk."""
    draft = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        write_to_disk(draft, content, private=private)
        draft.replace(path)
    except OSError as error:
        _drop(draft)
        kept = " The old file is as it was." if path.is_file() else " Nothing was written."
        raise UnwritableError(f"'{path}' cannot be written: {error.strerror}.{kept}") from error


def write_to_disk(path: Path, content: bytes, *, private: bool = False) -> None:
    """Write a file, and return when all of it is on the disk. OSError where it cannot be."""
    with open(path, "wb", opener=for_the_owner if private else None) as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def for_the_owner(path: str, flags: int) -> int:
    """Opens a file that nobody but its owner may read, whatever was there before."""
    opened = os.open(path, flags, 0o600)
    with suppress(OSError, AttributeError):
        os.fchmod(opened, 0o600)
    return opened


def private_folder(path: Path) -> Path:
    """A folder that nobody but its owner may look into, and that git leaves out. OSError where it
    cannot be made."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.mkdir(mode=0o700, exist_ok=True)
    if path.stat().st_mode & _OWNER_ONLY:
        with suppress(OSError):  # on a disk that keeps no modes
            _close(path)
    return path


def _close(folder: Path) -> None:
    """Take from others what an earlier version of the builder, or a copy, let them see."""
    folder.chmod(0o700)
    for path in folder.rglob("*"):
        if not path.is_symlink():
            path.chmod(0o700 if path.is_dir() else 0o600)


def left_out_of_git(folder: Path, *, private: bool = True) -> None:
    """Have git leave out all that a folder holds, this note included."""
    note = folder / ".gitignore"
    if not note.exists():
        with open(
            note, "w", encoding="utf-8", newline="\n", opener=for_the_owner if private else None
        ) as file:
            file.write("*\n")


def _drop(draft: Path) -> None:
    with suppress(OSError):
        draft.unlink(missing_ok=True)
