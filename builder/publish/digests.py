"""Digests of files, light to load: whether anything changed is known before anything else is loaded.

Contents count, and never the times of files: a copy, a fresh checkout or a touched file is the same.
"""

import hashlib
from collections.abc import Iterable, Mapping
from functools import cache, cached_property
from importlib.metadata import version
from pathlib import Path

import builder
from builder.shipped import own_or_shipped, shipped

REGISTER = "register.csv"
SETTINGS = "mkdocs.yml"
_FOLDERS = ("housetypes", "developments", "content", "site_templates", "stickers")
_LIBRARIES = ("mkdocs", "mkdocs-material", "markdown", "jinja2", "icalendar")
_PRIVATE = "records"
"""Records of demonstrations: nothing in a guide is made from them."""


class SourceFiles:
    """The files of one workspace as they are now."""

    def __init__(self, root: Path) -> None:
        self._root = root

    @cached_property
    def files(self) -> Mapping[str, str]:
        """The SHA-256 of each source file by its path in the workspace."""
        found = [path for name in _FOLDERS for path in sorted((self._root / name).rglob("*"))]
        found.append(self._root / SETTINGS)
        return {
            path.relative_to(self._root).as_posix(): digest_of(path.read_bytes())
            for path in found
            if path.is_file() and self._counts(path)
        }

    def _counts(self, path: Path) -> bool:
        inside = path.relative_to(self._root).parts
        hidden = any(part.startswith(".") for part in inside)
        return not hidden and _PRIVATE not in inside and path.name != REGISTER

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
        ours = [
            shipped(name) for name in names if own_or_shipped(self._root, name) == shipped(name)
        ]
        return of_files(ours)


def register_digests(root: Path) -> Mapping[str, str]:
    """A digest of all codes that are issued by now, for each development by its id."""
    found = sorted(root.glob(f"developments/*/{REGISTER}"))
    return {path.parent.name: digest_of(path.read_bytes()) for path in found}


@cache
def tool_digest() -> str:
    """Of the builder's own code and the libraries that shape what it writes."""
    package = Path(builder.__file__).parent
    versions = {name: version(name) for name in _LIBRARIES}
    return of_mapping({**versions, "": of_files([package])})


def of_files(paths: Iterable[Path]) -> str:
    """A digest of files, and of all files in folders."""
    found: dict[str, str] = {}
    for path in paths:
        inside = sorted(path.rglob("*")) if path.is_dir() else [path]
        for each in inside:
            if each.is_file() and each.suffix not in (".pyc", ".pyo"):
                found[each.relative_to(path.parent).as_posix()] = digest_of(each.read_bytes())
    return of_mapping(found)


def of_mapping(digests: Mapping[str, str]) -> str:
    """A digest of digests by name."""
    return digest_of(
        "".join(f"{name}\0{each}\0" for name, each in sorted(digests.items())).encode()
    )


def digest_of(content: bytes) -> str:
    """The SHA-256 of bytes, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()
