"""Keeps what is written apart: nothing private goes into a published tree, and no tree over sources."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from builder.build.manifest import records_folder
from builder.disk import true_place
from builder.errors import UsageError

_SOURCES: Final = (
    "housetypes", "developments", "content", "site_templates", "stickers", "schemas", "records", "mkdocs.yml",
)  # fmt: skip
"""What of a workspace people write in, and where private records lie that name no plot of it."""
_HIDDEN: Final = (".git", ".handover")
"""Folders that hold what programs keep: the history, and saves and accounts of the desk."""
_SHOWN: Final = 3


def keep_outside(out: Path, because: str) -> None:
    """Refuse a file or folder that lies in a published tree, or is one.

    ``because`` completes "'public' is a published tree, and …": why it does not belong there, and
    what to do instead.

    Raises:
        UsageError: the place lies in a published tree.
    """
    place = true_place(out)
    for folder in (place, *place.parents):
        if (folder / "_headers").is_file() and (folder / "g").is_dir():
            raise UsageError(f"'{folder}' is a published tree, and {because}")


def fit_for_a_file(out: Path, because: str, *endings: str) -> None:
    """Refuse a file that has another ending, or lies in a published tree or among sources.

    ``because``: as for ``keep_outside``.

    Raises:
        UsageError: what is wrong with the place.
    """
    if out.suffix.lower() not in endings:
        raise UsageError(f"'{out}' does not end in {' or '.join(endings)}.")
    keep_outside(out, because)
    keep_off_sources(out)


def keep_off_sources(out: Path) -> None:
    """Refuse a folder that is a workspace, lies among the sources of one, or is nobody's to fill.

    Raises:
        UsageError: the place is a workspace, is a folder of sources, of private records, of git or of the desk, or lies
            in one, or is the home folder or the root of a disk.
    """
    place = true_place(out)
    if place in (Path(place.anchor), true_place(Path.home())):
        raise UsageError(f"'{out}' is not a folder for this. Name one of its own.")
    for folder in (place, *place.parents):
        inside = place.relative_to(folder).parts
        if folder == place and is_workspace(folder):
            raise UsageError(f"'{out}' is a workspace: its sources would lie among what is written. Name a folder of its own.")  # fmt: skip
        if _holds_records(folder):
            raise UsageError(f"'{out}' holds the records of a published tree, which are private. Name another folder.")  # fmt: skip
        if inside and (inside[0] in _HIDDEN or (inside[0] in _SOURCES and is_workspace(folder))):
            raise UsageError(f"'{out}' lies in '{inside[0]}' of '{folder}', where sources are. Name a folder of its own.")  # fmt: skip


def fit_for_a_tree(out: Path, root: Path) -> None:
    """Refuse a folder that a build of this workspace must not fill: it clears away what it did not write.

    Raises:
        UsageError: as for sources; or the folder holds files that no build has written.
    """
    place = true_place(out)
    keep_off_sources(out)
    held = [root] if true_place(root).is_relative_to(place) else _workspaces_below(place)
    for workspace in held:
        raise UsageError(f"'{out}' holds the workspace '{workspace}'. Name a folder of its own.")  # fmt: skip
    known = records_folder(out).is_dir() or ((place / "_headers").is_file() and (place / "g").is_dir())  # fmt: skip
    strange = [] if known or not place.is_dir() else _visible(place)
    if strange:
        more = f" and {len(strange) - _SHOWN} more" if len(strange) > _SHOWN else ""
        raise UsageError(f"'{out}' holds what no build has written: {', '.join(strange[:_SHOWN])}{more}. Name an empty folder, or a new one.")  # fmt: skip


def is_workspace(folder: Path) -> bool:
    """Whether a folder holds the sources of homes."""
    return (folder / "housetypes").is_dir() and (folder / "developments").is_dir()


def _holds_records(folder: Path) -> bool:
    """Whether a folder is that beside a published tree."""
    return folder.name.startswith(".") and folder.name.endswith(".records")


def _workspaces_below(place: Path) -> Iterator[Path]:
    """The workspaces that lie in a folder, or one folder deeper."""
    try:
        inside = [each for each in place.iterdir() if each.is_dir()] if place.is_dir() else []
        deeper = [each for folder in inside for each in folder.iterdir() if each.is_dir()]
    except OSError:
        return
    yield from (each for each in (*inside, *deeper) if is_workspace(each))


def _visible(place: Path) -> list[str]:
    return sorted(name for name in os.listdir(place) if not name.startswith("."))
