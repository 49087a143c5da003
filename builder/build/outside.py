"""Keeps what is private, or is not for the web, out of a published tree."""

from pathlib import Path

from builder.errors import UsageError


def keep_outside(out: Path, because: str) -> None:
    """Refuse a file or folder that lies in a published tree, or is one.

    ``because`` completes "'public' is a published tree, and …": why it does not belong there, and
    what to do instead.

    Raises:
        UsageError: the place lies in a published tree.
    """
    place = out.resolve()
    for folder in (place, *place.parents):
        if (folder / "_headers").is_file() and (folder / "g").is_dir():
            raise UsageError(f"'{folder}' is a published tree, and {because}")
