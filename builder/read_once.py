"""What is read of the files that ship, read once for all runs of a machine's user.

Each command would read and check some two hundred of them again, which are as they were. What is kept
can hold code, so it lies where compiled templates do.
"""

import pickle
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

from jinja2 import FileSystemBytecodeCache

from builder.digests import of_files, of_texts, tool_digest
from builder.disk import save
from builder.errors import UnwritableError

T = TypeVar("T")


def read_once(what: str, files: Iterable[Path], read: Callable[[], T]) -> T:
    """What ``read`` gives of files that ship; what an earlier run of this version of the builder kept of
    the very same, where this machine has a safe place for it.

    ``what`` names it. Nothing that a workspace wrote may be among it.
    """
    place = _place(what, files)
    if place is None:
        return read()
    # A file that was cut off is no reason to stop: what ships is still there.
    with suppress(OSError, pickle.PickleError, EOFError, ValueError, AttributeError, ImportError):
        found: T = pickle.loads(place.read_bytes())  # noqa: S301 - of a folder that is this user's alone
        return found
    made = read()
    with suppress(UnwritableError):
        save(place, pickle.dumps(made, pickle.HIGHEST_PROTOCOL), private=True)
    return made


def _place(what: str, files: Iterable[Path]) -> Path | None:
    """Where it is kept: a file of its own for each state of the builder and of what is read."""
    try:
        folder = FileSystemBytecodeCache().directory
    except (OSError, RuntimeError):
        return None
    return Path(folder) / f"read-{what}-{of_texts(tool_digest(), of_files(files))[:40]}.pickle"
