"""What ships with the builder: the lowest layer of templates, articles and all that editors write.

A workspace lays its own over it by name, one file or id at a time, and copies nothing. The working
copy of the builder is a workspace too: what ships is its own there, and nothing lies below it.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
LAYER = "shipped/"
"""What stands before the name of a file that ships, in findings and answers."""


def shipped(name: str = "") -> Path:
    """A file or folder that ships with the builder, installed or in a working copy."""
    installed = _PACKAGE / "shipped" / name
    return installed if installed.exists() else _PACKAGE.parent / name


def is_shipped(path: Path) -> bool:
    """Whether a file is one of those that ship, and none that a workspace wrote."""
    ships = Path(os.path.realpath(shipped("site_templates"))).parent
    return Path(os.path.realpath(path)).is_relative_to(ships)


def file_of(root: Path, name: str) -> Path:
    """Where a file lies, by its name: in the workspace, or among those that ship."""
    return shipped(name.removeprefix(LAYER)) if name.startswith(LAYER) else root / name


def own_or_shipped(root: Path, name: str) -> Path:
    """The workspace's own file of this name, else the one that ships."""
    own = root / name
    return own if own.exists() else shipped(name)


def below(root: Path, name: str) -> Path | None:
    """What ships under a name and lies below a workspace; nothing where it is the workspace's own."""
    path, own = shipped(name), root / name
    return path if path.exists() and not (own.exists() and own.samefile(path)) else None


@dataclass(frozen=True, slots=True)
class Layered:
    """A folder of a workspace over the one of its name that ships: a file of the upper one stands
    for the file of its name in the lower. ``folders``: the upper one first. ``ours``: all of it ships,
    and the builder trusts its own templates."""

    folders: tuple[Path, ...]
    ours: bool = False

    def path(self, name: str) -> Path:
        """A file that is there, else where it belongs in the upper folder."""
        places = [folder / name for folder in self.folders]
        return next((each for each in places if each.is_file()), places[0])

    def files(self, pattern: str) -> Mapping[str, Path]:
        """Every file that matches, by its path from the folder, in the order of the paths."""
        found = {
            path.relative_to(folder).as_posix(): path
            for folder in reversed(self.folders)
            for path in folder.glob(pattern)
            if path.is_file() and not path.name.startswith(".")
        }
        return dict(sorted(found.items()))


def layered(root: Path, name: str) -> Layered:
    """A folder of a workspace with the shipped one below it."""
    own, ships = root / name, below(root, name)
    folders = tuple(each for each in (own, ships) if each is not None and each.is_dir())
    return Layered(folders, ours=ships is None or own not in folders)
