"""The files of a workspace by their digests, light to load: whether anything changed is known before
anything else is loaded.

Contents count, and never the times of files: a copy, a fresh checkout or a touched file is the same.
"""

from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path

from builder.digests import digest_of, digest_of_file, of_mapping, tool_digest
from builder.disk import true_place
from builder.register.codes import REGISTER, SEAL
from builder.shipped import LAYER, below, layered, own_or_shipped, shipped

SETTINGS = "mkdocs.yml"
TEMPLATES = "site_templates"
CONTENT = (
    "content/articles",
    "content/demonstration",
    "content/drawings",
    "content/languages",
    "content/symptoms",
)
"""What editors write, and what of it ships."""

_FOLDERS = ("housetypes", "developments", "content", "site_templates", "stickers")
_PRIVATE = "records"
"""Records of demonstrations: nothing in a guide is made from them."""


class SourceFiles:
    """The files of one workspace as they are now."""

    def __init__(self, root: Path) -> None:
        # One true path: what ships and the workspace's own are told apart by where they lie.
        self.root = true_place(root)

    @cached_property
    def files(self) -> Mapping[str, str]:
        """The SHA-256 of each source file by its path in the workspace."""
        return {name: _digest(path) for name, path in self.paths.items()}

    @cached_property
    def paths(self) -> Mapping[str, Path]:
        """Where each source file lies, by its name: what ships and is content is named as such."""
        found = [path for name in _FOLDERS for path in self._below(self.root / name, ())]
        found.append(self.root / SETTINGS)
        own = {
            path.relative_to(self.root).as_posix(): path
            for path in found
            if self._is_inside(path) and self._counts(path.relative_to(self.root))
        }
        return {**own, **dict(self._content_below())}

    def _below(self, folder: Path, ways: tuple[Path, ...]) -> Iterator[Path]:
        """All that lies in a folder, by whatever links that stay in the workspace: what is read by a link
        counts as well. ``ways``: the true places of the folders that were gone through by links."""
        for path in sorted(folder.rglob("*")):
            yield path
            if path.is_symlink() and path.is_dir():
                place = true_place(path)
                turns_back = any(each.is_relative_to(place) for each in (*ways, true_place(folder)))
                if place.is_relative_to(self.root) and not turns_back:
                    yield from self._below(path, (*ways, true_place(folder)))

    def _is_inside(self, path: Path) -> bool:
        """Whether it is a file of the workspace; nothing is read through a link that leads out."""
        return path.is_file() and (
            not path.is_symlink() or true_place(path).is_relative_to(self.root)
        )

    def _content_below(self) -> Iterator[tuple[str, Path]]:
        for name in CONTENT:
            folder = below(self.root, name)
            for path in sorted(folder.rglob("*")) if folder else ():
                if path.is_file() and self._counts(path.relative_to(shipped())):
                    yield f"{LAYER}{path.relative_to(shipped()).as_posix()}", path

    def _counts(self, path: Path) -> bool:
        inside = path.parts
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
        """Of templates and settings that ship, where the workspace has no own of their names."""
        found = dict(layered(self.root, TEMPLATES).files("**/*"))
        found[SETTINGS] = own_or_shipped(self.root, SETTINGS)
        ships = (shipped(TEMPLATES), shipped(SETTINGS))
        return of_mapping({
            name: digest_of(path.read_bytes())
            for name, path in found.items()
            if any(path.is_relative_to(each) for each in ships)
        })  # fmt: skip


def _digest(path: Path) -> str:
    try:
        return digest_of_file(path)
    except OSError as error:
        return f"cannot be read: {error.strerror}"


def register_digests(root: Path) -> Mapping[str, str]:
    """A digest of all codes that are issued by now, and of their seal, for each development by its id."""
    found: dict[str, str] = {}
    for path in sorted(root.glob(f"developments/*/{REGISTER}")):
        files = [each for each in (path, path.with_name(SEAL)) if each.is_file()]
        contents = {each.name: digest_of(each.read_bytes()) for each in files}
        found[path.parent.name] = of_mapping(contents)
    return found
