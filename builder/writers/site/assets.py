"""The theme's own files, which all guides of a published tree share. Knows no site engine.

They lie in ``assets/<digest>/``, named by what they hold, so that hosts and browsers may keep them
for good, and a new theme never changes the look of a guide that was published with an old one.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path, PurePosixPath

FOLDER = "assets"
_DIGITS = 16


@dataclass(frozen=True)
class Assets:
    """The theme files of one workspace's settings by their paths below ``assets``: where each lies on
    the disk, or what it holds."""

    files: Mapping[str, Path | bytes]

    @cached_property
    def digests(self) -> Mapping[str, str]:
        """The SHA-256 of each file, by its path in the published tree."""
        return {f"{self.folder}/{name}": digest for name, digest in sorted(self._digested.items())}

    @cached_property
    def _digested(self) -> Mapping[str, str]:
        return {name: hashlib.sha256(self.content(name)).hexdigest() for name in self.files}

    def content(self, name: str) -> bytes:
        """What a file holds."""
        file = self.files[name]
        return file.read_bytes() if isinstance(file, Path) else file

    @cached_property
    def folder(self) -> str:
        """Where they lie in the published tree."""
        digest = hashlib.sha256()
        for name, content in sorted(self._digested.items()):
            digest.update(f"{name}\0{content}\0".encode())
        return f"{FOLDER}/{digest.hexdigest()[:_DIGITS]}"

    def copy_to(self, folder: Path) -> None:
        """Write all of them into a folder that is not there yet."""
        for name in sorted(self.files):
            place = folder / name
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(self.content(name))


def found_in(folders: list[Path], made: Mapping[str, bytes]) -> Assets:
    """The files below ``assets`` of a theme's folders, and those that are ``made``; the first folder
    that has a file gives it.

    What only the theme's makers need is left out.
    """
    files: dict[str, Path | bytes] = {}
    for folder in folders:
        for path in sorted((folder / FOLDER).rglob("*")):
            name = path.relative_to(folder / FOLDER).as_posix()
            if path.is_file() and not _for_makers(PurePosixPath(name)):
                files.setdefault(name, path)
    return Assets({**made, **files})


def _for_makers(name: PurePosixPath) -> bool:
    hidden = any(part.startswith(".") for part in name.parts)
    return hidden or name.suffix in (".map", ".py", ".pyc")
