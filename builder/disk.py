"""Puts finished files in their place whole: a full disk leaves the old one as it was.

What is private is for its owner alone: files of mode 0600, in folders of mode 0700 that tell git to
leave them out. No link is followed on the way: a workspace may come from anybody, and a link in it may
lead into a published tree, or to files that are none of ours.
"""

import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Final

from builder.errors import UnwritableError

_OWNER_ONLY: Final = 0o077
"""What others may do, in a mode: with any of it set, a private file is not private."""


def true_place(path: Path) -> Path:
    """Where a path lies, whatever links lead to it. Links that lead round in a circle stay as they are:
    ``Path.resolve`` breaks off at them before Python 3.13."""
    return Path(os.path.realpath(path))


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


def save_inside(root: Path, path: Path, content: bytes) -> None:
    """Save a file of a workspace, and make the folders that it lies in. UnwritableError where it cannot
    be, or where a link on the way leads out of the workspace."""
    if not true_place(path.parent).is_relative_to(true_place(root)):
        raise UnwritableError(f"'{path}' is reached by a link that leads out of the workspace. Nothing was written.")  # fmt: skip
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UnwritableError(f"'{path}' cannot be written: {error.strerror}. Nothing was written.") from error  # fmt: skip
    save(path, content)


def write_to_disk(path: Path, content: bytes, *, private: bool = False) -> None:
    """Write a new file in place of whatever stood there, and return when all of it is on the disk.
    OSError where it cannot be."""
    path.unlink(missing_ok=True)
    with open(path, "xb", opener=for_the_owner if private else None) as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def for_the_owner(path: str, flags: int) -> int:
    """Opens a file that nobody but its owner may read, whatever was there before. OSError for a link."""
    opened = os.open(path, flags | getattr(os, "O_NOFOLLOW", 0), 0o600)
    with suppress(OSError, AttributeError):
        os.fchmod(opened, 0o600)
    return opened


def private_folder(path: Path, below: Path | None = None) -> Path:
    """A folder that nobody but its owner may look into, and that git leaves out.

    ``below``: the folder from which on no link may stand on the way; the one that holds it, if not said.
    Raises OSError where it cannot be made, and UnwritableError where a link stands on the way.
    """
    without_links(path, below or path.parent)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.mkdir(mode=0o700, exist_ok=True)
    if path.stat().st_mode & _OWNER_ONLY:
        with suppress(OSError):  # on a disk that keeps no modes
            _close(path)
    return path


def without_links(path: Path, below: Path) -> Path:
    """A path, if nothing on the way to it is a link. UnwritableError where something is."""
    if link := next(links_on_the_way(path, below), None):
        raise UnwritableError(f"'{link}' is a link, and what is written there would lie elsewhere. Put a folder or file of its own in its place.")  # fmt: skip
    return path


def links_on_the_way(path: Path, below: Path) -> Iterator[Path]:
    """What is a link of a path, from the top, after the folder ``below``, which holds it."""
    place = below
    for part in path.relative_to(below).parts:
        place = place / part
        if place.is_symlink():
            yield place


def _close(folder: Path) -> None:
    """Take from others what an earlier version of the builder, or a copy, let them see."""
    folder.chmod(0o700)
    for path in folder.rglob("*"):
        if not path.is_symlink():
            path.chmod(0o700 if path.is_dir() else 0o600)


def left_out_of_git(folder: Path, *, private: bool = True) -> None:
    """Have git leave out all that a folder holds, this note included. One without a word is written again:
    a full disk left it so. OSError where it cannot be."""
    note, draft = folder / ".gitignore", folder / f".gitignore.{os.getpid()}.part"
    if note.is_symlink() or (note.exists() and note.stat().st_size):
        return
    try:
        write_to_disk(draft, b"*\n", private=private)
        draft.replace(note)
    except OSError:
        _drop(draft)
        raise


def _drop(draft: Path) -> None:
    with suppress(OSError):
        draft.unlink(missing_ok=True)
