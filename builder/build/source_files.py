"""The files of a workspace by their digests, light to load: whether anything changed is known before
anything else is loaded.

Contents count, and never the times of files: a copy, a fresh checkout or a touched file is the same.
"""

from collections.abc import Mapping
from functools import cached_property
from pathlib import Path

from builder.digests import digest_of, of_files, of_mapping, tool_digest
from builder.register.codes import REGISTER, SEAL
from builder.shipped import own_or_shipped, shipped

SETTINGS = "mkdocs.yml"
_FOLDERS = ("housetypes", "developments", "content", "site_templates", "stickers")
_PRIVATE = "records"
"""Records of demonstrations: nothing in a guide is made from them."""


class SourceFiles:
    """The files of one workspace as they are now."""

    def __init__(self, root: Path) -> None:
        self.root = root

    @cached_property
    def files(self) -> Mapping[str, str]:
        """The SHA-256 of each source file by its path in the workspace."""
        found = [path for name in _FOLDERS for path in sorted((self.root / name).rglob("*"))]
        found.append(self.root / SETTINGS)
        return {
            path.relative_to(self.root).as_posix(): digest_of(path.read_bytes())
            for path in found
            if path.is_file() and self._counts(path)
        }

    def _counts(self, path: Path) -> bool:
        inside = path.relative_to(self.root).parts
        hidden = any(part.startswith(".") for part in inside)
        return not hidden and _PRIVATE not in inside and path.name not in (REGISTER, SEAL)

    @cached_property
    def digest(self) -> str:
        """Of everything that any guide is made from, the builder itself included; not of codes."""
        return of_mapping({**self.files, "": self.builder})

    @cached_property
    def builder(self) -> str:
        """Of the builder and what ships with it and is used in this workspace."""
        return of_mapping({"": tool_digest(), " ": self.shipped})

    @cached_property
    def shipped(self) -> str:
        """Of what ships with the builder and is used where the workspace has no own."""
        templates = sorted(each.name for each in shipped("site_templates").iterdir())
        names = (*(f"site_templates/{each}" for each in templates), SETTINGS)
        ours = [shipped(name) for name in names if own_or_shipped(self.root, name) == shipped(name)]
        return of_files(ours)


def register_digests(root: Path) -> Mapping[str, str]:
    """A digest of all codes that are issued by now, and of their seal, for each development by its id."""
    found: dict[str, str] = {}
    for path in sorted(root.glob(f"developments/*/{REGISTER}")):
        files = [each for each in (path, path.with_name(SEAL)) if each.is_file()]
        contents = {each.name: digest_of(each.read_bytes()) for each in files}
        found[path.parent.name] = of_mapping(contents)
    return found
