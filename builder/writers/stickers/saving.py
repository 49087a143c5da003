"""Puts a finished file in its place whole: a full disk leaves the old one as it was."""

import os
from pathlib import Path

from builder.errors import HandoverError


def save(path: Path, content: bytes) -> None:
    """Write beside the file and put the new one in its place only when all of it is on the disk."""
    draft = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        _write(draft, content)
        draft.replace(path)
    except OSError as error:
        draft.unlink(missing_ok=True)
        kept = " The old file is as it was." if path.is_file() else " Nothing was written."
        raise HandoverError(f"'{path}' cannot be written: {error.strerror}.{kept}") from error


def _write(draft: Path, content: bytes) -> None:
    with draft.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
