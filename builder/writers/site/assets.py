"""The theme's own files, which all guides of a published tree share. Knows no site engine.

They lie in ``assets/<digest>/``, named by what they hold, so that hosts and browsers may keep them
for good, and a new theme never changes the look of a guide that was published with an old one.
"""

import hashlib
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path, PurePosixPath

FOLDER = "assets"
_DIGITS = 16


@dataclass(frozen=True)
class Assets:
    """The theme files of one workspace's settings: each file of the disk by its path below
    ``assets``."""

    files: Mapping[str, Path]

    @cached_property
    def digests(self) -> Mapping[str, str]:
        """The SHA-256 of each file, by its path in the published tree."""
        return {f"{self.folder}/{name}": digest for name, digest in sorted(self._digested.items())}

    @cached_property
    def _digested(self) -> Mapping[str, str]:
        return {
            name: hashlib.sha256(path.read_bytes()).hexdigest() for name, path in self.files.items()
        }

    @cached_property
    def folder(self) -> str:
        """Where they lie in the published tree."""
        digest = hashlib.sha256()
        for name, content in sorted(self._digested.items()):
            digest.update(f"{name}\0{content}\0".encode())
        return f"{FOLDER}/{digest.hexdigest()[:_DIGITS]}"

    def copy_to(self, folder: Path) -> None:
        """Write all of them into a folder that is not there yet."""
        for name, path in sorted(self.files.items()):
            place = folder / name
            place.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, place)


def found_in(folders: list[Path]) -> Assets:
    """The files below ``assets`` of a theme's folders; the first folder that has a file gives it.

    What only the theme's makers need is left out.
    """
    files: dict[str, Path] = {}
    for folder in folders:
        for path in sorted((folder / FOLDER).rglob("*")):
            name = path.relative_to(folder / FOLDER).as_posix()
            if path.is_file() and not _for_makers(PurePosixPath(name)):
                files.setdefault(name, path)
    return Assets(files)


def _for_makers(name: PurePosixPath) -> bool:
    hidden = any(part.startswith(".") for part in name.parts)
    return hidden or name.suffix in (".map", ".py", ".pyc")
