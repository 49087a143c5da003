"""Which files of a workspace are as they were, seen by their stamps alone: nothing is opened."""

import os
from collections.abc import Iterator, Mapping
from pathlib import Path

from builder.build.manifest import records_folder
from builder.build.source_files import SETTINGS
from builder.sources.kept_files import Stamp, stamp_of

_FOLDERS = ("housetypes", "developments", "content", "site_templates", "stickers")
RECORDS = "records of the published tree"
"""What stands before the names of the records of guides, of which one changes when it is published."""


def stamps_in(root: Path, out: Path) -> Mapping[str, Stamp]:
    """The stamp of every file that anything of a workspace is made from, by its name, and of the
    records of its published tree."""
    found = {name: stamp for top in _FOLDERS for name, stamp in _below(str(root / top), top)}
    found.update(_below(str(records_folder(out) / "guides"), RECORDS))
    settings = stamp_of(root / SETTINGS)
    return found if settings is None else {**found, SETTINGS: settings}


def _below(folder: str, name: str, ways: tuple[str, ...] = ()) -> Iterator[tuple[str, Stamp]]:
    """Paths are texts here: this is done for every page, of thousands of files.

    ``ways``: the true places of folders that links led to.
    """
    try:
        entries = list(os.scandir(folder))
    except OSError:
        return
    for each in entries:
        if each.name.startswith("."):
            continue
        inside = f"{name}/{each.name}"
        if each.is_dir(follow_symlinks=False):
            yield from _below(each.path, inside, ways)
        elif each.is_symlink() and each.is_dir():
            place = os.path.realpath(each.path)
            if place not in ways and not f"{os.path.realpath(folder)}/".startswith(f"{place}/"):
                yield from _below(each.path, inside, (*ways, place))
        elif (stamp := stamp_of(each.path)) is not None:
            yield inside, stamp


def changed(before: Mapping[str, Stamp], now: Mapping[str, Stamp]) -> frozenset[str]:
    """The names of all files that came, went or changed."""
    return frozenset(
        name for name in before.keys() | now.keys() if before.get(name) != now.get(name)
    )
